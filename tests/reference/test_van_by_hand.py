"""The van example against a second placing by hand: column by angle gauge, floor-hinged pedals, the bracket's mesh.

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

NAME = "van-500-along"
PULLS_IN_MM = 0.2  # how far a boot goes on within the 0.002 of its swing a first touch is found to


@cache
def car() -> Car:
    return Car(NAME, "bracket.stl")


@cache
def judged() -> dict[tuple[str, str], Judged]:
    """What is judged of unit and bracket against the rest of the car."""
    entries = {(entry.pair.a.name, entry.pair.b.name): entry for entry in judged_example(NAME).gaps}
    return {who: entry for who, entry in entries.items() if who[0] in car().movers and who[1] in car().others}


def test_column_and_unit_stand_where_the_gauge_puts_them() -> None:
    by_hand, verdict = car(), judged_example(NAME)
    column2car = ColumnAxis(verdict.opened.job).column2car
    axes = np.column_stack([by_hand.column.twelve, by_hand.column.three, by_hand.column.down])
    assert np.abs(column2car.rotation - axes).max() <= 1e-12
    # 49.7 degrees against gravity, the nose 0.3 up: 50.0 against the car, less a hair for the column's 0.9 across.
    assert np.degrees(np.arcsin(-column2car.rotation[2, 2])) == pytest.approx(50.0, abs=1e-4)
    assert np.abs(column2car.origin - [514, 8, 653]).max() <= 1e-9
    setting = verdict.scene.setting
    assert (setting.input_face_mm, setting.motor_plane_mm) == pytest.approx((375, 500), abs=1e-9)
    assert (by_hand.assist.face, by_hand.assist.face + by_hand.assist.middle) == pytest.approx((375, 500), abs=1e-9)


def test_no_bound_is_over_and_none_unexplainedly_under_the_distance_by_hand() -> None:
    by_hand, entries = car(), judged()
    assert set(entries) == {(mover, other) for mover in by_hand.movers for other in by_hand.others}
    wrong = []
    for (mover, other), entry in entries.items():
        assert entry.found.closest is not None
        gap = entry.found.closest.gap
        least, slack = by_hand.least(mover, other), by_hand.slack(mover, other)
        if said := complaint(gap.bound_mm, gap.bracketed, least, slack):
            wrong.append(f"{mover} - {other}: {said}")
    assert not wrong, wrong
    assert sum(entry.found.closest is not None and entry.found.closest.gap.bracketed for entry in entries.values()) >= 9


def test_the_boot_on_the_brake_hits_as_deep_and_as_early_as_by_hand() -> None:
    by_hand, entry = car(), judged()["unit", "boot on brake"]
    assert entry.result is Result.HITS
    assert entry.found.closest is not None and entry.found.first_touch is not None
    depth, slack = entry.found.closest.gap.depth_mm, by_hand.slack("unit", "boot on brake")
    assert entry.found.closest.gap.gap_mm == 0
    assert 0 <= depth + by_hand.least("unit", "boot on brake") <= slack
    parts = by_hand.movers["unit"], by_hand.heaves["unit"], by_hand.driven["boot on brake"]
    touch = entry.found.first_touch
    assert 0.9 < touch <= first_touch(*parts) + 0.002
    assert least_at(touch - 0.01, *parts) > CLOSE_MM
    assert least_at(touch, *parts) <= slack + PULLS_IN_MM


def test_the_boot_on_the_clutch_is_met_only_as_someone_heaves_on_the_wheel() -> None:
    """Unheaved it keeps over 1.8 mm, by hand as well: a judgement without the heave would miss that it may be met."""
    by_hand, entry = car(), judged()["unit", "boot on clutch"]
    unheaved = by_hand.heaves["unit"][:1]
    assert (
        least_at(
            by_hand.driven["boot on clutch"].highest, by_hand.movers["unit"], unheaved, by_hand.driven["boot on clutch"]
        )
        > 1.8
    )
    assert entry.found.closest is not None and entry.found.closest.gap.bound_mm < 0.6
