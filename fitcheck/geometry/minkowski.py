"""The last road to a gap: the facets of the Minkowski difference b - a, through Qhull. Slow (0.4-6 ms) and exact.

The pieces meet where the difference holds the origin; its nearest or shallowest facet is the answer. Millimetres.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitcheck.errors import GeometryError
from fitcheck.geometry.frames import Vector


@dataclass(frozen=True, eq=False)
class Difference:
    """What the difference says: `normals` (k, 3) from a toward b to try, a point of each, and whether they meet."""

    normals: Vector
    on_a: Vector
    on_b: Vector
    meet: bool


def difference(a: Vector, b: Vector) -> Difference:
    """For the hulls of `a` (n, 3) and `b` (m, 3), in one frame. GeometryError where Qhull cannot build it.

    Meeting, `on_a` and `on_b` are one common point, found twice; apart, they are the nearest points.
    """
    from scipy.spatial import ConvexHull, QhullError  # costs 0.4 s to import: only where used

    points = (b[:, None, :] - a[None, :, :]).reshape(-1, 3)
    try:
        hull = ConvexHull(points)
    except QhullError as error:
        raise GeometryError("two pieces too thin or too far apart in size to be compared") from error
    outward, offsets = hull.equations[:, :3], hull.equations[:, 3]
    meet = not offsets.max() > 0
    corners, weights = (_meeting if meet else _apart)(points, hull.simplices, outward, offsets)
    on_a, on_b = weights @ a[corners % len(a)], weights @ b[corners // len(a)]
    normals = [-outward[offsets.argmax()]]
    length = float(np.sqrt((on_b - on_a) @ (on_b - on_a)))
    if not meet and length > 0:
        normals.append((on_b - on_a) / length)  # the true direction, but poor where the line is short
    return Difference(np.array(normals), on_a, on_b, meet)


def _apart(
    points: Vector, triangles: NDArray[np.int32], outward: Vector, offsets: Vector
) -> tuple[NDArray[np.int64], Vector]:
    """Corners (3,) and convex weights (3,) of the point of the difference nearest the origin."""
    seen = np.flatnonzero(offsets > 0)
    weights = nearest_weights(points[triangles[seen]])
    nearest = np.einsum("ij,ijk->ik", weights, points[triangles[seen]])
    best = int((nearest**2).sum(axis=1).argmin())
    return triangles[seen[best]].astype(np.int64), weights[best]


def _meeting(
    points: Vector, triangles: NDArray[np.int32], outward: Vector, offsets: Vector
) -> tuple[NDArray[np.int64], Vector]:
    """Corners (6,) and convex weights (6,) that write the origin, inside the difference, as a mixture of them."""
    along = outward[offsets.argmax()]
    ahead, ahead_weights, ahead_far = _pierced(points, triangles, outward, offsets, along)
    behind, behind_weights, behind_far = _pierced(points, triangles, outward, offsets, -along)
    share = behind_far / (ahead_far + behind_far)
    corners = np.concatenate([triangles[ahead], triangles[behind]]).astype(np.int64)
    return corners, np.concatenate([share * ahead_weights, (1 - share) * behind_weights])


def _pierced(
    points: Vector, triangles: NDArray[np.int32], outward: Vector, offsets: Vector, along: Vector
) -> tuple[int, Vector, float]:
    """Triangle through which the ray from the origin along unit `along` leaves, its convex weights, the way to it."""
    slope = outward @ along
    facing = np.flatnonzero(slope > 1e-12)
    far = -offsets[facing] / slope[facing]
    tied = facing[far <= far.min() + 1e-9]
    weights = nearest_weights(points[triangles[tied]] - far.min() * along)
    at = np.einsum("ij,ijk->ik", weights, points[triangles[tied]])
    best = int(((at - far.min() * along) ** 2).sum(axis=1).argmin())
    return int(tied[best]), weights[best], float(at[best] @ along)


def nearest_weights(triangles: Vector) -> Vector:
    """Convex weights (k, 3) of the point nearest the origin in each of `triangles` (k, 3, 3)."""
    best_weights, best_squared = _edge_weights(triangles, 0, 1)
    for first, second in ((1, 2), (2, 0)):
        weights, squared = _edge_weights(triangles, first, second)
        closer = squared < best_squared
        best_weights[closer], best_squared[closer] = weights[closer], squared[closer]
    p, q, r = triangles[:, 0], triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]
    qq, rr, qr = (q * q).sum(1), (r * r).sum(1), (q * r).sum(1)
    pq, pr = (p * q).sum(1), (p * r).sum(1)
    area = qq * rr - qr * qr
    flat = area <= 1e-14 * qq * rr
    safe = np.where(flat, 1.0, area)
    v, w = (qr * pr - rr * pq) / safe, (qr * pq - qq * pr) / safe
    inner = np.column_stack([1 - v - w, v, w])
    within = ~flat & (inner >= 0).all(axis=1)
    best_weights[within] = inner[within]
    return best_weights


def _edge_weights(triangles: Vector, first: int, second: int) -> tuple[Vector, Vector]:
    """Weights (k, 3) and squared distance (k,) of the point nearest the origin on one edge of each triangle."""
    start, way = triangles[:, first], triangles[:, second] - triangles[:, first]
    length = (way * way).sum(axis=1)
    share = np.clip(-(start * way).sum(axis=1) / np.where(length > 0, length, 1.0), 0.0, 1.0)
    weights = np.zeros((len(triangles), 3))
    weights[:, first], weights[:, second] = 1 - share, share
    at = start + share[:, None] * way
    return weights, (at * at).sum(axis=1)
