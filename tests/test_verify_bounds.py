"""The verifier's own arithmetic against dense sampling and closed forms: bounds, covers, true solids, lengths."""

from itertools import product
from typing import Any

import numpy as np
import pytest
from numpy.random import Generator
from scipy.optimize import linprog

from fitcheck.errors import GeometryError, LengthError
from fitcheck.geometry.frames import Frame
from fitcheck.geometry.primitives import ball, block, cone, cylinder
from fitcheck.geometry.solids import Piece
from fitcheck.geometry.sweeps import Swivel
from fitcheck.job.lengths import parse_length
from fitcheck.verify.bodies import Part, maps, moved
from fitcheck.verify.bounds import Box, covered, leaf_bound, least, reach
from fitcheck.verify.form import Refused
from fitcheck.verify.readings import degrees, length_mm

Table = dict[str, Any]


def any_unit(rng: Generator) -> np.ndarray:
    direction = rng.normal(size=3)
    return np.asarray(direction / np.linalg.norm(direction))


def any_move(rng: Generator, kind: str) -> Table:
    start = rng.uniform(-1, 1) if kind == "turn" else rng.uniform(-50, 50)
    width = rng.uniform(0.01, 3) if kind == "turn" else rng.uniform(1, 100)
    ends = {"start": start, "stop": start + width}
    if kind == "turn":
        return {"kind": "turn", "point": rng.normal(scale=100, size=3), "axis": any_unit(rng), **ends}
    return {"kind": "slide", "direction": any_unit(rng), **ends}


@pytest.mark.parametrize("kind", ["turn", "slide"])
def test_the_least_height_of_a_held_plane_is_exact(kind: str) -> None:
    rng = np.random.default_rng(1)
    for _ in range(80):
        points, move, normal = rng.normal(scale=80, size=(12, 3)), any_move(rng, kind), any_unit(rng)
        at = np.linspace(move["start"], move["stop"], 500)
        sampled = min(float((moved(points, [move], np.array([value])) @ normal).min()) for value in at)
        found = least(points, [move], [(move["start"], move["stop"])], normal)
        assert sampled - 0.01 <= found <= sampled + 1e-9


@pytest.mark.parametrize("kinds", ["tt", "ts", "st", "ss", "tst", "tts", "stt"])
def test_the_least_height_over_a_chain_of_movements_is_below_every_sampled_one(kinds: str) -> None:
    rng = np.random.default_rng(3)
    words = {"t": "turn", "s": "slide"}
    for _ in range(30):
        moves = [any_move(rng, words[kind]) for kind in kinds]
        for move in moves:
            move["stop"] = move["start"] + (move["stop"] - move["start"]) / 15
        box = [(move["start"], move["stop"]) for move in moves]
        points, normal = rng.normal(scale=80, size=(12, 3)), any_unit(rng)
        found = least(points, moves, box, normal)
        grid = [np.linspace(low, high, 9) for low, high in box]
        places = [moved(points, moves, np.array(at)) for at in product(*grid)]
        assert found <= min(float((there @ normal).min()) for there in places) + 1e-9
        for which, move in enumerate(moves):
            if move["kind"] == "turn":
                most = 0.0
                for at in product(*grid[:which]):
                    arms = moved(points, moves[:which], np.array(at)) - move["point"]
                    most = max(most, float(np.linalg.norm(np.cross(arms, move["axis"]), axis=1).max()))
                assert most - 1e-9 <= reach(points, moves, box, which) <= 1.2 * most


@pytest.mark.parametrize("kinds", ["t.", ".t", "s.", "tt", "ts", "st", "ss"])
def test_a_turned_plane_is_below_every_sampled_height(kinds: str) -> None:
    """Along the way the mixed direction, made unit, is a direction like any other: its height bounds the gap there.

    So no swing bound may stand above the greatest height that any direction reaches at any place in between; here the
    mixed one and those at the corners.
    """
    rng = np.random.default_rng(sum(map(ord, kinds)))
    words = {"t": "turn", "s": "slide"}
    for _ in range(60):
        sides = [([any_move(rng, words[k])] if k != "." else [], rng.normal(scale=20, size=(8, 3))) for k in kinds]
        (a_moves, a_points), (b_moves, b_points) = sides
        b_points = b_points + [150, 0, 0]
        for move in a_moves + b_moves:
            move["stop"] = move["start"] + (move["stop"] - move["start"]) / 10
        box: Box = [(move["start"], move["stop"]) for move in a_moves + b_moves]
        normals = np.array([any_unit(rng) * 0.2 + [1, 0, 0] for _ in range(2 ** len(box))])
        normals /= np.linalg.norm(normals, axis=1)[:, None]
        leaf = {"a": 0, "b": 0, "directions": normals}
        bound = leaf_bound((a_moves, [a_points]), (b_moves, [b_points]), leaf, box, "here")
        for shares in product(np.linspace(0, 1, 15), repeat=len(box)):
            weight = np.array([np.prod(c) for c in product(*((1 - u, u) for u in shares))])
            at = np.array([low + u * (high - low) for u, (low, high) in zip(shares, box, strict=True)])
            mixed = weight @ normals
            a_there = moved(a_points, a_moves, at[: len(a_moves)])
            b_there = moved(b_points, b_moves, at[len(a_moves) :])
            height = (b_there @ mixed).min() - (a_there @ mixed).max()
            assert bound <= height / np.linalg.norm(mixed) + 1e-9 or bound <= height + 1e-9


