"""What people are told where whole groups move: text, document and the words for it. Invented figures."""

from fitcheck.job.opening import OpenJob
from fitcheck.report import words
from fitcheck.report.document import check_document
from fitcheck.report.text import check_text
from fitcheck.verdict import Verdict, judge
from tests import jobs
from tests.clearance.moving_saloon import saloon


def verdict_on(tables: jobs.Tables) -> Verdict:
    return judge(OpenJob(jobs.job(tables), jobs.text(tables), "job.toml", jobs.EXAMPLES, "0" * 64))


def test_a_share_is_told_with_the_side_it_goes_to() -> None:
    assert words.sways({}) == ""
    assert words.sways({"engine rock": 0.8}) == "with the engine rocked 80%, right side up"
    assert words.sways({"engine rock": -1.0}) == "with the engine rocked fully, left side up"
    assert words.sways({"engine rock": 0.0}) == "with the engine as measured"
    both = words.sways({"column reach": -0.25, "column tilt": 1.0})
    assert both == "with the column pushed 25% in and tilted fully up"
    three = words.sways({"column tilt": -0.5, "column reach": 0.001, "engine rock": 0.5})
    assert three == "with the column tilted 50% down and with the engine rocked 50%, right side up"


def test_text_and_document_say_where_in_every_movement_two_parts_come_closest() -> None:
    verdict = verdict_on(saloon("tilt", "reach", "rock"))
    row = next(row for row in check_document(verdict)["gaps"] if {row["a"], row["b"]} == {"unit", "pipe"})
    assert set(row["at_movement"]) == {"column tilt", "column reach", "engine rock"}
    assert all(-1 <= share <= 1 for share in row["at_movement"].values())
    told = words.sways(row["at_movement"])
    assert told in " ".join(check_text(verdict).split())
    column = verdict.scene.part("column")
    assert column is not None and len(column.phases) == 3


def test_parts_of_a_group_that_stands_still_for_want_of_a_reading_are_named() -> None:
    verdict = verdict_on(saloon())
    said = " ".join(check_text(verdict).split())
    assert "the engine's rock is not given: MEASURE how far it rocks at a named place" in said
    assert "judged as measured: pipe" in said
    waiting = {entry["what"]: entry for entry in check_document(verdict)["not_yet"]}
    assert waiting["the engine's rock"]["missing"] == ["groups.engine"]
    row = next(row for row in check_document(verdict)["gaps"] if {row["a"], row["b"]} == {"unit", "pipe"})
    assert "at_movement" not in row
    moving = check_document(verdict_on(saloon("rock")))
    assert "the engine's rock" not in {entry["what"] for entry in moving["not_yet"]}


def test_a_place_that_only_a_longer_travel_reaches_is_told_to_be_farther_than_measured() -> None:
    verdict = verdict_on(jobs.changed(saloon(), ("unit", "clock"), "9:00"))
    scene = verdict.scene
    assert "farther than measured" in words.one_travel("clutch", 1.08, scene, "mm")
    assert "farther than measured" not in words.one_travel("clutch", 1.04, scene, "mm")
    assert words.one_travel("clutch", 0.0, scene, "mm") == "clutch at rest"
    assert words.one_travel("clutch", -0.05, scene, "mm").startswith("clutch pulled up by hand (")
    assert "at the pad, farther than measured)" in " ".join(check_text(verdict).split())
