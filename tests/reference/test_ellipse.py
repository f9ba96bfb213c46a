"""A round column through a sloping sheet: closed form against sections by trimesh and areas by shapely. mm, radians.

A plane cuts a right circular cylinder of radius r in an ellipse of half axes r and r / cos i, area pi r^2 / cos i
(elementary geometry). trimesh and shapely are general-purpose libraries that know nothing of this project.
"""

from math import atan2, cos, pi, radians, sin, tan

import numpy as np
import pytest
import shapely
import trimesh

from fitcheck.cuts.firewall import Opening, beside_ellipse, opening, outline, sheet_frame
from fitcheck.cuts.limits import Limit
from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Frame, Vector
from fitcheck.job.sheet_metal import Firewall
from tests.jobs import Tables, deg, mm

FACETS = 2048
LEVEL = Frame.identity()
NONE = {"slope": 0.0, "across": 0.0}


def column_axis(down: float, across: float) -> Vector:
    """Unit direction down a column: degrees below level, and in plan with the lower end to the right."""
    d, a = radians(down), radians(across)
    return np.array([-cos(d) * cos(a), cos(d) * sin(a), -sin(d)])


def firewall(slope: float, across: float = 0.0, **more: object) -> Firewall:
    tables: Tables = {
        "slope": deg(slope),
        "across": deg(across),
        "passes_dia": mm(50.8),
        "thick": mm(0),
        "clearance": mm(0),
    }
    return Firewall.model_validate(tables | more)


def found(wall: Firewall, axis: Vector) -> Opening:
    return opening(wall, axis, LEVEL, NONE, 0.0)


def section(axis: Vector, sheet: Frame, radius: float) -> Vector:
    """(n, 2) corners, up and right on the sheet, of trimesh's section of a long cylinder about the axis."""
    cylinder = trimesh.creation.cylinder(radius, segment=np.array([-1000 * axis, 1000 * axis]), sections=FACETS)
    path = cylinder.section(plane_origin=np.zeros(3), plane_normal=sheet.rotation[:, 2])
    return np.asarray(path.vertices) @ sheet.rotation[:, :2]


CASES = [(28.0, 1.2, 90.0, 0.0), (50.0, -0.9, 50.0, 0.0), (28.0, 5.0, 60.0, 12.0), (60.0, 0.0, 25.0, -20.0)]


@pytest.mark.parametrize(("down", "yaw", "slope", "across"), CASES)
def test_axes_and_turn_of_the_ellipse(down: float, yaw: float, slope: float, across: float) -> None:
    """Axes by shapely's narrowest rectangle round trimesh's section, area by shapely, turn by the farthest corner."""
    axis, sheet = column_axis(down, yaw), sheet_frame(radians(slope), radians(across), LEVEL)
    hole = found(firewall(slope, across), axis)
    corners = section(axis, sheet, 25.4)
    polygon = shapely.MultiPoint(corners).convex_hull
    assert polygon.area == pytest.approx(pi * 25.4**2 / cos(hole.tilt_rad), rel=1e-5)
    assert polygon.area == pytest.approx(pi * hole.minor_mm * hole.major.mm / 4, rel=1e-5)
    reach = np.hypot(*corners.T)
    assert 2 * reach.max() == pytest.approx(hole.major.mm, abs=1e-3)
    assert 2 * reach.min() == pytest.approx(hole.minor_mm, abs=1e-3)
    farthest = corners[reach.argmax()]
    off = (atan2(farthest[1], farthest[0]) - hole.turn_rad + pi / 2) % pi - pi / 2
    assert abs(off) < radians(2)
    assert corners[:, 0].max() == pytest.approx(hole.half_up_mm, abs=1e-3)
    assert corners[:, 1].max() == pytest.approx(hole.half_right_mm, abs=1e-3)


def test_a_plain_case_by_hand() -> None:
    """A column 28 deg down through an upright sheet: 50.8 by 50.8 / cos 28 = 57.5346, long axis upright."""
    hole = found(firewall(90.0), column_axis(28.0, 0.0))
    assert hole.tilt_rad == pytest.approx(radians(28), abs=1e-12)
    assert hole.minor_mm == pytest.approx(50.8, abs=1e-12)
    assert hole.major.mm == pytest.approx(57.5346, abs=5e-5)
    assert hole.turn_rad == pytest.approx(0.0, abs=1e-9) or hole.turn_rad == pytest.approx(pi, abs=1e-9)


def test_the_lower_end_to_the_right_leans_the_ellipse() -> None:
    """Seen from the seat the long axis leans the way the column goes: down and to the right is up and to the left."""
    hole = found(firewall(90.0), column_axis(28.0, 10.0))
    assert pi / 2 < hole.turn_rad < pi
    other = found(firewall(90.0), column_axis(28.0, -10.0))
    assert other.turn_rad == pytest.approx(pi - hole.turn_rad, abs=1e-12)


def test_a_column_square_to_the_sheet_makes_a_circle() -> None:
    """40 deg down through a sheet that rises 50 deg going forward stands square to it."""
    hole = found(firewall(50.0), column_axis(40.0, 0.0))
    assert hole.tilt_rad == pytest.approx(0.0, abs=1e-7)
    assert hole.major.mm == pytest.approx(hole.minor_mm, abs=1e-9)


