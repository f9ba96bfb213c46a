"""Chains of joints: closed form against pins carried through space, and against crosses solved as bodies."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.optimize import root
from scipy.spatial.transform import Rotation

from fitcheck.errors import GeometryError
from fitcheck.geometry.frames import Vector, turned, unit
from fitcheck.shaft.joints import Chain, Passing, half_turn, joint_angles, signed_angle
from tests.shaft.pins import out_by_pins, single_joints

LAYOUTS = 500
STEEPEST = np.radians(45)
BY_BODIES = 1e-8  # rad, where the solver stops
EXACT = 1e-12


def layout(rng: np.random.Generator, joints: int, steepest: float = STEEPEST) -> Vector:
    """Ways of a chain at random, each joint bent by up to `steepest` about any axis."""
    ways = [unit(rng.normal(size=3))]
    for _ in range(joints):
        about = unit(np.cross(ways[-1], rng.normal(size=3)))
        ways.append(turned(ways[-1], about, float(rng.uniform(0, steepest))))
    return np.array(ways)


def chain(rng: np.random.Generator, joints: int) -> Chain:
    return single_joints(layout(rng, joints), rng.uniform(-np.pi / 2, np.pi / 2, joints - 1))


def out_by_bodies(ways: Vector, phases: Vector, first_pin: Vector, turns: Vector) -> Vector:
    """Turns of the last shaft: each cross is a rigid body with three unknown angles, each shaft has one.

    A cross's first arm is held along the driving yoke's pin (two equations), its second stays square to the driven
    shaft (one). The driven shaft is told by a mark painted on its yoke. Nothing of the code under test is used.
    """
    marks = np.empty(len(turns))
    crosses: list[Rotation] = []
    for at, turn in enumerate(turns):
        pin = Rotation.from_rotvec(turn * ways[0]).apply(first_pin)
        for joint in range(len(ways) - 1):
            if at == 0:
                crosses.append(Rotation.align_vectors([pin], [[1.0, 0.0, 0.0]])[0])
            onward = Rotation.from_rotvec((turn - turns[max(at - 1, 0)]) * ways[joint])
            crosses[joint] = _held(onward * crosses[joint], pin, ways[joint + 1])
            driven = crosses[joint].apply([0.0, 1.0, 0.0])
            if joint < len(ways) - 2:
                pin = Rotation.from_rotvec(phases[joint] * ways[joint + 1]).apply(driven)
        if at == 0:
            zero, square = driven, np.cross(ways[-1], driven)
        marks[at] = np.arctan2(driven @ square, driven @ zero)
    return np.unwrap(marks)


def _held(cross: Rotation, pin: Vector, way: Vector) -> Rotation:
    """The cross turned from where it was until pin and way hold it."""
    beside = np.cross(pin, np.eye(3)[np.argmin(np.abs(pin))])

    def slack(more: Vector) -> Vector:
        arms = (Rotation.from_rotvec(more) * cross).apply(np.eye(3)[:2])
        return np.array([arms[0] @ beside, arms[0] @ np.cross(pin, beside), arms[1] @ way])

    solved = root(slack, np.zeros(3), tol=1e-12)
    assert np.abs(slack(solved.x)).max() < BY_BODIES / 100
    return Rotation.from_rotvec(solved.x) * cross


def test_closed_form_against_pins_carried_through_space() -> None:
    rng = np.random.default_rng(11)
    for _ in range(LAYOUTS):
        tried = chain(rng, int(rng.integers(1, 6)))
        turns = rng.uniform(-20, 20, 9)
        assert_allclose(tried.out(turns), out_by_pins(tried, turns), rtol=0, atol=EXACT)


def test_against_crosses_as_bodies_of_their_own() -> None:
    rng = np.random.default_rng(12)
    turns = np.array([0.0, 0.9, 2.3])
    for _ in range(LAYOUTS):
        joints = int(rng.integers(2, 5))
        tried = chain(rng, joints)
        first_pin = np.cross(tried.normals[0], tried.ways[0])
        by_bodies = out_by_bodies(tried.ways, tried.phases, first_pin, turns)
        assert_allclose(tried.out(turns), by_bodies, rtol=0, atol=BY_BODIES)


def test_speed_is_the_slope_of_the_turn() -> None:
    rng = np.random.default_rng(13)
    for _ in range(50):
        tried, turns, step = chain(rng, 3), rng.uniform(0, 6, 20), 1e-6
        slope = (tried.out(turns + step) - tried.out(turns - step)) / (2 * step)
        assert_allclose(tried.speed(turns), slope, rtol=0, atol=1e-8)


def test_ripple_and_lead_are_what_a_fine_sweep_sees() -> None:
    rng = np.random.default_rng(14)
    turns = np.linspace(0, 2 * np.pi, 7201)
    for _ in range(50):
        tried = chain(rng, int(rng.integers(1, 5)))
        ahead, speed = tried.out(turns) - turns, tried.speed(turns)
        assert_allclose(100 * (speed.max() - speed.min()), tried.unevenness.ripple_pct, atol=2e-3)
        assert_allclose((ahead.max() - ahead.min()) / 2, tried.unevenness.lead_rad, atol=1e-6)
        assert_allclose(tried.speed(tried.slowest_at), speed.min(), atol=1e-5)
        assert_allclose(tried.speed(tried.slowest_at + np.pi / 2), speed.max(), atol=1e-5)


def test_straight_ahead_feels_the_same_to_both_sides() -> None:
    rng, off = np.random.default_rng(15), np.linspace(0, 1.5, 16)
    for _ in range(30):
        tried = chain(rng, 2)
        assert_allclose(tried.speed(tried.slowest_at + off), tried.speed(tried.slowest_at - off), atol=EXACT)


@given(st.integers(0, 10**6), st.integers(1, 4))
def test_the_mean_speed_over_a_turn_is_one(seed: int, joints: int) -> None:
    tried = chain(np.random.default_rng(seed), joints)
    assert_allclose(tried.out(2 * np.pi) - tried.out(0.0), 2 * np.pi, atol=EXACT)
    even = np.arange(512) * 2 * np.pi / 512
    assert_allclose(tried.speed(even).mean(), 1.0, atol=1e-9)


@given(st.integers(0, 10**6), st.integers(1, 4))
def test_backwards_the_chain_undoes_itself(seed: int, joints: int) -> None:
    """Driven from the rack the speed ratio is the inverse at the same place, so ripple and lead are the same."""
    tried = chain(np.random.default_rng(seed), joints)
    back = single_joints(-tried.ways[::-1], tried.phases[::-1])
    assert_allclose(back.unevenness.share, tried.unevenness.share, atol=1e-12)
    assert_allclose(back.speed(back.slowest_at) * tried.speed(tried.slowest_at + np.pi / 2), 1.0, atol=EXACT)


@given(st.integers(0, 10**6), st.integers(2, 4))
def test_the_mirrored_layout_has_the_mirrored_phase(seed: int, joints: int) -> None:
    tried = chain(np.random.default_rng(seed), joints)
    mirrored = single_joints(tried.ways * [1.0, -1.0, 1.0], -tried.phases)
    assert_allclose(mirrored.unevenness.share, tried.unevenness.share, atol=EXACT)
    assert_allclose(np.abs(np.sin(mirrored.planes_apart + tried.planes_apart)), 0.0, atol=1e-9)


@given(st.integers(0, 10**6))
def test_turning_the_whole_car_changes_nothing(seed: int) -> None:
    tried = chain(np.random.default_rng(seed), 3)
    car = Rotation.random(rng=np.random.default_rng(seed))
    elsewhere = single_joints(car.apply(np.array(tried.ways)), tried.phases)
    assert_allclose(elsewhere.out(1.0), tried.out(1.0), atol=EXACT)


def test_a_centred_double_joint_and_a_disc_pass_the_turn_on_unchanged() -> None:
    ways, turns = layout(np.random.default_rng(16), 1), np.linspace(0, 6, 50)
    for passing in (Passing.DOUBLE, Passing.DISC):
        tried = Chain(ways, np.empty(0), (passing,))
        assert_allclose(out_by_pins(tried, turns), turns, atol=EXACT)
        assert tried.unevenness.ripple_pct == 0


def test_a_centred_double_joint_is_two_single_ones_with_half_the_angle_each() -> None:
    """Its housing's yokes in line, both halves in one plane: nothing is left, and planes carry on as through it."""
    ways = layout(np.random.default_rng(17), 2)
    halfway = unit(ways[0] + ways[1])
    one = Chain(ways, np.array([0.3]), (Passing.DOUBLE, Passing.CARDAN))
    other = single_joints(np.array([ways[0], halfway, ways[1], ways[2]]), [0.0, 0.3])
    assert_allclose(one.unevenness.share, other.unevenness.share, atol=EXACT)
    assert_allclose(one.out(1.2), other.out(1.2), atol=EXACT)


