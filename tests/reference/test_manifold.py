"""The least gap against scans beside manifold3d's `min_gap` (version 3), an independent exact mesh library.

Non-convex closed meshes at rest; `min_gap` is the least distance between two meshes, no longer than its search length,
and it works in single precision: hence the tolerance.
"""

import numpy as np
import pytest
import trimesh
from manifold3d import Manifold, Mesh

from fitcheck.geometry.cover import Body
from fitcheck.geometry.frames import Frame
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.scan import Scan
from fitcheck.geometry.scan_cover import ScanBody, scan_least_gap
from fitcheck.geometry.scan_reading import mended_skin
from fitcheck.geometry.solids import Piece
from tests.geometry import meshes
from tests.geometry.shapes import any_direction, any_part, any_rotation

TOLERANCE_MM = 0.05
SINGLE_MM = 1e-3
FARTHEST_MM = 1000.0


def solid(vertices: np.ndarray, triangles: np.ndarray) -> Manifold:
    made = Manifold(Mesh(np.asarray(vertices, dtype=np.float32), np.asarray(triangles, dtype=np.uint32)))
    assert made.volume() > 0
    return made


def any_ring(rng: np.random.Generator) -> np.ndarray:
    """A torus squeezed and bent: closed, not convex, with a hole."""
    corners = meshes.ring(rng.uniform(60, 110), rng.uniform(8, 30), 40, 20) * rng.uniform(0.6, 1.4, 3)
    bent = corners.copy()
    bent[..., 2] += corners[..., 0] ** 2 / rng.uniform(150, 400)
    return bent


@pytest.mark.parametrize("seed", range(6))
def test_no_gap_is_overstated_or_missed(seed: int) -> None:
    rng = np.random.default_rng([seed, 3])
    apart = 0
    for _ in range(12):
        skin = mended_skin(any_ring(rng))[0]
        frame = Frame(any_rotation(rng), 10 * rng.normal(size=3))
        piece = any_part(rng, any_direction(rng) * rng.uniform(0, 220))
        found = scan_least_gap(GapEngine(), ScanBody(Scan("seat", skin, frame)), Body((piece,)), TOLERANCE_MM)
        one, other = solid(frame.points(skin.vertices), skin.triangles), solid(piece.corners, piece.faces)
        distance = one.min_gap(other, FARTHEST_MM)
        if (one ^ other).volume() > 1e-3:
            assert found.gap_mm == 0
            assert found.depth_mm > 0
        elif distance > SINGLE_MM:
            assert found.bound_mm <= distance + SINGLE_MM
            assert found.gap_mm >= distance - SINGLE_MM
            assert found.gap_mm - found.bound_mm <= TOLERANCE_MM
            apart += 1
    assert apart >= 4


def test_a_part_in_the_hole_of_a_ring_is_no_hit() -> None:
    """Where hulls would meet: the hole's radius less the half diagonal of a square bar, within the ring's facets."""
    ring = trimesh.creation.torus(80, 20, 64, 32)
    bar = Piece(np.array([[x, y, z] for x in (-10, 10) for y in (-10, 10) for z in (-90, 90)], dtype=float))
    skin = mended_skin(np.array(ring.triangles))[0]
    found = scan_least_gap(GapEngine(), ScanBody(Scan("ring", skin, Frame.identity())), Body((bar,)))
    distance = solid(skin.vertices, skin.triangles).min_gap(solid(bar.corners, bar.faces), FARTHEST_MM)
    assert found.bound_mm - SINGLE_MM <= distance <= found.gap_mm + SINGLE_MM
    assert 60 * np.cos(np.pi / 64) - 10 * np.sqrt(2) - TOLERANCE_MM <= found.bound_mm <= 60 - 10 * np.sqrt(2)
