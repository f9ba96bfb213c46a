"""The least gap through whole movements: bracketed, covered without holes, and the same however the scene is put.

Sources: dense sampling by the engine and by coal, an independent distance library; the engine's single queries are
checked against closed forms elsewhere.
"""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck.geometry.cover import Body, LeastGap, least_gap, restricted
from fitcheck.geometry.frames import Frame
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.movement import Movement, Slide, Turn
from fitcheck.geometry.solids import Piece
from tests.geometry.shapes import any_pair, any_place, any_rotation, box, frame_at, rod
from tests.reference.independent import SecondOpinion

TOLERANCE_MM = 0.05
ROUNDING_MM = 1e-6
COAL_MM = 1e-3
X, Y, Z = np.eye(3)
MIRROR = np.diag([-1.0, 1.0, 1.0])
KINDS = [
    ("T", ""),
    ("", "T"),
    ("S", ""),
    ("", "S"),
    ("T", "T"),
    ("S", "T"),
    ("TS", ""),
    ("ST", ""),
    ("", "TT"),
    ("TST", ""),
    ("T", "ST"),
    ("TT", "T"),
    ("SS", "S"),
]
STEADY = settings(derandomize=True, deadline=None, max_examples=25)


def least(a: Body, b: Body, tolerance_mm: float = TOLERANCE_MM) -> LeastGap:
    return least_gap(GapEngine(), a, b, tolerance_mm)


def swing(piece: Piece, start: float, stop: float, axis: np.ndarray = Y) -> Body:
    return Body((piece,), (Turn(np.zeros(3), axis, start, stop),))


@pytest.mark.parametrize("kinds", KINDS, ids=lambda kinds: "-".join(kinds))
@pytest.mark.parametrize(("near", "far"), [(150, 350), (60, 150)])
def test_no_sampled_place_is_nearer_than_the_bound(kinds: tuple[str, str], near: float, far: float) -> None:
    rng = np.random.default_rng([len(kinds[0]), len(kinds[1]), int(near)])
    other = SecondOpinion()
    apart = 0
    for _ in range(12):
        a, b = any_pair(rng, kinds, near, far)
        found = least(a, b)
        check_witness(a, b, found)
        apart += found.gap_mm > 0
        for _ in range(25):
            a_at, b_at = any_place(rng, a.moves), any_place(rng, b.moves)
            between = frame_at(a.moves, a_at).inverse @ frame_at(b.moves, b_at)
            sampled = min(other.distance(one, two, between) for one in a.pieces for two in b.pieces)
            assert found.gap_mm == 0 or found.bound_mm <= sampled + COAL_MM
    assert near < 100 or apart >= 4


def check_witness(a: Body, b: Body, found: LeastGap) -> None:
    """The place reported has the gap reported, and the bracket is as narrow as promised."""
    frames = frame_at(a.moves, found.a_at), frame_at(b.moves, found.b_at)
    gap = GapEngine().gap(a.pieces[found.a_piece], b.pieces[found.b_piece], *frames)
    assert gap.gap_mm == pytest.approx(found.gap_mm, abs=ROUNDING_MM)
    assert gap.depth_mm == pytest.approx(found.depth_mm, abs=ROUNDING_MM)
    assert all(m.start <= at <= m.stop for m, at in zip(a.moves + b.moves, found.a_at + found.b_at, strict=True))
    if found.gap_mm > 0:
        assert 0 <= found.gap_mm - found.bound_mm <= TOLERANCE_MM
    else:
        assert found.bound_mm <= -found.depth_mm


@pytest.mark.parametrize("kinds", KINDS, ids=lambda kinds: "-".join(kinds))
def test_the_leaves_cover_every_place_and_each_holds(kinds: tuple[str, str]) -> None:
    rng = np.random.default_rng([7, len(kinds[0]), len(kinds[1])])
    engine = GapEngine()
    for _ in range(6):
        a, b = any_pair(rng, kinds, 120, 300)
        found = least_gap(engine, a, b)
        if found.gap_mm > 0:
            assert min(leaf.bound_mm for leaf in found.leaves) == found.bound_mm
        for _ in range(15):
            a_at, b_at = any_place(rng, a.moves), any_place(rng, b.moves)
            frames = frame_at(a.moves, a_at), frame_at(b.moves, b_at)
            for i, one in enumerate(a.pieces):
                for j, two in enumerate(b.pieces):
                    here = [leaf for leaf in found.leaves if (leaf.a_piece, leaf.b_piece) == (i, j)]
                    here = [leaf for leaf in here if within(leaf.box, a_at + b_at)]
                    assert here, "a place no leaf covers"
                    gap = engine.gap(one, two, *frames)
                    assert max(leaf.bound_mm for leaf in here) <= gap.gap_mm - gap.depth_mm + ROUNDING_MM


