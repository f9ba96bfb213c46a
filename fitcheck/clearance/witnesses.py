"""A point of a convex piece as a mixture of its corners, for whoever wants to check that it lies there; millimetres."""

import numpy as np

from fitcheck.errors import GeometryError
from fitcheck.geometry.frames import Vector

OFF_MM = 1e-7  # how far the mixture may be from the point


def weights(corners: Vector, point: Vector, name: str) -> list[list[float]]:
    """Pairs of a corner's number in `corners` (n, 3) and its weight, none below 0, their sum 1; else GeometryError."""
    from scipy.optimize import nnls  # slow to import: only where a proof is written

    arms = corners - point
    size = float(np.abs(arms).max())
    found, _ = nnls(np.vstack([arms.T / size, np.ones(len(corners))]), np.array([0.0, 0.0, 0.0, 1.0]))
    shares = found / found.sum()
    off = shares @ arms
    if not float(np.sqrt(off @ off)) <= OFF_MM:
        raise GeometryError(f"{name}: the point shown is not in it")
    used = np.flatnonzero(shares)
    return [[int(corner), float(shares[corner])] for corner in used]
