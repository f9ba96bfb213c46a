"""Mesh files as convex pieces: every format against the same body, what is refused and in which words, and a fuzz."""

import random
import struct
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from numpy.testing import assert_allclose

from fitcheck.errors import MeshError
from fitcheck.geometry import meshes
from fitcheck.geometry.meshes import convex_pieces, read_stl, volume
from tests.geometry.within import Points

BOX_MM, ROD_MM = (40.0, 30.0, 20.0), (10.0, 60.0)  # extents; radius and height


def box() -> trimesh.Trimesh:
    mesh: trimesh.Trimesh = trimesh.creation.box(BOX_MM)
    return mesh


def body() -> trimesh.Trimesh:
    rod, block = trimesh.creation.cylinder(*ROD_MM, sections=32), box()
    corners = np.vstack([block.vertices, rod.vertices + [100, 0, 0]])
    return trimesh.Trimesh(corners, np.vstack([block.faces, rod.faces + len(block.vertices)]), process=False)


def saved(folder: Path, mesh: trimesh.Trimesh, name: str) -> Path:
    path = folder / name
    if name.endswith(".ascii.stl"):
        path.write_text(str(mesh.export(file_type="stl_ascii")), encoding="ascii")
    else:
        mesh.export(path)
    return path


def stl(triangles: Points) -> bytes:
    rows = b"".join(struct.pack("<12fH", 0, 0, 0, *triangle.ravel(), 0) for triangle in triangles)
    return bytes(80) + struct.pack("<I", len(triangles)) + rows


@pytest.mark.parametrize("name", ["m.stl", "m.ascii.stl", "m.obj", "m.ply", "m.glb", "M.STL"])
@pytest.mark.parametrize(("unit", "scale"), [("mm", 1), ("cm", 10), ("in", 25.4)])
def test_every_format_gives_the_same_two_pieces(tmp_path: Path, name: str, unit: str, scale: float) -> None:
    pieces = convex_pieces(saved(tmp_path, body(), name), unit, "controller")
    assert [piece.name for piece in pieces] == ["controller", "controller"]
    assert [len(piece.vertices) for piece in pieces] == [8, 64]
    rod = 32 / 2 * 10**2 * np.sin(2 * np.pi / 32) * 60  # n / 2 r^2 sin(2 pi / n), a regular polygon in a circle
    expected = np.array([40 * 30 * 20, rod]) * scale**3
    assert_allclose([volume(piece.corners, piece.faces) for piece in pieces], expected, rtol=1e-6)
    assert_allclose(pieces[0].vertices.max(axis=0), np.array(BOX_MM) / 2 * scale, rtol=1e-6)


def test_a_metre_is_a_thousand_millimetres(tmp_path: Path) -> None:
    mesh = body()
    mesh.vertices *= 0.001
    assert_allclose(
        np.ptp(convex_pieces(saved(tmp_path, mesh, "m.stl"), "m", "box")[0].vertices, axis=0), BOX_MM, rtol=1e-6
    )


def test_a_scene_of_placed_parts_is_read_where_they_are_placed(tmp_path: Path) -> None:
    scene, moved = trimesh.Scene(), np.eye(4)
    moved[1, 3] = 500
    scene.add_geometry(box(), transform=moved)
    scene.add_geometry(box())
    path = tmp_path / "scene.glb"
    export: Any = scene.export
    export(path)
    middles = sorted(float(piece.centre[1]) for piece in convex_pieces(path, "mm", "part"))
    assert_allclose(middles, [0, 500], atol=1e-3)


@pytest.mark.parametrize("seed", range(10))
def test_a_thin_plate_anyhow_turned_is_convex_in_single_precision(tmp_path: Path, seed: int) -> None:
    plate = trimesh.creation.box((700, 500, 1.2))
    plate.apply_transform(trimesh.transformations.random_rotation_matrix(np.random.default_rng(seed).random(3)))
    assert len(convex_pieces(saved(tmp_path, plate, "plate.stl"), "mm", "plate")) == 1


def test_a_body_wound_inside_out_is_the_same_body(tmp_path: Path) -> None:
    mesh = box()
    mesh.invert()
    (piece,) = convex_pieces(saved(tmp_path, mesh, "m.ply"), "mm", "part")
    assert_allclose(volume(piece.corners, piece.faces), 24000, rtol=1e-9)


