"""Where one piece goes through the movements of its body, with bounds that hold over a whole range of them.

Movements act in order, first entry first. One that does not move (a range of no width) is settled into the rest
position, so that every movement left has a width. Millimetres, radians; everything in the common frame.
"""

import math
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product

import numpy as np

from fitcheck.geometry.door import AT_REST, Pose
from fitcheck.geometry.frames import Vector, crossed
from fitcheck.geometry.movement import Movement, Slide, Turn

Box = tuple[tuple[float, float], ...]
REMEMBERED = 2000  # places kept per course and per path
SAMPLES = 9  # places a turn is looked at to bound the reach of the movement outside it


def carried(outer: Pose, inner: Pose) -> Pose:
    """The pose of moving by `inner` first, then by `outer`."""
    return outer[0] @ inner[0], outer[0] @ inner[1] + outer[1]


def _settled(moves: tuple[Movement, ...]) -> tuple[Pose, tuple[Movement, ...]]:
    """The movements that move, rewritten to act after a rest pose that has taken up the others."""
    rest: Pose = AT_REST
    active: list[Movement] = []
    for move in moves:
        if move.start < move.stop:
            active.append(move)
            continue
        frame = move.frame(move.start)
        fixed = (frame.rotation, frame.origin)
        rest = carried(fixed, rest)
        active = [_shifted(inner, fixed) for inner in active]
    return rest, tuple(active)


def _shifted(move: Movement, by: Pose) -> Movement:
    """The movement that, after `by`, does what `move` did before it."""
    if isinstance(move, Turn):
        return replace(move, point=by[0] @ move.point + by[1], axis=by[0] @ move.axis)
    return replace(move, direction=by[0] @ move.direction)


class Course:
    """What all pieces of one body share: the movements that move, and the pose at each place (one value a movement)."""

    def __init__(self, moves: tuple[Movement, ...]) -> None:
        self.rest, self.moves = _settled(moves)
        self._parts = [_turn_parts(move) if isinstance(move, Turn) else None for move in self.moves]
        self._known: dict[tuple[float, ...], Pose] = {}

    @property
    def box(self) -> Box:
        """The whole range of each movement that moves."""
        return tuple((float(move.start), float(move.stop)) for move in self.moves)

    def pose(self, at: tuple[float, ...]) -> Pose:
        """Where the movements put the body, one value a movement that moves; the same object when asked again."""
        known = self._known.get(at)
        if known is not None:
            return known
        pose = self.rest
        for move, parts, value in zip(self.moves, self._parts, at, strict=True):
            pose = carried(_move_pose(move, parts, value), pose)
        if len(self._known) >= REMEMBERED:
            self._known.clear()
        self._known[at] = pose
        return pose


def _turn_parts(turn: Turn) -> tuple[Vector, Vector, Vector]:
    along = np.outer(turn.axis, turn.axis)
    x, y, z = turn.axis
    return along, np.eye(3) - along, np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])


def _move_pose(move: Movement, parts: tuple[Vector, Vector, Vector] | None, value: float) -> Pose:
    if isinstance(move, Slide):
        return AT_REST[0], value * move.direction
    assert parts is not None
    along, across, cross = parts
    rotation = along + np.cos(value) * across + np.sin(value) * cross  # Rodrigues
    return rotation, move.point - rotation @ move.point


