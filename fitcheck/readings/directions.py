"""Directions of the car frame (back, right, up), and those of level and plumb in a car that did not sit level."""

import numpy as np

from fitcheck.geometry.frames import Frame, Vector, turned, unit
from fitcheck.job.model import Header

BACK, RIGHT, UP = np.eye(3)
TOWARD = {
    "front": -BACK, "forward": -BACK, "rear": BACK, "back": BACK, "left": -RIGHT,
    "right": RIGHT, "top": UP, "up": UP, "underside": -UP, "down": -UP,
}  # fmt: skip
SQUARING = 6  # half the jacket is laid off square to the axis, which it makes: each round gains two digits


def level2car(header: Header) -> Frame:
    """Directions by level and plumb, turned into the car's own: the car may have sat nose up and one side down."""
    if header.sat == "level":
        return Frame.identity()
    car2level = turned(turned(np.eye(3), BACK, header.sat.cross_angle.rad), RIGHT, header.sat.sill_angle.rad).T
    return Frame(car2level.T, np.zeros(3))


def square_to(outward: Vector, axis: Vector) -> Vector:
    """The direction (3,) square to `axis` that is nearest to `outward`: where a tube's side of that name lies."""
    return unit(outward - (outward @ axis) * axis)
