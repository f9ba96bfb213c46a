"""The shaft drawn: side and plan view with true angles, each shaft's yokes seen from its wheel end, ripple over a turn.

Side view: forward to the left, up upward; plan: forward to the left, the driver's right upward. Only `report` draws;
matplotlib is imported here when a drawing is made. Same chapter, same bytes.
"""

import io
from textwrap import fill
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from fitcheck.errors import DrawingError
from fitcheck.job.angles import degrees
from fitcheck.limits import NotKnown
from fitcheck.report.shaft_words import deg, pct, step_words
from fitcheck.shaft.line import Line
from fitcheck.shaft.results import Bend, Evenness, PhaseRow, ShaftChapter

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Format = Literal["png", "svg", "pdf"]
PAPER, INK, FAINT, FIRST, SECOND = "#F6F1E7", "#2B2620", "#6B6257", "#0072B2", "#D55E00"  # Okabe-Ito; recalled
STUB_MM = 80.0
YOKE, ROUND = 1.0, np.linspace(0, 2 * np.pi, 181)
UNDATED: dict[Format, dict[str, Any]] = {
    "png": {"Software": None},
    "svg": {"Date": None, "Creator": None},
    "pdf": {"CreationDate": None, "Creator": None, "Producer": None},
}


def shaft_drawing(found: ShaftChapter, title: str, form: Format = "png") -> bytes:
    """The drawing as bytes; DrawingError where the line of the shaft or matplotlib is not there."""
    if isinstance(found.line, NotKnown):
        raise DrawingError(f"nothing to draw yet: measure {found.line.measure} (key: {', '.join(found.line.keys)})")
    try:
        from matplotlib import rc_context
        from matplotlib.figure import Figure
    except ImportError as error:
        raise DrawingError("no drawing here: matplotlib is missing; install it with: pip install matplotlib") from error
    with rc_context({"svg.hashsalt": "fitcheck", "font.family": "DejaVu Sans", "font.size": 9, "pdf.compression": 9}):
        figure = Figure(figsize=(11, 8), facecolor=PAPER)
        _draw(figure, found, found.line, title)
        out = io.BytesIO()
        figure.savefig(out, format=form, dpi=120, facecolor=PAPER, metadata=UNDATED[form])
    return out.getvalue()


def _draw(figure: "Figure", found: ShaftChapter, line: Line, title: str) -> None:
    figure.suptitle(title, color=INK, x=0.02, ha="left", fontsize=11)
    shafts = [] if isinstance(found.phases, NotKnown) else list(found.phases)
    grid = figure.add_gridspec(2, 6, left=0.06, right=0.98, bottom=0.08, top=0.9, hspace=0.35, wspace=0.9)
    _view(figure.add_subplot(grid[0, :3]), found, line, 2, "from the driver's left side")
    _view(figure.add_subplot(grid[0, 3:]), found, line, 1, "in plan, driver's right upward")
    for i, row in enumerate(shafts):
        _yokes(figure.add_subplot(grid[1, 2 * i : 2 * i + 2]), found, row)
    if not isinstance(found.evenness, NotKnown):
        _ripple(figure.add_subplot(grid[1, 4:] if len(shafts) > 1 else grid[1, 3:]), found.evenness)


def _view(axes: "Axes", found: ShaftChapter, line: Line, up: int, title: str) -> None:
    """The line seen square to forward and one other direction, with the true angles written beside the joints."""
    ends = [line.centres[0] - STUB_MM * line.ways[0], *line.centres, line.centres[-1] + STUB_MM * line.ways[-1]]
    points = np.array(ends)
    axes.plot(points[:, 0], points[:, up], color=INK, lw=2)
    for row, centre in zip(found.joints, line.centres, strict=True):
        said = "not known" if isinstance(row.bend, NotKnown) else f"true angle {deg(row.bend.angle)}"
        colour = SECOND if isinstance(row.bend, Bend) and row.bend.grade.value == "no" else FIRST
        axes.plot(centre[0], centre[up], "o", color=colour, ms=8)
        _label(axes, f"{row.joint.name}\n{said}", (centre[0], centre[up]), (-9, 7), "right")
    if found.bearing is not None:
        axes.plot(found.bearing[0], found.bearing[up], "s", color=INK, ms=8, mfc=PAPER)
        _label(axes, "support bearing", (found.bearing[0], found.bearing[up]), (9, -14), "left")
    _plain(axes, title)
    axes.set_aspect("equal", adjustable="datalim")
    axes.margins(0.35, 0.2)
    axes.set_xlabel("mm behind the datum", color=FAINT)
    axes.set_ylabel("mm up" if up == 2 else "mm to the right", color=FAINT)


