"""The map to read in a terminal: a line for each five degrees of clock, a letter for each stretch of the column."""

from collections.abc import Iterator
from itertools import groupby
from math import degrees, radians
from textwrap import wrap

import numpy as np

from fitcheck.clearance.clocking_chart import ArcMap
from fitcheck.confidence.clocking import ClockingChapter
from fitcheck.geometry.frames import Vector
from fitcheck.job.angles import clock_text
from fitcheck.report.clocking_words import Ruler

ROW = radians(5.0)
COLUMNS = 24  # at most
NEAR_MM = -10.0
LETTERS = {
    "#": "sure",
    "+": "every gap kept",
    "-": "kept in part of it",
    ".": "less than 10 mm short",
    "x": "more, or hits",
}
STRAY = 1e-9


def map_rows(chapter: ClockingChapter, ruler: Ruler, width: int) -> list[str]:
    """The map with its heading and key; lines alike are drawn together."""
    low, high = chapter.allowed.low_mm, chapter.allowed.high_mm
    columns = np.linspace(low, high, min(COLUMNS, max(2, round((high - low) / 2.5))) + 1)
    key = ", ".join(f"{letter} {meaning}" for letter, meaning in LETTERS.items())
    head = [
        *wrap(f"The map: across, the input face from {ruler.place(low)} to {ruler.place(high)} {ruler.down()}; "
              f"down, where the motor points, seen from the seat. {key}.", width),
        f"  {'wheel':<{len(columns) + 14}}rack",
    ]  # fmt: skip
    for arc in shown(chapter):
        head += _arc_rows(chapter, arc, columns)
    return head


def shown(chapter: ClockingChapter) -> tuple[ArcMap, ...]:
    """The maps that are drawn: of all that is allowed, and the small one where only that holds a window."""
    if not chapter.windows:
        return chapter.chart.arcs
    return (*chapter.chart.arcs, *(arc for arc in chapter.arcs if arc not in chapter.chart.arcs))


def _arc_rows(chapter: ClockingChapter, arc: ArcMap, columns: Vector) -> Iterator[str]:
    edges = arc.edges
    count = max(1, round((edges[-1] - edges[0]) / ROW))
    rows = np.linspace(edges[0], edges[-1], count + 1)
    sure = sure_of(chapter, arc)
    lines = [
        (row, stop, "".join(_letter(arc, sure, (row, stop), (one, two)) for one, two in _pairs(columns)))
        for row, stop in _pairs(rows)
    ]
    for letters, alike in groupby(lines, key=lambda line: line[2]):
        together = list(alike)
        first, last = together[0][0], together[-1][1]
        yield f"  {_row(arc, first, last):<13}  {letters}"


def _row(arc: ArcMap, first: float, last: float) -> str:
    if arc.arc.step:
        return f"{clock_text((first + last) / 2):>5} (step)"
    return f"{clock_text(first):>5} - {clock_text(last):>5}"


def seam_deg(best_clock: float) -> float:
    """Where a drawn map cuts a full circle open: opposite the best place, so that windows stay whole."""
    return round((degrees(best_clock) + 180.0) / 30.0) * 30.0 % 360.0


def sure_of(chapter: ClockingChapter, arc: ArcMap) -> Vector:
    """Which cells of an arc are sure."""
    sure = np.zeros(arc.map.cells.mm.shape, dtype=bool)
    for window in chapter.windows:
        for region in window.sure:
            if region.of is arc:
                sure |= region.cells
    return sure


def _letter(arc: ArcMap, sure: Vector, clocks: tuple[float, float], places: tuple[float, float]) -> str:
    edges, along = arc.edges, arc.map.places_mm
    rows = (edges[:-1] < clocks[1] - STRAY) & (edges[1:] > clocks[0] + STRAY)
    columns = (along[:-1] < places[1] - STRAY) & (along[1:] > places[0] + STRAY)
    here = np.ix_(rows, columns)
    floors = arc.map.cells.mm[here]
    if not floors.size:
        return " "
    if sure[here].all():
        return "#"
    if (floors >= 0).all():
        return "+"
    if (floors >= 0).any():
        return "-"
    return "." if floors.max() >= NEAR_MM else "x"


def _pairs(values: Vector) -> list[tuple[float, float]]:
    return list(zip(values[:-1].tolist(), values[1:].tolist(), strict=True))
