"""The examples' gaps on a second road: coal 3 (the convex distances of the pinocchio project), sampled evenly.

A sampled gap can only be more than the least one, and by no more than half a step times the reach of what moves (the
speed of its farthest corner). Pieces and movements are the scene's own; the search and its bounds are not used here.
"""

from dataclasses import replace
from functools import cache
from itertools import product

import coal
import numpy as np
import pytest

from fitcheck.clearance.travel import phases
from fitcheck.confidence.results import Judged, Result
from fitcheck.geometry.frames import Frame
from fitcheck.geometry.movement import Turn
from fitcheck.geometry.scan_piece import ScanPiece
from fitcheck.geometry.solids import Piece
from fitcheck.placement.scene import Part, Phase
from tests.verdicts import NAMES
from tests.verdicts import judged_example as verdict

WORST = 8  # pairs of each example
SAMPLES = (2, 48, 12, 6)  # of each movement, where none, one, two or three are looked at together
SAMPLES_TOUCH = 240
CLOSE_MM = 1e-6  # the reference's own accuracy

At = tuple[float, ...]


@cache
def solid(piece: Piece) -> coal.Convex | coal.BVHModelOBBRSS:
    """A scan stays a mesh: coal knows no inside of it, so its distances are never below 0."""
    if isinstance(piece, ScanPiece):
        corners, triangles = piece.scan.vertices, piece.scan.skin.triangles
    else:
        corners, triangles = piece.corners, piece.faces
    points, faces = coal.StdVec_Vec3s(), coal.StdVec_Triangle()
    points.extend(list(corners))
    faces.extend([coal.Triangle(*map(int, face)) for face in triangles])
    if not isinstance(piece, ScanPiece):
        return coal.Convex(points, faces)
    mesh = coal.BVHModelOBBRSS()
    mesh.beginModel(len(triangles), len(corners))
    mesh.addSubModel(points, faces)
    mesh.endModel()
    return mesh


def pose(phase: Phase, at: At) -> coal.Transform3s:
    """Where the phase's movements put it, first one first."""
    frame = Frame.identity()
    for move, value in zip(phase.chain, at, strict=True):
        frame = move.frame(value) @ frame
    return coal.Transform3s(np.array(frame.rotation), np.array(frame.origin))


def distance(a: Phase, b: Phase, a_at: At, b_at: At) -> float:
    """Least signed distance of the phases' pieces, standing still."""
    a_pose, b_pose = pose(a, a_at), pose(b, b_at)
    request = coal.DistanceRequest()
    found = (
        coal.distance(solid(one), a_pose, solid(other), b_pose, request, coal.DistanceResult())
        for one, other in product(a.pieces, b.pieces)
    )
    return float(min(found))


def values(phase: Phase, samples: int) -> list[At]:
    """So many values of each movement, in every combination."""
    return list(product(*(np.linspace(move.start, move.stop, samples).tolist() for move in phase.chain)))


def missed(phase: Phase, samples: int) -> float:
    """How much nearer than at a sample the phase can come between two: half a step of each movement, at its reach."""
    corners, short = np.vstack([piece.corners for piece in phase.pieces]), 0.0
    for move in phase.chain:
        half_step = (move.stop - move.start) / (samples - 1) / 2
        reach = 1.0
        if isinstance(move, Turn):
            reach = short + float(np.linalg.norm(np.cross(corners - move.point, move.axis), axis=1).max())
        short += reach * half_step
        corners = np.vstack([move.moved(corners, value) for value in np.linspace(move.start, move.stop, samples)])
    return short


def sampled(a: Part, b: Part) -> tuple[float, float]:
    """Least sampled distance over all phases, and the least that may have been missed."""
    least, lowest = np.inf, np.inf
    for one, other in product(phases(a, b), phases(b, a)):
        many = SAMPLES[len(one.chain) + len(other.chain)]
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
            assert not gap.bracketed or gap.gap_mm - gap.bound_mm <= 0.05, who


@pytest.mark.parametrize("name", NAMES)
def test_the_reported_place_has_the_reported_gap(name: str) -> None:
    """Where and how deep: the two pieces named, at the travel named, asked of the reference."""
    for entry in worst(name):
        closest = entry.found.closest
        assert isinstance(entry.pair.a, Part) and isinstance(entry.pair.b, Part) and closest is not None
        a = phases(entry.pair.a, entry.pair.b)[closest.a_phase]
        b = phases(entry.pair.b, entry.pair.a)[closest.b_phase]
        one = replace(a, pieces=(a.pieces[closest.gap.a_piece],))
        other = replace(b, pieces=(b.pieces[closest.gap.b_piece],))
        there = distance(one, other, closest.gap.a_at, closest.gap.b_at)
        expected = closest.gap.gap_mm - closest.gap.depth_mm
        assert there == pytest.approx(expected, abs=0.011), f"{entry.pair.a.name} - {entry.pair.b.name}"


def first_sampled_touch(phase: Phase, still: tuple[Phase, ...]) -> tuple[float, float] | None:
    """The first sampled travel from rest on at which the phase meets, and the one before it."""
    assert phase.travel is not None and len(phase.chain) == 1
    shares = [(phase.travel.share(value), value) for (value,) in values(phase, SAMPLES_TOUCH)]
    before = 0.0
    for share, value in sorted(entry for entry in shares if entry[0] >= 0):
        if any(distance(phase, other, (value,), ()) <= 0 for other in still):
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
