"""What stands beside a stock in the side view: zones, clamp, what must stay; its bars and dimension lines. mm."""

from typing import TYPE_CHECKING, Any

from fitcheck.cuts import faces
from fitcheck.cuts.place import along
from fitcheck.cuts.plan import CutPlan
from fitcheck.job.model import Job
from fitcheck.report.pictures.palette import FAINT, INK, ORANGE, PAPER, STONE

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_CLEAN = {"facecolor": PAPER, "edgecolor": "none", "pad": 1.0}
LINE = 19.0  # height of a line of small words, mm of the drawing


def beside_stock(axes: "Axes", job: Job, plan: CutPlan, stock: str, at: float, high: float) -> None:
    """Below the stock, each on a line of its own where the one before is not clear: from, to and name."""
    taken: list[float] = []
    for start, end, name, colour in sorted(_stretches(job, plan, stock)):
        row = next((i for i, last in enumerate(taken) if start > last + 8), len(taken))
        width = max(end, start + 5.4 * len(name))
        taken[row : row + 1] = [width]
        low = at - high - 8 - LINE * row
        bar(axes, start, max(end, start + 2), low, 2.5, colour)
        axes.text(start, low - 4, name, fontsize=8.5, color=INK, va="top")


def _stretches(job: Job, plan: CutPlan, stock: str) -> list[tuple[float, float, str, str]]:
    cuts = job.cuts
    found: list[tuple[float, float, str, str]] = []
    for i, zone in enumerate([] if cuts is None else cuts.zones):
        if zone.on == stock:
            start, end = (along(plan.chain, face).mm for face in faces.zone_faces(i))
            found.append((start, end, f"{zone.name}: no {' or '.join(zone.forbids)}", ORANGE))
    for i, kept in enumerate([] if cuts is None else cuts.kept):
        if kept.on == stock:
            place = along(plan.chain, faces.kept_face(i)).mm
            found.append((place, place, f"{kept.name} stays", INK))
    if stock == "jacket" and job.bracket is not None and job.bracket.clamp is not None:
        start, end = (along(plan.chain, face).mm for face in (faces.CLAMP_TOP, faces.CLAMP_END))
        found.append((start, end, "bracket clamp", STONE))
    return found


def bar(
    axes: "Axes", start: float, end: float, at: float, high: float, colour: str, alpha: float = 1.0, hatch: str = ""
) -> None:
    """A bar along the column, `high` to each side of the height `at`."""
    from matplotlib.patches import Rectangle

    face: Any = (colour, alpha)
    axes.add_patch(
        Rectangle(
            (start, at - high), end - start, 2 * high, facecolor=face, edgecolor=INK, linewidth=0.8, hatch=hatch or None
        )
    )


def dimension_line(axes: "Axes", start: float, end: float, at: float, foot: float, text: str) -> None:
    """A dimension line with arrows, its ends carried down to it, the figure on it from its start, over the stock."""
    for place in (start, end):
        axes.plot([place, place], [foot, at + (6 if at > foot else -6)], color=FAINT, linewidth=0.5)
    arrow = {"arrowstyle": "<->", "color": INK, "linewidth": 0.9, "shrinkA": 0, "shrinkB": 0}
    axes.annotate("", (end, at), (start, at), arrowprops=arrow)
    side, off = ("left", 6) if end >= start else ("right", -6)
    axes.text(start + off, at + 3, text, fontsize=10, color=INK, ha=side, va="bottom", bbox=_CLEAN)