def test_a_straight_joint_takes_its_neighbours_plane() -> None:
    ahead, aside = np.array([1.0, 0.0, 0.0]), unit([1.0, 0.2, 0.1])
    tried = single_joints([ahead, ahead, aside], [0.7])
    assert_allclose(tried.planes_apart, 0.0, atol=EXACT)
    single = single_joints([ahead, aside])
    assert_allclose(tried.unevenness.ripple_pct, single.unevenness.ripple_pct)
    straight = single_joints([ahead, ahead, ahead], [0.7])
    assert straight.unevenness.ripple_pct == 0
    assert_allclose(straight.out([0.5, 2.0]), [0.5, 2.0])


def test_refused() -> None:
    ahead, across = np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])
    with pytest.raises(GeometryError, match=r"a single joint at 90.0 deg does not turn"):
        single_joints([ahead, across])
    with pytest.raises(GeometryError, match=r"3 shafts need 2 joints and 1 phases, got 2 and 0"):
        single_joints([ahead, ahead, ahead])
    with pytest.raises(GeometryError, match="no length"):
        single_joints([ahead, np.zeros(3)])


def test_small_things() -> None:
    assert_allclose(half_turn(np.radians(170)), np.radians(-10))
    assert half_turn(np.pi / 2) == np.pi / 2 == half_turn(-np.pi / 2)
    x, y, z = np.eye(3)
    assert_allclose(signed_angle(x, y, z), np.pi / 2)
    assert_allclose(joint_angles(np.array([x, unit([1.0, 1e-9, 0.0])])), [1e-9], rtol=1e-6)
