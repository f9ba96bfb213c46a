"""Directions spread evenly over the sphere, for polytopes that hold a ball; no unit, the icosahedron's own axes."""

from functools import lru_cache

import numpy as np

from fitcheck.geometry.frames import Vector, frozen


@lru_cache(maxsize=16)
def geodesic(split: int) -> tuple[Vector, float]:
    """Directions (10 split^2 + 2, 3) and the reach at which their hull holds the unit sphere, touching it.

    An icosahedron's sides are cut in `split` and brought to the sphere; the reach is 1 over the nearest facet's.
    """
    golden = (1 + np.sqrt(5)) / 2
    base = np.array([(0, one, two * golden) for one in (-1, 1) for two in (-1, 1)], dtype=float)
    base = np.vstack([np.roll(base, k, axis=1) for k in range(3)])
    near = np.abs(((base[:, None] - base[None]) ** 2).sum(axis=-1) - 4) < 1e-9
    faces = [
        (a, b, c) for a in range(12) for b in range(a) for c in range(b) if near[a, b] and near[b, c] and near[a, c]
    ]
    triangles = np.vstack([_split_triangle(base[list(face)], split) for face in faces])
    triangles /= np.sqrt((triangles**2).sum(axis=-1))[..., None]
    normals = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    heights = np.abs(np.einsum("ij,ij->i", normals, triangles[:, 0])) / np.sqrt((normals**2).sum(axis=1))
    corners = triangles.reshape(-1, 3)
    _, first = np.unique(corners.round(9), axis=0, return_index=True)
    return frozen(corners[first], (None, 3)), float(1 / heights.min())


def _split_triangle(corners: Vector, split: int) -> Vector:
    """`corners` (3, 3) of a triangle cut into split^2 small ones (split^2, 3, 3)."""

    def at(i: int, j: int) -> Vector:
        return np.array([split - i - j, i, j], dtype=float) @ corners

    up = [(at(i, j), at(i + 1, j), at(i, j + 1)) for i in range(split) for j in range(split - i)]
    down = [(at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)) for i in range(split) for j in range(split - i - 1)]
    return np.array(up + down)
