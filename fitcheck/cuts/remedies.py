"""A piece that was cut short: what can still be done, or that nothing can. mm; a move of the unit is + toward the rack.

A jacket may be mended by its collar, a spacer ring or the unit's place; a shaft only within its bands or by the unit's
place. Never a spacer, a stretch or a weld on a shaft, and never a smaller requirement.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from math import inf
from typing import Literal

from fitcheck.cuts.chain import both, named_share
from fitcheck.cuts.limits import Band, LimitResult
from fitcheck.cuts.marks import STEP_MM, rounded_into
from fitcheck.cuts.pieces import Piece
from fitcheck.job.cutting import MayMove
from fitcheck.job.lengths import round_down_32, round_to_32, round_up_32

Kind = Literal[
    "within its bands", "read it again", "the unit's place", "spacer ring", "longer collar", "new piece", "none", "ask"
]
Range = tuple[float, float]


@dataclass(frozen=True)
class Way:
    """One way out. `move_mm`: the unit's move, 0 where it stays; `lengths_mm`: of the other pieces, finished, then."""

    kind: Kind
    words: str
    move_mm: float = 0.0
    lengths_mm: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Short:
    """A piece with nothing left to take off that is shorter than planned, with its ways out; the last may be none."""

    piece: Piece
    short_mm: float
    ways: tuple[Way, ...]


def short_pieces(
    pieces: tuple[Piece, ...], may_move: MayMove | None, bars: tuple[Range, ...], column: Range
) -> tuple[Short, ...]:
    """Every piece cut shorter than planned. bars: moves of the unit that zones forbid; column: what it holds."""
    found = []
    for piece in pieces:
        short = short_by(piece)
        if piece.state.at_its_end and not piece.doubt and (short > STEP_MM or too_short(piece)):
            found.append(Short(piece, short, tuple(_ways(piece, short, pieces, may_move, bars, column))))
    return tuple(found)


def short_by(piece: Piece) -> float:
    """How much more is left before the bottom than planned: by clay where it was read, else by the lengths."""
    return piece.left.mm - piece.straight.mm


def too_short(piece: Piece) -> bool:
    """Whether a piece that was cut has more left before the bottom than its bands allow."""
    return piece.state.at_its_end and not piece.doubt and piece.left.mm > left_band(piece).high_mm + 1e-9


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
    elif too_short(piece):
        ways.append(
            Way("new piece", f"or a new one, finished to {both(piece.length_mm)} from the {piece.spec.read_from}")
        )
    yield from ways


def _within(piece: Piece) -> Iterator[Way]:
    """Used as it is, but only where that is sure; where it is too close to call, what to read first."""
    if too_short(piece) or not left_band(piece).holds(piece.left.mm):
        return
    stands = f"{both(piece.inside.mm)} in and {both(piece.left.mm)} before the bottom"
    if piece.result is LimitResult.KEEPS:
        words = f"use it as it is: {stands} still keep the bands; read what is left with clay before it is drilled"
        yield Way("within its bands", words)
        return
    words = (
        f"it may still do, but that is too close to call: {stands} lie in the bands, by readings that are not good "
        f"enough (most of it: {named_share(piece.left)}). With the unit on its line read with clay what is left before "
        f"the bottom and enter it in cuts.done.{piece.spec.key}.end_gap, before it is drilled"
    )
    yield Way("read it again", words)


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
            yield Way("ask", _ask(aim))
        return
    low, high = _together([(low, high), (-may_move.toward_wheel.mm, may_move.toward_rack.mm)])
    move = _nearest(aim, (low, high), bars)
    if move is not None:
        step = round_to_32(move)
        free = low <= step <= high and not any(start < step < end for start, end in bars)
        move = step if free else move
        lengths = {one.name: _length_at(one, move) for one in pieces if not one.state.at_its_end}
        yield Way("the unit's place", _moved(move, lengths) + _least((low, high), bars), move, lengths)


def _length_at(piece: Piece, move: float) -> float:
    """Its finished length with the unit moved, on the step if one lies in its band."""
    by = piece.spec.way * move
    moved = Band(piece.allowed.low_mm + by, piece.allowed.high_mm + by, piece.allowed.said)
    step = rounded_into(moved)
    return moved.middle_mm if step is None else step


def moves(piece: Piece) -> Range:
    """Moves of the unit a piece allows as it is: at its end, within its bands; cut long, with what there is."""
    if piece.state.at_its_end:
        band = left_band(piece)
        ends = [(end - piece.left.mm) * piece.spec.way for end in (band.low_mm, band.high_mm)]
        return min(ends), max(ends)
    if piece.state.now is not None:
        most = piece.state.to_take_off_mm
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
            f"a collar that reaches {both(lacking)} farther along the jacket, so that it holds as much of it as wanted"
        )
        yield Way("longer collar", words)
        return
    words = (
        f"a spacer ring {both(short)} long, of the jacket's size, between the jacket's end and the collar's shoulder, "
        "if it is to seat as planned"
    )
    yield Way("spacer ring", words)


def _none(piece: Piece) -> Way:
    new = f"make a new one, finished to {both(piece.length_mm)} from the {piece.spec.read_from}"
    if piece.spec.stock == "shaft":
        return Way("none", f"none: {new}. Never a spacer, a stretch or a weld on a steering shaft")
    return Way("none", f"none with this jacket: {new}")


def _toward(move: float) -> str:
    return f"{both(abs(move))} toward the {'rack' if move > 0 else 'wheel'}"


def _ask(aim: float) -> str:
    return (
        f"the unit {_toward(aim)}, if it keeps its gaps there: say how far it may move in cuts.unit_may_move "
        "(try the place in unit.input_face and judge the gaps again)"
    )


def _moved(move: float, lengths: dict[str, float]) -> str:
    others = ", ".join(f"{name} {both(length)}" for name, length in lengths.items())
    then = f"; finished lengths are then: {others}" if others else ""
    return f"the unit {_toward(move)}{then}. Judge the gaps again at that place before anything else is cut"


def _least(within: Range, bars: tuple[Range, ...]) -> str:
    """How far the unit has to go at least, and may go at most; nothing where a zone lies in between."""
    low, high = within
    if any(start < high and low < end for start, end in bars):
        return ""
    near, far = sorted((abs(low), abs(high)))
    near, far = round_up_32(near), round_down_32(far)
    return f"; anything from {both(near)} to {both(far)} that way would do" if near < far else ""
