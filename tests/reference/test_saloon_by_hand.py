"""The saloon examples against a second placing by hand, with exact round solids and true turns.

Source of the distances: coal 3, the convex distance library of the pinocchio project. Placing and movements: `by_hand`
and `by_hand_driven`, from the job file's own figures by the formulas stated there.
"""

from functools import cache

import numpy as np
import pytest

from fitcheck.confidence.results import Judged, Result
from fitcheck.placement.column import ColumnAxis
from tests.reference.by_hand import CLOSE_MM, complaint
from tests.reference.by_hand_car import Car
from tests.reference.by_hand_driven import first_touch, least_at
from tests.verdicts import judged_example

NAMES = ("saloon-9-00", "saloon-10-45")
FACE_MM, MOTOR_PLANE_MM = 430.2125, 555.2125  # 16 15/16 in; sensor 80 and half of 90 farther
PULLS_IN_MM = 0.2  # how far the arm goes beside the can within the 0.002 of its swing a first touch is found to


@cache
def car(name: str) -> Car:
    return Car(name)


@cache
def judged(name: str) -> dict[tuple[str, str], Judged]:
    """What is judged of unit and bracket against the rest of the car."""
    entries = {(entry.pair.a.name, entry.pair.b.name): entry for entry in judged_example(name).gaps}
    return {who: entry for who, entry in entries.items() if who[0] in car(name).movers and who[1] in car(name).others}


@pytest.mark.parametrize("name", NAMES)
def test_column_and_unit_stand_where_the_readings_put_them(name: str) -> None:
    by_hand, verdict = car(name), judged_example(name)
    column2car = ColumnAxis(verdict.opened.job).column2car
    axes = np.column_stack([by_hand.column.twelve, by_hand.column.three, by_hand.column.down])
    assert np.abs(column2car.rotation - axes).max() <= 1e-6
    assert np.degrees(np.arcsin(-column2car.rotation[2, 2])) == pytest.approx(27.983, abs=0.003)
    assert np.abs(column2car.origin - [636, -13, 398]).max() <= 1e-9
    setting = verdict.scene.setting
    assert (setting.input_face_mm, by_hand.assist.face) == pytest.approx((FACE_MM, FACE_MM), abs=1e-9)
    assert setting.motor_plane_mm == pytest.approx(MOTOR_PLANE_MM, abs=1e-9)
    assert by_hand.assist.face + by_hand.assist.middle == pytest.approx(MOTOR_PLANE_MM, abs=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_no_bound_is_over_and_none_unexplainedly_under_the_distance_by_hand(name: str) -> None:
    by_hand, entries = car(name), judged(name)
    assert set(entries) == {(mover, other) for mover in by_hand.movers for other in by_hand.others}
    wrong = []
    for (mover, other), entry in entries.items():
        assert entry.found.closest is not None
        gap = entry.found.closest.gap
        least, slack = by_hand.least(mover, other), by_hand.slack(mover, other)
        if said := complaint(gap.bound_mm, gap.bracketed, least, slack):
            wrong.append(f"{mover} - {other}: {said}")
    assert not wrong, wrong
    assert (
        sum(entry.found.closest is not None and entry.found.closest.gap.bracketed for entry in entries.values()) >= 20
    )


def test_the_can_hits_the_clutch_as_deep_and_as_early_as_by_hand() -> None:
    by_hand, entry = car(NAMES[0]), judged(NAMES[0])["unit", "clutch"]
    assert entry.result is Result.HITS
    assert entry.found.closest is not None and entry.found.first_touch is not None
    depth, slack = entry.found.closest.gap.depth_mm, by_hand.slack("unit", "clutch")
    assert entry.found.closest.gap.gap_mm == 0
    assert 0 <= depth + by_hand.least("unit", "clutch") <= slack
    touch, parts = entry.found.first_touch, (by_hand.movers["unit"], by_hand.heaves["unit"], by_hand.driven["clutch"])
    assert 0.5 < touch <= first_touch(*parts) + 0.002
    assert least_at(touch - 0.01, *parts) > CLOSE_MM
    assert least_at(touch, *parts) <= slack + PULLS_IN_MM


def test_a_bound_over_or_far_under_is_found() -> None:
    assert complaint(10.001, True, 10.0, 0.3)
    assert complaint(9.6, True, 10.0, 0.3)
    assert complaint(float("nan"), False, 10.0, 0.3)
    assert complaint(9.6, False, 10.0, 0.3) == complaint(9.8, True, 10.0, 0.3) == ""
