"""What the mesh library holds, in words and as JSON."""

from textwrap import wrap
from typing import Any

from fitcheck.placement.library import library_mesh, library_names

WIDTH = 100


def shapes_text() -> str:
    """Every mesh with its frame, pieces and reference points."""
    lines = ["Meshes of the project's own library: simplified, invented, no real part behind them.", ""]
    for name in library_names():
        mesh = library_mesh(name)
        pieces = ", ".join(dict.fromkeys(piece.name for piece in mesh.pieces))
        points = "; ".join(f"{word} ({', '.join(f'{value:g}' for value in at)})" for word, at in mesh.points.items())
        lines.append(name)
        for text in (f"frame: {mesh.frame}", f"pieces: {pieces}", f"points, {mesh.unit}: {points}"):
            lines += wrap(text, WIDTH, initial_indent="  ", subsequent_indent="    ")
    return "\n".join(lines) + "\n"


def shapes_document() -> dict[str, Any]:
    """The same as one JSON object."""
    meshes = [library_mesh(name) for name in library_names()]
    return {
        "schema": 1,
        "meshes": [
            {
                "name": mesh.name,
                "unit": mesh.unit,
                "frame": mesh.frame,
                "pieces": [piece.name for piece in mesh.pieces],
                "points": {word: at.tolist() for word, at in mesh.points.items()},
            }
            for mesh in meshes
        ],
    }
