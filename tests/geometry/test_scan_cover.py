"""The least gap against a scan through whole movements: closed forms, sampled poses, hits and what lies inside.

Sources: geometry by hand; a mesh collision library other than the engine's own roads (fcl's triangle meshes) on
sampled poses. Meshes of round things lie inside them, by their sag at most.
"""

import fcl
import numpy as np
import pytest

from fitcheck.errors import GeometryError
from fitcheck.geometry.cover import Body, LeastGap
from fitcheck.geometry.frames import Frame
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.movement import Movement, Slide, Turn
from fitcheck.geometry.scan import Scan
from fitcheck.geometry.scan_cover import ScanBody, scan_least_gap
from fitcheck.geometry.scan_reading import mended_skin
from fitcheck.geometry.solids import Piece
from tests.geometry import meshes
from tests.geometry.shapes import any_body, any_direction, any_movement, any_place, any_rotation, box, frame_at, rod

TOLERANCE_MM = 0.05
ROUNDING_MM = 1e-6
X, Y, Z = np.eye(3)
KINDS = [("", ""), ("T", ""), ("S", ""), ("", "T"), ("", "S"), ("T", "T"), ("TS", ""), ("S", "T"), ("ST", "T")]


def least(scan: Scan, *pieces: Piece, moves: tuple[Movement, ...] = (), tolerance_mm: float = TOLERANCE_MM) -> LeastGap:
    return scan_least_gap(GapEngine(), ScanBody(scan), Body(pieces, moves), tolerance_mm)


def brackets(found: LeastGap, low: float, high: float) -> bool:
    """Whether the truth, anywhere from `low` to `high`, is what was found; NaN is not."""
    gap = found
    return bool(
        gap.bracketed and 0 <= gap.gap_mm - gap.bound_mm <= TOLERANCE_MM and low - TOLERANCE_MM <= gap.bound_mm <= high
    )


# Closed forms


@pytest.mark.parametrize("splits", [1, 3, 5])
@pytest.mark.parametrize("away", [0.5, 30.0])
def test_a_box_beside_a_ball(splits: int, away: float) -> None:
    mesh = meshes.sphere(60, splits)
    block = box((20, 30, 40)).placed(Frame(any_rotation(np.random.default_rng(splits)), np.zeros(3)))
    down = float(block.vertices[:, 2].min())
    lifted = Piece(block.vertices + [0, 0, 60 + away - down])
    corner = lifted.vertices[lifted.vertices[:, 2].argmin()]
    at = lifted.vertices - corner
    apart = float(np.sqrt((corner**2).sum())) - 60
    assert (at @ corner >= -1e-9).all(), "the corner is not the nearest point of this box"
    assert brackets(least(meshes.scan(mesh), lifted), apart, apart + meshes.sag(mesh, 60))


@pytest.mark.parametrize("sides", [12, 48])
def test_a_bar_through_a_ring(sides: int) -> None:
    """Radius of the hole less that of the bar; the ring's facets cut into the hole, the bar's edges stand out of it."""
    found = least(meshes.scan(meshes.ring(80, 20, sides)), rod(30, 200, 24))
    hole = 80 - 20
    assert brackets(found, hole * np.cos(np.pi / sides) - 30 / np.cos(np.pi / 24), hole - 30)


def test_a_corner_on_an_arc_past_a_wall() -> None:
    """Its greatest reach toward the wall is the arm itself, wherever in the swing that comes."""
    rng = np.random.default_rng(3)
    for _ in range(12):
        arm, gap = rng.uniform(80, 400), rng.uniform(0.2, 40)
        piece = Piece(np.array([[0, 0, arm], [5, 0, arm - 30], [-5, 4, arm - 30], [-5, -4, arm - 30]], dtype=float))
        level = meshes.block((900, 900, 10), (0, 0, arm + gap + 5), cuts=5)
        found = least(
            meshes.scan(level), piece, moves=(Turn(np.zeros(3), Y, -rng.uniform(0, 0.6), rng.uniform(0, 0.8)),)
        )
        assert brackets(found, gap, gap)
        assert abs(found.b_at[0]) < np.sqrt(2 * TOLERANCE_MM / arm) + 1e-6


def test_a_slide_past_an_edge() -> None:
    """Beside the edge of a block: across and down, by Pythagoras, once the slide goes past it."""
    rng = np.random.default_rng(4)
    for _ in range(12):
        across, down = rng.uniform(0.5, 30, 2)
        piece = box((20, 20, 20), (0, 10 + across, 10 + down))
        found = least(
            meshes.scan(meshes.block((80, 40, 40), (300, -20, -20), cuts=3)), piece, moves=(Slide(X, 0, 500),)
        )
        assert brackets(found, np.hypot(across, down), np.hypot(across, down))
        assert 250 - TOLERANCE_MM < found.b_at[0] < 350 + TOLERANCE_MM


