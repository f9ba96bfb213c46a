"""The chapters on boots and on reaching in, as text and JSON: what a fabricator reads stands in both and agrees."""

import json
import re
from functools import cache
from pathlib import Path

import pytest

from fitcheck.confidence.first_order import chance_under
from fitcheck.job.opening import OpenJob
from fitcheck.report.document import boots_chapter, reach_chapter
from fitcheck.report.text import boots_chapter_text, check_text, reach_chapter_text
from fitcheck.verdict import Outcome, Verdict, judge
from tests import jobs
from tests.command import Said, written
from tests.verdicts import judged_example as judged

LEG = {"name", "new", "as_before"}


@cache
def bare(moves: str, room: str = "") -> Verdict:
    """Unit, clutch and its boot of car A, a shelf under the unit, and a way out."""
    shelf = {"corner": jobs.at(50, -150, -150), "opposite": jobs.at(250, 150, -140)}
    reach: jobs.Tables = {"way_out": {"moves": json.loads(moves)}}
    if room:
        reach["rooms"] = [json.loads(room)]
    tables = jobs.bare(
        pedals=[jobs.clutch()],
        driver={"foot": "men 95", "boots": [{"on": "clutch", "heel": jobs.at(430, -90, -270)}]},
        obstacles=[{"name": "shelf", "shape": shelf}],
        reach=reach,
    )
    tables["unit"]["clock"] = "12:00"
    return judge(OpenJob(jobs.job(tables), jobs.text(tables), "job.toml", jobs.EXAMPLES, "0" * 64))


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("name", ["saloon-way-in", "van-500-along"])
def test_every_boot_and_leg_stands_in_text_and_document(name: str) -> None:
    verdict = judged(name)
    document, said = boots_chapter(verdict)["boots"], flat(boots_chapter_text(verdict))
    legs = document["on_pedals"] + document["off_pedals"]
    assert all(f"{leg['name']}:" in said for leg in legs)
    assert set(document) == {"result", "size", "on_pedals", "off_pedals", "spacing"}
    for leg in legs:
        assert set(leg) - {"result", "heel", "heel_lifts_travel", "room_beside"} == LEG
        results = [row["result"] for row in leg["new"]]
        assert leg["result"] == results[0]
        assert {row["result"] for row in leg["as_before"]} <= {"as before"}
        assert all(row["required_mm"] == 25 for row in leg["new"]), "common practice"
    assert json.loads(json.dumps(document, allow_nan=False)) == document


def test_the_saloons_boots_are_all_there() -> None:
    document, pedals = boots_chapter(judged("saloon-way-in"))["boots"], ("clutch", "brake", "throttle")
    assert document["result"] == "clear"
    assert [leg["name"] for leg in document["on_pedals"]] == [f"boot on {pedal}" for pedal in pedals]
    assert {leg["name"] for leg in document["off_pedals"]} == {
        "left foot at rest",
        "boot crossing from brake to throttle",
        *(
            f"{what} {pedal}"
            for what in ("boot lifted off", "shin, foot on")
            for pedal in ("clutch", "brake", "throttle")
        ),
    }
    assert document["size"] | {"from": ""} == {"from": "", "length_mm": 323, "breadth_mm": 130, "ball_mm": 220}
    lifts = [leg["heel_lifts_travel"] for leg in document["on_pedals"]]
    assert lifts == sorted(lifts, reverse=True) and {leg["heel"] for leg in document["on_pedals"]} == {"lifts"}


def test_pads_are_told_with_their_spacing() -> None:
    """Clutch 60 wide at -90, brake 70 at 68, throttle 45 at 178: 93 and 52.5 between."""
    document = boots_chapter(judged("saloon-way-in"))["boots"]
    assert [(s["left"], s["right"], s["sideways_mm"]) for s in document["spacing"]] == [
        ("clutch", "brake", 93.0),
        ("brake", "throttle", 52.5),
    ]
    said = flat(boots_chapter_text(judged("saloon-way-in")))
    assert "clutch - brake: 3 21/32 in (93 mm)" in said and "less than usual" not in said


def test_a_boot_that_hits_when_lifted_is_told_and_counts() -> None:
    verdict = judged("van-500-along")
    said = flat(boots_chapter_text(verdict))
    assert "BOOTS: hits." in said and "[X] hits boot lifted off brake:" in said
    assert verdict.boots is not None
    assert verdict.outcome is Outcome.DOES_NOT_FIT
    assert "Boots: hits. Nearest to a new part on a pedal: boot on brake, to the unit" in flat(check_text(verdict))


def test_no_line_is_too_wide_and_nothing_is_promised() -> None:
    for said in (boots_chapter_text(judged("saloon-way-in")), reach_chapter_text(judged("saloon-way-in"))):
        assert max(map(len, said.splitlines())) <= 110
        assert not re.search(r"\b(safe|approved|guaranteed|certain)\b", said, re.IGNORECASE)
        assert "a geometric aid, not an approval" in said