def split(rng: Generator, box: Box, times: int) -> list[Box]:
    boxes = [box]
    for _ in range(times):
        one = boxes.pop(rng.integers(len(boxes)))
        which = int(rng.integers(len(one)))
        low, high = one[which]
        at = low + (high - low) * rng.uniform(0.1, 0.9)
        boxes += [[*one[:which], half, *one[which + 1 :]] for half in ((low, at), (at, high))]
    return boxes


@pytest.mark.parametrize("count", [1, 2, 3])
def test_boxes_cover_until_one_is_missing_or_shrunk(count: int) -> None:
    rng = np.random.default_rng(count)
    for _ in range(40):
        whole: Box = [(0.0, float(rng.uniform(1, 5))) for _ in range(count)]
        boxes = split(rng, whole, 8 if count < 3 else 5)
        assert covered(whole, boxes)
        lost = int(rng.integers(len(boxes)))
        assert not covered(whole, boxes[:lost] + boxes[lost + 1 :])
        (low, high), *rest = boxes[lost]
        assert not covered(whole, [*boxes[:lost], [(low, (low + high) / 2), *rest], *boxes[lost + 1 :]])
    assert covered([], [[]])
    assert not covered([], [])
    assert covered([(1.0, 1.0)], [[(1.0, 1.0)]])


def stated(piece: Piece, **exact: Any) -> Table:
    given = {"name": piece.name, "vertices": piece.vertices, "exact": exact}
    return {"name": "part", "phases": [{"moves": [], "carry": [], "pieces": [given]}]}


ASKEW = Frame.from_axes([5, 6, 7], [1, 2, 3], [0, 1, 0])


def test_a_true_solid_is_held_up_to_its_size_and_not_beyond() -> None:
    """Circumscribed by construction: the true size is held, 0.15 mm more in the radius is not."""
    start, end = np.array([10.0, -5, 3]), np.array([40.0, 20, 90])
    bar, peak = cylinder(start, end, 30, "bar"), cone(start, end, 0, 30, "peak")
    globe, crate = ball(start, 44, "globe"), block(ASKEW, [10, 20, 30], "crate")
    ends = {"kind": "round", "start": start, "end": end}
    for more, refused in ((0.0, False), (-2.0, False), (0.3, True)):
        tries = [
            stated(bar, **ends, start_diameter_mm=30 + more, end_diameter_mm=30 + more),
            stated(peak, **ends, start_diameter_mm=0.0, end_diameter_mm=30 + more),
            stated(globe, kind="balls", centres=start[None], diameter_mm=44 + more, faces=globe.faces.astype(float)),
        ]
        for part in tries:
            if refused:
                with pytest.raises(Refused, match="does not hold"):
                    Part(part, "part")
            else:
                Part(part, "part")
    dented = globe.corners.copy()
    dented[0] += (dented[0] - start) * 0.5
    balls = {"kind": "balls", "centres": start[None], "diameter_mm": 44.0, "faces": globe.faces.astype(float)}
    with pytest.raises(Refused, match="a vertex lies beyond one of its faces"):
        Part(stated(Piece(dented), **balls), "part")
    frame = {"rotation": ASKEW.rotation, "origin": ASKEW.origin}
    Part(stated(crate, kind="box", **frame, size=np.array([10.0, 20, 30])), "part")
    with pytest.raises(Refused, match="not the corners"):
        Part(stated(crate, kind="box", **frame, size=np.array([10.0, 20, 30.001])), "part")


