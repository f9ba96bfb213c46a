"""What a plane square to the column cuts of the parts: areas to 3 and to 12 o'clock of the column's axis, mm."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from fitcheck.geometry.frames import Frame, Vector
from fitcheck.geometry.scan_piece import ScanPiece
from fitcheck.placement.scene import Part
from fitcheck.report.pictures.stage import Shell, Shown

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

LEAST_MM2 = 0.01
ON_PLANE_MM = 1e-9
SAME_PLACES = 6  # decimals of a millimetre


@dataclass(frozen=True, eq=False)
class Face:
    """What the plane cuts of one part as it is drawn: a shapely area to 3 and to 12 o'clock of the axis, mm."""

    of: Shown
    area: "BaseGeometry"


def faces_at(stage: Iterable[Shown], frame: Frame, along: float) -> Iterator[Face]:
    """What a plane `along` mm down the column cuts of each part."""
    for each in stage:
        area = area_of(each.part, each.shells, frame, along)
        if not area.is_empty:
            yield Face(each, area)


def area_of(part: Part, shells: Iterable[Shell], frame: Frame, along: float) -> "BaseGeometry":
    """All of a part that lies in the plane; of a scan the areas that its triangles close, else their lines."""
    import shapely

    scanned = any(isinstance(piece, ScanPiece) for phase in part.phases for piece in phase.pieces)
    found = [met(shell, frame, along, hull=not scanned) for shell in shells]
    return shapely.union_all([each for each in found if not each.is_empty])


def met(shell: Shell, frame: Frame, along: float, hull: bool) -> Any:
    """Where the plane meets one hull, or one surface of triangles: empty where it does not."""
    import shapely

    points = frame.inverse.points(shell.points)
    above = points[:, 2] - along
    above[above == 0] = ON_PLANE_MM  # a corner in the plane counts as beyond it
    lines = _crossed(points[shell.faces], above[shell.faces])
    if not len(lines):
        return shapely.Polygon()
    if hull:
        area = shapely.MultiPoint(lines.reshape(-1, 2)).convex_hull
        return area if area.area > LEAST_MM2 else shapely.Polygon()
    ends = lines.round(SAME_PLACES)  # what two triangles share is worked out twice, and rounded twice
    ends = ends[(ends[:, 0] != ends[:, 1]).any(axis=1)]
    joined = shapely.union_all(shapely.linestrings(ends))
    closed = shapely.build_area(joined)
    return closed if closed.area > LEAST_MM2 else joined


def _crossed(corners: Vector, above: Vector) -> Vector:
    """The line (k, 2, 2) in which the plane crosses each triangle that has corners (n, 3, 3) on either side of it."""
    ends, of = [], []
    for i, j in ((0, 1), (1, 2), (2, 0)):
        which = np.flatnonzero(above[:, i] * above[:, j] < 0)
        share = above[which, i] / (above[which, i] - above[which, j])
        ends.append(corners[which, i] + share[:, None] * (corners[which, j] - corners[which, i]))
        of.append(which)
    order = np.argsort(np.concatenate(of), kind="stable")
    return np.asarray(np.vstack(ends)[order][:, [1, 0]].reshape(-1, 2, 2))
