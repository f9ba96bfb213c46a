"""Lines broken to a width that somebody else measures: the one place for it, on paper (mm) as in pictures (pixels).

A number stays with its unit and a fraction with its whole. A word too long for a line is broken.
"""

import re
from collections.abc import Callable, Iterator

Fits = Callable[[str], bool]
TOGETHER = "\u00a0"  # a space that no line is broken at
_UNITS = re.compile(r"(?<=\d) (?=\d+/\d+|(?:mm|in|deg|Nm|N|MPa)\b|%)")


def together(text: str) -> str:
    """`text` with spaces that no line is broken at between a number and its unit, a whole and its fraction."""
    return _UNITS.sub(TOGETHER, text)


def broken(text: str, fits: Fits, most: int | None = None) -> list[str]:
    """`text` in lines that fit; beyond `most` lines it ends in …"""
    lines: list[str] = []
    line = ""
    for word in together(text).split(" "):
        for bit in _bits(word, fits):
            longer = f"{line} {bit}" if line else bit
            if not line or fits(longer):
                line = longer
            else:
                lines, line = [*lines, line], bit
    lines = [each.replace(TOGETHER, " ") for each in (*lines, line) if each]
    if most is None or len(lines) <= most:
        return lines
    return [*lines[: most - 1], _ended(lines[most - 1], fits)]


def _bits(word: str, fits: Fits) -> Iterator[str]:
    bit = ""
    for sign in word:
        if bit and not fits(bit + sign):
            yield bit
            bit = ""
        bit += sign
    yield bit


def _ended(line: str, fits: Fits) -> str:
    while line and not fits(f"{line}…"):
        line = line[:-1]
    return f"{line}…"
