"""Templates as a PDF in true size: rulers on every page, print scaling off, tiled with overlap where paper is small."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil

from fitcheck.report.paper.fonts import MM_PER_PT, high_mm, wrapped
from fitcheck.report.paper.pen import DASHED, FAINT, Pen, Point
from fitcheck.report.paper.sheets import MARGIN_MM, Size, Stamp, document
from fitcheck.report.template.drawing import Circle, Item, Layer, Line, Panel, Words

OVERLAP_MM = 12.0
RULERS_MM, FOOT_MM = 17.0, 12.0
TITLE, NOTE, GAP_MM = 11.0, 8.0, 7.0
LINES: dict[Layer, tuple[float, float, Point | None]] = {  # width, grey, dashes
    "CUT": (0.5, 0.0, None),
    "FINISH": (0.3, 0.0, DASHED),
    "WASTE": (0.12, 0.5, None),
    "CLOCK": (0.2, 0.0, None),
    "HOLES": (0.35, 0.0, None),
    "OUTLINE": (0.3, 0.0, None),
    "GUIDE": (0.15, 0.4, (1.5, 1.0)),
    "WORDS": (0.25, 0.0, None),
}
CAP = 0.729  # of DejaVu Sans: height of a capital, in sizes


@dataclass(frozen=True)
class Area:
    """The room for templates on a page."""

    low: Point
    high: Point

    @property
    def size(self) -> Point:
        """Its width and height."""
        return self.high[0] - self.low[0], self.high[1] - self.low[1]


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
    """100 mm in fives and 4 in in eighths."""
    left, mm_at, inch_at = MARGIN_MM, FOOT_MM + 10.5, FOOT_MM + 3.5
    pen.line((left, mm_at), (left + 100, mm_at), 0.25)
    for k in range(21):
        pen.line((left + 5 * k, mm_at), (left + 5 * k, mm_at + (3.0 if k % 2 == 0 else 1.8)), 0.2)
    pen.line((left, inch_at), (left + 101.6, inch_at), 0.25)
    for k in range(33):
        long = 3.0 if k % 8 == 0 else 2.2 if k % 4 == 0 else 1.4
        pen.line((left + 25.4 * k / 8, inch_at), (left + 25.4 * k / 8, inch_at + long), 0.2)
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
        wide, high = _drawing_size(panel)
        head = _head_mm(panel, area)
        if wide > area.size[0] or head + high > area.size[1]:
            pages += [[tile] for tile in _tiles(panel, area)]
            top = area.low[1]
            continue
        if not pages or top - head - high < area.low[1]:
            pages.append([])
            top = area.high[1]
        pages[-1].append(_whole(panel, area, top))
        top -= head + high + GAP_MM
    return pages


def _drawing_size(panel: Panel) -> Point:
    return panel.high[0] - panel.low[0] + 2, panel.high[1] - panel.low[1] + 2


def _head_mm(panel: Panel, area: Area) -> float:
    lines = sum(len(wrapped(note, NOTE, area.size[0])) for note in panel.notes)
    return high_mm(TITLE, len(wrapped(panel.title, TITLE, area.size[0], bold=True))) + high_mm(NOTE, lines) + 2


def _headed(pen: Pen, panel: Panel, area: Area, top: float) -> None:
    y = pen.lines((area.low[0], top), area.size[0], panel.title, TITLE, bold=True)
    for note in panel.notes:
        y = pen.lines((area.low[0], y), area.size[0], note, NOTE)


def _whole(panel: Panel, area: Area, top: float) -> Part:
    def draw(pen: Pen) -> None:
        _headed(pen, panel, area, top)
        foot = top - _head_mm(panel, area) - _drawing_size(panel)[1] + 1
        spare = max(0.0, (area.size[0] - _drawing_size(panel)[0]) / 2)
        origin = area.low[0] + spare + 1 - panel.low[0], foot - panel.low[1]
        _drawn(pen, panel, origin)

    return draw


def _tiles(panel: Panel, area: Area) -> list[Part]:
    """The panel cut into tiles that overlap; crosses in the overlap come to lie on each other."""
    head = _head_mm(panel, area) + high_mm(NOTE, 2)
    room = area.size[0], area.size[1] - head
    step = room[0] - OVERLAP_MM, room[1] - OVERLAP_MM
    wide, high = _drawing_size(panel)
    counts = (max(1, ceil((wide - OVERLAP_MM) / step[0])), max(1, ceil((high - OVERLAP_MM) / step[1])))
    return [
        _tile(panel, area, room, step, (column, row), counts)
        for row in reversed(range(counts[1]))
        for column in range(counts[0])
    ]


def _tile(panel: Panel, area: Area, room: Point, step: Point, at: tuple[int, int], counts: tuple[int, int]) -> Part:
    low, high = area.low, (area.low[0] + room[0], area.low[1] + room[1])
    origin = low[0] + 1 - panel.low[0] - at[0] * step[0], low[1] + 1 - panel.low[1] - at[1] * step[1]

    def draw(pen: Pen) -> None:
        _headed(pen, panel, area, area.high[1])
        name = f"Tile {_tile_name(at)} of {counts[0]} x {counts[1]}"
        join = "lay the crosses on those of the neighbours, glue, then cut"
        pen.text((low[0], high[1] + 2), f"{name}: {join}", NOTE, bold=True)
        with pen.within(low, high):
            _drawn(pen, panel, origin, (low, high))
        pen.box(low, high, width=0.12, grey=FAINT, dash=DASHED)
        for cross in _crosses(area, step, at, counts):
            pen.line((cross[0] - 4, cross[1]), (cross[0] + 4, cross[1]), 0.2)
            pen.line((cross[0], cross[1] - 4), (cross[0], cross[1] + 4), 0.2)

    return draw


def _tile_name(at: tuple[int, int]) -> str:
    """A1 is the lower left; letters go up, numbers to the right."""
    return f"{chr(65 + at[1])}{at[0] + 1}"


def _crosses(area: Area, step: Point, at: tuple[int, int], counts: tuple[int, int]) -> list[Point]:
    """Middles of the overlaps with the neighbours, two on each shared edge."""
    found: list[Point] = []
    half, (x0, y0) = OVERLAP_MM / 2, area.low
    for side in ([-1] if at[0] > 0 else []) + ([1] if at[0] < counts[0] - 1 else []):
        x = x0 + half + (step[0] if side > 0 else 0.0)
        found += [(x, y0 + share * step[1]) for share in (0.25, 0.75)]
    for side in ([-1] if at[1] > 0 else []) + ([1] if at[1] < counts[1] - 1 else []):
        y = y0 + half + (step[1] if side > 0 else 0.0)
        found += [(x0 + share * step[0], y) for share in (0.25, 0.75)]
    return found


def _drawn(pen: Pen, panel: Panel, origin: Point, tile: tuple[Point, Point] | None = None) -> None:
    """The drawing with its words on top; of a tile only the words that begin on it."""
    for item in sorted(panel.items, key=lambda item: isinstance(item, Words)):
        if tile is None or not isinstance(item, Words) or _begins_on(item, origin, tile):
            _draw(pen, item, origin)


def _begins_on(words: Words, origin: Point, tile: tuple[Point, Point]) -> bool:
    x, y = words.at[0] + origin[0], words.at[1] + origin[1]
    return tile[0][0] <= x <= tile[1][0] and tile[0][1] <= y <= tile[1][1]


def _draw(pen: Pen, item: Item, origin: Point) -> None:
    width, grey, dash = LINES[item.layer]
    if isinstance(item, Words):
        at = item.at[0] + origin[0], item.at[1] + origin[1]
        pen.text(at, item.text, item.high / CAP / MM_PER_PT, side=item.side, angle=item.angle, backed=True)
    elif isinstance(item, Circle):
        pen.circle((item.centre[0] + origin[0], item.centre[1] + origin[1]), item.radius, width, grey, dash)
    elif isinstance(item, Line):
        start, end = ((x + origin[0], y + origin[1]) for x, y in item.points)
        pen.line(start, end, width, grey, dash)
    else:
        moved = [(x + origin[0], y + origin[1]) for x, y in item.points]
        pen.path(moved, getattr(item, "closed", False), width, grey, dash)
