"""The closing check: the column laid together part by part from what is printed. Do the lower ends land as before?

It starts at the hub seat with the printed lengths, lets every gap be what the plan says but never outside its band, and
holds the unit to the place that was read; nothing takes up what is left over. So a length that is wrong by more than
its gap may take up shows as a lower end that has moved. A second check holds each printed mark against its finished
length. Millimetres; a column that is not cut yet must close to 0.01 mm.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from math import sqrt

from fitcheck.cuts import faces
from fitcheck.cuts.chain import Chain, Stack, both
from fitcheck.cuts.limits import Band, Found, Limit, LimitResult, NotKnown, attempt, judged
from fitcheck.cuts.marks import STEP_MM
from fitcheck.cuts.pieces import Piece, in_doubt
from fitcheck.cuts.remedies import left_band
from fitcheck.cuts.saw import SawUse
from fitcheck.geometry.frames import Frame, Vector
from fitcheck.job.lengths import inches_text, parse_length, round_to_32
from fitcheck.job.model import Job

CLOSES_MM = 0.01
Laid = list[tuple[str, float]]


@dataclass(frozen=True)
class Face:
    """A face of the assembled column: its name, along from the hub seat (mm), and its centre in the car (3,)."""

    name: str
    along_mm: float
    in_car: Vector


@dataclass(frozen=True)
class Closing:
    """One route through the assembled column, its faces in order, and its end before and after.

    unit_off_mm: how far from its place, + toward the rack, the upper piece puts the unit.
    """

    what: str
    faces: tuple[Face, ...]
    before_mm: float
    after_mm: float
    unit_off_mm: float
    limit: Found

    @property
    def off_mm(self) -> float:
        """How far the end has moved down the column."""
        return self.after_mm - self.before_mm


def closings(job: Job, pieces: tuple[Piece, ...], chain: Chain, column2car: Frame) -> tuple[Closing, ...]:
    """One closing for each stock whose two pieces are planned."""
    found = []
    for stock, start in (("shaft", faces.HUB_SEAT), ("jacket", faces.JACKET_TOP)):
        pair = [piece for piece in pieces if piece.spec.stock == stock]
        if len(pair) == 2:
            found.append(_closing(job, start, (pair[0], pair[1]), chain, column2car))
    return tuple(found)


def unit_place_mm(job: Job) -> float:
    """The unit's input face along from the hub seat, as the job says it."""
    mark = job.unit.along_from
    return job.unit.input_face.mm + (0.0 if mark == "hub_seat" else job.column.marks[mark].along.mm)


def printed(mm: float) -> float:
    """A length as it is read back off the list: to 1/32 in where it stands on the step, else as it was read."""
    return parse_length(inches_text(mm)).mm if abs(mm - round_to_32(mm)) < 1e-6 else mm


def mark_limits(pieces: tuple[Piece, ...], chain: Chain, saw: SawUse) -> Iterator[Found]:
    """Each printed mark leaves its piece long by the allowance and the spread, never more than the steps explain."""
    for piece in pieces:
        if piece.state.now is None:
            yield attempt(f"{piece.name}: from its mark to its finished end", partial(_mark, piece, chain, saw))


def _mark(piece: Piece, chain: Chain, saw: SawUse) -> Found:
    spec = piece.spec
    kept = (chain.between(faces.HUB_SEAT, spec.mark_from).mm + printed(piece.mark_mm)) * spec.way
    kept -= chain.between(faces.HUB_SEAT, spec.origin).mm * spec.way
    least = saw.allowance_mm + piece.first.rss_mm
    band = Band(least, least + 2 * STEP_MM, "allowance and spread, rounded long by two 1/32 in steps at most")
    return judged(f"{piece.name}: from its mark to its finished end", Stack(kept - piece.needed.mm), band)


