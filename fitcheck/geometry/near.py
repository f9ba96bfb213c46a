"""Every place where two bodies come nearly as close as where they come closest: the cover driven up there, and kept.

A search for the least gap stops as soon as the least is known; what the readings' spread may do needs all places within
some reach of it, each bounded tightly. Millimetres, radians, one common frame.
"""

from dataclasses import dataclass

import numpy as np

from fitcheck.geometry.cover import Body, all_values, prepared
from fitcheck.geometry.frames import Vector, unit
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.search import Node, Place, Search

TIGHT_MM = 0.2  # a bound this near its own witness is driven no further
MOST_QUERIES = 3000


@dataclass(frozen=True, eq=False)
class NearPlace:
    """One piece pair over a small box of the movements about `a_at`, `b_at`: its gap there is at least `bound_mm`.

    `normal` (3,) points from a to b.
    """

    a_piece: int
    b_piece: int
    a_at: Place
    b_at: Place
    normal: Vector
    bound_mm: float


def near_places(engine: GapEngine, a: Body, b: Body, below_mm: float) -> tuple[NearPlace, ...]:
    """Places that between them bound the gap wherever it may be under `below_mm`."""
    search, last = prepared(engine, a, b), engine.queries + MOST_QUERIES
    waiting = search.whole_nodes()
    kept: list[Node] = []
    while search.queued or waiting:
        node = search.lowest_of(waiting)
        if node.bound_mm >= below_mm:
            break
        if _tight(search, node) or engine.queries >= last:
            kept.append(node)
            continue
        for better in search.refine(node):
            search.push(better, better.bound_mm)
    return tuple(_place(node, search, a, b) for node in kept)


def _tight(search: Search, node: Node) -> bool:
    """Whether a witness within the node's box is as near as its bound."""
    if not node.box:
        return (node.a_piece, node.b_piece, ()) in search.samples
    if node.cut_at is None:
        return False
    return min(gap.gap_mm for gap in search.corner_gaps(node)) - node.bound_mm <= TIGHT_MM


def _place(node: Node, search: Search, a: Body, b: Body) -> NearPlace:
    middle = tuple((low + high) / 2 for low, high in node.box)
    proof = min(node.proofs, key=lambda proof: proof.bound_mm)
    return NearPlace(
        node.a_piece,
        node.b_piece,
        all_values(a.moves, middle[: search.split]),
        all_values(b.moves, middle[search.split :]),
        unit(np.sum(proof.normals, axis=0)),
        node.bound_mm,
    )
