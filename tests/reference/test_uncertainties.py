"""Spreads against `uncertainties`, a general library for first-order propagation (second tool), and published values.

GUM (JCGM 100:2008), H.1, end gauge: inputs and results of table H.1 as read in public test suites that quote it: first
order 32 nm (31.71 unrounded). JCGM 101:2008, 9.5 draws the same inputs and gets u = 36 nm: what first order leaves out
is the products of the differences. Here the inputs are observations of a net, what is made of them an unknown more.
"""

from math import sqrt
from typing import Any

import numpy as np
import pytest
from uncertainties import correlated_values, ufloat, umath

from fitcheck.readings.adjust import Adjusted, Net, Observation, adjust
from fitcheck.readings.reading import SIGMAS_95, Reading
from tests.readings.nets import CROSSED_NAMES, adjusted, tape

# Inputs of H.1: value and standard uncertainty, lengths in nm from 50 mm (the guide's l_s, d) and nm per 50 mm.
STANDARD_NM, D_NM = (623.0, 25.0), (215.0, 9.7)
DELTA_ALPHA, THETA = (0.0, 0.58e-6), (-0.1, 0.41)
ALPHA, DELTA_THETA = (11.5e-6, 1.2e-6), (0.0, 0.029)
LENGTH_NM = 50e6


def gauge(standard: Any, d: Any, delta_alpha: Any, theta: Any, alpha: Any, delta_theta: Any) -> Any:
    """l - 50 mm, nm: l_s + d - l_s (delta_alpha theta + alpha delta_theta)."""
    return standard + d - (LENGTH_NM + standard) * (delta_alpha * theta + alpha * delta_theta)


INPUTS = (STANDARD_NM, D_NM, DELTA_ALPHA, THETA, ALPHA, DELTA_THETA)


def net() -> Adjusted:
    """The six inputs, each counted in its own uncertainty, and the result as a seventh unknown tied to them."""
    observations = [
        Observation(
            Reading((f"x{i}",), value / u, SIGMAS_95, "stated", False), f"x{i}", (f"x{i}",), lambda x: float(x[0])
        )
        for i, (value, u) in enumerate(INPUTS)
    ]

    def tied(result: np.ndarray, *scaled: np.ndarray) -> float:
        made = gauge(*(float(x[0]) * u for x, (_, u) in zip(scaled, INPUTS, strict=True)))
        return float(result[0]) - float(made) / 10

    blocks = ("l", *(f"x{i}" for i in range(6)))
    observations.append(Observation(Reading(("l",), 0.0, 1e-3, "stated", False), "l", blocks, tied))
    start = {"l": np.array([80.0])} | {f"x{i}": np.array([value / u]) for i, (value, u) in enumerate(INPUTS)}
    return adjust(Net(tuple(observations), start, {}))


def test_end_gauge_of_the_gum() -> None:
    found = net()
    at = found.net.slices["l"].start
    assert 10 * found.block("l")[0] == pytest.approx(838.0, abs=0.05), "50.000838 mm"
    u = 10 * sqrt(found.covariance[at, at])
    assert u == pytest.approx(31.71, abs=0.01) and round(u) == 32


def test_end_gauge_by_uncertainties() -> None:
    result = gauge(*(ufloat(value, u) for value, u in INPUTS))
    found = net()
    at = found.net.slices["l"].start
    assert 10 * sqrt(found.covariance[at, at]) == pytest.approx(result.std_dev, rel=1e-5)


def test_draws_of_the_end_gauge_show_what_first_order_leaves_out() -> None:
    """Normal draws of the same uncertainties: second order alone makes 33.9 of 31.7 nm (closed form of the product)."""
    rng = np.random.default_rng(2)
    drawn = gauge(*(value + u * rng.standard_normal(400_000) for value, u in INPUTS))
    product = (LENGTH_NM * DELTA_ALPHA[1] * THETA[1]) ** 2 + (LENGTH_NM * ALPHA[1] * DELTA_THETA[1]) ** 2
    assert float(np.std(drawn)) == pytest.approx(sqrt(31.71**2 + product), rel=0.005)
    assert sqrt(31.71**2 + product) == pytest.approx(33.9, abs=0.05)


def test_distance_of_two_adjusted_points_by_uncertainties() -> None:
    """A tape from the hub seat to the pad after the adjustment: its spread from the covariance of both points."""
    found = adjusted(*(tape(a, b) for a, b in CROSSED_NAMES)).adjusted
    where = [*range(*_range(found, "hub_seat")), *range(*_range(found, "pad"))]
    points = correlated_values(found.x[where], found.covariance[np.ix_(where, where)])
    apart = umath.sqrt(sum((points[i] - points[3 + i]) ** 2 for i in range(3)))
    each = next(o for o in found.net.observations if o.words == "tape hub_seat - pad")
    at = found.net.observations.index(each)
    of_adjusted = sqrt(1 - float(found.redundancy[at])) * each.sigma
    assert apart.std_dev == pytest.approx(of_adjusted, rel=1e-6)


def _range(found: Adjusted, name: str) -> tuple[int, int]:
    return found.net.slices[name].start, found.net.slices[name].stop
