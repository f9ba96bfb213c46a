"""The wrong reading found and named, what nothing checks or fixes said, and spreads widened where the whole fails."""

from typing import Any

import numpy as np
import pytest

from fitcheck.readings.adjust import NON_CENTRALITY, adjust
from fitcheck.readings.points import points_of
from fitcheck.readings.reading import SIGMAS_95
from tests import jobs
from tests.readings import nets
from tests.readings.nets import CROSSED_NAMES, TRUE, adjusted, at, offsets, place, tape

CROSSED = [tape(a, b) for a, b in CROSSED_NAMES]


def test_an_offset_off_by_an_inch_is_named_with_what_it_would_have_to_be() -> None:
    wrong = {"hub_seat": jobs.at(636.0 + 25.4, -13.0, 398.0)}
    found = adjusted(*CROSSED, points=wrong)
    (doubt,) = found.doubtful
    assert doubt.observation.reading.key == "points.hub_seat.back"
    assert doubt.left_out and doubt.or_else == ()
    assert doubt.off == pytest.approx(25.4, abs=0.01)
    assert doubt.would_be == pytest.approx(636.0, abs=0.01), "all others are true"
    assert place(found, "hub_seat") == pytest.approx(at("hub_seat"), abs=0.01)


def test_two_wrong_readings_far_apart_are_both_named() -> None:
    wrong = {"hub_seat": jobs.at(636.0 + 25.4, -13.0, 398.0), "pad": jobs.at(320.0, -90.0, -60.0)}
    found = adjusted(*CROSSED, points=wrong)
    keys = {doubt.observation.reading.key for doubt in found.doubtful if doubt.left_out}
    assert keys == {"points.hub_seat.back", "points.pad.down"}
    for name in TRUE:
        assert place(found, name) == pytest.approx(at(name), abs=0.01)


def test_two_that_check_only_each_other_are_both_named_and_neither_left_out() -> None:
    """One tape against offsets on one line: nothing tells which of the two is wrong."""
    points = {"a": jobs.at(500.0, 0.0, 0.0), "b": jobs.at(100.0, 0.0, 0.0)}
    tapes = {"tape": ["a", "b"], "is": "430 mm", "spread": "3 mm"}
    found = adjusted(tapes, points=points)
    (doubt,) = found.doubtful
    keys = {doubt.observation.reading.key, *(other.observation.reading.key for other in doubt.or_else)}
    assert keys == {"points.a.back", "points.b.back", "readings[1].is"}
    assert not doubt.left_out
    would_be = {each.observation.reading.key: each.would_be for each in (doubt, *doubt.or_else)}
    assert would_be["points.a.back"] == pytest.approx(530.0, abs=1e-6)
    assert would_be["points.b.back"] == pytest.approx(70.0, abs=1e-6)
    assert would_be["readings[1].is"] == pytest.approx(400.0, abs=1e-6)


def test_redundancy_of_one_tape_in_closed_form() -> None:
    """Offsets good to 3 mm each end and a tape good to 3 mm on their line: each is checked by a third."""
    points = {"a": jobs.at(500.0, 0.0, 0.0), "b": jobs.at(100.0, 0.0, 0.0)}
    found = adjusted({"tape": ["a", "b"], "is": "403 mm", "spread": "3 mm"}, points=points)
    net = found.adjusted.net
    at_tape = next(i for i, each in enumerate(net.observations) if each.words == "tape a - b")
    assert found.adjusted.redundancy[at_tape] == pytest.approx(1 / 3, abs=1e-6)
    sigma = 3.0 / SIGMAS_95
    assert found.adjusted.w[at_tape] == pytest.approx(3.0 / (sigma * np.sqrt(3.0)), abs=1e-6)
    assert found.adjusted.unseen(at_tape) == pytest.approx(NON_CENTRALITY * sigma * np.sqrt(3.0), abs=1e-4)
    unchecked = {each.reading.key for each in found.unchecked}
    assert {"points.a.left", "points.a.right"} & unchecked and "points.a.back" not in unchecked
    (spread, *_) = next(point.spread for point in found.found if point.name == "a")
    assert spread == pytest.approx(3.0 * np.sqrt(2 / 3), abs=1e-5)


