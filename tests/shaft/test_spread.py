"""Spread of the shaft's figures: first order against closed forms, draws against it, and a case where they part."""

import numpy as np
from numpy.testing import assert_allclose

from fitcheck.job.model import Job
from fitcheck.shaft.spread import spreads
from tests.jobs import Tables, at, mm
from tests.shaft import cars


def straight(**lower: str) -> Tables:
    """A level column straight ahead, the last joint 500 ahead of the first on its axis; few readings, known spreads."""
    tables = cars.saloon(
        upper={"joint_along": "700 mm ± 2 mm"},
        lower={
            "joint_at": at(-564, -13, 398, spread=mm(1.5), **lower),
            "down": "0 deg ± 1 deg",
            "across": "0 deg ± 1 deg",
        },
    )
    del tables["column"]["low"]
    tables["column"] |= {"down": "0 deg ± 0.0001 deg", "across": "0 deg ± 0.0001 deg"}
    tables["column"]["hub_seat"]["spread"] = mm(2)
    return tables


def test_a_span_along_one_axis_adds_its_readings_as_squares() -> None:
    found = cars.chapter(straight(), draws=400)
    by_hand = np.sqrt(2**2 + 2**2 + 1.5**2)  # hub seat back, first joint along, last joint back
    span = found.spreads["span 0"]
    assert_allclose(span.first_order, by_hand, atol=1e-3)
    assert_allclose(span.by_draws, by_hand, rtol=0.12)
    assert span.shares[0].key in ("column.hub_seat.back", "shaft.upper.joint_along")
    assert_allclose(sum(share.part**2 for share in span.shares), by_hand**2, atol=0.01)


def test_a_bars_spread_has_the_hubs_calipers_in_it_too() -> None:
    found = cars.chapter(straight(), draws=0)
    assert_allclose(
        found.spreads["bar 0"].first_order ** 2 - found.spreads["span 0"].first_order ** 2, 4 * 0.2**2, atol=1e-3
    )


def test_draws_see_what_first_order_cannot_at_a_straight_joint() -> None:
    """An angle near 0 in two square directions only grows: it is Rayleigh's, 2.49 sigma wide from 2.5 to 97.5 %."""
    found = cars.chapter(straight(), draws=2000)
    one = 1.0 / 1.96  # deg, each of down and across; what the last joint's place adds is the shaft's own
    along = np.hypot(2, 1.5) / 1.96 / 500
    sigma = np.radians(1) * one * np.sqrt(1 + (along / np.radians(one)) ** 2)
    rayleigh = (np.sqrt(-2 * np.log(0.025)) - np.sqrt(-2 * np.log(0.975))) / 2 * sigma
    assert_allclose(found.spreads["bend 1"].by_draws, rayleigh, rtol=0.08)


def test_the_same_job_gives_the_same_draws() -> None:
    one, other = (cars.chapter(cars.saloon()).spreads for _ in range(2))
    assert one == other


def test_first_order_agrees_with_draws_on_the_saloon() -> None:
    found = cars.chapter(cars.saloon(), draws=1500).spreads
    for name in ("span 0", "bend 0", "bend 1", "phase 0"):
        assert_allclose(found[name].by_draws, found[name].first_order, rtol=0.1)


def test_a_phase_near_the_seam_does_not_jump() -> None:
    """A figure named a phase that goes from +89 to -89 deg has moved by 2, not by 178."""
    job = cars.job(cars.saloon())

    def seam(moved: Job) -> dict[str, float]:
        back = moved.column.hub_seat
        assert not isinstance(back, str) and hasattr(back, "back") and back.back is not None
        turned = np.radians(89.9 + (back.back.mm - 636))
        return {"phase 0": float((turned + np.pi / 2) % np.pi - np.pi / 2)}

    assert_allclose(np.degrees(spreads(job, seam, 200)["phase 0"].first_order), 1.5, atol=1e-6)
    assert_allclose(np.degrees(spreads(job, seam, 200)["phase 0"].by_draws), 1.5, rtol=0.2)
