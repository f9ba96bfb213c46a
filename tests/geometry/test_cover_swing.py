"""The bounds a cover is made of, one by one: held planes, reach, and the swing bound with its corner form.

Sources: dense sampling of the very quantity bounded; closed forms for a point on a circle: height r cos t, and
sag r (1 - cos(h/2)).
"""

from itertools import product

import numpy as np
import pytest

from fitcheck.geometry.frames import Frame
from fitcheck.geometry.gap import height
from fitcheck.geometry.movement import Movement, Slide, Turn
from fitcheck.geometry.path import Course, Path, Spheres, reaches
from fitcheck.geometry.swing import bulges, swing_bound
from tests.geometry.shapes import any_direction, any_movement, any_part, any_place, frame_at, speck

X, Y, Z = np.eye(3)
ROUNDING_MM = 1e-7
CHAINS = ["T", "S", "TS", "ST", "TT", "SS", "TST", "STS", "TTT", "SST"]


def any_chain(rng: np.random.Generator, kinds: str) -> tuple[Movement, ...]:
    return tuple(any_movement(rng, kind) for kind in kinds)


@pytest.mark.parametrize("kinds", CHAINS)
def test_a_course_puts_a_piece_where_its_movements_do(kinds: str) -> None:
    rng = np.random.default_rng(31)
    for _ in range(10):
        moves = any_chain(rng, kinds)
        corners = any_part(rng).corners
        at = any_place(rng, moves)
        assert Path(corners, Course(moves)).at(at) == pytest.approx(frame_at(moves, at).points(corners), abs=1e-9)


@pytest.mark.parametrize("kinds", ["TTT", "TST", "STS"])
@pytest.mark.parametrize("fixed", [(0,), (1,), (2,), (0, 1), (0, 2), (1, 2), (0, 1, 2)])
def test_movements_without_width_are_settled_into_the_rest(kinds: str, fixed: tuple[int, ...]) -> None:
    rng = np.random.default_rng(37)
    moves = list(any_chain(rng, kinds))
    for which in fixed:
        move = moves[which]
        moves[which] = type(move)(**{**vars(move), "stop": move.start})
    at = any_place(rng, tuple(moves))
    corners = any_part(rng).corners
    path = Path(corners, Course(tuple(moves)))
    assert len(path.moves) == 3 - len(fixed)
    left = tuple(value for which, value in enumerate(at) if which not in fixed)
    assert path.at(left) == pytest.approx(frame_at(tuple(moves), at).points(corners), abs=1e-9)


@pytest.mark.parametrize("kinds", CHAINS)
def test_a_held_plane_is_never_above_what_is_sampled(kinds: str) -> None:
    rng = np.random.default_rng(41)
    for _ in range(20):
        moves = any_chain(rng, kinds)
        path = Path(any_part(rng).corners, Course(moves))
        normals = np.array([any_direction(rng) for _ in range(5)])
        low, high = path.lowest(normals, path.course.box), path.highest(normals, path.course.box)
        fine = {1: 400, 2: 25, 3: 8}[len(moves)]
        places = product(*[np.linspace(start, stop, fine).tolist() for start, stop in path.course.box])
        heights = np.array([path.at(place) @ normals.T for place in places])
        assert (low <= heights.min(axis=(0, 1)) + ROUNDING_MM).all()
        assert (high >= heights.max(axis=(0, 1)) - ROUNDING_MM).all()
        if kinds in ("T", "S", "TS", "SS"):  # separable: exact but for the sampling
            assert low == pytest.approx(heights.min(axis=(0, 1)), abs=0.7)


def test_a_held_plane_under_a_full_half_turn() -> None:
    """A point 100 from the axis, height 100 cos t: least -100 with the trough in the half turn, else at an end."""
    piece = speck((100, 0, 0), 1e-6)
    for start in np.linspace(-np.pi, np.pi, 13):
        turn = Turn(np.zeros(3), Z, start, start + np.pi)
        low = float(Path(piece.corners, Course((turn,))).lowest(X[None], ((start, start + np.pi),))[0])
        trough = any(start - 1e-12 <= bottom <= start + np.pi + 1e-12 for bottom in (-np.pi, np.pi, 3 * np.pi))
        exact = -100.0 if trough else 100 * min(np.cos(start), np.cos(start + np.pi))
        assert low == pytest.approx(exact, abs=1e-5)


