"""Where in a movement two bodies first meet, bracketed: certainly clear below, meeting at the upper end or before.

Values are the movement's own: radians for a turn, millimetres for a slide.
"""

from typing import Literal

from fitcheck.errors import GeometryError
from fitcheck.geometry.cover import MOST_QUERIES, Body, prepared
from fitcheck.geometry.gap import CLOSED_MM, GapEngine
from fitcheck.geometry.search import Node, Search


def first_touch(
    engine: GapEngine, a: Body, b: Body, moving: Literal["a", "b"], resolution: float
) -> tuple[float, float] | None:
    """Bracket of the lowest value of the first movement of `moving` at which `a` and `b` meet; None when they never do.

    All other movements may stand anywhere in their ranges. Below the lower end the pair is proven apart; at the upper
    end a place is known where they meet, and the ends are at most `resolution` apart. A gap of at most 0.001 mm may
    count as meeting. GeometryError where that body has no movement, the resolution is not positive, or 10,000 queries
    do not settle it.
    """
    moves = a.moves if moving == "a" else b.moves
    if not moves:
        raise GeometryError("a body without movements meets nothing on the way")
    if not resolution > 0:
        raise GeometryError(f"a resolution of {resolution}: it must be more than 0")
    search = prepared(engine, a, b)
    fixed = not moves[0].start < moves[0].stop
    which = -1 if fixed else (0 if moving == "a" else search.split)
    bracket = _Bracket(search, which, moves[0].start)
    for node in search.whole_nodes():
        bracket.keep(node)
    return bracket.closed(0.0 if fixed else resolution)


class _Bracket:
    """Nodes not yet proven clear, lowest first, and the lowest value at which the pair is known to meet."""

    def __init__(self, search: Search, which: int, start: float) -> None:
        self._search, self._which, self._start = search, which, start
        self._meets: float | None = None
        self._seen = 0

    def keep(self, node: Node) -> None:
        """Queue the node unless it is proven clear, or nothing in it could lower the upper end."""
        low = self._low(node)
        if node.bound_mm <= 0 and (self._meets is None or low < self._meets or self._which < 0):
            self._search.push(node, low)

    def closed(self, resolution: float) -> tuple[float, float] | None:
        last = self._search.engine.queries + MOST_QUERIES
        while self._search.queued:
            if self._search.engine.queries > last:
                raise GeometryError(f"where two bodies first meet is not settled after {MOST_QUERIES} queries")
            node = self._search.pop()
            if self._meets is not None and self._low(node) >= self._meets - resolution:
                return self._low(node), self._meets
            self._aim(node)
            for better in self._search.refine(node):
                self.keep(better)
            self._look()
        return None if self._meets is None else (self._meets, self._meets)

    def _aim(self, node: Node) -> None:
        """Split a node that meets somewhere along the movement in question: the others could be split without end."""
        if node.cut_at is None or self._which < 0:
            return
        gaps = self._search.corner_gaps(node)
        if any(gap.gap_mm <= CLOSED_MM for gap in gaps):
            low, high = node.box[self._which]
            node.cut_at = (self._which, (low + high) / 2)

    def _low(self, node: Node) -> float:
        return self._start if self._which < 0 else node.box[self._which][0]

    def _look(self) -> None:
        """Take in the answers that came since the last look."""
        samples = self._search.samples
        if len(samples) == self._seen:
            return
        self._seen = len(samples)
        (_, _, at), gap = next(reversed(samples.items()))
        if gap.gap_mm <= CLOSED_MM:
            value = self._start if self._which < 0 else at[self._which]
            self._meets = value if self._meets is None else min(value, self._meets)
