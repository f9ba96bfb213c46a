"""Someone pulls the wheel: the unit turned exactly about the lower bearing lies within the swept pieces; mm."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.spatial import ConvexHull

from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Vector
from fitcheck.placement.scene import Part
from tests import jobs
from tests.placement.bodies import WAYS, corners, part, turned

HUB = np.array([636.0, -13.0, 338.0])
WAY = np.array([-np.cos(np.radians(28)), 0.0, -np.sin(np.radians(28))])
TWELVE = np.array([-np.sin(np.radians(28)), 0.0, np.cos(np.radians(28))])
THREE = np.array([0.0, 1.0, 0.0])
# Corner of the regular octagon whose sides touch a circle of 3: 3 / cos(22.5 deg).
CORNER = 3 / np.cos(np.pi / 8)
BRACKET = {"turns": "with the unit", "clamp": {"along": "400 mm", "wide": "30 mm", "thick": "5 mm"}}


def pulled_unit(bearing_mm: float | None, name: str = "unit", **tables: object) -> Part:
    column = {**jobs.bare()["column"]}
    if bearing_mm is not None:
        column["lower_bearing"] = jobs.mm(bearing_mm)
    plug = {"dia": "28 mm", "stands": "25 mm", "from_far_end": "40 mm", "side": "wheel"}
    unit = jobs.unit("9:00", plug=plug, worm={"dia": "52 mm", "behind": "36 mm"})
    return part(jobs.scene(jobs.bare(column=column, unit=unit, **tables)), name)


def heaves(pull: float, lever: float, count: int, axes: int = 2) -> list[tuple[Vector, float]]:
    """Axis and angle of many positions between both ends of each heave: the input face moves at most `pull`."""
    most = np.arcsin(pull / lever)
    turned_by = np.arange(axes) * np.pi / axes
    about = [np.cos(turn) * TWELVE + np.sin(turn) * THREE for turn in turned_by]
    return [(axis, angle) for axis in about for angle in np.linspace(-most, most, count)]


def test_the_input_face_moves_three_each_way_about_the_lower_bearing() -> None:
    """270 above its bearing by 3 (the default; common practice, no source), at the octagon's corners by 3.25."""
    face = HUB + 430 * WAY
    ends = [turned(face, HUB + 700 * WAY, axis, angle) - face for axis, angle in heaves(3, 270, 2)]
    for moved, way in zip(ends, (-THREE, THREE, TWELVE, -TWELVE), strict=True):
        assert_allclose(abs(moved @ way), 3, atol=1e-9)
    unit = pulled_unit(700)
    still, swept = corners(unit.phases[0].pieces), corners(unit.pulled[0].pieces)
    at_face = np.abs((still - face) @ WAY) < 1e-6
    drum = np.abs((swept - face) @ WAY) < 0.5
    for k in range(16):
        way = np.cos(k * np.pi / 8) * TWELVE + np.sin(k * np.pi / 8) * THREE
        pull = 3 if k % 2 else CORNER
        assert_allclose((swept[drum] @ way).max() - (still[at_face] @ way).max(), pull, atol=0.02)


@pytest.mark.parametrize(("bearing", "pull"), [(700.0, 3.0), (660.0, 8.0), (520.0, 25.0), (481.0, 25.0)])
def test_swept_pieces_hold_every_exactly_turned_one(bearing: float, pull: float) -> None:
    """Rodrigues' formula about 32 axes, at five angles each: none of the exactly turned corners stands out anywhere."""
    unit = pulled_unit(bearing, require={"wheel_pull": jobs.mm(pull)})
    for still, swept in zip(unit.phases[0].pieces, unit.pulled[0].pieces, strict=True):
        assert stands_out(swept.vertices, still.corners, bearing, pull) <= 1e-9, still.name