def test_a_turn_about_the_ball_s_own_middle_keeps_its_gap() -> None:
    mesh = meshes.sphere(60, 4)
    found = least(meshes.scan(mesh), box((10, 10, 10), (80, 0, 0)), moves=(Turn(np.zeros(3), Y, 0, 2.5),))
    assert brackets(found, 15, 15 + meshes.sag(mesh, 60))


# Another library, at sampled poses


def as_fcl(vertices: np.ndarray, triangles: np.ndarray) -> fcl.BVHModel:
    model = fcl.BVHModel()
    model.beginModel(len(triangles), len(vertices))
    model.addSubModel(np.array(vertices), np.array(triangles))
    model.endModel()
    return model


def distance(a: fcl.BVHModel, a_frame: Frame, b: fcl.BVHModel, b_frame: Frame) -> float:
    one, other = (
        fcl.CollisionObject(model, fcl.Transform(frame.rotation, frame.origin))
        for model, frame in ((a, a_frame), (b, b_frame))
    )
    return float(max(fcl.distance(one, other, fcl.DistanceRequest(), fcl.DistanceResult()), 0.0))


def any_mesh(rng: np.random.Generator) -> np.ndarray:
    """A ring, a ball, a crumpled ball, or a bowl: most of them not convex, one not closed."""
    kind = rng.integers(4)
    if kind == 0:
        return meshes.ring(rng.uniform(50, 90), rng.uniform(10, 30))
    if kind == 3:
        return meshes.bowl(80, 3, 20)
    mesh = meshes.sphere(rng.uniform(40, 80), 3)
    return mesh * (1 + 0.2 * np.sin(mesh[..., :1] / 9)) if kind == 1 else mesh


@pytest.mark.parametrize("kinds", KINDS, ids=lambda kinds: "-".join(kinds))
def test_no_sampled_place_is_nearer_than_the_bound(kinds: tuple[str, str]) -> None:
    rng = np.random.default_rng([len(kinds[0]), len(kinds[1]), 7])
    apart = 0
    for _ in range(8):
        frame = Frame(any_rotation(rng), 20 * rng.normal(size=3))
        skin = mended_skin(any_mesh(rng))[0]
        scan = ScanBody(Scan("seat", skin, frame), tuple(any_movement(rng, kind) for kind in kinds[1]))
        body = any_body(rng, kinds[0], any_direction(rng) * rng.uniform(80, 300), int(rng.integers(1, 4)))
        found = scan_least_gap(GapEngine(), scan, body, TOLERANCE_MM)
        models = [as_fcl(piece.corners, piece.faces) for piece in body.pieces]
        mesh = as_fcl(skin.vertices, skin.triangles)
        places = [(found.a_at, found.b_at)]
        places += [(any_place(rng, scan.moves), any_place(rng, body.moves)) for _ in range(25)]
        sampled = [
            min(distance(mesh, frame_at(scan.moves, a_at) @ frame, m, frame_at(body.moves, b_at)) for m in models)
            for a_at, b_at in places
        ]
        if found.gap_mm > 0:
            assert found.bound_mm - ROUNDING_MM <= min(sampled)
            assert found.bound_mm - ROUNDING_MM <= sampled[0] <= found.gap_mm + ROUNDING_MM
            assert found.bracketed and found.gap_mm - found.bound_mm <= TOLERANCE_MM
            apart += 1
        check_witness(scan, body, found)
    assert apart >= 3


def check_witness(scan: ScanBody, body: Body, found: LeastGap) -> None:
    """Both points are on what they are said to be on, as far apart as said, along the normal."""
    scan_frame = frame_at(scan.moves, found.a_at) @ scan.scan.scan2car
    piece = body.pieces[found.b_piece]
    on_scan = scan_frame.inverse.points(found.on_a)
    on_piece = frame_at(body.moves, found.b_at).inverse.points(found.on_b)
    triangle = scan.scan.skin.vertices[scan.scan.skin.triangles[found.a_piece]]
    shares, *_ = np.linalg.lstsq(np.vstack([triangle.T, np.ones(3)]), np.append(on_scan, 1), rcond=None)
    assert shares.min() >= -1e-6
    assert np.linalg.norm(shares @ triangle - on_scan) <= ROUNDING_MM
    planes = GapEngine().shape(piece)
    assert planes.outside_mm(on_piece) <= ROUNDING_MM
    between = found.on_b - found.on_a
    assert np.linalg.norm(between - found.gap_mm * found.normal) <= ROUNDING_MM


