"""Small movements taken up into a solid: the hull of a piece where each of a few affine maps puts it; millimetres.

What a sweep holds is said by a few numbers (a point, an axis, an angle), so that a proof can state them. A mixture of
the maps takes a point to the same mixture of its places: the hull of both ends holds all that lies between.
"""

from dataclasses import dataclass

import numpy as np

from fitcheck.geometry.frames import Vector, crossed


@dataclass(frozen=True, eq=False)
class Tilt:
    """A small turn about `point` (3,), taken straight, both ways: r goes to r +- slope ((r.down) axis - (r.axis) down).

    `axis` and `down` (3,) are unit and square to each other; `slope` is the angle's, mm a mm.
    """

    point: Vector
    axis: Vector
    down: Vector
    slope: float

    def shifts(self, vertices: Vector) -> Vector:
        """By how much `vertices` (n, 3) move at each end; (2, n, 3)."""
        arms = vertices - self.point
        shift = self.slope * ((arms @ self.down)[:, None] * self.axis - (arms @ self.axis)[:, None] * self.down)
        return np.stack([shift, -shift])


@dataclass(frozen=True, eq=False)
class Swivel:
    """Turns of up to `angle` (rad) either way about each of `axes` (k, 3) through `point` (3,).

    r goes to r + sin(a) w x r + (1 - cos(a)) w x (w x r); the maps are the corners of that range of (sin, 1 - cos).
    """

    point: Vector
    axes: Vector
    angle: float

    def shifts(self, vertices: Vector) -> Vector:
        """By how much `vertices` (n, 3) move at each corner; (4 k, n, 3)."""
        arms, shifts = vertices - self.point, []
        for axis in self.axes:
            sideways = crossed(axis, arms)
            inward = (1 - np.cos(self.angle)) * crossed(axis, sideways)
            shifts += [np.sin(self.angle) * sideways, -np.sin(self.angle) * sideways]
            shifts += [np.sin(self.angle) * sideways + inward, -np.sin(self.angle) * sideways + inward]
        return np.stack(shifts)


Sweep = Tilt | Swivel
