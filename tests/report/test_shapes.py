"""The mesh library in words and as JSON: the same meshes in both, each with frame, pieces and points."""

import json

from fitcheck.placement.library import library_mesh, library_names
from fitcheck.report.shapes import WIDTH, shapes_document, shapes_text


def test_document_holds_every_mesh_of_the_library() -> None:
    document = shapes_document()
    assert document["schema"] == 1
    assert [mesh["name"] for mesh in document["meshes"]] == list(library_names())
    assert json.loads(json.dumps(document, allow_nan=False)) == document
    for mesh in document["meshes"]:
        assert set(mesh) == {"name", "unit", "frame", "pieces", "points"}
        held = library_mesh(mesh["name"])
        assert mesh["pieces"] == [piece.name for piece in held.pieces]
        assert {name: tuple(at) for name, at in mesh["points"].items()} == {
            name: tuple(at) for name, at in held.points.items()
        }


def test_text_names_every_mesh_piece_and_point_within_its_width() -> None:
    said = shapes_text()
    assert said.startswith("Meshes of the project's own library: simplified, invented, no real part behind them.\n")
    assert max(map(len, said.splitlines())) <= WIDTH
    flat = " ".join(said.split())
    for mesh in shapes_document()["meshes"]:
        assert f"\n{mesh['name']}\n" in said
        assert " ".join(mesh["frame"].split()) in flat
        for word in (*mesh["pieces"], *mesh["points"]):
            assert word in flat
