"""The closing check: everything laid together again, part by part, in the car frame. Do the lower ends land as before?

A second road to the cut list: it starts at the hub seat and uses only finished lengths, what stays before each bottom,
and the unit's own depths. Millimetres; a column that is not cut yet must close to 0.01 mm.
"""

from dataclasses import dataclass
from math import hypot, sqrt

from fitcheck.cuts import faces
from fitcheck.cuts.chain import Chain, Stack
from fitcheck.cuts.limits import Band, Found, Limit, LimitResult, NotKnown, judged
from fitcheck.cuts.pieces import Piece
from fitcheck.geometry.frames import Frame, Vector

CLOSES_MM = 0.01


@dataclass(frozen=True)
class Face:
    """A face of the assembled column: its name, along from the hub seat (mm), and its centre in the car (3,)."""

    name: str
    along_mm: float
    in_car: Vector


@dataclass(frozen=True)
class Closing:
    """One route through the assembled column, its faces in order, and its end before and after."""

    what: str
    faces: tuple[Face, ...]
    before_mm: float
    after_mm: float
    limit: Found

    @property
    def off_mm(self) -> float:
        """How far the end has moved down the column."""
        return self.after_mm - self.before_mm


def closings(pieces: tuple[Piece, ...], chain: Chain, column2car: Frame) -> tuple[Closing, ...]:
    """One closing for each stock whose two pieces are planned."""
    found = []
    for stock, start in (("shaft", faces.HUB_SEAT), ("jacket", faces.JACKET_TOP)):
        pair = [piece for piece in pieces if piece.spec.stock == stock]
        if len(pair) == 2:
            found.append(_closing(stock, start, (pair[0], pair[1]), chain, column2car))
    return tuple(found)


def _closing(stock: str, start: str, pair: tuple[Piece, Piece], chain: Chain, column2car: Frame) -> Closing:
    laid = [Face(*_at(name, along, column2car)) for name, along in _laid(start, pair, chain)]
    hub, end = Face(*_at(faces.HUB_SEAT, 0.0, column2car)), laid[-1]
    before = chain.between(faces.HUB_SEAT, pair[1].spec.origin).mm
    step = end.in_car - hub.in_car
    after = sqrt(float(step @ step))
    what = f"hub seat to the {stock}'s lower end, before and after"
    return Closing(what, tuple(laid), before, after, _judged(what, after - before, pair))


def _laid(start: str, pair: tuple[Piece, Piece], chain: Chain) -> list[tuple[str, float]]:
    upper, lower = pair
    at = 0.0 if start == faces.HUB_SEAT else chain.between(faces.HUB_SEAT, start).mm
    steps = [(start, at)]
    for name, mm in (
        (f"{upper.name}, cut end", upper.state.length_mm),
        (upper.spec.stop, upper.left.mm),
        (upper.spec.mouth, -upper.depth.mm),
        (lower.spec.mouth, chain.between(upper.spec.mouth, lower.spec.mouth).mm),
        (lower.spec.stop, -lower.depth.mm),
        (f"{lower.name}, cut end", lower.left.mm),
        (lower.spec.origin, lower.state.length_mm),
    ):
        at += mm
        steps.append((name, at))
    return steps


def _at(name: str, along: float, column2car: Frame) -> tuple[str, float, Vector]:
    return name, along, column2car.points([0.0, 0.0, along])


def _judged(what: str, off: float, pair: tuple[Piece, Piece]) -> Found:
    """To 0.01 mm as planned; once lengths were read from cut pieces, to their spreads."""
    doubt = pair[0].doubt or pair[1].doubt
    if doubt:
        return NotKnown(what, (), doubt)
    read = [piece for piece in pair if piece.state.stage in ("tried", "finished")]
    allowed = (
        CLOSES_MM + hypot(*(hypot(piece.left.rss_mm, piece.first.rss_mm) for piece in read)) if read else CLOSES_MM
    )
    found = judged(what, Stack(off), Band(-allowed, allowed, "unchanged"))
    if isinstance(found, Limit) and found.result is LimitResult.OUTSIDE:
        return Limit(what, found.stack, found.band, found.result, f"the lower end has moved by {off:+.2f} mm")
    return found
