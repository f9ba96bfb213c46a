"""The two movements a part makes: a turn about a fixed axis and a straight slide, each over a range."""

from dataclasses import dataclass

import numpy as np

from fitcheck.errors import GeometryError
from fitcheck.geometry.frames import Frame, Vector, crossed, frozen, turned, unit


@dataclass(frozen=True, eq=False)
class Turn:
    """Turn about the axis through `point` (3,) along unit `axis` (3,), right-hand rule, `start` to `stop` (rad)."""

    point: Vector
    axis: Vector
    start: float
    stop: float

    def __post_init__(self) -> None:
        object.__setattr__(self, "point", frozen(self.point, (3,)))
        object.__setattr__(self, "axis", frozen(unit(self.axis), (3,)))
        if not (np.isfinite([self.start, self.stop]).all() and self.start <= self.stop <= self.start + np.pi):
            raise GeometryError("a turn runs from a lower to a higher angle, at most half a turn")

    def moved(self, points: Vector, at: float) -> Vector:
        """`points` (n, 3) where the movement puts them at parameter `at`."""
        return turned(points - self.point, self.axis, at) + self.point

    def path(self, point: Vector, at: Vector) -> Vector:
        """Where the movement puts one `point` (3,) at each of the parameters `at` (k,): (k, 3)."""
        return turned((point - self.point)[None], self.axis, at[:, None]) + self.point

    def frame(self, at: float) -> Frame:
        """The same as a frame: rest to moved."""
        rotation = turned(np.eye(3), self.axis, at).T
        return Frame(rotation, self.point - rotation @ self.point)

    def reach(self, points: Vector) -> float:
        """Farthest of `points` (n, 3) from the axis, mm: the speed bound, mm a rad."""
        arm = points - self.point
        across = arm - (arm @ self.axis)[:, None] * self.axis
        return float(np.sqrt((across**2).sum(axis=1).max()))

    def least_heights(self, points: Vector, normal: Vector, start: float, stop: float) -> Vector:
        """Least value (n,) of `normal . x(t)` for each point over start..stop: a sinusoid, in closed form."""
        arm = points - self.point
        lift = (arm @ self.axis) * (normal @ self.axis)
        cosine_part = arm @ normal - lift
        sine_part = crossed(self.axis, arm) @ normal
        base = self.point @ normal + lift
        ends = np.minimum(
            cosine_part * np.cos(start) + sine_part * np.sin(start),
            cosine_part * np.cos(stop) + sine_part * np.sin(stop),
        )
        trough = (np.arctan2(sine_part, cosine_part) + np.pi - start) % (2 * np.pi)  # past start, where it bottoms
        bottoms = trough <= stop - start
        return base + np.where(bottoms, -np.hypot(cosine_part, sine_part), ends)


@dataclass(frozen=True, eq=False)
class Slide:
    """Straight slide along unit `direction` (3,), from `start` to `stop` (mm)."""

    direction: Vector
    start: float
    stop: float

    def __post_init__(self) -> None:
        object.__setattr__(self, "direction", frozen(unit(self.direction), (3,)))
        if not (np.isfinite([self.start, self.stop]).all() and self.start <= self.stop):
            raise GeometryError("a slide runs from a lower to a higher place")

    def moved(self, points: Vector, at: float) -> Vector:
        """`points` (n, 3) where the movement puts them at parameter `at`."""
        return points + at * self.direction

    def frame(self, at: float) -> Frame:
        """The same as a frame: rest to moved."""
        return Frame(np.eye(3), at * self.direction)

    def reach(self, points: Vector) -> float:
        """Speed bound, mm a mm: 1."""
        return 1.0

    def least_heights(self, points: Vector, normal: Vector, start: float, stop: float) -> Vector:
        """Least value (n,) of `normal . x(t)` for each point over start..stop."""
        rise = float(normal @ self.direction)
        return points @ normal + min(rise * start, rise * stop)


Movement = Turn | Slide
