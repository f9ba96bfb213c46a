"""A first joint set by hand to the end of the column's shaft: that end's spread in lengths and angles.

Second road: closed forms by hand. Millimetres, rad.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from fitcheck.geometry.gap import GapEngine
from fitcheck.limits import LimitResult, NotKnown
from fitcheck.shaft.chapter import find
from fitcheck.shaft.results import Check, ShaftChapter
from tests.shaft import cars


def ending(shaft_to: str, cut_end: tuple[float, float] | None = None) -> ShaftChapter:
    tables = cars.saloon()
    tables["column"] = {**tables["column"], "shaft_to": shaft_to}
    found = find(cars.job(tables), cars.scene(tables), GapEngine(), 0, cut_end)
    assert found is not None
    return found


def check(found: ShaftChapter, key: str) -> Check:
    return next(each for each in found.checks if each.key == key)


def test_a_stub_known_by_ten_millimetres_is_too_coarse_to_set_the_joint_by() -> None:
    """The joint lands where the shaft ends, so that the halves not made yet are made for those ten as well."""
    found = ending("764.6 mm ± 10 mm")
    collapse = check(found, "collapse")
    assert 10.5 > collapse.spread > 9
    assert collapse.value - 100 > 9
    assert check(found, "stub").result is LimitResult.TOO_CLOSE
    assert "too coarse to set the joint by" in check(found, "stub").note


@pytest.mark.parametrize("by_cuts", [True, False])
def test_the_ends_spread_is_added_as_squares(by_cuts: bool) -> None:
    """The span changes by the cosine of the first joint's angle; the stub's own 2 mm and the hub's two calipers."""
    sure, found = ending("764.6 mm ± 0.001 mm"), ending("764.6 mm ± 0.001 mm", (764.6, 2.0))
    if not by_cuts:
        found = ending("764.6 mm ± 2 mm")
    bend = sure.joints[0].bend
    assert not isinstance(bend, NotKnown)
    added = found.spreads["span 0"].first_order ** 2 - sure.spreads["span 0"].first_order ** 2
    assert_allclose(np.sqrt(added), 2 * np.cos(bend.angle), rtol=0.03)
    for name in ("bend 0", "bend 1", "ripple", "bar 0", "hub beyond unit"):
        assert found.spreads[name].most > sure.spreads[name].most, name
