"""Scans as pieces of bodies: with convex pieces beside them, shifted, against each other, and what cannot be done.

Sources: geometry by hand; a finer sampling of the shift; fcl's triangle meshes for two scans.
"""

import numpy as np
import pytest

from fitcheck.errors import GeometryError
from fitcheck.geometry import cover
from fitcheck.geometry.bodies import first_touch, least_gap
from fitcheck.geometry.cover import Body
from fitcheck.geometry.frames import Frame
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.movement import Slide, Turn
from fitcheck.geometry.scan_piece import ScanPiece
from fitcheck.geometry.sweeps import Shift, Tilt
from tests.geometry import meshes
from tests.geometry.shapes import any_direction, any_pair, any_rotation, box, frame_at
from tests.geometry.test_scan_cover import as_fcl, distance

TOLERANCE_MM = 0.05
ROUNDING_MM = 1e-6
X, Y, Z = np.eye(3)
WALL = meshes.block((300, 300, 10), (0, 0, -5), cuts=3)


def piece(corners: np.ndarray, frame: Frame | None = None) -> ScanPiece:
    return ScanPiece.of(meshes.scan(corners, frame))


def test_without_a_scan_it_is_the_cover_s_own_answer() -> None:
    rng = np.random.default_rng(1)
    for _ in range(5):
        a, b = any_pair(rng, ("T", ""), 150, 300)
        here, there = least_gap(GapEngine(), a, b), cover.least_gap(GapEngine(), a, b)
        assert (here.bound_mm, here.gap_mm, here.a_piece, here.b_piece) == (
            there.bound_mm,
            there.gap_mm,
            there.a_piece,
            there.b_piece,
        )
        assert len(here.leaves) == len(there.leaves)


def test_a_body_of_a_scan_and_convex_pieces_is_as_near_as_its_nearest() -> None:
    for near in (12, 30):
        body = Body((box((10, 10, 10), (90, 0, 40)), piece(WALL), box((10, 10, 10), (90, 0, 25 + near))))
        found = least_gap(GapEngine(), body, Body((box((300, 300, 10), (0, 0, 12 + 10 + 15)),)))
        assert found.gap_mm == 0  # one box of the body stands in the plate
        lifted = Body((box((20, 20, 10), (-100, 0, near + 5)),))
        found = least_gap(GapEngine(), lifted, body)
        assert found.gap_mm == pytest.approx(near, abs=TOLERANCE_MM)
        assert (found.a_piece, found.b_piece) == (0, 1)
        assert found.bracketed
        assert found.leaves == ()


def test_a_doubt_about_one_scan_is_a_doubt_about_the_body() -> None:
    body = Body((piece(meshes.bowl(100, 3, 60)), piece(WALL - [0, 0, 150])))
    assert "winding number" in least_gap(GapEngine(), body, Body((box((10, 10, 10)),))).doubt


def test_a_shifted_scan_comes_as_near_as_its_shift_takes_it() -> None:
    found = least_gap(
        GapEngine(),
        Body((piece(WALL).swept(Shift(-3 * X - 2 * Z, 3 * X + 7 * Z)),)),
        Body((box((20, 20, 10), (0, 0, 35)),)),
    )
    assert found.gap_mm == pytest.approx(30 - 7, abs=TOLERANCE_MM)


def test_no_sampled_shift_is_nearer_than_the_bound() -> None:
    """The scan set anywhere in its shift, the body anywhere in its swing, and never nearer; seldom much farther."""
    rng = np.random.default_rng(5)
    slack = []
    for _ in range(6):
        low, high = -rng.uniform(0, 6, 3), rng.uniform(0, 6, 3)
        scan = meshes.scan(meshes.ring(70, 20), Frame(any_rotation(rng), np.zeros(3)))
        body = Body((box((60, 20, 20), 150 * any_direction(rng)),), (Turn(200 * X, any_direction(rng), -0.2, 0.3),))
        found = least_gap(GapEngine(), Body((ScanPiece.of(scan).swept(Shift(low, high)),)), body)
        mesh, model = (
            as_fcl(scan.skin.vertices, scan.skin.triangles),
            as_fcl(body.pieces[0].corners, body.pieces[0].faces),
        )
        sampled = [
            distance(mesh, Frame(np.eye(3), shift) @ scan.scan2car, model, frame_at(body.moves, at))
            for at in np.linspace(-0.2, 0.3, 12)[:, None]
            for shift in np.where(rng.random((12, 3)) < 0.5, low, high)
        ]
        assert found.bound_mm <= min(sampled) + ROUNDING_MM
        slack.append(min(sampled) - found.bound_mm)
    assert np.median(slack) < 3