def test_readings_that_agree_worse_than_their_spreads_widen_them() -> None:
    """Tapes twice as bad as their 3 mm, none enough to stand out: the whole fails, and every spread grows by m0."""
    errors = np.random.default_rng(21).normal(0, 2.2 * 3.0 / SIGMAS_95, len(CROSSED_NAMES))
    found = adjusted(*(tape(a, b, float(more)) for (a, b), more in zip(CROSSED_NAMES, errors, strict=True)))
    assert found.doubtful == ()
    assert not found.adjusted.agrees and found.adjusted.squares > found.adjusted.limit
    assert found.widened == pytest.approx(np.sqrt(found.adjusted.squares / found.adjusted.degrees))
    assert found.widened > 1.2


@pytest.mark.parametrize(
    ("points", "readings", "said"),
    [
        ({"pad": {"back": "320 mm", "left": "90 mm"}}, [], "pad: height is fixed by nothing; take an up or down"),
        (
            {"pad": "by readings"}, [tape("hub_seat", "pad")],
            "pad: how far back and how far sideways and height are fixed by nothing; take a back or forward offset and "
            "a left or right offset and an up or down offset, or tapes from hub_seat, low, shaft_left",
        ),
    ],
)  # fmt: skip
def test_what_nothing_fixes_is_said_and_following_it_suffices(
    points: dict[str, Any], readings: list[jobs.Tables], said: str
) -> None:
    found = adjusted(*readings, points=points)
    (missing,) = found.missing()
    assert missing.startswith(said)
    open_ways = next(point.open for point in found.found if point.name == "pad")
    taken = {"of": "pad", **{k: v for k, v in offsets("pad").items() if _way(k) in open_ways}}
    assert list(adjusted(*readings, taken, points=points).missing()) == []


def _way(key: str) -> str:
    return {"forward": "back", "left": "right", "down": "up"}.get(key, key)


def test_the_adjustment_by_hand() -> None:
    """All tapes and offsets of the car, a little off, solved by scipy's own minimiser from another start."""
    from scipy.optimize import minimize

    rng = np.random.default_rng(3)
    readings = [tape(a, b, float(rng.normal(0, 1.5))) for a, b in CROSSED_NAMES]
    found = adjusted(*readings)
    names = list(TRUE)

    def squares(x: np.ndarray) -> float:
        spot = {name: x[3 * i : 3 * i + 3] for i, name in enumerate(names)}
        total = sum(float(np.sum((spot[name] - at(name)) ** 2)) for name in names)
        for each in readings:
            a, b = each["tape"]
            total += (float(np.linalg.norm(spot[a] - spot[b])) - float(each["is"].split()[0])) ** 2
        return total * (SIGMAS_95 / 3.0) ** 2

    start = np.concatenate([at(name) for name in names])
    best = minimize(squares, start, method="BFGS", options={"gtol": 1e-8})
    for i, name in enumerate(names):
        assert place(found, name) == pytest.approx(best.x[3 * i : 3 * i + 3], abs=1e-4)
    assert found.adjusted.squares == pytest.approx(best.fun, rel=1e-6)


def test_covariance_by_simulation() -> None:
    """4,000 cars with readings drawn about the truth: points scatter as the covariance says, by numpy alone."""
    found = adjusted(*CROSSED).adjusted
    rng = np.random.default_rng(5)
    sigmas = np.array([each.sigma for each in found.net.observations])
    errors = rng.normal(size=(4000, len(sigmas))) * sigmas
    design = found.net.design(found.x)
    scattered = np.linalg.lstsq(design, (errors / sigmas).T, rcond=None)[0]
    assert scattered.std(axis=1) == pytest.approx(np.sqrt(np.diag(found.covariance)), rel=0.05)
    assert found.gain @ errors.T == pytest.approx(scattered, abs=1e-6)


def test_same_result_from_a_start_far_away() -> None:
    readings = [tape(a, b, 1.0) for a, b in CROSSED_NAMES]
    found = points_of(jobs.job(nets.tables(*readings)))
    assert found is not None
    net = found.adjusted.net
    moved = {name: block + 40.0 * np.array([1, -1, 1]) for name, block in net.start.items()}
    again = adjust(type(net)(net.observations, moved, net.fixed))
    assert again.x == pytest.approx(found.adjusted.x, abs=1e-6)
