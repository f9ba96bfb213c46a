"""The readings a proof carries: each worked out anew from the text of the job file, which the proof holds whole.

A length's grammar is read here a second time, on its own: number, unit, feet and inches, fractions of an inch. mm.
"""

import hashlib
import json
import re
import tomllib
from collections.abc import Iterator
from fractions import Fraction
from typing import Any
from unicodedata import normalize

import numpy as np

from fitcheck.verify.form import Refused, Vector

Path = tuple[str | int, ...]
UNIT_MM = {
    "mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000), "in": Fraction(254, 10), "ft": Fraction(3048, 10)
}  # fmt: skip
SPELT = {'"': "in", "inch": "in", "inches": "in", "in.": "in", "'": "ft", "foot": "ft", "feet": "ft", "ft.": "ft"}
FRACTION_SLASH = "\N{FRACTION SLASH}"
TYPOGRAPHY = str.maketrans(
    dict.fromkeys("\N{RIGHT SINGLE QUOTATION MARK}\N{LEFT SINGLE QUOTATION MARK}\N{PRIME}", "'")
    | dict.fromkeys("\N{RIGHT DOUBLE QUOTATION MARK}\N{LEFT DOUBLE QUOTATION MARK}\N{DOUBLE PRIME}", '"')
    | {FRACTION_SLASH: "/", "\N{MINUS SIGN}": "-"}
)
NUMBER = r"(?:(?:\d+[ -])?\d+/\d+|\d*\.\d+|\d+)"
UNIT = r"(?:mm|cm|m|inches|inch|in\.?|feet|foot|ft\.?|\"|')"
LENGTH = re.compile(rf"([+-]?) ?({NUMBER}) ?({UNIT})(?:[ -]?({NUMBER}) ?({UNIT}))?", re.ASCII | re.IGNORECASE)
SPREAD_ONLY = re.compile(rf"({NUMBER}) ?({UNIT})", re.ASCII | re.IGNORECASE)
WORDS = {"name", "remark", "who", "why", "date", "datum", "joined", "between"}  # texts that are never lengths
WAYS = {"back": (0, 1), "forward": (0, -1), "right": (1, 1), "left": (1, -1), "up": (2, 1), "down": (2, -1)}
MOST_POINTS = 50  # measured one from another
ON_THE_COLUMN = {"along", "out", "clock"}


def length_mm(text: str) -> float | None:
    """The mm that `text` states, its spread left aside; None where it is no length."""
    plain = "".join(f" {normalize('NFKC', ch)} " if FRACTION_SLASH in normalize("NFKC", ch) else ch for ch in text)
    value, _, spread = re.sub(r"\+/?-", "±", " ".join(plain.translate(TYPOGRAPHY).split())).partition("±")
    found = LENGTH.fullmatch(value.strip())
    if found is None:
        shared = SPREAD_ONLY.fullmatch(spread.strip())
        found = LENGTH.fullmatch(f"{value.strip()} {shared[2]}") if shared else None
    if found is None:
        return None
    sign, first, unit, rest, small = found.groups()
    mm = _number(first) * _unit(unit) + (_number(rest) * _unit(small) if rest else 0)
    return float(-mm if sign == "-" else mm)


def _number(text: str) -> Fraction:
    if "/" not in text:
        return Fraction(text)
    whole, _, part = text.replace("-", " ").rpartition(" ")
    top, bottom = part.split("/")
    if int(bottom) == 0:
        raise Refused(f"{text!r} divides by 0")
    return Fraction(int(whole or 0)) + Fraction(int(top), int(bottom))


def _unit(text: str) -> Fraction:
    return UNIT_MM[SPELT.get(text.lower(), text.lower())]


def degrees(text: Any) -> float | None:
    """The degrees that `text` states, by number or, for a place on the clock, by hour and minute; else None."""
    if not isinstance(text, str):
        return None
    value = re.sub(r"\+/?-", "±", text).partition("±")[0].strip()
    hour = re.fullmatch(r"(\d{1,2}):(\d{2})", value, re.ASCII)
    if hour:
        return (int(hour[1]) % 12) * 30 + int(hour[2]) / 2
    number = re.fullmatch(r"([+-]?\d*\.?\d+) ?(?:degrees|degree|deg\.?|°)", value, re.ASCII | re.IGNORECASE)
    return float(number[1]) if number else None


def spelled(path: Path) -> str:
    """A path as a person writes it: "pedals[2].travel", items counted from 1."""
    return "".join(f"[{step + 1}]" if isinstance(step, int) else f".{step}" for step in path).lstrip(".")


