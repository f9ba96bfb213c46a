"""Movements against scipy's rotations; millimetres, radians."""

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from fitcheck.geometry.movement import Turn


def test_the_path_of_a_point_is_that_of_scipys_rotations() -> None:
    random = np.random.default_rng(4)
    for _ in range(20):
        point, axis, start = random.normal(size=(3, 3)) * 100
        turn = Turn(point, axis, -0.3, 1.2)
        angles = random.uniform(-0.3, 1.2, 9)
        expected = Rotation.from_rotvec(angles[:, None] * turn.axis).apply(start - point) + point
        assert turn.path(start, angles) == pytest.approx(expected, abs=1e-9)
        assert turn.moved(start[None], angles[0])[0] == pytest.approx(expected[0], abs=1e-9)
