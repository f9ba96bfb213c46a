"""Limits in general: a band, the four results, how a value with its spread is judged, and what waits for readings.

Knows no car; lengths mm, spreads half-widths of a 95 % interval. Shaft and cuts judge by these words alike.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import Enum
from typing import TypeVar

from fitcheck.errors import Missing

T = TypeVar("T")
ROUNDING = 1e-9
NO_TAPE = "nothing, but "


class LimitResult(Enum):
    """Result of a limit, worst first; `value` is the word people read. One that is set on the car is not judged.

    Set on the car: inside its band by the readings, which are too coarse to prove it, while the work itself settles it
    by hand (a joint slid on until it is right, a bar cut long and trimmed).
    """

    OUTSIDE = "outside"
    NOT_KNOWN = "not known"
    TOO_CLOSE = "too close to call"
    SET_ON_CAR = "set on the car"
    KEEPS = "keeps"


@dataclass(frozen=True)
class Band:
    """What a value may be: `low_mm` to `high_mm`, either of which may be infinite; `said` names where it is from."""

    low_mm: float
    high_mm: float
    said: str = ""

    def holds(self, mm: float) -> bool:
        """Whether `mm` lies in the band, ends included."""
        return self.result(mm, 0.0) is LimitResult.KEEPS

    @property
    def middle_mm(self) -> float:
        """Half way; only for a band with two ends."""
        return (self.low_mm + self.high_mm) / 2

    def result(self, mm: float, spread_mm: float) -> LimitResult:
        """How a value with its spread stands in the band."""
        return held_between(mm, spread_mm, self.low_mm, self.high_mm)


def to_do(measure: str) -> str:
    """What to do in words: measure it, or, where there is nothing to measure, what to say instead."""
    return measure.removeprefix(NO_TAPE) if measure.startswith(NO_TAPE) else f"measure {measure}"


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
        return f"missing {', '.join(self.keys)}: {to_do(self.measure)}" if self.keys else self.measure


def known(what: str, make: Callable[[], T]) -> T | NotKnown:
    """What `make` returns, or what it lacks."""
    try:
        return make()
    except Missing as missing:
        return NotKnown(what, missing.keys, missing.measure)


def held_between(value: float, spread: float, low: float, high: float) -> LimitResult:
    """Keeps where the whole 95 % interval lies inside, so that the chance of being beyond an end is at most 2.5 %.

    Outside where the value itself is; ends included, either may be infinite.
    """
    margin = min(value - low, high - value) + ROUNDING
    if not margin >= 0:
        return LimitResult.OUTSIDE
    return LimitResult.KEEPS if margin >= spread else LimitResult.TOO_CLOSE


def worst(results: Iterable[LimitResult]) -> LimitResult:
    """The worst of them; nothing to judge is not known."""
    return min(results, key=list(LimitResult).index, default=LimitResult.NOT_KNOWN)
