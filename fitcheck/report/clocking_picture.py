"""The map of clock and place drawn, with the dial twice: as seen from the seat, and as seen lying under it.

Across: along the column; down: the clock. Only `report` draws; matplotlib is imported when a picture is made. Same
chapter, same bytes.
"""

import io
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from fitcheck.confidence.clocking import ClockingChapter
from fitcheck.errors import DrawingError
from fitcheck.job.angles import clock_text, degrees
from fitcheck.job.lengths import inches_text
from fitcheck.job.opening import OpenJob
from fitcheck.report.clocking_dial import LEVELS, dial, levels, named
from fitcheck.report.clocking_map import seam_deg, shown
from fitcheck.report.clocking_text import verdict_word
from fitcheck.report.clocking_words import Ruler
from fitcheck.report.pictures.palette import FAINT, INK, PAPER, RULE
from fitcheck.report.side_view import Kind

if TYPE_CHECKING:
    from matplotlib.axes import Axes

INCHES = (13.0, 8.4)
KEY = (
    "Ring: what is kept at some place along the column;\nempty where no clock is tried.\n"
    "Dashed on the map: in there every clock goes with every place."
)
NOTES: dict[str, tuple[tuple[int, int], Literal["left", "right"]]] = {
    "s": ((-8, 9), "right"), "o": ((8, 9), "left"), "D": ((8, -17), "left")
}  # fmt: skip
AROUND_DEG = 20.0  # of clock shown beside what comes near to fitting
STEP_HIGH = 0.8  # of a row, where the clocks are single steps
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
        figure.text(0.04, 0.925, _about(opened, chapter), color=FAINT)
        _map(figure.add_axes((0.075, 0.1, 0.52, 0.775)), chapter)
        dial(figure.add_axes((0.64, 0.52, 0.33, 0.36)), chapter, below=False)
        dial(figure.add_axes((0.64, 0.1, 0.33, 0.36)), chapter, below=True)
        figure.text(0.655, 0.045, KEY, color=FAINT, fontsize=8, va="center")
        out = io.BytesIO()
        figure.savefig(out, format=kind, dpi=120, facecolor=PAPER, metadata=_QUIET[kind])
    return out.getvalue()


def _about(opened: OpenJob, chapter: ClockingChapter) -> str:
    which = f"job {opened.digest[:12]}, {opened.job.job.date or 'no date in job'}"
    return f"Clock and place of the unit: {verdict_word(chapter).lower()}. {which}. A geometric aid, not an approval."


class _Heights:
    """Where a clock stands on the map: in degrees, a circle cut open at `seam`; or in the row of its step."""

    def __init__(self, chapter: ClockingChapter) -> None:
        arcs = chapter.chart.arcs
        self.steps = [(each.arc.start + each.arc.stop) / 2 for each in arcs] if arcs[0].arc.step else []
        self.seam = degrees(arcs[0].arc.start)
        if arcs[0].arc.around:
            self.seam = seam_deg(chapter.best.spot.clock)

    def of(self, clock: float) -> float:
        """The height of a clock; of a step the middle of its row."""
        if not self.steps:
            return self.seam + (degrees(clock) - self.seam + 1e-9) % 360.0 - 1e-9
        off = [abs((clock - step + np.pi) % (2 * np.pi) - np.pi) for step in self.steps]
        return int(np.argmin(off)) + STEP_HIGH / 2


def _map(axes: "Axes", chapter: ClockingChapter) -> None:
    from matplotlib.patches import Patch

    ruler, heights = Ruler.of(chapter), _Heights(chapter)
    axes.set_facecolor(PAPER)
    low, high = _cells(axes, chapter, ruler, heights)
    if heights.steps:
        axes.set_yticks([heights.of(step) for step in heights.steps], [clock_text(step) for step in heights.steps])
    else:
        apart = 30 if high - low > 180 else 15 if high - low > 60 else 5
        ticks = [tick for tick in range(0, 1081, apart) if low - 1e-6 <= tick <= high + 1e-6]
        axes.set_yticks(ticks, [clock_text(float(np.radians(tick))) for tick in ticks])
    axes.set_ylim(high, low)
    axes.set_xlim(chapter.allowed.low_mm - ruler.mark_mm, chapter.allowed.high_mm - ruler.mark_mm)
    _marks(axes, chapter, ruler, heights)
    axes.set_ylabel("where the motor points, seen from the seat", color=INK)
    axes.set_xlabel(f"input face {ruler.down()}, mm", color=INK)
    if ruler.show == "in":
        _inches(axes)
    axes.tick_params(colors=FAINT, labelsize=8)
    axes.legend(handles=[Patch(facecolor=colour, edgecolor=RULE, label=word) for word, colour in LEVELS.items()],
                loc="upper center", bbox_to_anchor=(0.5, -0.065), ncols=4, frameon=False, fontsize=8, labelcolor=INK,
                handlelength=1.4, columnspacing=1.2)  # fmt: skip


