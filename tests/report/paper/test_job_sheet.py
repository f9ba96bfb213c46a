"""The job sheet read back: what stands under the car, to which step, nothing predicted above the fold, nothing clipped.

PDFs are read by pdfplumber; lengths on the page are read again by the project's own parser of lengths.
"""

import re
from functools import cache
from io import BytesIO
from math import asin, cos, hypot, pi, sin
from pathlib import Path

import pdfplumber
import pytest

from fitcheck.cuts.pieces import Piece
from fitcheck.job.lengths import parse_length
from fitcheck.job.opening import open_job
from fitcheck.report.jobsheet.checks import pedals, to_check
from fitcheck.report.jobsheet.desk import worth_again
from fitcheck.report.jobsheet.sheet import job_sheet
from fitcheck.report.paper.sheets import Size
from fitcheck.report.tape import at_least, at_most, mark, near
from fitcheck.verdict import Outcome, judge
from tests import jobs
from tests.command import Said, written
from tests.report.paper.pages import MM, Page, inside, pages
from tests.verdicts import judged_example

FITS, VAN, NO = "saloon-shaft", "van-shaft", "saloon-9-00"
EITHER = r"([\d/ ]+ in|[\d.]+ mm) \(([\d/ ]+ in|[\d.]+ mm)\)"
BOTH = re.compile(r"(\d+(?: \d+/\d+)?|\d+/\d+) in \((\d+(?:\.5)?) mm\)")


@cache
def sheet(name: str, size: Size) -> bytes:
    return job_sheet(judged_example(name), size)


@cache
def read(name: str, size: Size) -> list[Page]:
    return pages(sheet(name, size))


@cache
def first(name: str, size: Size) -> Page:
    return pages(sheet(name, size), only=[1])[0]


def fold(page: Page) -> float:
    """Height of the dashed line right across the page."""
    (high,) = {a[1] for a, b, _ in page.lines if abs(b[0] - a[0] - page.size[0]) < 0.1}
    return float(high)


def plain(page: Page) -> str:
    return " ".join(page.text.replace("\u00a0", " ").split())


def above(page: Page) -> str:
    at = fold(page)
    return " ".join(word.replace("\u00a0", " ") for word, _, low, *_ in page.words if low > at)


@pytest.mark.parametrize(("name", "size"), [(FITS, Size.A4), (NO, Size.LETTER)])
def test_every_page_says_which_job_and_nothing_is_cut_off(name: str, size: Size) -> None:
    assert sheet(name, size) == job_sheet(judged_example(name), size)
    opened = judged_example(name).opened
    for number, page in enumerate(read(name, size), 1):
        assert page.size == pytest.approx(size.mm, abs=0.01)
        assert inside(page)
        assert f"job {opened.digest[:12]}, {opened.job.job.date}" in plain(page)
        assert f"page {number} of {len(read(name, size))}" in plain(page)
        assert not re.search(r"\b(approved|safe)\b", page.text, re.IGNORECASE)


def test_first_page_is_in_letters_for_arm_s_length() -> None:
    with pdfplumber.open(BytesIO(sheet(FITS, Size.A4))) as opened:
        page = opened.pages[0]
        lines = page.extract_text_lines()
        sizes = {line["text"].replace("\u00a0", " "): line["chars"][0]["size"] for line in lines}
    told = [size for text, size in sizes.items() if text.startswith(("clutch pressed", "brake pressed", "telescoping"))]
    assert told
    assert all(size == pytest.approx(14.0) for size in told)


def test_nothing_finer_than_the_tape_under_the_car() -> None:
    text = above(first(FITS, Size.A4))
    assert {int(below) for below in re.findall(r"\d+/(\d+) in", text)} <= {2, 4, 8, 16, 32}
    assert all(float(mm) * 2 == int(float(mm) * 2) for mm in re.findall(r"(\d+(?:\.\d+)?) mm", text))


@pytest.mark.parametrize(("name", "size"), [(FITS, Size.A4), (VAN, Size.LETTER), (NO, Size.LETTER)])
def test_predictions_stand_only_under_the_fold(name: str, size: Size) -> None:
    page, verdict = first(name, size), judged_example(name)
    at, told = fold(page), above(page)
    below = " ".join(word for word, _, low, *_ in page.words if low < at).replace("\u00a0", " ")
    for word in ("give or take", "clear", "hits", "%"):
        assert word not in told
    assert below.count("give or take") + below.count("they meet") == len(to_check(verdict)) == 3
    assert min(low for _, _, low, *_ in page.words if low > at - 1) > at


