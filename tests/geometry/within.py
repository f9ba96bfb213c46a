"""Whether points lie in a union of convex pieces, and how big pieces are, by Qhull's planes alone; millimetres."""

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull

from fitcheck.geometry.solids import Piece

Points = NDArray[np.float64]


def outside_by(pieces: Iterable[Piece], points: Points) -> Points:
    """For each point (n, 3) how far it lies outside the piece that holds it best; 0 or less: inside, mm."""
    over: list[Points] = []
    for piece in pieces:
        planes = ConvexHull(piece.vertices).equations
        over.append((points @ planes[:, :3].T + planes[:, 3]).max(axis=1))
    return np.asarray(np.min(over, axis=0))


def volume(piece: Piece) -> float:
    return float(ConvexHull(piece.vertices).volume)


def basis(axis: Points) -> Points:
    """Rows: two directions square to `axis` and to each other, then the axis; by Gram-Schmidt from QR."""
    square, _ = np.linalg.qr(np.column_stack([axis, np.eye(3)]))
    return np.array([square[:, 1], square[:, 2], axis / np.linalg.norm(axis)])


def round_points(rng: np.random.Generator, start: Points, end: Points, radii: Points, turns: Points) -> Points:
    """Points at `radii` (n,) and `turns` (n,) about the axis from `start` to `end`, evenly strewn along it."""
    one, two, way = basis(end - start)
    far = rng.uniform(0, np.linalg.norm(end - start), len(radii))
    square = np.column_stack([radii * np.cos(turns), radii * np.sin(turns), far])
    return np.asarray(start + square @ np.array([one, two, way]))
