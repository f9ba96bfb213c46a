"""Sheets of paper: their sizes, the stamp that says which job and of what date on every page, and the PDF itself.

Same job, same bytes: no clock, no program version, no random name enters a file.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from io import BytesIO
from typing import Any

from fitcheck.report.paper.fonts import MM_PER_PT, ready
from fitcheck.report.paper.pen import FAINT, Pen
from fitcheck.verdict import Outcome, Verdict

MARGIN_MM = 10.0
SMALL = 7.5
NOT_AN_APPROVAL = "A geometric aid, not an approval. Measure again before cutting. Whoever does the work decides."


class Size(StrEnum):
    """What paper is in the printer."""

    A4 = "a4"
    LETTER = "letter"

    @property
    def mm(self) -> tuple[float, float]:
        """Width and height: ISO 216 A4; letter 8 1/2 x 11 in (ANSI/ASME Y14.1, from memory)."""
        return (210.0, 297.0) if self is Size.A4 else (215.9, 279.4)


@dataclass(frozen=True)
class Stamp:
    """What stands on every page: the job's name, its digest and date in one line, what the sheet is; and a warning."""

    name: str
    which: str
    what: str
    warning: str = ""

    @classmethod
    def of(cls, verdict: Verdict, what: str) -> "Stamp":
        """The stamp of a judged job."""
        opened = verdict.opened
        which = f"job {opened.digest[:12]}, {opened.job.job.date or 'no date in job'}"
        fits = verdict.outcome is Outcome.FITS
        warning = "" if fits else f"{verdict.outcome.value.upper()} as it stands: cut nothing"
        return cls(opened.job.job.name, which, what, warning)


Draw = Callable[[Pen], None]


def document(size: Size, stamp: Stamp, pages: Sequence[Draw], unscaled: bool = False) -> bytes:
    """The pages as one PDF; `unscaled` asks the reader's program not to scale what it prints."""
    canvas, out = blank(size, stamp, unscaled)
    for number, draw in enumerate(pages, start=1):
        pen = Pen(canvas)
        draw(pen)
        footer(pen, size, stamp, number, len(pages))
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def blank(size: Size, stamp: Stamp, unscaled: bool = False) -> tuple[Any, BytesIO]:
    """A reportlab canvas without a page yet, and where its bytes go."""
    ready()
    from reportlab.pdfgen.canvas import Canvas

    out = BytesIO()
    wide, high = (side / MM_PER_PT for side in size.mm)
    canvas = Canvas(out, pagesize=(wide, high), invariant=1, pageCompression=1)
    canvas.setTitle(f"{stamp.what}: {stamp.which}")
    canvas.setCreator("fitcheck")
    canvas.setAuthor("")
    canvas.setSubject(NOT_AN_APPROVAL)
    if unscaled:
        canvas.setViewerPreference("PrintScaling", "None")
    return canvas, out


def footer(pen: Pen, size: Size, stamp: Stamp, number: int, of: int) -> None:
    """The lowest lines of a page: which job, of what date, which page; and that it is no approval."""
    wide, _ = size.mm
    warning = f". {stamp.warning}" if stamp.warning else ""
    pen.text((MARGIN_MM, 8.5), f"{stamp.what}: {stamp.which}{warning}", SMALL, bold=True)
    pen.text((wide - MARGIN_MM, 8.5), f"page {number} of {of}", SMALL, bold=True, side="right")
    pen.text((MARGIN_MM, 5.0), NOT_AN_APPROVAL, SMALL, grey=FAINT)
