"""Pairs that are clear by guesses more than by readings: nobody has measured them, so no job fits by them yet. mm."""

from fitcheck.confidence.results import Judged, Result
from fitcheck.readings.reading import Path

MOST = 0.5  # of the square of a pair's spread may come from guesses
AS_FAR_OFF = 3.0  # times what they are said to be: guesses that could be off by so much decide nothing


def by_guesses(entry: Judged, guessed: frozenset[Path]) -> bool:
    """Whether guesses, their paths given, decide a clear pair: most of its spread, and three times as much opens it."""
    if entry.result is not Result.CLEAR or not entry.shares:
        return False
    of_guesses = sum(
        share.part_mm**2 for share in entry.shares if share.reading is not None and share.reading.path in guessed
    )
    return of_guesses > MOST * entry.spread_mm**2 and entry.margin_mm**2 < AS_FAR_OFF**2 * of_guesses
