"""The solver's settings against certified values of NIST's Statistical Reference Datasets, nonlinear regression.

Misra1a (lower difficulty) and MGH09 (higher), from both certified starts. Certified parameters, deviations and residual
sums of squares as read in the published data files; the data themselves are recalled, and the certified sum of squares
to ten digits says that they were recalled right. Unknowns are counted in sizes near 1, as the readings' are.
"""

from functools import partial

import numpy as np
import pytest

from fitcheck.readings.adjust import Adjusted, Net, Observation, adjust
from fitcheck.readings.reading import SIGMAS_95, Reading

MISRA_X = (77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0)
MISRA_Y = (10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78)
MGH_X = (4.0, 2.0, 1.0, 0.5, 0.25, 0.167, 0.125, 0.1, 0.0833, 0.0714, 0.0625)
MGH_Y = (0.1957, 0.1947, 0.1735, 0.16, 0.0844, 0.0627, 0.0456, 0.0342, 0.0323, 0.0235, 0.0246)
HUNDREDS, TEN_THOUSANDTHS = 100.0, 1e-4


def misra(b: np.ndarray, *, x: float) -> float:
    return float(HUNDREDS * b[0] * (1 - np.exp(-TEN_THOUSANDTHS * b[1] * x)))


def misra_slopes(b: np.ndarray, *, x: float) -> list[np.ndarray]:
    fall = np.exp(-TEN_THOUSANDTHS * b[1] * x)
    return [np.array([HUNDREDS * (1 - fall), HUNDREDS * b[0] * TEN_THOUSANDTHS * x * fall])]


def mgh(b: np.ndarray, *, x: float) -> float:
    return float(b[0] * (x**2 + x * b[1]) / (x**2 + x * b[2] + b[3]))


def mgh_slopes(b: np.ndarray, *, x: float) -> list[np.ndarray]:
    top, under = x**2 + x * b[1], x**2 + x * b[2] + b[3]
    return [np.array([top / under, b[0] * x / under, -b[0] * top * x / under**2, -b[0] * top / under**2])]


def solved(kind: str, start: tuple[float, ...]) -> Adjusted:
    predict, slopes, xs, ys = {
        "misra": (misra, misra_slopes, MISRA_X, MISRA_Y),
        "mgh": (mgh, mgh_slopes, MGH_X, MGH_Y),
    }[kind]
    observations = tuple(
        Observation(
            Reading((kind, i), y, SIGMAS_95, "stated", False), str(i), ("b",), partial(predict, x=x),
            slopes=partial(slopes, x=x),
        )
        for i, (x, y) in enumerate(zip(xs, ys, strict=True))
    )  # fmt: skip
    return adjust(Net(observations, {"b": np.array(start)}, {}))


@pytest.mark.parametrize("start", [(5.0, 1.0), (2.5, 5.0)])
def test_misra1a(start: tuple[float, ...]) -> None:
    found = solved("misra", start)
    assert found.x * (HUNDREDS, TEN_THOUSANDTHS) == pytest.approx([2.3894212918e2, 5.5015643181e-4], rel=1e-8)
    assert found.squares == pytest.approx(1.2455138894e-1, rel=1e-9)
    assert found.degrees == 12
    deviations = found.factor * np.sqrt(np.diag(found.covariance)) * (HUNDREDS, TEN_THOUSANDTHS)
    assert deviations == pytest.approx([2.7070075241, 7.2668688436e-6], rel=1e-7)
    assert found.factor == pytest.approx(0.10187876330, rel=1e-9)


@pytest.mark.parametrize("start", [(25.0, 39.0, 41.5, 39.0), (0.25, 0.39, 0.415, 0.39)])
def test_mgh09(start: tuple[float, ...]) -> None:
    found = solved("mgh", start)
    certified = [1.9280693458e-1, 1.9128232873e-1, 1.2305650693e-1, 1.3606233068e-1]
    assert found.x == pytest.approx(certified, rel=1e-6)
    assert found.squares == pytest.approx(3.0750560385e-4, rel=1e-9)
    assert found.degrees == 7
