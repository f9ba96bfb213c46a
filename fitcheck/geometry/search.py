"""Best-first search over the piece pairs of two bodies and the box of their movements: the engine room of the cover.

A node is one piece pair over one box with a certified lower bound; the lowest is refined until it is near enough to the
least witness. A box counts the movements that move, a's before b's. Millimetres, radians, one common frame.
"""

import heapq
from dataclasses import dataclass, field
from itertools import count, product
from typing import Literal

import numpy as np

from fitcheck.geometry.frames import Vector
from fitcheck.geometry.gap import ROUNDING_MM, Gap, GapEngine
from fitcheck.geometry.movement import Turn
from fitcheck.geometry.path import Box
from fitcheck.geometry.sides import Bounds, Side, sphere_bounds, whole_bounds
from fitcheck.geometry.swing import bulges, swing_bound

Kind = Literal["held", "swing", "spheres"]
Place = tuple[float, ...]
NEIGHBOURS = 6  # directions of earlier answers tried on a new node before it costs a query
CROSSINGS = 33  # places at which two held planes are compared
EDGE_SHARE = 0.05  # no split nearer to an end than this share of the width


@dataclass(frozen=True, eq=False, slots=True)
class Proof:
    """What bounds a piece pair's gap over `box`: `normals` (1, 3), or (2**k, 3) at the box's corners for a swing."""

    box: Box
    normals: Vector
    bound_mm: float
    kind: Kind


@dataclass(eq=False, slots=True)
class Node:
    """One piece pair over one box, bounded by `proofs` that cover it between them."""

    a_piece: int
    b_piece: int
    box: Box
    proofs: tuple[Proof, ...]
    untried: bool = True  # no neighbour's direction tried yet
    cut_at: tuple[int, float] | None = None  # which movement to split next, and where; known once all corners are
    bound_mm: float = field(init=False)

    def __post_init__(self) -> None:
        self.bound_mm = _least_bound(self.proofs)

    def improved(self, *proofs: Proof) -> bool:
        """Take `proofs`, which cover the box, where they bound it better."""
        bound = _least_bound(proofs)
        better = bound > self.bound_mm
        if better:
            self.proofs, self.bound_mm = proofs, bound
        return better


def _least_bound(proofs: tuple[Proof, ...]) -> float:
    return proofs[0].bound_mm if len(proofs) == 1 else min(proof.bound_mm for proof in proofs)


