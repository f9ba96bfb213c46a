"""Obstacles as their readings describe them: box, rod, plate with holes, folded sheet, mesh file; millimetres.

Distances come from coal, an independent library, and from closed forms.
"""

import struct
from itertools import pairwise, product
from pathlib import Path

import coal
import numpy as np
import pytest
from numpy.testing import assert_allclose

from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.solids import Piece
from fitcheck.placement.scene import Part
from tests import jobs
from tests.geometry.within import outside_by, volume
from tests.placement.bodies import corners, part, piece

SHAPE = ("obstacles", 0, "shape")


def obstacle(shape: jobs.Tables, folder: Path = jobs.EXAMPLES, **tables: object) -> Part:
    scene = jobs.scene(jobs.bare(obstacles=[{"name": "thing", "shape": shape}], **tables), folder)
    return part(scene, "thing")


def pieces(shape: jobs.Tables, folder: Path = jobs.EXAMPLES, **tables: object) -> tuple[Piece, ...]:
    return obstacle(shape, folder, **tables).phases[0].pieces


def apart(one: tuple[Piece, ...], other: tuple[Piece, ...]) -> float:
    """Least distance of two unions by coal; 0 or less where they meet."""
    least = np.inf
    for a, b in product(one, other):
        hulls = []
        for each in (a, b):
            points = coal.StdVec_Vec3s()
            points.extend(list(np.array(each.vertices)))
            hulls.append(coal.Convex.convexHull(points, True, "Qt"))
        still = coal.Transform3s.Identity()
        least = min(
            least, coal.distance(hulls[0], still, hulls[1], still, coal.DistanceRequest(), coal.DistanceResult())
        )
    return float(least)


def test_a_box_between_two_opposite_corners_given_in_any_order() -> None:
    one, other = jobs.at(110, 76, 300), jobs.at(5, 230, 150)
    for shape in ({"corner": one, "opposite": other}, {"corner": other, "opposite": one}):
        (box,) = pieces(shape)
        assert_allclose(box.vertices.min(axis=0), [5, 76, 150], atol=1e-9)
        assert_allclose(box.vertices.max(axis=0), [110, 230, 300], atol=1e-9)
        assert_allclose(volume(box), 105 * 154 * 150, rtol=1e-12)


def test_a_box_without_a_volume_is_refused_under_its_key() -> None:
    with pytest.raises(KeyFault, match="left and right side of the box are the same place") as caught:
        obstacle({"corner": jobs.at(0, 10, 0), "opposite": jobs.at(5, 10, 5)})
    assert caught.value.path == (*SHAPE, "opposite")


def test_a_rod_through_three_places_is_all_that_lies_within_half_its_diameter() -> None:
    line = np.array([[-300.0, 60, -70], [-285, 45, -180], [-262, 30, -300]])
    rod = pieces({"through": [jobs.at(*place) for place in line], "dia": "42 mm"})
    rng = np.random.default_rng(5)
    for start, end in pairwise(line):
        way = (end - start) / np.linalg.norm(end - start)
        square = np.cross(way, rng.normal(size=(400, 3)))
        square /= np.linalg.norm(square, axis=1)[:, None]
        skin = start + rng.uniform(0, 1, (400, 1)) * (end - start) + 21 * square
        assert outside_by(rod, skin).max() <= 1e-9
        assert outside_by(rod, start + 0.5 * (end - start) + 21.101 * square).min() > 0
    ball = line[1] + 21 * rng.normal(size=(400, 3)) / 4
    assert outside_by(rod, ball[np.linalg.norm(ball - line[1], axis=1) <= 21]).max() <= 1e-9


def test_an_end_of_a_rod_is_no_side_of_it() -> None:
    shape = {"through": [jobs.at(0, 0, 0, side="front"), jobs.at(300, 5, 0, side="top")], "dia": "20 mm"}
    with pytest.raises(KeyFault, match="'front' is no side of it; measure to another side") as caught:
        obstacle(shape)
    assert caught.value.path == (*SHAPE, "through", 0)


FIREWALL = {
    "outline": [jobs.at(0, -450, -330), jobs.at(0, 450, -330), jobs.at(0, 450, 400), jobs.at(0, -450, 400)],
    "thick": "1.2 mm",
    "to": "front",
}


@pytest.mark.parametrize(("to", "low", "high"), [("front", -1.2, 0.0), ("rear", 0.0, 1.2)])
def test_a_plates_thickness_goes_to_the_side_that_was_said(to: str, low: float, high: float) -> None:
    points = corners(pieces({**FIREWALL, "to": to}))
    assert_allclose([points[:, 0].min(), points[:, 0].max()], [low, high], atol=1e-9)
    assert_allclose([points[:, 1].min(), points[:, 2].max()], [-450, 400], atol=1e-9)


