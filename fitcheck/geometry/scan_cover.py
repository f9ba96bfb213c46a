"""The least gap of a body of convex pieces against a scan through all their movements, certified as in cover.

Either may move: what counts is the body's movement as seen from the scan. A part wholly inside a closed scan meets it;
beside an open one the winding number tells what is not known. Millimetres, radians, the common frame outside.
"""

import math
from dataclasses import dataclass, replace
from typing import Literal

from fitcheck.errors import GeometryError
from fitcheck.geometry.cover import FINEST_MM, MOST_MOVEMENTS, Body, LeastGap, all_values
from fitcheck.geometry.door import Shape
from fitcheck.geometry.frames import Frame
from fitcheck.geometry.gap import CLOSED_MM, GapEngine
from fitcheck.geometry.movement import Movement, Turn
from fitcheck.geometry.path import Course
from fitcheck.geometry.scan import Scan
from fitcheck.geometry.scan_inside import deepest, look_inside
from fitcheck.geometry.scan_search import Cell, ScanSearch, Witness

MOST_QUERIES = 100_000  # on one pair; some seconds
MOST_ROUNDS = 5_000


@dataclass(frozen=True, eq=False)
class ScanBody:
    """A scan that moves by `moves`, first entry first, or stands still."""

    scan: Scan
    moves: tuple[Movement, ...] = ()


def scan_least_gap(
    engine: GapEngine, a: ScanBody | Body, b: ScanBody | Body, tolerance_mm: float = 0.05, enough_mm: float = math.inf
) -> LeastGap:
    """The least gap of a scan and a body of convex pieces, either first, over all their places.

    The scan's piece is the number of a triangle, and no leaves are kept. Stops as `least_gap` does. GeometryError where
    not just one of the two is a scan, or they move in too many ways.
    """
    if isinstance(a, Body) and isinstance(b, ScanBody):
        return swapped(scan_least_gap(engine, b, a, tolerance_mm, enough_mm))
    if not (isinstance(a, ScanBody) and isinstance(b, Body)):
        raise GeometryError("a scan can be measured against a body of convex pieces only")
    if not tolerance_mm >= FINEST_MM:
        raise GeometryError(f"a tolerance of {tolerance_mm} mm: at least {FINEST_MM} mm is needed")
    return _Pair(engine, a, b).least(tolerance_mm, enough_mm)


def swapped(gap: LeastGap) -> LeastGap:
    """The same with a and b exchanged; for gaps without leaves."""
    return replace(
        gap,
        a_piece=gap.b_piece,
        b_piece=gap.a_piece,
        a_at=gap.b_at,
        b_at=gap.a_at,
        normal=-gap.normal,
        on_a=gap.on_b,
        on_b=gap.on_a,
    )


class _Pair:
    """A scan and a body, ready to be searched: the body and all movements as seen from the scan's own frame."""

    def __init__(self, engine: GapEngine, scan: ScanBody, body: Body) -> None:
        self.scan, self.body = scan, body
        self.moves = body.moves + tuple(_undone(move) for move in reversed(scan.moves))
        car2scan = scan.scan.scan2car.inverse
        self.course = Course(tuple(_seen(move, car2scan) for move in self.moves))
        if len(self.course.moves) > MOST_MOVEMENTS:
            raise GeometryError(
                f"{len(self.course.moves)} movements in one pair; at most {MOST_MOVEMENTS} can be covered"
            )
        self.shapes = [
            Shape(car2scan.points(piece.corners), piece.faces, piece.name or "a piece") for piece in body.pieces
        ]
        self.search = ScanSearch(engine, scan.scan.skin, self.shapes, self.course)

    def least(self, tolerance_mm: float, enough_mm: float) -> LeastGap:
        search = self.search
        last, rounds = search.engine.queries + MOST_QUERIES, 0
        cells = [search.cell(piece, self.course.box) for piece in range(len(self.shapes))]
        first = min(cells, key=lambda cell: cell.bound_mm)
        if first.bound_mm < enough_mm:
            search.look(first.piece)
        for cell in cells:
            search.push(cell, cell.bound_mm)
        while search.lowest_mm < self._enough(tolerance_mm, enough_mm):
            rounds += 1
            if search.engine.queries >= last or rounds > MOST_ROUNDS:
                break
            for better in search.refine(search.pop(), self._enough(tolerance_mm, enough_mm)):
                search.push(better, better.bound_mm)
        if search.best is None:
            search.look(first.piece)
        return self._told(min(search.lowest_mm, search.settled_mm), tolerance_mm)

    def _enough(self, tolerance_mm: float, enough_mm: float) -> float:
        best = self.search.best
        if best is None:
            return enough_mm
        return -math.inf if best.gap.gap_mm == 0 else min(enough_mm, best.gap.gap_mm - tolerance_mm)

    # Telling

    def _told(self, bound_mm: float, tolerance_mm: float) -> LeastGap:
        best = self.search.best
        assert best is not None
        bracketed = best.gap.gap_mm == 0 or best.gap.gap_mm - bound_mm <= tolerance_mm
        if best.gap.gap_mm == 0:
            deep = deepest(self.scan.scan.skin, self.shapes[best.piece], self.course.pose(best.at), best)
            return self._in_common(deep, deep.gap.bound_mm, True)
        if not bound_mm > 0:
            return self._in_common(best, bound_mm, bracketed)
        inside = look_inside(self.scan.scan, self.search, best.at)
        if inside.met is not None:
            return self._in_common(inside.met, inside.met.gap.bound_mm, True)
        return replace(self._in_common(best, bound_mm, bracketed), doubt=inside.doubt)

    def _in_common(self, found: Witness, bound_mm: float, bracketed: bool) -> LeastGap:
        values = all_values(self.moves, found.at)
        scan_at = values[len(self.body.moves) :][::-1]
        scan2common = self.scan.scan.scan2car
        for move, value in zip(self.scan.moves, scan_at, strict=True):
            scan2common = move.frame(value) @ scan2common
        gap = found.gap
        return LeastGap(
            bound_mm=bound_mm,
            gap_mm=gap.gap_mm,
            depth_mm=gap.depth_mm,
            a_piece=found.triangle,
            b_piece=found.piece,
            a_at=scan_at,
            b_at=values[: len(self.body.moves)],
            normal=scan2common.directions(gap.normal),
            on_a=scan2common.points(gap.on_a),
            on_b=scan2common.points(gap.on_b),
            leaves=(),
            bracketed=bracketed,
        )


