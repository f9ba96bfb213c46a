"""Limits of the trade for the shaft, and how a value is judged against one. All figures: common practice, no source.

Angles in rad inside, degrees where a name says so; lengths mm; ripple per cent of the mean speed.
"""

from dataclasses import dataclass
from enum import Enum

import numpy as np

from fitcheck.job.shafting import Joint
from fitcheck.limits import LimitResult, held_between

GOOD_DEG, FINE_DEG, WARN_DEG, MOST_DEG = 20.0, 25.0, 30.0, 35.0
DISC_DEG = 5.0
RIPPLE_WORDS = ((5.0, "good"), (10.0, "felt"), (15.0, "strong"))
RIPPLE_MOST_PCT = 15.0
SHORT_MM = 1.5  # how far short of the bore's inner end a shaft may stay
OVERLAP_MM = 50.0  # of two telescoping halves at full length, and at least twice the bore
COLLAPSE_MM = 100.0
SLIP_MM = 5.0  # running slip beyond the engagement to be drawn off: 3 to 6
FIRST_CUT_LONG_MM = 6.0
CLEAR_MM = 10.0  # shaft and joints to engine, body, chassis, movement included
HOT_AT_REST_MM, HOT_BEYOND_ROCK_MM, SHIELD_UNDER_MM = 25.0, 13.0, 40.0
TRADE = "common practice"


class Grade(Enum):
    """Grade of a joint's angle, best first."""

    GOOD = "good"
    FINE = "fine"
    WARN = "warn"
    NO = "no"


@dataclass(frozen=True)
class Held:
    """A value held against its band: `low` or `high` may be infinite; `spread` is the half-width of 95 %."""

    value: float
    spread: float
    low: float = -np.inf
    high: float = np.inf

    @property
    def result(self) -> LimitResult:
        """How the value stands in the band."""
        return held_between(self.value, self.spread, self.low, self.high)


def angle_limit_deg(joint: Joint) -> tuple[float, str]:
    """Largest angle a joint may stand at, and where the figure is from."""
    if joint.kind == "disc":
        own = None if joint.largest_angle is None else float(np.degrees(joint.largest_angle.rad))
        return (DISC_DEG, TRADE) if own is None or own > DISC_DEG else (own, "the joint's own data")
    halves = 2 if joint.kind == "double" else 1
    if joint.largest_angle is None:
        return WARN_DEG * halves, TRADE
    own = float(np.degrees(joint.largest_angle.rad))
    if own > MOST_DEG * halves:
        return MOST_DEG * halves, f"{TRADE}: never over it, whatever the joint's own data say"
    return own, "the joint's own data"


def grade(joint: Joint, angle_deg: float) -> Grade:
    """Grade of an angle; a double joint's by each half, a disc's good up to its limit and no above."""
    most, _ = angle_limit_deg(joint)
    if angle_deg > most:
        return Grade.NO
    if joint.kind == "disc":
        return Grade.GOOD
    each = angle_deg / (2 if joint.kind == "double" else 1)
    return Grade.GOOD if each <= GOOD_DEG else Grade.FINE if each <= FINE_DEG else Grade.WARN


def ripple_word(ripple_pct: float) -> str:
    """How the ripple left is felt."""
    return next((word for most, word in RIPPLE_WORDS if ripple_pct <= most), "a fault")
