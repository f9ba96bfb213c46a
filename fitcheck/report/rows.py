"""Lines of a text that stay within a width: a paragraph, a bulleted list, paragraphs hung beside a mark and a word."""

from collections.abc import Iterable
from textwrap import wrap

WIDTH = 110
LABEL = 26  # columns for mark and result word
LEAST = 40  # columns; what is hung is never squeezed into less


def paragraph(text: str, width: int) -> list[str]:
    """A paragraph's lines, the second and later ones set in."""
    return wrap(text, width, subsequent_indent="    ")


def bulleted(title: str, paragraphs: Iterable[str], width: int) -> list[str]:
    """A title and its paragraphs, a dash before each; nothing where there are none."""
    lines = [line for text in paragraphs for line in wrap(text, width, initial_indent="  - ", subsequent_indent="    ")]
    return [*paragraph(title, width), *lines] if lines else []


def label(mark: str, word: str) -> str:
    """Mark and result word as they stand before what is hung beside them."""
    return f"  [{mark}] {word}"


def hung(beside: str, paragraphs: Iterable[str], width: int) -> list[str]:
    """Paragraphs hung beside a label."""
    lines = [line for text in paragraphs for line in wrap(text, max(LEAST, width - LABEL), subsequent_indent="  ")]
    return [f"{beside if i == 0 else '':<{LABEL}}{line}".rstrip() for i, line in enumerate(lines)]
