"""The window, driven off-screen: what it says is what the engine and coal find at the very place it shows."""

import tomllib
from collections.abc import Iterator
from math import degrees
from pathlib import Path
from typing import TYPE_CHECKING

import coal
import numpy as np
import pytest

from fitcheck.clearance.at_travel import nearest_at
from fitcheck.clearance.pairs import pairs
from fitcheck.clearance.travel import phases
from fitcheck.clearance.turned import Turned
from fitcheck.confidence.results import Result
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.opening import open_job
from fitcheck.report import words
from fitcheck.report.pictures import opengl
from fitcheck.report.window.said import said
from fitcheck.verdict import Verdict, judge
from tests import jobs
from tests.command import Said, written
from tests.verdicts import judged_example

GO = "dozen-go"
if TYPE_CHECKING:
    from fitcheck.report.window.mock_up import Window


def turned(verdict: Verdict) -> Turned:
    return Turned(GapEngine(), verdict.opened.job, verdict.opened.folder, verdict.scene)


@pytest.fixture
def window() -> "Iterator[Window]":
    with opengl.off_screen():
        from fitcheck.report.window.mock_up import Window

        verdict = judged_example(GO)
        made = Window(verdict, turned(verdict), off_screen=True)
        yield made
        made.plotter.close()


def judged_at(folder: Path, clock_deg: float, place_mm: float) -> Verdict:
    """The job with its unit written somewhere else, judged afresh."""
    tables = tomllib.loads((jobs.EXAMPLES / GO / "job.toml").read_text(encoding="utf-8"))
    tables = jobs.changed(tables, ("unit", "clock"), f"{clock_deg} deg")
    return judge(open_job(Path(written(folder, jobs.changed(tables, ("unit", "input_face"), f"{place_mm} mm")))))


def slide(window: "Window", key: str, value: float) -> None:
    """The slider moved as a hand moves it."""
    slider = window.sliders[key]
    slider.GetRepresentation().SetValue(value)
    slider.InvokeEvent("InteractionEvent")


@pytest.mark.opengl
def test_sliders_move_everything_and_the_number_is_that_of_the_job_judged_there(
    window: "Window", tmp_path: Path
) -> None:
    slide(window, "clock", 318.0)
    slide(window, "place", 441.5)
    assert (degrees(window.clock), window.place_mm) == pytest.approx((318.0, 441.5))
    window.worst()
    fresh = judged_at(tmp_path, 318.0, 441.5)
    entry = min((each for each in fresh.gaps if each.result is Result.CLEAR), key=lambda each: each.margin_mm)
    closest, nearest = entry.found.closest, window.nearest
    assert closest is not None and nearest is not None
    assert {nearest.pair.a.name, nearest.pair.b.name} == {entry.pair.a.name, entry.pair.b.name}
    assert nearest.gap.bound_mm == pytest.approx(closest.gap.bound_mm, abs=0.06)
    assert f"at least {words.room(nearest.gap.bound_mm, 'in')}" in window.words
    assert f"{closest.at_travel['clutch']:.0%}" in window.words or "clutch at rest" in window.words
    window.own()
    assert window.clock == judged_example(GO).scene.setting.clock


@pytest.mark.opengl
def test_at_a_pedals_travel_the_number_is_what_coal_finds(window: "Window") -> None:
    slide(window, "pedal clutch", 62.0)
    nearest, scene = window.nearest, judged_example(GO).scene
    assert nearest is not None and window.shares == {"clutch": pytest.approx(0.62)}
    assert {nearest.pair.a.name, nearest.pair.b.name} == {"unit", "clutch"}
    unit, clutch = scene.part("unit"), scene.part("clutch")
    assert unit is not None and clutch is not None
    (moving,), (still,) = phases(clutch, unit), phases(unit, clutch)
    assert moving.moves is not None and moving.travel is not None
    value = float(np.interp(0.62, moving.travel.shares, moving.travel.values))
    swung = [hull(moving.moves.moved(piece.corners, value)) for piece in moving.pieces]
    rest, ask = coal.Transform3s(), coal.DistanceRequest()
    apart = min(
        coal.distance(one, rest, hull(piece.corners), rest, ask, coal.DistanceResult())
        for one in swung
        for piece in still.pieces
    )
    assert nearest.gap.bound_mm <= apart + 1e-6 and apart - nearest.gap.bound_mm <= 0.06


