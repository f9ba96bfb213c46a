"""A scan as a piece of a body. Whoever does not know better takes it for the box round it, which holds all of it.

Millimetres, any one frame. `bodies` in this room measures it by its triangles.
"""

from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import product

import numpy as np

from fitcheck.errors import GeometryError
from fitcheck.geometry.frames import Frame, Vector
from fitcheck.geometry.scan import Scan
from fitcheck.geometry.scan_inside import nearest
from fitcheck.geometry.solids import Piece
from fitcheck.geometry.sweeps import Shift, Sweep

BOXES = 64  # that stand for the scan where triangles would be too many
THINNEST_MM = 0.001  # a box round a flat stretch is made this thick


@dataclass(frozen=True, eq=False)
class ScanPiece(Piece):
    """`vertices` (8, 3) are the corners of the box round the scan; `shift` is where it may stand besides."""

    scan: Scan = field(kw_only=True)
    shift: Shift | None = field(default=None, kw_only=True)

    @classmethod
    def of(cls, scan: Scan) -> "ScanPiece":
        """The scan where it is placed."""
        return cls(_box(scan, 1), scan.name, scan=scan)

    @cached_property
    def boxes(self) -> tuple[Piece, ...]:
        """Some dozens of boxes that hold the scan between them, wherever its shift may put it."""
        level = min(self.scan.skin.tree.levels, BOXES.bit_length() - 1)
        pieces = (Piece(_box(self.scan, node), self.name) for node in range(2**level, 2 ** (level + 1)))
        return tuple(pieces if self.shift is None else (piece.swept(self.shift) for piece in pieces))

    def nearest(self, point: Vector) -> Vector:
        """The point (3,) of the scan nearest to `point` (3,), where it stands without any shift."""
        return self.scan.scan2car.points(nearest(self.scan.skin, self.scan.scan2car.inverse.points(point))[1])

    def triangle_near(self, point: Vector) -> int:
        """Number of the triangle nearest to `point` (3,)."""
        return nearest(self.scan.skin, self.scan.scan2car.inverse.points(point))[0]

    def placed(self, frame: Frame) -> "ScanPiece":
        if self.shift is not None:
            raise GeometryError(f"{self.name}: a scan is placed before it is shifted")
        return ScanPiece.of(self.scan.placed(frame))

    def named(self, name: str) -> "ScanPiece":
        return replace(self, name=name, scan=replace(self.scan, name=name))

    def swept(self, by: Sweep) -> "ScanPiece":
        """The scan anywhere within `by`; GeometryError where that turns it."""
        if not isinstance(by, Shift) or self.shift is not None:
            raise GeometryError(
                f"{self.name}: a scan cannot be swept over a turn; give a part that swings, or that gives way to a "
                "pull at the wheel, as pieces or as a hull"
            )
        around = self.vertices[None] + by.shifts(self.vertices)
        return replace(self, vertices=around.reshape(-1, 3), shift=by)


def _box(scan: Scan, node: int) -> Vector:
    """Corners (8, 3), in the car, of the box round a node of the scan's tree."""
    tree = scan.skin.tree
    signs = np.array(list(product((-1.0, 1.0), repeat=3)))
    return scan.scan2car.points(tree.centres[node] + signs * np.maximum(tree.halves[node], THINNEST_MM))
