"""The cut list as a dimensioned side view: the stock with its marks, the column together again. PNG, PDF, SVG.

Drawn along the column in mm, wheel to the left; every dimension of a stock starts at its one end. Nothing is drawn as
cut or fitted while no cut may be made. Same plan, same bytes.
"""

from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING, Any, Literal

from fitcheck.cuts import faces
from fitcheck.cuts.chain import Chain
from fitcheck.cuts.pieces import Piece
from fitcheck.cuts.place import along, cut_end
from fitcheck.cuts.plan import CutPlan
from fitcheck.errors import DrawingError, Missing
from fitcheck.job.model import Job
from fitcheck.report.cuts_words import both, finished, place_of_mark, told
from fitcheck.report.pictures.palette import BLUE, FAINT, INK, METAL, PANEL, PAPER, STONE, VERMILION
from fitcheck.report.side_view_marks import bar, beside_stock, dimension_line
from fitcheck.report.tape import at_least, near
from fitcheck.report.words import Show

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
_STEADY: Any = {"svg.hashsalt": "cut list", "font.family": "DejaVu Sans", "pdf.fonttype": 42, "hatch.linewidth": 0.4}
INCHES = (16.5, 11.7)
ROW = {"jacket": 330.0, "shaft": 95.0}
TOGETHER = -130.0
STEP, TWO_LINES_STEP = 26.0, 46.0  # from one dimension line to the next
UNIT_DIA_MM = 100.0
WORDY_MM = 130.0  # a piece shorter than this has no room for its name on one line
TWO_LINES_MM = 18.0  # half the height of two lines in a bar


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
        axes = figure.add_axes((0.02, 0.03, 0.96, 0.86))
        figure.text(0.03, 0.955, f"{job.job.name}: where to cut", fontsize=17, color=INK, weight="bold")
        figure.text(0.03, 0.93, f"{about} Cuts: {told(plan)}.", fontsize=11, color=INK)
        colour = VERMILION if plan.holds else FAINT
        figure.text(0.03, 0.908, _under_title(plan), fontsize=10, color=colour)
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
        found += _marks(stock, plan, ROW[stock] + half_height(job, stock), job.job.show)
    return found + _together(plan, job.job.show)


def half_height(job: Job, stock: str) -> float:
    """Half the height a stock is drawn with, mm."""
    dia = job.column.jacket_od if stock == "jacket" else job.column.shaft_od
    return (19.0 if dia is None else dia.mm) / 2


def _under_title(plan: CutPlan) -> str:
    if plan.holds:
        return "NO CUT YET: no mark is drawn before what the cut list names is settled."
    return (
        "Thick line: first cut, the saw on its hatched side. Dashed: finished end. Hatched: falls off. Measure again "
        "before cutting; a geometric aid, not an approval."
    )


def _draw(axes: "Axes", job: Job, plan: CutPlan) -> None:
    axes.set_axis_off()
    axes.set_aspect("equal")
    for stock in ("jacket", "shaft"):
        _stock(axes, job, plan, stock)
    _assembly(axes, job, plan)
    for dimension in dimensions(job, plan):
        dimension_line(axes, dimension.start, dimension.end, dimension.at, dimension.foot, dimension.text)
    axes.autoscale_view()
    axes.margins(0.03)


def _stock(axes: "Axes", job: Job, plan: CutPlan, stock: str) -> None:
    """The stock: kept pieces solid, waste hatched, marks as thin lines; whole and plain while no cut may be made."""
    ends = faces.JACKET_TOP, faces.JACKET_END
    if stock == "shaft":
        ends = faces.SHAFT_TOP, faces.SHAFT_END
    start, end = (place_of(plan.chain, face) for face in ends)
    high, at = half_height(job, stock), ROW[stock]
    pieces = [piece for piece in plan.pieces if piece.spec.stock == stock]
    if start is None or end is None or not pieces:
        axes.text(0, at, f"{stock}: not drawn, its readings are missing", fontsize=11, color=INK)
        return
    show = job.job.show
    done = any(piece.state.now is not None for piece in pieces)
    named = f"{stock}, as it was before the saw" if done else f"{stock}, uncut"
    stopped = ": DO NOT CUT YET" if any(plan.stop(piece) for piece in pieces) else ""
    axes.text(start, at - high - 62, named + stopped, fontsize=11, color=VERMILION if stopped else INK, weight="bold")
    held = bool(plan.holds) or any(plan.stop(piece) for piece in pieces)
    bar(axes, start, end, at, high, METAL if held else PANEL, hatch="" if held else "///")
    for piece in pieces if not held else ():
        _piece(axes, plan, piece, (start, end), at, high)
    for piece in pieces:
        if piece.state.now is not None:
            _as_read(axes, plan, piece, at, high, show)
    beside_stock(axes, job, plan, stock, at, high)


