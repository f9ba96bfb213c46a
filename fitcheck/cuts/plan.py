"""The cut list of a job, step by step: chain, pieces, limits, what to do where something is short, closing check.

`cut_plan` is the order of the steps. Millimetres along the column from the hub seat.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from fitcheck.cuts.assembled import Closing, closings, mark_limits
from fitcheck.cuts.chain import Chain, Doubt
from fitcheck.cuts.faces import HUB_SEAT, PLACE_KEY, SHAFT_END, Readings
from fitcheck.cuts.firewall import Opening
from fitcheck.cuts.fixings import Hole, holes
from fitcheck.cuts.holds import holds, own_stops
from fitcheck.cuts.kept import Straight, kept_limits, straight, straight_limits
from fitcheck.cuts.layout import STOCKS, Layout, is_whole, lay_out, of_stock
from fitcheck.cuts.limits import Found, LimitResult, NotKnown, worst
from fitcheck.cuts.nearest import Nearest, nearest
from fitcheck.cuts.pieces import Piece, Planned, found_of
from fitcheck.cuts.place import forbidden_moves, on_the_column
from fitcheck.cuts.remedies import Short, short_pieces
from fitcheck.cuts.saw import SawUse
from fitcheck.cuts.sheet import firewall_opening, jacket_limits
from fitcheck.cuts.specs import SPECS
from fitcheck.cuts.stocks import Account, NewStock, account, new_stock, room_for_first_cuts
from fitcheck.cuts.stroke import REMARK_127
from fitcheck.job.cutting import Cuts, CutSoFar
from fitcheck.job.model import Job
from fitcheck.placement.column import ColumnAxis

BENCH_AGAIN = "the bench readings again, which contradict each other: fitcheck cuts says by how much"
HELD = "yet: see NO CUT YET above"


@dataclass(frozen=True)
class CutPlan:
    """All that was found out about the cuts. `limits`: every limit, worst first.

    moved_by: how far each finished length grows when the unit goes 1 mm to the rack; nearest: empty where every zone
    is kept; stops: pieces that must not be cut as planned, each with why; holds: why no piece may be cut yet;
    sawn: names of the pieces that are off their stock.
    """

    planned: tuple[Planned, ...]
    stops: tuple[tuple[str, str], ...]
    holds: tuple[str, ...]
    chain: Chain
    saw: SawUse
    limits: tuple[Found, ...]
    accounts: tuple[Account | NotKnown, ...]
    new_stocks: tuple[NewStock | NotKnown, ...]
    shorts: tuple[Short, ...]
    holes: tuple[Hole, ...]
    moved_by: dict[str, float]
    nearest: tuple[Nearest, ...]
    straight: Straight | NotKnown
    opening: Opening | NotKnown
    closings: tuple[Closing, ...]
    not_yet: tuple[NotKnown, ...]
    remarks: tuple[str, ...]
    sawn: tuple[str, ...] = ()

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """The pieces that could be planned."""
        return found_of(self.planned)

    def its_mark_is_gone(self, piece: Piece) -> bool:
        """Whether the end that its mark was pulled from went off with the other piece: then its own end is left."""
        return piece.spec.way < 0 and any(
            spec.name in self.sawn and spec.stock == piece.spec.stock and spec.way > 0 for spec in SPECS
        )

    def stop(self, piece: Planned) -> str:
        """Why the piece must not be cut as planned, in words; empty where nothing stands against it."""
        name = piece.name if isinstance(piece, Piece) else piece.what
        own = "; ".join(why for stopped, why in self.stops if stopped == name)
        to_cut = isinstance(piece, Piece) and not piece.state.at_its_end
        return own or (HELD if self.holds and to_cut else "")

    def result_of(self, piece: Planned) -> LimitResult:
        """The worst of a piece's own limits and of the zones its cut lies in; not known while its mark has to wait."""
        stop = self.stop(piece)
        if not isinstance(piece, Piece) or not stop or piece.doubt:
            return piece.result
        return worst([piece.result, LimitResult.NOT_KNOWN if stop == HELD else LimitResult.OUTSIDE])

    def waiting_for(self, reasons: Iterable[str]) -> "CutPlan":
        """The same plan with more that has to be settled before any cut; nothing else changes."""
        return replace(self, holds=(*self.holds, *reasons))

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
    def shaft_end_doubt(self) -> NotKnown | None:
        """The contradiction that the place of that end rests on; None where there is none."""
        if self.shaft_end is None:
            return None
        doubts = self.chain.doubts_of(self.chain.between(HUB_SEAT, SHAFT_END))
        keys = dict.fromkeys(key for doubt in doubts for key in (doubt.key, *doubt.others))
        return NotKnown("end of the column's shaft", tuple(keys), BENCH_AGAIN) if doubts else None

    @property
    def result(self) -> LimitResult:
        """The worst of all limits."""
        return worst([limit.result for limit in self.limits])


