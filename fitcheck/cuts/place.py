"""Zones that must not be cut or clamped, and where along the column the unit may go because of them. Millimetres.

Moving the unit by s moves the stretch it takes by s. A zone and a stretch must stay apart, the spread of their distance
included.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf

from fitcheck.cuts import faces
from fitcheck.cuts.chain import Chain, Stack, both
from fitcheck.cuts.limits import Band, Found, Limit, LimitResult, NotKnown, attempt, judged
from fitcheck.cuts.pieces import Piece
from fitcheck.cuts.specs import STOCK_ENDS
from fitcheck.job.cutting import Cuts, Stock, Zone

APART = Band(0.0, inf, "not inside the zone")


@dataclass(frozen=True)
class Stretch:
    """A stretch of jacket or shaft that is cut out or clamped, between two faces, each a distance from the hub seat.

    moves: with the unit; pieces: whose cuts make it.
    """

    what: str
    does: str
    on: str
    start: Stack
    end: Stack
    moves: bool
    pieces: tuple[str, ...] = ()


def stretches(pieces: tuple[Piece, ...], whole: tuple[Stock, ...], chain: Chain, has_clamp: bool) -> Iterator[Stretch]:
    """What is held in the unit, what is cut out of the stocks whose pieces are all planned, and the bracket's clamp."""
    for piece in pieces:
        mouth, end = along(chain, piece.spec.mouth), cut_end(piece, chain)
        start, stop = (mouth, end) if piece.spec.way > 0 else (end, mouth)
        yield Stretch(
            f"{piece.name} held in the unit", "clamp", piece.spec.stock, start, stop, moves=True, pieces=(piece.name,)
        )
    for stock in whole:
        cut = [piece for piece in pieces if piece.spec.stock == stock]
        start = cut_end(cut[0], chain)
        stop = cut_end(cut[1], chain) if len(cut) > 1 else along(chain, STOCK_ENDS[stock][1])
        yield Stretch(
            f"stretch cut out of the {stock}",
            "cut",
            stock,
            start,
            stop,
            moves=True,
            pieces=tuple(one.name for one in cut),
        )
    if has_clamp:
        start, stop = along(chain, faces.CLAMP_TOP), along(chain, faces.CLAMP_END)
        yield Stretch("bracket clamp", "clamp", "jacket", start, stop, moves=False)


def clamp_limits(chain: Chain) -> Iterator[Found]:
    """The bracket's clamp on jacket that is kept: between the jacket's top and the unit, or below the lower collar."""
    upper = along(chain, faces.CLAMP_TOP).mm < along(chain, faces.INPUT_FACE).mm
    ends = (faces.JACKET_TOP, faces.INPUT_FACE) if upper else (faces.LOWER_MOUTH, faces.JACKET_END)
    for first, then, end in ((ends[0], faces.CLAMP_TOP, ends[0]), (faces.CLAMP_END, ends[1], ends[1])):
        yield _room(f"bracket clamp - {end}", first, then, chain)


def _room(what: str, first: str, then: str, chain: Chain) -> Found:
    on = Band(0.0, inf, "on jacket that is kept")
    return attempt(what, lambda: judged(what, along(chain, then).plus(along(chain, first), -1.0), on, chain))


def along(chain: Chain, face: str) -> Stack:
    """Distance of a face from the hub seat."""
    return chain.between(faces.HUB_SEAT, face)


def cut_end(piece: Piece, chain: Chain) -> Stack:
    """Where the finished, fitted end of a piece lies, from the hub seat."""
    return along(chain, piece.spec.stop).plus(piece.left, -piece.spec.way)


def zone_limits(cuts: Cuts, taken: tuple[Stretch, ...], chain: Chain) -> Iterator[tuple[Stretch, Found]]:
    """Every zone against every stretch that does what it forbids."""
    for index, zone in enumerate(cuts.zones):
        start, end = (along(chain, face) for face in faces.zone_faces(index))
        for stretch in _against(zone, taken):
            before, behind = stretch.start.plus(end, -1.0), start.plus(stretch.end, -1.0)
            apart = before if before.mm >= behind.mm else behind
            found = judged(f"{zone.name} - {stretch.what}", apart, APART, chain)
            yield stretch, _said(found, zone, start.mm, end.mm)


def _against(zone: Zone, taken: tuple[Stretch, ...]) -> list[Stretch]:
    return [stretch for stretch in taken if stretch.on == zone.on and stretch.does in zone.forbids]


def _said(found: Found, zone: Zone, start_mm: float, end_mm: float) -> Found:
    if isinstance(found, NotKnown) or found.result is not LimitResult.OUTSIDE:
        return found
    reason = (
        f"in '{zone.name}', {both(start_mm)} to {both(end_mm)} along: not to be {' or '.join(map(_done, zone.forbids))}"
    )
    return Limit(found.what, found.stack, found.band, found.result, reason)


def _done(forbidden: str) -> str:
    return "cut" if forbidden == "cut" else "clamped"


def forbidden_moves(cuts: Cuts, taken: tuple[Stretch, ...], chain: Chain) -> Iterator[tuple[float, float]]:
    """Open ranges of the unit's move that bring a stretch into a zone, spreads included."""
    for index, zone in enumerate(cuts.zones):
        start, end = (along(chain, face) for face in faces.zone_faces(index))
        for stretch in _against(zone, taken):
            if stretch.moves:
                low, high = start.plus(stretch.end, -1.0), end.plus(stretch.start, -1.0)
                yield low.mm - low.rss_mm, high.mm + high.rss_mm


def on_the_column(taken: tuple[Stretch, ...], chain: Chain) -> tuple[float, float]:
    """How far everything that moves with the unit may go and still find the jacket's two ends beyond it."""
    on_jacket = [stretch for stretch in taken if stretch.moves and stretch.on == "jacket"]
    if not on_jacket:
        return -inf, inf
    top, end = along(chain, faces.JACKET_TOP).mm, along(chain, faces.JACKET_END).mm
    return top - min(s.start.mm for s in on_jacket), end - max(s.end.mm for s in on_jacket)
