"""Limits of the cut list: a value against its band, and how sure that is. Millimetres.

A limit keeps when its whole 95 % interval lies in the band, so that the chance of being beyond either end is at most
2.5 %; it is too close to call when only the value itself does.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, inf
from statistics import NormalDist

from fitcheck.cuts.chain import DOUBTED, Chain, Stack, named_share
from fitcheck.limits import ROUNDING, Band, LimitResult, NotKnown, known, worst
from fitcheck.readings.steps import SIGMAS_95

__all__ = ["Band", "Found", "Limit", "LimitResult", "NotKnown", "attempt", "judged", "worst"]
NORMAL = NormalDist()


@dataclass(frozen=True)
class Limit:
    """A value and its band: nominal, the readings behind it, the result, and in words why."""

    what: str
    stack: Stack
    band: Band
    result: LimitResult
    reason: str

    @property
    def chance_outside(self) -> float:
        """Chance (0..1) that the true value lies outside the band: normal about the value."""
        spread = self.stack.rss_mm
        if spread == 0:
            return float(not self.band.holds(self.stack.mm))
        spots = ((end - self.stack.mm) / spread * SIGMAS_95 for end in (self.band.low_mm, self.band.high_mm))
        low, high = (float(end > 0) if end in (inf, -inf) else NORMAL.cdf(end) for end in spots)
        return low + 1 - high


Found = Limit | NotKnown


def judged(what: str, stack: Stack, band: Band, chain: Chain | None = None) -> Found:
    """The value against its band; not known where `chain` holds a contradiction that it rests on."""
    doubts = () if chain is None else chain.doubts_of(stack)
    if doubts:
        return NotKnown(what, (), DOUBTED)
    result = band.result(stack.mm, stack.rss_mm)
    if result is LimitResult.OUTSIDE:
        short = stack.mm < band.low_mm
        off = band.low_mm - stack.mm if short else stack.mm - band.high_mm
        reason = f"{ceil(off * 10 - ROUNDING) / 10:g} mm too {'little' if short else 'much'}"
        return Limit(what, stack, band, result, reason)
    unsure = f"kept, but the readings are not good enough to say so; most of it is {named_share(stack)}"
    return Limit(what, stack, band, result, "kept" if result is LimitResult.KEEPS else unsure)


def attempt(what: str, find: Callable[[], Found]) -> Found:
    """What `find` finds, or NotKnown with the readings it misses."""
    return known(what, find)
