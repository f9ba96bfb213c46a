"""What becomes of each stock: the kept pieces, what falls off, and the kerfs. Millimetres.

original = kept pieces + removed + kerfs; `removed` is the offcut of the first cuts and the trims after them.
"""

from dataclasses import dataclass

from fitcheck.cuts.chain import Chain, Stack
from fitcheck.cuts.limits import Band, Found, NotKnown, attempt, judged
from fitcheck.cuts.pieces import Piece
from fitcheck.cuts.saw import SawUse
from fitcheck.cuts.specs import STOCK_ENDS
from fitcheck.errors import Missing
from fitcheck.job.cutting import Stock
from fitcheck.job.lengths import round_up_32

DRESS_MM = 2.0  # each end of new stock, to dress it square; common practice, no source


@dataclass(frozen=True)
class Account:
    """One stock: kept_mm by piece (finished, overall), removed_mm without the kerfs, offcut_mm of the first cuts."""

    stock: Stock
    original: Stack
    kept_mm: dict[str, float]
    removed_mm: float
    offcut_mm: float
    kerfs_mm: float


@dataclass(frozen=True)
class NewStock:
    """Least length of new stock for one piece, mm, both ends dressed."""

    piece: str
    least_mm: float


def account(stock: Stock, pieces: tuple[Piece, ...], chain: Chain, saw: SawUse) -> Account | NotKnown:
    """What the stock is cut into; every piece of it must be planned."""
    what = f"{stock}: what falls off"
    if isinstance(saw.kerf, NotKnown):
        return NotKnown(what, saw.kerf.keys, saw.kerf.measure)
    try:
        original = chain.between(*STOCK_ENDS[stock])
        beyond = {piece.name: beyond_origin(piece, chain) for piece in pieces}
    except Missing as missing:
        return NotKnown(what, missing.keys, missing.measure)
    kept = {piece.name: beyond[piece.name] + piece.state.length_mm for piece in pieces}
    kerfs = saw.kerf.mm * len(pieces)
    first = sum(beyond[piece.name] + _after_first_cut(piece) for piece in pieces)
    removed = original.mm - sum(kept.values()) - kerfs
    return Account(stock, original, kept, removed, original.mm - first - kerfs, kerfs)


def beyond_origin(piece: Piece, chain: Chain) -> float:
    """What of the piece lies on the far side of the face it is read from: the thread above the hub seat."""
    end = STOCK_ENDS[piece.spec.stock][0 if piece.spec.way > 0 else 1]
    return chain.between(piece.spec.origin, end).mm * -piece.spec.way


def new_stock(piece: Piece, chain: Chain, saw: SawUse) -> NewStock | NotKnown:
    """Least length of new stock, if the piece has to be made new."""
    what = f"{piece.name}: least new stock"
    if isinstance(saw.kerf, NotKnown):
        return NotKnown(what, saw.kerf.keys, saw.kerf.measure)
    try:
        overall = beyond_origin(piece, chain) + piece.first_cut_mm
    except Missing as missing:
        return NotKnown(what, missing.keys, missing.measure)
    return NewStock(piece.name, round_up_32(overall + saw.kerf.mm + 2 * DRESS_MM))


def room_for_first_cuts(stock: Stock, pieces: tuple[Piece, ...], chain: Chain, saw: SawUse) -> Found:
    """Whether both pieces of a stock can be left long at once: what falls off must not be less than nothing."""
    what = f"{stock}: room to leave {'both pieces' if len(pieces) > 1 else 'the piece'} long"

    def found() -> Found:
        kerf = saw.kerf
        if isinstance(kerf, NotKnown):
            raise Missing(list(kerf.keys), kerf.measure)
        pieces_mm = sum(piece.first_cut_mm for piece in pieces)
        ends = [piece.spec.origin for piece in pieces]
        far = ends[1] if len(pieces) > 1 else STOCK_ENDS[stock][1]
        left = chain.between(ends[0], far).moved(-pieces_mm).plus(kerf, -float(len(pieces)))
        return judged(what, left, Band(0.0, float("inf"), "what falls off between the first cuts"), chain)

    return attempt(what, found)


def _after_first_cut(piece: Piece) -> float:
    if piece.state.stage == "finished":
        return piece.state.length_mm
    return max(piece.first_cut_mm, piece.state.length_mm)