def _piece(axes: "Axes", plan: CutPlan, piece: Piece, ends: tuple[float, float], at: float, high: float) -> None:
    """What is kept up to the first cut, or up to where it was cut; the saw's side of the mark."""
    way = piece.spec.way
    origin = along(plan.chain, piece.spec.origin).mm
    now = piece.state.now
    tip = origin + way * (piece.first_cut_mm if now is None else now.mm)
    outer = ends[0] if way > 0 else ends[1]
    bar(axes, min(outer, tip), max(outer, tip), at, high, METAL)
    short = abs(tip - outer) <= WORDY_MM
    room = not short or high > TWO_LINES_MM
    words = f"KEEP:\n{piece.name}" if short and room else f"KEEP: {piece.name}"
    axes.text((outer + tip) / 2, at if room else at - high - 26, words, fontsize=9 if short else 11, color=INK,
              ha="center", va="center")  # fmt: skip
    if not piece.state.at_its_end:
        final = origin + way * piece.state.length_mm
        axes.plot([final, final], [at - high, at + high], color=INK, linewidth=0.8, linestyle=(0, (4, 2)))
    if now is None:
        axes.plot([tip, tip], [at - high - 8, at + high + 8], color=VERMILION, linewidth=1.6)
        aligned = "left" if way > 0 else "right"
        axes.text(tip + way * 4, at - high - 6, "saw", fontsize=10, color=VERMILION, ha=aligned, va="top")


def _as_read(axes: "Axes", plan: CutPlan, piece: Piece, at: float, high: float, show: Show) -> None:
    """A piece that was cut: where it ends now, and that length."""
    assert piece.state.now is not None
    origin = along(plan.chain, piece.spec.origin).mm
    tip = origin + piece.spec.way * piece.state.now.mm
    axes.plot([tip, tip], [at - high - 6, at + high + 6], color=INK, linewidth=1.6)
    words = f"{piece.name}: cut, reads {both(piece.state.now.mm, show)}"
    aligned = "right" if piece.spec.way > 0 else "left"
    axes.text(tip, at + high + 9, words, fontsize=10, color=INK, ha=aligned)


def _assembly(axes: "Axes", job: Job, plan: CutPlan) -> None:
    """The column together again; while no cut may be made only the unit and what stays."""
    unit_in, unit_out = (place_of(plan.chain, face) for face in (faces.INPUT_FACE, faces.OUTPUT_FACE))
    if unit_in is None or unit_out is None:
        return
    dia = UNIT_DIA_MM if job.unit.gear_body is None else job.unit.gear_body.dia.mm
    bar(axes, unit_in, unit_out, TOGETHER, dia / 2, BLUE, alpha=0.25)
    axes.text((unit_in + unit_out) / 2, TOGETHER + dia / 2 + 8, "assist unit", ha="center", fontsize=11, color=INK)
    if plan.holds:
        axes.text(0, TOGETHER, "not put together before that is settled", fontsize=11, color=VERMILION, va="center")
    for piece in () if plan.holds else plan.pieces:
        origin, tip = along(plan.chain, piece.spec.origin).mm, cut_end(piece, plan.chain).mm
        colour = STONE if piece.spec.stock == "jacket" else METAL
        alpha = 0.55 if piece.spec.stock == "jacket" else 1.0
        high = half_height(job, piece.spec.stock)
        bar(axes, min(origin, tip), max(origin, tip), TOGETHER, high, colour, alpha=alpha)
    axes.text(0, TOGETHER + 36, "hub seat", fontsize=10, color=INK, ha="center")
    sheet = place_of(plan.chain, faces.FIREWALL)
    if sheet is not None:
        axes.plot([sheet, sheet], [TOGETHER - 70, TOGETHER + 70], color=INK, linewidth=2.2)
        axes.text(sheet + 6, TOGETHER + 58, "firewall", fontsize=10, color=INK)


def _marks(stock: str, plan: CutPlan, foot: float, show: Show) -> list[Dimension]:
    """First-cut marks of one stock from its one end, each on its own line; none for a cut that is made."""
    found = []
    shown = [
        piece for piece in plan.pieces if piece.spec.stock == stock and not plan.stop(piece) and piece.state.now is None
    ]
    for row, piece in enumerate(shown):
        gone = plan.its_mark_is_gone(piece)
        zero = along(plan.chain, piece.spec.origin if gone else piece.spec.mark_from).mm
        far = zero + (piece.spec.way * piece.first_cut_mm if gone else piece.mark_mm)
        lengths = f"first {at_least(piece.first_cut_mm, show)}, finished {finished(piece, show)}"
        text = f"{piece.name}: mark {place_of_mark(piece, plan, show)}\n{lengths}"
        if gone:
            text = f"{piece.name}: mark {place_of_mark(piece, plan, show)}\nfinished {finished(piece, show)}"
        found.append(Dimension(zero, far, foot + STEP + row * TWO_LINES_STEP, foot, text))
    return found


def _together(plan: CutPlan, show: Show) -> list[Dimension]:
    """The column put together: unit, lower ends, all from the hub seat."""
    found: list[Dimension] = []
    names = (
        (faces.INPUT_FACE, "unit input face"),
        (faces.OUTPUT_FACE, "unit output face"),
        (faces.JACKET_END, "jacket end, as before"),
        (faces.SHAFT_END, "shaft end, as before"),
    )
    for face, name in names:
        place = place_of(plan.chain, face)
        if place is not None:
            at = TOGETHER - 86 - STEP * len(found)
            found.append(Dimension(0.0, place, at, TOGETHER - 10, f"{name} {near(place, show)}"))
    return found


def place_of(chain: Chain, face: str) -> float | None:
    """Where a face is, along from the hub seat; None where its readings are missing."""
    try:
        return along(chain, face).mm
    except Missing:
        return None
