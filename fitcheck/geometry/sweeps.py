"""Small movements taken up into a solid: the hull of a piece where each of a few affine maps puts it; millimetres.

What a sweep holds is said by a few numbers (a point, an axis, an angle), so that a proof can state them. A mixture of
the maps takes a point to the same mixture of its places: the hull of both ends holds all that lies between.
"""

from dataclasses import dataclass
from functools import cached_property
from itertools import product

import numpy as np

from fitcheck.errors import GeometryError
from fitcheck.geometry.frames import EYE, Vector, crossed, frozen, unit

SQUARE_WITHIN = 1e-9


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
    """Small turns either way about every axis square to `normal` through `point` (3,), held by a few affine maps.

    `axes` (k, 3), k at least 3, are equally spread over half a turn. Held is a turn by a about any axis of their plane
    with sin(a) up to sin(`angle`) cos(pi / 2k): the regular polygon of the 2 k ends holds the circle of all turns.
    DEVELOPERS.md has the proof.
    """

    point: Vector
    axes: Vector
    angle: float

    def __post_init__(self) -> None:
        object.__setattr__(self, "axes", frozen(self.axes, (None, 3)))
        if not (len(self.axes) >= 3 and 0 < self.angle < np.pi / 2):
            raise GeometryError("a swivel turns by under a quarter turn about three axes or more")
        turns = np.arange(len(self.axes))[:, None] * np.pi / len(self.axes)
        spread = np.cos(turns) * self.axes[0] + np.sin(turns) * crossed(self.normal, self.axes[0])
        if not np.abs(self.axes - spread).max() <= SQUARE_WITHIN:
            raise GeometryError("the axes of a swivel are equally spread over half a turn")

    @property
    def normal(self) -> Vector:
        """Unit direction (3,) square to all axes."""
        return unit(crossed(self.axes[0], self.axes[1]))

    @cached_property
    def maps(self) -> Vector:
        """Each map as a matrix (6 k, 3, 3): an arm r from the point shifts by M r.

        About an axis w, u square to it and to the normal, r goes to r +- sin(a) w x r and from there 0; by the true
        turn's (1 - cos(a)) w x (w x r); or by that with u (u.r) - w (w.r) taken `bulge` times as far.
        """
        drop, beyond = 1 - np.cos(self.angle), (bulge(len(self.axes)) - 1) / 2
        maps = []
        for axis in self.axes:
            across, aside = crossed(axis, EYE).T, crossed(self.normal, axis)
            sideways, inward = np.sin(self.angle) * across, drop * across @ across
            farther = inward + drop * beyond * (np.outer(axis, axis) - np.outer(aside, aside))
            for more in (np.zeros((3, 3)), inward, farther):
                maps += [more + sideways, more - sideways]
        return np.stack(maps)

    def shifts(self, vertices: Vector) -> Vector:
        """By how much `vertices` (n, 3) move under each map; (6 k, n, 3)."""
        return np.asarray((vertices - self.point) @ self.maps.swapaxes(1, 2))


def bulge(axes: int) -> float:
    """How much farther the second order of a turn is taken at its ends, to hold what lies between `axes` of them.

    Between two ends t = pi / axes apart the first order mixes them by sin(t - d) to sin(d), the second by
    sin(2t - 2d) to sin(2d); this is the greatest ratio of the two, at d = t / 4.
    """
    step = np.pi / axes
    return float(4 * np.sin(step / 2) * np.cos(step / 4) ** 2 / np.sin(2 * step))


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
