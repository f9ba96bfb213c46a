"""One piece: from bands and readings to first cut, trim and finished length. mm, lengths from the face that stays.

The finished length may lie where engagement and end gap keep their bands; it goes to the 1/32 in step nearest their
middle and is refused where no step lies inside. The first cut is long by allowance and spread, rounded up to the step.
"""

from dataclasses import dataclass
from math import hypot, inf

from fitcheck.cuts.chain import DOUBTED, Chain, Stack, both
from fitcheck.cuts.limits import Band, Found, Limit, LimitResult, NotKnown, judged, worst
from fitcheck.cuts.marks import gap_after_cut, mark_on_stock, rounded_into
from fitcheck.cuts.saw import SawUse
from fitcheck.cuts.specs import Spec
from fitcheck.cuts.trial import State, first_cut_too_long, state_of
from fitcheck.errors import Missing
from fitcheck.job.cutting import Band as Wanted
from fitcheck.job.cutting import CutSoFar, Fit
from fitcheck.job.lengths import round_up_32


@dataclass(frozen=True)
class Refused:
    """A piece for which there is no length: what, and why in words. Its result is `outside`."""

    what: str
    reason: str
    result: LimitResult = LimitResult.OUTSIDE

    @property
    def as_limit(self) -> Limit:
        """The refusal among the limits: there is no room between the ends of its band."""
        return Limit(self.what, Stack(0.0), Band(0.0, 0.0, ""), self.result, self.reason)


@dataclass(frozen=True)
class Piece:
    """One planned piece. `needed` is its length in the middle of `allowed`, with the readings behind it.

    length_mm: finished, on the step; first_cut_mm: what the first cut leaves, `first` its stack; mark_mm: where it is
    marked, from the stock's one end; left: what stays before the bottom; inside: how far it is in; depth: of what it
    goes into; straight: what would stay if it were cut straight to length, and straight_result how that is judged;
    expected: the mating gap to read once it is cut at its mark; doubt: in words, why nothing of it can be said; empty
    where there is none.
    """

    spec: Spec
    allowed: Band
    needed: Stack
    length_mm: float
    first: Stack
    first_cut_mm: float
    mark_mm: float
    state: State
    left: Stack
    inside: Stack
    depth: Stack
    straight: Stack
    expected: Stack
    engagement: Band
    doubt: str
    limits: tuple[Found, ...]
    straight_result: LimitResult

    @property
    def name(self) -> str:
        """What it is called."""
        return self.spec.name

    @property
    def trim_mm(self) -> float:
        """What the plan takes off after the first cut."""
        return self.first_cut_mm - self.length_mm

    @property
    def rounding_mm(self) -> float:
        """How far the step is from the middle of the band."""
        return self.length_mm - self.needed.mm

    @property
    def first_cut_in_doubt(self) -> str:
        """Why its first cut, as it was read, cannot be right; empty where it can."""
        doubts = (limit.reason for limit in self.limits if isinstance(limit, NotKnown))
        return "" if self.doubt else next(doubts, "")

    @property
    def result(self) -> LimitResult:
        """The worst of its limits."""
        return worst([limit.result for limit in self.limits])


Planned = Piece | Refused | NotKnown


def found_of(planned: tuple[Planned, ...]) -> tuple[Piece, ...]:
    """The pieces that could be planned."""
    return tuple(piece for piece in planned if isinstance(piece, Piece))


def plan_piece(spec: Spec, chain: Chain, fit: Fit | None, saw: SawUse, done: "CutReadings") -> Planned:
    """The piece, refused, or not known with the readings it waits for."""
    try:
        return _plan(spec, chain, _bands(spec, fit), saw, done)
    except Missing as missing:
        return NotKnown(spec.name, missing.keys, missing.measure)


@dataclass(frozen=True)
class CutReadings:
    """What was read of a piece while it was cut, with spreads; absent keys were not read."""

    read: dict[str, Stack]

    @classmethod
    def of(cls, spec: Spec, done: CutSoFar, spreads: dict[str, float]) -> "CutReadings":
        """`spreads` by key of [cuts.done.PIECE]."""
        read = {}
        for key in ("first_cut", "mating_gap", "cut", "end_gap"):
            length = getattr(done, key)
            if length is not None:
                read[key] = Stack.of(f"cuts.done.{spec.key}.{key}", length.mm, spreads[key])
        return cls(read)