def hull(corners: Vector) -> coal.ConvexBase:
    listed = coal.StdVec_Vec3s()
    listed.extend(np.asarray(corners, dtype=float))
    return coal.ConvexBase.convexHull(listed, False, "Qt")


@pytest.mark.opengl
def test_where_the_unit_cannot_sit_it_says_so_and_stays(window: "Window") -> None:
    before = window.place_mm
    window.place_to(-400.0)
    assert window.words.startswith("The unit cannot sit there: ")
    assert window.place_mm == before


def test_a_clock_that_the_job_does_not_allow_is_known() -> None:
    verdict = judged_example("saloon-three-holes")
    asked = turned(verdict)
    steps = [(arc.start + arc.stop) / 2 for arc in asked.allowed.arcs]
    assert len(steps) == 3 and all(map(asked.allows, steps))
    assert not asked.allows(steps[0] + 0.2) and not asked.allows(steps[1] - 0.2)
    assert asked.allows(verdict.scene.setting.clock)
    assert turned(judged_example(GO)).allows(1.234)


@pytest.mark.opengl
def test_the_picture_changes_with_the_unit(window: "Window") -> None:
    before = np.asarray(window.plotter.screenshot(return_img=True), dtype=int)
    window.clock_to(200.0)
    after = np.asarray(window.plotter.screenshot(return_img=True), dtype=int)
    assert (np.abs(after - before).max(axis=2) > 60).mean() > 0.01


def test_a_hit_is_told_as_one() -> None:
    verdict = judged_example("saloon-9-00")
    every = list(pairs(verdict.opened.job, verdict.scene.parts))
    found = nearest_at(GapEngine(), every, {"clutch": 1.0, "brake": 0.0, "throttle": 0.0})
    assert found is not None and found.gap.gap_mm == 0
    told = said(found, verdict.scene, {"clutch": 1.0, "brake": 0.0}, "mm")
    assert told.startswith("nearest to its limit: unit - clutch: in by at least ") and "HITS" in told


def test_pedals_held_at_none_are_the_whole_travel() -> None:
    """Nothing held: the pair that the job's own gaps put first, and its gap."""
    verdict = judged_example("saloon-10-45")
    found = nearest_at(GapEngine(), pairs(verdict.opened.job, verdict.scene.parts), {})
    entry = min((each for each in verdict.gaps if each.result is Result.CLEAR), key=lambda each: each.margin_mm)
    assert found is not None and entry.found.closest is not None
    assert {found.pair.a.name, found.pair.b.name} == {entry.pair.a.name, entry.pair.b.name}
    assert found.gap.bound_mm == pytest.approx(entry.found.closest.gap.bound_mm, abs=0.06)
    assert found.at_travel == pytest.approx(entry.found.closest.at_travel, abs=1e-6)


def test_without_a_display_it_is_one_sentence(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.delenv("DISPLAY", raising=False)
    told = Said("show", str(jobs.EXAMPLES / GO / "job.toml"))
    assert told.code == 2 and told.out == ""
    assert told.err.startswith("no window: this machine has no display") and told.err.count("\n") == 1
    assert "libgl1-mesa-dri" in told.err and "fitcheck picture" in told.err


def test_a_window_that_cannot_be_tried_is_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    from fitcheck.errors import DrawingError

    monkeypatch.setenv("DISPLAY", ":nowhere")
    monkeypatch.setattr(opengl, "WINDOW_COMMAND", ("python-that-is-not-there",))
    with pytest.raises(DrawingError, match=r"no window: .* \(the trial drawing could not be started"):
        opengl.prepare_window()
