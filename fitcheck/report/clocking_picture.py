"""The map of clock and place drawn, with the dial twice: as seen from the seat, and as seen lying under it.

Across the column's length, up the clock. Only `report` draws; matplotlib is imported when a picture is made. Same
chapter, same bytes.
"""

import io
from itertools import pairwise
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from fitcheck.clearance.clocking_chart import ArcMap
from fitcheck.confidence.clocking import ClockingChapter
from fitcheck.confidence.clocking_judged import Judgement
from fitcheck.errors import DrawingError
from fitcheck.geometry.frames import Vector
from fitcheck.job.angles import clock_text
from fitcheck.job.lengths import inches_text
from fitcheck.job.opening import OpenJob
from fitcheck.report.clocking_map import shown, sure_of
from fitcheck.report.clocking_text import verdict_word
from fitcheck.report.clocking_words import Ruler
from fitcheck.report.pictures.palette import BLUE, FAINT, INK, ORANGE, PAPER, RULE, STONE, VERMILION
from fitcheck.report.side_view import Kind

if TYPE_CHECKING:
    from matplotlib.axes import Axes

INCHES = (13.0, 8.4)
# Light to dark, so that it reads in grey as well; words stand in the key.
LEVELS = {"hits, or more than 10 mm short": "#C9BFB0", "less than 10 mm short": "#E7DFD0",
          "every gap kept": "#8CC1E0", "kept, and sure": BLUE}  # fmt: skip
NEAR_MM = -10.0
KEY = (
    "Ring: what is kept at some place along the column.\nDashed on the map: every clock with every place in it is kept."
)
RING = (0.72, 1.0)
NOTES: dict[str, tuple[tuple[int, int], Literal["left", "right"]]] = {
    "s": ((-8, 9), "right"), "o": ((8, 9), "left"), "D": ((8, -17), "left")
}  # fmt: skip
AROUND_DEG = 20.0  # of clock shown beside what comes near to fitting
_QUIET: dict[Kind, dict[str, Any]] = {
    "png": {"Software": None},
    "pdf": {"CreationDate": None, "Producer": None, "Creator": None},
    "svg": {"Date": None, "Creator": None},
}


def clocking_picture(opened: OpenJob, chapter: ClockingChapter, kind: Kind) -> bytes:
    """The picture as bytes; DrawingError where matplotlib is not there."""
    try:
        from matplotlib import rc_context
        from matplotlib.figure import Figure
    except ImportError as error:
        raise DrawingError("no picture here: matplotlib is missing; install it with: pip install matplotlib") from error
    with rc_context({"svg.hashsalt": "clocking", "font.family": "DejaVu Sans", "pdf.fonttype": 42, "font.size": 9}):
        figure = Figure(figsize=INCHES, facecolor=PAPER)
        figure.text(0.04, 0.955, opened.job.job.name, fontsize=15, color=INK, weight="bold")
        about = f"job {opened.digest[:12]}, {opened.job.job.date or 'no date in job'}"
        word = verdict_word(chapter).capitalize()
        figure.text(
            0.04, 0.925, f"Where the unit fits: {word}. {about}. A geometric aid, not an approval.", color=FAINT
        )
        _map(figure.add_axes((0.075, 0.1, 0.52, 0.775)), chapter)
        _dial(figure.add_axes((0.64, 0.52, 0.33, 0.36)), chapter, below=False)
        _dial(figure.add_axes((0.64, 0.1, 0.33, 0.36)), chapter, below=True)
        figure.text(0.655, 0.045, KEY, color=FAINT, fontsize=8, va="center")
        out = io.BytesIO()
        figure.savefig(out, format=kind, dpi=120, facecolor=PAPER, metadata=_QUIET[kind])
    return out.getvalue()


def _level(arc: ArcMap, sure: Vector) -> Vector:
    """For each cell which of LEVELS it is."""
    floors = arc.map.cells.mm
    return np.where(sure, 3, np.where(floors >= 0, 2, np.where(floors >= NEAR_MM, 1, 0)))


