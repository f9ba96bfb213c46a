"""The plain text of a chapter set on paper: titles, bullets, and what hangs beside a mark and a word."""

import re

from fitcheck.report.paper.flow import TEXT, Flow
from fitcheck.report.paper.fonts import high_mm, wrapped

WHOLE = 1_000_000  # columns: the text's own lines are not broken, paper breaks them
BESIDE_MM = 42.0
KEPT = 4  # lines: a title is not left behind at the foot of a page
_HUNG = re.compile(r"^ {2,}(\S.*?) {2,}(\S.*)$")


def typeset(flow: Flow, text: str, without: tuple[str, ...] = ()) -> None:
    """Every block of the text but those whose title is in `without`."""
    for block in text.strip("\n").split("\n\n"):
        lines = block.split("\n")
        if lines[0] in without or not block.strip():
            continue
        flow.gap(1.5)
        for number, line in enumerate(lines):
            if _opens(line):
                flow.room(_high(flow, lines[number:]))
            elif number == 0 and len(lines) > 1 and _opens(lines[1]):
                flow.room(high_mm(TEXT + 1) + _high(flow, lines[1:]))
            _line(flow, line, title=number == 0 and not line.startswith(" ") and len(lines) > 1)


def _opens(line: str) -> bool:
    """Whether an entry begins here: what hangs beside its mark is in capitals."""
    hung = _HUNG.match(line)
    return hung is not None and hung[2].isupper()


def _high(flow: Flow, lines: list[str]) -> float:
    """How high the entry is that begins with the first line; one of more than half a page may be broken."""
    end = next((number for number, line in enumerate(lines) if number and _opens(line)), len(lines))
    beside = [(hung[2] if (hung := _HUNG.match(line)) else line).strip() for line in lines[:end]]
    high = sum(high_mm(TEXT, len(wrapped(said, TEXT, flow.wide - BESIDE_MM))) for said in beside)
    return high if high < flow.size.mm[1] / 2 else high_mm(TEXT, KEPT)


def _line(flow: Flow, line: str, title: bool) -> None:
    hung = _HUNG.match(line)
    if title:
        flow.room(high_mm(TEXT, KEPT))
    if line.startswith(" " * 20):
        flow.text(line.strip(), indent=BESIDE_MM)
    elif hung is not None:
        flow.beside(hung[1], BESIDE_MM)
        flow.text(hung[2], bold=hung[2].isupper(), indent=BESIDE_MM)
    elif line.startswith("  - "):
        flow.text(f"\u2013 {line[4:]}", indent=2, hang=3)
    else:
        flow.text(line.strip(), TEXT + (1 if title else 0), bold=title, indent=2 if line.startswith(" ") else 0)
