"""Boxes, prisms and round parts against the exact shapes: they hold them, and by how little they stand outside."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.spatial import ConvexHull

from fitcheck.errors import GeometryError
from fitcheck.geometry import outlines, primitives
from fitcheck.geometry.frames import Frame
from tests.geometry.within import basis, outside_by, round_points, volume

ROUNDING_MM = 1e-9
SEEDS = range(20)


def regular_area(sides: int, apothem: float) -> float:
    """Area of a regular polygon round a circle of radius `apothem`: n r^2 tan(pi / n) (any geometry handbook)."""
    return float(sides * apothem**2 * np.tan(np.pi / sides))


def ends(rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    return rng.uniform(-500, 500, 3), rng.uniform(-500, 500, 3)


def test_a_box_takes_its_corners_in_any_order() -> None:
    piece = primitives.box([10, -5, 30], [4, 20, 0], "duct")
    assert piece.name == "duct"
    assert_allclose(piece.vertices.min(axis=0), [4, -5, 0], atol=ROUNDING_MM)
    assert_allclose(piece.vertices.max(axis=0), [10, 20, 30], atol=ROUNDING_MM)
    assert_allclose(volume(piece), 6 * 25 * 30, rtol=1e-12)
    assert len(piece.corners) == 8


def test_a_block_stands_on_its_frame() -> None:
    frame = Frame.from_axes([100, 0, 0], z=[1, 1, 0], toward_x=[0, 0, 1])
    piece = primitives.block(frame, [10, 20, 40])
    local = frame.inverse.points(piece.vertices)
    assert_allclose(np.abs(local), np.tile([5, 10, 20], (8, 1)), atol=ROUNDING_MM)


@pytest.mark.parametrize("turned", [1, -1])
def test_a_prism_takes_its_outline_either_way_round(turned: int) -> None:
    outline = np.array([[0, 0], [40, 0], [50, 30], [0, 20]])[::turned]
    piece = primitives.prism(outline, 2, 12, Frame.identity())
    assert_allclose(volume(piece), 10 * (0.5 * (40 * 30 + 50 * 20)), rtol=1e-12)  # shoelace by hand
    assert len(piece.corners) == 8


@pytest.mark.parametrize("radius", [0.5, 3, 12.7, 25.4, 38, 50, 190, 1000])
def test_facets_are_the_fewest_that_keep_a_corner_within_a_tenth(radius: float) -> None:
    def proud(sides: int) -> float:
        return float(radius * (1 / np.cos(np.pi / sides) - 1))

    count = outlines.facets(radius)
    assert count % 4 == 0
    assert proud(count) <= outlines.PROUD_MM == 0.1
    assert count == 12 or proud(count - 4) > outlines.PROUD_MM


@pytest.mark.parametrize("seed", SEEDS)
def test_a_cylinder_holds_the_true_one(seed: int) -> None:
    rng = np.random.default_rng(seed)
    (start, end), radius = ends(rng), float(rng.uniform(2, 60))
    piece = primitives.cylinder(start, end, 2 * radius)
    points = round_points(rng, start, end, np.full(2000, radius), rng.uniform(0, 2 * np.pi, 2000))
    assert outside_by([piece], points).max() <= ROUNDING_MM
    from_axis = np.linalg.norm((piece.vertices - start) @ basis(end - start)[:2].T, axis=1)
    assert radius < from_axis.max() <= radius + 0.1 + ROUNDING_MM
    sides, length = outlines.facets(radius), np.linalg.norm(end - start)
    assert_allclose(volume(piece), regular_area(sides, radius) * length, rtol=1e-9)
    assert len(piece.corners) == 2 * sides


def test_a_cylinder_touches_the_circle_with_its_flats_and_names_its_ends() -> None:
    piece = primitives.cylinder([0, 0, 0], [0, 0, 130], 76, "motor can", places=("motor's root", "motor's far end"))
    planes = ConvexHull(piece.vertices).equations
    walls = planes[np.abs(planes[:, 2]) < 0.5]
    assert_allclose(-walls[:, 3], 38, atol=ROUNDING_MM)
    for direction in ([1, 0, 0], [0, 1, 0], [-1, 0, 0], [0, -1, 0]):
        assert_allclose((piece.vertices @ np.array(direction)).max(), 38, atol=ROUNDING_MM)
    assert [word for word, _ in piece.places] == ["motor's root", "motor's far end"]
    assert_allclose(piece.places[1][1], [0, 0, 130])


def test_a_mirrored_cylinder_is_the_mirror_image() -> None:
    flip = np.array([1, -1, 1])
    start, end = np.array([10, 20, 30]), np.array([40, -60, 90])
    one = primitives.cylinder(start, end, 50).vertices * flip
    other = primitives.cylinder(start * flip, end * flip, 50).vertices
    nearest = np.linalg.norm(one[:, None] - other[None], axis=-1).min(axis=1)
    assert nearest.max() < ROUNDING_MM


@pytest.mark.parametrize(("first", "last"), [(40, 20), (20, 40), (40, 0), (0, 40), (30, 30)])
def test_a_cone_holds_the_true_one(first: float, last: float) -> None:
    rng = np.random.default_rng(7)
    start, end = ends(rng)
    piece = primitives.cone(start, end, first, last)
    share, turn = rng.uniform(0, 1, 2000), rng.uniform(0, 2 * np.pi, 2000)
    one, two, _ = basis(end - start)
    radii = (first + share * (last - first)) / 2
    points = start + share[:, None] * (end - start)
    points = points + (radii * np.cos(turn))[:, None] * one + (radii * np.sin(turn))[:, None] * two
    assert outside_by([piece], points).max() <= ROUNDING_MM
    sides, height = outlines.facets(max(first, last) / 2), np.linalg.norm(end - start)
    low, high = regular_area(sides, first / 2), regular_area(sides, last / 2)
    expected = height / 3 * (low + high + np.sqrt(low * high))  # frustum of a pyramid (Heron)
    assert_allclose(volume(piece), expected, rtol=1e-9)


@pytest.mark.parametrize("diameter", [1, 8, 20, 21, 42, 65, 100, 190])
def test_a_ball_holds_the_true_one(diameter: float) -> None:
    rng = np.random.default_rng(3)
    centre, radius = np.array([100.0, -40, 7]), diameter / 2
    piece = primitives.ball(centre, diameter, "knob")
    ways = rng.normal(size=(20000, 3))
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    assert outside_by([piece], centre + radius * ways).max() <= ROUNDING_MM
    proud = np.linalg.norm(piece.vertices - centre, axis=1).max() - radius
    assert 0 < proud <= min(0.3, 0.03 * radius) + ROUNDING_MM
    assert_allclose(-(ConvexHull(piece.vertices - centre).equations[:, 3]).max(), radius, atol=ROUNDING_MM)
    assert len(piece.corners) == len(piece.vertices)
    assert diameter > 20 or len(piece.vertices) == 92


@pytest.mark.parametrize("sectors", [3, 6, 12, 30])
def test_a_ring_holds_the_true_one_and_leaves_the_bore_open(sectors: int) -> None:
    rng = np.random.default_rng(sectors)
    start, end = ends(rng)
    inner, outer = 25.4, 40.0
    wedges = primitives.ring(start, end, 2 * inner, 2 * outer, "clamp", sectors)
    turns = rng.uniform(0, 2 * np.pi, 4000)
    metal = round_points(rng, start, end, np.sqrt(rng.uniform(inner**2, outer**2, 4000)), turns)
    assert outside_by(wedges, metal).max() <= ROUNDING_MM
    skins = round_points(rng, start, end, np.repeat([inner, outer], 2000), turns)
    assert outside_by(wedges, skins).max() <= ROUNDING_MM
    open_to = inner * np.cos(np.pi / sectors)
    hollow = round_points(rng, start, end, rng.uniform(0, open_to - 1e-6, 4000), turns)
    assert outside_by(wedges, hollow).min() > 0
    count = -(-outlines.facets(outer) // sectors) * sectors
    bore = sectors / 2 * inner**2 * np.sin(2 * np.pi / sectors)
    expected = (regular_area(count, outer) - bore) * np.linalg.norm(end - start)
    assert_allclose(sum(volume(wedge) for wedge in wedges), expected, rtol=1e-9)


def test_a_bore_s_outline_lies_inside_the_circle() -> None:
    within = outlines.bore_outline([10, 20], 57) - [10, 20]
    assert_allclose(np.linalg.norm(within, axis=1), 28.5, atol=ROUNDING_MM)
    chords = np.linalg.norm((within + np.roll(within, -1, axis=0)) / 2, axis=1)
    assert 28.4 <= chords.min() < 28.5
    assert len(outlines.bore_outline([0, 0], 57, sides=12)) == 12


REFUSED = [
    (lambda: primitives.box([0, 0, 0], [1, 0, 1], "lip"), "lip: its size along y must be at least 0.001 mm, got 0 mm"),
    (lambda: primitives.box([0, 0, float("nan")], [1, 1, 1]), "not a finite number"),
    (lambda: primitives.cylinder([1, 2, 3], [1, 2, 3], 10, "can"), "can: the distance between its ends must be"),
    (lambda: primitives.cylinder([0, 0, 0], [0, 0, 1], float("nan"), "can"), "can: its larger diameter must be"),
    (lambda: primitives.cone([0, 0, 0], [0, 0, 1], 5, -1, "plug"), "plug: a diameter is under 0"),
    (lambda: primitives.ball([0, 0, 0], 0, "knob"), "knob: its diameter must be"),
    (lambda: primitives.ring([0, 0, 0], [0, 0, 1], 50, 50), "its outer less its inner diameter must be"),
    (lambda: primitives.ring([0, 0, 0], [0, 0, 1], 50, 60, "", 2), "at least 3 sectors, got 2"),
    (lambda: outlines.bore_outline([0, 0], 5, 2), "at least 3 sides, got 2"),
    (
        lambda: primitives.prism([[0, 0], [9, 0], [1, 1], [0, 9]], 0, 1, Frame.identity(), "ear"),
        "ear: the outline is not convex",
    ),
    (
        lambda: primitives.prism([[0, 0], [1, 1], [2, 2]], 0, 1, Frame.identity(), "ear"),
        "ear: the outline's corners lie in one line",
    ),
    (lambda: primitives.prism([[0, 0], [1, 0], [0, 1]], 1, 1, Frame.identity()), "the height from bottom to top"),
]


@pytest.mark.parametrize(("make", "words"), REFUSED)
def test_what_is_no_shape_is_refused_by_name(make: Callable[[], object], words: str) -> None:
    with pytest.raises(GeometryError) as caught:
        make()
    assert words in str(caught.value)


def test_a_five_pointed_star_is_not_convex() -> None:
    turns = np.arange(5) * 2 * (2 * np.pi / 5)
    assert not outlines.is_convex(np.column_stack([np.cos(turns), np.sin(turns)]) * 100)
