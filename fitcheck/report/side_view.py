"""The cut list as a dimensioned side view: the uncut stock with its marks, the column together again. PNG, PDF, SVG.

Drawn along the column in mm, wheel to the left; every dimension of a stock starts at its one end. Same plan, same
bytes.
"""

from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING, Any, Literal

from fitcheck.cuts import faces
from fitcheck.cuts.chain import Chain
from fitcheck.cuts.pieces import Piece
from fitcheck.cuts.place import along, cut_end
from fitcheck.cuts.plan import CutPlan
from fitcheck.errors import DrawingError
from fitcheck.job.lengths import inches_text
from fitcheck.job.model import Job
from fitcheck.placement.scene import Missing
from fitcheck.report.pictures.palette import BLUE, FAINT, INK, METAL, PANEL, PAPER, STONE, VERMILION

if TYPE_CHECKING:
    from matplotlib.axes import Axes

Kind = Literal["png", "pdf", "svg"]
KINDS: tuple[Kind, ...] = ("png", "pdf", "svg")
# No dates and no program version in the file: the same plan makes the same bytes.
_QUIET: dict[Kind, dict[str, Any]] = {
    "png": {"Software": None},
    "pdf": {"CreationDate": None, "Producer": None, "Creator": None},
    "svg": {"Date": None, "Creator": None},
}
_STEADY: Any = {"svg.hashsalt": "cut list", "font.family": "DejaVu Sans", "pdf.fonttype": 42}
_CLEAN = {"facecolor": PAPER, "edgecolor": "none", "pad": 1.0}
INCHES = (16.5, 11.7)
ROW = {"jacket": 250.0, "shaft": 85.0}
TOGETHER = -95.0
STEP = 24.0
UNIT_DIA_MM = 100.0


@dataclass(frozen=True)
class Dimension:
    """From `start` to `end` along the column (mm), its line at height `at`; thin lines carry its ends to `foot`."""

    start: float
    end: float
    at: float
    foot: float
    text: str


def side_view(job: Job, plan: CutPlan, about: str, kind: Kind) -> bytes:
    """The picture; `about` is the line that says which job, of what date. Raises DrawingError without matplotlib."""
    try:
        import matplotlib as mpl
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure
    except ImportError:
        raise DrawingError("a cut list is drawn with matplotlib; install it with: pip install matplotlib") from None
    with mpl.rc_context(_STEADY):
        figure = Figure(figsize=INCHES, facecolor=PAPER)
        FigureCanvasAgg(figure)
        axes = figure.add_axes((0.02, 0.03, 0.96, 0.88))
        figure.text(0.03, 0.955, f"{job.job.name}: where to cut", fontsize=17, color=INK, weight="bold")
        figure.text(0.03, 0.927, _under_title(plan, about), fontsize=10, color=FAINT)
        _draw(axes, job, plan)
        out = BytesIO()
        figure.savefig(out, format=kind, dpi=120, facecolor=PAPER, metadata=_QUIET[kind])
    return out.getvalue()


def kind_of(name: str) -> Kind:
    """Which kind of picture a file's name asks for; raises DrawingError for any other ending."""
    for kind in KINDS:
        if name.lower().endswith(f".{kind}"):
            return kind
    raise DrawingError(f"{name}: a side view is written as .png, .pdf or .svg")


def dimensions(job: Job, plan: CutPlan) -> list[Dimension]:
    """Every dimension of the picture, in the order drawn."""
    found = []
    for stock in ("jacket", "shaft"):
        found += _marks(stock, plan, ROW[stock] + half_height(job, stock))
    return found + _together(plan)


def half_height(job: Job, stock: str) -> float:
    """Half the height a stock is drawn with, mm."""
    dia = job.column.jacket_od if stock == "jacket" else job.column.shaft_od
    return (19.0 if dia is None else dia.mm) / 2


def _under_title(plan: CutPlan, about: str) -> str:
    lines = "Thick line: first cut. Dashed: finished end. Hatched: falls off."
    return f"{about} Cuts: {plan.result.value}. {lines} Measure again before cutting; a geometric aid, not an approval."


def _draw(axes: "Axes", job: Job, plan: CutPlan) -> None:
    axes.set_axis_off()
    axes.set_aspect("equal")
    for stock in ("jacket", "shaft"):
        _stock(axes, job, plan, stock)
    _assembly(axes, job, plan)
    for dimension in dimensions(job, plan):
        _dimension(axes, dimension)
    axes.autoscale_view()
    axes.margins(0.03)


def _stock(axes: "Axes", job: Job, plan: CutPlan, stock: str) -> None:
    """The uncut stock: kept pieces solid, waste hatched, marks as thin lines."""
    ends = faces.JACKET_TOP, faces.JACKET_END
    if stock == "shaft":
        ends = faces.SHAFT_TOP, faces.SHAFT_END
    start, end = (place_of(plan.chain, face) for face in ends)
    high, at = half_height(job, stock), ROW[stock]
    pieces = [piece for piece in plan.pieces if piece.spec.stock == stock]
    if start is None or end is None or not pieces:
        axes.text(0, at, f"{stock}: not drawn, its readings are missing", fontsize=11, color=INK)
        return
    axes.text(start, at - high - 18, f"{stock}, uncut", fontsize=11, color=INK, weight="bold")
    _bar(axes, start, end, at, high, PANEL, hatch="////")
    for piece in pieces:
        origin = along(plan.chain, piece.spec.origin).mm
        if plan.stop(piece):
            axes.text(origin, at, f"{piece.name}: do not cut", fontsize=11, color=VERMILION)
            continue
        tip = origin + piece.spec.way * piece.first_cut_mm
        outer = start if piece.spec.way > 0 else end
        _bar(axes, min(outer, tip), max(outer, tip), at, high, METAL)
        final = origin + piece.spec.way * piece.state.length_mm
        axes.plot([final, final], [at - high, at + high], color=INK, linewidth=0.8, linestyle=(0, (4, 2)))
        axes.plot([tip, tip], [at - high - 8, at + high + 8], color=VERMILION, linewidth=1.6)


