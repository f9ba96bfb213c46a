"""Angles, leans and clock places as people write them. Outside: degrees and clock times; inside: radians (float).

A clock place is seen from the driver's seat, looking down the column: 0 at 12 o'clock, positive clockwise. One hour of
the clock face is 30 degrees, one minute half a degree.
"""

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import ClassVar, Self

from fitcheck.errors import LengthError
from fitcheck.job.texts import AMOUNT, FromText, amount, as_in, clean, number_complaint, quoted, signed, with_spread

STEEPEST_LEAN_DEG = 45
# Lean words, with the sign of their turn by the right-hand rule: about the car's `right` for the nose, about its `back`
# for the sides.
LEANS = {"nose up": 1, "nose down": -1, "left down": 1, "right down": -1}

_FLAGS = re.ASCII | re.IGNORECASE
_DEGREES = re.compile(rf"(?P<first>{AMOUNT}) ?(?P<unit>degrees|degree|deg\.?|°)(?P<rest>)", _FLAGS)
_HOUR = re.compile(r"(\d{1,2})(?::([0-5]\d))?(?: ?o ?'? ?clock)?", _FLAGS)
_TIME = re.compile(r"(\d{1,2}):(\d{2})", re.ASCII)
_WAY = re.compile(r"(?<![a-z])(nose up|nose down|left down|right down|level)(?![a-z])", _FLAGS)


@dataclass(frozen=True)
class Angle(FromText):
    """rad; spread_rad: half-width of the 95 % interval, None when the text states none; text: as written."""

    rad: float
    spread_rad: float | None
    text: str

    noun: ClassVar[str] = "an angle"
    examples: ClassVar[tuple[str, ...]] = ("28.0 deg", "28°", "28.0 deg ± 0.5 deg")

    @classmethod
    def parse(cls, text: str) -> Self:
        value, spread = _degrees_in(clean(text))
        return cls(math.radians(value), None if spread is None else math.radians(spread), text.strip())


@dataclass(frozen=True)
class Lean(FromText):
    """How the car sat. rad: "nose up" and "left down" positive, 0 for "level"; way: the words; spread_rad as in Angle.

    Both are right-hand turns: nose up about the car's `right`, left down about its `back`.
    """

    rad: float
    way: str
    spread_rad: float | None
    text: str

    noun: ClassVar[str] = "a lean"
    ways: ClassVar[tuple[str, ...]] = tuple(LEANS)
    examples: ClassVar[tuple[str, ...]] = ("0.4 deg nose up", "0.3 deg left down", "level")

    @classmethod
    def parse(cls, text: str) -> Self:
        plain = clean(text)
        way = cls._way(plain)
        value, spread = _degrees_in(_without_way(plain, way))
        if plain.startswith("-"):
            raise LengthError(f"{quoted(plain)}: the word says which way, so write the angle without the minus")
        if value > STEEPEST_LEAN_DEG:
            raise LengthError(f"{quoted(plain)}: a car does not sit over {STEEPEST_LEAN_DEG} deg; check the reading")
        turn = LEANS.get(way, 0) * math.radians(value) if value else 0.0
        return cls(turn, way, None if spread is None else math.radians(spread), text.strip())

    @classmethod
    def _way(cls, plain: str) -> str:
        found = [match[1].lower() for match in _WAY.finditer(plain)]
        if len(found) != 1:
            raise LengthError(f"{quoted(plain)} has to say which way, once; write it as in {as_in(cls.examples)}")
        if found[0] not in (*cls.ways, "level"):
            raise LengthError(f"{quoted(plain)}: another lean is asked for here, as in {as_in(cls.examples)}")
        return found[0]


class SillAngle(Lean):
    """A lean along the car: nose up, nose down or level."""

    ways = ("nose up", "nose down")
    examples = ("0.4 deg nose up", "0.4 deg nose down", "level")


class CrossAngle(Lean):
    """A lean across the car: left down, right down or level."""

    ways = ("left down", "right down")
    examples = ("0.3 deg left down", "0.3 deg right down", "level")


