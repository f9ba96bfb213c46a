"""The project's own simplified meshes: reading them from the `meshes` folder, and writing them anew from the recipes.

`python -m fitcheck.placement.library --write` writes NAME.stl (binary) and NAME.toml (unit, frame in words, source,
checksum, pieces, named points) for each recipe. Millimetres, each mesh in its own frame.
"""

import argparse
import hashlib
import json
import struct
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np
from pydantic import BaseModel, ConfigDict, ValidationError

from fitcheck.errors import MeshError
from fitcheck.geometry.frames import Vector, frozen
from fitcheck.geometry.meshes import UNITS_MM, Triangles, shells, volume
from fitcheck.geometry.solids import Piece
from fitcheck.placement.library_recipes import Recipe, recipes

SOURCE = "made by python -m fitcheck.placement.library; our own invention, no real part behind it"
DECIMALS = 6  # of a millimetre, so that rounding noise cannot differ between machines


@dataclass(frozen=True, eq=False)
class LibraryMesh:
    """A mesh of the library: convex pieces and named reference points in mm, the frame in words, the file's unit."""

    name: str
    pieces: tuple[Piece, ...]
    points: dict[str, Vector]
    frame: str
    unit: str


class Companion(BaseModel):
    """NAME.toml: what the mesh beside it is. `pieces` are named in the order of the mesh's components."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    unit: Literal["mm", "cm", "m", "in"]
    frame: str
    source: str
    sha256: str
    pieces: list[str]
    points: dict[str, tuple[float, float, float]]


def library_folder() -> Path:
    """Where the meshes lie: inside the installed package, else at the top of the source tree. Raises MeshError."""
    package = Path(__file__).resolve().parents[1]
    for folder in (package / "_meshes", package.parent / "meshes"):
        if folder.is_dir():
            return folder
    raise MeshError(f"the library of meshes is missing from {package / '_meshes'}; install fitcheck again")


def library_names(folder: Path | None = None) -> list[str]:
    """The names `library_mesh` knows, in order."""
    return sorted(path.stem for path in (folder or library_folder()).glob("*.toml"))


def library_mesh(name: str, folder: Path | None = None) -> LibraryMesh:
    """The mesh `name` of the library; raises MeshError for an unknown name or a file that is not as it was written.

    Its parts are taken as convex without a look: the checksum pins the bytes, and those are tested.
    """
    folder = folder or library_folder()
    if name not in library_names(folder):
        raise MeshError(f'no mesh "{name}" in the library; there are: {", ".join(library_names(folder))}')
    told, path = _companion(folder / f"{name}.toml"), folder / f"{name}.stl"
    if hashlib.sha256(_bytes(path)).hexdigest() != told.sha256:
        raise MeshError(f"{path.name}: its checksum is not the one in {name}.toml; install fitcheck again")
    parts = shells(path, told.unit)
    if len(parts) != len(told.pieces):
        raise MeshError(f"{path.name}: it has {len(parts)} parts, but {name}.toml names {len(told.pieces)}")
    pieces = tuple(Piece(part.vertices, words) for part, words in zip(parts, told.pieces, strict=True))
    points = {words: frozen(UNITS_MM[told.unit] * np.array(at), (3,)) for words, at in told.points.items()}
    return LibraryMesh(name, pieces, points, told.frame, told.unit)


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise MeshError(f"{path}: it cannot be read ({error.strerror})") from error


def _companion(path: Path) -> Companion:
    try:
        return Companion.model_validate(tomllib.loads(_bytes(path).decode("utf-8")))
    except ValidationError as error:
        keys = ", ".join(".".join(map(str, fault["loc"])) for fault in error.errors())
        raise MeshError(f"{path.name}: wrong or missing: {keys}") from error
    except ValueError as error:  # no UTF-8 or no TOML
        raise MeshError(f"{path.name}: it cannot be read as TOML ({error})") from error


def written(recipe: Recipe) -> tuple[bytes, bytes]:
    """The STL and the TOML of a recipe; the same bytes every time and everywhere."""
    mesh = b"".join(_facets(piece) for piece in recipe.pieces)
    header = f"fitcheck {recipe.name}, mm, {SOURCE}".encode("ascii")[:80].ljust(80)
    content = header + struct.pack("<I", len(mesh) // 50) + mesh
    return content, _toml(recipe, hashlib.sha256(content).hexdigest()).encode("utf-8")


def _facets(piece: Piece) -> bytes:
    """The piece's triangles as STL wants them, 50 bytes each; normals are left at zero, for readers to work out."""
    vertices = (np.round(piece.vertices, DECIMALS) + 0.0).astype("<f4")
    triangles = _between_rims(len(vertices) // 2)
    if volume(vertices.astype(float), triangles) < 0:
        triangles = triangles[:, ::-1]
    rows = np.zeros(len(triangles), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])
    rows["corners"] = vertices[triangles]
    return rows.tobytes()


def _between_rims(count: int) -> Triangles:
    """Triangles over a prism whose vertices are `count` round the bottom, then `count` round the top."""
    here, fan = np.arange(count), np.arange(1, count - 1)
    then, first = (here + 1) % count, np.zeros_like(fan)
    sides = [np.column_stack([here, then, then + count]), np.column_stack([here, then + count, here + count])]
    ends = [np.column_stack([first, fan + 1, fan]), count + np.column_stack([first, fan, fan + 1])]
    return np.vstack(sides + ends).astype(np.int64)


def _toml(recipe: Recipe, digest: str) -> str:
    def text(words: str) -> str:
        return json.dumps(words)  # what JSON writes for plain text, TOML reads

    names = "".join(f"    {text(piece.name)},\n" for piece in recipe.pieces)
    points = "".join(f"{text(words)} = [{', '.join(f'{x:.3f}' for x in at)}]\n" for words, at in recipe.points)
    return (
        f'unit = "mm"\nframe = {text(recipe.frame)}\nsource = {text(SOURCE)}\nsha256 = {text(digest)}\n'
        f"pieces = [\n{names}]\n\n[points]\n{points}"
    )


def write(folder: Path) -> None:
    """Write every recipe's two files into `folder`."""
    folder.mkdir(parents=True, exist_ok=True)
    for recipe in recipes():
        content, companion = written(recipe)
        (folder / f"{recipe.name}.stl").write_bytes(content)
        (folder / f"{recipe.name}.toml").write_bytes(companion)


def main(arguments: list[str] | None = None) -> None:
    parser = argparse.ArgumentParser(prog="python -m fitcheck.placement.library", description="Write the meshes anew.")
    parser.add_argument("--write", action="store_true", required=True, help="write every mesh and its companion file")
    parser.add_argument("--folder", type=Path, default=None, help="where to; without it, the library's own folder")
    write(parser.parse_args(arguments).folder or library_folder())


if __name__ == "__main__":
    main()
