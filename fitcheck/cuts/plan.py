"""The cut list of a job, step by step: chain, pieces, limits, what to do where something is short, closing check.

`cut_plan` is the order of the steps. Millimetres along the column from the hub seat.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from fitcheck.cuts.assembled import Closing, closings
from fitcheck.cuts.chain import Chain, Doubt
from fitcheck.cuts.faces import HUB_SEAT, PLACE_KEY, SHAFT_END, Readings, column_chain
from fitcheck.cuts.firewall import Opening
from fitcheck.cuts.fixings import Hole, holes
from fitcheck.cuts.kept import Straight, kept_limits, straight
from fitcheck.cuts.limits import Found, LimitResult, NotKnown, worst
from fitcheck.cuts.pieces import CutReadings, Piece, Planned, plan_piece
from fitcheck.cuts.place import (
    NearestPlace,
    NoPlace,
    Stretch,
    clamp_limits,
    forbidden_moves,
    nearest_place,
    on_the_column,
    stretches,
    zone_limits,
)
from fitcheck.cuts.remedies import Short, short_pieces
from fitcheck.cuts.saw import SawUse, saw_use
from fitcheck.cuts.sheet import firewall_opening
from fitcheck.cuts.specs import SPECS, Spec
from fitcheck.cuts.stocks import Account, NewStock, account, new_stock, room_for_first_cuts
from fitcheck.cuts.stroke import REMARK_127, stroke_limits
from fitcheck.job.cutting import Cuts, Stock
from fitcheck.job.model import Job
from fitcheck.placement.column import ColumnAxis

STOCKS: tuple[Stock, ...] = ("jacket", "shaft")


@dataclass(frozen=True)
class CutPlan:
    """All that was found out about the cuts. `limits`: every limit, worst first.

    moved_by: how far each finished length grows when the unit goes 1 mm to the rack; nearest: empty where every zone
    is kept; stops: pieces that must not be cut as planned, each with why.
    """

    planned: tuple[Planned, ...]
    stops: tuple[tuple[str, str], ...]
    chain: Chain
    saw: SawUse
    limits: tuple[Found, ...]
    accounts: tuple[Account | NotKnown, ...]
    new_stocks: tuple[NewStock | NotKnown, ...]
    shorts: tuple[Short, ...]
    holes: tuple[Hole, ...]
    moved_by: dict[str, float]
    nearest: tuple[NearestPlace | NoPlace, ...]
    straight: Straight | NotKnown
    opening: Opening | NotKnown
    closings: tuple[Closing, ...]
    not_yet: tuple[NotKnown, ...]
    remarks: tuple[str, ...]

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """The pieces that could be planned."""
        return tuple(piece for piece in self.planned if isinstance(piece, Piece))

    def stop(self, piece: Planned) -> str:
        """Why the piece must not be cut as planned, in words; empty where nothing stands against it."""
        name = piece.name if isinstance(piece, Piece) else piece.what
        return "; ".join(why for stopped, why in self.stops if stopped == name)

    def result_of(self, piece: Planned) -> LimitResult:
        """The worst of a piece's own limits and of the zones its cut lies in."""
        stopped = isinstance(piece, Piece) and self.stop(piece) and not piece.doubt
        return LimitResult.OUTSIDE if stopped else piece.result

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """Readings that contradict each other."""
        return self.chain.doubts

    @property
    def shaft_end(self) -> tuple[float, float] | None:
        """Where the column's shaft ends once all is cut, mm along from the hub seat, and its spread; None if not known.

        The lower shaft is read from that end, so it stays where the bench has it; the closing check holds it to that.
        """
        if not any(piece.spec.origin == SHAFT_END for piece in self.pieces):
            return None
        end = self.chain.between(HUB_SEAT, SHAFT_END)
        return end.mm, end.rss_mm

    @property
    def result(self) -> LimitResult:
        """The worst of all limits."""
        return worst([limit.result for limit in self.limits])


