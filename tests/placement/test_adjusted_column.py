"""Tilt and reach of the column: what goes along, how far, in which order; the column level and straight ahead; mm.

A chord c at radius r is a turn of 2 asin(c / 2r) (Euclid III; any handbook's table of circle segments). Positions are
turned by scipy. Every figure is invented.
"""

from typing import Any

import numpy as np
import pytest
from numpy.testing import assert_allclose

from fitcheck.errors import KeyFault
from fitcheck.geometry.movement import Slide, Turn
from fitcheck.placement.movements_said import movements_said
from fitcheck.placement.scene import Phase, Scene, Sway
from tests import jobs
from tests.jobs import at
from tests.placement.bodies import corners, part, turned

COLUMN = {
    "hub_seat": at(600, 0, 100),
    "down": "0 deg",
    "across": "0 deg",
    "jacket_od": "40 mm",
    "jacket_from": "50 mm",
    "jacket_to": "800 mm",
}
TILT = {"pivot": at(-100, 0, 100), "up": "50 mm ± 0 mm", "down": "30 mm ± 0 mm"}
REACH = {"slides_at": "680 mm", "toward_driver": "40 mm ± 0 mm", "away": "10 mm ± 0 mm"}
UP, DOWN = 2 * np.arcsin(25 / 700), 2 * np.arcsin(15 / 700)


def adjusted(column: jobs.Tables, **changes: Any) -> Scene:
    tables = jobs.bare(column={**COLUMN, **changes.pop("jacket", {})}, groups={"column": column}, **changes)
    return jobs.scene(jobs.changed(tables, ("unit", "input_face"), "430 mm"))


def unit_against_the_body(scene: Scene) -> Phase:
    return part(scene, "unit").phases[0].against(())


def test_tilt_takes_the_hub_seat_up_and_down_by_the_tapes_chord() -> None:
    (sway,) = unit_against_the_body(adjusted({"tilt": TILT})).sways
    assert sway.name == "column tilt"
    assert_allclose(ends(sway), [-DOWN, UP], atol=1e-12)
    hub = np.array([600.0, 0, 100])
    up, down = (sway.move.moved(hub[None], angle)[0] for angle in (UP, -DOWN))
    assert_allclose([np.linalg.norm(up - hub), np.linalg.norm(down - hub)], [50, 30], atol=1e-9)
    assert up[2] > hub[2] + 49 and down[2] < hub[2] - 29 and abs(up[1]) < 1e-9


def test_reach_slides_along_the_column() -> None:
    (sway,) = unit_against_the_body(adjusted({"reach": REACH})).sways
    assert isinstance(sway.move, Slide) and sway.name == "column reach"
    assert_allclose(sway.move.direction, [1, 0, 0], atol=1e-12)
    assert_allclose(ends(sway), [-10, 40], atol=1e-12)


def test_a_level_column_that_leans_tilts_about_its_own_level_axis() -> None:
    tables = {**COLUMN, "down": "28 deg", "across": "2 deg"}
    scene = jobs.scene(jobs.bare(column=tables, groups={"column": {"tilt": {**TILT, "pivot": at(0, 20, -219)}}}))
    (sway,) = unit_against_the_body(scene).sways
    assert isinstance(sway.move, Turn)
    assert abs(sway.move.axis[2]) < 1e-12 and sway.move.axis[1] < -0.99


@pytest.mark.parametrize(("slides_at", "names"), [("680 mm", ["reach", "tilt"]), ("720 mm", ["tilt", "reach"])])
def test_the_joint_farther_from_the_wheel_carries_the_other(slides_at: str, names: list[str]) -> None:
    scene = adjusted({"tilt": TILT, "reach": {**REACH, "slides_at": slides_at}})
    phase = unit_against_the_body(scene)
    assert [sway.name for sway in phase.sways] == [f"column {name}" for name in names]
    point, at_values = np.array([[170.0, 0, 100]]), {"reach": 40.0, "tilt": UP}
    slid, tilted = point + [40.0, 0, 0], turned(point, [-100, 0, 100], [0, -1, 0], UP)
    expected = turned(slid, [-100, 0, 100], [0, -1, 0], UP) if names[0] == "reach" else tilted + [40.0, 0, 0]
    assert_allclose(phase.moved(point, tuple(at_values[name] for name in names)), expected, atol=1e-9)
    assert_allclose(phase.at_rest(expected, tuple(at_values[name] for name in names)), point, atol=1e-9)


