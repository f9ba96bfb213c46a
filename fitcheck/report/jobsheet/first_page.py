"""The page to lie under the car with: read at arm's length, in 14 pt, predictions only under the fold."""

from fitcheck.job.angles import clock_text
from fitcheck.report import words
from fitcheck.report.jobsheet.checks import (
    between,
    block,
    cut_rows,
    pedals,
    predicted,
    presses_brake,
    round_the_jacket,
    teeth_rows,
    to_check,
)
from fitcheck.report.jobsheet.clock import clock_picture
from fitcheck.report.jobsheet.stock import stock_bars
from fitcheck.report.paper.fonts import high_mm, wide_mm
from fitcheck.report.paper.pen import DASHED, FAINT, Pen
from fitcheck.report.paper.sheets import MARGIN_MM, Size, Stamp, blank
from fitcheck.report.tape import near
from fitcheck.verdict import Verdict

LABEL, SMALL = 12.0, 10.0
BIGS = (14.0, 13.0, 12.0, 11.0, 10.0)  # pt; smaller only where long names leave no room
BRAKES = (  # common practice, no source
    "Bleeder open: a helper watches the hose end in its jar. Then close it, bleed and test the brakes before the car "
    "moves."
)
CLOCK_MM, FOLD_MM = 17.5, 13.0


def under_the_car(pen: Pen, verdict: Verdict, size: Size) -> None:
    """The whole page but for its footer, in the largest letters that leave it one page."""
    fold = _fold_mm(verdict)
    scratch = Pen(blank(size, Stamp.of(verdict, ""))[0])
    big = next((big for big in BIGS if _above(scratch, verdict, size, big) > fold), BIGS[-1])
    _above(pen, verdict, size, big)
    _under_the_fold(pen, verdict, size.mm[0], fold)


def _above(pen: Pen, verdict: Verdict, size: Size, big: float) -> float:
    """What stands above the fold; how far down it came."""
    wide, high = size.mm
    y = _head(pen, verdict, wide, high - 6, big)
    for part in (_clocks, _checks, _cuts, _teeth):
        y = part(pen, verdict, wide, y, big)
    return y


def _head(pen: Pen, verdict: Verdict, wide: float, y: float, big: float) -> float:
    """Name and, where the job does not fit or cannot be decided, that no saw is to be taken up."""
    room = wide - 2 * MARGIN_MM
    said = Stamp.of(verdict, "").warning
    if said:
        pen.box((MARGIN_MM, y - 7.6), (wide - MARGIN_MM, y), width=0.8)
        pen.text((wide / 2, y - 5.8), said, big, bold=True, side="middle")
        y -= 9.2
    y = pen.lines((MARGIN_MM, y), room, verdict.opened.job.job.name, big, bold=True, most=2)
    open_ends = ", ".join(entry.what for entry in verdict.not_yet)
    about = f"{Stamp.of(verdict, '').which}.{f' Not looked at yet: {open_ends}.' if open_ends else ''}"
    return pen.lines((MARGIN_MM, y), room, about, SMALL, most=3)


def _clocks(pen: Pen, verdict: Verdict, wide: float, y: float, big: float) -> float:
    job, scene = verdict.opened.job, verdict.scene
    at, show = scene.setting, job.job.show
    middle = y - CLOCK_MM - 13.5
    for x, title, under in ((37.0, "from the seat", False), (94.0, "lying under it", True)):
        pen.text((x, y - 5.2), title, LABEL, bold=True, side="middle")
        clock_picture(pen, (x, middle), CLOCK_MM, job, scene, under)
    left = 123.0
    room = wide - MARGIN_MM - left
    top = pen.lines((left, y - 2), room, f"Motor to {clock_text(at.clock)}", big + 2, bold=True)
    top = pen.lines((left, top), room, f"(under: {clock_text(-at.clock)})", big)
    top = pen.lines((left, top - 1), room, round_the_jacket(verdict), big)
    face = f"Input face {near(at.from_mark_mm, show)} down from {words.mark(at.from_mark)}"
    top = pen.lines((left, top - 1), room, face, big, most=3)
    return min(top, middle - CLOCK_MM - 13.5)


def _title(pen: Pen, wide: float, y: float, text: str) -> float:
    pen.line((MARGIN_MM, y), (wide - MARGIN_MM, y), 0.4)
    return pen.lines((MARGIN_MM, y - 1), wide - 2 * MARGIN_MM, text, LABEL, bold=True)


