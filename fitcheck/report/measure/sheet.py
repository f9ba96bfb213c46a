"""The measuring sheet as a PDF: two readings side by side, the dozen on page one; for a job only what is wanted."""

from collections.abc import Sequence
from functools import partial

from fitcheck.confidence.plan import Plan
from fitcheck.report.measure.catalogue import BENCH, DOZEN
from fitcheck.report.measure.further import NEXT, SHAFT
from fitcheck.report.measure.sketch import Board
from fitcheck.report.measure.wanted import Wanted, planned, wanted
from fitcheck.report.paper.fonts import high_mm, wide_mm
from fitcheck.report.paper.pen import FAINT, Pen, Point
from fitcheck.report.paper.sheets import MARGIN_MM, Draw, Size, Stamp, document
from fitcheck.verdict import Verdict

ROWS, FOOT_MM, GAP_MM = 6, 12.0, 2.0
SKETCH = (34.0, 27.2)
TITLE, SMALL, HOW = 13.0, 8.0, 7.5
LEAST_MM = 4.8  # between two lines to write on
ORDER = "Walk it in this order. First reading, then a second one by another hand. Write the tool and how the car stood."
BRAKES = (  # common practice, no source
    "Brake's travel: a bleeder open, a helper watching the hose end in its jar. Then close it, bleed and test the brakes "
    "before the car moves."
)
TOOLS = (
    "Take along: steel tape, steel rule, caliper, plumb bob, digital level, straight edge, dowel, clay, marker, punch. "
    "Car level or its lean written down, wheels on the ground, seat where it is driven, carpet and boots on."
)


def blank_sheet(size: Size) -> bytes:
    """All readings, for a car of which nothing is known yet."""
    stamp = Stamp(
        "Measuring sheet: ______________________________", "no job yet; date: ______________", "Measuring sheet"
    )
    chapters = (
        ("The dozen: a first answer, does the unit clear one pedal", DOZEN),
        ("Next: the bench, the intermediate shaft, and what else is near", (*BENCH, *SHAFT, *NEXT)),
    )
    pages = [page for title, readings in chapters for page in _pages(size, stamp, title, list(map(Wanted, readings)))]
    return document(size, stamp, pages)


def job_sheet(verdict: Verdict, size: Size) -> bytes:
    """What is missing, and what is worth taking again."""
    stamp = Stamp.of(verdict, "Measuring sheet")
    found = wanted(verdict)
    title = "Still to measure, and worth taking again" if found else "Nothing is missing and nothing stands out"
    return document(size, stamp, _pages(size, stamp, title, found))


def plan_sheet(verdict: Verdict, found: Plan, size: Size) -> bytes:
    """Of a job that is still guessed: the dozen of its plan in walking order on page one, then what else is missing."""
    job, stamp = verdict.opened.job, Stamp.of(verdict, "Measuring sheet")
    taken, more = planned(job, found.taken), planned(job, found.next)
    title = f"The plan: boxes 1 to {len(taken)} decide, if the car is as guessed"
    first = _pages(size, stamp, title if found.decides else "The plan: what makes it surest", [*taken, *more])
    return document(size, stamp, [*first, *_pages(size, stamp, "Not looked at yet", wanted(verdict, again=False))])


def _pages(size: Size, stamp: Stamp, title: str, found: Sequence[Wanted]) -> list[Draw]:
    many = ROWS * 2
    lots = [found[i : i + many] for i in range(0, len(found), many)] or [[]]
    return [partial(_page, size=size, stamp=stamp, title=title, lot=lot, first=many * i) for i, lot in enumerate(lots)]


def _page(pen: Pen, size: Size, stamp: Stamp, title: str, lot: Sequence[Wanted], first: int) -> None:
    wide, high = size.mm
    room = wide - 2 * MARGIN_MM
    y = pen.lines((MARGIN_MM, high - 6), room, stamp.name, 10, bold=True, most=2)
    y = pen.lines((MARGIN_MM, y), room, title, TITLE, bold=True)
    y = pen.lines((MARGIN_MM, y), room, ORDER, SMALL)
    y = pen.lines((MARGIN_MM, y), room, TOOLS, SMALL)
    y = pen.lines((MARGIN_MM, y), room, BRAKES, SMALL, bold=True) - 1
    cell = (room - GAP_MM) / 2, (y - FOOT_MM) / ROWS - GAP_MM
    for number, one in enumerate(lot):
        row, column = divmod(number, 2)
        low = MARGIN_MM + column * (cell[0] + GAP_MM), y - (row + 1) * (cell[1] + GAP_MM) + GAP_MM
        _cell(pen, low, cell, first + number + 1, one)


def _cell(pen: Pen, low: Point, size: Point, number: int, one: Wanted) -> None:
    """One reading: sketch at the left, words and blanks at the right."""
    pen.box(low, (low[0] + size[0], low[1] + size[1]), width=0.2, grey=FAINT)
    top = low[1] + size[1]
    y = pen.lines((low[0] + 1.5, top - 1), size[0] - 3, f"{number}  {one.title}", 9, bold=True, most=2)
    sketch, left = one.reading.sketch if one.reading is not None else None, low[0] + 1.5
    if sketch is not None:
        sketch(Board(pen, (left, low[1] + 1.2), min(SKETCH[0] / 100, (y - low[1] - 2) / 80)))
        left += SKETCH[0] + 2
    room = low[0] + size[0] - left - 1.5
    blanks = one.reading.blanks if one.reading is not None else ("",)
    most = max(3, int((y - low[1] - 1.5 - LEAST_MM * (len(blanks) + 1)) / high_mm(HOW)))
    y = pen.lines((left, y), room, one.how, HOW, most=most)
    _blanks(pen, (left, low[1] + 1.5), room, y, blanks)


def _blanks(pen: Pen, low: Point, room: float, top: float, blanks: Sequence[str]) -> None:
    """Lines to write on, from the foot up: tool and car state, then first and second for each figure."""
    step = min(5.6, (top - low[1]) / (len(blanks) + 1))
    pairs = [(f"{blank + ' ' if blank else ''}1st", "2nd") for blank in blanks]
    for number, (one, other) in enumerate([*pairs, ("tool, who", "car")][::-1]):
        y = low[1] + 0.6 + step * number
        for text, share in ((one, 0.0), (other, 0.56)):
            x, end = low[0] + share * room, low[0] + (share + (0.54 if share == 0 else 0.44)) * room
            pen.text((x, y), text, 6.5)
            pen.line((x + wide_mm(text, 6.5) + 0.8, y - 0.3), (end - 1, y - 0.3), 0.2)
