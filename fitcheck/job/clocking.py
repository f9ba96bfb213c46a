"""What the search over clock and place may try: which clocks, which places along the column, what else may move.

Wishes, not readings: nothing here has a spread. Inside rad and mm.
"""

import math
import re
from dataclasses import dataclass
from itertools import pairwise
from typing import ClassVar, Literal, Self

from pydantic import Field

from fitcheck.errors import LengthError
from fitcheck.job.angles import ClockAngle
from fitcheck.job.cutting import MayMove
from fitcheck.job.lengths import Length
from fitcheck.job.places import Table
from fitcheck.job.texts import FromText, as_in, clean, quoted

MOST_HOLES = 72
_TO = re.compile(r" to ", re.IGNORECASE)
_HOLES = re.compile(r"(\d{1,3}) holes?,? (?:one )?at (.+)", re.ASCII | re.IGNORECASE)


@dataclass(frozen=True)
class AllowedClocks(FromText):
    """rads: nothing for any clock; start and end, clockwise, of a stretch; or the single steps, rising.

    text: as written.
    """

    kind: Literal["any", "stretch", "steps"]
    rads: tuple[float, ...]
    text: str

    noun: ClassVar[str] = "a choice of clocks"
    examples: ClassVar[tuple[str, ...]] = ("any", "9:00 to 1:30", "3 holes, one at 10:45", "10:45, 2:45, 6:45")

    @classmethod
    def parse(cls, text: str) -> Self:
        plain = clean(text)
        if plain.lower() in ("any", "free"):
            return cls("any", (), text.strip())
        holes, ends = _HOLES.fullmatch(plain), _TO.split(plain)
        if holes is not None:
            return cls("steps", _round(plain, int(holes[1]), _clock(plain, holes[2])), text.strip())
        if len(ends) == 2:
            return cls("stretch", _ends(plain, *ends), text.strip())
        return cls("steps", _steps(plain), text.strip())


@dataclass(frozen=True)
class AlongStretch(FromText):
    """From start_mm to end_mm along the column; text: as written."""

    start_mm: float
    end_mm: float
    text: str

    noun: ClassVar[str] = "a stretch along the column"
    examples: ClassVar[tuple[str, ...]] = ("16 in to 17 1/2 in", "400 mm to 450 mm")

    @classmethod
    def parse(cls, text: str) -> Self:
        plain = clean(text)
        ends = _TO.split(plain)
        if len(ends) != 2:
            raise LengthError(f"{quoted(plain)}: write from where to where, as in {as_in(cls.examples)}")
        start, end = (_plain_length(plain, each) for each in ends)
        if not start < end:
            raise LengthError(f"{quoted(plain)}: the first place is the one nearer the wheel, and they must differ")
        return cls(start, end, text.strip())


class Clocking(Table):
    """What the search may try: clocks, places along the column, and what else may be moved a little."""

    clocks: AllowedClocks | None = Field(
        None,
        description='where the motor may point: "any" (a clamp), a stretch clockwise ("9:00 to 1:30"), or the steps of '
        'the unit\'s mounting holes ("3 holes, one at 10:45", or listed: "10:45, 2:45, 6:45")',
    )
    places: AlongStretch | None = Field(
        None, description="where its input face may sit, from the mark that unit.along_from names (else the hub seat)"
    )
    bracket_may_move: MayMove | None = Field(
        None,
        description="how far the clamp of a bracket that stays with the car may sit elsewhere along the column; where "
        "its legs are bolted to the car stays",
    )
    motor_may_move: MayMove | None = Field(
        None,
        description="how far the motor may sit elsewhere between the unit's two faces, which stay (sensor section and "
        "output stub as much longer and shorter)",
    )


def _clock(whole: str, text: str) -> float:
    try:
        angle = ClockAngle.parse(text)
    except LengthError as error:
        raise LengthError(f"{error}; the whole is written as in {as_in(AllowedClocks.examples)}") from error
    if angle.spread_rad is not None:
        raise LengthError(f"{quoted(whole)}: a clock that is allowed has no give or take; leave it out")
    return angle.rad


def _ends(whole: str, first: str, last: str) -> tuple[float, float]:
    """Start, and end clockwise of it, as much as a turn further on."""
    start, end = _clock(whole, first), _clock(whole, last)
    if math.isclose(start, end, rel_tol=0, abs_tol=1e-9):
        raise LengthError(f'{quoted(whole)} starts where it ends; for all the way round write "any"')
    return start, end if end > start else end + math.tau


def _round(whole: str, count: int, first: float) -> tuple[float, ...]:
    if not 1 <= count <= MOST_HOLES:
        raise LengthError(f"{quoted(whole)}: 1 to {MOST_HOLES} holes, not {count}")
    return tuple(sorted((first + math.tau * i / count) % math.tau for i in range(count)))


def _steps(whole: str) -> tuple[float, ...]:
    steps = sorted(_clock(whole, each.strip()) for each in whole.split(","))
    for one, following in pairwise(steps):
        if following - one < math.radians(1):
            raise LengthError(f"{quoted(whole)}: two of these are less than a degree apart; list each once")
    return tuple(steps)


def _plain_length(whole: str, text: str) -> float:
    length = Length.parse(text)
    if length.spread_mm is not None:
        raise LengthError(f"{quoted(whole)}: a place that is allowed has no give or take; leave it out")
    return length.mm
