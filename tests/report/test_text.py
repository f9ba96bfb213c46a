"""What people read: whole texts kept at a fixed width, numbers rounded to the safe side, and no wrong promises.

Run with FITCHECK_UPDATE_GOLDEN=1 to write the kept texts anew; then read the difference before keeping it.
"""

import os
import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.confidence.results import Result
from fitcheck.job.opening import OpenJob
from fitcheck.report import words
from fitcheck.report.rows import LABEL, LEAST
from fitcheck.report.text import check_text, cut_list_text, gaps_text, head, shaft_chapter_text
from fitcheck.verdict import Verdict, judge
from tests import jobs
from tests.verdicts import judged_example as judged

GOLDEN = Path(__file__).resolve().parents[1] / "golden"
KEPT = ("dozen-go", "van-500-along")
WIDTH = 100


@pytest.mark.parametrize("name", KEPT)
def test_kept_text(name: str) -> None:
    said, kept = check_text(judged(name), WIDTH), GOLDEN / f"{name}.txt"
    if os.environ.get("FITCHECK_UPDATE_GOLDEN") == "1":
        kept.write_text(said, encoding="utf-8", newline="\n")
    assert said == kept.read_text(encoding="utf-8")


@pytest.mark.parametrize("width", [60, 80, 110, 200])
def test_no_line_is_wider_than_asked_for_and_none_ends_in_blanks(width: int) -> None:
    said = [chapter(judged("van-500-along"), width) for chapter in (check_text, gaps_text, cut_list_text)]
    said += [shaft_chapter_text(judged(name), width) for name in ("saloon-shaft", "saloon-steep-box")]
    for text in said:
        lines = text.splitlines()
        assert [line for line in lines if len(line) > max(width, LABEL + LEAST)] == []
        assert [line for line in lines if line != line.rstrip()] == []


def test_a_whole_gap_can_be_read_off_the_text() -> None:
    said = " ".join(check_text(judged("van-500-along")).split())
    assert "DOES NOT FIT: 4 hits, 1 too close to call, 26 clear; cuts: no cut allowed yet." in said
    # The brake's pad: 300.04 mm from its pivot, 110 mm of travel, 8 mm over it, both read to 4 mm: by hand
    # 2 asin(55 / r) = 21.125 deg and (8 + sqrt(4^2 + 4^2)) / r = 2.608 deg more: 112.3 %, a chord of 123.4 mm.
    assert (
        "[X] hits gear body, rack end - boot on brake, heel and instep, at 112% of brake travel (123.5 mm at the pad, "
        "farther than measured) (unit - boot on brake) in by at least 7 mm, first touching at 93% of brake travel "
        "(102 mm at the pad); required 25 mm"
    ) in said
    assert re.search(r"\[~\] too close to call .* chance of less: \d\.\d %", said)
    assert "most of the spread: unit.clock" in said


def test_result_stands_as_word_and_mark() -> None:
    said = check_text(judged("saloon-9-00"))
    assert len(re.findall(r"^  \[X\] hits", said, re.MULTILINE)) == 1
    listed, more = len(re.findall(r"^  \[\+\] clear", said, re.MULTILINE)), re.search(r"and (\d+) more, clear by", said)
    assert more is not None
    assert listed + said.count("[+] keeps") == said.count("[+]")
    assert listed + int(more[1]) == gaps_text(judged("saloon-9-00")).count("[+] clear") == 32
    assert len(set(words.MARKS.values())) == len(words.MARKS)


def test_old_pairs_are_counted_where_they_are_not_listed() -> None:
    verdict = judged("saloon-9-00")
    whole = gaps_text(verdict)
    for shown, everything in ((1, False), (3, True)):
        said = check_text(verdict, everything=everything)
        listed, more = said.count("[=] as before"), re.search(r"and (\d+) more: fitcheck gaps lists them all", said)
        assert more is not None
        assert listed == shown
        assert listed + int(more[1]) == whole.count("[=] as before") == 88


