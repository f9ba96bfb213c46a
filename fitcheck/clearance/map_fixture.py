"""One piece that the unit of a map must keep clear of, and how low it reaches along a direction wherever it may be.

All in the column's frame; what moves the unit with its column is undone, so that the unit stands where clock and place
put it. Millimetres, radians.
"""

from itertools import product

import numpy as np

from fitcheck.geometry.door import Shape
from fitcheck.geometry.frames import EYE, Frame, Vector
from fitcheck.geometry.movement import Movement, Slide, Turn
from fitcheck.geometry.path import Course, Path
from fitcheck.geometry.solids import Piece
from fitcheck.placement.scene import Part, Phase, Sway

Poses = tuple[Vector, Vector]  # rotations (m, 3, 3) and origins (m, 3)


class Fixture:
    """`piece` of a phase of `part`: it makes the phase's own movements, then the unit's `sways` the other way round.

    `ranges` (k, 2) are those of the movements that move; a value of each makes a travel (k,).
    """

    def __init__(
        self,
        part: Part,
        phase: Phase,
        index: int,
        piece: Piece,
        shape: Shape,
        sways: tuple[Sway, ...],
        car2column: Frame,
    ) -> None:
        self.part, self.phase, self.index, self.piece, self.shape = part, phase, index, piece, shape
        chain = (*phase.chain, *(_undone(sway.move) for sway in reversed(sways)))
        self._course = Course(tuple(_seen_from(move, car2column) for move in chain))
        self._path = Path(car2column.points(shape.corners), self._course)
        self._rest = car2column
        self._sways = (*phase.sways, *reversed(sways))
        self._moving = [move.start < move.stop for move in chain]
        self._starts = [move.start for move in chain]
        self.moves = self._course.moves
        self.ranges = np.array(self._course.box).reshape(-1, 2)

    def lowest_throughout(self, normals: Vector) -> Vector:
        """Least height (m,) along `normals` (m, 3) over all movements."""
        return self._path.lowest(normals, self._course.box)

    def lowest(self, normals: Vector, low: Vector, high: Vector) -> Vector:
        """A lower bound (m,) of the height along each of `normals` (m, 3) over its own stretch of travels (m, k).

        Exact for one movement. Bounds are those of `geometry.path.Path.lowest`, one stretch a direction.
        """
        depth, extra = len(self.moves), np.zeros(len(normals))
        while depth and isinstance(slide := self.moves[depth - 1], Slide):
            depth -= 1
            rise = normals @ slide.direction
            extra += np.minimum(rise * low[:, depth], rise * high[:, depth])
        if depth == 0:
            return np.asarray(extra + (normals @ self._path.rest.T).min(axis=1))
        for inner in range(depth - 1):
            if isinstance(self.moves[inner], Turn):
                extra -= self._path.reaches[inner] * (high[:, inner] - low[:, inner]) ** 2 / 8
        ends = [np.stack([low[:, inner], high[:, inner]]) for inner in range(depth - 1)]
        lows = [
            _swung(self._heights(normals, depth, [values[end] for values, end in zip(ends, which, strict=True)]),
                   low[:, depth - 1], high[:, depth - 1])
            for which in product((0, 1), repeat=depth - 1)
        ]  # fmt: skip
        return np.asarray(extra + np.min(lows, axis=0))

    def _heights(self, normals: Vector, depth: int, inner: list[Vector]) -> tuple[Vector, Vector, Vector]:
        """Base, cosine and sine part (m, n) of the corners' heights in turn `depth - 1`, the inner ones given."""
        turn = self.moves[depth - 1]
        assert isinstance(turn, Turn)
        if not inner:
            base, cosine, sine = np.split(normals @ self._path.sinusoid_rows(()).T, 3, axis=1)
            return base, cosine, sine
        rotations, origins = self._carried(inner)
        arms = self._path.rest @ np.swapaxes(rotations, 1, 2) + (origins - turn.point)[:, None]
        raised = (arms @ turn.axis) * (normals @ turn.axis)[:, None]
        cosine = np.einsum("mni,mi->mn", arms, normals) - raised
        sine = np.einsum("mni,mi->mn", arms, np.cross(normals, turn.axis))
        return raised + (normals @ turn.point)[:, None], cosine, sine

    def _carried(self, values: list[Vector]) -> Poses:
        """What the first movements do to the piece at rest, at `values` (m,) of each."""
        count = len(values[0]) if values else 1
        poses: Poses = (np.broadcast_to(EYE, (count, 3, 3)), np.zeros((count, 3)))
        for move, value in zip(self.moves, values, strict=False):
            poses = _moved(move, value, poses)
        return poses

    def poses(self, at: Vector) -> Poses:
        """Rotations (m, 3, 3) and origins (m, 3) that take `shape` to the column's frame at travels `at` (m, k)."""
        rest = Frame(*self._course.rest) @ self._rest
        count = len(self.moves)
        rotations, origins = self._carried([at[:, i] for i in range(count)])
        turned = np.broadcast_to(rotations @ rest.rotation, (len(at), 3, 3))
        return turned, np.broadcast_to(rotations @ rest.origin + origins, (len(at), 3))

    def frame(self, at: Vector) -> Frame:
        """The same as a frame, at one travel (k,)."""
        rotations, origins = self.poses(at[None])
        return Frame(rotations[0], origins[0])

    def travel(self, at: Vector) -> tuple[dict[str, float], dict[str, float]]:
        """At a travel (k,): how far which pedal is pressed, and how far which group has moved, as shares."""
        values = iter(at)
        chain = [float(next(values)) if moving else start
                 for moving, start in zip(self._moving, self._starts, strict=True)]  # fmt: skip
        own = len(chain) - len(self._sways)
        swayed = {sway.name: sway.share(value) for sway, value in zip(self._sways, chain[own:], strict=True)}
        if self.phase.travel is None:
            return {}, swayed
        share = np.mean(self.phase.shares[self.index]) if self.phase.shares else self.phase.travel.share(chain[0])
        return {self.phase.travel.pedal: float(share)}, swayed