def _undone(move: Movement) -> Movement:
    """The movement that takes back what `move` did, at the same value."""
    return replace(move, axis=-move.axis) if isinstance(move, Turn) else replace(move, direction=-move.direction)


def _seen(move: Movement, frame: Frame) -> Movement:
    """The movement written in the frame that `frame` leads to."""
    if isinstance(move, Turn):
        return replace(move, point=frame.points(move.point), axis=frame.directions(move.axis))
    return replace(move, direction=frame.directions(move.direction))


def scan_first_touch(
    engine: GapEngine, scan: ScanBody, body: Body, moving: Literal["scan", "body"], resolution: float
) -> tuple[float, float] | None:
    """Bracket of the lowest value of the first movement of `moving` at which they meet; None when they never do.

    As `first_touch`; a body inside a closed scan meets it from the start.
    """
    moves = body.moves if moving == "body" else scan.moves
    if not moves:
        raise GeometryError("a body without movements meets nothing on the way")
    if not resolution > 0:
        raise GeometryError(f"a resolution of {resolution}: it must be more than 0")
    pair = _Pair(engine, scan, body)
    start = moves[0].start
    if not start < moves[0].stop:
        met = pair.least(FINEST_MM, FINEST_MM).gap_mm == 0
        return (start, start) if met else None
    which = 0 if moving == "body" else len(pair.course.moves) - 1
    return _Touch(pair, which, start, resolution).bracket()


class _Touch:
    """Cells not yet proven clear, lowest first, and the lowest value at which the two are known to meet."""

    def __init__(self, pair: _Pair, which: int, start: float, resolution: float) -> None:
        self._pair, self._which, self._start, self._resolution = pair, which, start, resolution
        self._meets = math.inf

    def bracket(self) -> tuple[float, float] | None:
        found = self._of_surfaces()
        middle = [(low + high) / 2 for low, high in self._pair.course.box]
        middle[self._which] = self._start
        inside = (found is None or found[0] > self._start) and look_inside(
            self._pair.scan.scan, self._pair.search, tuple(middle)
        ).met
        return (self._start, self._start) if inside else found

    def _of_surfaces(self) -> tuple[float, float] | None:
        search, box = self._pair.search, self._pair.course.box
        last = search.engine.queries + MOST_QUERIES
        for piece in range(len(self._pair.shapes)):
            self._keep(search.cell(piece, box))
        while search.lowest_mm < math.inf:
            if search.engine.queries > last:
                raise GeometryError(f"where two bodies first meet is not settled after {MOST_QUERIES} queries")
            cell = search.pop()
            low = cell.box[self._which][0]
            if low >= self._meets - self._resolution:
                return low, self._meets
            for better in search.refine(cell, 0.0, self._which if self._met_in(cell) else None):
                self._keep(better)
            self._look()
        return None if self._meets == math.inf else (self._meets, self._meets)

    def _keep(self, cell: Cell) -> None:
        low = cell.box[self._which][0]
        if cell.bound_mm <= 0 and low < self._meets:
            self._pair.search.push(cell, low)

    def _met_in(self, cell: Cell) -> bool:
        low, high = cell.box[self._which]
        return low < self._meets <= high

    def _look(self) -> None:
        """Take in the answer that came, and make room for the next."""
        best = self._pair.search.best
        if best is not None and best.gap.gap_mm <= CLOSED_MM:
            self._meets = min(self._meets, best.at[self._which])
        self._pair.search.best = None