def cut_plan(job: Job, cuts: Cuts) -> CutPlan:
    """Plan every cut, judge every limit, and close the column again by a second road. Raises KeyFault."""
    read, axis = Readings.of(job), ColumnAxis(job)
    chain = column_chain(job, cuts, read)
    saw = saw_use(cuts.saw, read.spread(("cuts", "saw", "kerf")))
    planned = tuple(_planned(cuts, chain, saw, read))
    pieces = tuple(piece for piece in planned if isinstance(piece, Piece))
    has_clamp = job.bracket is not None and job.bracket.clamp is not None
    whole = tuple(stock for stock in STOCKS if _whole(cuts, stock, pieces))
    taken = tuple(stretches(pieces, whole, chain, has_clamp))
    zoned = tuple(zone_limits(cuts, taken, chain))
    zones = (*(found for _, found in zoned), *_zones_not_known(cuts, planned))
    opening = firewall_opening(job, cuts, axis, read)
    found_holes = tuple(holes(cuts, pieces, _mouth_spreads(cuts, read)))
    closed = closings(pieces, chain, axis.column2car)
    limits = [
        *(limit for piece in planned for limit in _limits_of(piece)),
        *zones,
        *(clamp_limits(chain) if has_clamp else ()),
        *_rooms(cuts, pieces, chain, saw),
        *kept_limits(cuts, pieces, chain),
        *stroke_limits(cuts, chain, read),
        *(limit for hole in found_holes for limit in hole.limits),
        *(opening.limits if isinstance(opening, Opening) else ()),
        *(closing.limit for closing in closed),
    ]
    bars, column = tuple(forbidden_moves(cuts, taken, chain)), on_the_column(taken, chain)
    return CutPlan(
        planned=planned,
        stops=tuple(_stops(pieces, zoned)),
        chain=chain,
        saw=saw,
        limits=tuple(sorted(limits, key=lambda limit: list(LimitResult).index(limit.result))),
        accounts=tuple(_accounts(cuts, planned, chain, saw)),
        new_stocks=tuple(new_stock(piece, chain, saw) for piece in pieces),
        shorts=short_pieces(pieces, cuts.unit_may_move, bars, column),
        holes=found_holes,
        moved_by={piece.name: piece.needed.factor(PLACE_KEY) for piece in pieces},
        nearest=_nearest(cuts, zones, taken, chain),
        straight=_straight(cuts),
        opening=opening,
        closings=closed,
        not_yet=tuple(_not_yet(cuts, opening)),
        remarks=tuple(_remarks(cuts, saw)),
    )


def _planned(cuts: Cuts, chain: Chain, saw: SawUse, read: Readings) -> Iterator[Planned]:
    for spec in _specs(cuts):
        if spec.name == "lower jacket" and cuts.below is None:
            yield NotKnown(
                spec.name, ("cuts.below",), "nothing, but say what goes on below the unit: jacket or shaft alone"
            )
            continue
        spreads = {
            key: read.spread(("cuts", "done", spec.key, key)) for key in ("first_cut", "mating_gap", "cut", "end_gap")
        }
        yield plan_piece(spec, chain, spec.fit(cuts), saw, CutReadings.of(spec, spec.done(cuts), spreads))


def _specs(cuts: Cuts) -> tuple[Spec, ...]:
    return tuple(spec for spec in SPECS if spec.name != "lower jacket" or cuts.below != "shaft alone")


def _limits_of(piece: Planned) -> tuple[Found, ...]:
    if isinstance(piece, Piece):
        return piece.limits
    return (piece,) if isinstance(piece, NotKnown) else (piece.as_limit,)


def _stops(pieces: tuple[Piece, ...], zoned: tuple[tuple[Stretch, Found], ...]) -> Iterator[tuple[str, str]]:
    """Why a piece must not be cut: what it rests on is in doubt, or its cut lies in a zone."""
    for piece in pieces:
        if piece.doubt:
            yield piece.name, piece.doubt
        for stretch, found in zoned:
            if piece.name in stretch.pieces and found.result is LimitResult.OUTSIDE:
                yield piece.name, f"{found.what}: {found.reason}"


