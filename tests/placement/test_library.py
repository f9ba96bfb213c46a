"""The library of meshes: whole, convex, the same bytes when written anew, and refused when touched."""

import hashlib
import subprocess
import sys
import tomllib
from pathlib import Path

import numpy as np
import pytest
import trimesh
from numpy.testing import assert_allclose

from fitcheck.errors import MeshError
from fitcheck.geometry.meshes import convex_pieces
from fitcheck.placement.library import library_folder, library_mesh, library_names, main, written
from fitcheck.placement.library_recipes import Recipe, recipes
from tests.geometry.within import outside_by

NAMES = ["bracket", "column", "foot_space", "pedal", "unit"]
BY_NAME = {recipe.name: recipe for recipe in recipes()}


def test_there_is_one_of_each_and_nothing_else() -> None:
    assert library_names() == NAMES == sorted(BY_NAME)
    found = sorted(path.name for path in library_folder().iterdir())
    assert found == sorted(f"{name}.{kind}" for name in NAMES for kind in ("stl", "toml"))


@pytest.mark.parametrize("name", NAMES)
def test_writing_it_anew_gives_the_same_bytes(tmp_path: Path, name: str) -> None:
    main(["--write", "--folder", str(tmp_path)])
    for kind in ("stl", "toml"):
        assert (tmp_path / f"{name}.{kind}").read_bytes() == (library_folder() / f"{name}.{kind}").read_bytes()


@pytest.mark.parametrize("name", NAMES)
def test_its_companion_says_what_it_is(name: str) -> None:
    told = tomllib.loads((library_folder() / f"{name}.toml").read_text(encoding="utf-8"))
    assert told["unit"] == "mm"
    assert "origin" in told["frame"]
    assert "our own invention" in told["source"]
    assert told["sha256"] == hashlib.sha256((library_folder() / f"{name}.stl").read_bytes()).hexdigest()


@pytest.mark.parametrize("recipe", BY_NAME.values(), ids=BY_NAME)
def test_it_is_read_as_it_was_made(recipe: Recipe) -> None:
    mesh = library_mesh(recipe.name)
    assert [piece.name for piece in mesh.pieces] == [piece.name for piece in recipe.pieces]
    for read, made in zip(mesh.pieces, recipe.pieces, strict=True):
        assert len(read.vertices) == len(made.vertices)
        apart = np.linalg.norm(read.vertices[:, None] - made.vertices[None], axis=-1)
        assert apart.min(axis=0).max() < 1e-4  # single precision at under a metre
    assert {words: tuple(at) for words, at in mesh.points.items()} == dict(recipe.points)


@pytest.mark.parametrize("name", NAMES)
def test_every_part_is_closed_and_convex_by_another_library_too(name: str) -> None:
    path = library_folder() / f"{name}.stl"
    assert len(convex_pieces(path, "mm", name)) == len(library_mesh(name).pieces)
    parts = trimesh.load_mesh(path).split()
    assert len(parts) == len(library_mesh(name).pieces)
    for part in parts:
        assert part.is_watertight
        assert part.is_winding_consistent
        assert_allclose(part.volume, part.convex_hull.volume, rtol=1e-4)
        assert part.volume > 0


# Usual sizes, common practice, no source: gear body 90-125 across, motor can 70-95 x 110-170 and 45-65 beside the
# column, output stub 25-60; hanging pedal 254-356 from pivot to pad; hub seat to firewall 600-800; jacket 44.5.
def test_the_parts_have_usual_sizes() -> None:
    spans = {
        (name, piece.name): np.ptp(piece.vertices, axis=0) for name in NAMES for piece in library_mesh(name).pieces
    }
    can, gear, stub = (spans["unit", words] for words in ("motor can", "gear body", "output stub"))
    assert 110 <= can[0] <= 170 and 70 <= can[2] <= 95
    assert 90 <= gear[0] <= 125
    assert 25 <= stub[2] <= 60
    assert 45 <= library_mesh("unit").points["motor can, far end"][1] <= 65
    assert 254 <= np.linalg.norm(library_mesh("pedal").points["pad, middle"]) <= 356
    assert_allclose(spans["column", "jacket"][0], 44.5, atol=0.2)
    assert 600 <= spans["column", "jacket"][2] + 110 <= 800


def test_the_frames_are_as_their_words_say() -> None:
    unit = library_mesh("unit")
    can = next(piece for piece in unit.pieces if piece.name == "motor can")
    assert_allclose(unit.points["motor can, far end"][0], can.vertices[:, 0].max(), atol=1e-3)
    assert can.centre[1] > 0  # "over": above the column when x points to 9:00
    pad = next(piece for piece in library_mesh("pedal").pieces if piece.name == "pad")
    assert pad.centre[0] > 0 > pad.centre[2]  # behind and below its pivot
    floor = next(piece for piece in library_mesh("foot_space").pieces if piece.name == "floor")
    assert floor.vertices[:, 2].max() < -200


def test_the_clamp_leaves_its_bore_open_and_holds_the_jacket() -> None:
    clamp = [piece for piece in library_mesh("bracket").pieces if piece.name == "clamp"]
    turns = np.linspace(0, 2 * np.pi, 200)
    around = np.column_stack([np.cos(turns), np.sin(turns), np.full(200, -52.0)])
    assert outside_by(clamp, around * [21, 21, 1]).min() > 0
    assert outside_by(clamp, around * [22.3, 22.3, 1]).max() <= 0
    assert outside_by(clamp, around * [34.9, 34.9, 1]).max() <= 0


def test_an_unknown_name_is_refused_with_the_known_ones() -> None:
    for name in ("units", "../meshes/unit", ""):
        with pytest.raises(MeshError, match="in the library; there are: bracket, column, foot_space, pedal, unit"):
            library_mesh(name)


def copied(folder: Path) -> Path:
    content, companion = written(BY_NAME["unit"])
    (folder / "unit.stl").write_bytes(content)
    (folder / "unit.toml").write_bytes(companion)
    assert len(library_mesh("unit", folder).pieces) == 6
    return folder


def test_a_touched_mesh_is_refused(tmp_path: Path) -> None:
    path = copied(tmp_path) / "unit.stl"
    bad = bytearray(path.read_bytes())
    bad[200] ^= 1
    path.write_bytes(bytes(bad))
    with pytest.raises(MeshError, match=r"unit.stl: its checksum is not the one in unit.toml"):
        library_mesh("unit", tmp_path)
    path.unlink()
    with pytest.raises(MeshError, match=r"unit.stl: it cannot be read"):
        library_mesh("unit", tmp_path)


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        ('unit = "mm"', 'unit = "ft"', "unit.toml: wrong or missing: unit"),
        ("source = ", "sauce = ", "unit.toml: wrong or missing: source, sauce"),
        ('    "plug",\n', "", "unit.stl: it has 6 parts, but unit.toml names 5"),
        ("[points]", "[points", "unit.toml: it cannot be read as TOML"),
    ],
)
def test_a_touched_companion_is_refused(tmp_path: Path, before: str, after: str, words: str) -> None:
    path = copied(tmp_path) / "unit.toml"
    text = path.read_text(encoding="utf-8")
    assert before in text
    path.write_text(text.replace(before, after), encoding="utf-8")
    with pytest.raises(MeshError) as caught:
        library_mesh("unit", tmp_path)
    assert str(caught.value).startswith(words)


def test_reading_it_does_not_import_trimesh() -> None:
    code = "import sys, fitcheck.placement.library as library; library.library_mesh('unit')"
    code += "; print('trimesh' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
