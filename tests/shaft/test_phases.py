"""Phases: the best against a fine scan, the reachable ones tooth by tooth, verniers, weld-on, straight joints."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from fitcheck.errors import GeometryError
from fitcheck.shaft.joints import Chain, Passing, half_turn
from fitcheck.shaft.phases import (
    Reach,
    anything,
    best_phases,
    choose,
    is_any,
    least_ripple_pct,
    reach,
    ripple_at,
    ripple_pct,
    tooth_by_tooth,
)
from tests.shaft.pins import single_joints
from tests.shaft.test_joints import layout

seeds = st.integers(0, 10**6)


def chain(seed: int, joints: int, steepest: float = 0.7) -> Chain:
    return single_joints(layout(np.random.default_rng(seed), joints, steepest), np.zeros(joints - 1))


def phased(one: Chain, phases: object) -> Chain:
    return Chain(one.ways, np.asarray(phases, dtype=float), one.passing)


@given(seeds)
def test_two_joints_best_where_the_planes_are(seed: int) -> None:
    tried = chain(seed, 2)
    assert_allclose(np.sin(best_phases(tried) - tried.planes_apart), 0.0, atol=1e-6)


@given(seeds, st.integers(2, 5))
def test_the_best_phases_leave_the_least_there_is(seed: int, joints: int) -> None:
    tried = chain(seed, joints)
    least = least_ripple_pct(tried.angles, tried.passing)
    assert_allclose(phased(tried, best_phases(tried)).unevenness.ripple_pct, least, atol=1e-4)
    rng = np.random.default_rng(seed)
    scanned = ripple_pct(tried.angles, tried.passing, rng.uniform(-2, 2, (3000, joints - 1)))
    assert scanned.min() >= least - 1e-9


@given(seeds)
def test_a_fine_scan_of_two_joints_comes_down_to_the_best(seed: int) -> None:
    tried = chain(seed, 2)
    scan = np.radians(np.arange(0, 180, 0.05))[:, None] - tried.planes_apart
    ripples = ripple_pct(tried.angles, tried.passing, scan)
    assert_allclose(ripples.min(), least_ripple_pct(tried.angles, tried.passing), atol=0.15)
    assert_allclose(ripples[0], phased(tried, [0.0]).unevenness.ripple_pct, atol=1e-9)


def test_three_joints_close_where_none_outweighs_the_others() -> None:
    """Two of 20 deg can undo one of 25, as sides of a triangle; they cannot undo one of 40."""
    single = (Passing.CARDAN,) * 3
    assert least_ripple_pct(np.radians([20, 25, 20]), single) == 0
    left = least_ripple_pct(np.radians([20, 40, 20]), single)
    cosine = np.cos(np.radians(40)) / np.cos(np.radians(20)) ** 2
    assert_allclose(left, 100 * (1 / cosine - cosine))


@pytest.mark.parametrize(
    ("wheel", "rack", "many", "step_deg"),
    [(36, 36, 18, 10.0), (36, 2, 18, 10.0), (2, 2, 1, 180.0), (36, 30, 90, 2.0), (9, 9, 9, 20.0), (48, 2, 24, 7.5)],
)
def test_steps_of_the_ends(wheel: int, rack: int, many: int, step_deg: float) -> None:
    """Splines of 36 and 30 teeth: a vernier of 2 deg; two double-Ds: one phase; half a turn makes no difference."""
    steps = reach(wheel, rack).steps
    assert len(steps) == many
    phases = np.sort([np.degrees(step.phase) for step in steps])
    assert_allclose(np.diff(phases), step_deg, atol=1e-9)
    for step in steps:
        turned = 2 * np.pi * (step.rack_teeth / rack - step.wheel_teeth / wheel)
        assert_allclose(np.sin(turned - step.phase), 0.0, atol=1e-9)


def test_the_fewest_teeth_and_the_rack_end_first() -> None:
    steps = {round(np.degrees(step.phase)): step for step in reach(36, 36).steps}
    assert (steps[-30].rack_teeth, steps[-30].wheel_teeth) == (-3, 0)
    only_wheel = {round(np.degrees(step.phase)): step for step in reach(36, 2).steps}
    assert (only_wheel[-30].rack_teeth, only_wheel[-30].wheel_teeth) == (0, 3)
    assert (only_wheel[0].rack_teeth, only_wheel[0].wheel_teeth) == (0, 0)


def test_a_broached_joint_shifts_every_step() -> None:
    base = np.radians(-66.4)
    (only,) = reach(2, 2, base).steps
    assert_allclose(only.phase, base)
    assert (only.rack_teeth, only.wheel_teeth) == (0, 0)


@given(seeds, st.sampled_from([(36, 2), (36, 30), (2, 2), (30, 30)]))
def test_the_chosen_step_is_beaten_by_no_other(seed: int, ends: tuple[int, int]) -> None:
    tried, steps = chain(seed, 2), reach(*ends)
    chosen = choose(tried, [steps])
    every = [phased(tried, [step.phase]).unevenness.ripple_pct for step in steps.steps]
    assert_allclose(chosen.ripple_pct, min(every), atol=1e-9)
    assert chosen.ripple_pct >= least_ripple_pct(tried.angles, tried.passing) - 1e-9


@given(seeds)
def test_three_joints_every_pair_of_teeth_tried(seed: int) -> None:
    tried, ends = chain(seed, 3), [reach(36, 2), reach(12, 2)]
    chosen = choose(tried, ends)
    every = [
        phased(tried, [one.phase, other.phase]).unevenness.ripple_pct
        for one in ends[0].steps
        for other in ends[1].steps
    ]
    assert_allclose(chosen.ripple_pct, min(every), atol=1e-9)


@pytest.mark.parametrize("ends", [(anything(), reach(36, 2)), (reach(2, 2), anything()), (anything(), anything())])
@given(seed=seeds)
def test_weld_on_ends_do_at_least_as_well_as_any_scan(seed: int, ends: tuple[Reach, Reach]) -> None:
    tried = chain(seed, 3)
    chosen = choose(tried, ends)
    assert_allclose(phased(tried, chosen.phases).unevenness.ripple_pct, chosen.ripple_pct, atol=1e-9)
    lists = [[step.phase for step in end.steps] or list(np.radians(np.arange(0, 180, 4.0))) for end in ends]
    grid = np.stack([side.ravel() for side in np.meshgrid(*lists)], axis=-1) - tried.planes_apart
    assert chosen.ripple_pct <= ripple_pct(tried.angles, tried.passing, grid).min() + 1e-6


def test_two_weld_on_shafts_beside_a_spline_come_near_the_best() -> None:
    tried = chain(3, 4)
    chosen = choose(tried, [anything(), reach(36, 2), anything()])
    assert chosen.ripple_pct < 0.5


def test_too_many_phases_are_refused() -> None:
    fine = reach(95, 96)
    with pytest.raises(GeometryError, match="too many phases"):
        choose(chain(1, 3), [fine, fine])


def test_a_straight_joint_has_any_phase() -> None:
    ahead = np.array([1.0, 0.0, 0.0])
    bent = np.array([0.9, 0.3, 0.1])
    straight = single_joints([ahead, ahead, bent], [0.0])
    assert is_any(straight, 0)
    assert not is_any(chain(4, 2), 0)


def test_with_the_middle_joint_straight_only_the_sum_of_the_phases_counts() -> None:
    ahead, bent, along = np.array([1.0, 0.0, 0.0]), np.array([0.9, 0.3, 0.1]), np.array([0.9, 0.1, 0.3])
    ripples = [
        single_joints([along, ahead, ahead, bent], phases).unevenness.ripple_pct
        for phases in ([0.2, 0.5], [0.6, 0.1], [-0.3, 1.0])
    ]
    assert_allclose(ripples, ripples[0])


def test_tooth_by_tooth_stands_round_the_chosen_one() -> None:
    tried, ends = chain(5, 2), reach(36, 2)
    chosen = choose(tried, [ends])
    rows = tooth_by_tooth(phased(tried, chosen.phases), ends, 0)
    offsets = [np.degrees(half_turn(step.phase - chosen.steps[0].phase)) for step, _ in rows]
    assert_allclose(offsets, [-20, -10, 0, 10, 20], atol=1e-9)
    assert_allclose([left for _, left in rows], [ripple_at(tried, 0, step.phase) for step, _ in rows])
    assert min(left for _, left in rows) == rows[2][1]
