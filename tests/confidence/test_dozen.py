"""The saloon on a dozen readings taped in a footwell, against a rough calculation made before the engine was.

That calculation (arm surfaces sampled, no side wear, the wheel not pulled, the clock exact) found for the motor against
the clutch arm 4.0 to 4.3 mm, and which readings cause it: hub seat rearward 2.6, pivot rearward 2.4, along 1.8, the arm
where it bulges 1.2, travel 0.8 mm; all others under 1. Travel is covered beyond its end, so it is no part here.
"""

from math import sqrt

import pytest

from fitcheck.confidence.results import Judged
from tests.verdicts import judged_example

ROUGHLY = {
    "column.hub_seat.back": 2.6,
    "pedals[1].pivot.back": 2.4,
    "unit.input_face": 1.8,
    "pedals[1].arm[1].at.back": 1.2,
}
SPREADS = {"column.hub_seat.back": 3.0, "pedals[1].pivot.back": 3.0, "unit.input_face": 2.0, "pedals[1].travel": 4.0}


def of_clutch(name: str) -> Judged:
    return next(e for e in judged_example(name).gaps if (e.pair.a.name, e.pair.b.name) == ("unit", "clutch"))


def test_motor_to_clutch_arm_has_its_spread_and_its_ranking() -> None:
    """At 9:00 the can meets the arm from behind: rearward readings count, in the same order."""
    entry = of_clutch("dozen-no-go")
    assert 4.0 <= entry.spread_mm <= 4.3
    parts = {share.key: abs(share.part_mm) for share in entry.shares}
    assert list(parts)[:3] == list(ROUGHLY)[:3]
    for key, rough in ROUGHLY.items():
        assert parts[key] == pytest.approx(rough, abs=0.45), key
    assert entry.spread_mm == pytest.approx(sqrt(sum(part**2 for part in parts.values())), rel=1e-12)
    beyond = {key: part for key, part in parts.items() if key not in ROUGHLY}
    assert max(beyond.values()) < 1.05, "all others about 1 or under"


def test_each_spread_behind_it_is_the_footwell_s() -> None:
    entry = of_clutch("dozen-no-go")
    for share in entry.shares:
        if share.reading is not None and share.key in SPREADS:
            assert share.reading.spread == SPREADS[share.key]
            assert share.reading.spread_from.startswith("stated")


def test_at_10_45_it_is_the_gear_body_beside_the_arm_and_readings_sideways_decide() -> None:
    """Another place is closest there, so another ranking: the arm's place sideways comes in whole, the column's by
    where the gear body lies between hub seat and low place (the lever, plane geometry).
    """
    entry = of_clutch("dozen-go")
    assert entry.found.closest is not None and entry.found.closest.a_where.startswith("gear body")
    parts = {share.key: abs(share.part_mm) for share in entry.shares}
    assert list(parts)[:3] == ["pedals[1].arm[1].at.left", "column.low.left", "column.hub_seat.left"]
    assert parts["pedals[1].arm[1].at.left"] == pytest.approx(3.0, abs=0.01)
    assert parts["column.low.left"] + parts["column.hub_seat.left"] == pytest.approx(3.0, abs=0.02)
    assert 3.9 <= entry.spread_mm <= 4.3 and entry.chance_under < 0.025
