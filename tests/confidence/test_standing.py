"""The witness of a gap as a mixture of corners of its piece; millimetres."""

import numpy as np
import pytest

from fitcheck.confidence.standing import _mixture
from fitcheck.geometry.frames import Frame
from fitcheck.geometry.primitives import ball, block, cylinder
from fitcheck.geometry.solids import Piece

PIECES = {
    "box": block(Frame.identity(), [40, 30, 20]),
    "long bar": cylinder([0, 0, 0], [3, 5, 600], 12),
    "ball": ball([10, 20, 30], 60),
    "cloud": Piece(np.random.default_rng(2).normal(size=(60, 3)) * 50),
}


@pytest.mark.parametrize("name", PIECES)
def test_any_point_of_the_surface_is_told_as_three_corners(name: str) -> None:
    """Points drawn on every face, edges and corners too, are given back by the mixture to a millionth."""
    piece, random = PIECES[name], np.random.default_rng(7)
    shares = np.vstack([random.dirichlet([1, 1, 1], len(piece.faces)), np.eye(3), [[0.5, 0.5, 0]]])
    for i, share in enumerate(shares):
        point = share @ piece.corners[piece.faces[i % len(piece.faces)]]
        corners, weights = _mixture(piece, point)
        assert weights @ piece.vertices[corners] == pytest.approx(point, abs=1e-6)
        assert weights.min() >= 0 and weights.sum() == pytest.approx(1)


@pytest.mark.parametrize("name", PIECES)
def test_a_point_just_off_the_surface_is_told_nearly(name: str) -> None:
    """A witness may be off its piece by rounding: what is given back is as near as its own face."""
    piece = PIECES[name]
    middles = piece.corners[piece.faces].mean(axis=1)
    for middle in middles[:: max(1, len(middles) // 10)]:
        outside = middle + 1e-4 * (middle - piece.corners.mean(axis=0)) / np.linalg.norm(middle)
        corners, weights = _mixture(piece, outside)
        assert np.linalg.norm(weights @ piece.vertices[corners] - outside) <= np.linalg.norm(outside - middle) + 1e-9