class Search:
    """All piece pairs of two sides. `best` is the least witness so far: its gap, pair and place."""

    def __init__(self, engine: GapEngine, a: Side, b: Side) -> None:
        self.engine, self.a, self.b = engine, a, b
        self.split = len(a.course.moves)
        self.whole: Box = a.course.box + b.course.box
        self.turns = np.array([float(isinstance(move, Turn)) for move in a.course.moves + b.course.moves])
        self.samples: dict[tuple[int, int, Place], Gap] = {}
        self.best: tuple[float, int, int, Place] | None = None
        self._recent: list[Vector] = []
        self._ticket = count()
        self._heap: list[tuple[float, int, Node]] = []

    # The queue

    def push(self, node: Node, rank: float) -> None:
        heapq.heappush(self._heap, (rank, next(self._ticket), node))

    def pop(self) -> Node:
        return heapq.heappop(self._heap)[2]

    def lowest_of(self, waiting: list[Node]) -> Node:
        """The node of lowest bound, of those queued by it or those `waiting`, the lowest last; taken out there."""
        if waiting and not (self._heap and self._heap[0][0] <= waiting[-1].bound_mm):
            return waiting.pop()
        return self.pop()

    @property
    def queued(self) -> int:
        return len(self._heap)

    @property
    def nodes(self) -> list[Node]:
        return [node for _, _, node in self._heap]

    def whole_nodes(self) -> list[Node]:
        """One node a piece pair over the whole of all movements, the lowest bound last."""
        return _nodes(whole_bounds(self.a, self.b), self.whole)

    def by_spheres(self, box: Box) -> list[Node]:
        """One node a piece pair over `box`, by spheres that hold the pieces all along; the lowest bound last."""
        return _nodes(sphere_bounds(self.a, self.b, box[: self.split], box[self.split :]), box)

    # Bounds

    def held(self, node: Node, box: Box, normals: Vector) -> Proof:
        """The best of `normals` (m, 3), its plane held over all of `box`."""
        lows = self.b.paths[node.b_piece].lowest(normals, box[self.split :])
        heights = lows - self.a.paths[node.a_piece].highest(normals, box[: self.split])
        best = int(heights.argmax())
        return Proof(box, normals[best][None], float(heights[best]) - ROUNDING_MM, "held")

    def swing(self, node: Node, gaps: list[Gap]) -> tuple[Proof, Vector]:
        """The swing bound from `gaps` at all corners of the node, and the sag (k,) each movement costs."""
        shape = (2,) * len(node.box)
        normals = np.array([gap.normal for gap in gaps])
        heights = np.array([gap.bound_mm for gap in gaps]).reshape(shape)
        widths = np.array([high - low for low, high in node.box])
        reaches = np.array(self.a.paths[node.a_piece].reaches + self.b.paths[node.b_piece].reaches)
        sag = bulges(normals.reshape((*shape, 3)), widths, reaches, self.turns)
        return Proof(node.box, normals, swing_bound(heights, normals, sag), "swing"), sag

    def handed_over(self, node: Node, first: Gap, last: Gap) -> tuple[list[Proof], float]:
        """One movement: the first end's plane held until it meets the last end's, which is held from there on."""
        places = np.linspace(*node.box[0], CROSSINGS)
        heights = self._heights(node, np.array([first.normal, last.normal]), places)
        meet = int(heights.max(axis=0).argmin())
        at = float(places[min(max(meet, 1), CROSSINGS - 2)])
        (low, high), *_ = node.box
        proofs = [
            self.held(node, ((low, at),), first.normal[None]),
            self.held(node, ((at, high),), last.normal[None]),
        ]
        return proofs, at

    def _heights(self, node: Node, normals: Vector, places: Vector) -> Vector:
        """Heights (k, m) of the pair along `normals` (k, 3) at each of `places` (m,) of its one movement."""
        a_path, b_path = self.a.paths[node.a_piece], self.b.paths[node.b_piece]
        if self.split:
            fixed = (b_path.rest @ normals.T).min(axis=0)[:, None]
            return np.asarray(fixed + a_path.least_heights(-normals, places))
        fixed = (a_path.rest @ normals.T).max(axis=0)[:, None]
        return np.asarray(b_path.least_heights(normals, places) - fixed)

    # Queries

    def sample(self, a_piece: int, b_piece: int, at: Place) -> Gap:
        """The gap of one piece pair at one place; asked once."""
        key = (a_piece, b_piece, at)
        known = self.samples.get(key)
        if known is not None:
            return known
        a_at, b_at = at[: self.split], at[self.split :]
        a_path, b_path = self.a.paths[a_piece], self.b.paths[b_piece]
        gap = self.engine.ask(
            self.a.shapes[a_piece],
            self.b.shapes[b_piece],
            self.a.course.pose(a_at),
            self.b.course.pose(b_at),
            a_path.at(a_at),
            b_path.at(b_at),
        )
        self.samples[key] = gap
        self._recent = [gap.normal, *self._recent[: NEIGHBOURS - 1]]
        if self.best is None or gap.gap_mm < self.best[0]:
            self.best = (gap.gap_mm, a_piece, b_piece, at)
        return gap

    def refine(self, node: Node) -> list[Node]:
        """The node with a better bound, or its two halves; costs one query at most."""
        if node.untried:
            node.untried = False
            tries = np.concatenate([proof.normals for proof in node.proofs] + [n[None] for n in self._recent])
            if node.improved(self.held(node, node.box, tries)):
                return [node]
        corners = list(product(*node.box))
        missing = [at for at in corners if (node.a_piece, node.b_piece, at) not in self.samples]
        if missing:
            gap = self.sample(node.a_piece, node.b_piece, self._lowest(node, missing))
            node.improved(self.held(node, node.box, gap.normal[None]))
            return [node]
        if node.cut_at is None:
            self._finish(node, self.corner_gaps(node))
            return [node]
        return self._halves(node, self.corner_gaps(node))

    def corner_gaps(self, node: Node) -> list[Gap]:
        """The answers at the corners of the node's box, all asked before; the last movement's end changes fastest."""
        return [self.samples[node.a_piece, node.b_piece, at] for at in product(*node.box)]

    def _lowest(self, node: Node, places: list[Place]) -> Place:
        """Of `places` the one where the node's plane stands lowest: there the gap is likely least."""
        if len(places) == 1:
            return places[0]
        normal = node.proofs[0].normals[0]
        a_path, b_path = self.a.paths[node.a_piece], self.b.paths[node.b_piece]
        heights = [
            (b_path.at(at[self.split :]) @ normal).min() - (a_path.at(at[: self.split]) @ normal).max() for at in places
        ]
        return places[int(np.argmin(heights))]

    def _finish(self, node: Node, gaps: list[Gap]) -> None:
        """All corners are known: take the best bound there is, and settle where the node would be split."""
        proof, sag = self.swing(node, gaps)
        node.improved(proof)
        widest = int(sag.argmax())
        low, high = node.box[widest]
        node.cut_at = (widest, (low + high) / 2)
        if len(node.box) == 1:
            proofs, at = self.handed_over(node, gaps[0], gaps[1])
            node.improved(*proofs)
            edge = EDGE_SHARE * (high - low)
            if low + edge <= at <= high - edge:
                node.cut_at = (0, at)

    def _halves(self, node: Node, gaps: list[Gap]) -> list[Node]:
        assert node.cut_at is not None
        which, at = node.cut_at
        low, high = node.box[which]
        normals = np.array([gap.normal for gap in gaps])
        halves = []
        for side in ((low, at), (at, high)):
            box = (*node.box[:which], side, *node.box[which + 1 :])
            kept = tuple(proof for proof in node.proofs if _overlap(proof.box, box))
            half = Node(node.a_piece, node.b_piece, box, kept, untried=False)
            half.improved(self.held(half, box, normals))
            halves.append(half)
        return halves


def _overlap(one: Box, other: Box) -> bool:
    return all(a[0] < b[1] and b[0] < a[1] for a, b in zip(one, other, strict=True))


def _nodes(found: Bounds, box: Box) -> list[Node]:
    count = found.bounds.shape[1]
    bounds, normals = found.bounds.ravel(), found.normals.reshape(-1, 1, 3)
    falling = np.argsort(-bounds, kind="stable").tolist()
    kinds: list[Kind] = ["spheres" if by_sphere else "held" for by_sphere in found.by_sphere.ravel().tolist()]
    values = bounds.tolist()
    return [Node(at // count, at % count, box, (Proof(box, normals[at], values[at], kinds[at]),)) for at in falling]