def _closing(job: Job, start: str, pair: tuple[Piece, Piece], chain: Chain, column2car: Frame) -> Closing:
    upper, lower = pair
    at = 0.0 if start == faces.HUB_SEAT else chain.between(faces.HUB_SEAT, start).mm
    laid = [(start, at), *_upper(upper, at, chain)]
    unit_off = laid[-1][1] - unit_place_mm(job)
    laid += _lower(lower, laid[-1][1], chain)
    placed = tuple(Face(*_at(name, along, column2car)) for name, along in laid)
    hub = Face(*_at(faces.HUB_SEAT, 0.0, column2car))
    before = chain.between(faces.HUB_SEAT, lower.spec.origin).mm
    step = placed[-1].in_car - hub.in_car
    after = sqrt(float(step @ step))
    what = f"hub seat to the {lower.spec.stock}'s lower end, before and after"
    return Closing(what, placed, before, after, unit_off, _judged(what, after - before, pair, chain))


def _upper(piece: Piece, at: float, chain: Chain) -> Laid:
    """From the end that stays to the unit's input face."""
    tip = at + printed(piece.state.length_mm)
    bottom = tip + gap_mm(piece)
    back = chain.between(faces.INPUT_FACE, piece.spec.stop).mm
    return [(f"{piece.name}, cut end", tip), (piece.spec.stop, bottom), (faces.INPUT_FACE, bottom - back)]


def _lower(piece: Piece, input_face: float, chain: Chain) -> Laid:
    """From the unit's input face to the end that stays."""
    bottom = input_face + chain.between(faces.INPUT_FACE, piece.spec.stop).mm
    tip = bottom + gap_mm(piece)
    origin = tip + printed(piece.state.length_mm)
    return [(piece.spec.stop, bottom), (f"{piece.name}, cut end", tip), (piece.spec.origin, origin)]


def gap_mm(piece: Piece) -> float:
    """What is left before the bottom, as the plan or the fit says, but never outside the wanted band."""
    band = left_band(piece)
    return min(max(piece.left.mm, band.low_mm), band.high_mm)


def _at(name: str, along: float, column2car: Frame) -> tuple[str, float, Vector]:
    return name, along, column2car.points([0.0, 0.0, along])


def _judged(what: str, off: float, pair: tuple[Piece, Piece], chain: Chain) -> Found:
    """To 0.01 mm as planned; where a fit was read, to the spread of that fit against the readings."""
    doubted = [piece.name for piece in pair if piece.doubt]
    if doubted:
        return NotKnown(what, (), in_doubt(" and the ".join(doubted)))
    fitted = Stack(0.0)
    for piece in pair:
        if piece.state.now is not None and left_band(piece).holds(piece.left.mm):
            fitted = fitted.plus(_fitted(piece, chain))
    allowed = CLOSES_MM + fitted.rss_mm
    found = judged(what, Stack(off), Band(-allowed, allowed, "unchanged"))
    if isinstance(found, Limit) and found.result is LimitResult.OUTSIDE:
        return Limit(what, found.stack, found.band, found.result, _moved(off, pair))
    return found


def _moved(off: float, pair: tuple[Piece, Piece]) -> str:
    """Where the lower end would come to lie, and which piece, as it was cut, brings it there."""
    way = "rack" if off > 0 else "wheel"
    cut = [piece.name for piece in pair if piece.state.at_its_end and not left_band(piece).holds(piece.left.mm)]
    because = f", for the {' and the '.join(cut)} as cut" if cut else ""
    return (
        f"put together like this, the {pair[1].spec.stock}'s lower end lies {both(abs(off))} nearer the {way} than it "
        f"did before{because}"
    )


def _fitted(piece: Piece, chain: Chain) -> Stack:
    """Length and gap as read against the readings: what both rest on drops out."""
    now = piece.state.now
    assert now is not None
    if piece.state.stage == "first cut" and not piece.state.at_its_end:
        return Stack(0.0)
    return now.plus(piece.left).plus(piece.spec.reach(chain), -1.0)
