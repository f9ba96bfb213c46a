"""Mesh files (STL, OBJ, PLY, GLB) as convex pieces, in millimetres, in the mesh's own frame.

A file carries no unit that can be trusted: the caller states it. STL is read here; the other formats through trimesh,
whose import costs most of a second. Every fault of a file leaves as a MeshError that names it.
"""

import re
import warnings
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from fitcheck.errors import GeometryError, MeshError
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.solids import Piece

UNITS_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}
FORMATS = ("stl", "obj", "ply", "glb")
SMALLEST_MM, LARGEST_MM = 5.0, 5000.0  # of the largest extent: outside, the stated unit is taken for a slip
CONVEX_WITHIN = 1e-6  # share of its hull's volume by which a convex body may differ from it
MOST_CORNERS = 100_000  # of one piece
NOT_FLAT = 2.0**-22  # share of the largest coordinate by which a flat face may bulge: the formats keep 24 bits

Triangles = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Shell:
    """One connected component: `vertices` (n, 3) mm, `triangles` (k, 3) into them, and whether it closes."""

    vertices: Vector
    triangles: Triangles
    closed: bool


def convex_pieces(path: Path, unit: str, name: str, hull: bool = False) -> tuple[Piece, ...]:
    """The convex pieces of a mesh file whose numbers are in `unit` ("mm", "cm", "m" or "in").

    Each connected component must be closed and convex. With `hull`, one that is not convex is taken as its hull, and
    all that are not closed as one hull together, since only together they may enclose anything: never more room than
    there is. Raises MeshError.
    """
    try:
        pieces = tuple(Piece(piece.corners, name) for piece in _pieces(shells(path, unit), path, name, hull))
    except GeometryError as error:
        raise MeshError(f"{path.name}: {error}") from error
    most = max(len(piece.vertices) for piece in pieces)
    if most > MOST_CORNERS:
        raise MeshError(
            f"{path.name}: a piece of {most:,} corners, at most {MOST_CORNERS:,} can be judged; save it with fewer "
            'triangles, or, of an obstacle, take it by its surface: take_as = "scan"'
        )
    return pieces


def _pieces(parts: list[Shell], path: Path, name: str, hull: bool) -> list[Piece]:
    whole = [part for part in parts if part.closed]
    if not hull:
        for number, part in enumerate(parts, 1):
            _refuse_unless_convex(part, f"{path.name}: part {number} of {len(parts)}")
    pieces = [Piece(part.vertices, name) for part in whole]
    if len(whole) < len(parts):
        pieces.append(Piece(np.vstack([part.vertices for part in parts if not part.closed]), name))
    return pieces


def _refuse_unless_convex(part: Shell, where: str) -> None:
    remedy = 'write `take_as = "hull"` to take its convex hull (never more room than there is)'
    if not part.closed:
        raise MeshError(f"{where} is not closed; close it, or {remedy}")
    around = Piece(part.vertices)
    full, got = volume(around.corners, around.faces), abs(volume(part.vertices, part.triangles))
    bulge = NOT_FLAT * float(np.abs(part.vertices).max()) * _area(part)
    if not abs(full - got) <= CONVEX_WITHIN * full + bulge:
        raise MeshError(f"{where} is not convex: it fills {got / full:.1%} of its hull; split it, or {remedy}")


def _area(part: Shell) -> float:
    a, b, c = (part.vertices[part.triangles[:, k]] for k in range(3))
    return float(np.sqrt((np.cross(b - a, c - a) ** 2).sum(axis=1)).sum() / 2)


def volume(vertices: Vector, triangles: Triangles) -> float:
    """Volume of a closed mesh, signed by its winding: a sixth of the sum of the triangles' triple products."""
    a, b, c = (vertices[triangles[:, k]] - vertices[0] for k in range(3))
    return float(np.einsum("ij,ij->", np.cross(a, b), c) / 6)


def shells(path: Path, unit: str) -> list[Shell]:
    """The connected components of a mesh file, in the order of their first triangles; vertices welded where equal."""
    if unit not in UNITS_MM:
        raise MeshError(f'{path.name}: unit "{unit}" is not known; write "mm", "cm", "m" or "in"')
    corners = read_corners(path) * UNITS_MM[unit]
    refuse_bad_numbers(corners, path, unit)
    vertices, numbers = np.unique(corners.reshape(-1, 3), axis=0, return_inverse=True)
    triangles = numbers.reshape(-1, 3)
    real = (triangles != np.roll(triangles, 1, axis=1)).all(axis=1)
    triangles = triangles[real]
    if not len(triangles):
        raise MeshError(f"{path.name}: its triangles have no area")
    labels = _components(triangles, len(vertices))
    order = np.argsort(labels, kind="stable")
    groups = np.split(order, np.flatnonzero(np.diff(labels[order])) + 1)
    return [_shell(vertices, triangles[group]) for group in sorted(groups, key=lambda group: int(group[0]))]


