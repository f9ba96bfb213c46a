"""The gap between two convex pieces, with a certified lower bound. Millimetres; frames lead to one common frame.

For any unit direction n, `m(n) = min over b of n.x - max over a of n.x` is a lower bound of the gap, apart or
overlapping (separating planes: Boyd and Vandenberghe, Convex Optimization, 2.5; recalled). So a wrong direction costs
room, never honesty.
"""

from dataclasses import dataclass
from weakref import WeakKeyDictionary

import numpy as np

from fitcheck.errors import GeometryError
from fitcheck.geometry.door import AT_REST, Pose, Shape, claimed_nearest
from fitcheck.geometry.frames import Frame, Vector
from fitcheck.geometry.minkowski import difference
from fitcheck.geometry.solids import Piece

ROUNDING_MM = 1e-9  # what adding up coordinates of up to 100 m can cost a height
CLOSED_MM = 0.001  # a witness this near its bound ends the search
INSIDE_MM = 1e-8  # a witness may lie this far beyond a face: rounding, no more


@dataclass(frozen=True, eq=False, slots=True)
class Gap:
    """One certified gap: `gap_mm >= true gap >= bound_mm`, and when apart they differ by at most 0.001 mm.

    `gap_mm` is the distance between the witnesses, 0 when the pieces meet; `depth_mm` is then the shortest way to get
    these two convex pieces apart, `bound_mm` its negative. `normal` (3,) points from a toward b and gives the bound;
    `on_a`, `on_b` (3,) are the witnesses, one common point when the pieces meet; `road` is the query, 1 to 3.
    """

    bound_mm: float
    gap_mm: float
    depth_mm: float
    normal: Vector
    on_a: Vector
    on_b: Vector
    road: int


def height(normal: Vector, a_vertices: Vector, b_vertices: Vector) -> float:
    """m(n) in mm: how far `b_vertices` (m, 3) stay beyond `a_vertices` (n, 3) along unit `normal`; may be negative."""
    return float((b_vertices @ normal).min() - (a_vertices @ normal).max())


class GapEngine:
    """Asks for gaps and counts: all `queries`, those that went to the `second_road` and those to the `third_road`.

    The second road is taken when the first answer cannot be certified, the third when the second cannot, or when the
    pieces meet. Pieces are kept ready by identity while they live, so asking again about the same Piece is cheap.
    """

    def __init__(self) -> None:
        self.queries = 0
        self.second_road = 0
        self.third_road = 0
        self._shapes: WeakKeyDictionary[Piece, Shape] = WeakKeyDictionary()
        self.ready: WeakKeyDictionary[object, object] = WeakKeyDictionary()  # what callers made ready, while it lives

    def shape(self, piece: Piece) -> Shape:
        """`piece` as the library holds it; GeometryError where it is none."""
        known = self._shapes.get(piece)
        if known is None:
            known = self._shapes[piece] = Shape(piece.corners, piece.faces, piece.name or "a piece")
        return known

    def gap(self, a: Piece, b: Piece, a_frame: Frame | None = None, b_frame: Frame | None = None) -> Gap:
        """The gap between `a` and `b`, each put where its frame leads (None: where it is)."""
        a_shape, b_shape = self.shape(a), self.shape(b)
        a_pose = AT_REST if a_frame is None else (a_frame.rotation, a_frame.origin)
        b_pose = AT_REST if b_frame is None else (b_frame.rotation, b_frame.origin)
        a_at = a_shape.corners @ a_pose[0].T + a_pose[1]
        b_at = b_shape.corners @ b_pose[0].T + b_pose[1]
        return self.ask(a_shape, b_shape, a_pose, b_pose, a_at, b_at)

    def ask(self, a: Shape, b: Shape, a_pose: Pose, b_pose: Pose, a_at: Vector, b_at: Vector) -> Gap:
        """The same for shapes whose corners `a_at` (n, 3), `b_at` (m, 3) the caller has already put in their poses."""
        self.queries += 1
        claim = claimed_nearest(a, b, a_pose, b_pose, as_mesh=False)
        if claim is not None:
            answer = self._certified(claim, a, b, a_pose, b_pose, a_at, b_at, road=1)
            if answer is not None:
                return answer
            self.second_road += 1
            claim = claimed_nearest(a, b, a_pose, b_pose, as_mesh=True)
            if claim is not None:
                answer = self._certified(claim, a, b, a_pose, b_pose, a_at, b_at, road=2)
                if answer is not None:
                    return answer
        self.third_road += 1
        return by_difference(a_at, b_at)

    @staticmethod
    def _certified(
        claim: tuple[Vector, Vector],
        a: Shape,
        b: Shape,
        a_pose: Pose,
        b_pose: Pose,
        a_at: Vector,
        b_at: Vector,
        road: int,
    ) -> Gap | None:
        """The claim as a Gap where its witnesses lie on the pieces and its direction proves it, else None."""
        on_a, on_b = claim
        between = on_b - on_a
        length = float(np.sqrt(between @ between))
        if not length > 0:
            return None
        normal = between / length
        bound = height(normal, a_at, b_at) - ROUNDING_MM
        if not 0 <= length - bound <= CLOSED_MM:
            return None
        if not a.outside_mm((on_a - a_pose[1]) @ a_pose[0]) <= INSIDE_MM:
            return None
        if not b.outside_mm((on_b - b_pose[1]) @ b_pose[0]) <= INSIDE_MM:
            return None
        return Gap(bound, length, 0.0, normal, on_a, on_b, road)


def by_difference(a_at: Vector, b_at: Vector) -> Gap:
    """The gap of two hulls, one of which may be flat, by the third road alone; corners (n, 3), (m, 3) in one frame."""
    found = difference(a_at, b_at)
    heights = [height(normal, a_at, b_at) for normal in found.normals]
    best = int(np.argmax(heights))
    bound, normal = heights[best] - ROUNDING_MM, found.normals[best]
    between = found.on_b - found.on_a
    length = float(np.sqrt(between @ between))
    if found.meet:
        if not length <= INSIDE_MM:
            raise GeometryError("two pieces meet in a way that cannot be shown; one is too thin for its size")
        return Gap(bound, 0.0, max(0.0, -heights[best]), normal, found.on_a, found.on_a, 3)
    if not 0 <= length - bound <= CLOSED_MM:
        raise GeometryError("the gap of two pieces cannot be certified; one is too thin for its size")
    return Gap(bound, length, 0.0, normal, found.on_a, found.on_b, 3)
