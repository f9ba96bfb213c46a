"""Texts a person typed: cleaned of typographers' signs, their numbers and spreads read exactly, refused with a remedy.

Knows no unit; lengths and angles bring theirs. `FromText` makes such a value a field type of the job's models.
"""

import json
import re
import unicodedata
from collections.abc import Callable
from fractions import Fraction
from typing import Any, ClassVar, Self

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import core_schema

from fitcheck.errors import LengthError

TAPE_DENOMINATORS = (2, 4, 8, 16, 32, 64)
LONGEST_TEXT = 80
AMOUNT = r"(?:(?:\d+[ -])?\d+/\d+|\d*\.\d+|\d+)"

_AMOUNT = re.compile(r"(?:(?P<whole>\d+)[ -])?(?P<top>\d+)/(?P<bottom>\d+)|(?P<decimal>\d*\.\d+|\d+)", re.ASCII)
_FEET_MARKS = "\N{RIGHT SINGLE QUOTATION MARK}\N{LEFT SINGLE QUOTATION MARK}\N{PRIME}"
_INCH_MARKS = "\N{RIGHT DOUBLE QUOTATION MARK}\N{LEFT DOUBLE QUOTATION MARK}\N{DOUBLE PRIME}"
_PLAIN_SIGNS = str.maketrans(
    dict.fromkeys(_FEET_MARKS, "'")
    | dict.fromkeys(_INCH_MARKS, '"')
    | {"\N{FRACTION SLASH}": "/", "\N{MINUS SIGN}": "-"}
)