def _map(axes: "Axes", chapter: ClockingChapter) -> None:
    """Cells as they are, clocks turned so that the windows do not lie across the seam."""
    from matplotlib.colors import ListedColormap
    from matplotlib.patches import Patch

    ruler, colours = Ruler.of(chapter), ListedColormap(list(LEVELS.values()))
    seam = _seam(chapter)
    axes.set_facecolor(PAPER)
    tops: list[float] = []
    near: list[float] = []
    for arc in shown(chapter):
        edges, places = np.degrees(arc.edges), arc.map.places_mm - ruler.mark_mm
        level = _level(arc, sure_of(chapter, arc))
        for column, (one, other) in enumerate(pairwise(edges.tolist())):
            start = seam + (one - seam) % 360
            axes.pcolormesh(places, [start, start + other - one], level[column : column + 1], cmap=colours,
                            vmin=-0.5, vmax=3.5, rasterized=True)  # fmt: skip
            tops += [start, start + other - one]
            near += [start, start + other - one] if level[column].max() > 0 else []
    low, high = min(tops), max(tops)
    if near:
        low, high = max(low, min(near) - AROUND_DEG), min(high, max(near) + AROUND_DEG)
    _marks(axes, chapter, ruler, seam)
    step = 30 if high - low > 180 else 15 if high - low > 60 else 5
    ticks = [tick for tick in range(0, 1081, step) if low - 1e-6 <= tick <= high + 1e-6]
    axes.set_yticks(ticks, [clock_text(np.radians(tick)) for tick in ticks])
    axes.set_ylim(high, low)
    axes.set_ylabel("where the motor points, seen from the seat", color=INK)
    axes.set_xlabel(f"input face {ruler.down()}, mm", color=INK)
    if ruler.show == "in":
        _inches(axes)
    axes.tick_params(colors=FAINT, labelsize=8)
    axes.legend(handles=[Patch(facecolor=colour, edgecolor=RULE, label=word) for word, colour in LEVELS.items()],
                loc="upper center", bbox_to_anchor=(0.5, -0.065), ncols=4, frameon=False, fontsize=8, labelcolor=INK,
                handlelength=1.4, columnspacing=1.2)  # fmt: skip


