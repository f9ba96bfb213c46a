"""Whether a part whose surface stays clear of a scan's lies inside it, and how deep parts are in that meet.

By the generalised winding number (Jacobson, Kavan, Sorkine-Hornung, Robust inside-outside segmentation, 2013), each
triangle's solid angle by van Oosterom and Strackee (IEEE Trans. Biomed. Eng. 30, 1983); both recalled. Millimetres.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.door import Pose, Shape
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.gap import INSIDE_MM, ROUNDING_MM, Gap, by_difference
from fitcheck.geometry.minkowski import nearest_weights
from fitcheck.geometry.scan import Scan, Skin
from fitcheck.geometry.scan_search import Place, ScanSearch, Witness

INSIDE = 0.5  # winding number over which a point is inside a closed scan
DOUBTFUL = 0.2  # from here on an open scan may hold the point
PROBES = 12  # triangles asked how deep they are in
NEAR = 16  # clusters looked at first for the point nearest to another


@dataclass(frozen=True, eq=False)
class Inside:
    """What was found out: the witness where a part is inside, or in words why it may be."""

    met: Witness | None = None
    doubt: str = ""


def look_inside(scan: Scan, search: ScanSearch, place: Place) -> Inside:
    """Whether any piece is inside `scan` at `place`; their surfaces must be apart, so a point of each piece tells.

    Pieces that share a point are on the same side, and one point tells for all of them.
    """
    rotation, origin = search.course.pose(place)
    doubts = []
    for piece in _one_of_each(search.shapes):
        point = search.shapes[piece].corners.mean(axis=0) @ rotation.T + origin
        if _surely_outside(scan.skin, point):
            continue
        closed, opened = winding(scan.skin, point)
        if closed > INSIDE:
            return Inside(_buried(scan.skin, piece, place, point))
        if _doubtful(scan, opened):
            doubts.append(opened)
    return Inside(doubt=_words(scan, max(doubts, key=abs)) if doubts else "")


def _surely_outside(skin: Skin, point: Vector) -> bool:
    """Whether no closed body can hold `point`, and the open ones are too small for how far away they are.

    A triangle seen from d away or more fills at most its area over d^2 of the sphere's 4 pi.
    """
    beyond = np.maximum(np.abs(skin.tree.centres[1] - point) - skin.tree.halves[1], 0.0)
    square = float(beyond @ beyond)
    return square > 0 and skin.open_area_mm2 < DOUBTFUL * 4 * np.pi * square


def _doubtful(scan: Scan, turns: float) -> bool:
    if scan.free == "both":
        return False
    behind = {"front": turns, "back": -turns, None: abs(turns)}[scan.free]
    return behind >= DOUBTFUL


def _words(scan: Scan, turns: float) -> str:
    found = f"{scan.name} is an open scan, and the part may be inside it or behind it (winding number {turns:.2f})"
    if scan.free is None:
        return f'{found}; it does not say which side of it is free: write free_side = "front", "back" or "both"'
    return f"{found}; is the side said to be free the right one?"


def _one_of_each(shapes: list[Shape]) -> list[int]:
    """One of each lot of pieces that hang together by a corner of one inside another."""
    lot = list(range(len(shapes)))
    for i, one in enumerate(shapes):
        for j in range(i):
            other = shapes[j]
            if lot[i] != lot[j] and (_shares(one, other) or _shares(other, one)):
                lot = [lot[j] if of == lot[i] else of for of in lot]
    return [lot.index(of) for of in dict.fromkeys(lot)]


def _shares(one: Shape, other: Shape) -> bool:
    outside = (one.corners @ other.planes.T - other.offsets).max(axis=1)
    return bool(outside.min() <= INSIDE_MM)


def winding(skin: Skin, point: Vector) -> tuple[float, float]:
    """How often the closed and the open bodies of `skin` go round `point` (3,), which is not on them."""
    arms = skin.vertices - point
    lengths = np.sqrt((arms * arms).sum(axis=1))
    a, b, c = (arms[skin.triangles[:, k]] for k in range(3))
    la, lb, lc = (lengths[skin.triangles[:, k]] for k in range(3))
    above = np.einsum("ij,ij->i", a, np.cross(b, c))
    below = la * lb * lc + _dot(a, b) * lc + _dot(b, c) * la + _dot(c, a) * lb
    turns = np.arctan2(above, below) / (2 * np.pi)
    closed = skin.closed[skin.bodies]
    return float(turns[closed].sum()), float(turns[~closed].sum())


def _dot(a: Vector, b: Vector) -> Vector:
    return np.asarray(np.einsum("ij,ij->i", a, b))


def nearest(skin: Skin, point: Vector) -> tuple[int, Vector]:
    """The triangle of `skin` nearest to `point` (3,), and its point there (3,)."""
    off = np.abs(skin.tree.centres[skin.first_cluster :] - point) - skin.tree.halves[skin.first_cluster :]
    least = np.sqrt((np.maximum(off, 0.0) ** 2).sum(axis=1))
    first = np.argpartition(least, min(NEAR, len(least) - 1))[:NEAR]
    reach = _nearest_of(skin, point, skin.tree.clusters[first].ravel())[2]
    number, at, _ = _nearest_of(skin, point, skin.tree.clusters[least <= reach].ravel())
    return number, at


def _nearest_of(skin: Skin, point: Vector, numbers: NDArray[np.int64]) -> tuple[int, Vector, float]:
    triangles = skin.vertices[skin.triangles[numbers]] - point
    at = np.einsum("kj,kjl->kl", nearest_weights(triangles), triangles)
    squares = (at * at).sum(axis=1)
    best = int(squares.argmin())
    return int(numbers[best]), at[best] + point, float(np.sqrt(squares[best]))


def _buried(skin: Skin, piece: int, place: Place, point: Vector) -> Witness:
    """A point of the piece inside the skin: whoever frees it must move it as far as the surface at least."""
    triangle, at = nearest(skin, point)
    way = at - point
    depth = float(np.sqrt(way @ way)) - ROUNDING_MM
    return Witness(piece, triangle, place, Gap(-depth, 0.0, depth, way / (depth + ROUNDING_MM), point, point, 1))


def deepest(skin: Skin, shape: Shape, pose: Pose, met: Witness) -> Witness:
    """Of the triangles farthest inside the piece at the place of `met`, the one that must move the most to be free."""
    rotation, origin = pose
    own = (skin.vertices - origin) @ rotation
    low, high = shape.corners.min(axis=0), shape.corners.max(axis=0)
    held = np.flatnonzero(((own >= low) & (own <= high)).all(axis=1))
    depths = np.full(len(own), -np.inf)
    depths[held] = (shape.offsets - own[held] @ shape.planes.T).min(axis=1)
    of_triangle = depths[skin.triangles].max(axis=1)
    most = np.argsort(-of_triangle, kind="stable")[:PROBES]
    best = met
    corners = shape.corners @ rotation.T + origin
    for number in most[of_triangle[most] > best.gap.depth_mm].tolist():
        gap = by_difference(skin.vertices[skin.triangles[number]], corners)
        if gap.gap_mm == 0 and gap.depth_mm > best.gap.depth_mm:
            best = replace(met, triangle=number, gap=gap)
    return best
