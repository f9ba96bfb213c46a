"""A chapter's text as headings, paragraphs and lists, so that a screen of any width breaks its lines, and nobody else.

Takes what the chapters of the report say at a width at which they break no line: a block a heading with its entries.
"""

import re
from collections.abc import Iterator, Sequence
from html import escape

from fitcheck.report.files import harmless
from fitcheck.report.lines import together

UNBROKEN = 10**6  # columns
DEEP = 20  # columns from which on a line belongs to the entry before it
STEP = 4  # columns from which on an entry belongs to the one with a mark above it
ENTRY = re.compile(r"(?P<label>\S.*?) {2,}(?P<text>\S.*)")


def markup(text: str) -> str:
    """The chapter in HTML. Blocks of `text` are parted by blank lines; what is set in is an entry of a list."""
    blocks = (block.splitlines() for block in re.split(r"\n\s*\n", text.strip("\n")))
    return "\n".join(part for block in blocks if block for part in _block(block))


def _block(lines: Sequence[str]) -> Iterator[str]:
    entries = [line for line in lines if line.startswith(" ")]
    for line in lines:
        if not line.startswith(" "):
            yield f"<h3>{_text(line)}</h3>" if entries else f"<p>{_text(line)}</p>"
    if entries:
        yield f'<ul class="told">{"".join(_entries(entries))}</ul>'


def _entries(lines: Sequence[str]) -> Iterator[str]:
    open_ = False
    for line in lines:
        said = line.strip()
        if open_ and len(line) - len(said) >= DEEP:
            yield f"<br>{_text(said)}"
            continue
        yield "</li>" if open_ else ""
        yield _entry(said, line.startswith(" " * STEP))
        open_ = True
    yield "</li>"


def _entry(said: str, step: bool) -> str:
    """The opening of an entry, its label in bold where it has one."""
    start = '<li class="step">' if step else "<li>"
    found = ENTRY.fullmatch(said)
    if found is None:
        return f"{start}{_text(said.removeprefix('- '))}"
    return f"{start}<b>{_text(found['label'])}</b> {_text(found['text'])}"


def _text(text: str) -> str:
    return escape(together(harmless(text)))