def _label(
    axes: "Axes", words: str, at: tuple[float, float], off: tuple[int, int], side: Literal["left", "right"]
) -> None:
    axes.annotate(words, at, off, textcoords="offset points", color=INK, ha=side, fontsize=8)


def _yokes(axes: "Axes", found: ShaftChapter, row: PhaseRow) -> None:
    """The yokes of a shaft seen from its wheel end, the wheel-end one upright, with the teeth from the paint mark."""
    piece = next(piece for piece in found.shaft.pieces if piece.name == row.piece)
    axes.plot(0.55 * np.sin(ROUND), 0.55 * np.cos(ROUND), color=FAINT, lw=1)
    _yoke(axes, 0.0, FIRST, "wheel-end yoke", "-")
    words = "any phase"
    if not row.any_phase:
        _yoke(axes, row.chosen.phase, SECOND, "rack-end yoke", "-")
        _yoke(axes, row.best, FAINT, "best phase", ":")
        words = fill(step_words(row.chosen, piece, row.reach.free), 40)
        _teeth(axes, row)
    _plain(axes, f"{row.piece}, seen from the wheel end")
    axes.set_aspect("equal")
    axes.set(xlim=(-2.0, 2.0), ylim=(-2.45, 1.75), xticks=[], yticks=[])
    said = f"from the paint mark:\n{words}\nDrawn as set, wheel-end yoke upright"
    axes.text(0, -1.28, said, ha="center", va="top", color=INK, fontsize=8)
    axes.legend(
        loc="upper center", fontsize=7, frameon=False, labelcolor=INK, ncols=3, columnspacing=0.8, handlelength=1.2
    )


def _yoke(axes: "Axes", phase: float, colour: str, label: str, style: str) -> None:
    """A yoke as a line across, clockwise from upright as seen from the wheel end."""
    across, up = YOKE * np.sin(phase), YOKE * np.cos(phase)
    axes.plot([-across, across], [-up, up], style, color=colour, lw=4 if style == "-" else 2, label=label)


def _teeth(axes: "Axes", row: PhaseRow) -> None:
    """A tick for each phase that the ends allow near the chosen one, and the paint mark as a dot."""
    for step, _ in row.neighbours:
        across, up = np.sin(step.phase), np.cos(step.phase)
        axes.plot([1.05 * across, 1.15 * across], [1.05 * up, 1.15 * up], color=INK, lw=1)
        axes.text(
            1.24 * across, 1.24 * up, f"{degrees(step.phase):.0f}", ha="center", va="center", fontsize=6, color=INK
        )
    axes.plot(0.55 * np.sin(row.base), 0.55 * np.cos(row.base), "o", color=INK, ms=5)


def _ripple(axes: "Axes", even: Evenness) -> None:
    """Speed of the box's input over the wheel's through one turn, as phased and with the yokes in line."""
    turn = np.linspace(0, 2 * np.pi, 361)
    axes.plot(
        np.degrees(turn), 100 * even.chain.speed(turn), color=SECOND, lw=2, label=f"as phased, {pct(even.ripple_pct)}"
    )
    in_line = type(even.chain)(even.chain.ways, np.zeros_like(even.chain.phases), even.chain.passing)
    said = f"yokes in line, {pct(even.in_line_pct)}"
    axes.plot(np.degrees(turn), 100 * in_line.speed(turn), ":", color=FAINT, lw=2, label=said)
    _plain(axes, "speed at the box, % of the wheel's")
    axes.set_xlabel("turn from the first yoke in its joint's plane, deg", color=FAINT)
    axes.set_xticks(range(0, 361, 90))
    axes.margins(y=0.25)
    axes.legend(loc="upper center", fontsize=7, frameon=False, labelcolor=INK, ncols=2)


def _plain(axes: "Axes", title: str) -> None:
    axes.set_facecolor(PAPER)
    axes.set_title(title, color=INK, fontsize=9, loc="left")
    axes.tick_params(colors=FAINT, labelsize=7)
    for side in axes.spines.values():
        side.set_color(FAINT)
