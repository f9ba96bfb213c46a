"""Small movements taken up into a solid: the hull of a piece where each of a few affine maps puts it; millimetres.

What a sweep holds is said by a few numbers (a point, an axis, an angle), so that a proof can state them. A mixture of
the maps takes a point to the same mixture of its places: the hull of both ends holds all that lies between.
"""

from dataclasses import dataclass
from itertools import product

import numpy as np

from fitcheck.errors import GeometryError
from fitcheck.geometry.frames import Vector, crossed, frozen


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


@dataclass(frozen=True, eq=False)
class Shift:
    """Straight shifts anywhere in the box from `low` (3,) to `high` (3,): r goes to r + s, held exactly."""

    low: Vector
    high: Vector

    def __post_init__(self) -> None:
        object.__setattr__(self, "low", frozen(self.low, (3,)))
        object.__setattr__(self, "high", frozen(self.high, (3,)))
        if not (self.low <= self.high).all():
            raise GeometryError("a shift runs from a lower to a higher place")

    def shifts(self, vertices: Vector) -> Vector:
        """By how much `vertices` (n, 3) move at each corner of the box; (k, n, 3), the third way changing fastest."""
        ways = [dict.fromkeys((low, high)) for low, high in zip(self.low.tolist(), self.high.tolist(), strict=True)]
        corners = np.array(list(product(*ways)))
        return np.broadcast_to(corners[:, None], (len(corners), *vertices.shape))

    def within(self, axis: Vector, angle: float) -> "Shift":
        """The box that holds every one of these shifts as seen by a body that a turn then carries along.

        The turn goes up to `angle` (rad, a quarter turn at most) either way about unit `axis` (3,). With W the matrix
        of w x, an entry of its rotation off the diagonal is at most sin(a) |W| + (1 - cos(a)) |W W|, one on it 0 to 1.
        """
        if not (0 <= angle <= np.pi / 2 and (self.low <= 0).all() and (self.high >= 0).all()):
            raise GeometryError("a shift from rest is seen by a body that turns a quarter turn at most")
        spin = crossed(axis, np.eye(3)).T
        share = np.sin(angle) * np.abs(spin) + (1 - np.cos(angle)) * np.abs(spin @ spin)
        np.fill_diagonal(share, 0.0)
        beyond = share @ np.maximum(-self.low, self.high)
        return Shift(self.low - beyond, self.high + beyond)


Sweep = Tilt | Swivel | Shift
