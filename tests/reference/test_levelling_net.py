"""The levelling net of the course `OSGeoLabBp/tutorials`, english/data_processing/level_net.rst (read, and reproduced).

Six height differences between four benchmarks, one of them fixed; a priori 0.7 mm times the length in km. The course
prints adjusted heights to 0.1 mm, residuals to 0.01 mm, m0 and deviations after it to 0.01, redundancy, tests to 0.1.
Its trap: the test of the whole fails, and no single reading does.
"""

import numpy as np
import pytest

from fitcheck.readings.adjust import Adjusted, Net, Observation, adjust
from fitcheck.readings.reading import SIGMAS_95, Reading
from fitcheck.readings.snooping import STANDS_OUT, snoop

READ = (
    (1, 2, -0.749, 1.1), (1, 3, -1.274, 1.8), (1, 4, -2.890, 1.4),
    (2, 3, -0.530, 1.5), (2, 4, -2.141, 1.9), (3, 4, -1.614, 0.9),
)  # fmt: skip
H4_M = 101.345


def climb(start: np.ndarray, end: np.ndarray) -> float:
    return float(end[0] - start[0])


def net(readings: tuple[tuple[int, int, float, float], ...] = READ) -> Net:
    observations = [
        Observation(
            Reading(("levels", i), metres * 1000, 0.7 * km * SIGMAS_95, "stated", is_angle=False),
            f"{a} to {b}", (f"H{a}", f"H{b}"), climb,
        )
        for i, (a, b, metres, km) in enumerate(readings)
    ]  # fmt: skip
    start = {f"H{i}": np.array([100_000.0]) for i in (1, 2, 3)}
    return Net(tuple(observations), start, {"H4": np.array([H4_M * 1000])})


@pytest.fixture(scope="module")
def found() -> Adjusted:
    return adjust(net())


def test_heights_and_residuals(found: Adjusted) -> None:
    heights = [found.block(f"H{i}")[0] / 1000 for i in (1, 2, 3)]
    assert heights == pytest.approx([104.2350, 103.4868, 102.9588], abs=0.00005)
    sigmas = np.array([each.sigma for each in found.net.observations])
    printed = [0.81, -2.18, 0.00, 2.01, -0.81, 0.18]  # adjusted less read
    assert -found.residuals * sigmas == pytest.approx(printed, abs=0.0051)


def test_whole_and_deviations(found: Adjusted) -> None:
    assert found.degrees == 3
    assert found.squares == pytest.approx(8.217, abs=0.0005)
    assert found.factor == pytest.approx(1.65, abs=0.005)
    after = found.factor * np.sqrt(np.diag(found.covariance))
    assert after == pytest.approx([1.13, 1.19, 0.91], abs=0.0051)


def test_redundancy_and_tests(found: Adjusted) -> None:
    assert found.redundancy == pytest.approx([0.3140, 0.6865, 0.5112, 0.5466, 0.7073, 0.2344], abs=0.00005)
    assert found.redundancy.sum() == pytest.approx(3.0, abs=1e-9)
    assert np.abs(found.w) == pytest.approx([1.8798, 2.0853, 0.0044, 2.5918, 0.7224, 0.5903], abs=0.0006)
    assert np.abs(found.w) == pytest.approx([1.9, 2.1, 0.0, 2.6, 0.7, 0.6], abs=0.051), "as printed"


def test_the_whole_fails_and_no_single_reading_does(found: Adjusted) -> None:
    assert found.limit == pytest.approx(7.815, abs=0.0005)
    assert not found.agrees
    assert np.abs(found.w).max() < STANDS_OUT
    assert snoop(net()).doubtful == ()


def test_by_normal_equations(found: Adjusted) -> None:
    """The same net written as a linear system and solved by numpy's inverse: another road to all of it."""
    design = np.zeros((6, 3))
    wanted = np.zeros(6)
    for row, (a, b, metres, _) in enumerate(READ):
        wanted[row] = metres * 1000
        for bench, sign in ((a, -1), (b, 1)):
            if bench == 4:
                wanted[row] -= sign * H4_M * 1000
            else:
                design[row, bench - 1] = sign
    weights = np.diag([1 / (0.7 * km) ** 2 for *_, km in READ])
    covariance = np.linalg.inv(design.T @ weights @ design)
    assert found.x == pytest.approx(covariance @ design.T @ weights @ wanted, abs=1e-6)
    assert found.covariance == pytest.approx(covariance, abs=1e-6)
    assert found.gain == pytest.approx(covariance @ design.T @ weights, abs=1e-6)


def test_a_blunder_in_it_is_found_by_name_and_size() -> None:
    wrong = tuple((a, b, m + (0.030 if (a, b) == (2, 4) else 0.0), km) for a, b, m, km in READ)
    (doubtful,) = snoop(net(wrong)).doubtful
    assert doubtful.observation.words == "2 to 4"
    without = adjust(net(READ[:4] + READ[5:]))
    by_others = float(without.block("H2")[0])
    assert doubtful.would_be == pytest.approx(H4_M * 1000 - by_others, abs=1e-6)
    assert doubtful.off == pytest.approx(-2111.0 - (H4_M * 1000 - by_others), abs=1e-6)
