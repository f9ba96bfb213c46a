"""Best-first search over the boxes of a movement and the nodes of a scan's tree: the engine room of scan_cover.

A cell is one convex piece over one box of the movements, with nodes that hold the whole scan between them, each with a
plane that bounds its gap all over the box. The piece moves, the scan stands; all in the scan's own frame, millimetres.
"""

import heapq
from dataclasses import dataclass
from itertools import count, product

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.door import Shape, claimed_to_hulls
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.gap import CLOSED_MM, INSIDE_MM, ROUNDING_MM, Gap, GapEngine, by_difference
from fitcheck.geometry.minkowski import nearest_weights
from fitcheck.geometry.path import Box, Course, Path
from fitcheck.geometry.scan import Numbers, Skin
from fitcheck.geometry.sides import FIXED

BATCH = 192  # nodes looked at in one go, the lowest first
ASKED = 48  # queries in one go
TRIED = 4  # directions, the best by a cluster's box, that are tried on its triangles
LOOKED_AT = 8  # nodes kept on the way down to a first witness
RECENT = 24  # directions of the latest answers tried on every new node

Place = tuple[float, ...]


@dataclass(eq=False, slots=True)
class Cell:
    """`nodes` (k,) with their `bounds` (k,) and `normals` (k, 3), and which were asked about in this box."""

    piece: int
    box: Box
    nodes: Numbers
    bounds: Vector
    normals: Vector
    asked: NDArray[np.bool_]

    @property
    def bound_mm(self) -> float:
        return float(self.bounds.min())


@dataclass(frozen=True, eq=False, slots=True)
class Witness:
    """One certified gap of a piece and a triangle at one place; `gap` goes from the triangle to the piece."""

    piece: int
    triangle: int
    at: Place
    gap: Gap


