"""Scans that are hit or that hold a part: what lies inside, how deep, where a movement first touches, and doubt.

Sources: geometry by hand.
"""

import numpy as np

from fitcheck.geometry.cover import Body
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.movement import Slide, Turn
from fitcheck.geometry.scan_cover import ScanBody, scan_first_touch
from fitcheck.geometry.solids import Piece
from tests.geometry import meshes
from tests.geometry.shapes import box
from tests.geometry.test_scan_cover import ROUNDING_MM, X, Y, Z, least


def test_a_part_wholly_inside_a_closed_scan_hits_wherever_it_stands() -> None:
    scan = meshes.scan(meshes.sphere(100, 4))
    found = least(scan, box((10, 10, 10), (60, 0, 0)), moves=(Turn(np.zeros(3), Y, 0, 1),))
    assert found.gap_mm == 0
    assert found.doubt == ""
    assert 100 - 60 - meshes.sag(meshes.sphere(100, 4), 100) <= found.depth_mm + ROUNDING_MM
    assert found.depth_mm <= 40
    assert np.allclose(found.on_a, found.on_b)
    assert np.linalg.norm(found.on_a) < 100


def test_a_part_inside_an_open_shell_is_in_doubt_and_never_clear() -> None:
    shell = meshes.bowl(100, 4, 60)
    for free in (None, "front"):
        found = least(meshes.scan(shell, free=free), box((10, 10, 10)))
        assert found.bound_mm > 80
        assert found.doubt.startswith(
            "seat is an open scan, and the part may be inside it or behind it (winding number 0."
        )
    turned = shell[:, ::-1]
    assert least(meshes.scan(turned), box((10, 10, 10))).doubt != ""
    assert least(meshes.scan(turned, free="back"), box((10, 10, 10))).doubt != ""


def test_whoever_says_which_side_is_free_is_believed() -> None:
    shell = meshes.bowl(100, 4, 60)
    assert least(meshes.scan(shell, free="back"), box((10, 10, 10))).doubt == ""
    assert least(meshes.scan(shell, free="both"), box((10, 10, 10))).doubt == ""
    assert least(meshes.scan(shell[:, ::-1], free="front"), box((10, 10, 10))).doubt == ""


def test_far_from_an_open_shell_there_is_no_doubt() -> None:
    assert least(meshes.scan(meshes.bowl(100, 4, 60)), box((10, 10, 10), (400, 0, 0))).doubt == ""


def test_one_of_two_separate_pieces_inside_is_enough() -> None:
    scan = meshes.scan(meshes.sphere(50, 3))
    found = least(scan, box((10, 10, 10), (200, 0, 0)), box((10, 10, 10)))
    assert (found.gap_mm, found.b_piece) == (0, 1)


def test_between_two_closed_bodies_of_one_scan_is_outside() -> None:
    two = np.concatenate([meshes.sphere(30, 3), meshes.sphere(30, 3) + [100, 0, 0]])
    found = least(meshes.scan(two), box((10, 10, 10), (50, 0, 0)))
    assert found.gap_mm > 14
    assert found.doubt == ""


def test_a_small_scan_swallowed_by_a_part_hits() -> None:
    found = least(meshes.scan(meshes.sphere(20, 3)), box((100, 100, 100)))
    assert found.gap_mm == 0
    assert 50 - 20 / np.sqrt(3) - 1 < found.depth_mm <= 70  # 70 frees it; a corner of it is this deep


def test_a_hit_has_a_common_point_and_a_depth_that_is_at_least() -> None:
    """A block 7 mm into a slab: no shorter way out than 7."""
    found = least(meshes.scan(meshes.block((300, 300, 50), (0, 0, -25), cuts=5)), box((40, 40, 40), (3, 4, 13)))
    assert found.gap_mm == 0
    assert 6 <= found.depth_mm <= 7 + ROUNDING_MM
    assert found.bound_mm <= -found.depth_mm
    assert np.allclose(found.on_a, found.on_b)


def test_first_touch_of_an_arc() -> None:
    """A corner on an arm reaches the wall where the arm's cosine says."""
    rng = np.random.default_rng(8)
    for _ in range(8):
        arm, level = 200.0, rng.uniform(120, 195)
        piece = Piece(np.array([[arm, 0, 0], [arm - 30, 5, 0], [arm - 30, -5, 4], [arm - 30, -5, -4]], dtype=float))
        wall = ScanBody(meshes.scan(meshes.block((900, 900, 10), (0, 0, level + 5), cuts=4)))
        swing = Turn(np.zeros(3), -Y, 0.0, 1.5)
        touch = scan_first_touch(GapEngine(), wall, Body((piece,), (swing,)), "body", 1e-3)
        assert touch is not None
        assert touch[0] - 1e-4 <= np.arcsin(level / arm) <= touch[1] + 1e-4
        assert touch[1] - touch[0] <= 1e-3


def test_first_touch_of_what_never_meets_and_of_what_is_inside_from_the_start() -> None:
    scan = ScanBody(meshes.scan(meshes.sphere(50, 3)))
    outside, inside = box((10, 10, 10), (0, 80, 0)), box((10, 10, 10))
    slide = (Slide(Z, 0, 200),)
    assert scan_first_touch(GapEngine(), scan, Body((outside,), slide), "body", 0.1) is None
    assert scan_first_touch(GapEngine(), scan, Body((inside,), slide), "body", 0.1) == (0, 0)
    assert scan_first_touch(GapEngine(), scan, Body((inside,), (Slide(Z, 0, 5),)), "body", 0.1) == (0, 0)
    below = Body((box((10, 10, 10), (0, 0, -100)),), slide)
    touch = scan_first_touch(GapEngine(), scan, below, "body", 0.1)
    assert touch is not None
    assert touch[0] - 0.2 <= 45 <= touch[1] + 0.2


def test_first_touch_when_the_scan_moves() -> None:
    scan = ScanBody(meshes.scan(meshes.block((20, 20, 20), cuts=2)), (Slide(X, -50, 50),))
    touch = scan_first_touch(GapEngine(), scan, Body((box((20, 20, 20), (40, 0, 0)),)), "scan", 0.1)
    assert touch is not None
    assert touch[0] - ROUNDING_MM <= 20 <= touch[1] + 0.1
