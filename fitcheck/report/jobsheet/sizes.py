"""Lengths as they stand on paper under the car: inches with fractions and mm side by side, to 1/32 in and half a mm."""

from math import ceil, floor

from fitcheck.job.lengths import inches_text, round_down_32, round_up_32
from fitcheck.report.words import Show

A_HAIR = 1e-6
UNBROKEN = "\u00a0"


def near(mm: float, show: Show) -> str:
    """The nearest step of either tape."""
    return _both(inches_text(mm), floor(mm * 2 + 0.5) / 2, show)


def at_least(mm: float, show: Show) -> str:
    """Rounded up in both: the block of a gap that must be kept."""
    return _both(inches_text(round_up_32(mm)), ceil(mm * 2 - A_HAIR) / 2, show)


def at_most(mm: float, show: Show) -> str:
    """Rounded down in both: a gap that is there."""
    return _both(inches_text(round_down_32(mm)), floor(mm * 2 + A_HAIR) / 2, show)


def mark(mm: float, way: int, show: Show) -> str:
    """A mark to saw at, rounded so that the piece comes out long: up where it grows away from the zero, else down."""
    return at_least(mm, show) if way > 0 else at_most(mm, show)


def _both(inches: str, mm: float, show: Show) -> str:
    text = f"{inches}\t({mm:g} mm)" if show == "in" else f"{mm:g} mm\t({inches})"
    return text.replace(" ", UNBROKEN).replace("\t", " ")