class ScanSearch:
    """The pieces of one body against one skin. `best` is the least witness so far.

    `settled_mm` is the least bound of all that was put aside because it was good enough.
    """

    def __init__(self, engine: GapEngine, skin: Skin, shapes: list[Shape], course: Course) -> None:
        self.engine, self.skin, self.shapes, self.course = engine, skin, shapes, course
        self.paths = [Path(shape.corners, course) for shape in shapes]
        self.best: Witness | None = None
        self.settled_mm = np.inf
        self._answers: dict[tuple[int, int, Place], Vector] = {}
        self._recent: list[list[Vector]] = [[] for _ in shapes]
        self._ticket = count()
        self._heap: list[tuple[float, int, Cell]] = []

    # The queue

    def push(self, cell: Cell, rank: float) -> None:
        heapq.heappush(self._heap, (rank, next(self._ticket), cell))

    def pop(self) -> Cell:
        return heapq.heappop(self._heap)[2]

    @property
    def lowest_mm(self) -> float:
        """Rank of the next cell; infinite when none is left."""
        return self._heap[0][0] if self._heap else np.inf

    def cell(self, piece: int, box: Box) -> Cell:
        """The whole skin against one piece over `box`."""
        root = np.array([1])
        return Cell(piece, box, root, *self._bounded(piece, box, root, None), np.zeros(1, dtype=bool))

    # Refining

    def refine(self, cell: Cell, enough_mm: float, aim: int | None = None) -> list[Cell]:
        """The cell made better or split, and what of it reaches `enough_mm` put aside; nothing left: no cell.

        A split is across the movement `aim` where that is given.
        """
        cell = self._without_settled(cell, enough_mm)
        if not len(cell.nodes):
            return []
        lowest = np.argsort(cell.bounds, kind="stable")[:BATCH]
        boxes, clusters, _ = self.skin.kinds(cell.nodes[lowest])
        by_moving, by_hull = self._slacks(cell, lowest)
        thick = by_hull >= by_moving
        if (boxes & thick).any():
            return [self._opened(cell, lowest[boxes & thick])]
        unasked = lowest[~boxes & ~cell.asked[lowest]][:ASKED]
        if len(unasked):
            self._ask(cell, unasked)
            return [cell]
        if (clusters & thick).any():
            return [self._opened(cell, lowest[clusters & thick])]
        if all(low == high for low, high in cell.box):
            # Certified to a thousandth at a standing place: there is nothing left to be won.
            self.settled_mm = min(self.settled_mm, cell.bound_mm)
            return []
        return self._halves(cell, aim)

    def _without_settled(self, cell: Cell, enough_mm: float) -> Cell:
        still = cell.bounds < enough_mm
        if still.all():
            return cell
        self.settled_mm = min(self.settled_mm, float(cell.bounds[~still].min()))
        kept = cell.nodes[still], cell.bounds[still], cell.normals[still], cell.asked[still]
        return Cell(cell.piece, cell.box, *kept)

    def _slacks(self, cell: Cell, which: Numbers) -> tuple[Vector, Vector]:
        """How much a better bound could win by a smaller box, and by smaller nodes; (k,) each."""
        path, normals = self.paths[cell.piece], cell.normals[which]
        middle = tuple(((low + high) / 2,) * 2 for low, high in cell.box)
        by_moving = path.lowest(normals, middle) - path.lowest(normals, cell.box)
        both = np.stack([normals, -normals], axis=1)
        by_hull = self.skin.highest(cell.nodes[which], both).sum(axis=1)
        return by_moving, by_hull

    def _opened(self, cell: Cell, which: Numbers) -> Cell:
        """The nodes at `which` replaced by those within them."""
        inner = [self.skin.children(int(node)) for node in cell.nodes[which]]
        parents = np.repeat(which, [len(nodes) for nodes in inner])
        nodes = np.concatenate(inner)
        bounds, normals = self._bounded(cell.piece, cell.box, nodes, cell.normals[parents])
        kept = np.ones(len(cell.nodes), dtype=bool)
        kept[which] = False
        return Cell(
            cell.piece,
            cell.box,
            np.concatenate([cell.nodes[kept], nodes]),
            np.concatenate([cell.bounds[kept], bounds]),
            np.concatenate([cell.normals[kept], normals]),
            np.concatenate([cell.asked[kept], np.zeros(len(nodes), dtype=bool)]),
        )

    def _halves(self, cell: Cell, aim: int | None) -> list[Cell]:
        """The cell over both halves of its box, cut across `aim` or where the piece moves the most."""
        reaches = self.paths[cell.piece].reaches
        sizes = [reach * (high - low) for reach, (low, high) in zip(reaches, cell.box, strict=True)]
        widest = int(np.argmax(sizes)) if aim is None else aim
        low, high = cell.box[widest]
        return [self.within(cell, widest, side) for side in ((low, (low + high) / 2), ((low + high) / 2, high))]

    def within(self, cell: Cell, movement: int, over: tuple[float, float]) -> Cell:
        """The same cell with one movement kept to `over`."""
        box = (*cell.box[:movement], over, *cell.box[movement + 1 :])
        bounds, normals = self._bounded(cell.piece, box, cell.nodes, cell.normals)
        return Cell(cell.piece, box, cell.nodes, bounds, normals, np.zeros(len(cell.nodes), dtype=bool))

    def look(self, piece: int) -> None:
        """A first witness, from which to judge what is worth refining: near the piece with all movements half way."""
        middle = tuple((low + high) / 2 for low, high in self.course.box)
        nodes = np.array([1])
        while not self.skin.kinds(nodes)[2].all():
            inner = np.concatenate([self.skin.children(int(node)) for node in nodes])
            bounds, _ = self._bounded(piece, tuple((at, at) for at in middle), inner, None)
            nodes = inner[np.argsort(bounds, kind="stable")[:LOOKED_AT]]
        self._answered(piece, nodes, middle)

    # Bounds

    def _bounded(self, piece: int, box: Box, nodes: Numbers, own: Vector | None) -> tuple[Vector, Vector]:
        """Bounds (k,) and their normals (k, 3), the best of a set of directions and of each node's `own` (k, 3)."""
        path, tried = self.paths[piece], self._directions(piece, box)
        low = path.lowest(tried, box)
        single = self.skin.kinds(nodes)[2]
        high = np.empty((len(nodes), len(tried)))
        high[~single] = self.skin.boxed(nodes[~single], tried)
        if single.any():
            high[single] = (self.skin.corners(nodes[single]) @ tried.T).max(axis=1)
        best = np.argpartition(high - low, TRIED, axis=1)[:, :TRIED]
        candidates, lows = tried[best], low[best]
        if own is not None:
            candidates = np.concatenate([candidates, own[:, None]], axis=1)
            lows = np.concatenate([lows, path.lowest(own, box)[:, None]], axis=1)
        found = lows - self.skin.highest(nodes, candidates) - ROUNDING_MM
        best_of = found.argmax(axis=1)
        rows = np.arange(len(nodes))
        return found[rows, best_of], candidates[rows, best_of]

    def _directions(self, piece: int, box: Box) -> Vector:
        """Directions from the scan toward the piece worth trying: fixed ones, the piece's faces, recent answers."""
        rotation = self.course.pose(tuple((low + high) / 2 for low, high in box))[0]
        faces = -self.shapes[piece].planes @ rotation.T
        recent = self._recent[piece]
        return np.concatenate([FIXED, faces, *([np.array(recent)] if recent else [])])

    # Queries

    def _ask(self, cell: Cell, which: Numbers) -> None:
        """Ask about the nodes at `which`, clusters or triangles, where the lowest one's plane stands lowest."""
        place = self._lowest_place(cell)
        normals = self._answered(cell.piece, cell.nodes[which], place)
        known = normals.any(axis=1)
        nodes, better = cell.nodes[which[known]], normals[known]
        cell.asked[which] = True
        if not len(nodes):
            return
        found = self.paths[cell.piece].lowest(better, cell.box) - self.skin.highest(nodes, better[:, None])[:, 0]
        found = found - ROUNDING_MM
        improved = found > cell.bounds[which[known]]
        cell.bounds[which[known][improved]] = found[improved]
        cell.normals[which[known][improved]] = better[improved]

    def _lowest_place(self, cell: Cell) -> Place:
        normal = cell.normals[int(cell.bounds.argmin())]
        middle = tuple((low + high) / 2 for low, high in cell.box)
        places = [middle, *product(*cell.box)]
        heights = [float((self.paths[cell.piece].at(place) @ normal).min()) for place in places]
        return places[int(np.argmin(heights))]

    def _answered(self, piece: int, nodes: Numbers, place: Place) -> Vector:
        """Directions (k, 3) from each of `nodes` to the piece at one place; rows of 0 where the two meet there."""
        new = np.array([node for node in nodes if (piece, int(node), place) not in self._answers], dtype=np.int64)
        for kind in self.skin.kinds(new):
            if kind.any():
                self._query(piece, new[kind], place)
        return np.array([self._answers[piece, int(node), place] for node in nodes])

    def _query(self, piece: int, nodes: Numbers, place: Place) -> None:
        self.engine.queries += len(nodes)
        sets = self.skin.corners(nodes)
        points, apart = claimed_to_hulls(self.shapes[piece], self.course.pose(place), sets)
        between = points[:, 1] - points[:, 0]
        lengths = np.sqrt((between**2).sum(axis=1))
        apart &= lengths > 0
        normals = np.zeros((len(nodes), 3))
        normals[apart] = between[apart] / lengths[apart, None]
        if nodes[0] >= self.skin.first_triangle:
            self._witnessed(piece, nodes, place, sets, points, normals)
        for node, normal in zip(nodes.tolist(), normals, strict=True):
            self._answers[piece, node, place] = normal
        best = self._recent[piece]
        self._recent[piece] = [*normals[apart][:2], *best][:RECENT]

    def _witnessed(
        self, piece: int, nodes: Numbers, place: Place, triangles: Vector, points: Vector, normals: Vector
    ) -> None:
        """Certify the claims about `triangles` (k, 3, 3), by the third road where need be, and keep the least gap.

        `normals` (k, 3) are put right where a claim was wrong; 0 where the two meet, before and after.
        """
        corners = self.paths[piece].at(place)
        weights = nearest_weights(triangles - points[:, :1])
        on_scan = np.einsum("kj,kjl->kl", weights, triangles)
        gaps = np.sqrt(((points[:, 1] - on_scan) ** 2).sum(axis=1))
        heights = (corners @ normals.T).min(axis=0) - np.einsum("kjl,kl->kj", triangles, normals).max(axis=1)
        rotation, origin = self.course.pose(place)
        shape = self.shapes[piece]
        outside = (((points[:, 1] - origin) @ rotation) @ shape.planes.T - shape.offsets).max(axis=1)
        slack = gaps - (heights - ROUNDING_MM)
        good = normals.any(axis=1) & (slack >= 0) & (slack <= CLOSED_MM) & (outside <= INSIDE_MM)
        for i in np.flatnonzero(~good).tolist():
            self.engine.third_road += 1
            gap = by_difference(triangles[i], corners)
            normals[i] = gap.normal if gap.gap_mm > 0 else 0.0
            self._keep(Witness(piece, int(nodes[i]) - self.skin.first_triangle, place, gap))
        if good.any():
            i = int(np.where(good, gaps, np.inf).argmin())
            bound = float(heights[i]) - ROUNDING_MM
            gap = Gap(bound, float(gaps[i]), 0.0, normals[i], on_scan[i], points[i, 1], 1)
            self._keep(Witness(piece, int(nodes[i]) - self.skin.first_triangle, place, gap))

    def _keep(self, found: Witness) -> None:
        if self.best is None or _rank(found.gap) < _rank(self.best.gap):
            self.best = found


def _rank(gap: Gap) -> tuple[float, float]:
    return gap.gap_mm, -gap.depth_mm
