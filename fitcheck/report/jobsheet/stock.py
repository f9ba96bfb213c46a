"""Jacket and shaft before the saw, with the marks lettered and the waste hatched. mm on paper; wheel to the left."""

from fitcheck.cuts import faces
from fitcheck.cuts.chain import Chain
from fitcheck.cuts.pieces import Piece
from fitcheck.cuts.place import along
from fitcheck.cuts.plan import CutPlan
from fitcheck.errors import Missing
from fitcheck.report.paper.pen import DASHED, Pen, Point

ENDS = {"jacket": (faces.JACKET_TOP, faces.JACKET_END), "shaft": (faces.SHAFT_TOP, faces.SHAFT_END)}
KEPT = 0.85


def stock_bars(pen: Pen, low: Point, wide: float, plan: CutPlan, high: float = 7.0) -> float:
    """Jacket above, shaft below it, from `low` up; the height they took."""
    spans = {stock: span for stock in ENDS if (span := _span(plan.chain, stock)) is not None}
    if not spans:
        return 0.0
    start, end = min(a for a, _ in spans.values()), max(b for _, b in spans.values())
    shrink = (wide - 22) / (end - start)
    y = low[1]
    for stock in ("shaft", "jacket"):
        if stock not in spans:
            continue
        pen.text((low[0], y + high / 2 - 1.5), stock, 12)
        tall = high if stock == "jacket" else 0.6 * high
        _bar(pen, (low[0] + 18 - shrink * start, y + (high - tall) / 2), tall, shrink, stock, plan, spans[stock])
        y += high + 8.5
    return y - low[1]


def _bar(
    pen: Pen, zero: Point, tall: float, shrink: float, stock: str, plan: CutPlan, span: tuple[float, float]
) -> None:
    def at(mm: float) -> float:
        return zero[0] + shrink * mm

    foot, top = zero[1], zero[1] + tall
    pieces = [
        (letter, piece)
        for letter, piece in zip("ABCD", plan.planned, strict=False)
        if isinstance(piece, Piece) and piece.spec.stock == stock
    ]
    stopped = any(plan.stop(piece) for _, piece in pieces) or not pieces
    if not stopped:
        pen.hatch((at(span[0]), foot), (at(span[1]), top))
    for letter, piece in pieces if not stopped else ():
        origin, now = along(plan.chain, piece.spec.origin).mm, piece.state.now
        tip = origin + piece.spec.way * (piece.first_cut_mm if now is None else now.mm)
        outer = span[0] if piece.spec.way > 0 else span[1]
        pen.box((at(min(outer, tip)), foot), (at(max(outer, tip)), top), width=0.3, fill=KEPT)
        final = at(origin + piece.spec.way * piece.state.length_mm)
        pen.line((final, foot), (final, top), 0.3, dash=DASHED)
        pen.line((at(tip), foot - 2.2), (at(tip), top + 2.2), 0.9)
        pen.text((at(tip), top + 3.0), letter, 12, bold=True, side="middle")
    pen.box((at(span[0]), foot), (at(span[1]), top), width=0.4)
    if stopped:
        pen.text(
            ((at(span[0]) + at(span[1])) / 2, foot + tall / 2 - 1.6), "DO NOT CUT", 12, True, "middle", backed=True
        )


def _span(chain: Chain, stock: str) -> tuple[float, float] | None:
    try:
        start, end = (along(chain, face).mm for face in ENDS[stock])
    except Missing:
        return None
    return start, end