def _swung(parts: tuple[Vector, Vector, Vector], start: Vector, stop: Vector) -> Vector:
    """Least (m,) of the sinusoids (m, n) over each stretch."""
    base, cosine, sine = parts
    c0, s0, c1, s1 = (f(at)[:, None] for at in (start, stop) for f in (np.cos, np.sin))
    least = np.minimum(cosine * c0 + sine * s0, cosine * c1 + sine * s1)
    # Over half a turn at most, a trough lies inside just where the height falls at the start and rises at the end.
    bottoms = (sine * c0 < cosine * s0) & (sine * c1 > cosine * s1)
    least[bottoms] = -np.hypot(cosine[bottoms], sine[bottoms])
    return np.asarray((base + least).min(axis=1))


def _moved(move: Movement, values: Vector, poses: Poses) -> Poses:
    """`poses` (m), then moved by `values` (m,)."""
    rotations, origins = poses
    if isinstance(move, Slide):
        return rotations, origins + values[:, None] * move.direction
    along, (x, y, z) = np.outer(move.axis, move.axis), move.axis
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    turns = along + np.cos(values)[:, None, None] * (EYE - along) + np.sin(values)[:, None, None] * cross
    return turns @ rotations, np.einsum("mij,mj->mi", turns, origins - move.point) + move.point


def _undone(move: Movement) -> Movement:
    """The movement that at each value undoes what `move` does there."""
    if isinstance(move, Turn):
        return Turn(move.point, -move.axis, move.start, move.stop)
    return Slide(-move.direction, move.start, move.stop)


def _seen_from(move: Movement, outer: Frame) -> Movement:
    if isinstance(move, Turn):
        return Turn(outer.points(move.point), outer.directions(move.axis), move.start, move.stop)
    return Slide(outer.directions(move.direction), move.start, move.stop)