@pytest.mark.parametrize("kinds", CHAINS)
def test_no_corner_moves_faster_than_its_reach(kinds: str) -> None:
    """Central differences of a corner's place, one movement at a time, anywhere in the box."""
    rng = np.random.default_rng(43)
    step = 1e-5
    for _ in range(20):
        moves = any_chain(rng, kinds)
        path = Path(any_part(rng).corners, Course(moves))
        found = reaches(path.rest, path.moves)
        for _ in range(10):
            at = any_place(rng, moves)
            for which in range(len(moves)):
                ends = [tuple(v + sign * step * (k == which) for k, v in enumerate(at)) for sign in (-1, 1)]
                way = np.linalg.norm(path.at(ends[1]) - path.at(ends[0]), axis=1).max() / (2 * step)
                assert way <= found[which] * (1 + 1e-9) + 1e-4
    assert reaches(np.array([[3.0, 4, 9]]), (Turn(np.zeros(3), Z, 0, 1),)) == pytest.approx((5.0,))


def test_a_reach_holds_between_the_places_looked_at() -> None:
    """A point 100 out, turned by half a turn, about an axis 1000 off: 1100 at 11.25 degrees, between even places."""
    toward = np.array([np.cos(np.pi / 16), np.sin(np.pi / 16), 0])
    moves = (Turn(np.zeros(3), Z, 0, np.pi), Turn(-1000 * toward, Z, 0, 1))
    inner, outer = reaches(np.array([[100.0, 0, 0]]), moves)
    assert inner == pytest.approx(100)
    assert 1100 <= outer <= 1100 + 100 * np.pi / 16


@pytest.mark.parametrize("kinds", CHAINS)
def test_swept_spheres_hold_the_piece(kinds: str) -> None:
    rng = np.random.default_rng(47)
    for _ in range(20):
        moves = any_chain(rng, kinds)
        course = Course(moves)
        corners = any_part(rng).corners
        ((centre,), (radius,)) = Spheres.around([corners], course).swept(course.box)
        for _ in range(20):
            off = Path(corners, course).at(any_place(rng, moves)) - centre
            assert np.linalg.norm(off, axis=1).max() <= radius + ROUNDING_MM


def near_directions(rng: np.random.Generator, count: int, spread: float) -> np.ndarray:
    around = any_direction(rng) + spread * rng.normal(size=(count, 3))
    return np.asarray(around / np.linalg.norm(around, axis=1)[:, None])


@pytest.mark.parametrize(
    ("a_kinds", "b_kinds"),
    [
        ("T", ""),
        ("", "T"),
        ("S", ""),
        ("T", "T"),
        ("S", "T"),
        ("TS", ""),
        ("TT", ""),
        ("T", "ST"),
        ("TST", ""),
        ("TT", "T"),
    ],
)
@pytest.mark.parametrize("spread", [0.01, 0.3])
def test_the_swing_bound_on_random_boxes(a_kinds: str, b_kinds: str, spread: float) -> None:
    """Any directions at the corners, wise or not: the height along their mixture is nowhere less than the bound."""
    rng = np.random.default_rng(53)
    assert sum(swing_bound_held(rng, a_kinds, b_kinds, spread) for _ in range(40)) >= 30


def swing_bound_held(rng: np.random.Generator, a_kinds: str, b_kinds: str, spread: float) -> bool:
    """Draws one box of movements and holds the bound against 60 places in it; whether the bound is finite."""
    a = Path(any_part(rng).corners, Course(any_chain(rng, a_kinds)))
    b = Path(any_part(rng, 250 * any_direction(rng)).corners, Course(any_chain(rng, b_kinds)))
    moves, split = a.moves + b.moves, len(a.moves)
    ends = list(product(*[(move.start, move.stop) for move in moves]))
    normals = near_directions(rng, len(ends), spread)
    heights = [height(n, a.at(at[:split]), b.at(at[split:])) for n, at in zip(normals, ends, strict=True)]
    shape = (2,) * len(moves)
    widths = np.array([move.stop - move.start for move in moves])
    turns = np.array([float(isinstance(move, Turn)) for move in moves])
    sag = bulges(normals.reshape((*shape, 3)), widths, np.array(a.reaches + b.reaches), turns)
    bound = swing_bound(np.array(heights).reshape(shape), normals, sag)
    for _ in range(60):
        share = rng.uniform(size=len(moves))
        weights = np.array(
            [
                np.prod([u if high else 1 - u for u, high in zip(share, corner, strict=True)])
                for corner in product((0, 1), repeat=len(moves))
            ]
        )
        mixed = weights @ normals
        at = tuple(float(move.start + u * (move.stop - move.start)) for move, u in zip(moves, share, strict=True))
        size = float(np.linalg.norm(mixed))
        if size > 1e-9:
            assert bound <= height(mixed / size, a.at(at[:split]), b.at(at[split:])) + ROUNDING_MM
    return bool(np.isfinite(bound))