def test_what_is_not_convex_is_refused_and_taken_as_its_hull_when_asked(tmp_path: Path) -> None:
    ring = trimesh.creation.torus(100, 30)
    path = saved(tmp_path, ring, "ring.stl")
    with pytest.raises(MeshError) as caught:
        convex_pieces(path, "mm", "ring")
    assert str(caught.value) == (
        f"ring.stl: part 1 of 1 is not convex: it fills {ring.volume / ring.convex_hull.volume:.1%} of its hull; split "
        'it, or write `take_as = "hull"` to take its convex hull (never more room than there is)'
    )
    (piece,) = convex_pieces(path, "mm", "ring", hull=True)
    assert_allclose(volume(piece.corners, piece.faces), ring.convex_hull.volume, rtol=1e-5)


def test_a_piece_of_more_corners_than_can_be_judged_says_what_to_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "ball.stl"
    trimesh.creation.icosphere(subdivisions=3, radius=40).export(path)  # 10 * 4**3 + 2 corners
    assert len(convex_pieces(path, "mm", "ball")) == 1
    monkeypatch.setattr(meshes, "MOST_CORNERS", 641)
    with pytest.raises(MeshError, match=r'ball\.stl: a piece of 642 corners, at most 641 .* take_as = "scan"'):
        convex_pieces(path, "mm", "ball")


def test_a_dent_of_a_tenth_of_a_millimetre_is_seen(tmp_path: Path) -> None:
    dented = box().subdivide()
    top = np.flatnonzero((np.abs(dented.vertices[:, :2]).max(axis=1) < 1e-9) & (dented.vertices[:, 2] > 9))
    dented.vertices[top, 2] -= 0.1
    with pytest.raises(MeshError, match="is not convex"):
        convex_pieces(saved(tmp_path, dented, "m.stl"), "mm", "part")


def test_open_parts_are_refused_and_together_make_one_hull(tmp_path: Path) -> None:
    triangles = box().triangles
    ends = np.abs(triangles[:, :, 0]).min(axis=1) * (np.ptp(triangles[:, :, 0], axis=1) == 0) == 20
    path = tmp_path / "scan.stl"
    path.write_bytes(stl(triangles[ends]))
    with pytest.raises(
        MeshError, match=r"scan.stl: part 1 of 2 is not closed; close it, or write `take_as = \"hull\"`"
    ):
        convex_pieces(path, "mm", "seat")
    (piece,) = convex_pieces(path, "mm", "seat", hull=True)
    assert_allclose(volume(piece.corners, piece.faces), 24000, rtol=1e-9)


def test_boxes_that_share_corners_are_one_part(tmp_path: Path) -> None:
    one, path = box().triangles, tmp_path / "part.stl"
    path.write_bytes(stl(np.vstack([one, one + [40, 0, 0]])))
    (piece,) = convex_pieces(path, "mm", "part")  # face to face: together a box
    assert_allclose(volume(piece.corners, piece.faces), 48000, rtol=1e-9)
    path.write_bytes(stl(np.vstack([one, one + [40, 30, 0]])))
    with pytest.raises(MeshError, match=r"part 1 of 1 is not convex: it fills 66.7% of its hull"):  # edge to edge
        convex_pieces(path, "mm", "part")


def test_a_triangle_wound_the_wrong_way_leaves_the_body_open(tmp_path: Path) -> None:
    triangles = box().triangles.copy()
    triangles[3] = triangles[3][::-1]
    path = tmp_path / "part.stl"
    path.write_bytes(stl(triangles))
    with pytest.raises(MeshError, match="not closed"):
        convex_pieces(path, "mm", "part")


