"""The least gap of two bodies through their whole movements: a witness from above, a cover of boxes from below.

A body is convex pieces that move together; what happens between two samples is never left to chance. Millimetres,
radians, one common frame.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product

from fitcheck.errors import GeometryError
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.gap import CLOSED_MM, Gap, GapEngine
from fitcheck.geometry.movement import Movement
from fitcheck.geometry.path import Box
from fitcheck.geometry.search import Kind, Node, Place, Search
from fitcheck.geometry.sides import Side
from fitcheck.geometry.solids import Piece

MOST_MOVEMENTS = 3
FINEST_MM = 2 * CLOSED_MM  # a witness itself is only known to be this good
MOST_QUERIES = 10_000  # on one pair of bodies; seconds, where a typical pair takes milliseconds
PROBES = 12  # queries spent on the deepest pair once two bodies are known to meet


@dataclass(frozen=True, eq=False)
class Body:
    """`pieces` that move together by `moves`, first entry first, each over its own range."""

    pieces: tuple[Piece, ...]
    moves: tuple[Movement, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "pieces", tuple(self.pieces))
        object.__setattr__(self, "moves", tuple(self.moves))
        if not self.pieces:
            raise GeometryError("a body of no pieces")


@dataclass(frozen=True, eq=False, slots=True)
class Leaf:
    """One piece pair over one box of the movements (a's then b's, one low and high a movement) and what bounds its gap.

    `held`: the plane square to the one direction of `normals`, held all along. `swing`: one direction a corner of the
    box, movements without width left out, the last movement's end changing fastest. `spheres`: bounding spheres; the
    direction is from a's to b's.
    """

    a_piece: int
    b_piece: int
    box: Box
    normals: tuple[Vector, ...]
    bound_mm: float
    kind: Kind


@dataclass(frozen=True, eq=False)
class NearPlace:
    """One piece pair where it comes near: its gap there, over a small box of the movements, is at least `bound_mm`.

    `a_at`, `b_at`, `normal` (3,) from a to b, and the witnesses `on_a`, `on_b` (3,) are those of its least sample.
    """

    bound_mm: float
    a_piece: int
    b_piece: int
    a_at: Place
    b_at: Place
    normal: Vector
    on_a: Vector
    on_b: Vector


@dataclass(frozen=True, eq=False)
class LeastGap(NearPlace):
    """The least gap over all piece pairs and places: `bound_mm <= true least gap <= gap_mm`.

    `gap_mm` is a witness's, at movement values `a_at`, `b_at`, with its direction and points in the common frame there.
    Where the bodies meet, `gap_mm` is 0, `depth_mm` is how far in at least (the deepest convex pair at a few places),
    `bound_mm` is the certified height at the place reported, and the leaves cover everything but are not driven up.
    Where the search stopped because there was room enough, or after 10,000 queries, `bracketed` is False: the true
    least gap is at least `bound_mm`, and `gap_mm` is merely the gap at the place reported. `doubt` says why one may be
    inside the other although their surfaces are apart (beside an open scan); empty where it cannot be.
    """

    gap_mm: float
    depth_mm: float
    leaves: tuple[Leaf, ...]
    bracketed: bool = True
    doubt: str = ""


def restricted(body: Body, ranges: Sequence[tuple[float, float]]) -> Body:
    """The same body with each movement kept to its pair of `ranges`; GeometryError where that is outside its own."""
    if len(ranges) != len(body.moves):
        raise GeometryError(f"{len(ranges)} ranges for {len(body.moves)} movements")
    for (low, high), move in zip(ranges, body.moves, strict=True):
        if not move.start <= low <= high <= move.stop:
            raise GeometryError(f"a range {low} to {high} leaves the movement's own, {move.start} to {move.stop}")
    return Body(
        body.pieces,
        tuple(replace(move, start=low, stop=high) for move, (low, high) in zip(body.moves, ranges, strict=True)),
    )


def prepared(engine: GapEngine, a: Body, b: Body) -> Search:
    """The search over two bodies; GeometryError where they move in more than three ways between them."""
    search = Search(engine, _side(engine, a), _side(engine, b))
    if len(search.whole) > MOST_MOVEMENTS:
        raise GeometryError(f"{len(search.whole)} movements in one pair; at most {MOST_MOVEMENTS} can be covered")
    return search


def _side(engine: GapEngine, body: Body) -> Side:
    known = engine.ready.get(body)
    if isinstance(known, Side):
        return known
    side = Side(engine, body.pieces, body.moves)
    engine.ready[body] = side
    return side


def least_gap(engine: GapEngine, a: Body, b: Body, tolerance_mm: float = 0.05, enough_mm: float = math.inf) -> LeastGap:
    """The least gap of `a` and `b` over all their places; `gap_mm - bound_mm <= tolerance_mm` unless they meet.

    Stops as soon as the gap is proven to be at least `enough_mm` everywhere, and after 10,000 queries (a round part
    that keeps its gap all over a box of three turns can ask for millions); then it is not bracketed.
    """
    if not tolerance_mm >= FINEST_MM:
        raise GeometryError(f"a tolerance of {tolerance_mm} mm: at least {FINEST_MM} mm is needed")
    search, last = prepared(engine, a, b), engine.queries + MOST_QUERIES
    waiting = search.whole_nodes()
    while True:
        node = search.lowest_of(waiting)
        room, spent = node.bound_mm >= enough_mm, engine.queries >= last
        if room or spent or _settled(search, node.bound_mm + tolerance_mm):
            waiting.append(node)
            break
        for better in search.refine(node):
            search.push(better, better.bound_mm)
    if search.best is None:
        search.sample(node.a_piece, node.b_piece, tuple((low + high) / 2 for low, high in node.box))
    return _told(search, [*search.nodes, *waiting], a, b, tolerance_mm)


def _settled(search: Search, reach_mm: float) -> bool:
    """Whether the bodies are known to meet, or the least witness is no more than `reach_mm`."""
    return search.best is not None and (search.best[0] == 0 or search.best[0] <= reach_mm)


def _told(search: Search, nodes: list[Node], a: Body, b: Body, tolerance_mm: float) -> LeastGap:
    assert search.best is not None
    gap_mm, a_piece, b_piece, at = search.best
    gap = search.samples[a_piece, b_piece, at]
    bound = min(node.bound_mm for node in nodes)
    if gap_mm == 0:
        a_piece, b_piece, at, gap = _deepest(search)
        bound = gap.bound_mm
    return LeastGap(
        bound_mm=bound,
        gap_mm=gap_mm,
        depth_mm=gap.depth_mm,
        a_piece=a_piece,
        b_piece=b_piece,
        a_at=all_values(a.moves, at[: search.split]),
        b_at=all_values(b.moves, at[search.split :]),
        normal=gap.normal,
        on_a=gap.on_a,
        on_b=gap.on_b,
        leaves=_leaves(nodes, a, b),
        bracketed=gap_mm == 0 or gap_mm - bound <= tolerance_mm,
    )


def _deepest(search: Search) -> tuple[int, int, Place, Gap]:
    """The deepest pair at the place where the bodies were found to meet, and of that pair at the corners of the box."""
    assert search.best is not None
    _, a_piece, b_piece, at = search.best
    here = sorted(search.by_spheres(tuple((value, value) for value in at)), key=lambda node: node.bound_mm)
    near = [(node.a_piece, node.b_piece, at) for node in here if node.bound_mm < 0][: PROBES // 2]
    ends = [(a_piece, b_piece, end) for end in product(*search.whole)]
    probed = [(a_piece, b_piece, at), *near, *((i, j, tuple(end)) for i, j, end in ends[: PROBES // 2])]
    found = [(i, j, place, search.sample(i, j, place)) for i, j, place in dict.fromkeys(probed)]
    return max(found, key=lambda entry: (entry[3].depth_mm, entry[3].gap_mm == 0, entry[2] == at))


def all_values(moves: tuple[Movement, ...], values: Place) -> Place:
    """One value a movement, those without width included."""
    active = iter(values)
    return tuple(next(active) if move.start < move.stop else float(move.start) for move in moves)


def _leaves(nodes: list[Node], a: Body, b: Body) -> tuple[Leaf, ...]:
    moves = a.moves + b.moves
    boxes: dict[Box, Box] = {}  # many pairs share the whole box
    leaves: dict[int, Leaf] = {}  # two halves may rest on one proof
    for node in nodes:
        for proof in node.proofs:
            if proof.box not in boxes:
                lows, highs = ([ends[which] for ends in proof.box] for which in (0, 1))
                boxes[proof.box] = tuple(
                    zip(all_values(moves, tuple(lows)), all_values(moves, tuple(highs)), strict=True)
                )
            box, normals = boxes[proof.box], tuple(proof.normals)
            leaves[id(proof)] = Leaf(node.a_piece, node.b_piece, box, normals, proof.bound_mm, proof.kind)
    return tuple(leaves.values())
