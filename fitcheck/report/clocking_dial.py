"""The clock face of a search: what is kept at some place along the column, and where the named places point.

Both dials are clock faces as one reads them; what the seat sees at 9 stands at 3 for whoever lies under the column.
"""

from itertools import groupby
from typing import TYPE_CHECKING

import numpy as np

from fitcheck.clearance.clocking_chart import ArcMap
from fitcheck.confidence.clocking import ClockingChapter
from fitcheck.confidence.clocking_judged import Judgement
from fitcheck.geometry.frames import Vector
from fitcheck.job.angles import clock_text
from fitcheck.report.clocking_map import NEAR_MM, shown, sure_of
from fitcheck.report.pictures.palette import BLUE, INK, ORANGE, RULE, VERMILION

if TYPE_CHECKING:
    from matplotlib.axes import Axes

# Light to dark, so that it reads in grey as well; words stand in the key.
LEVELS = {"hits, or more than 10 mm short": "#C9BFB0", "less than 10 mm short": "#E7DFD0",
          "every gap kept": "#8CC1E0", "kept, and sure": BLUE}  # fmt: skip
RING = (0.72, 1.0)
HAND = 0.66
STEP_SHOWN = np.radians(3.0)  # a mounting step is drawn so far either way


def levels(chapter: ClockingChapter, arc: ArcMap) -> Vector:
    """For each cell (n, s) which of LEVELS it is."""
    floors, sure = arc.map.cells.mm, sure_of(chapter, arc)
    return np.where(sure, 3, np.where(floors >= 0, 2, np.where(floors >= NEAR_MM, 1, 0)))


def named(chapter: ClockingChapter) -> list[tuple[str, Judgement, str, str]]:
    """Places marked on map and dial: word, place, mark, colour."""
    best = "best" if chapter.windows else "least bad"
    found = [("as it is now", chapter.now, "s", INK), (best, chapter.best, "o", VERMILION)]
    if chapter.forgiving is not None:
        found.append(("most forgiving", chapter.forgiving, "D", ORANGE))
    return found


def dial(axes: "Axes", chapter: ClockingChapter, below: bool) -> None:
    """One clock face; everything is the other way round lying under it."""
    way = -1.0 if below else 1.0
    axes.set_aspect("equal")
    axes.set_axis_off()
    axes.set(xlim=(-1.75, 1.75), ylim=(-1.45, 1.5))
    axes.set_title("seen lying under it, looking up the column" if below else "seen from the seat, looking down it",
                   color=INK, fontsize=10)  # fmt: skip
    for radius in RING:
        turns = np.linspace(0, 2 * np.pi, 181)
        axes.plot(radius * np.sin(turns), radius * np.cos(turns), color=RULE, lw=0.8)
    for arc in shown(chapter):
        _arc(axes, chapter, arc, way)
    for hour in range(12):
        across, up = np.sin(np.pi * hour / 6), np.cos(np.pi * hour / 6)
        axes.plot([1.0 * across, 1.05 * across], [1.0 * up, 1.05 * up], color=INK, lw=1)
        axes.text(1.17 * across, 1.17 * up, str(hour or 12), ha="center", va="center", color=INK, fontsize=9)
    _hands(axes, chapter, way)
    _door(axes, chapter.job.job.drive, way)


def _arc(axes: "Axes", chapter: ClockingChapter, arc: ArcMap, way: float) -> None:
    """The ring over one arc: the best level at any place along, stretches of the same level as one."""
    colours = list(LEVELS.values())
    level = levels(chapter, arc)
    if arc.arc.step:
        middle = (arc.arc.start + arc.arc.stop) / 2
        _ring(axes, middle - STEP_SHOWN, middle + STEP_SHOWN, colours[int(level.min(axis=0).max())], way)
        return
    best = level.max(axis=1).astype(int).tolist()
    for shade, columns in groupby(range(len(best)), key=lambda column: best[column]):
        together = list(columns)
        _ring(axes, arc.edges[together[0]], arc.edges[together[-1] + 1], colours[shade], way)


def _hands(axes: "Axes", chapter: ClockingChapter, way: float) -> None:
    for _, at, mark, colour in reversed(named(chapter)):
        across, up = way * np.sin(at.spot.clock), np.cos(at.spot.clock)
        axes.plot([0, HAND * across], [0, HAND * up], color=colour, lw=2.2, solid_capstyle="round")
        axes.plot(HAND * across, HAND * up, mark, color=colour, ms=6)
    axes.plot(0, 0, "o", color=INK, ms=7)
    for row, (word, at, mark, colour) in enumerate(named(chapter)):
        axes.plot(-0.5, -0.2 - 0.14 * row, mark, color=colour, ms=5)
        said = f"{word} {clock_text(way * at.spot.clock)}"
        axes.text(-0.42, -0.2 - 0.14 * row, said, color=INK, fontsize=8, va="center")


def _ring(axes: "Axes", start: float, stop: float, colour: str, way: float) -> None:
    turns = np.linspace(start, stop, max(2, int(np.ceil((stop - start) / np.radians(1.0))) + 1))
    across, up = way * np.sin(turns), np.cos(turns)
    inner, outer = RING
    axes.fill(np.concatenate([inner * across, outer * across[::-1]]), np.concatenate([inner * up, outer * up[::-1]]),
              color=colour, lw=0)  # fmt: skip


def _door(axes: "Axes", drive: str, way: float) -> None:
    """An arrow to the driver's door: at 9:00 of a left-hand-drive car, at 3:00 of a right-hand-drive one."""
    side = (-1.0 if drive == "left" else 1.0) * way
    axes.annotate("", (1.68 * side, 0.0), (1.3 * side, 0.0), arrowprops={"arrowstyle": "-|>", "color": INK, "lw": 1.6})
    axes.text(1.5 * side, -0.08, "driver's\ndoor", ha="center", va="top", color=INK, fontsize=8)