def within(box_: tuple[tuple[float, float], ...], at: tuple[float, ...]) -> bool:
    return all(low <= value <= high for (low, high), value in zip(box_, at, strict=True))


@pytest.mark.parametrize("kinds", KINDS, ids=lambda kinds: "-".join(kinds))
def test_a_held_leaf_can_be_worked_out_again_from_its_direction(kinds: tuple[str, str]) -> None:
    """Dense sampling of the plane's height over the leaf: never below its bound, and for one movement just at it."""
    rng = np.random.default_rng([9, len(kinds[0]), len(kinds[1])])
    a, b = any_pair(rng, kinds, 120, 300)
    found = least(a, b)
    split = len(a.moves)
    fine = {1: 300, 2: 15, 3: 6}[len(a.moves + b.moves)]
    for leaf in [leaf for leaf in found.leaves if leaf.kind == "held"][:12]:
        (normal,) = leaf.normals
        grid = np.array(np.meshgrid(*[np.linspace(low, high, fine) for low, high in leaf.box]))
        heights = []
        for at in grid.reshape(len(leaf.box), -1).T:
            a_at = frame_at(a.moves, at[:split]).points(a.pieces[leaf.a_piece].corners)
            b_at = frame_at(b.moves, at[split:]).points(b.pieces[leaf.b_piece].corners)
            heights.append((b_at @ normal).min() - (a_at @ normal).max())
        assert leaf.bound_mm <= min(heights)
        if len(leaf.box) == 1:
            assert leaf.bound_mm == pytest.approx(min(heights), abs=1e-3)


@given(st.integers(0, 2**32 - 1), st.sampled_from(KINDS))
@STEADY
def test_moving_mirroring_and_swapping_change_nothing(seed: int, kinds: tuple[str, str]) -> None:
    rng = np.random.default_rng(seed)
    a, b = any_pair(rng, kinds, 120, 320)
    whole = Frame(any_rotation(rng), 800 * rng.normal(size=3))
    before = least(a, b)
    for one, two in [(moved(a, whole), moved(b, whole)), (mirrored(a), mirrored(b)), (b, a)]:
        after = least(one, two)
        assert max(after.bound_mm, before.bound_mm) <= min(after.gap_mm, before.gap_mm) + ROUNDING_MM
        assert (after.gap_mm == 0) == (before.gap_mm == 0) or abs(after.gap_mm - before.gap_mm) <= TOLERANCE_MM


def moved(body: Body, frame: Frame) -> Body:
    moves: list[Movement] = []
    for move in body.moves:
        if isinstance(move, Turn):
            point, axis = frame.points(move.point), frame.directions(move.axis)
            moves.append(replace(move, point=point, axis=axis))
        else:
            moves.append(replace(move, direction=frame.directions(move.direction)))
    return Body(tuple(piece.placed(frame) for piece in body.pieces), tuple(moves))


def mirrored(body: Body) -> Body:
    """In a mirror a turn's axis flips as well as its place."""
    moves: list[Movement] = []
    for move in body.moves:
        if isinstance(move, Turn):
            moves.append(replace(move, point=MIRROR @ move.point, axis=-MIRROR @ move.axis))
        else:
            moves.append(replace(move, direction=MIRROR @ move.direction))
    return Body(tuple(Piece(piece.vertices @ MIRROR) for piece in body.pieces), tuple(moves))


@given(st.integers(0, 2**32 - 1))
@STEADY
def test_a_narrower_range_never_has_a_lesser_gap(seed: int) -> None:
    rng = np.random.default_rng(seed)
    a, b = any_pair(rng, ("T", "S"), 120, 320)
    before = least(a, b)
    ends = [sorted(rng.uniform(move.start, move.stop, 2)) for move in a.moves]
    after = least(restricted(a, [(low, high) for low, high in ends]), b)
    assert before.bound_mm <= after.gap_mm + ROUNDING_MM


def test_more_pieces_of_the_same_body_change_no_gap() -> None:
    """A bar of 200, and the same bar in three lengths that share faces."""
    whole = box((200, 20, 8), (100, 0, 0))
    thirds = tuple(box((length, 20, 8), (middle, 0, 0)) for length, middle in ((80, 40), (50, 105), (70, 165)))
    can = Body((rod(38, 130, 24, Frame(np.eye(3), np.array([120.0, 30, -120]))),))
    turn = (Turn(np.zeros(3), Y, -0.2, 0.15),)
    one, three = least(Body((whole,), turn), can), least(Body(thirds, turn), can)
    assert one.gap_mm > 1
    assert max(one.bound_mm, three.bound_mm) <= min(one.gap_mm, three.gap_mm) + ROUNDING_MM


