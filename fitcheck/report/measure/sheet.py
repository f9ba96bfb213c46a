"""The measuring sheet as a PDF: two readings side by side, the dozen on page one; for a job only what is wanted."""

from collections.abc import Sequence
from functools import partial

from fitcheck.confidence.mocked_up import lean_words
from fitcheck.confidence.plan import Plan, walk
from fitcheck.report.measure.catalogue import BENCH, DOZEN
from fitcheck.report.measure.further import NEXT, SHAFT
from fitcheck.report.measure.sizes import SIZES
from fitcheck.report.measure.sketch import Board
from fitcheck.report.measure.wanted import Wanted, planned, wanted
from fitcheck.report.paper.fonts import high_mm, wide_mm, wrapped
from fitcheck.report.paper.pen import FAINT, Pen, Point
from fitcheck.report.paper.sheets import MARGIN_MM, Draw, Size, Stamp, document
from fitcheck.verdict import Verdict

ROWS, FOOT_MM, GAP_MM = 6, 12.0, 2.0
SKETCH = (34.0, 27.2)
TITLE, SMALL = 13.0, 8.0
HOWS = ((7.5, 6.5), (7.0, 6.0), (6.5, 5.5), (6.0, 5.0))  # letters of how, and of the keys
LEAST_MM = 4.8  # between two lines to write on
ORDER = "Walk it in this order. First reading, then a second one by another hand. Write the tool and how the car stood."
BRAKES = (  # common practice, no source
    "Brake's travel: a bleeder open, a helper watching the hose end in its jar. Then close it, bleed and test the "
    "brakes before the car moves."
)
NO_DATUM = (
    "Datum, a mark you can touch with the column in and out, in words: _______________________________________________"
)
TOOLS = (
    "Take along: steel tape, steel rule, caliper, plumb bob, digital level, straight edge, dowel, clay, marker, punch. "
    "Car level or its lean written down, wheels on the ground, seat where it is driven, carpet and boots on."
)


CHAPTERS = tuple(
    (title, tuple(map(Wanted, readings)))
    for title, readings in (
        ("The dozen: a first answer, does the unit clear one pedal", DOZEN),
        ("Next: sizes, the bench, the intermediate shaft, what is near", (*SIZES, *BENCH, *SHAFT, *NEXT)),
    )
)  # fmt: skip


def blank_sheet(size: Size) -> bytes:
    """All readings, for a car of which nothing is known yet."""
    stamp = Stamp(
        "Measuring sheet: ______________________________", "no job yet; date: ______________", "Measuring sheet"
    )
    return document(size, stamp, _chapters(size, stamp, CHAPTERS))


def job_sheet(verdict: Verdict, size: Size) -> bytes:
    """What is missing, and what is worth taking again."""
    stamp = Stamp.of(verdict, "Measuring sheet")
    found = wanted(verdict)
    title = "Still to measure, and worth taking again" if found else "Nothing is missing and nothing stands out"
    if verdict.seen is not None and not verdict.seen.agrees:
        title = "The mock-up disagrees: the car is right, find the reading"
    return document(size, stamp, _chapters(size, stamp, [(title, found)], _datum(verdict), _lean(verdict)))


def plan_sheet(verdict: Verdict, found: Plan, size: Size) -> bytes:
    """Of a job that is still guessed: the dozen of its plan in walking order on page one, then what else is missing."""
    job, stamp = verdict.opened.job, Stamp.of(verdict, "Measuring sheet")
    taken, more = planned(job, found.taken), planned(job, sorted(found.next, key=walk))
    first = _title(found, len(taken)), [*taken, *more]
    then = "Not looked at yet", wanted(verdict, again=False)
    return document(size, stamp, _chapters(size, stamp, [first, then], _datum(verdict)))


def _title(found: Plan, boxes: int) -> str:
    """What the boxes of a plan do; `boxes` of them decide."""
    if found.no_room:
        return "It would not fit as guessed: move it first, then plan anew"
    if not found.decides:
        return "The plan: what makes it surest"
    if not boxes:
        return "The plan: the guesses decide; these boxes make it surer"
    which = "box 1 decides" if boxes == 1 else f"boxes 1 to {boxes} decide"
    return f"The plan: {which}, if the car is as guessed"


def _datum(verdict: Verdict) -> str:
    return f"Datum: {verdict.opened.job.job.datum}."


def _lean(verdict: Verdict) -> str:
    """What it means that what was found on the mock-up differs to one side; nothing where it does not."""
    said = "" if verdict.seen is None or not verdict.seen.leans else lean_words(verdict.seen)
    return f"{said[:1].upper()}{said[1:]}{'.' if said else ''}"


def _chapters(
    size: Size, stamp: Stamp, chapters: Sequence[tuple[str, Sequence[Wanted]]], datum: str = NO_DATUM, note: str = ""
) -> list[Draw]:
    """Each chapter from a new page on; boxes are counted through all of them."""
    many, pages, first = ROWS * 2, list[Draw](), 0
    for title, found in chapters:
        for i in range(0, max(len(found), 1), many):
            head = title, ORDER, TOOLS, *filter(None, (datum, note))
            pages.append(partial(_page, size=size, stamp=stamp, head=head, lot=found[i : i + many], first=first + i))
        first += len(found)
    return pages


def _page(pen: Pen, size: Size, stamp: Stamp, head: Sequence[str], lot: Sequence[Wanted], first: int) -> None:
    wide, high = size.mm
    room = wide - 2 * MARGIN_MM
    title, *told = head
    y = pen.lines((MARGIN_MM, high - 6), room, stamp.name, 10, bold=True, most=2)
    y = pen.lines((MARGIN_MM, y), room, title, TITLE, bold=True, most=2)
    for said in told:
        y = pen.lines((MARGIN_MM, y), room, said, SMALL, most=3)
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
    y = _told(pen, (left, y), room, low[1] + 1.5 + LEAST_MM * (len(blanks) + 1), one)
    _blanks(pen, (left, low[1] + 1.5), room, y, blanks)


def _told(pen: Pen, top: Point, room: float, foot: float, one: Wanted) -> float:
    """How it is read, then its keys in small; in smaller letters where the whole would not stand above `foot`."""
    for how, small in HOWS:
        lines = len(wrapped(one.how, how, room)), len(wrapped(one.where, small, room)) if one.where else 0
        if top[1] - high_mm(how, lines[0]) - high_mm(small, lines[1]) >= foot:
            break
    most = max(2, int((top[1] - foot - high_mm(small, lines[1])) / high_mm(how)))
    y = pen.lines(top, room, one.how, how, most=most)
    left = int((y - foot) / high_mm(small))
    return pen.lines((top[0], y), room, one.where, small, most=left, grey=FAINT) if one.where and left > 0 else y


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
