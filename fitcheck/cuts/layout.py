"""The cuts laid out at one place of the unit: chain, pieces, stretches, and the limits that hang on that place. mm."""

from collections.abc import Iterator
from dataclasses import dataclass

from fitcheck.cuts.chain import Chain
from fitcheck.cuts.faces import Readings, column_chain
from fitcheck.cuts.limits import Found, LimitResult, NotKnown
from fitcheck.cuts.pieces import CutReadings, Piece, Planned, found_of, plan_piece
from fitcheck.cuts.place import Stretch, clamp_limits, stretches, zone_limits
from fitcheck.cuts.saw import SawUse, saw_use
from fitcheck.cuts.specs import SPECS, Spec
from fitcheck.cuts.stroke import stroke_limits
from fitcheck.job.cutting import Cuts, Stock
from fitcheck.job.model import Job

STOCKS: tuple[Stock, ...] = ("jacket", "shaft")
READ = ("first_cut", "mating_gap", "cut", "end_gap")


@dataclass(frozen=True)
class Layout:
    """zoned: each stretch against each zone; unknown_zones: zones on a stock whose cuts are not all planned."""

    chain: Chain
    saw: SawUse
    planned: tuple[Planned, ...]
    taken: tuple[Stretch, ...]
    zoned: tuple[tuple[Stretch, Found], ...]
    unknown_zones: tuple[Found, ...]
    clamps: tuple[Found, ...]
    strokes: tuple[Found, ...]

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """The pieces that could be planned."""
        return found_of(self.planned)

    @property
    def zones(self) -> tuple[Found, ...]:
        """Every zone, each against all that is cut or clamped."""
        return (*(found for _, found in self.zoned), *self.unknown_zones)

    @property
    def at_this_place(self) -> tuple[Found, ...]:
        """Zones, clamp and stroke: what no mark may be cut by until it is settled."""
        return (*self.zones, *self.clamps, *self.strokes)

    @property
    def moved_by_the_unit(self) -> tuple[Found, ...]:
        """Those that another place of the unit may change."""
        zones = (found for stretch, found in self.zoned if stretch.moves)
        return (*zones, *self.clamps, *(found for found in self.strokes if "unit onto" in found.what))

    @property
    def fixed(self) -> tuple[Found, ...]:
        """Clamps in a zone: no place of the unit changes that."""
        return tuple(
            found for stretch, found in self.zoned if not stretch.moves and found.result is not LimitResult.KEEPS
        )


def lay_out(job: Job, cuts: Cuts, read: Readings) -> Layout:
    """The cuts with the unit where the job says."""
    chain = column_chain(job, cuts, read)
    saw = saw_use(cuts.saw, read.spread(("cuts", "saw", "kerf")))
    planned = tuple(_planned(cuts, chain, saw, read))
    pieces = tuple(piece for piece in planned if isinstance(piece, Piece))
    has_clamp = job.bracket is not None and job.bracket.clamp is not None
    whole = tuple(stock for stock in STOCKS if is_whole(cuts, stock, pieces))
    taken = tuple(stretches(pieces, whole, chain, has_clamp))
    return Layout(
        chain=chain,
        saw=saw,
        planned=planned,
        taken=taken,
        zoned=tuple(zone_limits(cuts, taken, chain)),
        unknown_zones=tuple(_unknown_zones(cuts, planned)),
        clamps=tuple(clamp_limits(chain)) if has_clamp else (),
        strokes=tuple(stroke_limits(cuts, chain, read)),
    )


def specs(cuts: Cuts) -> tuple[Spec, ...]:
    """The cut ends of this job."""
    return tuple(spec for spec in SPECS if spec.name != "lower jacket" or cuts.below != "shaft alone")


def of_stock(stock: str, pieces: tuple[Piece, ...]) -> tuple[Piece, ...]:
    """The pieces of one stock."""
    return tuple(piece for piece in pieces if piece.spec.stock == stock)


def is_whole(cuts: Cuts, stock: str, pieces: tuple[Piece, ...]) -> bool:
    """Whether every piece of the stock is planned."""
    return len(of_stock(stock, pieces)) == sum(spec.stock == stock for spec in specs(cuts))


def _planned(cuts: Cuts, chain: Chain, saw: SawUse, read: Readings) -> Iterator[Planned]:
    for spec in specs(cuts):
        if spec.name == "lower jacket" and cuts.below is None:
            yield NotKnown(
                spec.name, ("cuts.below",),
                'nothing, but say what goes on below the unit: write below = "jacket in a collar" or "shaft alone"',
            )  # fmt: skip
            continue
        spreads = {key: read.spread(("cuts", "done", spec.key, key)) for key in READ}
        yield plan_piece(spec, chain, spec.fit(cuts), saw, CutReadings.of(spec, spec.done(cuts), spreads))


def _unknown_zones(cuts: Cuts, planned: tuple[Planned, ...]) -> Iterator[NotKnown]:
    for stock in STOCKS:
        open_pieces = [
            piece
            for spec, piece in zip(specs(cuts), planned, strict=True)
            if spec.stock == stock and not isinstance(piece, Piece)
        ]
        for zone in cuts.zones:
            if open_pieces and zone.on == stock:
                names = " and ".join(piece.what for piece in open_pieces)
                yield NotKnown(f"{zone.name} - every cut of the {stock}", (), f"{names} not planned")