@pytest.mark.parametrize("turned", [1, -1])
def test_an_outline_may_be_taken_either_way_round_and_be_hollow(turned: int) -> None:
    """An L of 300 x 200 less 200 x 100 (shoelace: 40,000 square mm), 3 thick."""
    line = [(0, 0), (300, 0), (300, 100), (100, 100), (100, 200), (0, 200)][::turned]
    shape = {"outline": [jobs.at(x, y, 50) for x, y in line], "thick": "3 mm", "to": "underside"}
    ell = pieces(shape)
    assert_allclose(sum(volume(each) for each in ell), 40_000 * 3, rtol=1e-9)
    assert outside_by(ell, np.array([[200.0, 150, 49]]))[0] > 30, "the notch is free"
    assert outside_by(ell, np.array([[50.0, 150, 48], [250, 50, 48]])).max() <= 0


def test_a_column_through_its_hole_is_clear_by_the_ring_of_air() -> None:
    """Tube of 50.8 square through a hole of 57 in its middle: 3.1 of air, less what a bore of 16 flats errs inward."""
    hole = {"at": jobs.at(0, 0, 0), "dia": "57 mm"}
    tube = pieces({"through": [jobs.at(80, 0, 0), jobs.at(-80, 0, 0)], "dia": "50.8 mm"})
    gap = apart(pieces({**FIREWALL, "holes": [hole]}), tube)
    assert 3.1 - 28.5 * (1 - np.cos(np.pi / 16)) - 0.1 <= gap <= 3.1
    assert apart(pieces(FIREWALL), tube) <= 0, "without the hole it strikes"
    aside = pieces({"through": [jobs.at(80, 4, 0), jobs.at(-80, 4, 0)], "dia": "50.8 mm"})
    assert apart(pieces({**FIREWALL, "holes": [hole]}), aside) <= 0, "4 off the middle of 3.1 of air it strikes"


def test_the_saloons_shaft_passes_its_firewall() -> None:
    """Shaft of 19.05 through the hole's middle, 28 deg steep: closest to the lower rim of the far face (x = -1.2).

    That rim lies 28.5 cos 28 - 1.2 sin 28 = 24.60 from the axis, so 15.08 from the shaft; the bore errs 0.5 inward.
    """
    scene = jobs.scene(jobs.saloon())
    shaft = piece(part(scene, "column"), "steering shaft")
    gap = apart(part(scene, "firewall").phases[0].pieces, (shaft,))
    exact = 28.5 * np.cos(np.radians(28)) - 1.2 * np.sin(np.radians(28)) - 19.05 / 2
    assert exact - 0.75 <= gap <= exact + 0.1, "the readings put the axis within 0.1 of the hole's middle"


def test_corners_a_little_off_the_plane_are_held_by_a_thicker_plate() -> None:
    shape = {**FIREWALL, "outline": [*FIREWALL["outline"][:3], jobs.at(8, -450, 400)]}
    plate = pieces(shape)
    read = np.array([[0.0, -450, -330], [0, 450, -330], [0, 450, 400], [8, -450, 400]])
    assert outside_by(plate, read).max() <= 0.1
    middle_front = np.array([[2.0 - 1.2, 0, 35]])
    assert outside_by(plate, middle_front)[0] <= 0.1


def test_corners_far_off_the_plane_are_refused() -> None:
    shape = {**FIREWALL, "outline": [*FIREWALL["outline"][:3], jobs.at(60, -450, 400)]}
    with pytest.raises(KeyFault, match=r"do not lie in one plane \(15 mm off\); measure them again") as caught:
        obstacle(shape)
    assert caught.value.path == (*SHAPE, "outline")


def test_a_thickness_along_the_plate_is_refused() -> None:
    with pytest.raises(KeyFault, match="name the side it really goes to") as caught:
        obstacle({**FIREWALL, "to": "top"})
    assert caught.value.path == (*SHAPE, "to")


SHEET = {
    "line": [jobs.at(0, -300, 0), jobs.at(-100, -300, 0), jobs.at(-200, -300, 80)],
    "width": "600 mm",
    "across": "right",
    "thick": "2 mm",
}


def test_a_folded_sheet_is_carried_straight_across() -> None:
    sheet = pieces(SHEET)
    points = corners(sheet)
    assert_allclose([points[:, 1].min(), points[:, 1].max()], [-300, 300], atol=1e-9)
    on_it = np.array([[0.0, -300, 0], [-100, 0, 0], [-150, 299, 40], [-200, 300, 80], [-50, 10, 0.999]])
    assert outside_by(sheet, on_it).max() <= 1e-9
    assert outside_by(sheet, np.array([[-50.0, 10, 1.001], [-50, 10, -1.001], [-50, 300.01, 0]])).min() > 0


def test_a_sheet_whose_edge_was_taken_unevenly_holds_every_reading() -> None:
    """The edge's places lie 6 apart across: the sheet reaches from the outermost to the innermost plus its width."""
    line = [jobs.at(0, -303, 0), jobs.at(-100, -297, 0), jobs.at(-200, -300, 80)]
    sheet = pieces({**SHEET, "line": line})
    read = np.array([[0.0, -303, 0], [-100, -297, 0], [-200, -300, 80]])
    assert outside_by(sheet, np.vstack([read, read + [0, 600, 0]])).max() <= 1e-9


