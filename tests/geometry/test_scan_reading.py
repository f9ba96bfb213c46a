"""Scan files read: every format, what is put right and said, what is refused and in which words, and a fuzz."""

import random
from pathlib import Path

import numpy as np
import pytest
import trimesh

from fitcheck.errors import MeshError
from fitcheck.geometry import scan_reading
from fitcheck.geometry.meshes import volume
from fitcheck.geometry.scan import Skin
from fitcheck.geometry.scan_reading import mended_skin, read_scan
from tests.geometry import meshes
from tests.geometry.meshes import stl
from tests.geometry.shapes import any_rotation


def saved(folder: Path, corners: np.ndarray, name: str) -> Path:
    mesh = trimesh.Trimesh(corners.reshape(-1, 3), np.arange(3 * len(corners)).reshape(-1, 3), process=True)
    path = folder / name
    if name.endswith(".ascii.stl"):
        path.write_text(str(mesh.export(file_type="stl_ascii")), encoding="ascii")
    else:
        mesh.export(path)
    return path


def outcome(path: Path) -> str:
    """The refusal of a file; empty where it is read, and then all its corners are numbers."""
    try:
        found = read_scan(path, "mm")
    except MeshError as error:
        return str(error)
    return "" if np.isfinite(found.skin.vertices).all() else "no numbers"


def full(skin: Skin) -> float:
    return volume(skin.vertices, skin.triangles)


@pytest.mark.parametrize("name", ["m.stl", "m.ascii.stl", "m.obj", "m.ply", "m.glb"])
@pytest.mark.parametrize(("unit", "factor"), [("mm", 1.0), ("cm", 10.0), ("in", 25.4)])
def test_every_format_in_every_unit(tmp_path: Path, name: str, unit: str, factor: float) -> None:
    path = saved(tmp_path, meshes.ring(30, 8), name)
    found = read_scan(path, unit)
    assert found.skin.closed.tolist() == [True]
    exact = trimesh.creation.torus(30, 8, 48, 24).volume * factor**3
    assert full(found.skin) == pytest.approx(exact, rel=1e-5)
    sides = " x ".join(f"{side * factor:.0f}" for side in (76, 76, 16))
    assert found.remarks == (
        f'{name} read in "{unit}" is {sides} mm; check that against the car',
        f"{name}: 2,304 triangles in 1 connected body, closed",
    )


def test_an_open_scan_is_said_to_be_open(tmp_path: Path) -> None:
    found = read_scan(stl(tmp_path / "bowl.stl", meshes.bowl(50, 3, 20)), "mm")
    assert found.skin.closed.tolist() == [False]
    assert found.remarks[1].endswith(
        "triangles in 1 connected body, it is open: on which side of it a part lies cannot be told for sure"
    )


def test_faces_turned_at_random_are_turned_back() -> None:
    rng = np.random.default_rng(1)
    mesh = meshes.ring(80, 20)
    whole = full(mended_skin(mesh)[0])
    for share in (0.01, 0.3, 0.5, 0.99, 1.0):
        turned = rng.random(len(mesh)) < share
        skin, said = mended_skin(np.where(turned[:, None, None], mesh[:, ::-1], mesh))
        assert skin.closed.tolist() == [True]
        assert full(skin) == pytest.approx(whole)
        assert said == [f"{turned.sum():,} triangles turned over to face the way their neighbours do, or outward"]


def test_an_open_scan_keeps_the_way_most_of_it_faces() -> None:
    bowl = meshes.bowl(50, 3, 20)
    for corners in (bowl, bowl[:, ::-1]):
        facing = np.einsum(
            "ij,ij->i", np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), corners[:, 0]
        )
        turned = np.arange(len(corners)) % 3 == 0
        skin, said = mended_skin(np.where(turned[:, None, None], corners[:, ::-1], corners))
        a, b, c = (skin.vertices[skin.triangles[:, k]] for k in range(3))
        assert (np.sign(np.einsum("ij,ij->i", np.cross(b - a, c - a), a)) == np.sign(facing[0])).all()
        assert said[0].startswith(f"{turned.sum()} triangles turned over")
        assert skin.closed.tolist() == [False]


def test_a_band_with_one_side_stays_open_and_as_it_is() -> None:
    """Moebius's: no way of winding it agrees all round."""
    steps = np.linspace(0, 2 * np.pi, 41)
    rails = [
        np.column_stack(
            [
                (100 + w * np.cos(steps / 2)) * np.cos(steps),
                (100 + w * np.cos(steps / 2)) * np.sin(steps),
                w * np.sin(steps / 2),
            ]
        )
        for w in (-10, 10)
    ]
    rails[0][-1], rails[1][-1] = rails[1][0], rails[0][0]
    a, b = rails
    corners = np.concatenate([np.stack([a[:-1], b[:-1], b[1:]], 1), np.stack([a[:-1], b[1:], a[1:]], 1)])
    skin, said = mended_skin(corners)
    assert skin.closed.tolist() == [False]
    assert said == []


def test_bodies_are_told_apart_and_each_is_closed_or_not() -> None:
    corners = np.concatenate(
        [meshes.sphere(20, 2), meshes.bowl(20, 2, 5) + [60, 0, 0], meshes.sphere(5, 1)[:, ::-1] + [0, 90, 0]]
    )
    skin, said = mended_skin(corners)
    assert sorted(skin.closed.tolist()) == [False, True, True]
    assert said == ["80 triangles turned over to face the way their neighbours do, or outward"]
    assert [len(set(skin.bodies[lot])) for lot in (slice(0, 320), slice(320, -80), slice(-80, None))] == [1, 1, 1]