def refuse_bad_numbers(corners: Vector, path: Path, unit: str) -> None:
    """Raise MeshError where `corners` (k, 3, 3) mm are none, are no numbers, or of no size that fits the unit."""
    if not len(corners):
        raise MeshError(f"{path.name}: it holds no triangles")
    if not np.isfinite(corners).all():
        raise MeshError(f"{path.name}: a coordinate is not a finite number")
    largest = float(np.ptp(corners.reshape(-1, 3), axis=0).max())
    if not SMALLEST_MM <= largest <= LARGEST_MM:
        others = " or ".join(
            f'"{other}"' for other, mm in UNITS_MM.items() if 20 <= largest / UNITS_MM[unit] * mm <= 2000
        )
        hint = f"are its numbers in {others}?" if others else "check the file"
        raise MeshError(f'{path.name}: {largest:.4g} mm across when read in "{unit}" is no part of a car; {hint}')


def _components(triangles: Triangles, count: int) -> NDArray[np.int64]:
    """For each triangle the number of its component, triangles joined wherever they share a vertex."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    ends = triangles[:, [0, 1, 1, 2]].reshape(-1, 2).T
    graph = coo_array((np.ones(ends.shape[1], dtype=np.int8), (ends[0], ends[1])), shape=(count, count))
    return np.asarray(connected_components(graph, directed=False)[1][triangles[:, 0]], dtype=np.int64)


def _shell(vertices: Vector, triangles: Triangles) -> Shell:
    used, numbers = np.unique(triangles, return_inverse=True)
    local = numbers.reshape(-1, 3).astype(np.int64)
    return Shell(vertices[used], local, _closed(local))


def _closed(triangles: Triangles) -> bool:
    """Whether every edge is walked as often one way as the other: closed, and wound the same way all over."""
    edges = triangles[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    size = int(triangles.max()) + 1
    there, back = np.sort(edges[:, 0] * size + edges[:, 1]), np.sort(edges[:, 1] * size + edges[:, 0])
    return bool((there == back).all())


def read_corners(path: Path) -> Vector:
    """The triangles' corners (k, 3, 3) of a mesh file in the file's own unit; raises MeshError."""
    suffix = path.suffix.lower().removeprefix(".")
    if suffix not in FORMATS:
        raise MeshError(f"{path.name}: not a mesh file that can be read; allowed: {', '.join(FORMATS)}")
    if not path.is_file():
        raise MeshError(f"{path}: there is no such file")
    try:
        content = path.read_bytes()
    except OSError as error:
        raise MeshError(f"{path}: it cannot be read ({error.strerror})") from error
    if not content:
        raise MeshError(f"{path.name}: the file is empty")
    return read_stl(content, path.name) if suffix == "stl" else _through_trimesh(path, suffix)


def read_stl(content: bytes, file: str) -> Vector:
    """The triangles' corners (k, 3, 3) of a binary or ASCII STL; raises MeshError naming `file`.

    Binary: 80 bytes of header, a little-endian count, 50 bytes a triangle. Told by its length, as binary files may
    begin with "solid" as well.
    """
    count = int.from_bytes(content[80:84], "little") if len(content) >= 84 else -1
    if len(content) == 84 + 50 * count:
        rows = np.frombuffer(content, np.uint8, offset=84).reshape(count, 50)
        return np.ascontiguousarray(rows[:, 12:48]).view("<f4").reshape(count, 3, 3).astype(float)
    if content.lstrip()[:5].lower() == b"solid" and b"\0" not in content:
        return _read_ascii_stl(content, file)
    raise MeshError(f"{file}: no STL; its length does not fit the number of triangles it states: was it cut short?")


def _read_ascii_stl(content: bytes, file: str) -> Vector:
    found = re.findall(rb"^[ \t]*vertex[ \t]+(\S+)[ \t]+(\S+)[ \t]+(\S+)[ \t]*\r?$", content, re.MULTILINE)
    facets, ends = (len(re.findall(rb"^[ \t]*" + word, content, re.MULTILINE)) for word in (b"facet", b"endfacet"))
    if not len(found) == 3 * facets == 3 * ends:
        raise MeshError(f"{file}: {facets} facets with {len(found)} corners that can be read; three a facet are needed")
    try:
        return np.array(found, dtype="S").astype(float).reshape(-1, 3, 3)
    except ValueError as error:
        raise MeshError(f"{file}: a corner is not written in numbers ({error})") from error


def _through_trimesh(path: Path, suffix: str) -> Vector:
    import trimesh  # costs 0.9 s

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", RuntimeWarning)  # what is no number is refused by name later
            mesh = trimesh.load_mesh(path, file_type=suffix, process=False)
            faces = getattr(mesh, "faces", None)  # a cloud of points has none
            return np.zeros((0, 3, 3)) if faces is None else np.array(mesh.vertices[faces], float).reshape(-1, 3, 3)
    except Exception as error:  # the one door of a library whose parsers raise whatever they stumble over
        raise MeshError(f"{path.name}: it cannot be read as {suffix.upper()} ({str(error)[:80]})") from error