def _assembly(axes: "Axes", job: Job, plan: CutPlan) -> None:
    unit_in, unit_out = (place_of(plan.chain, face) for face in (faces.INPUT_FACE, faces.OUTPUT_FACE))
    if unit_in is None or unit_out is None:
        return
    dia = UNIT_DIA_MM if job.unit.gear_body is None else job.unit.gear_body.dia.mm
    _bar(axes, unit_in, unit_out, TOGETHER, dia / 2, BLUE, alpha=0.25)
    axes.text((unit_in + unit_out) / 2, TOGETHER + dia / 2 + 8, "assist unit", ha="center", fontsize=11, color=INK)
    for piece in plan.pieces:
        origin, tip = along(plan.chain, piece.spec.origin).mm, cut_end(piece, plan.chain).mm
        colour = STONE if piece.spec.stock == "jacket" else METAL
        alpha = 0.55 if piece.spec.stock == "jacket" else 1.0
        high = half_height(job, piece.spec.stock)
        _bar(axes, min(origin, tip), max(origin, tip), TOGETHER, high, colour, alpha=alpha)
    axes.text(0, TOGETHER + 32, "hub seat", fontsize=10, color=INK, ha="center")
    sheet = place_of(plan.chain, faces.FIREWALL)
    if sheet is not None:
        axes.plot([sheet, sheet], [TOGETHER - 70, TOGETHER + 70], color=INK, linewidth=2.2)
        axes.text(sheet + 6, TOGETHER + 58, "firewall", fontsize=10, color=INK)


def _marks(stock: str, plan: CutPlan, foot: float) -> list[Dimension]:
    """First-cut marks of one stock from its one end, each on its own line."""
    found = []
    shown = [piece for piece in plan.pieces if piece.spec.stock == stock and not plan.stop(piece)]
    for row, piece in enumerate(shown):
        zero = along(plan.chain, piece.spec.mark_from).mm
        lengths = f"first {_both(piece.first_cut_mm)}, finished {_both(piece.state.length_mm)}"
        text = f"mark {_both(piece.mark_mm)}   {piece.name}: {lengths}"
        found.append(Dimension(zero, zero + piece.mark_mm, foot + 22 + row * STEP, foot, text))
    return found


def _together(plan: CutPlan) -> list[Dimension]:
    """The column put together: unit, lower ends, all from the hub seat."""
    found: list[Dimension] = []
    names = (
        (faces.INPUT_FACE, "unit input face"),
        (faces.OUTPUT_FACE, "unit output face"),
        (faces.JACKET_END, "jacket end"),
        (faces.SHAFT_END, "shaft end, as before"),
    )
    for face, name in names:
        place = place_of(plan.chain, face)
        if place is not None:
            at = TOGETHER - 86 - STEP * len(found)
            found.append(Dimension(0.0, place, at, TOGETHER - 10, f"{name} {_both(place)}"))
    return found


def _both(mm: float) -> str:
    return f"{mm:.1f} mm ({inches_text(mm)})"


def place_of(chain: Chain, face: str) -> float | None:
    """Where a face is, along from the hub seat; None where its readings are missing."""
    try:
        return along(chain, face).mm
    except Missing:
        return None


def _bar(
    axes: "Axes", start: float, end: float, at: float, high: float, colour: str, alpha: float = 1.0, hatch: str = ""
) -> None:
    from matplotlib.patches import Rectangle

    face: Any = (colour, alpha)
    axes.add_patch(
        Rectangle(
            (start, at - high), end - start, 2 * high, facecolor=face, edgecolor=INK, linewidth=0.8, hatch=hatch or None
        )
    )


def _dimension(axes: "Axes", one: Dimension) -> None:
    """A dimension line with arrows, its ends carried down to it, the figure on it."""
    for place in (one.start, one.end):
        axes.plot([place, place], [one.foot, one.at + (6 if one.at > one.foot else -6)], color=FAINT, linewidth=0.5)
    arrow = {"arrowstyle": "<->", "color": INK, "linewidth": 0.9, "shrinkA": 0, "shrinkB": 0}
    axes.annotate("", (one.end, one.at), (one.start, one.at), arrowprops=arrow)
    axes.text(one.start + 6, one.at + 3, one.text, fontsize=10, color=INK, va="bottom", bbox=_CLEAN)


def placed_pieces(plan: CutPlan) -> dict[str, tuple[float, float]]:
    """Where each piece lies in the column put together: upper and lower end along from the hub seat, mm."""
    return {piece.name: _ends(piece, plan.chain) for piece in plan.pieces}


def _ends(piece: Piece, chain: Chain) -> tuple[float, float]:
    ends = sorted((along(chain, piece.spec.origin).mm, cut_end(piece, chain).mm))
    return ends[0], ends[1]
