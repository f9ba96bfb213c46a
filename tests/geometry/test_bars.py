"""Tubes, flat bars and folded sheets against the exact shapes; seen flat, a mitred bar is shapely's mitred buffer."""

from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose

from fitcheck.errors import GeometryError
from fitcheck.geometry import primitives
from fitcheck.geometry.frames import Frame, unit
from tests.geometry.within import Points, outside_by, round_points, volume

ROUNDING_MM = 1e-9
SEEDS = range(20)
ALL_THE_WAY = 100.0  # a mitre limit no bend here reaches


def from_line(points: Points, line: Points) -> Points:
    """Distance (n,) of points (n, 3) from a polyline (m, 3)."""
    best = np.full(len(points), np.inf)
    for a, b in pairwise(line):
        share = np.clip((points - a) @ (b - a) / ((b - a) @ (b - a)), 0, 1)
        best = np.minimum(best, np.linalg.norm(points - a - share[:, None] * (b - a), axis=1))
    return best


@pytest.mark.parametrize("diameter", [6.0, 22.0, 42.0])
@pytest.mark.parametrize("seed", SEEDS)
def test_a_tube_holds_all_that_lies_near_its_line(seed: int, diameter: float) -> None:
    rng = np.random.default_rng(seed)
    gentle = np.cumsum(rng.normal([80, 0, 0], [10, 15, 15], (4, 3)), axis=0)
    line = gentle if seed % 2 else rng.uniform(-200, 200, (4, 3))
    pieces = primitives.tube(line, diameter, "exhaust")
    radius = diameter / 2
    for start, end in pairwise(line):
        skin = round_points(rng, start, end, np.full(400, radius), rng.uniform(0, 2 * np.pi, 400))
        assert outside_by(pieces, skin).max() <= ROUNDING_MM
    for bend in line[1:-1]:
        ways = rng.normal(size=(1500, 3))
        ball = bend + radius * ways / np.linalg.norm(ways, axis=1)[:, None]
        assert outside_by(pieces, ball).max() <= ROUNDING_MM
    assert max(from_line(piece.vertices, line).max() for piece in pieces) <= radius + 0.3 + 0.1 + ROUNDING_MM


def test_a_straight_tube_is_one_cylinder_with_flat_ends() -> None:
    (piece,) = primitives.tube([[0, 0, 0], [0, 0, 300]], 32, "dash tube")
    assert piece.name == "dash tube"
    assert_allclose([piece.vertices[:, 2].min(), piece.vertices[:, 2].max()], [0, 300], atol=ROUNDING_MM)


@pytest.mark.parametrize("seed", range(40))
def test_a_flat_bar_holds_a_bar_mitred_as_seen_along_the_side(seed: int) -> None:
    """The bar is drawn in the swing plane, mitred, and pushed sideways as its line jogs; `thick` along side."""
    rng = np.random.default_rng(seed)
    side = unit(rng.normal(size=3))
    into = Frame.from_axes(rng.uniform(-100, 100, 3), side, rng.normal(size=3))  # x, y: the swing plane
    reach, bend, wide, thick = rng.uniform(70, 120, 2), rng.uniform(-2.4, 2.4), *rng.uniform([12, 4], [30, 12])
    legs = np.array([[1, 0], [np.cos(bend), np.sin(bend)]])
    seen = np.vstack([[0, 0], np.cumsum(reach[:, None] * legs, axis=0)])
    jogs = np.array([0, *np.cumsum(rng.uniform(-60, 60, 2))])
    pieces = primitives.flat_bar(into.points(np.column_stack([seen, jogs])), side, wide, thick, "arm")

    drawn = shapely.LineString(seen).buffer(wide / 2, cap_style="flat", join_style="mitre", mitre_limit=ALL_THE_WAY)
    low, high = np.reshape(drawn.bounds, (2, 2))
    flat = rng.uniform(low, high, (20000, 2))
    flat = np.vstack([flat[shapely.contains_xy(drawn, flat)], shapely.get_coordinates(drawn)])
    second = (flat - seen[1]) @ (legs[0] + legs[1]) > 0  # past the mitre line
    climb = np.where(
        second,
        jogs[1] + (flat - seen[1]) @ legs[1] * (jogs[2] - jogs[1]) / reach[1],
        flat @ legs[0] * jogs[1] / reach[0],
    )
    for face in (-thick / 2, thick / 2):
        assert outside_by(pieces, into.points(np.column_stack([flat, climb + face]))).max() <= 1e-7


