"""What a second reading buys, against the van whose heater is too close to call: by hand from its own row."""

from math import sqrt
from statistics import NormalDist

import pytest

from fitcheck.confidence.again import again
from fitcheck.confidence.results import Result
from fitcheck.readings.reading import SIGMAS_95
from tests.verdicts import judged_example


def test_halved_square_of_one_spread() -> None:
    entry = next(e for e in judged_example("van-500-along").gaps if e.result is Result.TOO_CLOSE)
    best, *others = again(entry)
    assert entry.found.closest is not None
    margin = entry.found.closest.gap.bound_mm - entry.pair.need.required_mm
    part = next(share.part_mm for share in entry.shares if share.key == best.key)
    left = sqrt(sum(share.part_mm**2 for share in entry.shares) - part**2 / 2)
    assert best.chance_under == pytest.approx(NormalDist().cdf(-margin / (left / SIGMAS_95)), rel=1e-9)
    assert best.key == "unit.clock" and all(best.chance_under <= other.chance_under for other in others)


def test_nothing_is_asked_where_the_result_does_not_hang_on_readings() -> None:
    assert not any(again(entry) for entry in judged_example("dozen-go").gaps)
