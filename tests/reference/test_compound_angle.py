"""True angle from a plan view and a side view; degrees. Closed forms, worked out from the formulas named.

Three ways of reading two angles give three answers; which one holds depends on how they were measured.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from fitcheck.geometry.frames import turned, unit
from fitcheck.shaft.joints import joint_angles

WITHIN = 5.1e-5
AHEAD = np.array([1.0, 0.0, 0.0])


def seen_off_line(plan: float, side: float) -> float:
    """True angle of a shaft that is seen off its line by `plan` from above and by `side` from beside it."""
    way = unit([1.0, np.tan(np.radians(plan)), np.tan(np.radians(side))])
    return float(np.degrees(joint_angles(np.array([AHEAD, way]))[0]))


@pytest.mark.parametrize(("plan", "side", "true"), [(15, 10, 17.7842), (4, 3, 4.9942), (30, 20, 34.3136)])
def test_projected_angles(plan: float, side: float, true: float) -> None:
    """tan^2 = tan^2 plan + tan^2 side, and the same from the way in space."""
    assert_allclose(seen_off_line(plan, side), true, atol=WITHIN)
    by_formula = np.arctan(np.hypot(np.tan(np.radians(plan)), np.tan(np.radians(side))))
    assert_allclose(np.degrees(by_formula), true, atol=WITHIN)


@pytest.mark.parametrize(("plan", "side", "squares"), [(15, 10, 18.0278), (4, 3, 5.0), (30, 20, 36.056)])
def test_the_rule_of_squares_is_another_number(plan: float, side: float, squares: float) -> None:
    assert_allclose(np.hypot(plan, side), squares, atol=5e-4)
    assert seen_off_line(plan, side) < squares - 0.005


@pytest.mark.parametrize(("plan", "side", "turned_by"), [(15, 10, 17.9639), (30, 20, 35.531)])
def test_turns_made_one_after_the_other(plan: float, side: float, turned_by: float) -> None:
    """cos = cos plan cos side: how `down` and `across` of a shaft are given, across being an angle in plan."""
    level = turned(AHEAD, np.array([0.0, 0.0, 1.0]), np.radians(plan))
    way = turned(level, np.cross(level, [0.0, 0.0, 1.0]), np.radians(side))
    assert_allclose(np.degrees(joint_angles(np.array([AHEAD, way]))), [turned_by], atol=5e-4)


def test_direction_of_the_bend() -> None:
    """15 in plan, 10 from the side: the plane stands at atan(tan 10 / tan 15) = 33.347."""
    way = unit([1.0, np.tan(np.radians(15)), np.tan(np.radians(10))])
    assert_allclose(np.degrees(np.arctan2(way[2], way[1])), 33.347, atol=5e-4)
