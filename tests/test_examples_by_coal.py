"""The examples' gaps on a second road: coal 3 (the convex distances of the pinocchio project), sampled evenly.

A sampled gap can only be more than the least one, and by no more than half a step times the reach of what moves (the
speed of its farthest corner). Pieces and movements are the scene's own; the search and its bounds are not used here.
"""

from functools import cache
from itertools import product

import coal
import numpy as np
import pytest

from fitcheck.clearance.travel import phases
from fitcheck.confidence.results import Judged, Result
from fitcheck.geometry.movement import Movement, Turn
from fitcheck.geometry.solids import Piece
from fitcheck.placement.scene import Part, Phase
from tests.verdicts import NAMES
from tests.verdicts import judged_example as verdict

WORST = 8  # pairs of each example
SAMPLES, SAMPLES_EACH, SAMPLES_TOUCH = 48, 12, 240  # of one movement, of each of two, and for the first touch
CLOSE_MM = 1e-6  # the reference's own accuracy


@cache
def solid(piece: Piece) -> coal.Convex:
    points, faces = coal.StdVec_Vec3s(), coal.StdVec_Triangle()
    points.extend(list(piece.corners))
    faces.extend([coal.Triangle(*map(int, face)) for face in piece.faces])
    return coal.Convex(points, faces)


def pose(moves: Movement | None, at: float) -> coal.Transform3s:
    if moves is None:
        return coal.Transform3s.Identity()
    frame = moves.frame(at)
    return coal.Transform3s(np.array(frame.rotation), np.array(frame.origin))


def distance(a: Phase, b: Phase, a_at: float, b_at: float) -> float:
    """Least signed distance of the phases' pieces, standing still."""
    a_pose, b_pose = pose(a.moves, a_at), pose(b.moves, b_at)
    request = coal.DistanceRequest()
    found = (
        coal.distance(solid(one), a_pose, solid(other), b_pose, request, coal.DistanceResult())
        for one, other in product(a.pieces, b.pieces)
    )
    return float(min(found))


def values(phase: Phase, samples: int) -> np.ndarray:
    return np.zeros(1) if phase.moves is None else np.linspace(phase.moves.start, phase.moves.stop, samples)


def missed(phase: Phase, samples: int) -> float:
    """How much nearer than at a sample the phase can come between two."""
    if phase.moves is None:
        return 0.0
    assert isinstance(phase.moves, Turn)
    corners = np.vstack([piece.corners for piece in phase.pieces]) - phase.moves.point
    from_axis = np.linalg.norm(np.cross(corners, phase.moves.axis), axis=1).max()
    return float(from_axis * (phase.moves.stop - phase.moves.start) / (samples - 1) / 2)


def sampled(a: Part, b: Part) -> tuple[float, float]:
    """Least sampled distance over all phases, and the least that may have been missed."""
    least, lowest = np.inf, np.inf
    for one, other in product(phases(a, b), phases(b, a)):
        both = one.moves is not None and other.moves is not None
        many = SAMPLES_EACH if both else SAMPLES
        here = min(distance(one, other, s, t) for s, t in product(values(one, many), values(other, many)))
        least, lowest = min(least, here), min(lowest, here - missed(one, many) - missed(other, many))
    return least, lowest


def worst(name: str) -> list[Judged]:
    with_gap = [entry for entry in verdict(name).gaps if entry.found.closest is not None]
    moving = [entry for entry in with_gap if entry.result is Result.AS_BEFORE]
    return with_gap[:WORST] + moving[:3]


@pytest.mark.parametrize("name", NAMES)
def test_no_bound_is_above_a_sampled_gap_and_no_gap_below_what_sampling_can_miss(name: str) -> None:
    entries = worst(name)
    assert entries
    for entry in entries:
        assert isinstance(entry.pair.a, Part) and isinstance(entry.pair.b, Part) and entry.found.closest is not None
        gap = entry.found.closest.gap
        least, lowest = sampled(entry.pair.a, entry.pair.b)
        who = f"{entry.pair.a.name} - {entry.pair.b.name}"
        if gap.gap_mm == 0:
            assert lowest <= CLOSE_MM, who
            assert gap.depth_mm > 0, who
        else:
            assert gap.bound_mm <= least + CLOSE_MM, who
            assert gap.gap_mm >= lowest - CLOSE_MM, who
            assert gap.gap_mm - gap.bound_mm <= 0.05, who


@pytest.mark.parametrize("name", NAMES)
def test_the_reported_place_has_the_reported_gap(name: str) -> None:
    """Where and how deep: the two pieces named, at the travel named, asked of the reference."""
    for entry in worst(name):
        closest = entry.found.closest
        assert isinstance(entry.pair.a, Part) and isinstance(entry.pair.b, Part) and closest is not None
        a = phases(entry.pair.a, entry.pair.b)[closest.a_phase]
        b = phases(entry.pair.b, entry.pair.a)[closest.b_phase]
        one = Phase((a.pieces[closest.gap.a_piece],), a.moves)
        other = Phase((b.pieces[closest.gap.b_piece],), b.moves)
        there = distance(one, other, *(at[0] if at else 0.0 for at in (closest.gap.a_at, closest.gap.b_at)))
        expected = closest.gap.gap_mm - closest.gap.depth_mm
        assert there == pytest.approx(expected, abs=0.011), f"{entry.pair.a.name} - {entry.pair.b.name}"


def first_sampled_touch(phase: Phase, still: tuple[Phase, ...]) -> tuple[float, float] | None:
    """The first sampled travel from rest on at which the phase meets, and the one before it."""
    assert phase.travel is not None and phase.moves is not None
    at = values(phase, SAMPLES_TOUCH)
    shares = [(phase.travel.share(value), float(value)) for value in at]
    before = 0.0
    for share, value in sorted(entry for entry in shares if entry[0] >= 0):
        if any(distance(phase, other, value, 0.0) <= 0 for other in still):
            return before, share
        before = share
    return None


@pytest.mark.parametrize("name", [name for name in NAMES if name in ("dozen-no-go", "saloon-9-00", "van-500-along")])
def test_first_touch_lies_between_two_samples(name: str) -> None:
    hits = [entry for entry in verdict(name).gaps if entry.result is Result.HITS]
    assert hits
    for entry in hits:
        assert isinstance(entry.pair.a, Part) and isinstance(entry.pair.b, Part)
        moving, resting = phases(entry.pair.b, entry.pair.a), phases(entry.pair.a, entry.pair.b)
        found = [touch for phase in moving if (touch := first_sampled_touch(phase, resting)) is not None]
        before, met = min(found, key=lambda touch: touch[1])
        assert entry.found.first_touch is not None
        assert before - 0.002 <= entry.found.first_touch <= met + 0.002
