"""One query: bounds below, witnesses in the pieces, and what moving, mirroring, swapping and pushing must leave alone.

Sources: separating planes and supporting planes (any text on convex sets); Qhull's facets for membership; scipy's
general solver as a second road to a distance.
"""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import LinearConstraint, minimize

from fitcheck.geometry.frames import Frame
from fitcheck.geometry.gap import CLOSED_MM, Gap, GapEngine, height
from fitcheck.geometry.solids import Piece
from tests.geometry.shapes import Points, Posed, any_direction, any_piece, any_rotation, hard_pairs
from tests.geometry.within import outside_by

SAME_MM = 0.0011  # one certified query: 0.001, and rounding
MIRROR = np.diag([-1.0, 1.0, 1.0])
STEADY = settings(derandomize=True, deadline=None, max_examples=80)


@st.composite
def posed(draw: st.DrawFn) -> Posed:
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    kind = draw(st.sampled_from(["anywhere", "near", "in"]))
    a, b = any_piece(rng), any_piece(rng)
    rotation, along = any_rotation(rng), any_direction(rng)
    apart = float(((b.vertices @ rotation.T) @ along).min() - (a.vertices @ along).max())
    wanted = {"anywhere": rng.uniform(1, 300), "near": rng.choice([1e-6, 1e-3, 0.1]), "in": -rng.uniform(0.1, 20)}[kind]
    sideways = rng.normal(size=3) * (40 if kind == "anywhere" else 0)
    return Posed(a, b, Frame(rotation, along * (wanted - apart) + sideways))


def gap_of(pair: Posed) -> Gap:
    return GapEngine().gap(pair.a, pair.b, None, pair.b_frame)


def inside_both(gap: Gap, pair: Posed) -> float:
    """How far the witnesses lie outside their pieces, by Qhull."""
    b = pair.b.placed(pair.b_frame)
    return max(float(outside_by([pair.a], gap.on_a[None])[0]), float(outside_by([b], gap.on_b[None])[0]))


@given(posed())
@STEADY
def test_an_answer_carries_its_proof(pair: Posed) -> None:
    gap = gap_of(pair)
    b_at = pair.b_frame.points(pair.b.vertices)
    assert np.linalg.norm(gap.normal) == pytest.approx(1, abs=1e-12)
    assert gap.bound_mm == pytest.approx(height(gap.normal, pair.a.vertices, b_at), abs=2e-9)
    assert inside_both(gap, pair) <= 1e-6
    assert np.linalg.norm(gap.on_b - gap.on_a) == pytest.approx(gap.gap_mm, abs=1e-9)
    if gap.gap_mm > 0:
        assert gap.depth_mm == 0
        assert 0 <= gap.gap_mm - gap.bound_mm <= CLOSED_MM
    else:
        assert gap.bound_mm == pytest.approx(-gap.depth_mm, abs=2e-9)


@given(posed(), st.integers(0, 2**32 - 1))
@STEADY
def test_moving_the_whole_scene_changes_no_gap(pair: Posed, seed: int) -> None:
    rng = np.random.default_rng(seed)
    whole = Frame(any_rotation(rng), rng.normal(size=3) * 1000)
    gap = gap_of(pair)
    moved = GapEngine().gap(pair.a, pair.b, whole, whole @ pair.b_frame)
    assert moved.gap_mm == pytest.approx(gap.gap_mm, abs=SAME_MM)
    assert moved.depth_mm == pytest.approx(gap.depth_mm, abs=1e-6)
    baked = GapEngine().gap(pair.a.placed(whole), pair.b.placed(whole @ pair.b_frame))
    assert baked.gap_mm == pytest.approx(gap.gap_mm, abs=SAME_MM)


@given(posed())
@STEADY
def test_the_mirrored_scene_has_the_same_gap(pair: Posed) -> None:
    gap = gap_of(pair)
    b_at = pair.b_frame.points(pair.b.vertices)
    mirrored = GapEngine().gap(Piece(pair.a.vertices @ MIRROR), Piece(b_at @ MIRROR))
    assert mirrored.gap_mm == pytest.approx(gap.gap_mm, abs=SAME_MM)
    assert mirrored.depth_mm == pytest.approx(gap.depth_mm, abs=1e-6)


@given(posed())
@STEADY
def test_swapping_the_pair_changes_only_the_sign(pair: Posed) -> None:
    gap = gap_of(pair)
    swapped = GapEngine().gap(pair.b, pair.a, pair.b_frame, None)
    assert swapped.gap_mm == pytest.approx(gap.gap_mm, abs=SAME_MM)
    assert swapped.depth_mm == pytest.approx(gap.depth_mm, abs=1e-6)
    if gap.gap_mm > 1:
        assert swapped.normal @ gap.normal == pytest.approx(-1, abs=1e-3)


