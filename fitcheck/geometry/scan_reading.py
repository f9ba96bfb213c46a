"""Mesh files (STL, OBJ, PLY, GLB) as scans: read, checked, and put right only where that is honest.

Mending never moves a corner: equal corners become one, a triangle that is there twice is taken once, triangles turn
over. Millimetres, the file's own frame; the caller states the file's unit. Every fault leaves as a MeshError.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from fitcheck.errors import GeometryError, MeshError
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.meshes import UNITS_MM, read_corners, refuse_bad_numbers
from fitcheck.geometry.scan import Numbers, Skin

MOST_TRIANGLES = 5_000_000
FLAT_MM = 0.01  # a scan no thicker than this is a drawing of a plate
CRACK_MM = 0.001  # corners at an open edge this near each other are one corner in the file's own rounding
MIX = np.array([0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9], dtype=np.uint64)  # odd, no more


@dataclass(frozen=True, eq=False)
class ReadScan:
    """The skin of a file and, in words, what it is and what was put right."""

    skin: Skin
    remarks: tuple[str, ...]


def read_scan(path: Path, unit: str) -> ReadScan:
    """The scan in a mesh file whose numbers are in `unit` ("mm", "cm", "m" or "in"); raises MeshError."""
    if unit not in UNITS_MM:
        raise MeshError(f'{path.name}: unit "{unit}" is not known; write "mm", "cm", "m" or "in"')
    corners = read_corners(path) * UNITS_MM[unit]
    refuse_bad_numbers(corners, path, unit)
    if len(corners) > MOST_TRIANGLES:
        raise MeshError(
            f"{path.name}: {len(corners):,} triangles; at most {MOST_TRIANGLES:,} can be used: thin the scan out"
        )
    try:
        skin, mended = mended_skin(corners)
    except GeometryError as error:
        raise MeshError(f"{path.name}: {error}") from error
    sides = " x ".join(f"{side:.0f}" for side in np.ptp(skin.vertices, axis=0))
    size = f'{path.name} read in "{unit}" is {sides} mm; check that against the car'
    return ReadScan(skin, (size, *(f"{path.name}: {words}" for words in [_counts(skin), *mended])))


def _counts(skin: Skin) -> str:
    bodies, opened = len(skin.closed), int((~skin.closed).sum())
    of = f"{len(skin.triangles):,} triangles in {bodies} connected bod{'y' if bodies == 1 else 'ies'}"
    if not opened:
        return f"{of}, closed"
    share = "it is open" if bodies == 1 else f"{opened} of them open"
    return f"{of}, {share}: on which side of it a part lies cannot be told for sure"


def mended_skin(corners: Vector) -> tuple[Skin, list[str]]:
    """A skin from triangles' `corners` (k, 3, 3), and in words what was put right; GeometryError where it is flat."""
    vertices, triangles = _welded(corners)
    real = (triangles != np.roll(triangles, 1, axis=1)).all(axis=1)
    triangles = triangles[real]
    if not len(triangles):
        raise GeometryError("its triangles have no area")
    _refuse_flat(vertices)
    single = _first_of_each(np.sort(triangles, axis=1))
    said = _said(int((~real).sum()), "without area left out")
    said += _said(len(triangles) - len(single), "there twice, taken once")
    triangles = triangles[single]
    skin, turned = _oriented(vertices, triangles)
    return skin, said + _said(turned, "turned over to face the way their neighbours do, or outward")


def _said(count: int, words: str) -> list[str]:
    return [f"{count:,} triangle{'s' if count > 1 else ''} {words}"] if count else []


def _welded(corners: Vector) -> tuple[Vector, Numbers]:
    """Vertices (n, 3), equal ones once, and triangles into them; told apart by a hash that is checked afterwards."""
    points = corners.reshape(-1, 3) + 0.0  # minus nought is nought
    hashed = (np.ascontiguousarray(points).view(np.uint64) * MIX) ^ (points.view(np.uint64) >> np.uint64(29))
    keys = hashed[:, 0] + np.uint64(3) * hashed[:, 1] + np.uint64(7) * hashed[:, 2]
    _, first, numbers = np.unique(keys, return_index=True, return_inverse=True)
    vertices = points[first]
    if not (vertices[numbers] == points).all():  # two points of one hash: sorted out the slow way
        vertices, numbers = np.unique(points, axis=0, return_inverse=True)
    return vertices, numbers.reshape(-1, 3).astype(np.int64)


def _refuse_flat(vertices: Vector) -> None:
    middle = vertices - vertices.mean(axis=0)
    axes = np.linalg.eigh(middle.T @ middle)[1]
    if not float(np.ptp(middle @ axes[:, 0])) > FLAT_MM:
        raise GeometryError("it is flat; write it as a plate: an outline and a thickness")


def _first_of_each(triples: Numbers) -> Numbers:
    """Which of `triples` (k, 3) to keep so that none is there twice, in order."""
    size = int(triples.max()) + 1
    pairs = np.unique(triples[:, 0] * size + triples[:, 1], return_inverse=True)[1].astype(np.int64)
    first = np.unique(pairs * size + triples[:, 2], return_index=True)[1]
    return np.sort(first)


