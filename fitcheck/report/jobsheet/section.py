"""A section square to the column through the closest place: what is cut there, pedals pressed as there. mm.

Seen from the seat: x to 3 o'clock, y to 12 o'clock, origin on the column's axis. Dashed: moving parts at rest.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

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

HIGH_MM, REACH_MM, KEY_MM = 104.0, 190.0, 48.0  # REACH_MM: shown above and below the axis
HOURS = {"12": (0, 1), "3": (1, 0), "6": (0, -1), "9": (-1, 0)}
FILLS = {Kind.UNIT: 0.78, Kind.BRACKET: 0.88, Kind.PEDAL: 0.6, Kind.LINKAGE: 0.6, Kind.BOOT: 0.92}
LEAST_MM2 = 1.0
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
    shrink = (HIGH_MM - 8) / (2 * REACH_MM)
    size = wide - KEY_MM, HIGH_MM - 8
    reach = np.array(size) / 2 / shrink  # to 3 and to 12 o'clock
    middle = low[0] + size[0] / 2, low[1] + size[1] / 2
    corner, opposite = (low[0], low[1]), (low[0] + size[0], low[1] + size[1])

    def on(point: Vector) -> Point:
        return middle[0] + shrink * float(point[0]), middle[1] + shrink * float(point[1])

    said = f"Section square to the column, {near(along, verdict.opened.job.job.show)} from the hub seat, from the seat"
    pen.text((low[0], low[1] + HIGH_MM - 5), said, 8, bold=True)
    found = list(cuts(verdict, entry, frame, along))
    with pen.within(corner, opposite):
        for cut in sorted(found, key=_order):
            for line in cut.outlines:
                ghost = cut.of.ghost
                fill = None if ghost else FILLS.get(cut.of.part.kind, 1.0)
                pen.path([on(point) for point in line], width=0.3, grey=FAINT if ghost else 0.0,
                         dash=DASHED if ghost else None, fill=fill)  # fmt: skip
        closest = entry.found.closest
        assert closest is not None
        ends = [on(frame.inverse.points(point)[[1, 0]]) for point in (closest.gap.on_a, closest.gap.on_b)]
        pen.line(ends[0], ends[1], 0.8)
        for end in ends:
            pen.circle(end, 0.9, 0.3, fill=1.0)
    pen.box(corner, opposite, width=0.2)
    for hour, (right, up) in HOURS.items():
        spot = middle[0] + right * (size[0] / 2 - 3.5), middle[1] + up * (size[1] / 2 - 3.5) - 1.2
        pen.text(spot, hour, 9, bold=True, side="middle", backed=True)
    _key(pen, (low[0] + size[0] + 4, low[1] + size[1]), KEY_MM - 4, found, reach, on)


def _key(pen: Pen, top: Point, room: float, found: list[Cut], reach: Vector, on: Callable[[Vector], Point]) -> None:
    """Numbers in the drawing, names beside it; of what lies inside the frame only."""
    y = top[1]
    inside = [cut for cut in found if not cut.of.ghost and _seen(cut, reach)]
    taken: list[Point] = []
    for number, cut in enumerate(inside, 1):
        largest = max(cut.outlines, key=lambda line: float(np.ptp(line, axis=0).sum()))
        held = np.clip(largest, -reach, reach)
        middle = (held.max(axis=0) + held.min(axis=0)) / 2
        if cut.of.part.kind is Kind.UNIT:  # its middle is the column's
            middle[1] = held[:, 1].min() + 0.15 * np.ptp(held[:, 1])
        x, height = on(middle)
        while any(abs(x - a) < NUMBER_MM and abs(height - b) < NUMBER_MM for a, b in taken):
            height -= NUMBER_MM
        taken.append((x, height))
        pen.text((x, height - 1), str(number), 6.5, bold=True, side="middle", backed=True)
        y = pen.lines((top[0], y), room, f"{number}  {cut.of.part.name}", 8, most=3)


def _order(cut: Cut) -> tuple[bool, bool]:
    """Obstacles first, the column last: it goes through the unit."""
    return cut.of.part.kind is not Kind.OBSTACLE, cut.of.part.kind is Kind.COLUMN


def _seen(cut: Cut, reach: Vector) -> bool:
    corners = np.vstack(cut.outlines)
    return bool((corners.max(axis=0) > -reach).all() and (corners.min(axis=0) < reach).all())
