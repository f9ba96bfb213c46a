"""Limits of the cut list: a value against its band, and how sure that is. Millimetres.

A limit keeps when its whole 95 % interval lies in the band, so that the chance of being beyond either end is at most
2.5 %; it is too close to call when only the value itself does.
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from math import ceil, inf
from statistics import NormalDist

from fitcheck.cuts.chain import Chain, Stack
from fitcheck.placement.scene import Missing

NORMAL = NormalDist()
SIGMAS_95 = NORMAL.inv_cdf(0.975)
ROUNDING_MM = 1e-9


class LimitResult(Enum):
    """Result of a limit, worst first; `value` is the word people read."""

    OUTSIDE = "outside"
    NOT_KNOWN = "not known"
    TOO_CLOSE = "too close to call"
    KEEPS = "keeps"


@dataclass(frozen=True)
class Band:
    """What a value may be: `low_mm` to `high_mm`, either of which may be infinite; `said` names where it is from."""

    low_mm: float
    high_mm: float
    said: str

    def holds(self, mm: float) -> bool:
        """Whether `mm` lies in the band, ends included."""
        return self.low_mm - ROUNDING_MM <= mm <= self.high_mm + ROUNDING_MM

    @property
    def middle_mm(self) -> float:
        """Half way; only for a band with two ends."""
        return (self.low_mm + self.high_mm) / 2


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


@dataclass(frozen=True)
class NotKnown:
    """Something that cannot be answered: which keys it waits for, and in words what to measure or find out."""

    what: str
    keys: tuple[str, ...]
    measure: str
    result: LimitResult = LimitResult.NOT_KNOWN

    @property
    def reason(self) -> str:
        """In words."""
        return f"missing {', '.join(self.keys)}: measure {self.measure}" if self.keys else self.measure


Found = Limit | NotKnown


def judged(what: str, stack: Stack, band: Band, chain: Chain | None = None) -> Found:
    """The value against its band; not known where `chain` holds a contradiction that it rests on."""
    doubts = () if chain is None else chain.doubts_of(stack)
    if doubts:
        return NotKnown(what, (), "; ".join(map(str, doubts)))
    if not band.holds(stack.mm):
        short = stack.mm < band.low_mm
        off = band.low_mm - stack.mm if short else stack.mm - band.high_mm
        reason = f"{ceil(off * 10 - ROUNDING_MM) / 10:g} mm too {'little' if short else 'much'}"
        return Limit(what, stack, band, LimitResult.OUTSIDE, reason)
    if band.holds(stack.mm - stack.rss_mm) and band.holds(stack.mm + stack.rss_mm):
        return Limit(what, stack, band, LimitResult.KEEPS, "kept")
    return Limit(what, stack, band, LimitResult.TOO_CLOSE, "kept, but the readings are not good enough to say so")


def attempt(what: str, find: Callable[[], Found]) -> Found:
    """What `find` finds, or NotKnown with the readings it misses."""
    try:
        return find()
    except Missing as missing:
        return NotKnown(what, missing.keys, missing.measure)


def worst(results: list[LimitResult]) -> LimitResult:
    """The worst of them; nothing to judge is not known."""
    order = list(LimitResult)
    return min(results, key=order.index) if results else LimitResult.NOT_KNOWN
