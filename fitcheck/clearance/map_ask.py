"""Asking many piece pairs at once, each at one clock, place and travel: one lean loop, then every answer checked.

An answer counts where its points lie on the pieces and its direction proves it; else the engine is asked again, which
does not rest until it is certain. Column frame, millimetres.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitcheck.clearance.map_bounds import Boxes, Planes, groups
from fitcheck.geometry.door import Shape, claimed_from_hull, claimed_many
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.gap import INSIDE_MM, ROUNDING_MM, Gap, GapEngine, height
from fitcheck.geometry.solids import Piece

PROVEN_MM = 0.01  # an answer this near its direction's own bound is taken
RELAXATIONS = 60  # steps toward a common point of two pieces said to meet
BETWEEN_SHARE = 0.3  # of the width promised: an answer for one pull this near what all of them allow is good enough
FOREMOST = 60  # corners of a swept piece that are looked at first
BEYOND_MM, FADING = 10.0, 0.9  # how far beyond a face such a step goes, and how that fades from step to step


@dataclass(frozen=True, eq=False)
class Answers:
    """For each question: direction (m, 3) from unit to fixture, gap of the witnesses (m,), 0 where they meet."""

    normals: Vector
    gaps: Vector


class Asker:
    """Asks about pairs; counts in the engine it is given."""

    def __init__(self, engine: GapEngine, planes: Planes, within_mm: float) -> None:
        self.engine, self.planes, self.bodies = engine, planes, planes.bodies
        self._between_mm = BETWEEN_SHARE * within_mm

    def ask(self, pairs: NDArray[np.int64], at: Vector, toward: Vector) -> Answers:
        """The gaps of `pairs` (m,) at clock, place, travel `at` (m, 2 + t), the unit pulled along `toward` (m, 3)."""
        shapes = [self._shapes(pair) for pair in pairs.tolist()]
        mover_poses, fixture_poses = self.poses(pairs, at, toward)
        rotations, origins = _from(mover_poses, fixture_poses)
        self.engine.queries += len(pairs)
        points, apart = claimed_many(shapes, rotations, origins)
        between = points[:, 1] - points[:, 0]
        gaps = np.sqrt((between**2).sum(axis=1))
        normals = between / np.where(gaps > 0, gaps, 1.0)[:, None]
        sure = apart & (gaps > 0)
        if sure.any():
            sure &= self._proven(pairs, points, normals, gaps, rotations, origins)
        meet = np.zeros(len(pairs), dtype=bool)
        said = np.flatnonzero(~apart)
        if len(said):
            meet[said] = self._common_point(pairs[said], rotations[said], origins[said])
        gaps[meet] = 0.0
        normals = np.einsum("mij,mj->mi", mover_poses[0], normals)
        for i in np.flatnonzero(~(sure | meet)).tolist():
            normals[i], gaps[i] = self._certain(
                shapes[i], [(rot[i], org[i]) for rot, org in (mover_poses, fixture_poses)]
            )
        normals[meet] = toward[meet]
        return Answers(normals, gaps)

    def between_pulls(self, pairs: NDArray[np.int64], at: Vector, known: Answers) -> tuple[NDArray[np.int64], Answers]:
        """Which of `known` stand for no nearest pull, as that lies between those asked about, and better answers."""
        pulled = np.flatnonzero(self.bodies.pulled[pairs] & (known.gaps > 0))
        proven = self.planes.bounds(Boxes.places(pairs[pulled], at[pulled]), known.normals[pulled])
        which = pulled[~(known.gaps[pulled] - proven <= self._between_mm)]
        normals, gaps = known.normals[which], known.gaps[which]
        for k, i in enumerate(which.tolist()):
            normals[k], gaps[k] = self._of_hull(int(pairs[i]), at[i], normals[k], float(gaps[k]))
        return which, Answers(normals, gaps)

    def _of_hull(self, pair: int, at: Vector, normal: Vector, gap: float) -> tuple[Vector, float]:
        """The direction that proves most for the hull of all pulls, and the gap of the nearest witness."""
        corners = self.planes.standing(pair, at)
        fixture = self.bodies.fixtures[int(self.bodies.fixture_of[pair])]
        rotation, origin = (entry[0] for entry in fixture.poses(at[None, 2:]))
        fixed = fixture.shape.corners @ rotation.T + origin
        best, least = (height(normal, corners, fixed) - ROUNDING_MM, normal), gap
        heights = corners @ normal
        foremost = np.argsort(-heights)
        for chosen in (np.append(foremost[:FOREMOST], foremost[-1]), foremost):
            self.engine.queries += 1
            claim = claimed_from_hull(corners[chosen], fixture.shape, (rotation, origin))
            if claim is None:
                break
            between = claim[1] - claim[0]
            length = float(np.sqrt(between @ between))
            if not length > 0:
                break
            least = min(least, length)
            best = max(best, (height(between / length, corners, fixed) - ROUNDING_MM, between / length), key=_first)
            if least - best[0] <= self._between_mm:
                return best[1], max(least, best[0])
        exact = self.engine.gap(Piece(corners), fixture.piece, None, fixture.frame(at[2:]))
        return exact.normal, exact.gap_mm

    def _shapes(self, pair: int) -> tuple[Shape, Shape]:
        bodies = self.bodies
        return bodies.movers[bodies.mover_of[pair]].shape, bodies.fixtures[bodies.fixture_of[pair]].shape

    def poses(
        self, pairs: NDArray[np.int64], at: Vector, toward: Vector
    ) -> tuple[tuple[Vector, Vector], tuple[Vector, Vector]]:
        """Rotations (m, 3, 3) and origins (m, 3) that take movers' and fixtures' shapes to the column's frame."""
        boxes = Boxes.places(pairs, at)
        maps, shoves = self.planes.attitudes(boxes, toward)
        turned = np.zeros((len(pairs), 3, 3))
        cosine, sine = np.cos(at[:, 0]), np.sin(at[:, 0])
        turned[:, 0, 0], turned[:, 0, 1], turned[:, 1, 0], turned[:, 1, 1] = cosine, -sine, sine, cosine
        turned[:, 2, 2] = 1.0
        rest = self.bodies.shape2unit
        rotations = maps @ turned
        slid = maps[:, :, 2] * at[:, 1, None] + shoves
        mover = rotations @ rest.rotation, rotations @ rest.origin + slid
        fixture = np.empty_like(turned), np.empty_like(slid)
        for index, which in groups(self.bodies.fixture_of[pairs]):
            fixture[0][which], fixture[1][which] = self.bodies.fixtures[index].poses(at[which, 2:])
        return mover, fixture

    def nearest(self, pair: int, at: Vector, toward: Vector) -> Gap:
        """The gap of one pair at clock, place, travel `at` (2 + t,), the unit pulled along `toward` (3,)."""
        poses = self.poses(np.array([pair]), at[None], toward[None])
        return self._gap(self._shapes(pair), [(rotations[0], origins[0]) for rotations, origins in poses])

    def _proven(
        self,
        pairs: NDArray[np.int64],
        points: Vector,
        normals: Vector,
        gaps: Vector,
        rotations: Vector,
        origins: Vector,
    ) -> NDArray[np.bool_]:
        """Where the points lie on their pieces and the direction proves the gap; all in the frames of the movers."""
        proven = np.empty(len(pairs), dtype=bool)
        highs = np.empty(len(pairs))
        for mover, which in groups(self.bodies.mover_of[pairs]):
            shape = self.bodies.movers[mover].shape
            highs[which] = (normals[which] @ shape.corners.T).max(axis=1)
            proven[which] = _within(shape, points[which, 0])
        own = np.einsum("mji,mj->mi", rotations, points[:, 1] - origins)
        along = np.einsum("mji,mj->mi", rotations, normals)
        for fixture, which in groups(self.bodies.fixture_of[pairs]):
            shape = self.bodies.fixtures[fixture].shape
            low = (along[which] @ shape.corners.T).min(axis=1)
            low += np.einsum("mi,mi->m", normals[which], origins[which])
            off = gaps[which] - (low - highs[which] - ROUNDING_MM)
            proven[which] &= _within(shape, own[which]) & (off >= 0) & (off <= PROVEN_MM)
        return proven

    def _common_point(self, pairs: NDArray[np.int64], rotations: Vector, origins: Vector) -> NDArray[np.bool_]:
        """Where a point inside both pieces is found: out of the worst face again and again (Motzkin and Schoenberg)."""
        found = np.zeros(len(pairs), dtype=bool)
        for pair, which in groups(pairs):
            a, b = self._shapes(pair)
            rotation, origin = rotations[which], origins[which]
            at = (a.corners.mean(axis=0) + rotation @ b.corners.mean(axis=0) + origin) / 2
            left = np.arange(len(which))
            for beyond in BEYOND_MM * FADING ** np.arange(RELAXATIONS):
                over, outward = _worst_faces(a, b, rotation[left], origin[left], at[left])
                found[which[left[over <= 0]]] = True
                left, outward, over = left[over > 0], outward[over > 0], over[over > 0]
                if not len(left):
                    break
                at[left] -= (over + beyond)[:, None] * outward
        return found

    def _certain(self, shapes: tuple[Shape, Shape], poses: list[tuple[Vector, Vector]]) -> tuple[Vector, float]:
        gap = self._gap(shapes, poses)
        return gap.normal, gap.gap_mm

    def _gap(self, shapes: tuple[Shape, Shape], poses: list[tuple[Vector, Vector]]) -> Gap:
        (a, b), (a_pose, b_pose) = shapes, poses
        a_at, b_at = a.corners @ a_pose[0].T + a_pose[1], b.corners @ b_pose[0].T + b_pose[1]
        return self.engine.ask(a, b, a_pose, b_pose, a_at, b_at)


