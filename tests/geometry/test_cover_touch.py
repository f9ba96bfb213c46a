"""Where a movement first meets: certainly clear below, meeting at the upper end; by closed forms and by sampling."""

from dataclasses import replace

import numpy as np
import pytest

from fitcheck.errors import GeometryError
from fitcheck.geometry.cover import Body, least_gap
from fitcheck.geometry.frames import Frame
from fitcheck.geometry.gap import CLOSED_MM, GapEngine
from fitcheck.geometry.movement import Slide, Turn
from fitcheck.geometry.touch import first_touch
from tests.geometry.shapes import any_pair, any_place, box, frame_at, rod

X, Y, Z = np.eye(3)
FINE = 1e-3


def lever(start: float, stop: float) -> Body:
    return Body((box((250, 20, 10), (125, 0, 0)),), (Turn(np.zeros(3), -Y, start, stop),))


def test_a_slide_meets_a_wall_where_its_face_does() -> None:
    block = Body((box((20, 20, 20)),), (Slide(X, 0, 200),))
    wall = Body((box((10, 90, 90), (135, 0, 0)),))
    bracket = first_touch(GapEngine(), block, wall, "a", FINE)
    assert bracket is not None
    assert bracket[1] - bracket[0] <= FINE
    assert bracket[0] - CLOSED_MM <= 130 - 10 <= bracket[1] + CLOSED_MM


def test_a_lever_meets_a_ceiling_where_its_corner_does() -> None:
    """The upper far corner, at atan(5 / 250) above the lever's line and hypot(250, 5) out, reaches height 100."""
    ceiling = Body((box((900, 900, 10), (0, 0, 105)),))
    exact = np.arcsin(100 / np.hypot(250, 5)) - np.arctan2(5, 250)
    bracket = first_touch(GapEngine(), lever(0, 1), ceiling, "a", 1e-5)
    assert bracket is not None
    assert bracket[1] - bracket[0] <= 1e-5
    early = CLOSED_MM / (250 * np.cos(exact))  # a gap that small may count as meeting
    assert bracket[0] <= exact <= bracket[1] + 1.01 * early


def test_it_is_the_lowest_value_that_counts() -> None:
    """Two rods in the way: the first is met first, though the second is what the swing goes deepest into."""
    rods = tuple(
        rod(r, 90, 32, Turn(np.zeros(3), X, 0, 2).frame(np.pi / 2)).placed(shift(x, z))
        for r, x, z in ((4, 180, 60), (20, 120, 130))
    )
    first = first_touch(GapEngine(), lever(0, 1.2), Body(rods[:1]), "a", FINE)
    both = first_touch(GapEngine(), lever(0, 1.2), Body(rods), "a", FINE)
    last = first_touch(GapEngine(), lever(0, 1.2), Body(rods[1:]), "a", FINE)
    assert first is not None and both is not None and last is not None
    assert both[1] < last[0]
    assert both == pytest.approx(first, abs=FINE)


def shift(x: float, z: float) -> Frame:
    return Frame(np.eye(3), np.array([x, 0, z]))


def test_meeting_at_the_very_start_and_never() -> None:
    block = Body((box((20, 20, 20)),), (Slide(X, 0, 50),))
    assert first_touch(GapEngine(), block, Body((box((20, 20, 20), (5, 0, 0)),)), "a", FINE) == (0.0, 0.0)
    assert first_touch(GapEngine(), block, Body((box((20, 20, 20), (90, 0, 0)),)), "a", FINE) is None
    far = first_touch(GapEngine(), block, Body((box((20, 20, 20), (-10, 0, 0)),)), "a", FINE)
    assert far == (0.0, 0.0)


def test_the_other_movement_may_stand_anywhere() -> None:
    """A gate that slides out of the way: the block meets it at 30 at the lowest, with the gate at its start."""
    block = Body((box((20, 20, 20)),), (Slide(X, 0, 60),))
    gate = Body((box((20, 20, 20), (50, 0, 0)),), (Slide(Y, 0, 80),))
    bracket = first_touch(GapEngine(), block, gate, "a", FINE)
    assert bracket is not None and bracket[0] - CLOSED_MM <= 30 <= bracket[1] + CLOSED_MM
    swapped = first_touch(GapEngine(), gate, block, "b", FINE)
    assert swapped == pytest.approx(bracket, abs=FINE)


def test_a_first_movement_without_width() -> None:
    fixed = Body((box((20, 20, 20)),), (Slide(X, 25, 25), Slide(Y, -90, 0)))
    assert first_touch(GapEngine(), fixed, Body((box((20, 20, 20), (40, 0, 0)),)), "a", FINE) == (25.0, 25.0)
    assert first_touch(GapEngine(), fixed, Body((box((20, 20, 20), (60, 0, 0)),)), "a", FINE) is None


@pytest.mark.parametrize("kinds", [("T", ""), ("S", ""), ("T", "T"), ("T", "S"), ("TS", ""), ("TT", ""), ("ST", "T")])
def test_random_first_touches(kinds: tuple[str, str]) -> None:
    """Below the bracket nothing sampled meets and a cover finds nothing; up to its upper end something does."""
    rng = np.random.default_rng([3, len(kinds[0]), len(kinds[1])])
    met = 0
    for _ in range(16):
        a, b = any_pair(rng, kinds, 60, 220)
        first = a.moves[0]
        resolution = (first.stop - first.start) / 200
        bracket = first_touch(GapEngine(), a, b, "a", resolution)
        if bracket is None:
            assert least_gap(GapEngine(), a, b).gap_mm > 0
            continue
        met += 1
        low, high = bracket
        assert first.start <= low <= high <= first.stop
        assert high - low <= resolution * (1 + 1e-9)
        upto = Body(a.pieces, (replace(first, stop=high), *a.moves[1:]))
        assert least_gap(GapEngine(), upto, b).bound_mm <= CLOSED_MM
        if low > first.start:
            below = Body(a.pieces, (replace(first, stop=low - resolution / 1000), *a.moves[1:]))
            assert least_gap(GapEngine(), below, b, 0.02).gap_mm > 0
            assert sampled_clear(rng, below, b)
    assert met >= 3


def sampled_clear(rng: np.random.Generator, a: Body, b: Body) -> bool:
    engine = GapEngine()
    for _ in range(20):
        frames = frame_at(a.moves, any_place(rng, a.moves)), frame_at(b.moves, any_place(rng, b.moves))
        if any(engine.gap(one, two, *frames).gap_mm == 0 for one in a.pieces for two in b.pieces):
            return False
    return True


def test_what_makes_no_sense_is_refused() -> None:
    block = Body((box((20, 20, 20)),), (Slide(X, 0, 50),))
    with pytest.raises(GeometryError, match="without movements"):
        first_touch(GapEngine(), block, Body((box((20, 20, 20)),)), "b", FINE)
    for resolution in (0.0, float("nan")):
        with pytest.raises(GeometryError, match="must be more than 0"):
            first_touch(GapEngine(), block, block, "a", resolution)