def _inches(axes: "Axes") -> None:
    """Quarter inches along the upper edge."""
    top, (low, high) = axes.twiny(), axes.get_xlim()
    top.set_xlim(low, high)
    quarters = [quarter * 6.35 for quarter in range(int(np.ceil(low / 6.35)), int(high // 6.35) + 1)]
    top.set_xticks(quarters, [inches_text(mm).removesuffix(" in") for mm in quarters])
    top.set_xlabel("inches", color=FAINT, fontsize=8)
    top.tick_params(colors=FAINT, labelsize=7)


def _seam(chapter: ClockingChapter) -> float:
    """Where a full circle is cut open, deg: opposite the best place, so that windows stay whole."""
    arc = chapter.chart.arcs[0].arc
    if not arc.around:
        return float(np.degrees(arc.start))
    opposite = np.degrees(chapter.best.spot.clock) + 180.0
    return float(np.round(opposite / 30.0) * 30.0 % 360.0)


def _named(chapter: ClockingChapter) -> list[tuple[str, Judgement, str, str]]:
    """Places marked on map and dial: word, place, mark, colour."""
    found = [
        ("as it is now", chapter.now, "s", INK),
        ("best" if chapter.windows else "least bad", chapter.best, "o", VERMILION),
    ]
    if chapter.forgiving is not None:
        found.append(("most forgiving", chapter.forgiving, "D", ORANGE))
    return found


def _marks(axes: "Axes", chapter: ClockingChapter, ruler: Ruler, seam: float) -> None:
    for word, at, mark, colour in _named(chapter):
        clock = seam + (np.degrees(at.spot.clock) - seam) % 360
        place = at.spot.place_mm - ruler.mark_mm
        axes.plot(place, clock, mark, color=colour, ms=8, mec=PAPER, mew=1.2, zorder=5, clip_on=False)
        off, side = NOTES[mark]
        axes.annotate(word, (place, clock), off, textcoords="offset points", color=INK, fontsize=9, weight="bold",
                      ha=side, bbox={"facecolor": PAPER, "edgecolor": "none", "alpha": 0.75, "pad": 1.0})  # fmt: skip
    if chapter.box is not None:
        from matplotlib.patches import Rectangle

        box = chapter.box
        start = seam + (np.degrees(box.start) - seam) % 360
        corner = box.low_mm - ruler.mark_mm, start
        wide, high = box.high_mm - box.low_mm, np.degrees(box.stop - box.start)
        axes.add_patch(Rectangle(corner, wide, high, fill=False, edgecolor=INK, lw=1.1, ls=(0, (4, 2))))


def _dial(axes: "Axes", chapter: ClockingChapter, below: bool) -> None:
    """The clock face with what is kept at some place along the column; all is the other way round lying under it."""
    way = -1.0 if below else 1.0
    axes.set_aspect("equal")
    axes.set_axis_off()
    axes.set(xlim=(-1.75, 1.75), ylim=(-1.45, 1.5))
    axes.set_title("seen lying under it, looking up the column" if below else "seen from the seat, looking down it",
                   color=INK, fontsize=10)  # fmt: skip
    _ring(axes, 0.0, 2 * np.pi, STONE, 0.25, way)
    for arc in shown(chapter):
        best = _level(arc, sure_of(chapter, arc)).max(axis=1)
        for column in range(len(best)):
            colour = list(LEVELS.values())[int(best[column])]
            _ring(axes, arc.edges[column], arc.edges[column + 1], colour, 1.0, way)
    for hour in range(12):
        across, up = np.sin(np.pi * hour / 6), np.cos(np.pi * hour / 6)
        axes.plot([1.0 * across, 1.05 * across], [1.0 * up, 1.05 * up], color=INK, lw=1)
        axes.text(1.17 * across, 1.17 * up, str(hour or 12), ha="center", va="center", color=INK, fontsize=9)
    for _, at, mark, colour in reversed(_named(chapter)):
        across, up = way * np.sin(at.spot.clock), np.cos(at.spot.clock)
        axes.plot([0, 0.66 * across], [0, 0.66 * up], color=colour, lw=2.2, solid_capstyle="round")
        axes.plot(0.66 * across, 0.66 * up, mark, color=colour, ms=6)
    axes.plot(0, 0, "o", color=INK, ms=7)
    for row, (word, at, mark, colour) in enumerate(_named(chapter)):
        said = clock_text(way * at.spot.clock)
        axes.plot(-0.5, -0.2 - 0.14 * row, mark, color=colour, ms=5)
        axes.text(-0.42, -0.2 - 0.14 * row, f"{word} {said}", color=INK, fontsize=8, va="center")
    _door(axes, chapter.job.job.drive, way)


def _ring(axes: "Axes", start: float, stop: float, colour: str, alpha: float, way: float) -> None:
    turns = np.linspace(start, stop, max(2, int(np.ceil((stop - start) / np.radians(1.0))) + 1))
    across, up = way * np.sin(turns), np.cos(turns)
    inner, outer = RING
    axes.fill(np.concatenate([inner * across, outer * across[::-1]]), np.concatenate([inner * up, outer * up[::-1]]),
              color=colour, alpha=alpha, lw=0)  # fmt: skip


def _door(axes: "Axes", drive: str, way: float) -> None:
    """An arrow to the driver's door: at 9:00 of a left-hand-drive car, at 3:00 of a right-hand-drive one."""
    side = (-1.0 if drive == "left" else 1.0) * way
    axes.annotate("", (1.68 * side, 0.0), (1.3 * side, 0.0), arrowprops={"arrowstyle": "-|>", "color": INK, "lw": 1.6})
    axes.text(1.5 * side, -0.08, "driver's\ndoor", ha="center", va="top", color=INK, fontsize=8)