def _cells(axes: "Axes", chapter: ClockingChapter, ruler: Ruler, heights: _Heights) -> tuple[float, float]:
    """All cells; least and greatest height that is worth showing: about what comes near to fitting."""
    from matplotlib.colors import ListedColormap

    colours, every, near = ListedColormap(list(LEVELS.values())), [], []
    for row, arc in enumerate(shown(chapter)):
        level, places = levels(chapter, arc), arc.map.places_mm - ruler.mark_mm
        if heights.steps:
            parts = [(np.array([row, row + STEP_HIGH]), level.min(axis=0, keepdims=True))]
        else:
            starts = np.array([heights.of(clock) for clock in arc.edges[:-1].tolist()])
            cut = int(starts.argmin())
            tops = starts + np.degrees(np.diff(arc.edges))
            parts = [(np.append(starts[part], tops[part][-1]), level[part])
                     for part in (slice(cut, None), slice(cut)) if len(starts[part])]  # fmt: skip
        for edges, shades in parts:
            axes.pcolormesh(places, edges, shades, cmap=colours, vmin=-0.5, vmax=3.5, rasterized=True)
            every += edges.tolist()
            bright = np.flatnonzero(shades.max(axis=1) > 1)
            near += [] if not len(bright) else [edges[bright[0]], edges[bright[-1] + 1]]
    if heights.steps or not near:
        return min(every), max(every)
    return max(min(every), min(near) - AROUND_DEG), min(max(every), max(near) + AROUND_DEG)


def _inches(axes: "Axes") -> None:
    """Quarter inches along the upper edge."""
    top, (low, high) = axes.twiny(), axes.get_xlim()
    top.set_xlim(low, high)
    quarters = [quarter * 6.35 for quarter in range(int(np.ceil(low / 6.35)), int(high // 6.35) + 1)]
    top.set_xticks(quarters, [inches_text(mm).removesuffix(" in") for mm in quarters])
    top.set_xlabel("inches", color=FAINT, fontsize=8)
    top.tick_params(colors=FAINT, labelsize=7)


def _marks(axes: "Axes", chapter: ClockingChapter, ruler: Ruler, heights: _Heights) -> None:
    """The named places that lie on the map, and the box in which all is kept."""
    from matplotlib.patches import Rectangle

    (left, right), (bottom, top) = axes.get_xlim(), axes.get_ylim()
    for word, at, mark, colour in named(chapter):
        clock, place = heights.of(at.spot.clock), at.spot.place_mm - ruler.mark_mm
        if not (left - 1e-6 <= place <= right + 1e-6 and top - 1e-6 <= clock <= bottom + 1e-6):
            continue
        axes.plot(place, clock, mark, color=colour, ms=8, mec=PAPER, mew=1.2, zorder=5, clip_on=False)
        off, side = NOTES[mark]
        if mark == "o" and place > (left + 3 * right) / 4:
            off, side = (-8, 9), "right"
        axes.annotate(word, (place, clock), off, textcoords="offset points", color=INK, fontsize=9, weight="bold",
                      ha=side, bbox={"facecolor": PAPER, "edgecolor": "none", "alpha": 0.75, "pad": 1.0})  # fmt: skip
    if chapter.box is not None and not heights.steps:
        box = chapter.box
        corner = box.low_mm - ruler.mark_mm, heights.of(box.start)
        wide, high = box.high_mm - box.low_mm, degrees(box.stop - box.start)
        axes.add_patch(Rectangle(corner, wide, high, fill=False, edgecolor=INK, lw=1.1, ls=(0, (4, 2))))