def test_two_scans_are_bounded_from_both_sides_and_never_bracketed() -> None:
    rng = np.random.default_rng(6)
    for _ in range(6):
        one, other = (meshes.scan(meshes.ring(60, 15), Frame(any_rotation(rng), np.zeros(3))) for _ in range(2))
        other = other.placed(Frame(np.eye(3), any_direction(rng) * rng.uniform(100, 250)))
        found = least_gap(GapEngine(), Body((ScanPiece.of(one),)), Body((ScanPiece.of(other),)))
        true = distance(
            as_fcl(one.skin.vertices, one.skin.triangles),
            one.scan2car,
            as_fcl(other.skin.vertices, other.skin.triangles),
            other.scan2car,
        )
        assert found.bound_mm - ROUNDING_MM <= true <= found.gap_mm + ROUNDING_MM
        assert not found.bracketed
        assert found.gap_mm == pytest.approx(float(np.linalg.norm(found.on_b - found.on_a)))


def test_one_scan_inside_another_is_never_said_to_be_clear() -> None:
    large, small = piece(meshes.sphere(150, 3)), piece(meshes.sphere(10, 2))
    assert least_gap(GapEngine(), Body((large,)), Body((small,))).bound_mm <= 0
    assert least_gap(GapEngine(), Body((small,)), Body((large,))).bound_mm <= 0


def test_first_touch_whoever_moves() -> None:
    block = Body((box((20, 20, 20), (0, 0, 60)),), (Slide(-Z, 0, 80),))
    wall = Body((piece(WALL),), (Slide(Z, 0, 80),))
    still_block, still_wall = Body(block.pieces), Body(wall.pieces)
    for a, b, moving in (
        (block, still_wall, "a"),
        (still_wall, block, "b"),
        (wall, still_block, "a"),
        (still_block, wall, "b"),
    ):
        touch = first_touch(GapEngine(), a, b, moving, 0.1)  # type: ignore[arg-type]
        assert touch is not None
        assert touch[0] - ROUNDING_MM <= 50 <= touch[1] + ROUNDING_MM
        assert touch[1] - touch[0] <= 0.1
    assert (
        first_touch(GapEngine(), wall, Body((piece(meshes.sphere(20, 1), Frame(np.eye(3), 60 * Z)),)), "a", 0.1) is None
    )


def test_the_boxes_hold_the_scan_and_the_piece_holds_the_boxes() -> None:
    rng = np.random.default_rng(7)
    scan = piece(meshes.ring(70, 20), Frame(any_rotation(rng), 30 * rng.normal(size=3)))
    shapes = [GapEngine().shape(each) for each in scan.boxes]
    for vertex in scan.scan.vertices[::17]:
        assert min(shape.outside_mm(vertex) for shape in shapes) <= ROUNDING_MM
        assert GapEngine().shape(scan).outside_mm(vertex) <= ROUNDING_MM


def test_a_scan_is_not_swept_over_a_turn_nor_placed_after_a_shift() -> None:
    scan = piece(WALL)
    with pytest.raises(GeometryError, match="seat: a scan cannot be swept over a turn; give a part that swings"):
        scan.swept(Tilt(np.zeros(3), X, Y, 0.01))
    with pytest.raises(GeometryError, match="placed before it is shifted"):
        scan.swept(Shift(-X, X)).placed(Frame.identity())
    assert scan.named("dash").scan.name == "dash"
