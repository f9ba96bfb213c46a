"""Bodies made ready to be searched, and what bounds all their piece pairs at once over the whole of their movements.

Every piece's extent along a fixed set of directions, over all its places, is worked out once; each direction then
bounds each pair of pieces by a plane held throughout. Millimetres, one common frame.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.frames import EYE, Vector, frozen
from fitcheck.geometry.gap import ROUNDING_MM, GapEngine
from fitcheck.geometry.movement import Movement
from fitcheck.geometry.path import Box, Course, Path, Spheres
from fitcheck.geometry.solids import Piece

GOLDEN_ANGLE = np.pi * (3 - np.sqrt(5))


def spread_directions(half: int) -> Vector:
    """Unit directions (2 half, 3), the last `half` opposite to the first: the three axes and an even spiral.

    The spiral of the golden angle goes over half a sphere, each direction standing for the same area.
    """
    count = half - 3
    up = (np.arange(count) + 0.5) / count
    across, turned = np.sqrt(1 - up**2), GOLDEN_ANGLE * np.arange(count)
    spiral = np.column_stack([across * np.cos(turned), across * np.sin(turned), up])
    return frozen(np.concatenate([EYE, spiral, -EYE, -spiral]), (None, 3))


HALF = 64
FIXED = spread_directions(HALF)
OPPOSITE = np.roll(np.arange(2 * HALF), HALF)


class Side:
    """One body made ready: shapes, paths and spheres of its pieces on their common course."""

    def __init__(self, engine: GapEngine, pieces: tuple[Piece, ...], moves: tuple[Movement, ...]) -> None:
        self.course = Course(moves)
        self.shapes = [engine.shape(piece) for piece in pieces]
        self.paths = [Path(shape.corners, self.course) for shape in self.shapes]
        self.spheres = Spheres.around([shape.corners for shape in self.shapes], self.course)

    @cached_property
    def extents(self) -> Vector:
        """How far each piece reaches along each of `FIXED` in any place; (pieces, directions), an upper bound."""
        return np.array([path.highest(FIXED, self.course.box) for path in self.paths])


@dataclass(frozen=True, eq=False)
class Bounds:
    """Lower bounds of the gaps of all piece pairs, (a pieces, b pieces), and the unit directions that gave them.

    `by_sphere` says where it was the bounding spheres, whose direction runs from a's to b's.
    """

    bounds: Vector
    normals: Vector
    by_sphere: NDArray[np.bool_]


def sphere_bounds(a: Side, b: Side, a_box: Box, b_box: Box) -> Bounds:
    """By spheres that hold the pieces all over the boxes."""
    a_centres, a_radii = a.spheres.swept(a_box)
    b_centres, b_radii = b.spheres.swept(b_box)
    between = b_centres[None] - a_centres[:, None]
    apart = np.sqrt((between**2).sum(axis=2))
    bounds = apart - a_radii[:, None] - b_radii[None] - ROUNDING_MM
    known = apart[..., None] > 1e-9
    normals = np.where(known, between / np.where(known, apart[..., None], 1.0), [0.0, 0.0, 1.0])
    return Bounds(bounds, normals, np.ones(bounds.shape, dtype=bool))


def whole_bounds(a: Side, b: Side) -> Bounds:
    """Over the whole of both courses: the best of the spheres and of the fixed directions."""
    spheres = sphere_bounds(a, b, a.course.box, b.course.box)
    overlaps = a.extents[:, None] + b.extents[None, :, OPPOSITE]
    which = overlaps.argmin(axis=2)
    held = -overlaps.min(axis=2) - ROUNDING_MM
    by_sphere = spheres.bounds > held
    normals = np.where(by_sphere[..., None], spheres.normals, FIXED[which])
    return Bounds(np.maximum(held, spheres.bounds), normals, by_sphere)