def _checks(pen: Pen, verdict: Verdict, wide: float, y: float, big: float) -> float:
    y = _title(pen, wide, y, "Check: boots on, someone heaving on the wheel. Does the block pass?")
    entries = to_check(verdict)
    if not entries:
        return pen.lines((MARGIN_MM, y), wide - 2 * MARGIN_MM, "No pair could be judged yet.", big)
    for number, entry in enumerate(entries, 1):
        said = between(entry), pedals(entry, verdict), block(entry, verdict)
        y = _check(pen, wide, y - 0.8, big, number, said)
    if any(map(presses_brake, entries)):
        y = pen.lines((MARGIN_MM, y - 0.5), wide - 2 * MARGIN_MM, BRAKES, min(big, LABEL), bold=True)
    return y - 1


def _check(pen: Pen, wide: float, y: float, big: float, number: int, said: tuple[str, str, str]) -> float:
    """One pair: where, pedals, block; boxes to tick and a line for what was found."""
    where, at, through = said
    pen.circle((MARGIN_MM + 3, y - 3.4), 3.0, 0.4)
    pen.text((MARGIN_MM + 3, y - 5.0), str(number), 12, bold=True, side="middle")
    left, boxes = MARGIN_MM + 8, wide - MARGIN_MM - 40
    top = pen.lines((left, y), boxes - left - 3, where, big, bold=True, most=3)
    top = pen.lines((left, top), boxes - left - 3, at, big, most=3)
    top = pen.lines((left, top), boxes - left - 3, f"block {through}", big, most=1)
    for row, text in enumerate(("passes", "does not")):
        pen.box((boxes, y - 5.2 - 6.5 * row), (boxes + 4.4, y - 0.8 - 6.5 * row), width=0.35)
        pen.text((boxes + 6, y - 4.7 - 6.5 * row), text, 12)
    pen.text((boxes, y - 17.6), "gap", 12)
    pen.line((boxes + 9, y - 17.8), (wide - MARGIN_MM, y - 17.8), 0.25)
    return min(top, y - 18.6)


def _cuts(pen: Pen, verdict: Verdict, wide: float, y: float, big: float) -> float:
    rows = list(cut_rows(verdict))
    if verdict.cuts is None:
        return y
    if not rows:
        y = _title(pen, wide, y, "Cut")
        return pen.lines((MARGIN_MM, y), wide - 2 * MARGIN_MM, "Nothing yet: no marks until the job fits.", big) - 1
    first = "" if verdict.cuts.sawn else "mark them all first; "
    y = _title(
        pen,
        wide,
        y,
        f"Cut: {first}saw on the hatched side. Dashed: finished end.",
    )
    took = stock_bars(pen, (MARGIN_MM, y - 29.5), wide - 2 * MARGIN_MM, verdict.cuts)
    y -= 31.5 if took else 0.0
    for name, said in rows:
        letter = wide_mm("A upper jacket  ", big - 1, bold=True)
        pen.lines((MARGIN_MM, y), letter, name, big - 1, bold=True)
        y = pen.lines((MARGIN_MM + letter, y), wide - 2 * MARGIN_MM - letter, said, big - 1, most=2)
    return y - 1


def _teeth(pen: Pen, verdict: Verdict, wide: float, y: float, big: float) -> float:
    rows = list(teeth_rows(verdict))
    if not rows:
        return y
    y = _title(pen, wide, y, "Yokes, from the paint mark")
    for row in rows[:2]:
        y = pen.lines((MARGIN_MM, y), wide - 2 * MARGIN_MM, row, big, most=3)
    return y


def _fold_mm(verdict: Verdict) -> float:
    """How high the fold stands."""
    return FOLD_MM + high_mm(SMALL, len(to_check(verdict)) + 1) + 3


def _under_the_fold(pen: Pen, verdict: Verdict, wide: float, fold: float) -> None:
    """Folded back before it goes under the car, and read after the gaps are written down."""
    pen.line((0, fold), (wide, fold), 0.3, dash=DASHED)
    room = wide - 2 * MARGIN_MM
    told = "Fold back here. What the numbers say; read it after you have written yours down."
    y = pen.lines((MARGIN_MM, fold - 1.2), room, told, SMALL, bold=True, grey=FAINT)
    for number, entry in enumerate(to_check(verdict), 1):
        y = pen.lines((MARGIN_MM, y), room, f"{number}: {predicted(entry, verdict)}", SMALL, most=1)
