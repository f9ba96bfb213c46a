"""Lengths as people write them, and the 1/32 in step. Outside: inches, feet, fractions, mm, cm, m; inside: mm (float).

The inch is the international one, exactly 25.4 mm (agreement of 1959 between the English-speaking standards offices).
Everything up to the last conversion to float is exact (`fractions.Fraction`). Nothing is guessed: what can be read in
two ways is refused, with what to write.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor, isfinite
from typing import ClassVar, Literal, Self

from fitcheck.errors import LengthError
from fitcheck.job.texts import (
    AMOUNT,
    TAPE_DENOMINATORS,
    FromText,
    amount,
    as_in,
    clean,
    number_complaint,
    quoted,
    signed,
    with_spread,
)

MM_PER_INCH = Fraction(254, 10)
LONGEST_MM = 100_000
# Adding up lengths in floats strays by far less than this; what is nearer to a step than this stands on it.
STRAY_MM = Fraction(1, 10**9)

_UNIT_MM = {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000), "in": MM_PER_INCH, "ft": 12 * MM_PER_INCH}
_UNIT_NAMES = {'"': "in", "inch": "in", "inches": "in", "in.": "in", "'": "ft", "foot": "ft", "feet": "ft", "ft.": "ft"}
_UNITS_SAID = "mm, cm, m, in or ft"

_UNIT = r"(?:mm|cm|m|inches|inch|in\.?|feet|foot|ft\.?|\"|')"
_FLAGS = re.ASCII | re.IGNORECASE
_MEASURE = re.compile(
    rf"(?P<first>{AMOUNT}) ?(?P<unit>{_UNIT})(?:[ -]?(?P<rest>{AMOUNT}) ?(?P<small>{_UNIT}))?",
    _FLAGS,
)
Way = Literal["down", "nearest", "up"]
Show = Literal["in", "mm"]
HALF_MM = 0.5  # the finest a length is marked to in a job shown in mm


@dataclass(frozen=True)
class Length(FromText):
    """mm; spread_mm: half-width of the 95 % interval, None when the text states none; text: as written."""

    mm: float
    spread_mm: float | None
    text: str

    noun: ClassVar[str] = "a length"
    examples: ClassVar[tuple[str, ...]] = ("15 1/2 in", "1' 3 1/2\"", "394 mm", "412 mm ± 3 mm")

    @classmethod
    def parse(cls, text: str) -> Self:
        value, spread = with_spread(clean(text), _MEASURE, _length_mm)
        return cls(value, spread, text.strip())


def parse_length(text: str) -> Length:
    """`text` as a length, with the spread it states if it states one; raises LengthError, saying what to write."""
    return Length.parse(text)


def inches_text(mm: float, denominator: int = 32) -> str:
    """`mm` in inches to the nearest 1/`denominator` in, as "4 1/8 in"; a tie goes away from zero."""
    count = step_count(mm, "nearest", denominator)
    whole, part = divmod(abs(count), denominator)
    fraction = Fraction(part, denominator)
    words = [str(whole)] if whole or not part else []
    words += [f"{fraction.numerator}/{fraction.denominator}"] if part else []
    return f"{'-' if count < 0 else ''}{' '.join(words)} in"


def both_units(mm: float, digits: int = 0) -> str:
    """`mm` as a rough size in both units, for what is asked back: "406 mm (16 in)"."""
    return f"{mm:.{digits}f} mm ({inches_text(mm, 16)})"


def step_count(mm: float, way: Way, denominator: int = 32) -> int:
    """How many steps of 1/`denominator` in make `mm`, rounded `way`; within 1e-9 mm of a step, it stands on that step.

    "down" is toward minus infinity, "up" toward plus infinity; a tie of "nearest" goes away from zero.
    """
    if denominator not in TAPE_DENOMINATORS:
        raise LengthError(f"1/{denominator} in is no step of a tape; a step is 1/2, 1/4, 1/8, 1/16, 1/32 or 1/64 in")
    if not isfinite(mm):
        raise LengthError(f"{mm} is not a finite number of mm")
    steps, stray = Fraction(mm) / MM_PER_INCH * denominator, STRAY_MM / MM_PER_INCH * denominator
    if way == "down":
        return floor(steps + stray)
    if way == "up":
        return -floor(stray - steps)
    size = floor(abs(steps) + Fraction(1, 2) + stray)
    return size if steps > 0 else -size


def round_down_32(mm: float) -> float:
    """The greatest whole number of 1/32 in not above `mm`, in mm."""
    return _step_mm(step_count(mm, "down"))


def round_to_32(mm: float) -> float:
    """The whole number of 1/32 in nearest to `mm`, in mm; a tie goes away from zero."""
    return _step_mm(step_count(mm, "nearest"))


def round_up_32(mm: float) -> float:
    """The least whole number of 1/32 in not below `mm`, in mm."""
    return _step_mm(step_count(mm, "up"))


def on_tape(mm: float, show: Show) -> float:
    """The nearest length that is marked on the tape the job is worked with: to 1/32 in, or to half a millimetre; mm."""
    return round_to_32(mm) if show == "in" else round(mm / HALF_MM) * HALF_MM


def up_on_tape(mm: float, show: Show) -> float:
    """The next one that is not below; mm."""
    return round_up_32(mm) if show == "in" else ceil(mm / HALF_MM - float(STRAY_MM)) * HALF_MM


def _step_mm(count: int) -> float:
    return float(count * MM_PER_INCH / 32)


def _length_mm(text: str) -> Fraction:
    sign, body = signed(text)
    match = _MEASURE.fullmatch(body)
    if match is None:
        raise LengthError(_complaint(text, body))
    unit = _unit(match["unit"])
    if "/" in match["first"] and unit not in ("in", "ft"):
        raise LengthError(f'{quoted(text)}: fractions go with inches; write a decimal, as in "12.5 {unit}"')
    mm = amount(match["first"]) * _UNIT_MM[unit]
    if match["rest"]:
        mm += _inches_after_feet(text, match) * MM_PER_INCH
    if mm > LONGEST_MM:
        raise LengthError(f"{quoted(text)} is over 100 m; nothing on a car is, so check number and unit")
    return sign * mm


def _unit(written: str) -> str:
    return _UNIT_NAMES.get(written.lower(), written.lower())


def _inches_after_feet(text: str, match: re.Match[str]) -> Fraction:
    if (_unit(match["unit"]), _unit(match["small"])) != ("ft", "in"):
        raise LengthError(f"{quoted(text)} mixes units; only feet and inches go together, so write it in one unit")
    if not match["first"].isdigit():
        raise LengthError(f'{quoted(text)}: before inches the feet are a whole number, as in "1 ft 3 1/2 in"')
    inches = amount(match["rest"])
    if inches >= 12:
        raise LengthError(f"{quoted(text)}: after feet the inches stay below 12; write it in one unit")
    return inches


def _complaint(text: str, body: str) -> str:
    if re.fullmatch(AMOUNT, body, re.ASCII):
        units = ("in",) if "/" in body else ("in", "mm")
        return f"{quoted(text)} has no unit; write {as_in(tuple(f'{text} {unit}' for unit in units))}"
    if re.fullmatch(rf"{AMOUNT} ?(?:{_UNIT})[ -]?{AMOUNT}", body, _FLAGS):
        return f'{quoted(text)}: the last number has no unit; write it, as in "1 ft 3 1/2 in"'
    reason = number_complaint(body)
    if reason is None and (word := re.fullmatch(rf"{AMOUNT} ?([^\d\s]+)", body, re.ASCII)):
        reason = f"{quoted(word[1])} is no unit of length known here; write {_UNITS_SAID}"
    return f"{quoted(text)}: {reason or f'not a length; write it as in {as_in(Length.examples)}'}"
