"""The car built for the other side of the road is the mirror image; a datum elsewhere moves everything alike; mm."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from fitcheck.geometry.frames import Vector
from fitcheck.geometry.movement import Turn
from fitcheck.placement.scene import Part, Phase, Scene
from tests import jobs
from tests.placement.bodies import WAYS, moved

MIRROR = np.array([1.0, -1.0, 1.0])
WITHIN_MM = 1e-6
ARM = jobs.clutch()["arm"]


def by_gauge() -> jobs.Tables:
    """A car that uses what the saloon does not: gauge, level, places off the column, a Z-bar, a bracket that turns."""
    off = {"along": "470 mm", "out": "60 mm", "out_from": "skin", "clock": "10:15"}
    shaft = {"name": "pedal shaft", "at": jobs.at(165, -111, 174), "other_end": jobs.at(166, 126, 175), "dia": "22 mm"}
    pedal = {**jobs.clutch(), "pivot_shaft": "pedal shaft", "tail": [{"at": jobs.at(156, -82, 198)}]}
    del pedal["pivot"]
    bar = {"name": "Z-bar", "driven_by": "clutch", "kind": "z-bar", "pin": jobs.at(60, -40, 20), "dia": "20 mm"}
    bar |= {"lever_travel": "30 mm", "lever_moves": "forward"}
    plug = {"dia": "28 mm", "stands": "25 mm", "from_far_end": "40 mm", "side": "wheel"}
    edge = [jobs.at(0, -80, 400), jobs.at(90, -80, 410)]
    corners = [jobs.at(0, -300, 0), jobs.at(90, -300, 0), jobs.at(40, -300, 70)]
    start = jobs.at(5, -90, -40, side="left", **{"from": "mark"})
    shapes = {
        "pipe": {"through": [start, off], "dia": "12 mm"},
        "box": {"corner": jobs.at(0, -270, 120), "opposite": jobs.at(48, -175, 245)},
        "side plate": {"outline": corners, "thick": "2 mm", "to": "left"},
        "tray": {"line": edge, "width": "150 mm", "across": "right", "thick": "1 mm"},
    }
    return jobs.bare(
        job=jobs.header(sat={"sill_angle": "0.6 deg nose up", "cross_angle": "0.8 deg left down"}),
        points={"mark": jobs.at(20, -5, 330, by="level")},
        column={**jobs.bare()["column"], "across": "1.5 deg", "lower_bearing": "700 mm"},
        unit=jobs.unit("10:40", hand="under", plug=plug),
        bracket={
            "turns": "with the unit",
            "measured_at": {"clock": "11:30", "input_face": "425 mm"},
            "solids": {"leg": {"through": [off, jobs.at(262, -60, 270)], "dia": "20 mm"}},
        },
        pivot_shafts=[shaft],
        pedals=[pedal, jobs.van_clutch(name="other")],
        linkages=[{**bar, "to": jobs.at(60, -120, -40), "other_end": jobs.at(60, 40, -38)}],
        obstacles=[{"name": name, "shape": shape} for name, shape in shapes.items()],
    )


def looks(part: Part, way: Vector) -> list[Vector]:
    """How far each phase of a part, still and pulled, at three shares of its travel, reaches in fixed directions."""
    return [_looks(phase, share, way) for phase in (*part.phases, *part.pulled) for share in _shares(phase)]


def _shares(phase: Phase) -> list[float]:
    return (
        []
        if not phase.pieces
        else [0.0]
        if phase.travel is None or not isinstance(phase.moves, Turn)
        else _three(phase)
    )


def _three(phase: Phase) -> list[float]:
    assert phase.travel is not None
    shares = phase.travel.shares
    return [min(shares), (min(shares) + max(shares)) / 2, max(shares)]


def _looks(phase: Phase, share: float, way: Vector) -> Vector:
    reaches = []
    for each in phase.pieces:
        points = moved(each.vertices, phase, share) if isinstance(phase.moves, Turn) else each.vertices
        reaches.append((points @ (WAYS * way).T).max(axis=0))
    return np.array(reaches)


def compared(one: Scene, other: Scene, way: Vector, shift: Vector) -> None:
    """Every part of `other` is that of `one`, mirrored by `way` and then shifted."""
    assert [part.name for part in one.parts] == [part.name for part in other.parts]
    assert one.unplaced == other.unplaced
    for a, b in zip(one.parts, other.parts, strict=True):
        for before, after in zip(looks(a, way), looks(b, np.ones(3)), strict=True):
            off = np.abs(after[:, None] - (before + WAYS @ shift)[None]).max(
                axis=-1
            )  # pieces may come in another order
            assert len(after) == len(before) and max(off.min(axis=0).max(), off.min(axis=1).max()) <= WITHIN_MM, a.name


@pytest.mark.parametrize("make", [jobs.saloon, by_gauge])
def test_a_car_for_the_other_side_of_the_road_is_the_mirror_image(make: object) -> None:
    tables = jobs.saloon() if make is jobs.saloon else by_gauge()
    one, other = jobs.scene(tables), jobs.scene(jobs.mirrored(tables))
    assert not one.unplaced
    compared(one, other, MIRROR, np.zeros(3))
    assert_allclose(other.setting.round_jacket_mm, -one.setting.round_jacket_mm, atol=1e-9)
    assert_allclose(np.cos(other.setting.clock + one.setting.clock), 1, atol=1e-12)
    assert other.setting.motor_plane_mm == one.setting.motor_plane_mm


def test_the_mirror_of_the_mirror_is_the_car() -> None:
    for tables in (jobs.saloon(), by_gauge()):
        assert jobs.mirrored(jobs.mirrored(tables)) == tables
        assert jobs.mirrored(tables) != tables


def test_the_hand_matters_to_the_mirror() -> None:
    """Mirrored in all but its hand, the unit is another one: the comparison above can fail."""
    wrong = jobs.changed(jobs.mirrored(jobs.saloon()), ("unit", "hand"), "over")
    with pytest.raises(AssertionError, match="unit"):
        compared(jobs.scene(jobs.saloon()), jobs.scene(wrong), MIRROR, np.zeros(3))


def shifted(value: object, by: Vector) -> object:
    """The tables with the datum elsewhere: every place by offsets from it reads `by` more."""
    if isinstance(value, list):
        return [shifted(each, by) for each in value]
    if not isinstance(value, dict):
        return value
    if not {"back", "forward", "right", "left", "up", "down"} & set(value):
        return {key: shifted(each, by) for key, each in value.items()}
    if "from" in value:
        return value
    rest = {key: each for key, each in value.items() if key not in jobs.WORDS}
    return {
        **jobs.at(*(_moved_by(value, one, other, add) for (one, other), add in zip(jobs.WAYS, by, strict=True))),
        **rest,
    }


def _moved_by(place: jobs.Tables, one: str, other: str, add: float) -> float | None:
    written = place.get(one, place.get(other))
    if written is None:
        return None
    return float(written.split()[0]) * (1 if one in place else -1) + float(add)


@settings(max_examples=12, deadline=None)
@given(st.tuples(*[st.floats(-700, 700)] * 3))
def test_a_datum_elsewhere_moves_everything_alike(by: tuple[float, float, float]) -> None:
    shift = np.round(by, 6)
    moved_car = shifted(jobs.saloon(), shift)
    assert isinstance(moved_car, dict)
    one, other = jobs.scene(jobs.saloon()), jobs.scene(moved_car)
    compared(one, other, np.ones(3), shift)
    assert one.setting == other.setting
    assert one.remarks == other.remarks


@settings(max_examples=12, deadline=None)
@given(st.floats(0, 359.9), st.floats(380, 470))
def test_clock_and_place_move_the_unit_alone(clock: float, face: float) -> None:
    tables = jobs.changed(jobs.saloon(), ("unit", "clock"), jobs.deg(round(clock, 3)))
    one, other = (
        jobs.scene(jobs.saloon()),
        jobs.scene(jobs.changed(tables, ("unit", "input_face"), jobs.mm(round(face, 3)))),
    )
    for a, b in zip(one.parts, other.parts, strict=True):
        same = all(
            np.array_equal(before, after)
            for before, after in zip(looks(a, np.ones(3)), looks(b, np.ones(3)), strict=True)
        )
        assert same == (a.name not in ("unit",)), a.name
