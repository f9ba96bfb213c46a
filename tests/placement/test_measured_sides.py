"""Readings to a surface: half the size is added toward the middle, and the job's remarks say so; millimetres."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from fitcheck.errors import KeyFault
from fitcheck.placement.column import ColumnAxis
from tests import jobs
from tests.geometry.within import outside_by
from tests.placement.bodies import corners, part

WITHIN_MM = 1e-9
HUB = np.array([636.0, -13.0, 338.0])


def column_by(low: jobs.Tables) -> jobs.Tables:
    column = {name: value for name, value in jobs.bare()["column"].items() if name not in ("down", "across")}
    return {**column, "low": low}


@pytest.mark.parametrize(("side", "clock_deg"), [("underside", 180), ("top", 0), ("left", 270), ("right", 90)])
def test_a_place_on_the_jackets_skin_leads_to_its_axis(side: str, clock_deg: float) -> None:
    """The skin of a 50.8 jacket at 600 along, square out from the true axis; back to the axis within 0.03 mm.

    The half size is laid off square to the line from the hub seat, which leaves the axis by r^3 / 2 L^2 = 0.02 mm.
    """
    down = np.radians(28)
    way = np.array([-np.cos(down), 0, -np.sin(down)])
    twelve, three = np.array([-np.sin(down), 0, np.cos(down)]), np.array([0.0, 1.0, 0.0])
    clock = np.radians(clock_deg)
    skin = HUB + 600 * way + 25.4 * (np.cos(clock) * twelve + np.sin(clock) * three)
    axis = ColumnAxis(jobs.job(jobs.bare(column=column_by(jobs.at(*skin, side=side)))))
    low = axis.column2car.points([0, 0, 600])
    assert np.linalg.norm(low - (HUB + 600 * way)) <= 0.03
    assert list(axis.notes) == [f"column.low was measured to its {side} side: half its size, 25.4 mm, was added"]


def test_the_saloons_column_by_its_underside() -> None:
    """Car A: 28.0 deg down and 1.2 deg across from two places, the lower taken to the jacket's underside."""
    way = ColumnAxis(jobs.job(jobs.saloon())).column2car.rotation[:, 2]
    assert abs(np.degrees(np.arcsin(-way[2])) - 28.0) < 0.05
    assert abs(np.degrees(np.arctan2(way[1], -way[0])) - 1.2) < 0.1
    remarks = jobs.scene(jobs.saloon()).remarks
    assert "column.low was measured to its underside side: half its size, 25.4 mm, was added" in remarks


@pytest.mark.parametrize(
    ("side", "middle"),
    [("top", (0, 0, -21)), ("underside", (0, 0, 21)), ("front", (21, 0, 0)), ("rear", (-21, 0, 0))],
)
def test_a_pipe_across_the_car_measured_to_any_side(side: str, middle: tuple[float, float, float]) -> None:
    shape = {"through": [jobs.at(50, -200, 60, side=side), jobs.at(50, 200, 60, side=side)], "dia": "42 mm"}
    scene = jobs.scene(jobs.bare(obstacles=[{"name": "pipe", "shape": shape}]))
    points = corners(part(scene, "pipe").phases[0].pieces)
    assert_allclose((points.min(axis=0) + points.max(axis=0)) / 2, np.array([50, 0, 60]) + middle, atol=1e-6)
    assert any("half its size, 21.0 mm, was added" in remark for remark in scene.remarks)


def test_half_a_sloping_pipe_is_laid_off_square_to_it() -> None:
    """A pipe rising at 45 deg to the rear: the underside is 21 off its axis square to it, not straight up."""
    axis = [np.array([0.0, 50.0, 0.0]), np.array([300.0, 50.0, 300.0])]
    below = 21 * np.array([1, 0, -1]) / np.sqrt(2)
    shape = {"through": [jobs.at(*(end + below), side="underside") for end in axis], "dia": "42 mm"}
    scene = jobs.scene(jobs.bare(obstacles=[{"name": "pipe", "shape": shape}]))
    points = corners(part(scene, "pipe").phases[0].pieces)
    assert_allclose((points.min(axis=0) + points.max(axis=0)) / 2, [150, 50, 150], atol=1e-6)


def test_a_pivot_shaft_measured_to_its_underside() -> None:
    shaft = {"name": "pedal shaft", "at": jobs.at(165, -111, 163, side="underside"), "dia": "22 mm"}
    shaft["other_end"] = jobs.at(165, 126, 174)
    scene = jobs.scene(jobs.bare(pivot_shafts=[shaft]))
    points = corners(part(scene, "pedal shaft").phases[0].pieces)
    assert_allclose((points.min(axis=0) + points.max(axis=0)) / 2, [165, 7.5, 174], atol=1e-6)