def test_the_short_text_leaves_out_nothing_but_what_is_told_elsewhere_and_says_so() -> None:
    """Every key that a default stands for is named; what is said in full stands word for word in both."""
    verdict = judged("saloon-10-45")
    short, whole = (" ".join(check_text(verdict, everything=all_).split()) for all_ in (False, True))
    assert len(check_text(verdict).splitlines()) < 80 < len(check_text(verdict, everything=True).splitlines())
    keys = re.findall(r"([a-z_.]+) not given: ", whole)
    assert len(keys) == 8
    assert all(key in short for key in keys)
    assert "fitcheck check --all says what each is" in short
    assert "column.low was measured to its underside side: half its size, 25.4 mm, was added" in short
    assert set(re.findall(r"\(key: [^)]*\)", short)) == set(re.findall(r"\(key: [^)]*\)", whole))
    assert "Meant to touch" in whole and "Meant to touch" not in short
    least = re.search(r"and 28 more, clear by over .*? \(([\d.]+) mm\) beyond their need", short)
    left = sorted(one.margin_mm for one in verdict.gaps if one.result is Result.CLEAR)[5:]
    assert least is not None and len(left) == 28
    assert left[0] - 0.11 <= float(least[1]) <= left[0]


def test_text_promises_nothing_and_carries_the_cautions() -> None:
    for name in KEPT:
        said = check_text(judged(name))
        assert not re.search(r"\b(safe|approved|guaranteed|certain)\b", said, re.IGNORECASE)
        flat = " ".join(said.split())
        for caution in words.CAUTIONS:
            assert caution in flat


def verdict_on(tables: jobs.Tables) -> Verdict:
    return judge(OpenJob(jobs.job(tables), jobs.text(tables), "job.toml", jobs.EXAMPLES, "0" * 64))


def test_head_says_what_has_not_been_looked_at_and_what_looks_odd() -> None:
    tables = jobs.bare(column={**jobs.bare()["column"], "across": "12 deg"}, pedals=[jobs.clutch()])
    top = " ".join(head(verdict_on(tables), 110))
    assert "Not looked at yet: brake pedal, throttle pedal, bracket, boot on clutch, obstacles, cut lengths," in top
    assert "LOOKS ODD, measure again: column: its lower end leans 11 degrees to the driver's right; left for" in top
    assert "LOOKS ODD" not in " ".join(head(judged("saloon-10-45"), 110))


def test_head_says_where_the_job_asks_for_less_than_common_practice() -> None:
    tables = jobs.saloon()
    tables["require"] = {
        "boot": "20 mm",
        "pairs": [{"between": ["unit", "clutch"], "gap": "12 mm", "why": "tried with the engine running"}],
    }
    top = " ".join(" ".join(head(verdict_on(tables), 110)).split())
    # Unit and bracket against three boots each, and the unit against the clutch.
    said = "7 of these asked for less room than common practice (job, require.boot, job, require.pairs[1])."
    assert said in top
    assert "asked for less" not in " ".join(head(judged("saloon-10-45"), 110))


def test_meeting_by_less_than_a_millimetre_is_touching() -> None:
    """Two boxes that share 0.9 mm, and 1.29: a depth is rounded down, and under 1 mm it is no depth at all."""
    for deep, told in ((0.9, "touches"), (1.29, "in by at least 1.2 mm")):
        boxes = [
            {"corner": jobs.at(200, -300, 0), "opposite": jobs.at(250, -250, 50)},
            {"corner": jobs.at(250 - deep, -300, 0), "opposite": jobs.at(300, -250, 50)},
        ]
        things = [{"name": f"thing {i}", "shape": shape, "new": True} for i, shape in enumerate(boxes)]
        said = " ".join(check_text(verdict_on(jobs.bare(obstacles=things))).split())
        assert f"(thing 0 - thing 1) {told}; required 6 mm" in said


def test_what_could_not_be_placed_is_told_among_the_old_pairs_too() -> None:
    tables = jobs.changed(jobs.saloon(), ("pedals", 0, "travel"), None)
    said = " ".join(gaps_text(verdict_on(tables)).split())
    assert (
        "[=] as before brake - clutch: both were there before and stay where they were; missing pedals[1].travel"
        in said
    )


@given(st.floats(min_value=0, max_value=5000))
def test_room_is_never_told_larger_and_spread_never_smaller_than_it_is(mm: float) -> None:
    assert float(words.room(mm, "mm").removesuffix(" mm")) <= mm
    in_mm = re.search(r"\(([\d.]+) mm\)", words.room(mm, "in"))
    assert in_mm is not None and float(in_mm[1]) <= mm
    assert float(words.spread(mm).removeprefix("give or take ").removesuffix(" mm")) >= mm - 1e-9