@given(posed())
@STEADY
def test_pushed_together_by_the_gap_they_just_touch(pair: Posed) -> None:
    """After coal's own test of normals: by gap - eps still apart, by gap + eps meeting; and depth + eps frees them."""
    gap = gap_of(pair)
    eps = 2 * CLOSED_MM
    if gap.gap_mm > eps:
        short = Frame(pair.b_frame.rotation, pair.b_frame.origin - gap.normal * (gap.gap_mm - eps))
        far = Frame(pair.b_frame.rotation, pair.b_frame.origin - gap.normal * (gap.gap_mm + eps))
        assert GapEngine().gap(pair.a, pair.b, None, short).bound_mm > 0
        assert GapEngine().gap(pair.a, pair.b, None, far).gap_mm == 0
    if gap.gap_mm == 0:
        freed = Frame(pair.b_frame.rotation, pair.b_frame.origin + gap.normal * (gap.depth_mm + eps))
        assert GapEngine().gap(pair.a, pair.b, None, freed).bound_mm > 0


@given(posed(), st.integers(0, 2**32 - 1))
@STEADY
def test_no_shorter_way_out_than_the_depth(pair: Posed, seed: int) -> None:
    gap = gap_of(pair)
    if gap.gap_mm > 0 or gap.depth_mm < 0.1:
        return
    way = any_direction(np.random.default_rng(seed)) * (gap.depth_mm - 0.05)
    shifted = Frame(pair.b_frame.rotation, pair.b_frame.origin + way)
    assert GapEngine().gap(pair.a, pair.b, None, shifted).gap_mm == 0


@given(posed(), st.integers(0, 2**32 - 1))
@STEADY
def test_cutting_a_piece_in_two_changes_no_positive_gap(pair: Posed, seed: int) -> None:
    """Cut by a plane through the middle: each half is the hull of its corners and of where the plane crosses."""
    rng = np.random.default_rng(seed)
    gap = gap_of(pair)
    halves = cut(pair.a, any_direction(rng), pair.a.vertices.mean(axis=0))
    least = min(GapEngine().gap(half, pair.b, None, pair.b_frame).gap_mm for half in halves)
    assert least == pytest.approx(gap.gap_mm, abs=SAME_MM)


def cut(piece: Piece, along: np.ndarray, through: np.ndarray) -> list[Piece]:
    side = (piece.corners - through) @ along
    below, above = piece.corners[side <= 0], piece.corners[side >= 0]
    below_by, above_by = side[side <= 0], side[side >= 0]
    share = above_by[:, None] / (above_by[:, None] - below_by[None] + 1e-300)
    crossings = (above[:, None] * (1 - share)[..., None] + below[None] * share[..., None]).reshape(-1, 3)
    return [Piece(np.concatenate([half, crossings])) for half in (below, above)]


def test_distance_against_a_quadratic_solver() -> None:
    """Least distance of two hulls as a problem in convex weights, solved by scipy's SLSQP from the middle."""
    checked = 0
    for pair in hard_pairs(21, 160):
        a, b = pair.a.corners, pair.b_frame.points(pair.b.corners)
        gap = gap_of(pair)
        if gap.gap_mm < 1 or len(a) + len(b) > 40:
            continue
        found = solved(a, b)
        assert gap.bound_mm <= found + 1e-6
        assert gap.gap_mm <= found + SAME_MM
        checked += 1
    assert checked >= 20


def solved(a: Points, b: Points) -> float:
    """An upper bound of the distance that a general solver finds; the weights are made convex before it is measured."""
    start = np.concatenate([np.full(len(a), 1 / len(a)), np.full(len(b), 1 / len(b))])

    def squared(weights: Points) -> float:
        between = weights[len(a) :] @ b - weights[: len(a)] @ a
        return float(between @ between)

    def slope(weights: Points) -> Points:
        between = weights[len(a) :] @ b - weights[: len(a)] @ a
        return 2 * np.concatenate([-a @ between, b @ between])

    sums = np.zeros((2, len(start)))
    sums[0, : len(a)], sums[1, len(a) :] = 1, 1
    best = minimize(
        squared,
        start,
        jac=slope,
        bounds=[(0.0, 1.0)] * len(start),
        constraints=[LinearConstraint(sums, np.ones(2), np.ones(2))],
        method="SLSQP",
        options={"maxiter": 500},
    )
    weights = np.clip(best.x, 0, 1)
    on_a = weights[: len(a)] @ a / weights[: len(a)].sum()
    on_b = weights[len(a) :] @ b / weights[len(a) :].sum()
    return float(np.linalg.norm(on_b - on_a))