@dataclass(frozen=True, eq=False)
class _Edges:
    """Triangles' edges by undirected edge: `owners` (3 k,), `ways` +1 or -1, and where each edge's lot `starts`."""

    owners: Numbers
    ways: Numbers
    starts: Numbers

    @property
    def counts(self) -> Numbers:
        return np.diff(np.append(self.starts, len(self.owners)))

    def unbalanced(self, turned: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Which of the edges are not walked as often one way as the other, with some triangles `turned`."""
        ways = np.where(turned[self.owners], -self.ways, self.ways)
        return np.asarray(np.add.reduceat(ways, self.starts) != 0)


def _edges(triangles: Numbers) -> _Edges:
    ends = triangles[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    low, high = ends.min(axis=1), ends.max(axis=1)
    keys = low * (int(triangles.max()) + 1) + high
    order = np.argsort(keys, kind="stable")
    starts = np.flatnonzero(np.diff(keys[order], prepend=-1))
    ways = np.where(ends[:, 0] == low, 1, -1)
    return _Edges(order // 3, ways[order], starts)


def _oriented(vertices: Vector, triangles: Numbers) -> tuple[Skin, int]:
    """The skin with its bodies told apart, neighbours wound alike and closed bodies outward; how many were turned."""
    edges = _closed_up(vertices, triangles)
    bodies = _bodies(edges, len(triangles))
    turned = np.zeros(len(triangles), dtype=bool)
    if edges.unbalanced(turned).any():
        turned = _wound_alike(edges, len(triangles))
    closed = np.ones(int(bodies.max()) + 1, dtype=bool)
    closed[bodies[edges.owners[edges.starts[edges.unbalanced(turned)]]]] = False
    wound = np.where(turned[:, None], triangles[:, ::-1], triangles)
    inside_out = closed & (_volumes(vertices, wound, bodies) < 0)
    wound = np.where(inside_out[bodies][:, None], wound[:, ::-1], wound)
    changed = int((turned != inside_out[bodies]).sum())
    return Skin(vertices, wound, bodies, closed), changed


def _volumes(vertices: Vector, triangles: Numbers, bodies: Numbers) -> Vector:
    a, b, c = (vertices[triangles[:, k]] - vertices[0] for k in range(3))
    return np.bincount(bodies, np.einsum("ij,ij->i", np.cross(a, b), c)) / 6


def _bodies(edges: _Edges, count: int) -> Numbers:
    """The number (count,) of each triangle's body: those that share an edge belong together."""
    same = np.ones(len(edges.owners), dtype=bool)
    same[edges.starts] = False
    later = np.flatnonzero(same)
    return _lots(edges.owners[later - 1], edges.owners[later], count)


def _lots(ones: Numbers, others: Numbers, count: int) -> Numbers:
    """The lot (count,) each number is in when `ones` and `others` are in the same lots, pair by pair."""
    from scipy.sparse import coo_array  # slow to import: only where used
    from scipy.sparse.csgraph import connected_components

    graph = coo_array((np.ones(len(ones), dtype=np.int8), (ones, others)), shape=(count, count))
    return np.asarray(connected_components(graph, directed=False)[1], dtype=np.int64)


def _wound_alike(edges: _Edges, count: int) -> NDArray[np.bool_]:
    """Which triangles to turn over so that neighbours walk their common edge opposite ways; the fewest of each patch.

    Every triangle stands twice in a graph, as it is and turned over (t and count + t); neighbours are joined in the two
    ways that agree. A patch that is joined to its own other side has but one side, and stays as it is.
    """
    pairs = edges.starts[edges.counts == 2]
    one, other = edges.owners[pairs], edges.owners[pairs + 1]
    agree = edges.ways[pairs] != edges.ways[pairs + 1]
    across = np.where(agree, other, other + count)
    back = np.where(agree, other + count, other)
    labels = _lots(np.concatenate([one, one + count]), np.concatenate([across, back]), 2 * count)
    as_is, over = labels[:count], labels[count:]
    patches = np.minimum(as_is, over)
    turned = as_is != patches
    many = np.bincount(patches, turned, len(labels)) > np.bincount(patches, ~turned, len(labels))
    turned = turned != many[patches]
    return np.asarray(turned & (as_is != over))


def _closed_up(vertices: Vector, triangles: Numbers) -> _Edges:
    """The edges, with corners along open ones counted as one where they all but coincide; no corner is moved."""
    edges = _edges(triangles)
    alone = edges.counts == 1
    if not alone.any():
        return edges
    from scipy.spatial import cKDTree  # costs 0.4 s to import: only where used

    rim = np.unique(triangles[edges.owners[edges.starts[alone]]])
    near = cKDTree(vertices[rim]).query_pairs(CRACK_MM, output_type="ndarray")
    if not len(near):
        return edges
    return _edges(_lots(rim[near[:, 0]], rim[near[:, 1]], len(vertices))[triangles])