class FromText:
    """Mixin of the values a job file holds as text: a pydantic field type read from a string and from nothing else."""

    noun: ClassVar[str]
    examples: ClassVar[tuple[str, ...]]
    text: str

    @classmethod
    def parse(cls, text: str) -> Self:
        """The value written in `text`; raises LengthError."""
        raise NotImplementedError

    @classmethod
    def from_input(cls, value: object) -> Self:
        """`value` read if it is a string, kept if it is read already; raises LengthError for all else."""
        if isinstance(value, cls):
            return value
        if isinstance(value, str):
            return cls.parse(value)
        raise LengthError(f"{described(value)} is not {cls.noun}; write it in quotes, as in {as_in(cls.examples)}")

    @classmethod
    def __get_pydantic_core_schema__(cls, source: Any, handler: GetCoreSchemaHandler) -> core_schema.CoreSchema:
        written = core_schema.plain_serializer_function_ser_schema(lambda value: value.text, when_used="json")
        return core_schema.no_info_plain_validator_function(cls.from_input, serialization=written)

    @classmethod
    def __get_pydantic_json_schema__(
        cls, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {"type": "string", "description": f"{cls.noun}, with its unit", "examples": list(cls.examples)}


def quoted(text: str) -> str:
    """`text` in double quotes the way it would stand in the file: escaped, and cut off when long."""
    short = text if len(text) <= LONGEST_TEXT else text[:40] + "..."
    inside = json.dumps(short, ensure_ascii=False)
    return "".join(ch if ch.isprintable() else f"\\u{ord(ch):04X}" for ch in inside)


def described(value: object) -> str:
    """What a person would call `value` as it stands in a TOML file."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return f"the bare number {value}"
    if isinstance(value, str):
        return f"the text {quoted(value)}"
    return "a table" if isinstance(value, dict) else "a list" if isinstance(value, list) else "a date or time"


def as_in(examples: tuple[str, ...]) -> str:
    """The examples quoted and joined with "or"."""
    return " or ".join(quoted(example) for example in examples[:3])


def clean(text: str) -> str:
    """`text` with one blank where there were several, typographers' signs made plain and fractions spelled out.

    Raises LengthError for what has no reading: nothing written, far too long, digits other than 0 to 9.
    """
    if len(text) > LONGEST_TEXT:
        raise LengthError(f"{quoted(text)} is longer than {LONGEST_TEXT} characters; write the reading alone")
    plain = _spelled_out(text).translate(_PLAIN_SIGNS)
    strange = next((ch for ch in plain if not ch.isascii() and unicodedata.category(ch)[0] == "N"), None)
    if strange is not None:
        raise LengthError(f"{quoted(text)}: {quoted(strange)} is not one of the digits 0 to 9; write it with those")
    if not plain.strip():
        raise LengthError("nothing is written here; write a number with its unit, or leave the key out")
    return " ".join(re.sub(r"\+/?-", "±", plain).split())


def _spelled_out(text: str) -> str:
    out = ""
    for ch in text:
        if unicodedata.decomposition(ch).startswith("<fraction>"):
            out += (" " if out[-1:].isdigit() else "") + unicodedata.normalize("NFKC", ch) + " "
        else:
            out += ch
    return out


def with_spread(text: str, measure: re.Pattern[str], size: Callable[[str], Fraction]) -> tuple[float, float | None]:
    """Value and spread of a cleaned text such as "412 mm ± 3 mm" or "412 ± 3 mm".

    `measure` matches one amount with its unit (groups first, unit and rest); `size` turns such a text into a Fraction.
    """
    value, mark, spread = (part.strip() for part in text.partition("±"))
    if not mark:
        return float(size(text)), None
    if "±" in spread:
        raise LengthError(f"{quoted(text)} states two spreads; write one")
    if not value or not spread:
        raise LengthError(f"{quoted(text)} needs a reading before the ± and its spread after it")
    if spread.startswith("-"):
        raise LengthError(f"{quoted(text)}: a spread is not negative; write it without the minus")
    shared = measure.fullmatch(spread)
    if shared and not shared["rest"] and re.fullmatch(rf"[+-]? ?{AMOUNT}", value, re.ASCII):
        value = f"{value} {shared['unit']}"
    return float(size(value)), float(size(spread))


def amount(text: str) -> Fraction:
    """The number in `text`, which matches AMOUNT: "15", "15.5", "1/2", "15 1/2", "15-1/2"; raises LengthError."""
    match = _AMOUNT.fullmatch(text)
    if match is None:
        raise LengthError(f"{quoted(text)} is no number")
    if match["decimal"]:
        return Fraction(match["decimal"])
    top, bottom = int(match["top"]), int(match["bottom"])
    if bottom not in TAPE_DENOMINATORS:
        raise LengthError(
            f"{quoted(text)}: a tape has no 1/{bottom}; write fractions in 2, 4, 8, 16, 32 or 64, all else as a decimal"
        )
    if top >= bottom:
        raise LengthError(f'{quoted(text)}: the fraction is not below 1; write whole number, blank, fraction: "15 1/2"')
    return Fraction(int(match["whole"] or 0)) + Fraction(top, bottom)


def signed(text: str) -> tuple[int, str]:
    """-1 or 1, and `text` without its leading sign."""
    return (-1 if text.startswith("-") else 1), re.sub(r"^[+-] ?", "", text)


def _with_one_point(number: str) -> str:
    """Of "1.234,5" or "1,234.5", where only the last sign can be the fraction's: ", as in 1234.5"; else empty."""
    signs = re.findall(r"[.,]", number)
    if signs[-1] in signs[:-1] or not number[-1].isdigit():
        return ""
    whole, _, fraction = number.rpartition(signs[-1])
    return f", as in {re.sub('[.,]', '', whole)}.{fraction}"


def number_complaint(body: str) -> str | None:
    """What is wrong with how the number in `body` is written, and what to write; None if that is not the trouble."""
    if marked := re.search(r"\d+[.,]\d+[.,][\d.,]*", body):
        return f"write the number with a point for its fraction and no other sign{_with_one_point(marked[0])}"
    if comma := re.search(r"(\d+),(\d+)( ?[^\d\s]*)$", body) or re.search(r"(\d+),(\d+)()", body):
        point, none = (f"{comma[1]}{sign}{comma[2]}{comma[3]}" for sign in (".", ""))
        return f"a comma is read differently in different places; write {point} or {none}"
    if re.search(r"\d_\d", body):
        return "write the number without a separator"
    if re.search(r"\d[eE][+-]?\d", body):
        return "write the number out, without an exponent"
    if not re.search(r"\d", body):
        return "there is no number in it"
    if re.search(r"\d\.(?!\d)", body):
        return "digits are missing after the point"
    if re.search(r"\d +- ?\d|\d- +\d", body):
        return 'a hyphen with blanks could be a minus; write whole number, blank, fraction, as in "15 1/2 in"'
    if re.search(r"[\d.] +[\d.]+(?![\d./])", body):
        return "two numbers stand side by side; write one number with its unit"
    return None