@pytest.mark.parametrize(("count", "angle"), [(3, 0.3), (4, 0.01), (4, 0.57), (6, 0.9)])
def test_a_swivel_s_maps_mix_to_every_true_turn(count: int, angle: float) -> None:
    """By linear programming (HiGHS): weights none below 0, sum 1, whose mixture is the turn of Rodrigues' formula."""
    swivel = spread_axes(count) | {"angle": angle}
    turns = np.array([turn for turn, _ in maps(swivel, "here")])
    assert len(turns) == 6 * count
    most = np.arcsin(np.sin(angle) * np.cos(np.pi / count / 2))
    sums = np.vstack([turns.reshape(-1, 9).T, np.ones(len(turns))])
    for about, share in product(np.linspace(0, 2 * np.pi / count, 9), (0.02, 0.5, 0.9, 1 - 1e-9)):
        axis = np.cos(about) * swivel["axes"][0] + np.sin(about) * np.cross(ASKEW.rotation[:, 2], swivel["axes"][0])
        turn = {"kind": "turn", "point": np.zeros(3), "axis": axis}
        true = moved(np.eye(3), [turn], np.array([share * most])).T
        found = linprog(np.zeros(len(turns)), A_eq=sums, b_eq=[*true.ravel(), 1], bounds=(0, None))
        assert found.status == 0, (about, share)
        assert np.abs(sums @ found.x - [*true.ravel(), 1]).max() <= 1e-7
    straight = turns.reshape(count, 3, 2, 3, 3)[:, :2].reshape(-1, 9)
    if angle > 0.1:  # without what is taken farther there are no such weights
        axis = np.cos(np.pi / count / 2) * swivel["axes"][0] + np.sin(np.pi / count / 2) * swivel["axes"][1]
        true = moved(np.eye(3), [{"kind": "turn", "point": np.zeros(3), "axis": axis}], np.array([most])).T
        sums = np.vstack([straight.T, np.ones(len(straight))])
        assert linprog(np.zeros(len(straight)), A_eq=sums, b_eq=[*true.ravel(), 1], bounds=(0, None)).status == 2


def spread_axes(count: int) -> dict[str, Any]:
    turns = np.pi / count * np.arange(count)
    axes = np.outer(np.cos(turns), ASKEW.rotation[:, 0]) + np.outer(np.sin(turns), ASKEW.rotation[:, 1])
    return {"kind": "swivel", "point": np.array([1.0, 2, 3]), "axes": axes, "angle": 0.02}


def test_a_swivel_of_other_axes_or_angles_is_refused_here_and_there() -> None:
    """By the verifier and by the geometry alike."""
    good = spread_axes(4)
    tries = [
        {"axes": good["axes"][:2]},
        {"axes": good["axes"][:3]},
        {"axes": good["axes"][[0, 2, 1, 3]]},
        {"axes": np.repeat(good["axes"][:1], 4, axis=0)},
        {"angle": 0.0},
        {"angle": 1.6},
    ]
    for change in tries:
        other = good | change
        with pytest.raises(Refused, match="swivel"):
            maps(other, "here")
        with pytest.raises(GeometryError, match=r"swivel|a direction of no length"):
            Swivel(other["point"], other["axes"], other["angle"])
    shifts = Swivel(good["point"], good["axes"], good["angle"]).shifts(np.eye(3))
    written = [np.eye(3) @ turn.T + shift - np.eye(3) for turn, shift in maps(good, "here")]
    assert np.abs(shifts - np.array(written)).max() <= 1e-14  # both in the same order


TEXTS = ["15 1/2 in", '15-1/2"', "1' 3 1/2\"", "394 mm", "412 mm ± 3 mm", "412 ± 3 mm", "412 +/- 3 mm", "1 ft 3 1/2 in",
         "1/2 in", ".5 in", "39.4 cm", "1.2 m", "-3 in", "+ 3 mm", "15½ in", "3 inches", "2 ft", "4'", "15 3/8”",
         "12.5", "in", "", "men 95", "28 deg", "10:45", "3 + 4 mm", "1e3 mm", "3 mm 4", "nan mm"]  # fmt: skip


@pytest.mark.parametrize("text", TEXTS)
def test_lengths_are_read_as_the_job_reads_them(text: str) -> None:
    """Two readers written apart; the inch is 25.4 mm (agreement of 1959 between the standards offices)."""
    try:
        expected = parse_length(text).mm
    except LengthError:
        assert length_mm(text) is None
        return
    assert length_mm(text) == pytest.approx(expected, abs=1e-12)


def test_lengths_and_angles_by_hand() -> None:
    assert length_mm("15 1/2 in") == pytest.approx(393.7, abs=1e-12)
    assert length_mm("1' 3 1/2\"") == pytest.approx(393.7, abs=1e-12)
    assert degrees("10:45") == 322.5 and degrees("12:00") == 0 and degrees("28.5 deg ± 1 deg") == 28.5
    assert degrees("12 mm") is None
