"""The desk's drawings: the dimensioned side view of the cut list, and the shaft's line. mm on paper."""

from collections.abc import Callable

from fitcheck.cuts import faces
from fitcheck.cuts.place import along, cut_end
from fitcheck.cuts.plan import CutPlan
from fitcheck.job.model import Job
from fitcheck.report.beside import quarter
from fitcheck.report.jobsheet.stock import KEPT
from fitcheck.report.paper.fonts import high_mm, wrapped
from fitcheck.report.paper.pen import DASHED, FAINT, Pen, Point, Side
from fitcheck.report.shaft_words import deg
from fitcheck.report.side_view import ROW, TOGETHER, UNIT_DIA_MM, dimensions, half_height, place_of
from fitcheck.shaft.line import Line
from fitcheck.shaft.results import Bend, ShaftChapter

SIDE_HIGH_MM, LINE_HIGH_MM = 112.0, 62.0
ABOVE = 44.0  # over the highest dimension of the side view, in its own mm
SMALL = 7.0
Spot = Callable[[float, float], Point]


def side_drawing(pen: Pen, low: Point, wide: float, job: Job, plan: CutPlan) -> None:
    """Stocks with their marks above, the column together again below; every dimension of a stock from its one end.

    Along the column to one scale, across it to a smaller one: the page is wide, and nothing is measured across.
    """
    found = dimensions(job, plan)
    spots = [end for one in found for end in (one.start, one.end)] or [0.0, 1.0]
    ends = min(*spots, -40.0), max(spots)
    bottom = min([one.at for one in found], default=0.0) - 12
    top = max([one.at for one in found], default=ROW["jacket"]) + ABOVE
    top = max(top, ROW["jacket"] + half_height(job, "jacket") + ABOVE)
    along_scale, across_scale = (wide - 4) / (ends[1] - ends[0]), SIDE_HIGH_MM / (top - bottom)

    def at(x: float, y: float) -> Point:
        return low[0] + 2 + along_scale * (x - ends[0]), low[1] + across_scale * (y - bottom)

    for stock in ("jacket", "shaft"):
        _stock(pen, at, job, plan, stock)
    _together(pen, at, job, plan)
    for one in found:
        for x in (one.start, one.end):
            pen.line(at(x, one.foot), at(x, one.at + (6 if one.at > one.foot else -6)), 0.1, FAINT)
        middle = (one.start + one.end) / 2
        pen.arrow(at(middle, one.at), at(one.end, one.at), 0.15, 1.6)
        pen.arrow(at(middle, one.at), at(one.start, one.at), 0.15, 1.6)
    for one in found:
        back = one.end < one.start
        x, y = at(one.start + (-8 if back else 8), one.at)
        for row, said in enumerate(reversed(one.text.split("\n"))):
            spot = x, y + 0.6 + row * high_mm(SMALL)
            pen.text(spot, said, SMALL, side="right" if back else "left", backed=True)


def _stock(pen: Pen, at: Spot, job: Job, plan: CutPlan, stock: str) -> None:
    ends = (faces.JACKET_TOP, faces.JACKET_END) if stock == "jacket" else (faces.SHAFT_TOP, faces.SHAFT_END)
    start, end = (place_of(plan.chain, face) for face in ends)
    high, middle = half_height(job, stock), ROW[stock]
    pieces = [piece for piece in plan.pieces if piece.spec.stock == stock]
    if start is None or end is None or not pieces:
        pen.text(at(0, middle), f"{stock}: not drawn, its readings are missing", SMALL + 1)
        return
    corner, opposite = at(start, middle - high), at(end, middle + high)
    stops = [piece.name for piece in pieces if plan.stop(piece)]
    if not stops:
        pen.hatch(corner, opposite, 1.6)
    for piece in pieces if not stops else ():
        origin, now = along(plan.chain, piece.spec.origin).mm, piece.state.now
        long = piece.first_cut_mm if now is None else now.mm
        tip, outer = origin + piece.spec.way * long, start if piece.spec.way > 0 else end
        pen.box(at(min(outer, tip), middle - high), at(max(outer, tip), middle + high), width=0.2, fill=KEPT)
        final = origin + piece.spec.way * piece.state.length_mm
        pen.line(at(final, middle - high), at(final, middle + high), 0.2, dash=DASHED)
        pen.line(at(tip, middle - high - 8), at(tip, middle + high + 8), 0.5)
    pen.box(corner, opposite, width=0.25)
    cut = any(piece.state.now is not None for piece in pieces)
    named = f"{stock}, as it was before the saw" if cut else f"{stock}, uncut"
    said = named + (f": do not cut {' and '.join(stops)}" if stops else "")
    x, y = at(start, middle - high)
    pen.text((x, y - 3.4), said, SMALL + 1, bold=True)