@pytest.mark.parametrize(("down", "yaw", "slope", "across"), CASES)
def test_the_clearance_is_kept_square_to_the_column_through_the_whole_sheet(
    down: float, yaw: float, slope: float, across: float
) -> None:
    """Every point of the opening's edge, on both faces of the sheet, lies 4 mm or more off the column's skin."""
    axis = column_axis(down, yaw)
    wall = firewall(slope, across, clearance="4 mm", thick="3 mm")
    hole, sheet = found(wall, axis), sheet_frame(radians(slope), radians(across), LEVEL)
    drawn = hole.long_mm - hole.major.mm
    assert drawn == pytest.approx(3 * tan(hole.tilt_rad), abs=1e-9)
    edge = outline(hole.major.mm / 2, hole.minor_mm / 2, drawn, hole.turn_rad, 720) @ sheet.rotation[:, :2].T
    off_axis = []
    for face in (-1.5, 1.5):
        points = edge + face * sheet.rotation[:, 2]
        off_axis.append(np.sqrt((points**2).sum(axis=1) - (points @ axis) ** 2))
    assert min(map(np.min, off_axis)) >= 25.4 + 4 - 1e-9
    assert min(map(np.min, off_axis)) <= 25.4 + 4 + 1e-3


@pytest.mark.parametrize("point", [(60.0, 5.0), (3.0, 40.0), (45.0, 45.0), (-50.0, 30.0), (70.0, 0.0), (0.0, 31.0)])
def test_distance_from_an_ellipse_against_shapely(point: tuple[float, float]) -> None:
    half_major, half_minor = 33.3, 29.4
    ring = shapely.Polygon(outline(half_major, half_minor, 0.0, 0.0, 20_000))
    assert beside_ellipse(half_major, half_minor, *point) == pytest.approx(
        ring.distance(shapely.Point(point)), abs=1e-5
    )


def test_a_point_inside_the_ellipse_is_at_no_distance() -> None:
    assert beside_ellipse(33.3, 29.4, 33.0, 0.0) == 0.0
    assert beside_ellipse(33.3, 29.4, 0.0, 0.0) == 0.0


@pytest.mark.parametrize(("down", "yaw", "slope", "across"), CASES[:3])
def test_metal_beside_the_holes_against_shapely(down: float, yaw: float, slope: float, across: float) -> None:
    """The holes' circles and the drawn-out opening as shapely polygons."""
    bolts = {"count": 3, "circle": "96 mm", "dia": "6.5 mm", "first": "12:40", "plate": "130 mm"}
    hole = found(firewall(slope, across, thick="2 mm", bolts=bolts), column_axis(down, yaw))
    drawn = hole.long_mm - hole.major.mm
    oval = shapely.Polygon(outline(hole.major.mm / 2, hole.minor_mm / 2, drawn, hole.turn_rad, 20_000))
    metal = min(oval.distance(shapely.Point(at)) for at in hole.holes_mm) - 3.25
    beside, rim = hole.limits[:2]
    assert isinstance(beside, Limit)
    assert isinstance(rim, Limit)
    assert beside.stack.mm == pytest.approx(metal, abs=1e-5)
    assert rim.stack.mm == pytest.approx((130 - 96 - 6.5) / 2, abs=1e-12)
    first = hole.holes_mm[0]
    assert atan2(first[1], first[0]) == pytest.approx(radians(20), abs=1e-12)


@pytest.mark.parametrize(("down", "yaw"), [(28.0, 0.0), (28.0, 6.0), (40.0, -4.0)])
@pytest.mark.parametrize("above", [5.0, 20.0])
def test_the_opening_over_a_fold_against_sections_by_trimesh(down: float, yaw: float, above: float) -> None:
    """Toe-board at 50 deg that folds upright above the hole: both sheets cut apart, each on its side of the fold."""
    axis = column_axis(down, yaw)
    (fold,) = found(firewall(50.0, fold={"above": mm(above), "slope": "90 deg"}), axis).folded
    lower, upper = sheet_frame(radians(50), 0.0, LEVEL), sheet_frame(radians(90), 0.0, LEVEL)
    at_fold = above * lower.rotation[:, 0]
    cylinder = trimesh.creation.cylinder(25.4, segment=np.array([-1000 * axis, 1000 * axis]), sections=FACETS)
    beyond = cylinder.section(plane_origin=at_fold, plane_normal=upper.rotation[:, 2])
    on_upper = (np.asarray(beyond.vertices) - at_fold) @ upper.rotation[:, 0]
    below = section(axis, lower, 25.4)
    assert fold.beyond_fold_mm == pytest.approx(on_upper.max(), abs=1e-3)
    assert fold.below_fold_mm == pytest.approx(above - below[:, 0].min(), abs=1e-3)
    line = shapely.LineString([(above, -100), (above, 100)])
    assert fold.width_at_fold_mm == pytest.approx(
        shapely.MultiPoint(below).convex_hull.intersection(line).length, abs=1e-2
    )


def test_a_fold_that_the_opening_does_not_reach_changes_nothing() -> None:
    assert found(firewall(50.0, fold={"above": "40 mm", "slope": "90 deg"}), column_axis(28.0, 0.0)).folded == ()


def test_a_column_along_the_sheet_is_refused() -> None:
    with pytest.raises(KeyFault, match="within 10 degrees of along the sheet"):
        found(firewall(175.0), column_axis(0.5, 0.0))


def test_the_spread_of_the_long_axis_is_its_slope_times_the_angles_spread() -> None:
    """d(2r / cos i)/di = 2 r tan i / cos i, against a difference of the closed form itself."""
    axis, step = column_axis(28.0, 0.0), 1e-6
    hole = opening(firewall(90.0), axis, LEVEL, {"slope": 0.01, "across": 0.0}, 0.0)
    more = found(firewall(90.0 + np.degrees(step)), axis).major.mm - found(firewall(90.0), axis).major.mm
    assert hole.major.rss_mm == pytest.approx(abs(more) / step * 0.01, rel=1e-3)
    assert sin(hole.tilt_rad) > 0