def test_a_unit_below_the_joint_stays_where_it_is() -> None:
    scene = adjusted({"tilt": {**TILT, "pivot": at(500, 0, 100)}})
    unit = part(scene, "unit")
    assert unit.carry == () and unit.phases[0].against(()) is unit.phases[0]
    (upper, lower) = part(scene, "column").phases
    assert [sway.name for carry in upper.carry for sway in carry.sways] == ["column tilt"] and lower.carry == ()


def test_a_bracket_goes_with_the_unit_or_stays() -> None:
    clamp = {"clamp": {"along": "380 mm", "wide": "30 mm", "thick": "5 mm"}}
    stays = adjusted({"tilt": TILT}, bracket={"turns": "stays with the car", **clamp})
    goes = adjusted({"tilt": TILT}, bracket={"turns": "with the unit", **clamp})
    assert part(stays, "bracket").carry == ()
    (carry,) = part(goes, "bracket").carry
    assert [sway.name for sway in carry.sways] == ["column tilt"]
    unit = part(goes, "unit")
    assert unit.phases[0].against(part(goes, "bracket").carry) is unit.phases[0], "not against each other"
    assert unit.pulled[0].against(()).sways == unit.phases[0].against(()).sways, "pulled at the wheel as well"


def test_the_jacket_is_cut_at_its_joints_and_leaves_no_hole_as_it_comes_out() -> None:
    scene = adjusted({"tilt": TILT, "reach": REACH})
    column = part(scene, "column")
    assert [[sway.name for carry in phase.carry for sway in carry.sways] for phase in column.phases] == [
        ["column reach", "column tilt"], ["column tilt"], []
    ]  # fmt: skip
    spans = [
        (600 - corners(phase.pieces)[:, 0].max(), 600 - corners(phase.pieces)[:, 0].min()) for phase in column.phases
    ]
    # The middle reaches up 40 so that it fills what the upper leaves; the lowest by the jacket's radius at the knuckle.
    assert_allclose(spans, [(50, 680), (640, 700), (680, 800)], atol=1e-9)


@pytest.mark.parametrize(
    ("column", "path", "words"),
    [
        ({"tilt": {**TILT, "pivot": at(100, 0, 100)}}, ("tilt",), "within the unit, which reaches from 430 to 640 mm"),
        ({"reach": {**REACH, "slides_at": "500 mm"}}, ("reach",), "within the unit"),
        ({"tilt": {**TILT, "pivot": at(620, 0, 100)}}, ("tilt", "pivot"), "above the hub seat or within 50 mm"),
        ({"tilt": {**TILT, "pivot": at(400, 0, 400)}}, ("tilt", "pivot"), "farther off the column than down it"),
        ({"tilt": {**TILT, "up": "500 mm"}}, ("tilt", "up"), "500 mm is no tilt for a hub seat 700 mm"),
    ],
)
def test_an_adjustment_that_cannot_be_is_refused(column: jobs.Tables, path: tuple[str, ...], words: str) -> None:
    with pytest.raises(KeyFault, match=words) as caught:
        adjusted(column)
    assert caught.value.path == ("groups", "column", *path)


def test_a_pivot_not_measured_leaves_the_unit_open_and_says_what_to_measure() -> None:
    scene = adjusted({"tilt": {**TILT, "pivot": {"back": "-100 mm"}}})
    waits = {entry.name: entry for entry in scene.unplaced}
    assert waits["unit"].keys == ("groups.column.tilt.pivot.up",)


def ends(sway: Sway) -> list[float]:
    return [sway.move.start, sway.move.stop]


def test_whether_the_unit_goes_along_with_the_column_is_said() -> None:
    tables = jobs.bare(column=COLUMN, groups={"column": {"tilt": TILT, "reach": {**REACH, "slides_at": "120 mm"}}})
    found = list(movements_said(jobs.job(tables), jobs.scene(tables)))
    assert "groups.column.tilt takes the unit along" in found
    assert "groups.column.reach leaves the unit where it is: its joint lies above it" in found