def test_both_faces_are_clocks_as_one_reads_them_and_the_motor_points_as_told_beside_each() -> None:
    """The times as told are read again by hand: 10:45 is 322.5 degrees round; its hand ends on that numeral's side."""
    page = first(FITS, Size.A4)
    hours: dict[str, list[tuple[float, float]]] = {}
    for word, left, low, right, top in page.words:
        if word in ("3", "6", "9", "12") and low > 215 and left < 115:
            hours.setdefault(word, []).append(((left + right) / 2, (low + top) / 2))
    told = re.findall(r"(?:Motor to |\(under: )(\d+):(\d+)", plain(page))
    assert len(told) == 2
    for face, (hour, minute) in enumerate(told):
        spots = {mark: sorted(found)[face] for mark, found in hours.items()}
        assert spots["9"][0] < spots["12"][0] < spots["3"][0]
        assert spots["12"][1] > spots["6"][1]
        centre = (spots["9"][0] + spots["3"][0]) / 2, (spots["12"][1] + spots["6"][1]) / 2
        turn = (int(hour) + int(minute) / 60) * pi / 6
        tip = centre[0] + 17.0 * sin(turn), centre[1] + 17.0 * cos(turn)
        starts = [(hypot(a[0] - centre[0], a[1] - centre[1]), b) for a, b, _ in page.lines]
        assert any(off < 0.5 and hypot(b[0] - tip[0], b[1] - tip[1]) < 0.5 for off, b in starts)


def test_pedal_is_told_as_the_tape_reads_it() -> None:
    """The chord 2 r sin(s a / 2): r from pivot to pad by the job's figures, a the swing whose chord is the travel."""
    verdict = judged_example(FITS)
    (entry, *_) = to_check(verdict)
    assert entry.found.closest is not None
    share = entry.found.closest.at_travel["clutch"]
    radius = hypot(320 - 165, 234 + 35)
    chord = 2 * radius * sin(share * asin(139.7 / 2 / radius))
    match = BOTH.search(pedals(entry, verdict).replace("\u00a0", " "))
    assert match is not None
    assert parse_length(f"{match[1]} in").mm == pytest.approx(chord, abs=25.4 / 64 + 1e-6)
    assert float(match[2]) == pytest.approx(chord, abs=0.25 + 1e-6)


def test_marks_are_the_plan_s_and_never_short() -> None:
    plan = judged_example(FITS).cuts
    assert plan is not None
    found = re.findall(rf"mark {BOTH.pattern} from", above(first(FITS, Size.A4)))
    pieces = [piece for piece in plan.planned if isinstance(piece, Piece)]
    assert len(found) == len(pieces) == 4
    for (inches, mm), piece in zip(found, pieces, strict=True):
        assert parse_length(f"{inches} in").mm == pytest.approx(piece.mark_mm, abs=1e-6)
        assert 0 <= (float(mm) - piece.mark_mm) * piece.spec.way < 0.5


def test_a_job_that_does_not_fit_gets_no_mark_and_no_tooth() -> None:
    page = above(first(NO, Size.LETTER))
    assert judged_example(NO).outcome is Outcome.DOES_NOT_FIT
    assert "DOES NOT FIT as it stands: cut nothing" in page
    assert "mark " not in page and "teeth" not in page


@pytest.mark.parametrize("name", [FITS, VAN])
def test_a_mark_is_one_figure_on_every_page(name: str) -> None:
    """First page, side view and cut list: marks, first cuts and finished lengths as told, gathered by their first."""
    verdict = judged_example(name)
    assert verdict.cuts is not None
    text = " ".join(plain(page) for page in read(name, Size.A4 if name == FITS else Size.LETTER))
    told = {(match[1], match[2]) for match in re.finditer(r"(?:mark|first|finished|leaves|finish to) " + EITHER, text)}
    assert len(told) >= 8
    by_first: dict[str, set[str]] = {}
    for one, other in told:
        by_first.setdefault(one, set()).add(other)
    assert {one: others for one, others in by_first.items() if len(others) > 1} == {}
    assert all(
        float(mm) * 2 == int(float(mm) * 2) for pair in told for mm in re.findall(r"([\d.]+) mm", " ".join(pair))
    )


def test_a_cut_list_that_is_held_says_first_that_no_cut_is_allowed() -> None:
    text = " ".join(plain(page) for page in read(NO, Size.LETTER))
    assert judged_example(NO).cuts is not None and judged_example(NO).cuts.holds  # type: ignore[union-attr]
    assert "CUTS: no cut allowed yet. The limits by themselves:" in text
    assert "cuts: no cut allowed yet" in text
    assert not re.search(r"cuts: keeps", text, re.IGNORECASE)


def test_a_cut_s_entry_stands_on_one_page_and_the_tooth_has_a_row() -> None:
    found = [plain(page) for page in read(FITS, Size.A4)]
    for piece in ("UPPER JACKET", "UPPER SHAFT", "LOWER JACKET", "LOWER SHAFT"):
        (page,) = [text for text in found if piece in text]
        assert page.count("how sure") == page.count("trial fit Try")
    assert sum("tooth used, which yoke" in text for text in found) == 1


