"""A section square to the column through the closest place: what is cut there, pedals pressed as there. mm.

Seen from the seat: x to 3 o'clock, y to 12 o'clock, origin on the column's axis. Dashed: moving parts at rest.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from fitcheck.confidence.results import Judged
from fitcheck.geometry.frames import Frame, Vector
from fitcheck.placement.column import ColumnAxis
from fitcheck.placement.scene import Kind
from fitcheck.report.jobsheet.checks import to_check
from fitcheck.report.paper.pen import DASHED, FAINT, Pen, Point
from fitcheck.report.pictures.cutting import met
from fitcheck.report.pictures.stage import Shell, Shown, shown
from fitcheck.report.tape import near
from fitcheck.verdict import Verdict

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

HIGH_MM, REACH_MM, KEY_MM = 104.0, 190.0, 48.0  # REACH_MM: shown above and below the axis
HOURS = {"12": (0, 1), "3": (1, 0), "6": (0, -1), "9": (-1, 0)}
FILLS = {Kind.UNIT: 0.78, Kind.BRACKET: 0.88, Kind.PEDAL: 0.6, Kind.LINKAGE: 0.6, Kind.BOOT: 0.92}
LEAST_MM2 = 1.0
EDGE_MM = 10.0  # what shows less than this inside the frame gets no number
BESIDE_MM = 15.0  # round the unit and the closest place
NUMBER_MM = 3.2  # from one number to the next


@dataclass(frozen=True)
class Cut:
    """What the plane cuts of one part: convex outlines, one a piece."""

    of: Shown
    outlines: tuple[Vector, ...]


def section_at(verdict: Verdict) -> tuple[Judged, Frame, float] | None:
    """The pair the section goes through, the column's frame and how far along it; None where nothing is near."""
    entries = to_check(verdict, 1)
    if not entries or entries[0].found.closest is None:
        return None
    frame = ColumnAxis(verdict.opened.job).column2car
    gap = entries[0].found.closest.gap
    along = float(frame.inverse.points((gap.on_a + gap.on_b) / 2)[2])
    return entries[0], frame, along


def cuts(verdict: Verdict, entry: Judged, frame: Frame, along: float) -> Iterator[Cut]:
    """Every part that the plane cuts, ghosts at rest too."""
    at = {} if entry.found.closest is None else entry.found.closest.at_travel
    for one in shown(verdict.scene.parts, at):
        outlines = tuple(line for shell in one.shells if (line := sliced(shell, frame, along)) is not None)
        if outlines:
            yield Cut(one, outlines)


def sliced(shell: Shell, frame: Frame, along: float) -> Vector | None:
    """Outline (n, 2), to 3 and to 12 o'clock, of a convex piece cut square to the column; None where it is not cut."""
    area = met(shell, frame, along, hull=True)
    return np.array(area.exterior.coords) if area.area > LEAST_MM2 else None