def _plan(spec: Spec, chain: Chain, bands: "Bands", saw: SawUse, done: CutReadings) -> Planned:
    reach, depth = spec.reach(chain), spec.depth(chain)
    low, high = bands.lengths(reach, depth)
    allowed = Band(low.mm, high.mm, bands.said)
    if low.mm > high.mm:
        return Refused(spec.name, f"no length keeps both {bands.said} in a bore {depth.mm:.1f} mm deep")
    length = rounded_into(allowed)
    if length is None:
        return Refused(
            spec.name,
            f"no 1/32 in step lies between {low.mm:.2f} and {high.mm:.2f} mm; widen the bands, or dress to fit",
        )
    needed = low.plus(high).times(0.5)
    first = saw.first_cut(needed)
    first_cut = round_up_32(needed.mm + saw.allowance_mm + first.rss_mm)
    state = state_of(spec, allowed, length, reach, saw, done.read)
    straight = saw.straight_to_length(reach.moved(-length))
    mark = mark_on_stock(spec, chain, first_cut)
    odd = first_cut_too_long(state, first_cut, mark, saw, spec)
    inside, doubt = depth.plus(state.left, -1.0), _doubt(spec, state, chain)
    return Piece(
        spec=spec,
        allowed=allowed,
        needed=needed,
        length_mm=length,
        first=first,
        first_cut_mm=first_cut,
        mark_mm=mark,
        state=state,
        left=state.left,
        inside=inside,
        depth=depth,
        straight=straight,
        expected=gap_after_cut(spec, chain, saw, mark),
        engagement=bands.engagement,
        doubt=doubt,
        limits=(
            *_limits(spec, bands, state, inside, doubt),
            *((NotKnown(f"{spec.name}: first cut", (), odd),) if odd else ()),
        ),
        straight_result=_straight_result(bands, straight, depth),
    )


@dataclass(frozen=True)
class Bands:
    """How far in, and what is left before the bottom (never below 0)."""

    engagement: Band
    end_gap: Band
    said: str

    def lengths(self, reach: Stack, depth: Stack) -> tuple[Stack, Stack]:
        """Shortest and longest length that keep both, each with the readings it rests on."""
        mouth = reach.plus(depth, -1.0)
        shortest = [reach.moved(-self.end_gap.high_mm), mouth.moved(self.engagement.low_mm)]
        longest = [reach.moved(-self.end_gap.low_mm), mouth.moved(self.engagement.high_mm)]
        return max(shortest, key=lambda stack: stack.mm), min(longest, key=lambda stack: stack.mm)


def _bands(spec: Spec, fit: Fit | None) -> Bands:
    key = f"cuts.fits.{spec.key}"
    if fit is None or (fit.engagement is None and fit.end_gap is None):
        measure = (
            f"how far the {spec.name} may go in, and what is to be left before the bottom: the unit's maker says so"
        )
        raise Missing([key], measure)
    given = [name for name in ("engagement", "end_gap") if getattr(fit, name) is not None]
    said = " and ".join(f"{key}.{name}" for name in given)
    bottom = Band(0.0, inf, "it must not bottom")
    if fit.engagement is None and fit.end_gap is not None:
        return Bands(Band(0.0, inf, "it must go in"), _band(fit.end_gap, f"{key}.end_gap"), said)
    assert fit.engagement is not None
    gap = bottom if fit.end_gap is None else _band(fit.end_gap, f"{key}.end_gap")
    return Bands(_band(fit.engagement, f"{key}.engagement"), gap, said)


def _band(wanted: Wanted, said: str) -> Band:
    return Band(wanted[0].mm, wanted[1].mm, said)


def _doubt(spec: Spec, state: State, chain: Chain) -> str:
    """Why nothing of the piece can be said: its trial fit disagrees, or readings it rests on contradict each other."""
    doubts = (*chain.doubts_of(spec.reach(chain)), *chain.doubts_of(spec.depth(chain)))
    return state.disagreement or _more_than_there_was(spec, state, chain) or (DOUBTED if doubts else "")


def _more_than_there_was(spec: Spec, state: State, chain: Chain) -> str:
    """A piece that reads longer than what it was cut from, beyond the spread; its stock may not be measured yet."""
    if state.now is None or not chain.ties(spec.origin, spec.far_end):
        return ""
    most = chain.between(spec.origin, spec.far_end).times(spec.way)
    if state.now.mm <= most.mm + hypot(most.rss_mm, state.now.rss_mm):
        return ""
    return (
        f"it reads {both(state.now.mm)}, but the {spec.stock} was only {both(most.mm)} long from the "
        f"{spec.read_from}: measure it again"
    )


def _limits(spec: Spec, bands: Bands, state: State, inside: Stack, doubt: str) -> tuple[Found, ...]:
    gap, engagement = f"{spec.name}: left before the bottom", f"{spec.name}: engagement"
    if doubt:
        return NotKnown(gap, (), in_doubt(spec.name)), NotKnown(engagement, (), in_doubt(spec.name))
    return judged(gap, state.left, bands.end_gap), judged(engagement, inside, bands.engagement)


def in_doubt(name: str) -> str:
    """What a limit says whose piece is in doubt; why stands beside the piece."""
    return f"waits until the readings of the {name}, which contradict each other, agree"


def _straight_result(bands: Bands, straight: Stack, depth: Stack) -> LimitResult:
    gap = judged("", straight, bands.end_gap)
    return worst([gap.result, judged("", depth.plus(straight, -1.0), bands.engagement).result])