def test_what_is_near_its_need_has_its_chance_by_draws_as_well() -> None:
    """Both roads to a spread agree within a tenth, or the place jumps; the normal chance is near the drawn one."""
    verdict = judged("saloon-way-in")
    assert verdict.reach is not None
    near = [entry for entry in verdict.reach.gaps if entry.drawn is not None]
    assert {"unit, move 1", "spanner on the clamp bolt"} <= {entry.pair.a.name for entry in near}
    for entry in near:
        assert entry.drawn is not None and entry.found.closest is not None
        assert entry.drawn.spread_mm == pytest.approx(entry.spread_mm, rel=0.1) or entry.drawn.place_changed > 0.05
        bound = entry.found.closest.gap.bound_mm
        normal = chance_under(bound, entry.pair.need.required_mm, entry.spread_mm)
        assert entry.chance_under == pytest.approx(normal, abs=0.005)


def test_the_saloons_unit_comes_out_and_goes_in() -> None:
    document = reach_chapter(judged("saloon-way-in"))["reach"]
    assert document["result"] == "clear"
    assert [move["goes_mm"] for move in document["way_out"]] == [{"down": 235.0}, {"left": 280.0}, {"back": 350.0}]
    assert all(move["result"] == "clear" and move["free_mm"] == {} for move in document["way_out"])
    hang = {row["part"]: row for row in document["hang"]}
    assert set(hang) == {"unit", "connector", "bracket"}
    assert hang["unit"]["below_column_mm"] == pytest.approx(50 - 25.4, abs=0.1), "the gear body is 100 across"
    assert hang["bracket"]["below_column_mm"] == pytest.approx(5, abs=0.11), "the clamp's wall is 5"
    said = flat(reach_chapter_text(judged("saloon-way-in")))
    assert "REACHING IN: way out: clear; rooms: clear." in said
    assert "The way in is the same backwards" in said


def test_a_way_out_that_hits_says_what_and_after_how_far() -> None:
    """The stub's and gear body's undersides over a shelf whose top is at -140: the first to come down there hits it."""
    verdict = bare('[{"down": "300 mm"}]')
    row = reach_chapter(verdict)["reach"]["way_out"][0]
    assert row["result"] == "hits" and set(row["free_mm"]) == {"shelf"}
    said = flat(reach_chapter_text(verdict))
    assert re.search(
        r"\[X\] hits move 1: 300 mm down hits the shelf \([a-z ,]+ - shelf\) after [0-9.]+ mm of 300 mm; in", said
    )
    assert verdict.outcome is Outcome.DOES_NOT_FIT
    assert "unit, move 1 - shelf" in flat(check_text(verdict))
    short = bare('[{"down": "20 mm"}]')
    assert reach_chapter(short)["reach"]["result"] == "clear"


def test_a_room_that_is_taken_says_by_what() -> None:
    room = {"name": "hand under the unit", "kind": "hand", "at": jobs.at(150, 0, 0), "toward": jobs.at(150, 0, -100)}
    verdict = bare('[{"down": "20 mm"}]', json.dumps(room))
    rows = {row["b"]: row["result"] for row in reach_chapter(verdict)["reach"]["rooms"][0]["gaps"]}
    assert rows["shelf"] == "hits"
    assert "hand under the unit: hits the shelf:" in flat(reach_chapter_text(verdict))


def test_what_the_job_does_not_say_of_reaching_in_is_asked_for() -> None:
    said = flat(reach_chapter_text(bare('[{"down": "20 mm"}]')))
    assert (
        "hang below the dash: measure the height of the dash's lower edge above the unit (key: reach.dash_edge)" in said
    )
    assert "room for hands and tools: measure each screw and plug" in said
    assert "below the dash edge" not in said


def test_the_commands_print_both_and_end_with_the_jobs_code(tmp_path: Path) -> None:
    tables = jobs.bare(pedals=[jobs.clutch()])
    nothing = written(tmp_path, tables)
    for command, key in (("boots", "no boots under [driver] yet"), ("reach", "no [reach] yet")):
        refused = Said(command, nothing)
        assert refused.code == 2 and key in refused.err
    tables["driver"] = {"foot": "men 95", "boots": [{"on": "clutch", "heel": jobs.at(430, -90, -270)}]}
    path = written(tmp_path, {**tables, "reach": {"way_out": {"moves": [{"down": "20 mm"}]}}})
    for command in ("boots", "reach"):
        told, document = Said(command, path), json.loads(Said(command, path, "--json").out)
        assert told.code == {"fits": 0, "does not fit": 1, "cannot decide": 3}[document["result"]]
        assert told.err == "" and command in document and document["schema"] == 1