@dataclass(frozen=True)
class ClockAngle(FromText):
    """rad from 12 o'clock, clockwise from the driver's seat, in [0, 2 pi); spread_rad as in Angle; text: as written."""

    rad: float
    spread_rad: float | None
    text: str

    noun: ClassVar[str] = "a clock place"
    examples: ClassVar[tuple[str, ...]] = ("10:45", "322.5 deg", "10:45 ± 5 deg")

    @classmethod
    def parse(cls, text: str) -> Self:
        value, spread = with_spread(_times_as_degrees(clean(text)), _DEGREES, _clock_degrees)
        rad = math.radians(value)
        if not 0 <= rad < math.tau:
            raise LengthError(f"{quoted(text)}: clockwise from 12 o'clock it runs from 0 deg to below 360 deg")
        return cls(rad, None if spread is None else math.radians(spread), text.strip())


def clock_text(rad: float) -> str:
    """`rad` clockwise from 12 o'clock as a time on the clock face, to the nearest minute (half a degree): "10:45"."""
    if not math.isfinite(rad):
        raise LengthError(f"{rad} is not a finite angle")
    minutes = math.floor(degrees(rad % math.tau) * 2 + 0.5)
    return f"{minutes // 60 or 12}:{minutes % 60:02d}"


def degrees(rad: float) -> float:
    """`rad` in degrees."""
    return math.degrees(rad)


def _degrees_in(plain: str) -> tuple[float, float | None]:
    value, spread = with_spread(plain, _DEGREES, _degrees)
    if not abs(value) <= 360:
        raise LengthError(f"{quoted(plain)} is more than a full turn; check the number")
    return value, spread


def _degrees(plain: str) -> Fraction:
    sign, body = signed(plain)
    match = _DEGREES.fullmatch(body)
    if match:
        return sign * amount(match["first"])
    if re.fullmatch(AMOUNT, body, re.ASCII):
        raise LengthError(f"{quoted(plain)} has no unit; write {quoted(plain + ' deg')}")
    reason = number_complaint(body) or "not an angle in degrees"
    raise LengthError(f"{quoted(plain)}: {reason}; write it as in {as_in(Angle.examples)}")


def _without_way(plain: str, way: str) -> str:
    rest = " ".join(_WAY.sub(" ", plain).split())
    if way == "level":
        if rest and not rest.startswith("±"):
            raise LengthError(f'{quoted(plain)}: level has no angle; write "level", or the angle and which way')
        return f"0 deg {rest}".strip()
    if not rest or rest.startswith("±"):
        raise LengthError(f"{quoted(plain)} does not say how far; write it as in {as_in((f'0.4 deg {way}',))}")
    return rest


def _times_as_degrees(plain: str) -> str:
    """`plain` with the clock time it starts with, if it does, in degrees; the spread behind it stays as it is."""
    value, mark, spread = plain.partition("±")
    time = _TIME.fullmatch(value.strip())
    if time is None:
        return plain
    hour, minute = int(time[1]), int(time[2])
    if not (1 <= hour <= 12 and minute <= 59):
        raise LengthError(f'{quoted(plain)}: a clock face runs from 1:00 to 12:59; half past twelve is "12:30"')
    return f"{hour % 12 * 30 + minute / 2} deg {mark}{spread}".strip()


def _clock_degrees(plain: str) -> Fraction:
    sign, body = signed(plain)
    match = _DEGREES.fullmatch(body)
    if match is None:
        hour = _HOUR.fullmatch(plain)
        if hour and 1 <= int(hour[1]) <= 12:
            time = f"{int(hour[1])}:{hour[2] or '00'}"
            raise LengthError(f"{quoted(plain)}: a clock place is written {quoted(time)}")
        raise LengthError(
            f"{quoted(plain)} is neither a clock time nor degrees; write it as in {as_in(ClockAngle.examples)}"
        )
    return sign * amount(match["first"])
