"""A piece that was cut short: what can still be done, or that nothing can. mm; a move of the unit is + toward the rack.

A jacket may be mended by its collar, a spacer ring or the unit's place; a shaft only within its bands or by the unit's
place. Never a spacer, a stretch or a weld on a shaft, and never a smaller requirement.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf
from typing import Literal

from fitcheck.cuts.limits import Band
from fitcheck.cuts.marks import rounded_into
from fitcheck.cuts.pieces import Piece
from fitcheck.cuts.trial import FirstCut
from fitcheck.job.cutting import MayMove
from fitcheck.job.lengths import round_to_32

Kind = Literal["within its bands", "the unit's place", "spacer ring", "longer collar", "none", "ask"]
Range = tuple[float, float]


@dataclass(frozen=True)
class Way:
    """One way out. `move_mm`: the unit's move, 0 where it stays; `lengths_mm`: of the other pieces, finished, then."""

    kind: Kind
    words: str
    move_mm: float
    lengths_mm: dict[str, float]


@dataclass(frozen=True)
class Short:
    """A finished piece that is shorter than planned, with its ways out; the last may be that there is none."""

    piece: Piece
    short_mm: float
    ways: tuple[Way, ...]


def short_pieces(
    pieces: tuple[Piece, ...], may_move: MayMove | None, bars: tuple[Range, ...], column: Range
) -> tuple[Short, ...]:
    """Every finished piece shorter than planned. bars: moves of the unit that zones forbid; column: what it holds."""
    found = []
    for piece in pieces:
        short = piece.length_mm - piece.state.length_mm
        if piece.state.stage == "finished" and short > 1e-9:
            found.append(Short(piece, short, tuple(_ways(piece, short, pieces, may_move, bars, column))))
    return tuple(found)


def _ways(
    piece: Piece,
    short: float,
    pieces: tuple[Piece, ...],
    may_move: MayMove | None,
    bars: tuple[Range, ...],
    column: Range,
) -> Iterator[Way]:
    ways = [*_within(piece), *_by_place(piece, pieces, may_move, bars, column)]
    if piece.spec.stock == "jacket":
        ways += _by_collar(piece, short)
    if not ways:
        ways.append(_none(piece))
    yield from ways


def _within(piece: Piece) -> Iterator[Way]:
    if left_band(piece).holds(piece.left.mm):
        words = (
            f"use it as it is: {piece.inside.mm:.1f} mm in and {piece.left.mm:.1f} mm before the bottom still keep the "
            "bands; read what is left with clay before it is drilled"
        )
        yield Way("within its bands", words, 0.0, {})


def left_band(piece: Piece) -> Band:
    """What may stay before the bottom, engagement counted in, for the piece's allowed lengths."""
    reach = piece.length_mm + piece.straight.mm
    return Band(reach - piece.allowed.high_mm, reach - piece.allowed.low_mm, piece.allowed.said)


def _by_place(
    piece: Piece, pieces: tuple[Piece, ...], may_move: MayMove | None, bars: tuple[Range, ...], column: Range
) -> Iterator[Way]:
    """The unit moved until what is left is in the middle of its band, or as near to that as everything else lets it."""
    if left_band(piece).holds(piece.left.mm):
        return
    aim = (left_band(piece).middle_mm - piece.left.mm) * piece.spec.way
    low, high = _together([column, *(moves(one) for one in pieces)])
    if may_move is None:
        if low <= high:
            yield Way("ask", _ask(aim), 0.0, {})
        return
    low, high = _together([(low, high), (-may_move.toward_wheel.mm, may_move.toward_rack.mm)])
    move = _nearest(aim, (low, high), bars)
    if move is not None:
        step = round_to_32(move)
        free = low <= step <= high and not any(start < step < end for start, end in bars)
        move = step if free else move
        lengths = {one.name: _length_at(one, move) for one in pieces if one.state.stage != "finished"}
        yield Way("the unit's place", _moved(move, lengths), move, lengths)


def _length_at(piece: Piece, move: float) -> float:
    """Its finished length with the unit moved, on the step if one lies in its band."""
    by = piece.spec.way * move
    moved = Band(piece.allowed.low_mm + by, piece.allowed.high_mm + by, piece.allowed.said)
    step = rounded_into(moved)
    return moved.middle_mm if step is None else step


def moves(piece: Piece) -> Range:
    """Moves of the unit a piece allows as it is: finished, within its bands; cut long, with what there is."""
    if piece.state.stage == "finished":
        band = left_band(piece)
        ends = [(end - piece.left.mm) * piece.spec.way for end in (band.low_mm, band.high_mm)]
        return min(ends), max(ends)
    if isinstance(piece.state, FirstCut):
        most = piece.state.first_mm - piece.state.length_mm
        return (-inf, most) if piece.spec.way > 0 else (-most, inf)
    return -inf, inf


def _together(ranges: list[Range]) -> Range:
    return max(low for low, _ in ranges), min(high for _, high in ranges)


def _nearest(aim: float, within: Range, bars: tuple[Range, ...]) -> float | None:
    low, high = within
    if low > high:
        return None
    tries = [min(max(aim, low), high), *(end for bar in bars for end in bar if low <= end <= high)]
    free = [move for move in tries if not any(start < move < end for start, end in bars)]
    return min(free, key=lambda move: abs(move - aim)) if free else None


def _by_collar(piece: Piece, short: float) -> Iterator[Way]:
    lacking = piece.engagement.low_mm - piece.inside.mm
    if lacking > 0:
        words = (
            f"a collar that reaches {lacking:.1f} mm farther along the jacket, so that it holds as much of it as wanted"
        )
        yield Way("longer collar", words, 0.0, {})
        return
    words = (
        f"a spacer ring {short:.1f} mm long, of the jacket's size, between the jacket's end and the collar's shoulder, "
        "if it is to seat as planned"
    )
    yield Way("spacer ring", words, 0.0, {})


def _none(piece: Piece) -> Way:
    if piece.spec.stock == "shaft":
        words = "none: make a new one. Never a spacer, a stretch or a weld on a steering shaft"
    else:
        words = "none with this jacket: make a new one"
    return Way("none", words, 0.0, {})


def _toward(move: float) -> str:
    return f"{abs(move):.1f} mm toward the {'rack' if move > 0 else 'wheel'}"


def _ask(aim: float) -> str:
    return (
        f"the unit {_toward(aim)}, if it keeps its gaps there: say how far it may move in cuts.unit_may_move "
        "(try the place in unit.input_face and judge the gaps again)"
    )


def _moved(move: float, lengths: dict[str, float]) -> str:
    others = ", ".join(f"{name} {length:.1f} mm" for name, length in lengths.items())
    then = f"; finished lengths are then: {others}" if others else ""
    return f"the unit {_toward(move)}{then}. Judge the gaps again at that place before anything else is cut"