class Path:
    """One piece's `corners` (n, 3) on its body's course.

    `reaches` holds, for each movement, the most any corner moves for a unit of it (mm a rad, mm a mm), wherever the
    other movements stand.
    """

    def __init__(self, corners: Vector, course: Course) -> None:
        self._own = corners
        self.course = course
        self.moves = course.moves
        rotation, origin = course.rest
        self.rest = corners @ rotation.T + origin
        self._placed: dict[tuple[float, ...], Vector] = {}
        self._lines: dict[tuple[float, ...], Vector] = {}

    def at(self, at: tuple[float, ...]) -> Vector:
        """The corners (n, 3) where the movements put them, one value a movement that moves."""
        known = self._placed.get(at)
        if known is None:
            rotation, origin = self.course.pose(at)
            known = self._own @ rotation.T + origin
            if len(self._placed) >= REMEMBERED:
                self._placed.clear()
            self._placed[at] = known
        return known

    @cached_property
    def reaches(self) -> tuple[float, ...]:
        return reaches(self.rest, self.moves)

    def lowest(self, normals: Vector, box: Box) -> Vector:
        """A lower bound (m,) of `normal . x` over all corners and all of `box`, for `normals` (m, 3).

        Exact for one movement. Slides that come last add on their own. An inner movement is taken at its ends only:
        between them a corner's height, all else held, is a straight line for a slide, and for a turn of reach L over
        width h at most L h^2 / 8 below one.
        """
        if not self.moves:
            return np.asarray((self.rest @ normals.T).min(axis=0))
        if len(self.moves) == 1 and isinstance(self.moves[0], Turn):
            return self._turn_lowest(normals, (), box[0])
        extra = np.zeros(len(normals))
        depth = len(self.moves)
        while depth and isinstance(self.moves[depth - 1], Slide):
            depth -= 1
            extra = extra + _rise(self.moves[depth], normals, box[depth])
        if depth == 0:
            return np.asarray(extra + (self.rest @ normals.T).min(axis=0))
        for inner in range(depth - 1):
            if isinstance(self.moves[inner], Turn):
                extra = extra - self.reaches[inner] * (box[inner][1] - box[inner][0]) ** 2 / 8
        turn_range = box[depth - 1]
        lows = [self._turn_lowest(normals, ends, turn_range) for ends in product(*box[: depth - 1])]
        return np.asarray(extra + np.min(lows, axis=0))

    def highest(self, normals: Vector, box: Box) -> Vector:
        """An upper bound (m,) of `normal . x` over all corners and all of `box`."""
        return -self.lowest(-normals, box)

    def _turn_lowest(self, normals: Vector, ends: tuple[float, ...], over: tuple[float, float]) -> Vector:
        """Least heights (m,) over one turn, the movements inside it at `ends`: each height is a sinusoid."""
        base, cosine, sine = self.sinusoids(normals, ends)
        c0, s0, c1, s1 = math.cos(over[0]), math.sin(over[0]), math.cos(over[1]), math.sin(over[1])
        least = np.minimum(cosine * c0 + sine * s0, cosine * c1 + sine * s1)
        # Over half a turn at most, a trough lies inside just where the height falls at the start and rises at the end.
        bottoms = (sine * c0 < cosine * s0) & (sine * c1 > cosine * s1)
        if bottoms.any():
            least[bottoms] = -np.hypot(cosine[bottoms], sine[bottoms])
        return np.asarray((base + least).min(axis=0))

    def least_heights(self, normals: Vector, places: Vector) -> Vector:
        """Least heights (k, m) of the corners along `normals` (k, 3) at `places` (m,) of the one movement there is."""
        if isinstance(self.moves[0], Slide):
            rest = (self.rest @ normals.T).min(axis=0)[:, None]
            return np.asarray(rest + np.outer(normals @ self.moves[0].direction, places))
        base, cosine, sine = self.sinusoids(normals, ())
        swung = cosine[..., None] * np.cos(places) + sine[..., None] * np.sin(places)
        return np.asarray((base[..., None] + swung).min(axis=0))

    def sinusoids(self, normals: Vector, ends: tuple[float, ...]) -> tuple[Vector, Vector, Vector]:
        """base, cosine, sine parts (n, m) of the heights along `normals` (m, 3) in the turn that follows `ends`."""
        lines = self.sinusoid_rows(ends) @ normals.T
        count = len(self.rest)
        return lines[:count], lines[count : 2 * count], lines[2 * count :]

    def sinusoid_rows(self, ends: tuple[float, ...]) -> Vector:
        """What, times a normal, gives each corner's base, cosine part and sine part; (3 n, 3)."""
        known = self._lines.get(ends)
        if known is not None:
            return known
        points = self.rest
        for move, value in zip(self.moves, ends, strict=False):
            points = move.moved(points, value)
        turn = self.moves[len(ends)]
        assert isinstance(turn, Turn)
        arm = points - turn.point
        along = np.outer(arm @ turn.axis, turn.axis)
        if len(self._lines) >= REMEMBERED:
            self._lines.clear()
        self._lines[ends] = np.concatenate([turn.point + along, arm - along, crossed(turn.axis, arm)])
        return self._lines[ends]


def _rise(slide: Movement, normals: Vector, over: tuple[float, float]) -> Vector:
    assert isinstance(slide, Slide)
    rise = normals @ slide.direction
    return np.minimum(rise * over[0], rise * over[1])


def reaches(points: Vector, moves: tuple[Movement, ...]) -> tuple[float, ...]:
    """For each movement the most that any of `points` (n, 3) moves for a unit of it, wherever those inside stand.

    The inner movements are looked at in a few places; between them a point strays by half a step times its own reach
    at most. Distance from an axis is convex along a slide, so a slide's two ends are enough.
    """
    found: list[float] = []
    clouds, stray = points[None], 0.0
    for move in moves:
        turning = isinstance(move, Turn)
        found.append(move.reach(clouds.reshape(-1, 3)) + (stray if turning else 0.0))
        if len(found) == len(moves):
            break
        count = SAMPLES if turning else 2
        if turning:
            stray += found[-1] * (move.stop - move.start) / (count - 1) / 2
        places = np.linspace(move.start, move.stop, count)
        clouds = np.concatenate([np.array([move.moved(cloud, at) for cloud in clouds]) for at in places])
    return tuple(found)


@dataclass(frozen=True, eq=False)
class Spheres:
    """Bounding spheres of many pieces on one course: centres at rest (k, 3), radii (k,), reaches of the centres."""

    centres: Vector
    radii: Vector
    course: Course
    centre_reaches: Vector  # (k, movements)

    @classmethod
    def around(cls, corner_sets: list[Vector], course: Course) -> "Spheres":
        lows = np.array([corners.min(axis=0) for corners in corner_sets])
        highs = np.array([corners.max(axis=0) for corners in corner_sets])
        own = (lows + highs) / 2
        radii = [np.sqrt(((c - m) ** 2).sum(axis=1).max()) for c, m in zip(corner_sets, own, strict=True)]
        rest = own @ course.rest[0].T + course.rest[1]
        each = [reaches(centre[None], course.moves) for centre in rest]
        return cls(own, np.array(radii), course, np.array(each).reshape(len(own), len(course.moves)))

    def swept(self, box: Box) -> tuple[Vector, Vector]:
        """Centres (k, 3) and radii (k,) of spheres that hold each piece over all of `box`."""
        rotation, origin = self.course.pose(tuple((low + high) / 2 for low, high in box))
        widths = np.array([high - low for low, high in box]).reshape(-1)
        return self.centres @ rotation.T + origin, self.radii + self.centre_reaches @ widths / 2
