"""Parts as files for other programs: one GLB with a named node for each part, one STL for each part.

STL in millimetres and the car's frame (back, right, up). GLB in metres, y up, as glTF 2.0 wants it: x right, y up, z
back. Pedals and what they move stand at rest; what each sweeps is a part of its own.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import acos, ceil
from typing import Any
from unicodedata import category

import numpy as np

from fitcheck.geometry.frames import Vector
from fitcheck.geometry.movement import Turn
from fitcheck.geometry.scan_piece import ScanPiece
from fitcheck.limits import NotKnown
from fitcheck.placement.scene import Part, Phase
from fitcheck.report.paper.sheets import Stamp
from fitcheck.report.pictures.stage import shown
from fitcheck.verdict import Verdict

BULGE_MM = 0.05  # how far a swept solid may lie inside the true sweep between two stops
MOST_STOPS = 200
CAR2GLTF = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]]) / 1000
LETTERS = 60  # of a name in a file name


@dataclass(frozen=True, eq=False)
class Solid:
    """A part's hulls as one lot of triangles: points (n, 3) in the car's frame, mm, and faces (k, 3)."""

    name: str
    points: Vector
    faces: Any


def solids(verdict: Verdict) -> list[Solid]:
    """Every part at rest, then what each moving part sweeps."""
    parts = _parts(verdict)
    still = [_joined(one.part.name, [(shell.points, shell.faces) for shell in one.shells]) for one in shown(parts, {})]
    return [*still, *(_joined(f"{part.name}, swept", list(_swept(part))) for part in parts if _moves(part))]


def glb(verdict: Verdict) -> bytes:
    """All solids in one file, their names on the nodes; which job it is stands in the scene's extras."""
    import trimesh
    from trimesh.exchange.gltf import export_glb

    scene = trimesh.Scene(metadata={"job": Stamp.of(verdict, "").which})
    for solid in solids(verdict):
        mesh = trimesh.Trimesh(solid.points @ CAR2GLTF.T, solid.faces, process=False)
        scene.add_geometry(mesh, node_name=solid.name, geom_name=solid.name)
    return bytes(export_glb(scene))  # type: ignore[no-untyped-call]


def stls(verdict: Verdict) -> Iterator[tuple[str, bytes]]:
    """File name and binary STL of each solid; which job it is stands in the header."""
    header = f"fitcheck, mm, {Stamp.of(verdict, '').which}".encode("ascii", "replace")[:80].ljust(80)
    for number, solid in enumerate(solids(verdict), 1):
        yield f"{number:02d}-{file_name(solid.name)}.stl", _stl(solid, header)


def file_name(name: str) -> str:
    """A part's name as part of a file name: letters and digits of any script, all else a dash."""
    kept = "".join(ch if category(ch)[0] in "LN" else "-" for ch in name)
    return "-".join(filter(None, kept.split("-")))[:LETTERS] or "part"


def _parts(verdict: Verdict) -> list[Part]:
    found = [] if verdict.shaft is None else [verdict.shaft.space]
    return [*verdict.scene.parts, *(part for space in found if not isinstance(space, NotKnown) for part in space.parts)]


def _moves(part: Part) -> bool:
    return part.driven_by is not None and any(phase.moves is not None or phase.shares for phase in part.phases)


def _swept(part: Part) -> Iterator[tuple[Vector, Any]]:
    """Hulls of neighbouring stops, near enough to each other that the arc between them hardly stands out."""
    from scipy.spatial import ConvexHull

    for phase in part.phases:
        for piece in phase.pieces:
            if isinstance(piece, ScanPiece) or phase.moves is None:
                yield (piece.scan.vertices, piece.scan.skin.triangles) if isinstance(piece, ScanPiece) else (
                    piece.corners, piece.faces)  # fmt: skip
                continue
            stops = [phase.moves.moved(piece.corners, value) for value in _values(phase, piece.corners)]
            for one, other in pairwise(stops):
                both = np.vstack([one, other])
                hull = ConvexHull(both)
                yield both, _outward(both, hull)


def _values(phase: Phase, corners: Vector) -> Vector:
    """Values of the movement from end to end. A point r from the axis strays r (1 - cos(step / 2)) from its chord."""
    move = phase.moves
    assert move is not None
    if not isinstance(move, Turn):
        return np.array([move.start, move.stop])
    reach = max(float(np.linalg.norm(np.cross(move.axis, corners - move.point), axis=1).max()), 1.0)
    step = 2 * acos(1 - BULGE_MM / reach)
    return np.linspace(move.start, move.stop, min(MOST_STOPS, max(2, ceil((move.stop - move.start) / step) + 1)))


def _outward(points: Vector, hull: Any) -> Any:
    """The hull's triangles, each wound so that it faces outward."""
    corners = points[hull.simplices]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    inward = (normals * hull.equations[:, :3]).sum(axis=1) < 0
    return np.where(inward[:, None], hull.simplices[:, ::-1], hull.simplices)


def _joined(name: str, shells: list[tuple[Vector, Any]]) -> Solid:
    starts = np.cumsum([0, *(len(points) for points, _ in shells)])[:-1]
    faces = np.vstack([faces + start for (_, faces), start in zip(shells, starts, strict=True)])
    return Solid(name, np.vstack([points for points, _ in shells]), faces)


def _stl(solid: Solid, header: bytes) -> bytes:
    """Binary STL: 80 bytes, the count, then per triangle its normal, its corners and two bytes that mean nothing."""
    corners = solid.points[solid.faces].astype("<f4")
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-12)
    rows = np.zeros(len(corners), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("rest", "<u2")])
    rows["normal"], rows["corners"] = normals, corners
    return header + len(corners).to_bytes(4, "little") + rows.tobytes()
