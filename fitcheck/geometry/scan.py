"""A scan: triangles that need be neither convex nor closed, in a tree of boxes so that few of them are looked at.

A `Skin` is in the scan's own frame, a `Scan` is a skin placed in the car; millimetres. Node 1 of the tree is the whole
skin, node i has children 2i and 2i+1, the last level are clusters of a few triangles, and after those each triangle is
a node of its own.
"""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from fitcheck.errors import GeometryError
from fitcheck.geometry.frames import Frame, Vector, frozen
from fitcheck.geometry.solids import LARGEST_MM

CLUSTER = 8  # triangles in a cluster at most
STRIDE = 3  # levels of the tree that are gone down at once
CURVE_BITS = 21  # of each coordinate, so that three fit in a word
SPREADING = (
    (32, 0x001F00000000FFFF),
    (16, 0x001F0000FF0000FF),
    (8, 0x100F00F00F00F00F),
    (4, 0x10C30C30C30C30C3),
    (2, 0x1249249249249249),
)  # shifts and masks
Numbers = NDArray[np.int64]
Free = Literal["front", "back", "both"]


@dataclass(frozen=True, eq=False)
class Tree:
    """Boxes round the nodes: `centres` and `halves` (2^(levels+1), 3), row 0 unused; `clusters` (2^levels, s).

    A cluster is filled up with triangles it already holds.
    """

    levels: int
    centres: Vector
    halves: Vector
    clusters: Numbers


@dataclass(frozen=True, eq=False)
class Skin:
    """`vertices` (n, 3), `triangles` (k, 3) into them, `bodies` (k,) the connected body of each, `closed` (bodies,).

    A closed body is wound outward. Refuses NaN, coordinates over 100 m and indices that point nowhere.
    """

    vertices: Vector
    triangles: Numbers
    bodies: Numbers
    closed: NDArray[np.bool_]

    def __post_init__(self) -> None:
        object.__setattr__(self, "vertices", frozen(self.vertices, (None, 3)))
        for name in ("triangles", "bodies", "closed"):
            kept = np.array(getattr(self, name))
            kept.setflags(write=False)
            object.__setattr__(self, name, kept)
        count = len(self.triangles)
        if not count or self.triangles.shape != (count, 3) or self.bodies.shape != (count,):
            raise GeometryError("a scan needs triangles of three corners, and for each the number of its body")
        if not (self.triangles.min() >= 0 and self.triangles.max() < len(self.vertices)):
            raise GeometryError("a triangle of a scan points at a corner that is not there")
        if not (self.bodies.min() >= 0 and self.bodies.max() < len(self.closed)):
            raise GeometryError("a triangle of a scan belongs to a body that is not there")
        if not np.abs(self.vertices).max() <= LARGEST_MM:
            raise GeometryError("a corner of a scan lies over 100 m away; is the unit right?")

    @cached_property
    def tree(self) -> Tree:
        corners = self.vertices[self.triangles]
        lows, highs = corners.min(axis=1), corners.max(axis=1)
        clusters = _clusters((lows + highs) / 2)
        low, high = [lows[clusters].min(axis=1)], [highs[clusters].max(axis=1)]
        while len(low[0]) > 1:
            low.insert(0, np.minimum(low[0][::2], low[0][1::2]))
            high.insert(0, np.maximum(high[0][::2], high[0][1::2]))
        unused = np.zeros((1, 3))
        all_low, all_high = np.concatenate([unused, *low]), np.concatenate([unused, *high])
        return Tree(len(low) - 1, (all_low + all_high) / 2, (all_high - all_low) / 2, clusters)

    @cached_property
    def open_area_mm2(self) -> float:
        """Area of all triangles of open bodies."""
        a, b, c = (self.vertices[self.triangles[~self.closed[self.bodies], k]] for k in range(3))
        return float(np.sqrt((np.cross(b - a, c - a) ** 2).sum(axis=1)).sum() / 2)

    @property
    def first_cluster(self) -> int:
        """Number of the first node that is a cluster."""
        return int(2**self.tree.levels)

    @property
    def first_triangle(self) -> int:
        """Number of the first node that is a single triangle."""
        return 2 * self.first_cluster

    def children(self, node: int) -> Numbers:
        """Nodes that hold what `node` holds, some levels further down; a cluster's are its triangles."""
        if node >= self.first_triangle:
            return np.array([node])
        if node >= self.first_cluster:
            return np.unique(self.tree.clusters[node - self.first_cluster]) + self.first_triangle
        down = min(STRIDE, self.tree.levels - node.bit_length() + 1)
        return np.arange(node << down, (node + 1) << down)

    def corners(self, nodes: Numbers) -> Vector:
        """Corners (k, m, 3) of the triangles in `nodes` (k,): all of them clusters, or all single triangles."""
        if nodes.min() >= self.first_triangle:
            return np.asarray(self.vertices[self.triangles[nodes - self.first_triangle]])
        which = self.tree.clusters[nodes - self.first_cluster]
        return np.asarray(self.vertices[self.triangles[which]].reshape(len(nodes), -1, 3))

    def boxed(self, nodes: Numbers, normals: Vector) -> Vector:
        """How far the boxes of `nodes` (k,), no triangles, reach along each of `normals` (d, 3); (k, d)."""
        return np.asarray(self.tree.centres[nodes] @ normals.T + self.tree.halves[nodes] @ np.abs(normals).T)

    def highest(self, nodes: Numbers, normals: Vector) -> Vector:
        """How far each of `nodes` (k,) reaches at most along its own of `normals` (k, d, 3); (k, d)."""
        found = np.empty(normals.shape[:2])
        for kind in self.kinds(nodes):
            if kind.any() and nodes[kind][0] < self.first_cluster:
                centres, halves = self.tree.centres[nodes[kind]], self.tree.halves[nodes[kind]]
                found[kind] = np.einsum("kj,kdj->kd", centres, normals[kind])
                found[kind] += np.einsum("kj,kdj->kd", halves, np.abs(normals[kind]))
            elif kind.any():
                found[kind] = (self.corners(nodes[kind]) @ normals[kind].transpose(0, 2, 1)).max(axis=1)
        return found

    def kinds(self, nodes: Numbers) -> tuple[NDArray[np.bool_], NDArray[np.bool_], NDArray[np.bool_]]:
        """Which of `nodes` (k,) are boxes, clusters and single triangles."""
        boxes, single = nodes < self.first_cluster, nodes >= self.first_triangle
        return boxes, ~boxes & ~single, single

    def scaled(self, factor: float) -> "Skin":
        """The same `factor` times as large; GeometryError for a factor that is not above 0."""
        if not 0 < factor < np.inf:
            raise GeometryError(f"a scan cannot be made {factor} times as large")
        return Skin(factor * self.vertices, self.triangles, self.bodies, self.closed)


