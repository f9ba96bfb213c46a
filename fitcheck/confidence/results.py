"""The result of each pair: what is found against what is required, and how sure that is."""

from dataclasses import dataclass, replace
from enum import Enum
from math import inf

from fitcheck.clearance.gaps import Found
from fitcheck.clearance.pairs import Pair, Treatment
from fitcheck.confidence.draws import Drawn
from fitcheck.confidence.first_order import Share, chance_under, total
from fitcheck.placement.scene import Kind, Unplaced

CONTRADICTION = "both were there before, yet by these readings they run into each other: one was measured wrong"
LARGEST_CHANCE = 0.025  # of being under the required gap, at which a pair still counts as clear


class Result(Enum):
    """Result of a pair, worst first; `value` is the word people read."""

    HITS = "hits"
    UNDER = "under"
    NOT_KNOWN = "not known"
    TOO_CLOSE = "too close to call"
    CLEAR = "clear"
    AS_BEFORE = "as before"
    JOINED = "joined"


@dataclass(frozen=True)
class Judged:
    """A pair's result with what it rests on; `shares` are the readings behind its spread, largest first.

    `spread_mm` is first order; `chance_under` is by draws where there are any (`drawn`), else the normal one.
    `measure` says in words how to take the readings that are missing; empty where none is.
    """

    found: Found
    result: Result
    reason: str
    spread_mm: float = 0.0
    chance_under: float = 0.0
    drawn: Drawn | None = None
    shares: tuple[Share, ...] = ()
    measure: str = ""

    @property
    def pair(self) -> Pair:
        return self.found.pair

    @property
    def missing(self) -> tuple[str, ...]:
        """Keys of the readings that the pair waits for."""
        return _missing(self.pair)

    @property
    def margin_mm(self) -> float:
        """Certified bound less required; only where the pair has a gap."""
        assert self.found.closest is not None
        return self.found.closest.gap.bound_mm - self.pair.need.required_mm


def judged(found: Found, shares: tuple[Share, ...], drawn: Drawn | None = None) -> Judged:
    """The result of one pair from its gap, the readings behind it and, where there are any, draws of them."""
    result = _judged(found, shares, drawn)
    return result if drawn is None else replace(result, drawn=drawn)


def _judged(found: Found, shares: tuple[Share, ...], drawn: Drawn | None) -> Judged:
    need = found.pair.need
    if need.treatment is Treatment.JOINED:
        return Judged(found, Result.JOINED, need.reason)
    spread = total(shares)
    if found.closest is None:
        missing, measure = f"missing {', '.join(_missing(found.pair))}", _how_to_measure(found.pair)
        if need.treatment is Treatment.AS_BEFORE:
            return Judged(found, Result.AS_BEFORE, f"{need.reason}; {missing}", measure=measure)
        return Judged(found, Result.NOT_KNOWN, missing, measure=measure)
    gap = found.closest.gap
    if need.treatment is Treatment.AS_BEFORE:
        if gap.gap_mm == 0 and Kind.BOOT not in (found.pair.a.kind, found.pair.b.kind):
            return Judged(found, Result.NOT_KNOWN, CONTRADICTION, spread, shares=shares)
        return Judged(found, Result.AS_BEFORE, need.reason, spread, shares=shares)
    chance = chance_under(gap.bound_mm, need.required_mm, spread) if drawn is None else drawn.chance_under
    if gap.gap_mm == 0:
        return Judged(found, Result.HITS, "the two meet", spread, chance, drawn, shares)
    if gap.doubt:
        return Judged(found, Result.NOT_KNOWN, gap.doubt, spread, chance, drawn, shares)
    if not gap.bracketed and gap.bound_mm < need.required_mm <= gap.gap_mm:
        reason = "the search for the least gap was cut short before it was decided"
        return Judged(found, Result.TOO_CLOSE, reason, spread, chance, drawn, shares)
    if gap.bound_mm < need.required_mm:
        return Judged(found, Result.UNDER, "less than required", spread, chance, drawn, shares)
    if chance > LARGEST_CHANCE:
        reason = "kept, but the readings are not good enough to say so"
        return Judged(found, Result.TOO_CLOSE, reason, spread, chance, drawn, shares)
    return Judged(found, Result.CLEAR, "kept", spread, chance, drawn, shares)


def worst_first(entry: Judged) -> tuple[int, float, str, str]:
    """Sorting key: result, then margin (where there is a gap), then names."""
    margin = inf if entry.found.closest is None else entry.margin_mm - entry.found.closest.gap.depth_mm
    return list(Result).index(entry.result), margin, entry.pair.a.name, entry.pair.b.name


def _lacking(pair: Pair) -> list[Unplaced]:
    return [part for part in (pair.a, pair.b) if isinstance(part, Unplaced)]


def _missing(pair: Pair) -> tuple[str, ...]:
    return tuple(dict.fromkeys(key for part in _lacking(pair) for key in part.keys))


def _how_to_measure(pair: Pair) -> str:
    return "; ".join(dict.fromkeys(part.measure for part in _lacking(pair)))
