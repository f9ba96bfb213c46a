"""What each kind of reading says about the points it looks at, in closed form. Car frame; mm, rad; points are (3,)."""

from collections.abc import Callable
from math import asin, atan2, hypot, sqrt

import numpy as np

from fitcheck.geometry.frames import Frame, Vector, crossed, turned, unit
from fitcheck.readings.directions import BACK, SQUARING, UP, square_to

LEVER_MM = 300.0  # unknown turns are counted in mm at this distance, so that all unknowns are of one size


def offset(point: Vector, start: Vector, *, way: Vector) -> float:
    """How far `point` lies from `start` along `way`."""
    return float((point - start) @ way)


def offset_slopes(point: Vector, start: Vector, *, way: Vector) -> tuple[Vector, Vector]:
    """Derivative of `offset` by either point."""
    return way, -way


def distance_slopes(one: Vector, other: Vector, *, beyond: float = 0.0) -> tuple[Vector, Vector]:
    """Derivative of `distance` by either point."""
    toward = unit(one - other)
    return toward, -toward


def distance(one: Vector, other: Vector, *, beyond: float = 0.0) -> float:
    """Straight from one to the other, and `beyond` (negative: short of it)."""
    return length(one - other) + beyond


def length(vector: Vector) -> float:
    return sqrt(float(vector @ vector))


def to_plane(point: Vector, a: Vector, b: Vector, c: Vector) -> float:
    """Square distance to the plane through three points."""
    return abs(float((point - a) @ unit(np.cross(b - a, c - a))))


def along(point: Vector, a: Vector, b: Vector) -> float:
    """How far along from a toward b the foot of the point is."""
    return float((point - a) @ unit(b - a))


def out(point: Vector, a: Vector, b: Vector) -> float:
    """Square distance to the line through a and b."""
    return length(point - a - along(point, a, b) * unit(b - a))


def off(point: Vector, a: Vector, b: Vector, *, which: int) -> float:
    """How far off the line through a and b the point lies, by one of two directions square to it."""
    axis = unit(b - a)
    one = square_to(UP if abs(axis @ UP) < 0.9 else BACK, axis)
    return float((crossed(axis, one) if which else one) @ (point - a))


def down(a: Vector, b: Vector, *, car2level: Frame, projected: bool) -> float:
    """Fall of the line from a to b below level: true, or as seen square from the side."""
    back, right, up = car2level.directions(b - a)
    return atan2(-up, abs(back) if projected else hypot(back, right))


def across(a: Vector, b: Vector, *, car2level: Frame, projected: bool) -> float:
    """Angle of the line from a to b with the centreline, b to the right positive: true, or as seen in plan."""
    back, right, up = car2level.directions(b - a)
    return atan2(right, abs(back)) if projected else asin(right / sqrt(back**2 + right**2 + up**2))


def growth(pivot: Vector, first: Vector, other: Vector, *axis_to: Vector, across_car: Vector) -> float:
    """How much farther `other` is from the pivot's axis than `first`."""
    axis = unit(axis_to[0] - pivot) if axis_to else across_car
    one, two = (arm - (arm @ axis) * axis for arm in (first - pivot, other - pivot))
    return length(two) - length(one)


def in_scan(point: Vector, shift: Vector, turn: Vector, *, which: int) -> float:
    """Coordinate of a point as a scan has it, the scan moved by `shift` and turned by the vector `turn` / LEVER_MM."""
    angle = length(turn) / LEVER_MM
    there = turned(point, unit(turn), angle) if angle > 1e-15 else point
    return float(there[which] + shift[which])


def down_column(hub_seat: Vector, low: Vector, outward: Vector | None, radius: float) -> Vector:
    """The column's direction from its two places, the lower one on the axis or on the skin's side `outward`."""
    axis = unit(low - hub_seat)
    if outward is not None:
        for _ in range(SQUARING):
            axis = unit(low - radius * square_to(outward, axis) - hub_seat)
    return axis


def of_column(*points: Vector, predict: Callable[..., float], outward: Vector | None, radius: float) -> float:
    """What a kind of reading says along the column's axis: `points` end with the hub seat and the lower place."""
    *others, hub_seat, low = points
    return predict(*others, hub_seat, hub_seat + LEVER_MM * down_column(hub_seat, low, outward, radius))


def column_frame(hub_seat: Vector, low: Vector, outward: Vector | None, radius: float) -> Frame:
    """The column's frame: origin at the hub seat, x to 12 o'clock, z down the column."""
    return Frame.from_axes(hub_seat, down_column(hub_seat, low, outward, radius), UP)


def off_column(
    point: Vector, hub_seat: Vector, low: Vector, *, what: str, outward: Vector | None, radius: float
) -> float:
    """`along`, `out` (from the axis) or `clock` of a point off the column."""
    z_axis, away = down_column(hub_seat, low, outward, radius), point - hub_seat
    z = float(away @ z_axis)
    if what == "along":
        return z
    if what == "out":
        return length(away - z * z_axis)
    x_axis = square_to(UP, z_axis)
    return atan2(float(away @ crossed(z_axis, x_axis)), float(away @ x_axis))
