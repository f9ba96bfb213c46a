"""A part nobody has measured, or a shaft that does not do, stands first wherever clocks and places are shown."""

from functools import cache
from pathlib import Path
from tempfile import mkdtemp

from fitcheck.clearance.at_travel import nearest_at
from fitcheck.clearance.pairs import pairs
from fitcheck.confidence.clocking import find, to_look_at
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.opening import OpenJob
from fitcheck.report import words
from fitcheck.report.clocking_document import clocking_document
from fitcheck.report.clocking_text import clocking_text, exit_code
from fitcheck.report.page.page import page
from fitcheck.report.window.said import said
from fitcheck.verdict import Verdict, judge
from tests import jobs
from tests.confidence import clocking_car as car
from tests.verdicts import judged_example

MISSING = "clutch not judged: pedals[1].travel missing"


@cache
def opened() -> OpenJob:
    pedal = {key: value for key, value in jobs.clutch().items() if key != "travel"}
    few = {"clocks": "5:00 to 6:00", "places": "430 mm to 440 mm"}
    tables = {**car.tables(), "pedals": [pedal], "clocking": few}
    return OpenJob(jobs.job(tables), jobs.text(tables), "job.toml", car.folder(Path(mkdtemp())), "ab" * 32)


@cache
def verdict() -> Verdict:
    return judge(opened(), draws=0)


def test_the_search_names_the_part_in_its_head_and_is_sure_of_nothing() -> None:
    chapter = find(opened().job, opened().folder)
    told = " ".join(clocking_text(opened(), chapter).split())
    assert f"CANNOT DECIDE, A READING IS MISSING: {MISSING}. As far as measured, one window" in told
    assert "FITS" not in told and "Every pair is clear" not in told and "every gap is kept" not in told
    assert "sure: none of it, before every part is measured" in told
    assert exit_code(chapter) == 3 and not chapter.sure
    found = clocking_document(opened(), chapter)["clocking"]
    assert found["result"] == "not known"
    assert not found["best"]["sure"] and not any("sure" in window for window in found["windows"])


def test_page_and_window_say_so_before_any_gap() -> None:
    engine, own = GapEngine(), verdict()
    look = to_look_at(engine, own.opened.job, own.opened.folder, own.scene)
    html = page(own, {}, look)
    assert f"NOT SETTLED: as far as measured; {MISSING}. No place in the map is settled" in html
    assert "every gap is kept" not in html and "every gap that is known is kept" in html
    every = pairs(own.opened.job, (*own.scene.parts, *own.scene.unplaced))
    first, *_ = said(nearest_at(engine, every, {}), own.scene, {}, "mm", words.open_still(own)).split("\n")
    assert MISSING in first


def test_a_shaft_that_does_not_do_is_said_beside_gaps_that_are_kept() -> None:
    told = words.open_still(judged_example("saloon-steep-box"))
    assert told == "NOT SETTLED: intermediate shaft from the job's own place: outside."
    assert words.open_still(judged_example("dozen-go")) == ""