@pytest.mark.parametrize("seed", SEEDS)
def test_a_flat_bar_holds_a_bar_bent_square_to_itself(seed: int) -> None:
    """Each stretch a bar of square-cut section thick x wide, cut by the mitre plane square to both directions' sum."""
    rng = np.random.default_rng(seed)
    line = np.cumsum(rng.normal([80, 0, 0], [10, 30, 15], (3, 3)), axis=0)
    side, wide, thick = np.array([0.0, 0, 1]), 28.0, 8.0
    pieces = primitives.flat_bar(line, side, wide, thick)
    ways = np.array([unit(line[1] - line[0]), unit(line[2] - line[1])])
    for k, (way, sign) in enumerate(zip(ways, (1, -1), strict=True)):
        across = unit(np.cross(side, way))
        through = np.cross(way, across)
        far = rng.uniform(-30, np.linalg.norm(line[k + 1] - line[k]) + 30, 8000)
        points = line[k] + far[:, None] * way + rng.choice([-wide / 2, wide / 2], (8000, 1)) * across
        points = points + rng.uniform(-thick / 2, thick / 2, (8000, 1)) * through
        kept = (sign * (points - line[1]) @ (ways[0] + ways[1]) < 0) & (
            (far >= 0) if k == 0 else (far <= far.max() - 30)
        )
        assert kept.sum() > 3000
        assert outside_by(pieces, points[kept]).max() <= 1e-7


def test_a_right_angled_bar_runs_on_by_half_its_width() -> None:
    pieces = primitives.flat_bar([[0, 0, 0], [100, 0, 0], [100, 0, -50]], [0, 1, 0], 20, 6, "bracket leg")
    assert_allclose([volume(piece) for piece in pieces], [110 * 20 * 6, 60 * 20 * 6], rtol=1e-12)
    assert_allclose(pieces[0].vertices.max(axis=0), [110, 3, 10], atol=ROUNDING_MM)


def test_a_bar_cranked_straight_sideways_keeps_its_width_direction() -> None:
    pieces = primitives.flat_bar([[0, 0, 0], [0, 0, -80], [0, 40, -80], [0, 40, -160]], [0, 1, 0], 24, 8)
    spans = np.array([np.ptp(piece.vertices, axis=0) for piece in pieces])
    assert_allclose(spans, [[24, 8, 84], [24, 48, 8], [24, 8, 84]], atol=ROUNDING_MM)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_folded_sheet_holds_its_mitred_section(seed: int) -> None:
    rng = np.random.default_rng(seed)
    turns = np.cumsum(rng.uniform(-1.6, 1.6, 4))
    line = np.cumsum(rng.uniform(60, 90, (4, 1)) * np.column_stack([np.cos(turns), np.sin(turns)]), axis=0)
    frame = Frame.from_axes([10, 20, 30], [1, 2, 3], [0, 0, 1])
    pieces = primitives.sheet(line, 1.2, 600, frame, "tray")
    assert len(pieces) == 3
    drawn = shapely.LineString(line).buffer(0.6, cap_style="flat", join_style="mitre", mitre_limit=ALL_THE_WAY)
    rim = shapely.get_coordinates(drawn.segmentize(2.0))
    for height in (0.0, 300.0, 600.0):
        assert outside_by(pieces, frame.points(np.column_stack([rim, np.full(len(rim), height)]))).max() <= 1e-7
    heights = np.concatenate([frame.inverse.points(piece.vertices)[:, 2] for piece in pieces])
    assert_allclose([heights.min(), heights.max()], [0, 600], atol=ROUNDING_MM)
    section = shapely.union_all(
        [shapely.MultiPoint(frame.inverse.points(p.vertices)[:, :2]).convex_hull for p in pieces]
    )
    assert 0 <= section.area - drawn.area < 3 * 1.2**2  # no more than the far corners of two mitres


REFUSED = [
    (lambda: primitives.tube([[0, 0, 0]], 10, "loom"), "loom: at least two points, got 1"),
    (
        lambda: primitives.tube([[0, 0, 0], [0, 0, 9], [0, 0, 9]], 10, "loom"),
        "loom: from point 2 to 3 must be at least",
    ),
    (lambda: primitives.tube([[0, 0, 0], [0, 0, 9]], -1, "loom"), "loom: its diameter must be"),
    (
        lambda: primitives.flat_bar([[0, 0, 0], [0, 9, 0]], [0, 1, 0], 20, 6, "arm"),
        "arm: every stretch runs along the side",
    ),
    (
        lambda: primitives.flat_bar([[0, 0, 0], [99, 0, 0], [0, 0, 10]], [0, 1, 0], 20, 6, "arm"),
        "arm: it bends by over 150 degrees at one point; give it as two bars",
    ),
    (lambda: primitives.flat_bar([[0, 0, 0], [9, 0, 0]], [0, 0, 0], 20, 6), "a direction of no length"),
    (lambda: primitives.sheet([[0, 0], [9, 0]], 0, 20, Frame.identity(), "tray"), "tray: its width must be"),
]


@pytest.mark.parametrize(("make", "words"), REFUSED)
def test_what_is_no_bar_is_refused_by_name(make: Callable[[], object], words: str) -> None:
    with pytest.raises(GeometryError) as caught:
        make()
    assert words in str(caught.value)