# The same from another seat


def test_order_and_who_moves_change_nothing() -> None:
    rng = np.random.default_rng(11)
    for _ in range(5):
        scan = meshes.scan(any_mesh(rng))
        turn = Turn(50 * rng.normal(size=3), any_direction(rng), -0.3, 0.4)
        back = Turn(turn.point, -turn.axis, -0.3, 0.4)
        pieces = any_body(rng, "", any_direction(rng) * 220, 2).pieces
        one = scan_least_gap(GapEngine(), ScanBody(scan), Body(pieces, (turn,)))
        other = scan_least_gap(GapEngine(), Body(pieces), ScanBody(scan, (back,)))
        assert other.b_at == pytest.approx(one.b_at, abs=1e-9) or abs(one.gap_mm - other.gap_mm) <= TOLERANCE_MM
        assert max(one.bound_mm, other.bound_mm) <= min(one.gap_mm, other.gap_mm) + ROUNDING_MM


def test_moving_the_whole_car_changes_no_gap() -> None:
    rng = np.random.default_rng(12)
    frame = Frame(any_rotation(rng), 300 * rng.normal(size=3))
    scan, body = meshes.scan(meshes.ring(80, 20)), Body((box((20, 20, 20), (150, 10, 5)),), (Turn(200 * X, Y, 0, 0.4),))
    moved = Body(
        tuple(piece.placed(frame) for piece in body.pieces),
        (Turn(frame.points(200 * X), frame.directions(Y), 0, 0.4),),
    )
    here = scan_least_gap(GapEngine(), ScanBody(scan), body)
    there = scan_least_gap(GapEngine(), ScanBody(scan.placed(frame)), moved)
    assert there.gap_mm == pytest.approx(here.gap_mm, abs=TOLERANCE_MM)
    assert np.allclose(frame.points(here.on_a), there.on_a, atol=1) or here.gap_mm == 0


# Stopping


def test_it_stops_where_there_is_room_enough() -> None:
    scan = ScanBody(meshes.scan(meshes.sphere(60, 5)))
    body = Body((box((60, 10, 10), (400, 0, 0)),), (Turn(np.zeros(3), Y, 0, 1),))
    hurried, thorough = GapEngine(), GapEngine()
    found = scan_least_gap(hurried, scan, body, enough_mm=100)
    known = scan_least_gap(thorough, scan, body)
    assert not found.bracketed
    assert 100 <= found.bound_mm <= known.gap_mm <= found.gap_mm
    assert hurried.queries < thorough.queries / 3


def test_a_large_scan_costs_few_queries() -> None:
    """330,000 triangles: even sampling at the same guarantee looks at 2,600 places of the two pieces' swing."""
    mesh = meshes.sphere(100, 7)
    scan = meshes.scan(mesh)
    pieces = (box((60, 10, 8), (150, 0, 0)), rod(12, 120, 40, Frame(np.eye(3), np.array([160.0, 0, 60]))))
    swing = Turn(np.array([300.0, 0, 100]), Y, -0.3, 0.4)
    engine = GapEngine()
    found = scan_least_gap(engine, ScanBody(scan), Body(pieces, (swing,)))
    steps = sum(swing.reach(piece.vertices) * (swing.stop - swing.start) / (2 * TOLERANCE_MM) for piece in pieces)
    assert len(scan.skin.triangles) == 327_680
    assert found.bracketed
    assert engine.queries < steps
    assert engine.queries < 2000


@pytest.mark.parametrize("tolerance_mm", [0.0, 0.001, float("nan")])
def test_a_tolerance_finer_than_the_witness_is_refused(tolerance_mm: float) -> None:
    with pytest.raises(GeometryError, match="a tolerance of"):
        least(meshes.scan(meshes.sphere(60, 1)), box((10, 10, 10), (200, 0, 0)), tolerance_mm=tolerance_mm)


def test_two_scans_and_four_movements_are_refused() -> None:
    scan = ScanBody(meshes.scan(meshes.sphere(60, 1)))
    with pytest.raises(GeometryError, match="against a body of convex pieces only"):
        scan_least_gap(GapEngine(), scan, scan)
    moves = tuple(Slide(axis, 0, 1) for axis in (X, Y, Z))
    with pytest.raises(GeometryError, match="4 movements in one pair; at most 3 can be covered"):
        scan_least_gap(GapEngine(), ScanBody(scan.scan, moves[:1]), Body((box((1, 1, 1), (99, 0, 0)),), moves))
