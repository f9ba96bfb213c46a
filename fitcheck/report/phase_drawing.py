"""The shaft drawn: side and plan view with true angles, each shaft's yokes seen from its wheel end, ripple over a turn.

Side view: forward to the left, up upward; plan: forward to the left, the driver's right upward. Only `report` draws;
matplotlib is imported here when a drawing is made. Same chapter, same bytes.
"""

import io
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from fitcheck.errors import DrawingError
from fitcheck.geometry.frames import Vector
from fitcheck.limits import NotKnown
from fitcheck.report.beside import quarter
from fitcheck.report.phase_panel import key, yoke_panel
from fitcheck.report.pictures.palette import BLUE, FAINT, INK, PAPER, VERMILION
from fitcheck.report.shaft_text import headline
from fitcheck.report.shaft_words import deg, pct
from fitcheck.report.text import result_line
from fitcheck.shaft.line import Line
from fitcheck.shaft.results import Bend, Evenness, ShaftChapter
from fitcheck.verdict import Verdict

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Format = Literal["png", "svg", "pdf"]
STUB_MM = 80.0
MM_PER = {"mm": 1.0, "in": 25.4}
PAGE_IN = (11.0, 8.5)
FILLED = 0.58  # of a view by the line itself; the rest is for words
AID = "A geometric aid, not an approval. Measure again before cutting."
UNDATED: dict[Format, dict[str, Any]] = {
    "png": {"Software": None},
    "svg": {"Date": None, "Creator": None},
    "pdf": {"CreationDate": None, "Creator": None, "Producer": None},
}


def drawings(verdict: Verdict, path: Path) -> Iterator[tuple[Path, ShaftChapter, str]]:
    """What to draw, where to write it, the result at its head: the job's own shaft, and three joints if proposed."""
    assert verdict.shaft is not None  # asked only with one
    yield path, verdict.shaft, result_line(verdict)
    other = verdict.shaft.proposal
    if isinstance(other, ShaftChapter) and not isinstance(other.line, NotKnown):
        said = headline(other, verdict.proposal_gaps)
        yield path.with_stem(f"{path.stem}-three-joints"), other, f"PROPOSED, three joints and a bearing. {said}"


def shaft_drawing(found: ShaftChapter, title: str, result: str, form: Format = "png") -> bytes:
    """The drawing as bytes, `title` and the `result` in words at its head; DrawingError where there is no line to draw.

    DrawingError where matplotlib is missing, too.
    """
    if isinstance(found.line, NotKnown):
        raise DrawingError(f"nothing to draw yet: measure {found.line.measure} (key: {', '.join(found.line.keys)})")
    try:
        from matplotlib import rc_context
        from matplotlib.figure import Figure
    except ImportError as error:
        raise DrawingError("no drawing here: matplotlib is missing; install it with: pip install matplotlib") from error
    with rc_context(
        {"svg.hashsalt": "fitcheck", "font.family": "DejaVu Sans", "font.size": 9, "pdf.compression": 9,
         "hatch.linewidth": 0.7}
    ):  # fmt: skip
        figure = Figure(figsize=PAGE_IN, facecolor=PAPER)
        _head(figure, found, title, result)
        _draw(figure, found, found.line)
        out = io.BytesIO()
        figure.savefig(out, format=form, dpi=120, facecolor=PAPER, metadata=UNDATED[form])
    return out.getvalue()


def _head(figure: "Figure", found: ShaftChapter, title: str, result: str) -> None:
    figure.text(0.02, 0.965, title, color=INK, fontsize=12)
    figure.text(0.02, 0.938, result, color=INK, fontsize=11, weight="bold")
    figure.text(0.02, 0.012, f"Datum: {found.setup.job.job.datum}. {AID}", color=INK, fontsize=8)


def _draw(figure: "Figure", found: ShaftChapter, line: Line) -> None:
    shafts = [] if isinstance(found.phases, NotKnown) else list(found.phases)
    how: Any = {"left": 0.06, "right": 0.98, "bottom": 0.125, "top": 0.895, "hspace": 0.33, "wspace": 0.9}
    grid = figure.add_gridspec(2, 6, height_ratios=(1, 1.3), **how)
    _view(figure.add_subplot(grid[0, :3]), found, line, 2, "from the driver's left side")
    _view(figure.add_subplot(grid[0, 3:]), found, line, 1, "in plan, driver's right upward")
    if shafts:
        where: Any = {"loc": "lower left", "bbox_to_anchor": (0.012, 0.03)}
        figure.legend(handles=key(), ncols=5, fontsize=8, frameon=False, labelcolor=INK, **where)
    wide = 2 if len(shafts) > 1 else 3
    for i, row in enumerate(shafts):
        axes = figure.add_subplot(grid[1, wide * i : wide * (i + 1)])
        _plain(axes, f"{row.piece}, seen from the wheel end")
        yoke_panel(axes, found, row)
    if not isinstance(found.evenness, NotKnown):
        _ripple(figure.add_subplot(grid[1, 4:] if len(shafts) > 1 else grid[1, 3:]), found.evenness)