def test_no_movement_at_all_is_one_query() -> None:
    engine = GapEngine()
    found = least_gap(engine, Body((box((20, 20, 20)),)), Body((box((10, 10, 10), (30, 0, 0)),)))
    assert engine.queries == 1
    assert (found.a_at, found.b_at) == ((), ())
    assert found.gap_mm == pytest.approx(15)
    assert found.bound_mm == pytest.approx(15, abs=1e-8)
    assert [leaf.box for leaf in found.leaves] == [()]


def test_ranges_of_no_width_are_a_fixed_place() -> None:
    """A lever held at 30 degrees after a slide of 40: as if it had been built there."""
    turn, slide = Turn(np.zeros(3), Y, np.pi / 6, np.pi / 6), Slide(X, 40, 40)
    lever, can = box((100, 10, 10), (50, 0, 0)), Body((box((20, 20, 20), (60, 0, -90)),))
    built = Body((lever.placed(frame_at((turn, slide), (np.pi / 6, 40))),))
    found = least(Body((lever,), (turn, slide)), can)
    assert found.gap_mm == pytest.approx(least(built, can).gap_mm, abs=ROUNDING_MM)
    assert found.a_at == (np.pi / 6, 40)
    assert [leaf.box for leaf in found.leaves] == [((np.pi / 6, np.pi / 6), (40, 40))]


def test_a_fixed_movement_between_two_that_move() -> None:
    """Against the same chain with the fixed turn opened by a hair: the gap differs by reach times the hair at most."""
    rng = np.random.default_rng(17)
    hair = 1e-6
    for _ in range(10):
        a, b = any_pair(rng, ("TTS", ""), 200, 350)
        middle = a.moves[1]
        fixed = Body(a.pieces, (a.moves[0], replace(middle, stop=middle.start), a.moves[2]))
        opened = Body(a.pieces, (a.moves[0], replace(middle, stop=middle.start + hair), a.moves[2]))
        one, two = least(fixed, b), least(opened, b)
        check_witness(fixed, b, one)
        assert max(one.bound_mm, two.bound_mm) <= min(one.gap_mm, two.gap_mm) + 1e-3


def test_identical_pieces_meet_and_so_does_one_inside_another() -> None:
    cube = box((20, 20, 20))
    same = least(swing(cube, -0.1, 0.1), Body((cube,)))
    assert (same.gap_mm, same.depth_mm >= 20) == (0, True)
    inside = least(swing(box((2, 2, 2)), -1, 1), Body((box((100, 100, 100)),)))
    assert (inside.gap_mm, inside.bound_mm <= -inside.depth_mm) == (0, True)
    assert inside.depth_mm >= 51 - ROUNDING_MM
    assert np.abs(inside.on_a).max() <= 1 + ROUNDING_MM
    assert inside.on_a == pytest.approx(inside.on_b)


def test_touching_exactly_is_no_room() -> None:
    found = least(Body((box((20, 20, 20)),), (Slide(Y, -15, 15),)), Body((box((20, 20, 20), (20, 0, 0)),)))
    assert found.gap_mm == pytest.approx(0, abs=1e-9)
    assert -1e-8 <= found.bound_mm <= 0


def test_five_metres_away() -> None:
    """Far parts cost next to nothing and keep their figure: a lever of 250 turning toward a wall 5 m off."""
    engine = GapEngine()
    lever = swing(box((250, 10, 10), (125, 0, 0)), -0.5, 0.5)
    found = least_gap(engine, lever, Body((box((10, 900, 900), (5005, 0, 0)),)))
    exact = 5000 - np.hypot(250, 5)
    assert exact - TOLERANCE_MM <= found.bound_mm <= exact <= found.gap_mm
    assert engine.queries <= 4


def test_a_hit_in_a_sliver_of_the_travel_is_found() -> None:
    """A lever's corner dips 0.02 mm into a plate in mid-swing only; sampling every other degree would miss it."""
    arc = np.hypot(250, 5)
    plate = Body((box((40, 40, 10), (0, 0, arc - 0.02 + 5)),))
    lever = swing(box((250, 10, 10), (125, 0, 0)), -2.2, -1.0)
    found = least(lever, plate)
    assert found.bound_mm <= 0
    assert found.gap_mm <= 0.05