def section_drawing(pen: Pen, low: Point, wide: float, verdict: Verdict) -> None:
    """The section with the closest points joined, parts named beside it."""
    at = section_at(verdict)
    if at is None:
        return
    entry, frame, along = at
    size = wide - KEY_MM, HIGH_MM - 8
    found = list(cuts(verdict, entry, frame, along))
    closest = entry.found.closest
    assert closest is not None
    ends_mm = [frame.inverse.points(point)[2] for point in (closest.gap.on_a, closest.gap.on_b)]
    pair = [frame.inverse.points(point)[[1, 0]] for point in (closest.gap.on_a, closest.gap.on_b)]
    shrink = size[1] / (2 * _half_high([*_of_unit(found), *pair], size))
    reach = np.array(size) / 2 / shrink  # to 3 and to 12 o'clock
    middle = low[0] + size[0] / 2, low[1] + size[1] / 2
    corner, opposite = (low[0], low[1]), (low[0] + size[0], low[1] + size[1])

    def on(point: Vector) -> Point:
        return middle[0] + shrink * float(point[0]), middle[1] + shrink * float(point[1])

    said = f"Section square to the column, {near(along, verdict.opened.job.job.show)} from the hub seat, from the seat"
    if abs(ends_mm[0] - ends_mm[1]) > float(np.hypot(*(pair[0] - pair[1]))):
        said += "; the gap runs along the column, through the paper"
    pen.text((low[0], low[1] + HIGH_MM - 5), said, 8, bold=True)
    with pen.within(corner, opposite):
        for cut in sorted(found, key=_order):
            for line in cut.outlines:
                ghost = cut.of.ghost
                fill = None if ghost else FILLS.get(cut.of.part.kind, 1.0)
                pen.path([on(point) for point in line], width=0.3, grey=FAINT if ghost else 0.0,
                         dash=DASHED if ghost else None, fill=fill)  # fmt: skip
        ends = [on(point) for point in pair]
        pen.line(ends[0], ends[1], 0.8)
        for end in ends:
            pen.circle(end, 0.9, 0.3, fill=1.0)
    pen.box(corner, opposite, width=0.2)
    for hour, (right, up) in HOURS.items():
        spot = middle[0] + right * (size[0] / 2 - 3.5), middle[1] + up * (size[1] / 2 - 3.5) - 1.2
        pen.text(spot, hour, 9, bold=True, side="middle", backed=True)
    _key(pen, (low[0] + size[0] + 4, low[1] + size[1]), KEY_MM - 4, found, reach - EDGE_MM, on)


def _half_high(points: list[Vector], size: Point) -> float:
    """How far above and below the axis is shown: at least REACH_MM, and as far as these points (2,)."""
    reach = [np.abs(point) + BESIDE_MM for point in points]
    return max([REACH_MM, *(max(float(up), float(across) * size[1] / size[0]) for across, up in reach)])


def _of_unit(found: list[Cut]) -> Iterator[Vector]:
    """How far the unit goes to either side."""
    for cut in found:
        if cut.of.part.kind is Kind.UNIT and not cut.of.ghost:
            yield from (np.abs(line).max(axis=0) for line in cut.outlines)


def _on_it(cut: Cut, reach: Vector, column: "BaseGeometry") -> Vector:
    """A point on the largest of what is seen of a part inside the frame; off the column where it goes round that."""
    import shapely

    areas = shapely.union_all([shapely.Polygon(line) for line in cut.outlines])
    seen = areas.intersection(shapely.box(*-reach, *reach))
    open_ = seen if cut.of.part.kind is Kind.COLUMN else seen.difference(column)
    shape = seen if open_.is_empty else open_
    point = max(getattr(shape, "geoms", [shape]), key=lambda each: each.area).representative_point()
    return np.array([point.x, point.y])


def _key(pen: Pen, top: Point, room: float, found: list[Cut], reach: Vector, on: Callable[[Vector], Point]) -> None:
    """Numbers in the drawing, names beside it; of what lies inside the frame only."""
    import shapely

    y = top[1]
    inside = [cut for cut in found if not cut.of.ghost and _seen(cut, reach)]
    taken: list[Point] = []
    columns = [shapely.Polygon(line) for cut in inside if cut.of.part.kind is Kind.COLUMN for line in cut.outlines]
    column = shapely.union_all(columns)
    for number, cut in enumerate(inside, 1):
        x, height = spot = on(_on_it(cut, reach, column))
        while any(abs(x - a) < NUMBER_MM and abs(height - b) < NUMBER_MM for a, b in taken):
            x += NUMBER_MM
        taken.append((x, height))
        pen.line(spot, (x, height), 0.2)
        pen.text((x, height - 1), str(number), 6.5, bold=True, side="middle", backed=True)
        y = pen.lines((top[0], y), room, f"{number}  {cut.of.part.name}", 8, most=3)


def _order(cut: Cut) -> tuple[bool, bool]:
    """Obstacles first, the column last: it goes through the unit."""
    return cut.of.part.kind is not Kind.OBSTACLE, cut.of.part.kind is Kind.COLUMN


def _seen(cut: Cut, reach: Vector) -> bool:
    corners = np.vstack(cut.outlines)
    return bool((corners.max(axis=0) > -reach).all() and (corners.min(axis=0) < reach).all())
