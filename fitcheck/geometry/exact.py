"""The true solids that convex pieces stand for and contain: boxes, round parts and hulls of balls; millimetres.

Kept beside a piece so that a proof can show the piece holds it. All are placed with the piece.
"""

from dataclasses import dataclass

from fitcheck.geometry.frames import Frame, Vector


@dataclass(frozen=True, eq=False)
class Cuboid:
    """A box of `size` (3,) centred on the origin of `frame`, along its axes."""

    frame: Frame
    size: Vector

    def placed(self, frame: Frame) -> "Cuboid":
        return Cuboid(frame @ self.frame, self.size)


@dataclass(frozen=True, eq=False)
class Round:
    """A cylinder, or a cone, whole or cut off square, from `start` to `end` (3,) on its axis."""

    start: Vector
    end: Vector
    start_diameter: float
    end_diameter: float

    def placed(self, frame: Frame) -> "Round":
        return Round(frame.points(self.start), frame.points(self.end), self.start_diameter, self.end_diameter)


@dataclass(frozen=True, eq=False)
class Balls:
    """The hull of equal balls about `centres` (n, 3)."""

    centres: Vector
    diameter: float

    def placed(self, frame: Frame) -> "Balls":
        return Balls(frame.points(self.centres), self.diameter)


Exact = Cuboid | Round | Balls
