"""The font on paper: DejaVu Sans as it comes with matplotlib, embedded; widths and wrapped lines. pt and mm.

A letter the font does not have is shown as an empty square, never left out; control characters are spelled out.
"""

import re
from functools import cache
from importlib.util import find_spec
from pathlib import Path

from fitcheck.errors import DrawingError
from fitcheck.report.files import harmless
from fitcheck.report.lines import broken

REGULAR, BOLD = "DejaVuSans", "DejaVuSans-Bold"
MM_PER_PT = 25.4 / 72
LEADING = 1.28  # line to line, in sizes
NO_LETTER = "\u25a1"


@cache
def ready() -> None:
    """Makes the font known to reportlab, once; raises DrawingError where either is not installed."""
    try:
        from reportlab.pdfbase import pdfmetrics
        from reportlab.pdfbase.ttfonts import TTFont
    except ImportError:
        raise DrawingError("paper is made with reportlab; install it with: pip install reportlab") from None
    found = find_spec("matplotlib")
    if found is None or not found.submodule_search_locations:
        raise DrawingError("the font on paper comes with matplotlib; install it with: pip install matplotlib")
    folder = Path(found.submodule_search_locations[0]) / "mpl-data" / "fonts" / "ttf"
    for name in (REGULAR, BOLD):
        pdfmetrics.registerFont(TTFont(name, str(folder / f"{name}.ttf")))
    pdfmetrics.registerFontFamily(REGULAR, REGULAR, BOLD, REGULAR, BOLD)


@cache
def _letters(name: str) -> frozenset[int]:
    from reportlab.pdfbase import pdfmetrics

    ready()
    return frozenset(pdfmetrics.getFont(name).face.charToGlyph)


def shown(text: str, bold: bool = False) -> str:
    """`text` on one line, with what the font has no letter for as an empty square."""
    known = _letters(BOLD if bold else REGULAR)
    line = " ".join(re.split(r"[^\S\u00a0]+", text.strip()))
    return "".join(ch if ord(ch) in known else NO_LETTER for ch in harmless(line))


def wide_mm(text: str, size: float, bold: bool = False) -> float:
    """Width of one line."""
    from reportlab.pdfbase import pdfmetrics

    ready()
    return float(pdfmetrics.stringWidth(text, BOLD if bold else REGULAR, size)) * MM_PER_PT


def high_mm(size: float, lines: int = 1) -> float:
    """Height of so many lines."""
    return lines * size * LEADING * MM_PER_PT


def wrapped(text: str, size: float, width: float, bold: bool = False, most: int | None = None) -> list[str]:
    """`text` in lines no wider than `width`; words too long for a line are broken; beyond `most` lines it ends in …"""
    return broken(shown(text, bold), lambda line: wide_mm(line, size, bold) <= width, most)
