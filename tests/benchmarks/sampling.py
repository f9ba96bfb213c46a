"""The baseline: even sampling in a plain loop, with coal or with python-fcl, as sure as the engine is.

A gap between two samples can be less than at them by no more than reach x step / 2, summed over what moves; steps are
chosen so that this is the tolerance. Piece pairs whose bounding spheres are farther apart than the least gap so far are
not asked about. Where all samples would take too long a stated part of them, drawn evenly, is run and scaled up; the
least gap is then found in a first pass that is not counted, which favours the baseline. Millimetres.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from math import ceil, prod
from typing import Any

import coal
import fcl
import numpy as np

from fitcheck.geometry.frames import Frame, Vector
from fitcheck.geometry.solids import Piece
from fitcheck.placement.scene import Phase

Distance = Callable[[Piece, Piece, Frame, Frame], float]


@dataclass
class Count:
    """What the baseline costs: scaled queries and seconds; samples in all, and those that were run."""

    queries: float = 0.0
    seconds: float = 0.0
    samples: float = 0.0
    run: int = 0

    @property
    def share(self) -> float:
        return self.run / self.samples if self.samples else 1.0


def by_coal() -> Distance:
    """Signed distances of the hulls, by coal."""
    shapes: dict[Piece, Any] = {}
    request = coal.DistanceRequest()

    def shape(piece: Piece) -> Any:
        if piece not in shapes:
            points, faces = coal.StdVec_Vec3s(), coal.StdVec_Triangle()
            points.extend([np.array(corner) for corner in piece.corners])
            faces.extend([coal.Triangle(*face) for face in piece.faces.tolist()])
            shapes[piece] = coal.Convex(points, faces)
        return shapes[piece]

    def distance(a: Piece, b: Piece, a_frame: Frame, b_frame: Frame) -> float:
        poses = [coal.Transform3s(frame.rotation, frame.origin) for frame in (a_frame, b_frame)]
        return float(coal.distance(shape(a), poses[0], shape(b), poses[1], request, coal.DistanceResult()))

    return distance


def by_fcl() -> Distance:
    """Unsigned distances of the hulls, by python-fcl."""
    shapes: dict[tuple[Piece, bool], Any] = {}
    request = fcl.DistanceRequest(enable_nearest_points=True, enable_signed_distance=False)

    def shape(piece: Piece, first: bool, frame: Frame) -> Any:
        if (piece, first) not in shapes:
            shapes[piece, first] = fcl.CollisionObject(fcl.Convex(np.array(piece.corners), 0, []))
        shapes[piece, first].setTransform(fcl.Transform(frame.rotation, frame.origin))
        return shapes[piece, first]

    def distance(a: Piece, b: Piece, a_frame: Frame, b_frame: Frame) -> float:
        return float(fcl.distance(shape(a, True, a_frame), shape(b, False, b_frame), request, fcl.DistanceResult()))

    return distance


class Sampler:
    """Samples phases against phases; `count` adds up. `most` samples of each pair of phases are run."""

    def __init__(self, distance: Distance, tolerance_mm: float, most: int, seed: int = 0) -> None:
        self._distance, self._tolerance_mm, self._most = distance, tolerance_mm, most
        self._rng = np.random.default_rng(seed)
        self.count = Count()

    def least(self, a: Phase, b: Phase, enough_mm: float, least: float, others: int = 0, times: float = 1.0) -> float:
        """The least gap of two phases, `least` or `enough_mm` if it is more; counted `times` over.

        `others` is how many more movements share the tolerance.
        """
        moving = [phase for phase in (a, b) if phase.moves is not None]
        each = self._tolerance_mm / max(1, len(moving) + others)
        steps = [_steps(phase, each) for phase in moving]
        total = prod(steps)
        run = min(total, self._most)
        picked = self._rng.integers(0, total, run) if run < total else np.arange(total)
        places = [np.unravel_index(int(at), steps) if steps else () for at in picked]
        poses = [self._poses((a, b), place, steps) for place in places]
        for pose in poses:
            least = self._here(a, b, pose, min(least, enough_mm))[0]
        if least == 0:
            self.count.queries += times
            return least
        scale = times * total / run
        started = time.perf_counter()
        for place in places:
            again = self._poses((a, b), place, steps)
            self.count.queries += scale * self._here(a, b, again, min(least, enough_mm))[1]
        self.count.seconds += scale * (time.perf_counter() - started)
        self.count.samples += times * total
        self.count.run += run
        return least

    def _poses(self, phases: tuple[Phase, Phase], place: tuple[Any, ...], steps: list[int]) -> tuple[Frame, ...]:
        """Middles of the steps."""
        shares = iter([(int(at) + 0.5) / many for at, many in zip(place, steps, strict=True)])
        return tuple(
            Frame.identity()
            if phase.moves is None
            else phase.moves.frame(phase.moves.start + next(shares) * (phase.moves.stop - phase.moves.start))
            for phase in phases
        )

    def _here(self, a: Phase, b: Phase, poses: tuple[Frame, ...], least: float) -> tuple[float, int]:
        """Least gap at one sample and the queries it took, nearest spheres first."""
        (a_middles, a_radii), (b_middles, b_radii) = spheres(a), spheres(b)
        apart = poses[1].points(b_middles)[None] - poses[0].points(a_middles)[:, None]
        bounds = np.sqrt((apart**2).sum(axis=2)) - a_radii[:, None] - b_radii
        near = np.argwhere(bounds < least)
        queries = 0
        for i, j in near[np.argsort(bounds[tuple(near.T)])].tolist():
            if bounds[i, j] >= least:
                break
            queries += 1
            least = min(least, max(0.0, self._distance(a.pieces[i], b.pieces[j], poses[0], poses[1])))
        return least, queries


def _steps(phase: Phase, tolerance_mm: float) -> int:
    """Steps of a movement whose half, times the reach, is within the tolerance."""
    assert phase.moves is not None
    reach = max(phase.moves.reach(piece.vertices) for piece in phase.pieces)
    return max(1, ceil(reach * (phase.moves.stop - phase.moves.start) / (2 * tolerance_mm)))


@cache
def spheres(phase: Phase) -> tuple[Vector, Vector]:
    """Bounding spheres of a phase's pieces at rest: middles (k, 3) and radii (k,)."""
    return np.array([piece.centre for piece in phase.pieces]), np.array([piece.radius for piece in phase.pieces])