def _view(axes: "Axes", found: ShaftChapter, line: Line, up: int, title: str) -> None:
    """The line seen square to forward and one other direction, with the true angles written beside the joints."""
    unit = found.setup.job.job.show
    ends = [line.centres[0] - STUB_MM * line.ways[0], *line.centres, line.centres[-1] + STUB_MM * line.ways[-1]]
    points = np.array(ends) / MM_PER[unit]
    axes.plot(points[:, 0], points[:, up], color=INK, lw=2)
    axes.plot(0, 0, "+", color=INK, ms=9)
    _label(axes, "datum", (0.0, 0.0), (5, -11), "left")
    for i, (row, centre) in enumerate(zip(found.joints, points[1:-1], strict=True)):
        said = "not known" if isinstance(row.bend, NotKnown) else f"true angle {deg(row.bend.angle)}"
        over = isinstance(row.bend, Bend) and row.bend.grade.value == "no"
        axes.plot(centre[0], centre[up], "X" if over else "o", color=VERMILION if over else BLUE, ms=9 if over else 8)
        said += ", TOO STEEP" if over else ""
        off, side = _beside(points[:, (0, up)], i + 1)
        _label(axes, f"{row.joint.name}\n{said}", (centre[0], centre[up]), off, side)
    if found.bearing is not None:
        at = found.bearing / MM_PER[unit]
        axes.plot(at[0], at[up], "s", color=INK, ms=8, mfc=PAPER)
        _label(axes, "support bearing", (at[0], at[up]), (9, -14), "left")
    _plain(axes, title)
    _frame(axes, points[:, (0, up)])
    said = {"in": "inches", "mm": "mm"}[unit]
    axes.set_xlabel(f"{said} behind the datum", color=FAINT)
    axes.set_ylabel(f"{said} above the datum" if up == 2 else f"{said} right of the datum", color=FAINT)


def _frame(axes: "Axes", points: Vector) -> None:
    """Limits with room for the words about the line, equal both ways, for the panel as wide and high as it is."""
    box, (across, high) = axes.get_position(), PAGE_IN
    ratio = box.width * across / (box.height * high)
    span, middle = np.ptp(points, axis=0), (points.min(axis=0) + points.max(axis=0)) / 2
    tall = max(span[1] / FILLED, span[0] / FILLED / ratio)
    half = np.array([tall * ratio, tall]) / 2
    axes.set(xlim=(middle[0] - half[0], middle[0] + half[0]), ylim=(middle[1] - half[1], middle[1] + half[1]))
    axes.set_aspect("equal")


def _beside(points: Vector, at: int) -> tuple[tuple[int, int], Literal["left", "right"]]:
    """Where a joint's words go, in points of type from it, and which side of theirs is there."""
    right, high = quarter(points.tolist(), at)
    above = 16 if at == 1 else 7
    return (9 * right, above if high > 0 else -28), "left" if right > 0 else "right"


def _label(
    axes: "Axes", words: str, at: tuple[float, float], off: tuple[int, int], side: Literal["left", "right"]
) -> None:
    patch = {"facecolor": PAPER, "edgecolor": "none", "pad": 0.6}
    axes.annotate(words, at, off, textcoords="offset points", color=INK, ha=side, fontsize=8, bbox=patch)


def _ripple(axes: "Axes", even: Evenness) -> None:
    """Speed of the box's input over the wheel's through one turn, as phased and with the yokes in line."""
    turn = np.linspace(0, 2 * np.pi, 361)
    axes.plot(
        np.degrees(turn),
        100 * even.chain.speed(turn),
        color=VERMILION,
        lw=2,
        label=f"as phased, {pct(even.ripple_pct)}",
    )
    in_line = type(even.chain)(even.chain.ways, np.zeros_like(even.chain.phases), even.chain.passing)
    said = f"yokes in line, {pct(even.in_line_pct)}"
    axes.plot(np.degrees(turn), 100 * in_line.speed(turn), ":", color=FAINT, lw=2, label=said)
    _plain(axes, "speed at the box, % of the wheel's")
    axes.set_xlabel("turn from the first yoke in its joint's plane, deg", color=FAINT, fontsize=8)
    axes.set_xticks(range(0, 361, 90))
    axes.margins(y=0.25)
    axes.legend(loc="upper center", fontsize=7, frameon=False, labelcolor=INK, ncols=2)


def _plain(axes: "Axes", title: str) -> None:
    axes.set_facecolor(PAPER)
    axes.set_title(title, color=INK, fontsize=9, loc="left")
    axes.tick_params(colors=FAINT, labelsize=7)
    for side in axes.spines.values():
        side.set_color(FAINT)