def _clusters(middles: Vector) -> Numbers:
    """Triangles, by their `middles` (n, 3), in clusters of neighbours along a Z-order curve; (2^levels, s).

    A cell of that curve is a cube cut in eight again and again, and so is what lies under a node of the tree, all but
    for where the curve jumps (Morton 1966, recalled).
    """
    levels = max(0, int(np.ceil(np.log2(len(middles) / CLUSTER))))
    each = -(-len(middles) // 2**levels)
    low = middles.min(axis=0)
    size = max(float((middles.max(axis=0) - low).max()), 1e-9)
    steps = ((middles - low) * ((2**CURVE_BITS - 1) / size)).astype(np.uint64)
    curve = _spread_bits(steps[:, 0]) << np.uint64(2) | _spread_bits(steps[:, 1]) << np.uint64(1)
    order = np.argsort(curve | _spread_bits(steps[:, 2]), kind="stable")
    shares = np.arange(each * 2**levels) * len(middles) // (each * 2**levels)
    return np.asarray(order[shares].reshape(-1, each), dtype=np.int64)


def _spread_bits(numbers: NDArray[np.uint64]) -> NDArray[np.uint64]:
    """Each of 21 bits moved to three times its place."""
    for shift, mask in SPREADING:
        numbers = (numbers | numbers << np.uint64(shift)) & np.uint64(mask)
    return numbers


@dataclass(frozen=True, eq=False)
class Scan:
    """A skin where `scan2car` puts it, under its `name`; `free` is the side of an open one that is room.

    "front" is the side its triangles face, "both" a thin sheet; None where nobody has said.
    """

    name: str
    skin: Skin
    scan2car: Frame
    free: Free | None = None

    @property
    def closed(self) -> bool:
        """Whether every body of it closes."""
        return bool(self.skin.closed.all())

    @cached_property
    def vertices(self) -> Vector:
        """The vertices (n, 3) in the car."""
        return frozen(self.scan2car.points(self.skin.vertices), (None, 3))

    def triangle(self, number: int) -> Vector:
        """The corners (3, 3) of one triangle in the car."""
        return self.scan2car.points(self.skin.vertices[self.skin.triangles[number]])

    def placed(self, frame: Frame) -> "Scan":
        """The scan written in the frame that `frame` leads to."""
        return replace(self, scan2car=frame @ self.scan2car)