def cut_plan(job: Job, cuts: Cuts) -> CutPlan:
    """Plan every cut, judge every limit, and lay the column together again from what is printed. Raises KeyFault."""
    read, axis = Readings.of(job), ColumnAxis(job)
    laid = lay_out(job, cuts, read)
    chain, saw, planned, pieces = laid.chain, laid.saw, laid.planned, laid.pieces
    rooms = tuple(_rooms(cuts, pieces, chain, saw))
    opening = firewall_opening(job, cuts, axis, read)
    found_holes = tuple(holes(cuts, pieces, _mouth_spreads(cuts, read)))
    closed, wheel = closings(job, pieces, chain, axis.column2car), _straight(cuts)
    limits = [
        *(limit for piece in planned for limit in _limits_of(piece)),
        *laid.at_this_place,
        *rooms,
        *mark_limits(pieces, chain, saw),
        *kept_limits(cuts, pieces, chain),
        *straight_limits(wheel),
        *(limit for hole in found_holes for limit in hole.limits),
        *(opening.limits if isinstance(opening, Opening) else ()),
        *jacket_limits(job, cuts, chain, opening),
        *(closing.limit for closing in closed),
    ]
    bars, column = tuple(forbidden_moves(cuts, laid.taken, chain)), on_the_column(laid.taken, chain)
    return CutPlan(
        planned=planned,
        stops=tuple(own_stops(laid)),
        holds=tuple(holds(laid, rooms)),
        chain=chain,
        saw=saw,
        limits=tuple(sorted(limits, key=lambda limit: list(LimitResult).index(limit.result))),
        accounts=tuple(_accounts(cuts, laid)),
        new_stocks=tuple(new_stock(piece, chain, saw) for piece in pieces),
        shorts=short_pieces(pieces, cuts.unit_may_move, bars, column),
        holes=found_holes,
        moved_by={piece.name: piece.needed.factor(PLACE_KEY) for piece in pieces},
        nearest=tuple(nearest(job, cuts, read, laid)),
        straight=wheel,
        opening=opening,
        closings=closed,
        not_yet=tuple(_not_yet(cuts, opening)),
        remarks=tuple(_remarks(cuts, saw)),
        sawn=tuple(spec.name for spec in SPECS if _is_sawn(spec.done(cuts))),
    )


def _is_sawn(done: CutSoFar) -> bool:
    return done.first_cut is not None or done.cut is not None


def _limits_of(piece: Planned) -> tuple[Found, ...]:
    if isinstance(piece, Piece):
        return piece.limits
    return (piece,) if isinstance(piece, NotKnown) else (piece.as_limit,)


def _mouth_spreads(cuts: Cuts, read: Readings) -> tuple[float, ...]:
    return tuple(read.spread(("cuts", "fixings", i, "from_mouth")) for i in range(len(cuts.fixings)))


def _rooms(cuts: Cuts, pieces: tuple[Piece, ...], chain: Chain, saw: SawUse) -> Iterator[Found]:
    for stock in STOCKS:
        own = of_stock(stock, pieces)
        if is_whole(cuts, stock, pieces) and all(piece.state.stage == "not cut" for piece in own):
            yield room_for_first_cuts(stock, own, chain, saw)


def _accounts(cuts: Cuts, laid: Layout) -> Iterator[Account | NotKnown]:
    for stock in STOCKS:
        if is_whole(cuts, stock, laid.pieces):
            yield account(stock, of_stock(stock, laid.pieces), laid.chain, laid.saw)
        else:
            yield NotKnown(f"{stock}: what falls off", (), "not all of its pieces are planned")


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
    if cuts.below == "shaft alone":
        yield from _not_used(cuts)
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


def _not_used(cuts: Cuts) -> Iterator[str]:
    """What was read for a lower jacket where none is kept."""
    read = [f"cuts.unit.{key}" for key in ("lower_collar_mouth", "lower_collar_depth") if getattr(cuts.unit, key)]
    read += [] if cuts.fits.lower_jacket is None else ["cuts.fits.lower_jacket"]
    if read:
        yield f"{', '.join(read)} not used: cuts.below says shaft alone, so no lower jacket is kept"
