"""The least gap and the first touch of any two bodies, scans among their pieces: each pair by the way that fits it.

Convex pieces go by cover and touch, a scan against convex pieces by scan_cover. Of two scans one counts as boxes that
hold it, which bounds their gap from below. Millimetres, radians, one common frame.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from fitcheck.geometry import cover, touch
from fitcheck.geometry.cover import Body, LeastGap
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.movement import Movement, Turn
from fitcheck.geometry.scan_cover import ScanBody, scan_first_touch, scan_least_gap, swapped
from fitcheck.geometry.scan_piece import ScanPiece
from fitcheck.geometry.sweeps import Shift


@dataclass(frozen=True, eq=False)
class _Lot:
    """Some pieces of a body, all convex or one scan, and their `numbers` in it."""

    body: Body
    numbers: tuple[int, ...]

    @property
    def scan(self) -> ScanPiece | None:
        piece = self.body.pieces[0]
        return piece if isinstance(piece, ScanPiece) else None


def _lots(body: Body) -> list[_Lot]:
    scans = [i for i, piece in enumerate(body.pieces) if isinstance(piece, ScanPiece)]
    if not scans:
        return [_Lot(body, tuple(range(len(body.pieces))))]
    convex = [i for i in range(len(body.pieces)) if i not in scans]
    lots = [convex] if convex else []
    return [
        _Lot(Body(tuple(body.pieces[i] for i in lot), body.moves), tuple(lot)) for lot in [*lots, *([i] for i in scans)]
    ]


def least_gap(engine: GapEngine, a: Body, b: Body, tolerance_mm: float = 0.05, enough_mm: float = math.inf) -> LeastGap:
    """The least gap of `a` and `b` over all their places, as `cover.least_gap` finds it; leaves only without scans.

    Two scans are not bracketed: their gap is at least `bound_mm`, and two points of them are `gap_mm` apart.
    """
    found: list[LeastGap] = []
    for one in _lots(a):
        for other in _lots(b):
            gap = _of_lots(engine, one, other, tolerance_mm, enough_mm)
            found.append(gap)
    return found[0] if len(found) == 1 else _together(found, tolerance_mm)


def _of_lots(engine: GapEngine, a: _Lot, b: _Lot, tolerance_mm: float, enough_mm: float) -> LeastGap:
    if a.scan is None and b.scan is None:
        gap = cover.least_gap(engine, a.body, b.body, tolerance_mm, enough_mm)
    elif a.scan is not None and b.scan is not None:
        gap = _of_scans(engine, a.body.moves, a.scan, b.body.moves, b.scan, tolerance_mm, enough_mm)
    elif a.scan is not None:
        gap = _of_scan(engine, a.body.moves, a.scan, b.body, tolerance_mm, enough_mm)
    else:
        assert b.scan is not None
        gap = swapped(_of_scan(engine, b.body.moves, b.scan, a.body, tolerance_mm, enough_mm))
    return replace(gap, a_piece=a.numbers[gap.a_piece], b_piece=b.numbers[gap.b_piece])


def _together(found: list[LeastGap], tolerance_mm: float) -> LeastGap:
    """The least of several, with the least bound of them all; a doubt about one is a doubt about the whole."""
    best = min(found, key=lambda gap: (-gap.depth_mm, gap.gap_mm))
    if best.gap_mm == 0:
        return replace(best, leaves=())
    bound = min(gap.bound_mm for gap in found)
    doubt = next((gap.doubt for gap in found if gap.doubt), "")
    return replace(best, bound_mm=bound, leaves=(), bracketed=best.gap_mm - bound <= tolerance_mm, doubt=doubt)


def _of_scan(
    engine: GapEngine, moves: tuple[Movement, ...], scan: ScanPiece, body: Body, tolerance_mm: float, enough_mm: float
) -> LeastGap:
    there = _seen(body, scan, moves)
    gap = scan_least_gap(engine, ScanBody(scan.scan, moves), there, tolerance_mm, enough_mm)
    return replace(gap, a_piece=0)


def _seen(body: Body, scan: ScanPiece, moves: tuple[Movement, ...]) -> Body:
    """The body as seen from a scan without its shift: swept the opposite way, widened for the turns in between."""
    if scan.shift is None:
        return body
    shift = Shift(-scan.shift.high, -scan.shift.low)
    for move in (*body.moves, *moves):
        if isinstance(move, Turn):
            shift = shift.within(move.axis, max(-move.start, move.stop, 0.0))
    return Body(tuple(piece.swept(shift) for piece in body.pieces), body.moves)


def _of_scans(
    engine: GapEngine,
    a_moves: tuple[Movement, ...],
    a: ScanPiece,
    b_moves: tuple[Movement, ...],
    b: ScanPiece,
    tolerance_mm: float,
    enough_mm: float,
) -> LeastGap:
    one = _of_scan(engine, a_moves, a, Body(b.boxes, b_moves), tolerance_mm, enough_mm)
    other = swapped(_of_scan(engine, b_moves, b, Body(a.boxes, a_moves), tolerance_mm, enough_mm))
    gap = max(one, other, key=lambda each: each.bound_mm)
    on_a, on_b = _on(a, a_moves, gap.a_at, gap.on_a), _on(b, b_moves, gap.b_at, gap.on_b)
    between = on_b - on_a
    apart = float(np.sqrt(between @ between))
    return replace(
        gap, gap_mm=apart, depth_mm=0.0, a_piece=0, b_piece=0, on_a=on_a, on_b=on_b, bracketed=False, doubt=""
    )


def _on(scan: ScanPiece, moves: tuple[Movement, ...], at: tuple[float, ...], point: np.ndarray) -> np.ndarray:
    """The point of the scan nearest to `point` (3,), with its movements at the values `at`."""
    for move, value in zip(moves[::-1], at[::-1], strict=True):
        point = move.moved(point[None], -value)[0]
    nearest = scan.nearest(point)
    for move, value in zip(moves, at, strict=True):
        nearest = move.moved(nearest[None], value)[0]
    return nearest


def first_touch(
    engine: GapEngine, a: Body, b: Body, moving: Literal["a", "b"], resolution: float
) -> tuple[float, float] | None:
    """Bracket of the lowest value of the first movement of `moving` at which they meet, as `touch.first_touch`.

    Two scans are not known to meet anywhere.
    """
    found = list(_touches(engine, a, b, moving, resolution))
    return (min(low for low, _ in found), min(high for _, high in found)) if found else None


def _touches(
    engine: GapEngine, a: Body, b: Body, moving: Literal["a", "b"], resolution: float
) -> Iterator[tuple[float, float]]:
    for one in _lots(a):
        for other in _lots(b):
            touched = None
            if one.scan is None and other.scan is None:
                touched = touch.first_touch(engine, one.body, other.body, moving, resolution)
            elif one.scan is None or other.scan is None:
                touched = _touch_of_scan(engine, one, other, moving, resolution)
            if touched is not None:
                yield touched


def _touch_of_scan(
    engine: GapEngine, a: _Lot, b: _Lot, moving: Literal["a", "b"], resolution: float
) -> tuple[float, float] | None:
    with_scan, other = (a, b) if a.scan is not None else (b, a)
    assert with_scan.scan is not None
    moves = with_scan.body.moves
    body = _seen(other.body, with_scan.scan, moves)
    mover: Literal["scan", "body"] = "scan" if (moving == "a") == (with_scan is a) else "body"
    return scan_first_touch(engine, ScanBody(with_scan.scan.scan, moves), body, mover, resolution)