def _worst_faces(a: Shape, b: Shape, rotations: Vector, origins: Vector, at: Vector) -> tuple[Vector, Vector]:
    """How far each of `at` (m, 3) lies out of its worst face of a or b (m,), and where that face looks (m, 3)."""
    each = np.arange(len(at))
    out_a = at @ a.planes.T - a.offsets
    out_b = np.einsum("mji,mj->mi", rotations, at - origins) @ b.planes.T - b.offsets
    worst_a, worst_b = out_a.argmax(axis=1), out_b.argmax(axis=1)
    over_a, over_b = out_a[each, worst_a], out_b[each, worst_b]
    normals = np.where(
        (over_a > over_b)[:, None], a.planes[worst_a], np.einsum("mij,mj->mi", rotations, b.planes[worst_b])
    )
    return np.maximum(over_a, over_b), normals


def _within(shape: Shape, points: Vector) -> NDArray[np.bool_]:
    return np.asarray((points @ shape.planes.T - shape.offsets).max(axis=1) <= INSIDE_MM)


def _from(mover: tuple[Vector, Vector], fixture: tuple[Vector, Vector]) -> tuple[Vector, Vector]:
    """The fixtures' poses as seen from the movers' shapes."""
    back = np.swapaxes(mover[0], 1, 2)
    return back @ fixture[0], np.einsum("mij,mj->mi", back, fixture[1] - mover[1])


def _first(entry: tuple[float, Vector]) -> float:
    return entry[0]
