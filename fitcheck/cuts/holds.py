"""Why no cut may be made yet: what may still move the unit, or a reading that is wrong, makes every mark wrong."""

from collections.abc import Iterator

from fitcheck.cuts.chain import DOUBTED, both
from fitcheck.cuts.layout import Layout
from fitcheck.cuts.limits import Found, LimitResult, NotKnown
from fitcheck.cuts.remedies import short_by, too_short

DONE = "cuts.done."


def own_stops(laid: Layout) -> Iterator[tuple[str, str]]:
    """Pieces that must not be cut, each with why: what it rests on is in doubt, or its cut lies in a zone."""
    for piece in laid.pieces:
        if piece.doubt:
            yield piece.name, piece.doubt
        for stretch, found in laid.zoned:
            if piece.name in stretch.pieces and found.result is LimitResult.OUTSIDE:
                yield piece.name, f"{found.what}: {found.reason}"


def holds(laid: Layout, rooms: tuple[Found, ...]) -> Iterator[str]:
    """What has to be settled before any piece is cut, each once."""
    yield from map(str, laid.chain.doubts)
    for piece in laid.pieces:
        if piece.doubt and not laid.chain.doubts_of(piece.spec.reach(laid.chain)):
            yield f"{piece.name}: {piece.doubt}"
        if too_short(piece):
            short = f"{piece.name} is cut {both(short_by(piece))} short of the plan, more than its bands allow"
            again = f"measure it again from the {piece.spec.read_from}"
            yield f"{short}: {again}; if it is right, settle what is done about it, below under cut short"
    for planned in laid.planned:
        if isinstance(planned, NotKnown) and any(key.startswith(DONE) for key in planned.keys):
            yield f"{planned.what}: {planned.reason}. Without it what the trial fit found says nothing"
    for found in (*laid.at_this_place, *rooms):
        if found.result is not LimitResult.KEEPS and not (isinstance(found, NotKnown) and found.measure == DOUBTED):
            yield f"{found.what}: {found.reason}"
