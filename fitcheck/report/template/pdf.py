"""Templates as a PDF in true size: rulers on every page, print scaling off, tiled with overlap where paper is small."""

from collections.abc import Callable, Sequence

from fitcheck.report.paper.fonts import high_mm, wrapped
from fitcheck.report.paper.pen import Pen
from fitcheck.report.paper.sheets import MARGIN_MM, Size, Stamp, document
from fitcheck.report.template.drawing import Panel
from fitcheck.report.template.placing import Area, drawn, head_mm, headed
from fitcheck.report.template.tiles import tiles

RULERS_MM, FOOT_MM = 18.0, 12.0
GAP_MM = 7.0


def template_pdf(panels: Sequence[Panel], size: Size, stamp: Stamp) -> bytes:
    """All panels, several to a page where they fit."""
    return document(size, stamp, [_page(parts, size, stamp) for parts in _laid_out(panels, size, stamp)], unscaled=True)


Part = Callable[[Pen], None]


def _page(parts: Sequence[Part], size: Size, stamp: Stamp) -> Part:
    def draw(pen: Pen) -> None:
        _, high = size.mm
        pen.lines((MARGIN_MM, high - 6), size.mm[0] - 2 * MARGIN_MM, _title(stamp), 10, bold=True, most=3)
        rulers(pen)
        for part in parts:
            part(pen)

    return draw


def _title(stamp: Stamp) -> str:
    return f"{stamp.warning}. {stamp.name}" if stamp.warning else stamp.name


def rulers(pen: Pen) -> None:
    """100 mm in fives and 4 in in eighths, with their figures."""
    left, mm_at, inch_at = MARGIN_MM, FOOT_MM + 10.5, FOOT_MM + 2.0
    pen.line((left, mm_at), (left + 100, mm_at), 0.25)
    for k in range(21):
        pen.line((left + 5 * k, mm_at), (left + 5 * k, mm_at + (3.0 if k % 2 == 0 else 1.8)), 0.2)
        if k % 4 == 0:
            pen.text((left + 5 * k, mm_at + 3.4), str(5 * k), 6, side="middle" if k else "left")
    pen.line((left, inch_at), (left + 101.6, inch_at), 0.25)
    for k in range(33):
        long = 3.0 if k % 8 == 0 else 2.2 if k % 4 == 0 else 1.4
        pen.line((left + 25.4 * k / 8, inch_at), (left + 25.4 * k / 8, inch_at + long), 0.2)
        if k % 8 == 0:
            pen.text((left + 25.4 * k / 8, inch_at + 3.4), str(k // 8), 6, side="middle" if k else "left")
    pen.text((left + 103, mm_at), "100 mm", 7)
    pen.text((left + 103, inch_at), "4 in", 7)
    pen.lines((left + 118, mm_at + 4), 72, "Print at 100 %, never fit to page. Lay a steel rule on both rulers: if "
              "either is off, nothing on this page is true.", 7, bold=True)  # fmt: skip


def _area(size: Size, stamp: Stamp) -> Area:
    wide, high = size.mm
    head = high_mm(10, len(wrapped(_title(stamp), 10, wide - 2 * MARGIN_MM, bold=True, most=3))) + 8
    return Area((MARGIN_MM, FOOT_MM + RULERS_MM), (wide - MARGIN_MM, high - head))


def _laid_out(panels: Sequence[Panel], size: Size, stamp: Stamp) -> list[list[Part]]:
    """Pages of parts, from the top down; what is larger than the room is tiled over pages of its own."""
    area = _area(size, stamp)
    pages: list[list[Part]] = []
    top = area.low[1]  # no page begun
    for panel in panels:
        wide, high = panel.size
        head = head_mm(panel, area)
        if wide > area.size[0] or head + high > area.size[1]:
            pages += [[tile] for tile in tiles(panel, area)]
            top = area.low[1]
            continue
        if not pages or top - head - high < area.low[1]:
            pages.append([])
            top = area.high[1]
        pages[-1].append(_whole(panel, area, top))
        top -= head + high + GAP_MM
    return pages


def _whole(panel: Panel, area: Area, top: float) -> Part:
    def draw(pen: Pen) -> None:
        headed(pen, panel, area, top)
        foot = top - head_mm(panel, area) - panel.size[1] + 1
        spare = max(0.0, (area.size[0] - panel.size[0]) / 2)
        origin = area.low[0] + spare + 1 - panel.low[0], foot - panel.low[1]
        drawn(pen, panel, origin)

    return draw