def _together(pen: Pen, at: Spot, job: Job, plan: CutPlan) -> None:
    """The pieces in the unit, the hub seat and the firewall."""
    unit_in, unit_out = (place_of(plan.chain, face) for face in (faces.INPUT_FACE, faces.OUTPUT_FACE))
    if unit_in is None or unit_out is None:
        return
    half = (UNIT_DIA_MM if job.unit.gear_body is None else job.unit.gear_body.dia.mm) / 2
    pen.box(at(unit_in, TOGETHER - half), at(unit_out, TOGETHER + half), width=0.2, fill=0.95)
    for piece in () if plan.holds else plan.pieces:
        origin, tip = along(plan.chain, piece.spec.origin).mm, cut_end(piece, plan.chain).mm
        high, dash = half_height(job, piece.spec.stock), DASHED if piece.spec.stock == "shaft" else None
        low_end, high_end = min(origin, tip), max(origin, tip)
        pen.box(at(low_end, TOGETHER - high), at(high_end, TOGETHER + high), width=0.25, dash=dash)
    x, y = at((unit_in + unit_out) / 2, TOGETHER + half)
    pen.text((x, y + 1), "assist unit", SMALL + 1, side="middle")
    x, y = at(0, TOGETHER + 32)
    pen.text((x, y), "hub seat", SMALL, side="middle")
    sheet = place_of(plan.chain, faces.FIREWALL)
    if sheet is not None:
        pen.line(at(sheet, TOGETHER - 70), at(sheet, TOGETHER + 60), 0.6)
        x, y = at(sheet, TOGETHER + 60)
        pen.text((x, y + 1), "firewall", SMALL, side="middle")


def line_drawing(pen: Pen, low: Point, wide: float, found: ShaftChapter, line: Line) -> None:
    """Side view and plan of the shaft's line, true angles beside the joints, forward to the left."""
    stubs = line.centres[0] - 80 * line.ways[0], line.centres[-1] + 80 * line.ways[-1]
    points = [stubs[0].tolist(), *line.centres.tolist(), stubs[1].tolist()]
    half = wide / 2
    for column, (axis, title) in enumerate(
        ((2, "from the driver's left, up is up"), (1, "plan, driver's right is up"))
    ):
        left = low[0] + column * half
        xs, ys = [p[0] for p in points], [p[axis] for p in points]
        shrink = min((half - 48) / max(max(xs) - min(xs), 1.0), (LINE_HIGH_MM - 28) / max(max(ys) - min(ys), 1.0))
        spots = [
            (left + 24 + shrink * (x - min(xs)), low[1] + 11 + shrink * (y - min(ys)))
            for x, y in zip(xs, ys, strict=True)
        ]
        pen.text((left, low[1] + LINE_HIGH_MM - 4), title, SMALL + 1, bold=True)
        pen.path(spots, closed=False, width=0.7)
        for i, (row, spot) in enumerate(zip(found.joints, spots[1:-1], strict=True)):
            pen.circle(spot, 1.5, 0.3, fill=1.0)
            said = deg(row.bend.angle) if isinstance(row.bend, Bend) else "not known"
            right, high = quarter(spots, i + 1)
            side: Side = "left" if right > 0 else "right"
            x, y = spot[0] + 2.6 * right, spot[1] + (4.6 if high > 0 else -4.2)
            (name,) = wrapped(row.joint.name, SMALL, left + half - 4 - x if right > 0 else x - left, most=1)
            pen.text((x, y), name, SMALL, side=side, backed=True)
            pen.text((x, y - 3.0), f"true angle {said}", SMALL, side=side, backed=True)