def test_a_named_point_may_carry_its_side() -> None:
    points = {"low on the jacket": jobs.at(103, -13, 57, side="underside")}
    column = {**column_by({}), "low": "low on the jacket"}
    (note,) = ColumnAxis(jobs.job(jobs.bare(column=column, points=points))).notes
    assert note.startswith('points."low on the jacket" was measured to its underside side: half its size, 25.4 mm')


def arm_places(edge: str) -> np.ndarray:
    """Where the arm's middle runs at a straight vertical stretch, from readings to one of its edges."""
    shift = {"middle": 0, "front": -14, "rear": 14}[edge]
    line = ((165, -82, 100), (165 + shift, -82, 0), (165, -82, -70))
    arm = [{"at": jobs.at(*point), "edge": edge if i == 1 else "middle"} for i, point in enumerate(line)]
    pedal = jobs.clutch(arm=arm, pad=jobs.pad(jobs.at(177, -82, -90), tilt="0 deg"), side_wear="0 mm")
    scene = jobs.scene(jobs.bare(pedals=[pedal]))
    if edge != "middle":
        assert f"clutch arm was measured to its {edge} edge: half its width, 14.0 mm, was added" in scene.remarks
    return corners([each for each in part(scene, "clutch").phases[0].pieces if each.name == "clutch arm"])


@pytest.mark.parametrize("edge", ["front", "rear"])
def test_a_place_on_the_arms_edge_leads_to_its_middle(edge: str) -> None:
    assert_allclose(arm_places(edge), arm_places("middle"), atol=1e-9)


def test_the_arms_own_edge_lies_where_the_tape_went() -> None:
    """Car A's clutch where it passes the column: the front edge at the reading, 28 wide behind it."""
    pedal = jobs.clutch(side_wear="0 mm")
    pedal["arm"][1] = {"at": jobs.at(258, -90, -8), "edge": "front"}
    arm = part(jobs.scene(jobs.bare(pedals=[pedal])), "clutch").phases[0].pieces
    bars = [each for each in arm if each.name == "clutch arm"]
    assert outside_by(bars, np.array([[258.0, -90, -8]]))[0] <= 1e-9, "the reading is on the metal"
    onward = np.array([316 - 203, 0, -90 - 92.0])
    ahead = np.cross([0, 1, 0], onward) / np.linalg.norm(onward)
    ahead *= -np.sign(ahead[0])
    assert outside_by(bars, np.array([[258.0, -90, -8]]) + 0.5 * ahead)[0] > 0, "half a millimetre ahead is air"


def test_an_arm_that_runs_fore_and_aft_has_no_front_edge() -> None:
    pedal = jobs.clutch(pad=jobs.pad(jobs.at(320, -90, 60)))
    edges = {200: "middle", 250: "front", 300: "middle"}
    pedal["arm"] = [{"at": jobs.at(back, -82, 160), "edge": edge} for back, edge in edges.items()]
    with pytest.raises(KeyFault, match="measure to its middle") as caught:
        jobs.scene(jobs.bare(pedals=[pedal]))
    assert caught.value.path == ("pedals", 0, "arm", 1, "edge")


NO_SIDE = [
    ("column", "hub_seat"),
    ("pedals", 0, "pad", "at"),
    ("pedals", 0, "arm", 0, "at"),
    ("pedals", 0, "pivot"),
    ("driver", "boots", 0, "heel"),
    ("obstacles", 0, "shape", "corner"),
    ("linkages", 0, "pin"),
]


@pytest.mark.parametrize("path", NO_SIDE)
def test_a_side_where_half_a_size_is_unknown_is_refused(path: tuple[str | int, ...]) -> None:
    box = {"corner": jobs.at(0, -270, 120), "opposite": jobs.at(48, -175, 245)}
    rod = {"name": "rod", "driven_by": "clutch", "kind": "pushrod", "dia": "8 mm"}
    tables = jobs.bare(
        pedals=[jobs.clutch()],
        linkages=[{**rod, "pin": jobs.at(189, -82, 120), "to": jobs.at(-10, -82, 130)}],
        driver={"foot": "men 95", "boots": [{"on": "clutch", "heel": jobs.at(430, -90, -270)}]},
        obstacles=[{"name": "fuse panel", "shape": box}],
    )
    with pytest.raises(KeyFault, match="'side' says nothing here: measure to the middle") as caught:
        jobs.scene(jobs.changed(tables, (*path, "side"), "rear"))
    assert caught.value.path == path


def test_half_along_a_part_is_no_side_of_it() -> None:
    """The left end of a shaft that runs across the car is no side that half its diameter could be added to."""
    shaft = {"name": "pedal shaft", "at": jobs.at(165, -111, 174, side="left"), "dia": "22 mm"}
    shaft["other_end"] = jobs.at(165, 126, 174)
    with pytest.raises(KeyFault, match="runs that way") as caught:
        jobs.scene(jobs.bare(pivot_shafts=[shaft]))
    assert caught.value.path == ("pivot_shafts", 0, "at")