def test_a_sheet_with_an_edge_that_runs_across_is_refused() -> None:
    line = [jobs.at(0, -300, 0), jobs.at(-100, -200, 0), jobs.at(-200, -300, 80)]
    with pytest.raises(KeyFault, match="lie up to 100 mm apart right; take them along one edge") as caught:
        obstacle({**SHEET, "line": line})
    assert caught.value.path == (*SHAPE, "line")


def test_a_sheet_carried_along_its_own_edge_is_refused() -> None:
    with pytest.raises(KeyFault, match="name the way across it") as caught:
        obstacle({**SHEET, "across": "back"})
    assert caught.value.path == (*SHAPE, "across")


def stl(path: Path, points: Vector, triangles: list[tuple[int, int, int]]) -> None:
    """A binary STL of the triangles, written by hand: 80 bytes of header, a count, 50 bytes a triangle."""
    with path.open("wb") as file:
        file.write(b"an invented part".ljust(80) + struct.pack("<I", len(triangles)))
        for a, b, c in triangles:
            file.write(struct.pack("<12fH", 0, 0, 0, *points[a], *points[b], *points[c], 0))


TETRAHEDRON = [(0, 2, 1), (0, 1, 3), (0, 3, 2), (1, 2, 3)]


def test_a_mesh_file_stands_where_its_origin_was_measured(tmp_path: Path) -> None:
    points = np.array([[0, 0, 0], [4, 0, 0], [0, 3, 0], [0, 0, 2]], dtype=float)
    stl(tmp_path / "heater.stl", points, TETRAHEDRON)
    (body,) = pieces({"mesh": "heater.stl", "mesh_unit": "in", "at": jobs.at(-160, -340, 200)}, tmp_path)
    expected = points * 25.4 + [-160, -340, 200]
    assert np.linalg.norm(body.vertices[:, None] - expected[None], axis=-1).min(axis=1).max() <= 1e-4
    assert_allclose(volume(body), 4 * 3 * 2 / 6 * 25.4**3, rtol=1e-6)


def test_a_mesh_file_without_a_place_sits_at_the_datum(tmp_path: Path) -> None:
    points = np.array([[10, 0, 0], [50, 0, 0], [10, 30, 0], [10, 0, 20]], dtype=float)
    stl(tmp_path / "heater.stl", points, TETRAHEDRON)
    (body,) = pieces({"mesh": "heater.stl", "mesh_unit": "mm"}, tmp_path)
    assert_allclose(body.vertices.min(axis=0), [10, 0, 0], atol=1e-4)


def test_a_mesh_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(KeyFault, match=r"heater\.stl") as caught:
        obstacle({"mesh": "heater.stl", "mesh_unit": "mm"}, tmp_path)
    assert caught.value.path == (*SHAPE, "mesh")


def test_the_unit_may_be_a_mesh_of_ones_own(tmp_path: Path) -> None:
    """x to the can's far end, z down the column from the input face: at 9:00 on this column x is the driver's left."""
    points = np.array([[0, 0, 0], [180, 0, 0], [0, 60, 0], [0, 0, 90]], dtype=float)
    stl(tmp_path / "unit.stl", points, TETRAHEDRON)
    tables = {"input_face": "430 mm", "clock": "9:00", "mesh": {"mesh": "unit.stl", "mesh_unit": "mm"}}
    unit = corners(part(jobs.scene(jobs.bare(unit=tables), tmp_path), "unit").phases[0].pieces)
    way = np.array([-np.cos(np.radians(28)), 0, -np.sin(np.radians(28))])
    twelve = np.array([-np.sin(np.radians(28)), 0, np.cos(np.radians(28))])
    face = np.array([636, -13, 338]) + 430 * way
    expected = np.array([face, face + [0, -180, 0], face + 60 * twelve, face + 90 * way])
    assert np.linalg.norm(unit[:, None] - expected[None], axis=-1).min(axis=1).max() <= 1e-4


def test_a_units_mesh_takes_no_place_of_its_own(tmp_path: Path) -> None:
    mesh = {"mesh": "unit.stl", "mesh_unit": "mm", "at": jobs.at(0, 0, 0)}
    with pytest.raises(KeyFault, match="leave 'at' out") as caught:
        jobs.scene(jobs.bare(unit={"input_face": "430 mm", "clock": "9:00", "mesh": mesh}), tmp_path)
    assert caught.value.path == ("unit", "mesh", "at")


def test_what_the_job_says_about_an_obstacle_goes_with_it() -> None:
    shape = {"corner": jobs.at(0, 0, 0), "opposite": jobs.at(5, 5, 5)}
    thing = {"name": "thing", "shape": shape, "new": True, "soft": True, "keep_out": True, "group": "engine"}
    placed = part(jobs.scene(jobs.bare(obstacles=[{**thing, "joined": ["column"]}])), "thing")
    assert placed.new and placed.soft and placed.keep_out and placed.group == "engine"
    assert placed.joined == {"column"} and placed.phases[0].moves is None
