"""How a search over whole movements ends: early, after few queries, cut short, or refused."""

import numpy as np
import pytest
from hypothesis import settings

from fitcheck.errors import GeometryError
from fitcheck.geometry.cover import Body, least_gap, restricted
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.movement import Turn
from fitcheck.geometry.touch import first_touch
from tests.geometry.shapes import any_body, any_pair, ball, box
from tests.geometry.test_cover import least, swing

TOLERANCE_MM = 0.05
ROUNDING_MM = 1e-6
COAL_MM = 1e-3
X, Y, Z = np.eye(3)
MIRROR = np.diag([-1.0, 1.0, 1.0])
KINDS = [
    ("T", ""),
    ("", "T"),
    ("S", ""),
    ("", "S"),
    ("T", "T"),
    ("S", "T"),
    ("TS", ""),
    ("ST", ""),
    ("", "TT"),
    ("TST", ""),
    ("T", "ST"),
    ("TT", "T"),
    ("SS", "S"),
]
STEADY = settings(derandomize=True, deadline=None, max_examples=25)


def test_room_enough_ends_the_search_early_and_says_so() -> None:
    """Against the full answer: a bound no better than true, no more queries, and `bracketed` only where it is."""
    rng = np.random.default_rng(29)
    saved = 0
    for _ in range(30):
        a, b = any_pair(rng, ("T", "T"), 120, 350)
        engine, hasty = GapEngine(), GapEngine()
        full = least_gap(engine, a, b, TOLERANCE_MM)
        early = least_gap(hasty, a, b, TOLERANCE_MM, enough_mm=16.0)
        assert early.bound_mm <= full.gap_mm + ROUNDING_MM
        assert early.bound_mm >= 16 or early.bracketed
        assert early.bracketed == (early.gap_mm == 0 or early.gap_mm - early.bound_mm <= TOLERANCE_MM)
        saved += not early.bracketed
        assert hasty.queries <= engine.queries + 1
    assert saved >= 3
    knob = Body((ball(60, 30, (650, 90, 160))[0],))
    far = least_gap(GapEngine(), swing(box((250, 10, 10), (125, 0, 0)), -0.5, 0.5), knob, TOLERANCE_MM, enough_mm=100.0)
    assert (far.bracketed, far.bound_mm >= 100, far.gap_mm > far.bound_mm + TOLERANCE_MM) == (False, True, True)


@pytest.mark.parametrize(
    ("a_moves", "b_moves", "most"),
    [("T", "", 8), ("", "S", 8), ("T", "T", 40), ("TS", "", 60)],
)
def test_few_queries_are_enough(a_moves: str, b_moves: str, most: int) -> None:
    """Counts, not seconds: a typical pair costs a handful; even sampling as sure takes thousands a turn."""
    rng = np.random.default_rng(23)
    counts = []
    for _ in range(30):
        engine = GapEngine()
        found = least_gap(engine, *any_pair(rng, (a_moves, b_moves), 150, 350))
        counts += [engine.queries] if found.gap_mm > 0 else []
    assert np.mean(counts) <= most


def test_a_search_without_end_is_ended_and_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """A ball turned every way about the middle of another keeps its gap all over: no plane is held for long there."""
    monkeypatch.setattr("fitcheck.geometry.cover.MOST_QUERIES", 300)
    monkeypatch.setattr("fitcheck.geometry.touch.MOST_QUERIES", 300)
    (inner, inner_proud), (outer, outer_proud) = ball(20, 100), ball(25, 100, (60, 0, 0))
    moves = tuple(Turn(np.zeros(3), axis, -1, 1) for axis in (Z, Y, X))
    engine = GapEngine()
    found = least_gap(engine, Body((outer,), moves), Body((inner,)))
    assert engine.queries <= 301
    assert not found.bracketed
    assert 0 < found.bound_mm <= 60 - 25 - 20.0
    assert found.gap_mm >= 60 - 25 - 20 - inner_proud - outer_proud
    with pytest.raises(GeometryError, match="not settled"):
        first_touch(engine, Body((ball(25, 100, (46.6, 0, 0))[0],), moves), Body((inner,)), "a", 1e-6)


def test_what_cannot_be_covered_is_refused() -> None:
    rng = np.random.default_rng(1)
    cube = box((20, 20, 20))
    four = any_body(rng, "TSTS", (0, 0, 0), 1)
    with pytest.raises(GeometryError, match="4 movements in one pair; at most 3"):
        least(four, Body((cube,)))
    with pytest.raises(GeometryError, match=r"at least 0\.002 mm"):
        least(Body((cube,)), Body((cube,)), 0.0015)
    with pytest.raises(GeometryError, match=r"at least 0\.002 mm"):
        least(Body((cube,)), Body((cube,)), float("nan"))
    with pytest.raises(GeometryError, match="no pieces"):
        Body(())
    turning = swing(cube, 0, 1)
    with pytest.raises(GeometryError, match="leaves the movement's own"):
        restricted(turning, [(0.5, 1.5)])
    with pytest.raises(GeometryError, match="2 ranges for 1 movements"):
        restricted(turning, [(0, 1), (0, 1)])