def test_what_to_measure_again_begins_where_a_pair_is_near_its_need() -> None:
    """By hand: the largest of part over what is to spare, of every reading and pair."""
    verdict = judged_example(FITS)
    used = {
        (share.key, entry.pair.a.name, entry.pair.b.name): abs(share.part_mm) / max(entry.margin_mm, 1.0)
        for entry in verdict.gaps
        if entry.result.value == "clear"
        for share in entry.shares
    }
    key, part, entry = worth_again(verdict)[0]
    assert (key, entry.pair.a.name, entry.pair.b.name) == max(used, key=lambda each: used[each])
    assert entry.margin_mm < 10
    assert part / entry.margin_mm == pytest.approx(max(used.values()))


def test_no_bar_and_no_tooth_stands_on_the_sheet_of_a_job_that_does_not_fit() -> None:
    text = " ".join(plain(page) for page in pages(job_sheet(judged_example("saloon-steep-box"), Size.LETTER)))
    assert "NO BAR IS CUT AND NO YOKE IS SET YET" in text and "Joints: true angles" in text
    assert not re.search(r"cut first|\d teeth|one tooth|dimple for", text)


def test_no_signature_lies_under_a_fold() -> None:
    for page in read(FITS, Size.A4):
        if "Hold points" in page.text:
            assert "fold back" not in page.text
            assert page.text.count("one will do") == 11  # thirteen points, the two cuts signed by two people


@pytest.mark.parametrize("mm", [0.0, 6.0, 15.875, 16.0, 24.99, 25.4, 106.66])
def test_lengths_round_to_the_side_that_is_asked_for(mm: float) -> None:
    for said, way in (
        (at_least(mm, "in"), 1),
        (at_most(mm, "in"), -1),
        (mark(mm, 1, "in"), 1),
        (mark(mm, -1, "in"), -1),
    ):
        match = BOTH.fullmatch(said.replace("\u00a0", " "))
        assert match is not None
        for value, step in ((parse_length(f"{match[1]} in").mm, 25.4 / 32), (float(match[2]), 0.5)):
            assert -1e-6 <= (value - mm) * way < step
    assert near(mm, "mm").replace("\u00a0", " ").endswith("in)")


HOSTILE = "<script>alert(1)</script> & </para> %s " + "Ωж" * 30 + " 車 " + "W" * 200


def test_hostile_names_neither_break_nor_leave_the_page(tmp_path: Path) -> None:
    tables = jobs.changed(jobs.saloon(), ("job", "name"), HOSTILE)
    tables = jobs.changed(tables, ("unit", "clock"), "9:00")
    tables = jobs.changed(tables, ("obstacles", 1, "name"), "<b>" + "W" * 77)
    found = pages(job_sheet(judge(open_job(Path(written(tmp_path, tables)))), Size.LETTER))
    assert all(inside(page) for page in found)
    assert "<script>alert(1)</script>" in found[0].text
    at = fold(found[0])
    assert min(low for _, _, low, *_ in found[0].words if low > at - 1) > at
    assert "W" * 200 in "".join(page.text for page in found[1:]).replace("\n", "").replace(" ", "")


def test_hold_points_take_two_signatures_on_the_cuts_only() -> None:
    text = " ".join(plain(page) for page in read(FITS, Size.A4))
    assert text.count("one will do") == 11
    for point in ("Mocked up before anything", "Before the jacket is cut", "Before the shaft is cut", "Trial fit",
                  "Brake on the floor", "Bleeder closed, brakes bled and tested", "Assist off"):  # fmt: skip
        assert point in text


def test_a_brake_is_pressed_with_a_bleeder_open_and_bled_and_tested_after() -> None:
    """A sound circuit holds the pedal off its stop: without the bleeder open the block would pass wrongly."""
    told = above(first(FITS, Size.A4))
    assert told.count("brake pressed") == told.count("bleeder open") == 2
    assert "a helper watches the hose end" in told
    assert "close it, bleed and test the brakes before the car moves" in told


def test_command_writes_the_sheet_or_says_what_to_name(tmp_path: Path) -> None:
    job = str(jobs.EXAMPLES / "dozen-go" / "job.toml")
    told = Said("jobsheet", job, "-o", str(tmp_path / "sheet.pdf"), "--size", "letter")
    assert (told.code, told.err.count("wrote ")) == (0, 1)
    assert pages((tmp_path / "sheet.pdf").read_bytes())[0].size[0] == pytest.approx(612 * MM, abs=0.01)
    wrong = Said("jobsheet", job, "-o", str(tmp_path / "sheet.png"))
    assert (wrong.code, "ends in .pdf" in wrong.err) == (2, True)
    assert [path.name for path in tmp_path.iterdir()] == ["sheet.pdf"]
