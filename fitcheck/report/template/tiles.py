"""A template larger than the paper, in tiles that overlap; a tile on which nothing would stand is not printed. mm.

Every point of a drawing belongs to one tile, the middle of an overlap being the border: what that tile holds none of,
its neighbours print in full. Tiles are counted from the top left; a small plan on each says where it belongs.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil
from typing import TYPE_CHECKING

from fitcheck.report.paper.fonts import high_mm
from fitcheck.report.paper.pen import DASHED, FAINT, Pen, Point
from fitcheck.report.template.drawing import Circle, Item, Panel, Words
from fitcheck.report.template.placing import NOTE, Area, drawn, head_mm, headed

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

OVERLAP_MM, CROSS_MM = 12.0, 4.0
PLAN_MM, PLAN_PAPER = 18.0, 0.9  # height of the small plan; grey of a tile that is not printed
Spot = tuple[int, int]  # column from the left, row from the foot


@dataclass(frozen=True)
class Tiling:
    """How a panel is cut up: the room a tile has, from one tile to the next, and the tiles that hold something."""

    panel: Panel
    room: Point
    step: Point
    counts: tuple[int, int]
    held: tuple[Spot, ...]

    @classmethod
    def of(cls, panel: Panel, room: Point) -> "Tiling":
        """The tiles of a panel in the order they are counted, top left first."""
        step = room[0] - OVERLAP_MM, room[1] - OVERLAP_MM
        counts = tuple(max(1, ceil((long - OVERLAP_MM) / each)) for long, each in zip(panel.size, step, strict=True))
        whole = cls(panel, room, step, (counts[0], counts[1]), ())
        spots = [(column, row) for row in reversed(range(counts[1])) for column in range(counts[0])]
        return cls(panel, room, step, whole.counts, tuple(spot for spot in spots if whole.holds_something(spot)))

    def low(self, at: Spot) -> Point:
        """A tile's lower left corner in the panel's frame."""
        return (self.panel.low[0] - 1 + at[0] * self.step[0], self.panel.low[1] - 1 + at[1] * self.step[1])

    def holds_something(self, at: Spot) -> bool:
        """Whether any line or word of the drawing lies on the part that is this tile's own."""
        from shapely import box

        (x, y), half = self.low(at), OVERLAP_MM / 2
        left, foot = x + (half if at[0] else 0.0), y + (half if at[1] else 0.0)
        right, top = x + self.step[0] + half, y + self.step[1] + half
        own = box(left, foot, right, top)
        return any(own.intersects(_line_of(item)) for item in self.panel.items)

    def crosses(self, at: Spot) -> list[Point]:
        """Middles of the overlaps with the neighbours that are printed, two on each edge, from the tile's corner."""
        half, found = OVERLAP_MM / 2, []
        for side in (-1, 1):
            if (at[0] + side, at[1]) in self.held:
                found += [(half + (self.step[0] if side > 0 else 0.0), share * self.step[1]) for share in (0.25, 0.75)]
            if (at[0], at[1] + side) in self.held:
                found += [(share * self.step[0], half + (self.step[1] if side > 0 else 0.0)) for share in (0.25, 0.75)]
        return found


def tiles(panel: Panel, area: Area) -> list[Callable[[Pen], None]]:
    """A page each."""
    plan_room = Area(area.low, (area.high[0] - 3 * PLAN_MM, area.high[1]))
    head = max(head_mm(panel, plan_room) + high_mm(NOTE, 2), PLAN_MM + 2)
    tiling = Tiling.of(panel, (area.size[0], area.size[1] - head))

    def page(at: Spot) -> Callable[[Pen], None]:
        def draw(pen: Pen) -> None:
            headed(pen, panel, plan_room, area.high[1])
            _plan(pen, area.high, tiling, at)
            _tile(pen, area.low, tiling, at)

        return draw

    return [page(at) for at in tiling.held]


def _tile(pen: Pen, low: Point, tiling: Tiling, at: Spot) -> None:
    high = low[0] + tiling.room[0], low[1] + tiling.room[1]
    corner = tiling.low(at)
    many = len(tiling.held)
    join = "; lay the crosses on those of the tiles beside it, glue, then cut" if many > 1 else ""
    pen.text((low[0], high[1] + 2), f"Tile {tiling.held.index(at) + 1} of {many}{join}", NOTE, bold=True)
    with pen.within(low, high):
        drawn(pen, tiling.panel, (low[0] - corner[0], low[1] - corner[1]), (low, high))
    pen.box(low, high, width=0.12, grey=FAINT, dash=DASHED)
    for across, up in tiling.crosses(at):
        x, y = low[0] + across, low[1] + up
        pen.line((x - CROSS_MM, y), (x + CROSS_MM, y), 0.2)
        pen.line((x, y - CROSS_MM), (x, y + CROSS_MM), 0.2)


def _plan(pen: Pen, corner: Point, tiling: Tiling, at: Spot) -> None:
    """All tiles small, this one framed, the drawing on them; grey: nothing there, not printed."""
    whole = [tiling.step[i] * tiling.counts[i] + OVERLAP_MM for i in (0, 1)]
    shrink = min(PLAN_MM / whole[1], 3 * PLAN_MM / whole[0] * 0.95)
    low = corner[0] - shrink * whole[0], corner[1] - PLAN_MM

    def on(point: Sequence[float]) -> Point:
        zero = tiling.low((0, 0))
        return low[0] + shrink * (point[0] - zero[0]), low[1] + shrink * (point[1] - zero[1])

    for row in range(tiling.counts[1]):
        for column in range(tiling.counts[0]):
            start = tiling.low((column, row))
            end = start[0] + tiling.step[0], start[1] + tiling.step[1]
            fill = None if (column, row) in tiling.held else PLAN_PAPER
            pen.box(on(start), on(end), width=0.15, grey=FAINT, fill=fill)
    for item in tiling.panel.items:
        if not isinstance(item, Words | Circle) and item.layer in ("CUT", "OUTLINE"):
            pen.path([on(point) for point in item.points], closed=getattr(item, "closed", False), width=0.15)
    for number, spot in enumerate(tiling.held, 1):
        start = tiling.low(spot)
        end = start[0] + tiling.step[0], start[1] + tiling.step[1]
        if spot == at:
            pen.box(on(start), on(end), width=0.7)
        x, y = on((start[0], end[1]))
        pen.text((x + 0.7, y - 2.7), str(number), 7, bold=spot == at, backed=True)


def _line_of(item: Item) -> "BaseGeometry":
    from shapely import LinearRing, LineString
    from shapely import Point as Place

    if isinstance(item, Words):
        return Place(item.at)
    if isinstance(item, Circle):
        return Place(item.centre).buffer(item.radius, quad_segs=90).exterior
    return LinearRing(item.points) if getattr(item, "closed", False) else LineString(item.points)