class Readings:
    """The job's text as a table, and its lengths by path; `used` says which have been held against the geometry."""

    def __init__(self, job: dict[str, str], keys: list[dict[str, Any]]) -> None:
        if hashlib.sha256(job["text"].encode()).hexdigest() != job["sha256"]:
            raise Refused("the digest is not that of the job's text")
        try:
            self.job: dict[str, Any] = tomllib.loads(job["text"].removeprefix("\ufeff"))
        except (ValueError, RecursionError) as error:
            raise Refused(f"the job's text is no TOML: {error}") from None
        self.keys, self.used = keys, set[Path]()
        self._mm = _checked(keys, self.job, job["text"].split("\n"))

    def mm(self, *path: str | int) -> float | None:
        """The length at `path`, None where the job has none; noted as used."""
        if path in self._mm:
            self.used.add(path)
        return self._mm.get(path)

    def need(self, *path: str | int) -> float:
        """The length at `path`; Refused where there is none."""
        value = self.mm(*path)
        if value is None:
            raise Refused(f"{spelled(path)}: the job has no length there")
        return value

    def at(self, *path: str | int) -> Any:
        """Whatever stands at `path`, None where nothing does."""
        return _found(self.job, path)

    def place(self, *path: str | int, any_side: bool = False, seen: int = 0) -> Vector | None:
        """The point (3,) of a place given by plain offsets, ways left out counting as 0; None where it is not plain.

        Not plain: to the side of a part (unless `any_side`), off the column, by level in a car that was not level, or
        from a named point of a job with [[readings]], whose points are adjusted by all of them.
        """
        value = self.at(*path)
        if seen > MOST_POINTS:
            raise Refused(f"{spelled(path)}: its points are measured from each other in a ring")
        by_name = isinstance(value, str) or (isinstance(value, dict) and "from" in value)
        if by_name and self.at("readings"):
            return None
        if isinstance(value, str):
            return self.place("points", value, any_side=any_side, seen=seen + 1)
        if not isinstance(value, dict) or ON_THE_COLUMN & set(value):
            return None
        by_level = value.get("by", "tape") == "level" and self.at("job", "sat") != "level"
        if by_level or (value.get("side", "middle") != "middle" and not any_side):
            return None
        start = self.place("points", value["from"], seen=seen + 1) if "from" in value else np.zeros(3)
        return None if start is None else np.asarray(start + self._offset(path, value))

    def side(self, *path: str | int) -> str:
        """The side of the part that the place at `path` was measured to."""
        value = self.at(*path)
        for _ in range(MOST_POINTS):
            value = self.at("points", value) if isinstance(value, str) else value
        return str(value.get("side", "middle")) if isinstance(value, dict) else "middle"

    def _offset(self, path: Path, value: dict[str, Any]) -> Vector:
        offset = np.zeros(3)
        for way in sorted(WAYS.keys() & set(value)):
            offset[WAYS[way][0]] += WAYS[way][1] * self.need(*path, way)
        return offset


def _found(table: Any, path: Path) -> Any:
    for step in path:
        in_list = isinstance(table, list) and isinstance(step, int) and 0 <= step < len(table)
        if not in_list and not (isinstance(table, dict) and step in table):
            return None
        table = table[step]
    return table


def _checked(keys: list[dict[str, Any]], job: dict[str, Any], lines: list[str]) -> dict[Path, float]:
    """Lengths by path, each as the job's text has it, none left out and none twice."""
    there = dict(_lengths(job, ()))
    lengths: dict[Path, float] = {}
    for key in keys:
        path, text = tuple(key["path"]), key["text"]
        if any(type(step) not in (str, int) for step in path) or path in lengths or path not in there:
            raise Refused(f"keys: {spelled(path)}: not a length of the job, or twice")
        if there[path][0].strip() != text or not abs(there[path][1] - key["mm"]) <= 1e-9:
            raise Refused(f"keys: {spelled(path)}: the job says {there[path][0]!r}, {there[path][1]:g} mm")
        line = lines[key["line"] - 1] if 1 <= key["line"] <= len(lines) else ""
        if not any(form in line for form in (text, json.dumps(text)[1:-1], json.dumps(text, ensure_ascii=False)[1:-1])):
            raise Refused(f"keys: {spelled(path)}: {text!r} does not stand in line {key['line']}")
        lengths[path] = there[path][1]
    if len(lengths) < len(there):
        missing = next(path for path in there if path not in lengths)
        raise Refused(f"keys: {spelled(missing)} is a length of the job and not in the table")
    return lengths


def _lengths(value: Any, path: Path) -> Iterator[tuple[Path, tuple[str, float]]]:
    if isinstance(value, dict):
        for key, item in value.items():
            if key not in WORDS:
                yield from _lengths(item, (*path, key))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from _lengths(item, (*path, index))
    elif isinstance(value, str):
        mm = length_mm(value)
        if mm is not None:
            yield path, (value, mm)
