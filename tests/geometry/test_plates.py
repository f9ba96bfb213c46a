"""Plates cut into convex parts, against shapely's areas and unions of the outlines they were cut from."""

from collections.abc import Sequence

import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose
from numpy.typing import ArrayLike

from fitcheck.errors import GeometryError
from fitcheck.geometry.frames import Frame
from fitcheck.geometry.outlines import bore_outline, convex_parts
from fitcheck.geometry.primitives import plate
from tests.geometry.within import Points, outside_by, volume

L_SHAPE = [[0, 0], [100, 0], [100, 20], [20, 20], [20, 80], [0, 80]]
AREA_MM2 = 1e-6


def star(rng: np.random.Generator, corners: int) -> Points:
    """A polygon round the origin with corners at random distances: simple, with many corners that turn inward."""
    turns = np.sort(rng.uniform(0, 2 * np.pi, corners - 3))
    turns = np.sort(np.concatenate([turns, [0.3, 2.4, 4.5]]))
    return np.column_stack([np.cos(turns), np.sin(turns)]) * rng.uniform(40, 200, (corners, 1))


def inward_turns(outline: Points) -> int:
    edges = np.roll(outline, -1, axis=0) - outline
    after = np.roll(edges, -1, axis=0)
    return int((edges[:, 0] * after[:, 1] - edges[:, 1] * after[:, 0] < 0).sum())


@pytest.mark.parametrize("seed", range(40))
def test_the_parts_are_convex_and_fill_the_outline_once(seed: int) -> None:
    rng = np.random.default_rng(seed)
    outline = star(rng, int(rng.integers(5, 25)))
    parts = [shapely.Polygon(part) for part in convex_parts(outline)]
    whole = shapely.Polygon(outline)
    assert shapely.union_all(parts).symmetric_difference(whole).area < AREA_MM2
    assert_allclose(sum(part.area for part in parts), whole.area, atol=AREA_MM2)
    for part in parts:
        assert_allclose(part.convex_hull.area, part.area, atol=AREA_MM2)
    # Hertel and Mehlhorn 1983: at most two cuts an inward corner are left (figure recalled from memory)
    assert len(parts) <= 2 * inward_turns(outline) + 1


def test_an_l_plate_is_two_pieces_that_lie_from_0_to_its_thickness() -> None:
    frame = Frame.from_axes([5, 6, 7], [0, 1, 1], [1, 0, 0])
    pieces = plate(L_SHAPE, 3, frame, "toe-board")
    assert [piece.name for piece in pieces] == ["toe-board"] * 2
    assert_allclose(sum(volume(piece) for piece in pieces), 3 * (100 * 20 + 20 * 60), rtol=1e-12)
    heights = np.concatenate([frame.inverse.points(piece.vertices)[:, 2] for piece in pieces])
    assert_allclose([heights.min(), heights.max()], [0, 3], atol=1e-9)


def test_a_convex_plate_is_one_piece() -> None:
    assert len(plate([[0, 0], [50, 0], [50, 40], [0, 40]], 2, Frame.identity())) == 1


def test_a_round_hole_is_given_by_its_centre_and_diameter() -> None:
    edge = [[0, 0], [300, 0], [300, 200], [0, 200]]
    short = plate(edge, 2, Frame.identity(), holes=[(80, 90, 57)])
    assert_allclose(sum(volume(piece) for piece in short), 2 * shapely.Polygon(edge, [bore_outline([80, 90], 57)]).area)


@pytest.mark.parametrize("sides", [None, 8])
def test_holes_stay_open(sides: int | None) -> None:
    rng = np.random.default_rng(1)
    edge = [[0, 0], [300, 0], [300, 200], [0, 200]]
    holes = [bore_outline([80, 90], 57, sides), np.array([[180, 40], [240, 40], [240, 60], [180, 160]])]
    pieces = plate(edge, 2, Frame.identity(), "firewall", holes)
    whole = shapely.Polygon(edge, holes)
    assert_allclose(sum(volume(piece) for piece in pieces), 2 * whole.area, rtol=1e-9)
    flat = rng.uniform([0, 0], [300, 200], (20000, 2))
    points = np.column_stack([flat, np.full(len(flat), 1.0)])
    metal = shapely.contains_xy(whole, flat)
    clear_of_edges = shapely.distance(shapely.points(flat), whole.boundary) > 1e-6
    assert outside_by(pieces, points[metal]).max() <= 1e-9
    assert outside_by(pieces, points[~metal & clear_of_edges]).min() > 0
    in_true_bore = np.linalg.norm(flat - [80, 90], axis=1) < 57 / 2 * np.cos(np.pi / len(holes[0])) - 1e-6
    assert outside_by(pieces, points[in_true_bore]).min() > 0


def test_corners_in_the_middle_of_an_edge_do_no_harm() -> None:
    outline = np.array([[0, 0], [50, 1e-14], [100, 0], [100, 20], [60, 20], [20, 20], [20, 50], [20, 80], [0, 80]])
    parts = [shapely.Polygon(part) for part in convex_parts(outline)]
    assert_allclose(sum(part.area for part in parts), shapely.Polygon(outline).area, atol=AREA_MM2)
    assert len(parts) == 2
    assert min(part.area for part in parts) > 1000


REFUSED = [
    ([[0, 0], [10, 10], [10, 0], [0, 10]], [], "lid: the outline crosses or touches itself, or a hole leaves it"),
    (L_SHAPE, [[[50, 10], [60, 10], [60, 30]]], "lid: the outline crosses or touches itself, or a hole leaves it"),
    ([[0, 0], [10, 10]], [], "lid: the outline's corners lie in one line"),
    (L_SHAPE, [[[5, 5], [6, 6]]], "lid: an outline or a hole needs at least three corners"),
    (L_SHAPE, [(10, 40, 21)], "lid: the outline crosses or touches itself, or a hole leaves it"),
    ([[0, 0], [10, 0], [float("nan"), 5]], [], "a coordinate is not a finite number"),
]


@pytest.mark.parametrize(("outline", "holes", "words"), REFUSED)
def test_what_is_no_plate_is_refused(outline: ArrayLike, holes: Sequence[ArrayLike], words: str) -> None:
    with pytest.raises(GeometryError) as caught:
        plate(outline, 2, Frame.identity(), "lid", holes)
    assert words in str(caught.value)