def test_the_sag_is_what_a_point_on_a_circle_sags() -> None:
    """Held direction, a point straight along it: over a small width h it dips r (1 - cos(h/2)) between the ends."""
    radius, width = 250.0, 0.05
    normals = np.array([X, X])
    sag = bulges(normals, np.array([width]), np.array([radius]), np.array([1.0]))
    exact = radius * (1 - np.cos(width / 2))
    assert exact <= sag[0] <= 1.001 * exact
    bound = swing_bound(np.array([-7.0, -7.0]) + 100, normals, sag)
    assert 93 - 1.001 * exact <= bound <= 93 - exact


def test_a_slide_sags_only_by_the_turn_of_its_direction() -> None:
    assert bulges(np.array([X, X]), np.array([80.0]), np.array([1.0]), np.array([0.0])) == pytest.approx([0.0])
    turned = np.array([X, [np.cos(0.2), np.sin(0.2), 0]])
    chord = 2 * np.sin(0.1)
    assert bulges(turned, np.array([80.0]), np.array([1.0]), np.array([0.0])) == pytest.approx([80 * chord / 4])


def test_the_least_of_a_sagging_line() -> None:
    """Against a fine sampling of `start (1-u) + stop u - 4 sag u (1-u)`, the closed form exact to the sampling."""
    u = np.linspace(0, 1, 20_001)
    for start, stop, sag in [(5.0, 9.0, 2.0), (9.0, 5.0, 2.0), (5.0, 9.0, 0.5), (7.0, 7.0, 1.0), (5.0, 9.0, 0.0)]:
        sampled = (start * (1 - u) + stop * u - 4 * sag * u * (1 - u)).min()
        bound = swing_bound(np.array([start, stop]), np.array([X, X]), np.array([sag]))
        assert bound == pytest.approx(sampled, abs=1e-6)


def test_a_negative_bound_is_divided_by_the_shortest_mixture() -> None:
    """Two directions 60 degrees apart mix to no less than cos 30; opposite ones mix to nothing and bound nothing."""
    apart = np.array([X, [0.5, np.sqrt(3) / 2, 0]])
    bound = swing_bound(np.array([-2.0, -2.0]), apart, np.array([0.0]))
    assert bound == pytest.approx(-2 / np.cos(np.pi / 6))
    assert swing_bound(np.array([-2.0, -2.0]), np.array([X, -X]), np.array([0.0])) == -np.inf
    wide = np.array([X, [-0.9, np.sqrt(1 - 0.81), 0]])
    assert swing_bound(np.array([-2.0, -2.0]), wide, np.array([0.0])) < -2 / 0.3


def test_a_slide_of_nothing_but_slides_is_exact() -> None:
    slide = Slide(X, -30, 50)
    path = Path(speck((0, 0, 0), 2.0).corners, Course((slide,)))
    assert path.lowest(np.array([X, -X, Y]), ((-30.0, 50.0),)) == pytest.approx([-31, -51, -1])
    places = np.array([-30.0, 0, 50])
    assert path.least_heights(np.array([X, Y]), places) == pytest.approx(np.array([[-31, -1, 49], [-1, -1, -1]]))


def test_a_turn_seen_place_by_place() -> None:
    turn = Turn(np.array([10.0, 0, 5]), Y, -0.4, 0.6)
    path = Path(speck((120, 3, -40), 4.0).corners, Course((turn,)))
    places = np.linspace(-0.4, 0.6, 9)
    normal = np.array([0.6, 0, 0.8])
    each = [(turn.frame(at).points(path.rest) @ normal).min() for at in places.tolist()]
    assert path.least_heights(normal[None], places)[0] == pytest.approx(each, abs=1e-9)
    assert Frame.identity().points(path.rest) == pytest.approx(path.rest)