def _zones_not_known(cuts: Cuts, planned: tuple[Planned, ...]) -> Iterator[NotKnown]:
    """Zones on a stock whose cuts are not all known."""
    for stock in STOCKS:
        open_pieces = [
            p for spec, p in zip(_specs(cuts), planned, strict=True) if spec.stock == stock and not isinstance(p, Piece)
        ]
        for zone in cuts.zones:
            if open_pieces and zone.on == stock:
                names = " and ".join(piece.what for piece in open_pieces)
                yield NotKnown(f"{zone.name} - every cut of the {stock}", (), f"{names} not planned")


def _mouth_spreads(cuts: Cuts, read: Readings) -> tuple[float, ...]:
    return tuple(read.spread(("cuts", "fixings", i, "from_mouth")) for i in range(len(cuts.fixings)))


def _of(stock: str, pieces: tuple[Piece, ...]) -> tuple[Piece, ...]:
    return tuple(piece for piece in pieces if piece.spec.stock == stock)


def _whole(cuts: Cuts, stock: str, pieces: tuple[Piece, ...]) -> bool:
    return len(_of(stock, pieces)) == sum(spec.stock == stock for spec in _specs(cuts))


def _rooms(cuts: Cuts, pieces: tuple[Piece, ...], chain: Chain, saw: SawUse) -> Iterator[Found]:
    for stock in STOCKS:
        own = _of(stock, pieces)
        if _whole(cuts, stock, pieces) and all(piece.state.stage == "not cut" for piece in own):
            yield room_for_first_cuts(stock, own, chain, saw)


def _accounts(cuts: Cuts, planned: tuple[Planned, ...], chain: Chain, saw: SawUse) -> Iterator[Account | NotKnown]:
    pieces = tuple(piece for piece in planned if isinstance(piece, Piece))
    for stock in STOCKS:
        if _whole(cuts, stock, pieces):
            yield account(stock, _of(stock, pieces), chain, saw)
        else:
            yield NotKnown(f"{stock}: what falls off", (), "not all of its pieces are planned")


def _nearest(
    cuts: Cuts, zones: tuple[Found, ...], taken: tuple[Stretch, ...], chain: Chain
) -> tuple[NearestPlace | NoPlace, ...]:
    kept = all(zone.result is LimitResult.KEEPS for zone in zones)
    return () if kept or not taken else (nearest_place(cuts, taken, chain),)


def _straight(cuts: Cuts) -> Straight | NotKnown:
    if cuts.bar is None:
        return NotKnown(
            "wheel straight", ("cuts.bar",), "what section the shaft has where it is cut: double-D, spline or round"
        )
    return straight(cuts.bar, None if cuts.bores_apart is None else cuts.bores_apart.rad)


def _not_yet(cuts: Cuts, opening: Opening | NotKnown) -> Iterator[NotKnown]:
    """What the job does not hold; nothing of it changes the result."""
    if isinstance(opening, NotKnown):
        yield opening
    if cuts.bar is None:
        yield NotKnown("wheel straight, dimples", ("cuts.bar",), "what section the shaft has where it is cut")
    if not cuts.fixings:
        yield NotKnown("dimples and cross-bolts", ("cuts.fixings",), "each screw's place from the mouth of its bore")
    if not cuts.zones:
        yield NotKnown("zones", ("cuts.zones",), "clamps, lock housing and whatever must not be cut or clamped")
    if not cuts.kept:
        yield NotKnown("horn, cancel cam, lock collar", ("cuts.kept",), "their lower ends, along from the hub seat")


def _remarks(cuts: Cuts, saw: SawUse) -> Iterator[str]:
    yield from saw.defaults
    for key in ("input_mouth", "output_mouth"):
        if getattr(cuts.unit, key) is None:
            yield f"cuts.unit.{key} not given: the bore's mouth is taken to lie in the unit's face"
    if cuts.firewall is not None and cuts.firewall.across is None:
        yield "cuts.firewall.across not given: the sheet is taken to stand square across the car"
    if cuts.firewall is not None and cuts.firewall.clearance is None:
        yield "cuts.firewall.clearance not given: 5 mm all round, with an edge guard"
    if cuts.column_kind == "energy-absorbing":
        yield REMARK_127
    yield "turning the unit about the column changes no length; moving it along the column does"
