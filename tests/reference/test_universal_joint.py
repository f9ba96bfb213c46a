"""Published and closed-form values of universal joints; degrees, ripple in per cent. The source stands by each.

READ: the number stands in the source. Otherwise it was worked out from a formula read there, before this code was.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from fitcheck.geometry.frames import Vector, turned
from fitcheck.shaft.joints import Chain, Unevenness
from fitcheck.shaft.phases import best_phases, least_ripple_pct
from fitcheck.shaft.strength import couples
from tests.shaft import cars
from tests.shaft.pins import out_by_pins, single_joints

HALF_DIGIT = 5e-5 + 1e-12  # of a table with four decimals
EXACT = 1e-12
LAST_DIGIT = (1e-3, 1e-4)  # of figures that a sweep has rounded down


def bent(*bends_and_planes: float, phases: tuple[float, ...] = ()) -> Chain:
    """Single joints: a bend, then for each further joint the angle between the planes and its bend, degrees."""
    first, rest = np.radians(bends_and_planes[0]), np.radians(bends_and_planes[1:]).reshape(-1, 2)
    normal = np.array([1.0, 0.0, 0.0])
    ways = [np.array([0.0, 0.0, 1.0]), turned(np.array([0.0, 0.0, 1.0]), normal, float(first))]
    for apart, bend in rest:
        normal = turned(normal, ways[-1], float(apart))
        ways.append(turned(ways[-1], normal, float(bend)))
    return single_joints(np.array(ways), np.radians(phases))


def speeds(chain: Chain) -> Vector:
    """Speed ratio over a turn from the pins carried through space, by central differences: no closed form in it."""
    turns, step = np.linspace(0, 2 * np.pi, 721), 1e-5
    return np.asarray((out_by_pins(chain, turns + step) - out_by_pins(chain, turns - step)) / (2 * step))


# Single joint: cos, 1/cos, largest to smallest speed, peak to peak %, largest angle error. Formulas READ in the readme
# "Universal Joint v1.0" of a public archive of calculators: tan(out) = tan(in) / cos b, speed from cos b to 1/cos b.
SINGLE = (
    (5, 0.99619, 1.00382, 1.00765, 0.7625, 0.1092),
    (10, 0.98481, 1.01543, 1.03109, 3.0619, 0.4386),
    (15, 0.96593, 1.03528, 1.07180, 6.9350, 0.9931),
    (20, 0.93969, 1.06418, 1.13247, 12.4485, 1.7817),
    (25, 0.90631, 1.10338, 1.21744, 19.7070, 2.8171),
    (30, 0.86603, 1.15470, 1.33333, 28.8675, 4.1172),
    (35, 0.81915, 1.22077, 1.49029, 40.1623, 5.7054),
    (40, 0.76604, 1.30541, 1.70409, 53.9363, 7.6126),
    (45, 0.70711, 1.41421, 2.00000, 70.7107, 9.8793),
)


@pytest.mark.parametrize(("bend", "least", "most", "ratio", "ripple", "error"), SINGLE)
def test_single_joint_table(bend: float, least: float, most: float, ratio: float, ripple: float, error: float) -> None:
    chain, digit = bent(bend), 5e-6 + 1e-12
    found, seen = chain.unevenness, speeds(chain)
    assert_allclose([1 / found.fastest, found.fastest, found.fastest**2], [least, most, ratio], atol=digit)
    assert_allclose([seen.min(), seen.max()], [least, most], atol=1.2e-5)
    assert_allclose([found.ripple_pct, np.degrees(found.lead_rad)], [ripple, error], atol=HALF_DIGIT)
    assert_allclose(found.ripple_pct, 100 * np.sin(np.radians(bend)) * np.tan(np.radians(bend)), atol=1e-11)


def test_turn_of_a_single_joint_with_the_zero_stated() -> None:
    """tan(out) = tan(in) / cos b with the driving yoke in the plane of the shafts at 0 (same readme, READ)."""
    chain, turn = bent(30), np.radians(np.arange(1, 90, 7.0))
    assert_allclose(np.tan(chain.out(turn)), np.tan(turn) / np.cos(np.radians(30)), atol=1e-11)
    fastest = 1 / np.cos(np.radians(30))
    assert_allclose(chain.speed(np.radians([0, 90, 180, 270])), [fastest, 1 / fastest] * 2, atol=EXACT)
    equal = np.arctan(np.sqrt(np.cos(np.radians(30))))  # equal speeds: exam question, 2013 (READ)
    assert_allclose(chain.speed(equal), 1.0, atol=EXACT)
    assert_allclose(np.degrees([equal, chain.out(equal)]), [42.941, 47.059], atol=5e-4)


def test_published_problem_of_1200_rpm_and_its_misprint() -> None:
    """1200 rpm, 100 rpm of fluctuation: 1251 and 1151 rpm, cos b 0.9592 (READ). The page prints 16.2 deg: wrong."""
    bend = 16.4229
    assert_allclose(np.cos(np.radians(bend)), 0.9592, atol=5e-5)
    fastest = bent(bend).unevenness.fastest
    assert_allclose([1200 * fastest, 1200 / fastest], [1251.041, 1151.041], atol=0.01)
    assert_allclose(bent(bend).unevenness.ripple_pct * 12, 100.0, atol=0.01)
    assert abs(bent(16.2).unevenness.ripple_pct * 12 - 100.0) > 2.0


def test_published_problems_of_speed() -> None:
    """1000 rpm, 12.5 %: 20.040 deg; 25 deg, 100 rad/s: 110.338 and 90.631 (questions READ, answers by formula)."""
    assert_allclose(bent(20.040).unevenness.ripple_pct, 12.5, atol=1e-3)
    fastest = bent(25).unevenness.fastest
    assert_allclose([100 * fastest, 100 / fastest], [110.338, 90.631], atol=5e-4)


def test_allowed_unevenness_of_a_drive_line() -> None:
    """U <= 0.0027 is a residual angle of 2.977 deg (drive-shaft maker's pages: U READ, angle from sin tan)."""
    assert_allclose(bent(2.977).unevenness.ripple_pct, 0.27, atol=1e-3)


# Two joints in one plane: bends, phase off, amplitude, largest and least speed (closed form and a numeric sweep).
TWO = (
    (25, 25, 0, 0.0, 1.0, 1.0),
    (25, 25, 45, 3.9856, 1.14940, 0.87002),
    (25, 25, 90, 5.6275, 1.21744, 0.82139),
    (30, 20, 0, 2.3381, 1.08506, 0.92160),
    (30, 20, 45, 4.4874, 1.16976, 0.85488),
    (30, 20, 90, 5.8923, 1.22881, 0.81380),
)


@pytest.mark.parametrize("plane", [0.0, 180.0], ids=["W", "Z"])
@pytest.mark.parametrize(("one", "other", "phase", "amplitude", "most", "least"), TWO)
def test_two_joints_in_one_plane(
    one: float, other: float, phase: float, amplitude: float, most: float, least: float, plane: float
) -> None:
    chain = bent(one, plane, other, phases=(phase,))
    assert_allclose(np.degrees(chain.unevenness.lead_rad), amplitude, atol=HALF_DIGIT)
    assert_allclose([chain.unevenness.fastest, 1 / chain.unevenness.fastest], [most, least], atol=5.1e-6)
    seen = speeds(chain)
    assert_allclose([seen.max(), seen.min()], [most, least], atol=2e-5)


def equivalent(of: Unevenness) -> float:
    """Angle of the single joint that would replace the chain: its ripple is sin(b) tan(b).

    With r = sin(b) tan(b) = 1/cos(b) - cos(b): cos(b) = (sqrt(r^2 + 4) - r) / 2.
    """
    ripple = of.ripple_pct / 100
    return float(np.arccos((np.sqrt(ripple**2 + 4) - ripple) / 2))


def test_what_two_joints_amount_to() -> None:
    """In phase cos = cos(larger)/cos(smaller), 90 off cos = cos cos; the squared rule (MEMORY) is only near."""
    in_phase, wrong = bent(30, 0, 20, phases=(0,)).unevenness, bent(30, 0, 20, phases=(90,)).unevenness
    larger, smaller = np.cos(np.radians(30)), np.cos(np.radians(20))
    assert_allclose(np.cos([equivalent(in_phase), equivalent(wrong)]), [larger / smaller, larger * smaller])
    assert_allclose(np.degrees(equivalent(in_phase)), 22.84, atol=5e-3)
    assert abs(np.degrees(equivalent(in_phase)) - np.sqrt(30**2 - 20**2)) > 0.4
    assert_allclose(np.degrees(equivalent(bent(25, 0, 25, phases=(0,)).unevenness)), 0.0, atol=1e-5)


# Planes +40 apart, right-hand about the middle shaft, wheel to rack: phase and amplitude, from a sweep in space done
# before. A sweep misses the peak by a little, so its last digit may be one too low: 5.5425, 4.1947 are exact.
OUT_OF_PLANE = ((25, 40, 0.0), (25, -40, 5.542), (25, 20, 1.930), (25, -20, 4.877), (25, 0, 3.6241), (25, 90, 4.3166))


@pytest.mark.parametrize(("bend", "phase", "amplitude"), OUT_OF_PLANE)
def test_two_joints_out_of_plane_see_the_sign_of_the_phase(bend: float, phase: float, amplitude: float) -> None:
    chain = bent(bend, 40, bend, phases=(phase,))
    assert_allclose(np.degrees(chain.unevenness.lead_rad), amplitude, atol=LAST_DIGIT[0])
    turns = np.linspace(0, 2 * np.pi, 3601)
    ahead = np.degrees(out_by_pins(chain, turns) - turns)
    assert_allclose((ahead.max() - ahead.min()) / 2, np.degrees(chain.unevenness.lead_rad), atol=1e-5)


def test_unequal_joints_out_of_plane() -> None:
    """30 and 20 deg, planes 40 apart: best phase 40, residual 2.3381, at phase 0 4.1946 (same source)."""
    best = best_phases(bent(30, 40, 20, phases=(0,)))
    assert_allclose(np.degrees(best), [40.0], atol=1e-6)
    residual = bent(30, 40, 20, phases=(40,)).unevenness
    assert_allclose(np.degrees(residual.lead_rad), 2.3381, atol=HALF_DIGIT)
    assert_allclose(least_ripple_pct(np.radians([30, 20]), bent(30, 40, 20, phases=(0,)).passing), residual.ripple_pct)
    assert_allclose(np.degrees(bent(30, 40, 20, phases=(0,)).unevenness.lead_rad), 4.1946, atol=LAST_DIGIT[1])


def test_bending_couples() -> None:
    """T = 50 N m at 30 deg: 28.87 (T tan b) and 25.00 (T sin b), torque out up to 57.74 (by statics)."""
    pair = cars.job(cars.saloon()).shaft
    assert pair is not None
    first, second = couples(pair.joints, np.radians([30, 30]), 50.0)
    assert_allclose([first.driving_nm, first.driven_nm, second.torque_nm], [28.87, 25.00, 57.74], atol=5e-3)