FLAT = stl(np.array([[[0, 0, 0], [50, 0, 0], [0, 50, 0]], [[0, 0, 0], [0, 50, 0], [50, 0, 0]]]))
CLOUD = b"ply\nformat ascii 1.0\nelement vertex 2\nproperty float x\nproperty float y\nproperty float z\nend_header\n"
CLOUD += b"0 0 0\n90 0 5\n"
REFUSED = [
    ("m.stl", b"", "m.stl: the file is empty"),
    ("m.step", b"x", "m.step: not a mesh file that can be read; allowed: stl, obj, ply, glb"),
    ("m.stl", stl(box().triangles)[:-7], "m.stl: no STL; its length does not fit the number of triangles it states"),
    ("m.stl", stl(np.zeros((0, 3, 3))), "m.stl: it holds no triangles"),
    ("m.stl", stl(np.full((2, 3, 3), 7.0)), "m.stl: 0 mm across"),
    ("m.stl", stl(box().triangles * np.nan), "m.stl: a coordinate is not a finite number"),
    ("m.stl", stl(np.repeat([[[0, 0, 0], [90, 0, 0], [90, 0, 0]]], 2, 0)), "m.stl: its triangles have no area"),
    ("m.stl", FLAT, "m.stl: a piece: 3 corners enclose no volume"),
    (
        "m.stl",
        b"solid x\nfacet\nvertex 1 2 3\nvertex 1 2 4\nendfacet\n",
        "m.stl: 1 facets with 2 corners that can be read",
    ),
    (
        "m.stl",
        b"solid x\nfacet\nvertex 1 2 3\nvertex 1 2 4\nvertex 1 1 x\nendfacet\n",
        "m.stl: a corner is not written in",
    ),
    ("m.stl", b"solid nothing\nendsolid\n", "m.stl: it holds no triangles"),
    ("m.obj", b"v 0 0 0\nv 9 0 0\nv 0 9 0\nf 1 2 30\n", "m.obj: it cannot be read as OBJ ("),
    ("m.ply", b"ply or not ply", "m.ply: it cannot be read as PLY ("),
    ("m.glb", b"glTF" + bytes(40), "m.glb: it cannot be read as GLB ("),
    ("m.ply", CLOUD, "m.ply: it holds no triangles"),
    (
        "m.stl",
        stl(box().triangles / 25.4),
        'm.stl: 1.575 mm across when read in "mm" is no part of a car; are its numbers in "m" or "in"?',
    ),
    (
        "m.stl",
        stl(box().triangles * 1000),
        'm.stl: 4e+04 mm across when read in "mm" is no part of a car; check the file',
    ),
]


@pytest.mark.parametrize(("name", "content", "words"), REFUSED)
def test_a_file_that_is_no_part_is_refused_by_name_and_reason(
    tmp_path: Path, name: str, content: bytes, words: str
) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(MeshError) as caught:
        convex_pieces(path, "mm", "part")
    assert str(caught.value).startswith(words)


def test_a_missing_file_a_folder_and_an_unknown_unit_are_refused(tmp_path: Path) -> None:
    (tmp_path / "folder.stl").mkdir()
    for name in ("gone.stl", "folder.stl"):
        with pytest.raises(MeshError, match=rf"{name}: there is no such file"):
            convex_pieces(tmp_path / name, "mm", "part")
    with pytest.raises(MeshError, match='unit "ft" is not known; write "mm", "cm", "m" or "in"'):
        convex_pieces(saved(tmp_path, box(), "m.stl"), "ft", "part")


def test_a_binary_file_may_begin_with_the_word_solid() -> None:
    content = b"solid".ljust(80) + stl(box().triangles)[80:]
    assert_allclose(read_stl(content, "m.stl"), box().triangles, atol=1e-6)


def spoiled(good: bytes, rng: random.Random) -> bytes:
    bad, at = bytearray(good), rng.randrange(len(good))
    kind = rng.randrange(4)
    if kind == 0:
        return bytes(bad[:at])
    if kind == 1:
        for _ in range(rng.randrange(1, 8)):
            bad[rng.randrange(min(len(bad), rng.choice([100, 400, len(bad)])))] = rng.randrange(256)
    else:
        bad[at : at + rng.randrange(50) * (kind == 2)] = b"" if kind == 2 else rng.randbytes(20)
    return bytes(bad)


@pytest.mark.parametrize("name", ["m.stl", "m.ascii.stl", "m.obj", "m.ply", "m.glb"])
def test_a_spoiled_file_gives_pieces_or_a_mesh_error_and_nothing_else(tmp_path: Path, name: str) -> None:
    good, rng = saved(tmp_path, body(), name).read_bytes(), random.Random(name)
    path, reasons = tmp_path / f"spoiled.{name}", list[str]()
    for k in range(150):
        path.write_bytes(spoiled(good, rng))
        try:
            convex_pieces(path, "mm", "part", hull=k % 2 == 0)
        except MeshError as error:
            reasons.append(str(error))
    assert len(reasons) > 50
    assert all(reason.startswith(path.name) for reason in reasons)
