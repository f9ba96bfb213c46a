"""A template's drawing on a page in true size: its head, its lines by layer, its words on top. mm on paper."""

from dataclasses import dataclass

from fitcheck.report.paper.fonts import MM_PER_PT, high_mm, wrapped
from fitcheck.report.paper.pen import DASHED, Pen, Point
from fitcheck.report.template.drawing import Circle, Item, Layer, Line, Panel, Words

TITLE, NOTE = 11.0, 8.0
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


def head_mm(panel: Panel, area: Area) -> float:
    """How high the title and the notes are."""
    lines = sum(len(wrapped(note, NOTE, area.size[0])) for note in panel.notes)
    return high_mm(TITLE, len(wrapped(panel.title, TITLE, area.size[0], bold=True))) + high_mm(NOTE, lines) + 2


def headed(pen: Pen, panel: Panel, area: Area, top: float) -> None:
    """Title and notes from `top` down."""
    y = pen.lines((area.low[0], top), area.size[0], panel.title, TITLE, bold=True)
    for note in panel.notes:
        y = pen.lines((area.low[0], y), area.size[0], note, NOTE)


def drawn(pen: Pen, panel: Panel, origin: Point, tile: tuple[Point, Point] | None = None) -> None:
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
