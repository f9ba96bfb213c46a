"""Every place where two bodies come nearly as close as where they come closest: the cover driven up there, and kept.

A search for the least gap stops as soon as the least is known; what the readings' spread may do needs all places within
some reach of it, each bounded tightly. Millimetres, radians, one common frame.
"""

from itertools import product

from fitcheck.geometry.cover import Body, NearPlace, all_values, prepared
from fitcheck.geometry.gap import Gap, GapEngine
from fitcheck.geometry.search import Node, Place, Search

TIGHT_MM = 0.2  # a bound this near its own witness is driven no further
MOST_QUERIES = 3000


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
    if node.box and node.cut_at is None:
        return False
    return _sampled(search, node) and _least(search, node)[1].gap_mm - node.bound_mm <= TIGHT_MM


def _sampled(search: Search, node: Node) -> bool:
    return any((node.a_piece, node.b_piece, at) in search.samples for at in product(*node.box))


def _least(search: Search, node: Node) -> tuple[Place, Gap]:
    """The least sample at a corner of the node's box."""
    places = list(product(*node.box))
    return min(((at, search.sample(node.a_piece, node.b_piece, at)) for at in places), key=lambda each: each[1].gap_mm)


def _place(node: Node, search: Search, a: Body, b: Body) -> NearPlace:
    at, gap = _least(search, node)
    a_at, b_at = all_values(a.moves, at[: search.split]), all_values(b.moves, at[search.split :])
    return NearPlace(node.bound_mm, node.a_piece, node.b_piece, a_at, b_at, gap.normal, gap.on_a, gap.on_b)