def test_boxes_that_share_one_edge_are_one_closed_body() -> None:
    corners = np.concatenate([meshes.block((20, 20, 20)), meshes.block((20, 20, 20), (20, 20, 0))])
    skin, said = mended_skin(corners)
    assert (skin.closed.tolist(), said) == ([True], [])
    assert full(skin) == pytest.approx(16000)


def test_what_is_there_twice_is_taken_once_back_to_back_too() -> None:
    mesh = meshes.bowl(50, 2, 10)
    skin, said = mended_skin(np.concatenate([mesh, mesh[:10, ::-1], mesh[20:30]]))
    assert len(skin.triangles) == len(mesh)
    assert said == ["20 triangles there twice, taken once"]
    doubled, _ = mended_skin(np.concatenate([mesh, mesh[:, ::-1]]))
    assert doubled.closed.tolist() == [False], "an open scan written from both sides is no closed one"


def test_triangles_without_area_are_left_out() -> None:
    mesh = meshes.sphere(50, 1)
    skin, said = mended_skin(np.concatenate([mesh, np.repeat(mesh[:1, :1], 3, axis=1)]))
    assert (len(skin.triangles), said) == (len(mesh), ["1 triangle without area left out"])


def test_a_crack_of_rounding_is_no_opening_and_no_corner_moves() -> None:
    mesh = meshes.sphere(50, 3)
    shaken = mesh + np.random.default_rng(0).uniform(-2e-4, 2e-4, size=mesh.shape)
    skin, said = mended_skin(shaken)
    assert (skin.closed.tolist(), said) == ([True], [])
    assert np.array_equal(skin.vertices[skin.triangles], shaken)
    gaping = mesh + np.random.default_rng(0).uniform(-0.01, 0.01, size=mesh.shape)
    assert not mended_skin(gaping)[0].closed.any()


def test_equal_hashes_do_not_weld_what_differs(monkeypatch: pytest.MonkeyPatch) -> None:
    mesh = meshes.sphere(50, 2)
    right = mended_skin(mesh)[0]
    monkeypatch.setattr(scan_reading, "MIX", np.zeros(3, dtype=np.uint64))
    wrong = mended_skin(mesh)[0]
    assert len(wrong.vertices) == len(right.vertices)
    assert np.array_equal(wrong.vertices[wrong.triangles], mesh)


NAN_MESH = meshes.sphere(50, 1).copy()
NAN_MESH[3, 1, 1] = np.nan


@pytest.mark.parametrize(
    ("corners", "said"),
    [
        (np.zeros((0, 3, 3)), "m.stl: it holds no triangles"),
        (NAN_MESH, "m.stl: a coordinate is not a finite number"),
        (meshes.sphere(0.5, 1), 'm.stl: 1 mm across when read in "mm" is no part of a car; are its numbers in '),
        (meshes.sphere(9000, 1), 'm.stl: 1.8e+04 mm across when read in "mm" is no part of a car'),
        (meshes.sphere(50, 2) * [1, 1, 0], "m.stl: it is flat; write it as a plate: an outline and a thickness"),
        (np.repeat(meshes.sphere(50, 1)[:, :1], 3, axis=1), "m.stl: its triangles have no area"),
    ],
)
def test_what_cannot_be_used_is_refused_with_the_reason(tmp_path: Path, corners: np.ndarray, said: str) -> None:
    with pytest.raises(MeshError) as refusal:
        read_scan(stl(tmp_path / "m.stl", corners), "mm")
    assert str(refusal.value).startswith(said)


def test_a_tilted_flat_scan_is_seen_to_be_flat(tmp_path: Path) -> None:
    mesh = meshes.sphere(50, 2) * [1, 1, 0]
    turn = any_rotation(np.random.default_rng(0))
    with pytest.raises(MeshError, match="it is flat"):
        read_scan(stl(tmp_path / "m.stl", mesh @ turn.T), "mm")


def test_too_many_triangles_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(scan_reading, "MOST_TRIANGLES", 100)
    with pytest.raises(MeshError, match="320 triangles; at most 100 can be used: thin the scan out"):
        read_scan(stl(tmp_path / "m.stl", meshes.sphere(50, 2)), "mm")


def test_no_unit_no_reading(tmp_path: Path) -> None:
    with pytest.raises(MeshError, match='unit "ft" is not known'):
        read_scan(tmp_path / "m.stl", "ft")


@pytest.mark.parametrize("name", ["m.stl", "m.obj", "m.ply", "m.glb"])
def test_spoilt_files_are_read_or_refused_and_nothing_else(tmp_path: Path, name: str) -> None:
    rng = random.Random(name)
    content = saved(tmp_path, meshes.sphere(50, 1), name).read_bytes()
    for turn in range(60):
        spoilt = bytearray(content[: rng.randrange(1, len(content))] if turn % 3 == 0 else content)
        for _ in range(rng.randrange(1, 6)):
            spoilt[rng.randrange(len(spoilt))] = rng.randrange(256)
        path = tmp_path / f"spoilt.{name[2:]}"
        path.write_bytes(bytes(spoilt))
        said = outcome(path)
        assert said == "" or said.startswith("spoilt.")


def test_a_scan_of_330_000_triangles_is_read_whole(tmp_path: Path) -> None:
    found = read_scan(stl(tmp_path / "large.stl", meshes.sphere(100, 7)), "mm")
    assert len(found.skin.triangles) == 327_680
    assert found.skin.closed.tolist() == [True]
    assert len(found.skin.vertices) == 163_842  # Euler: V - E + F = 2
