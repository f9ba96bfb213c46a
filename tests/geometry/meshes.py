"""Makers of triangle meshes for tests of scans, as corners (k, 3, 3) and as scans. Millimetres."""

from pathlib import Path

import numpy as np
import trimesh
from numpy.typing import ArrayLike, NDArray

from fitcheck.geometry.frames import Frame
from fitcheck.geometry.scan import Free, Scan
from fitcheck.geometry.scan_reading import mended_skin

Corners = NDArray[np.float64]


def block(size: ArrayLike, centre: ArrayLike = (0, 0, 0), cuts: int = 0) -> Corners:
    """A closed box, each triangle cut in four `cuts` times."""
    mesh = trimesh.creation.box(np.asarray(size, dtype=float))
    for _ in range(cuts):
        mesh = mesh.subdivide()
    return np.asarray(mesh.triangles + np.asarray(centre, dtype=float))


def sphere(radius: float, splits: int) -> Corners:
    """An icosahedron cut 4^splits-fold, its corners on the sphere: it lies inside."""
    return np.asarray(trimesh.creation.icosphere(splits, radius).triangles)


def ring(radius: float, thickness: float, around: int = 48, across: int = 24) -> Corners:
    """A torus about z, `radius` to the middle of its tube of radius `thickness`, corners on it, one lot at z = 0."""
    return np.asarray(trimesh.creation.torus(radius, thickness, around, across).triangles)


def sag(corners: Corners, radius: float) -> float:
    """How far the facets of a sphere's mesh lie inside it at most."""
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    heights = np.einsum("ij,ij->i", normals, corners[:, 0]) / np.linalg.norm(normals, axis=1)
    return float(radius - heights.min())


def bowl(radius: float, splits: int, rim: float) -> Corners:
    """What of a sphere lies below z = `rim`: open, facing outward."""
    whole = sphere(radius, splits)
    return np.asarray(whole[whole[:, :, 2].max(axis=1) < rim])


def scan(corners: Corners, frame: Frame | None = None, free: Free | None = None) -> Scan:
    """The mesh as a scan named "seat"."""
    return Scan("seat", mended_skin(corners)[0], frame or Frame.identity(), free)


def stl(path: Path, corners: Corners) -> Path:
    """A binary STL of the mesh."""
    rows = np.zeros(len(corners), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])
    rows["corners"] = corners
    path.write_bytes(bytes(80) + len(corners).to_bytes(4, "little") + rows.tobytes())
    return path