@pytest.mark.parametrize(("bearing", "pull", "by"), [(700.0, 3.0, 0.0004), (520.0, 25.0, 0.7), (481.0, 25.0, 1.9)])
def test_the_true_turns_of_the_eight_pulls_alone_would_let_it_out(bearing: float, pull: float, by: float) -> None:
    """So the test above can fail: the motor can, 60 mm off the column's axis, without what is taken farther."""
    unit = pulled_unit(bearing, require={"wheel_pull": jobs.mm(pull)})
    still, swept = unit.phases[0].pieces[3], unit.pulled[0].pieces[3]
    assert still.name == "motor can"
    maps = swept.vertices.reshape(4, 3, 2, -1, 3)  # axis; straight, truly turned, taken farther; either way
    assert stands_out(maps[:, :2].reshape(-1, 3), still.corners, bearing, pull) > by


def stands_out(hull: Vector, still: Vector, bearing: float, pull: float) -> float:
    """How far exactly turned corners stand out of a hull, mm."""
    planes = ConvexHull(hull).equations
    positions = heaves(pull, bearing - 430, 5, axes=32)
    points = np.concatenate([turned(still, HUB + bearing * WAY, axis, angle) for axis, angle in positions])
    points = points[ConvexHull(points).vertices]
    return float((points @ planes[:, :3].T + planes[:, 3]).max())


def test_swept_pieces_reach_no_farther_than_two_hundredths_beyond() -> None:
    """Against the hull of 61 exact positions of each heave to a corner of the octagon, in 300 directions."""
    unit = pulled_unit(700)
    for still, swept in zip(unit.phases[0].pieces, unit.pulled[0].pieces, strict=True):
        corner = heaves(float(CORNER), 270, 61, axes=4)
        exact = np.vstack([turned(still.vertices, HUB + 700 * WAY, axis, angle) for axis, angle in corner])
        beyond = (swept.vertices @ WAYS.T).max(axis=0) - (exact @ WAYS.T).max(axis=0)
        assert beyond.min() >= -1e-9 and beyond.max() <= 0.02, still.name


def test_places_named_on_a_piece_stay_with_it() -> None:
    unit = pulled_unit(700)
    for still, swept in zip(unit.phases[0].pieces, unit.pulled[0].pieces, strict=True):
        assert still.name == swept.name and [word for word, _ in still.places] == [word for word, _ in swept.places]


def test_without_a_bearing_the_column_turns_about_the_jackets_lower_end() -> None:
    """The jacket ends 700 along; common practice, no source: an old column's lower bearing sits in its end."""
    assert_allclose(corners(pulled_unit(None).pulled[0].pieces), corners(pulled_unit(700).pulled[0].pieces), atol=0)
    assert not np.allclose(corners(pulled_unit(None).pulled[0].pieces), corners(pulled_unit(690).pulled[0].pieces))


@pytest.mark.parametrize("bearing", [None, 700.0])
def test_no_pull_leaves_the_unit_as_it_is(bearing: float | None) -> None:
    unit = pulled_unit(bearing, require={"wheel_pull": "0 mm"})
    assert_allclose(corners(unit.pulled[0].pieces), corners(unit.phases[0].pieces), atol=0)


def test_a_bracket_goes_with_the_pull_only_if_it_turns_with_the_unit() -> None:
    loose = pulled_unit(700, "bracket", bracket=BRACKET)
    assert len(corners(loose.pulled[0].pieces)) > len(corners(loose.phases[0].pieces))
    fast = pulled_unit(700, "bracket", bracket={**BRACKET, "turns": "stays with the car"})
    assert_allclose(corners(fast.pulled[0].pieces), corners(fast.phases[0].pieces), atol=0)


def test_a_bearing_at_or_above_the_unit_is_refused() -> None:
    for bearing in (300.0, 430.0, 480.0):
        with pytest.raises(KeyFault, match="at least 50 mm below the unit's input face") as caught:
            pulled_unit(bearing)
        assert caught.value.path == ("column", "lower_bearing")


@pytest.mark.parametrize("pull", [25.1, 40.0, 1000.0])
def test_a_pull_no_column_gives_is_refused_and_not_cut_down(pull: float) -> None:
    with pytest.raises(KeyFault, match="a pull moves the unit by 0 to 25 mm") as caught:
        pulled_unit(700, require={"wheel_pull": jobs.mm(pull)})
    assert caught.value.path == ("require", "wheel_pull")
