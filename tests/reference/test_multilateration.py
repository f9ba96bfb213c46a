"""Six distances to anchors in space, from the public code of "An algebraic solution to the multilateration problem".

Anchors, true point and measured distances in metres as read there; the least-squares point was worked out from them by
an independent script. The trap: the anchors are nearly level, so the height is off by 0.37 m, and the covariance must
say so.
"""

from functools import partial

import numpy as np
import pytest
from scipy.optimize import minimize

from fitcheck.readings.adjust import Net, Observation, adjust
from fitcheck.readings.reading import SIGMAS_95, Reading

ANCHORS = np.array([
    (27.297, -4.953, 1.47), (20.693, -4.849, 1.93), (22.590, 0.524, 1.2),
    (17.113, -3.003, 2.17), (22.554, 4.727, 1.77), (22.447, -7.880, 1.6),
])  # fmt: skip
TRUE = np.array([26.759, -1.342, 1.13])
READ = np.array([3.652, 7.036, 4.586, 9.960, 7.542, 7.883])
SIGMA = 0.1


def distance(anchor: np.ndarray, point: np.ndarray) -> float:
    return float(np.linalg.norm(point - anchor))


def net() -> Net:
    spread = SIGMA * SIGMAS_95
    observations = tuple(
        Observation(
            Reading(("tape", i), float(read), spread, "stated", False), str(i), ("p",), partial(distance, ANCHORS[i])
        )
        for i, read in enumerate(READ)
    )
    return Net(observations, {"p": ANCHORS.mean(axis=0)}, {})


def test_true_distances_as_published() -> None:
    """The frame and the figures were copied right."""
    published = [3.66666, 7.05233, 4.56809, 9.84306, 7.41110, 7.84600]
    assert [distance(anchor, TRUE) for anchor in ANCHORS] == pytest.approx(published, abs=1e-5)


def test_least_squares_point() -> None:
    found = adjust(net())
    assert found.x == pytest.approx([26.78268, -1.39917, 0.75644], abs=2e-5)
    assert found.squares * SIGMA**2 == pytest.approx(0.0117685, abs=1e-7)


def test_by_another_minimiser() -> None:
    found = adjust(net())
    squares = lambda p: float(((READ - np.linalg.norm(ANCHORS - p, axis=1)) ** 2).sum())  # noqa: E731
    simplex = minimize(squares, TRUE, method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-14, "maxiter": 5000})
    assert found.x == pytest.approx(simplex.x, abs=1e-5)


def test_tests_of_single_distances() -> None:
    """Residuals, redundancy and w against the textbook's formulas with the design in closed form."""
    found = adjust(net())
    away = found.x - ANCHORS
    design = away / np.linalg.norm(away, axis=1)[:, None] / SIGMA
    covariance = np.linalg.inv(design.T @ design)
    redundancy = 1 - np.einsum("ij,jk,ik->i", design, covariance, design)
    v = (READ - np.linalg.norm(away, axis=1)) / SIGMA
    assert found.covariance == pytest.approx(covariance, rel=1e-4)
    assert found.redundancy == pytest.approx(redundancy, abs=1e-6)
    assert redundancy.sum() == pytest.approx(3.0, abs=1e-9)
    assert found.w == pytest.approx(v / np.sqrt(redundancy), abs=1e-4)


def test_the_covariance_says_that_the_height_is_poor() -> None:
    found = adjust(net())
    back, right, up = np.sqrt(np.diag(found.covariance))
    assert up > 3 * max(back, right)
    assert abs(found.x[2] - TRUE[2]) == pytest.approx(0.374, abs=0.001)
    assert abs(found.x[2] - TRUE[2]) < SIGMAS_95 * up * max(1.0, found.factor)