@pytest.mark.parametrize(
    ("mm", "told"),
    [
        (16.0, "5/8 in (16 mm)"),  # 15.875 mm is 5/8 in; the next 1/32 in would be more than there is
        (25.4, "1 in (25.4 mm)"),
        (25.399, "31/32 in (25.3 mm)"),
        (0.0, "0 in (0 mm)"),
        (0.79, "0 in (0.7 mm)"),
    ],
)
def test_room_in_inches_is_rounded_down_to_the_thirty_second(mm: float, told: str) -> None:
    assert words.room(mm, "in") == told


@pytest.mark.parametrize(
    ("share", "told"),
    [(0.0, "under 0.1 %"), (0.0009, "under 0.1 %"), (0.025, "2.5 %"), (0.5, "50.0 %"), (1.0, "over 99.9 %")],
)
def test_chances_are_never_told_as_certain(share: float, told: str) -> None:
    assert words.chance(share) == told


def test_travel_in_words() -> None:
    scene = jobs.scene(jobs.saloon())
    assert words.one_travel("clutch", 0.0, scene, "mm") == "clutch at rest"
    assert words.one_travel("clutch", 1.0, scene, "mm") == "100% of clutch travel (139.5 mm at the pad)"
    assert words.one_travel("clutch", -0.05, scene, "mm").startswith("clutch pulled up by hand (")
    assert words.travel({}, scene, "mm") == ""
    both = words.travel({"clutch": 0.5, "brake": 0.0}, scene, "mm")
    assert both.endswith(" and at brake at rest")


@pytest.mark.parametrize(("clock", "told"), [(0.0, "12:00"), (1.0471975511965976, "2:00"), (4.71238898038469, "9:00")])
def test_clock_as_seen_from_below_changes_left_and_right(clock: float, told: str) -> None:
    below = {"12:00": "12:00", "2:00": "10:00", "9:00": "3:00"}[told]
    assert words.clock_both(clock) == f"{told} seen from the seat ({below} seen lying under it)"


@given(st.floats(min_value=0.01, max_value=5000))
def test_what_is_required_is_never_told_smaller_than_it_is(mm: float) -> None:
    in_inches, in_mm = re.fullmatch(r"(.*) in \((.*) mm\)", words.need(mm, "in")).groups()  # type: ignore[union-attr]
    inches = sum(Fraction(part) for part in in_inches.split())
    assert mm - 1e-9 <= float(inches) * 25.4 < mm + 25.4 / 32
    assert mm - 1e-9 <= float(in_mm) < mm + 0.1 + 1e-9
    assert words.need(mm, "mm") == f"{in_mm} mm"


@pytest.mark.parametrize(
    ("mm", "told"),
    [(25.0, "1 in (25 mm)"), (25.4, "1 in (25.4 mm)"), (16.0, "21/32 in (16 mm)"), (15.875, "5/8 in (15.9 mm)")],
)
def test_what_is_required_in_inches_is_rounded_up_to_the_thirty_second(mm: float, told: str) -> None:
    assert words.need(mm, "in") == told


def test_the_shaft_s_gaps_stand_among_the_others_worst_first() -> None:
    """By rank of the words alone, in the order of the lines: no line is worse than one above it."""
    order = ["hits", "under", "not known", "too close to call", "clear"]
    for chapter in (check_text, gaps_text):
        gaps = chapter(judged("saloon-exhaust-later")).split("Gaps through the whole")[1].split("\n\n")[0]
        ranks = [order.index(word) for word in re.findall(rf"^  \[.\] ({'|'.join(order)})", gaps, re.MULTILINE)]
        assert len(set(ranks)) > 1
        assert ranks == sorted(ranks)
    assert "under" in re.findall(r"^  \[.\] (\w+)", check_text(judged("saloon-exhaust-later")), re.MULTILINE)[0]


def test_what_fits_fits_as_far_as_it_was_looked_at() -> None:
    fits = judged("dozen-go")
    assert "\nFITS, AS FAR AS LOOKED AT: 1 clear.\n" in check_text(fits)
    assert words.outcome(replace(fits, not_yet=())) == "fits"
    assert words.outcome(judged("dozen-no-go")) == "does not fit"
