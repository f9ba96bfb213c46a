"""One shaft's yokes on a matplotlib panel, seen from its wheel end: wheel-end yoke outside, rack-end yoke inside.

The near yoke is drawn larger, so two yokes in line do not hide each other; one is filled, the other hatched, for a
drawing without colour. Turns in rad, clockwise from upright; the radii are the panel's own.
"""

from dataclasses import dataclass
from textwrap import fill
from typing import TYPE_CHECKING, Any

import numpy as np

from fitcheck.report.pictures.palette import BLUE, FAINT, INK, PANEL, PAPER, VERMILION
from fitcheck.report.shaft_words import phase_words
from fitcheck.report.yokes import Yoke, yokes
from fitcheck.shaft.results import PhaseRow, ShaftChapter

if TYPE_CHECKING:
    from matplotlib.axes import Axes

EAR_DEG = 15.0  # half the width of a yoke's ear
WIDTH_OF_WORDS = 46  # characters


@dataclass(frozen=True)
class Ring:
    """Where a yoke is drawn: its ears from one radius to another, ticks, arrow and numbers outside of them."""

    low: float
    high: float
    look: dict[str, Any]

    @property
    def dot(self) -> float:
        return (self.low + self.high) / 2


OUTER = Ring(1.15, 1.4, {"facecolor": BLUE, "edgecolor": INK})
INNER = Ring(0.45, 0.7, {"facecolor": PANEL, "edgecolor": VERMILION, "hatch": "/////"})


def yoke_panel(axes: "Axes", found: ShaftChapter, row: PhaseRow) -> None:
    """The panel: paint mark, both yokes as set, how they stood at the mark, teeth counted, and what to do in words."""
    wheel, rack = yokes(found, row)
    axes.set(xlim=(-2.4, 2.4), ylim=(-3.35, 2.1), xticks=[], yticks=[])
    axes.set_aspect("equal")
    _shaft(axes)
    for yoke, ring in ((wheel, OUTER), (rack, INNER)):
        _yoke(axes, yoke, ring)
    if not row.any_phase:
        _best(axes, wheel.as_set + row.best)
    how: dict[str, Any] = {"ha": "center", "va": "top", "color": INK}
    moved = [f"{yoke.end} yoke: {yoke.words}" for yoke in (wheel, rack) if yoke.words]
    axes.text(0, -1.6, "\n".join(moved), fontsize=8.5, fontweight="bold", **how)
    words = fill(_said(found, row), WIDTH_OF_WORDS)
    axes.text(0, -1.72 - 0.22 * len(moved), words, fontsize=7.5, **how)


def _said(found: ShaftChapter, row: PhaseRow) -> str:
    words = phase_words(found, row)
    return words[0].upper() + words[1:]


def _shaft(axes: "Axes") -> None:
    """The shaft's end, and its paint mark as a line upward."""
    from matplotlib.patches import Circle

    axes.add_patch(Circle((0, 0), 0.3, facecolor=PAPER, edgecolor=INK, lw=1))
    for ring in (OUTER, INNER):
        axes.add_patch(Circle((0, 0), ring.dot, facecolor="none", edgecolor=FAINT, lw=0.6))
    axes.plot([0, 0], [0.05, 0.3], color=INK, lw=3.5, solid_capstyle="butt")
    axes.plot([0, 0], [0.3, 1.75], color=INK, lw=0.7, ls=(0, (6, 2)))
    axes.text(0, 1.92, "paint mark", ha="center", va="center", color=INK, fontsize=7)


def _yoke(axes: "Axes", yoke: Yoke, ring: Ring) -> None:
    if yoke.teeth:
        _ears(axes, yoke.at_mark, ring, {"facecolor": "none", "edgecolor": FAINT, "ls": "--"})
    _ears(axes, yoke.as_set, ring, ring.look)
    at = _spot(ring.dot, yoke.turned)
    axes.plot(*at, "o", color=INK, ms=6, mec=PAPER, mew=1.2, zorder=5)
    if yoke.teeth:
        _counted(axes, yoke, ring)


def _ears(axes: "Axes", turn: float, ring: Ring, look: dict[str, Any]) -> None:
    from matplotlib.patches import Wedge

    for side in (90.0, 270.0):
        middle = side - np.degrees(turn)
        axes.add_patch(
            Wedge((0, 0), ring.high, middle - EAR_DEG, middle + EAR_DEG, width=ring.high - ring.low, lw=1.1, **look)
        )


def _counted(axes: "Axes", yoke: Yoke, ring: Ring) -> None:
    """A tick and number for each tooth, and an arrow the way the yoke is moved."""
    for turn, number in yoke.counted:
        ends = np.array([_spot(ring.high + 0.03, turn), _spot(ring.high + 0.12, turn)])
        axes.plot(ends[:, 0], ends[:, 1], color=INK, lw=0.9)
        if number not in ("", "0"):
            axes.text(*_spot(ring.high + 0.3, turn), number, ha="center", va="center", fontsize=7, color=INK)
    along = np.linspace(0, yoke.turned, 61)
    arc = np.array([_spot(ring.high + 0.17, float(turn)) for turn in along])
    axes.plot(arc[:-1, 0], arc[:-1, 1], color=INK, lw=1.1)
    head = {"arrowstyle": "-|>", "color": INK, "lw": 1.1, "shrinkA": 0, "shrinkB": 0}
    axes.annotate("", arc[-1].tolist(), arc[-4].tolist(), arrowprops=head)


def _best(axes: "Axes", turn: float) -> None:
    for half in (0.0, np.pi):
        ends = np.array([_spot(INNER.low - 0.1, turn + half), _spot(INNER.high + 0.25, turn + half)])
        axes.plot(ends[:, 0], ends[:, 1], color=INK, lw=1.4, ls=":")


def key() -> list[Any]:
    """What the marks of every panel stand for, as handles of a legend."""
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    return [
        Patch(**OUTER.look, label="wheel-end yoke, near you"),
        Patch(**INNER.look, label="rack-end yoke, behind it"),
        Patch(facecolor="none", edgecolor=FAINT, ls="--", label="as the paint mark has it"),
        Line2D([], [], color=INK, ls="", marker="o", ms=5, label="dot of paint on the yoke"),
        Line2D([], [], color=INK, lw=1.4, ls=":", label="rack-end yoke at the best phase"),
    ]


def _spot(radius: float, turn: float) -> tuple[float, float]:
    return float(radius * np.sin(turn)), float(radius * np.cos(turn))
