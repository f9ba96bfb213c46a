"""The firewall's plate and the bracket's plates in true size, as drawn on the sheet. mm.

The firewall is seen from the seat: x to the driver's right along the sheet, y up it, origin where the column's axis
passes. A bracket plate is seen on its measured face.
"""

from collections.abc import Iterator
from math import cos, hypot, pi, sin

from fitcheck.cuts.firewall import Opening
from fitcheck.geometry.frames import Vector
from fitcheck.job.lengths import Show
from fitcheck.job.model import Job
from fitcheck.job.sheet_metal import Firewall
from fitcheck.placement.plates import FlatPlate, bracket_plates
from fitcheck.report.cuts_words import both, opening_words
from fitcheck.report.tape import at_least, near
from fitcheck.report.template.drawing import (
    Circle,
    EllipseArc,
    Item,
    Layer,
    Line,
    Panel,
    Point,
    Polyline,
    Words,
    cross,
    polar,
)


def firewall_panel(firewall: Firewall, hole: Opening, show: Show) -> Panel:
    """Opening, what passes it, ring of holes, plate's edge, fold."""
    items: list[Item] = [*cross((0, 0), 8), *_oval("CUT", hole.major.mm / 2, hole.minor_mm / 2, _drawn(hole), hole)]
    passes = hole.minor_mm / 2 - hole.clearance_mm
    items += _oval("GUIDE", passes / cos(hole.tilt_rad), passes, _drawn(hole), hole)
    reach = hole.long_mm / 2
    if firewall.bolts is not None:
        items += _holes(hole, firewall.bolts.dia.mm / 2)
        items.append(Circle("GUIDE", (0, 0), firewall.bolts.circle.mm / 2))
        reach = max(reach, firewall.bolts.circle.mm / 2 + firewall.bolts.dia.mm / 2)
        if firewall.bolts.plate is not None:
            items.append(Circle("OUTLINE", (0, 0), firewall.bolts.plate.mm / 2))
            reach = max(reach, firewall.bolts.plate.mm / 2)
    items += [Line("WORDS", (0, reach + 3), (0, reach + 11)), Line("WORDS", (-1.2, reach + 8.5), (0, reach + 11))]
    items += [Line("WORDS", (1.2, reach + 8.5), (0, reach + 11)), Words((2.5, reach + 5), "up the sheet", 2.5)]
    items += [*_fold(firewall, hole, reach), *_named(hole, reach)]
    return Panel("Firewall: opening and holes, seen from the seat", tuple(_about(firewall, hole, show)), tuple(items))


def bracket_panels(job: Job) -> Iterator[Panel]:
    """Each flat plate of the bracket with its holes."""
    for plate in bracket_plates(job):
        yield _plate_panel(plate, job.job.show)


def _plate_panel(plate: FlatPlate, show: Show) -> Panel:
    items: list[Item] = [Polyline("CUT", tuple(map(_pair, plate.outline)), closed=True)]
    for centre, dia in plate.holes:
        items += [Circle("HOLES", _pair(centre), dia / 2), *cross(_pair(centre), dia / 2 + 3)]
    note = f"{both(plate.thick_mm, show)} thick. Seen on the face that was measured; the thickness goes away from you."
    return Panel(f"Bracket plate: {plate.name}", (note,), tuple(items))


def _pair(point: Vector) -> Point:
    return float(point[0]), float(point[1])


def _drawn(hole: Opening) -> float:
    """How far the sheet's thickness draws the opening out along its long axis."""
    return hole.long_mm - hole.major.mm


def _oval(layer: Layer, half_major: float, half_minor: float, drawn: float, hole: Opening) -> Iterator[Item]:
    """A true ellipse: two halves, moved apart along the long axis by the sheet's thickness, and joined."""
    way = sin(hole.turn_rad), cos(hole.turn_rad)  # the long axis, turned clockwise from up
    major, ratio = (half_major * way[0], half_major * way[1]), half_minor / half_major
    if drawn < 1e-9:
        yield EllipseArc(layer, (0, 0), major, ratio)
        return
    for side in (1, -1):
        centre = side * drawn / 2 * way[0], side * drawn / 2 * way[1]
        yield EllipseArc(layer, centre, (side * major[0], side * major[1]), ratio, -pi / 2, pi / 2)
        beside = side * half_minor * -way[1], side * half_minor * way[0]
        start = beside[0] - drawn / 2 * way[0], beside[1] - drawn / 2 * way[1]
        yield Line(layer, start, (start[0] + drawn * way[0], start[1] + drawn * way[1]))


def _holes(hole: Opening, radius: float) -> Iterator[Item]:
    for number, (up, right) in enumerate(hole.holes_mm, 1):
        yield Circle("HOLES", (right, up), radius)
        yield from cross((right, up), radius + 3)
        yield Words((right + radius + 1, up + radius + 1), str(number), 2.5)


def _named(hole: Opening, reach: float) -> Iterator[Item]:
    """Names the two lines from above the plate, to both sides of the arrow, where no word hides a line."""
    half, passes = hole.minor_mm / 2, hole.minor_mm / 2 - hole.clearance_mm
    at, side = max(27.0, reach - 34.0), 0.6
    yield Words((-6.0, reach + 5), "full line: cut here", 2.5, "right")
    yield Line(
        "WORDS", (-20.0, reach + 4), polar(_on_oval(half / cos(hole.tilt_rad), half, side + hole.turn_rad), -side)
    )
    yield Words((at, reach + 5), "dashed: what passes", 2.5)
    inner = _on_oval(passes / cos(hole.tilt_rad), passes, side - hole.turn_rad)
    yield Line("WORDS", (at + 6, reach + 4), polar(inner, side))


def _on_oval(long: float, short: float, turn: float) -> float:
    """How far an ellipse is from its centre, `turn` rad off its long axis."""
    return long * short / hypot(short * cos(turn), long * sin(turn))


def _fold(firewall: Firewall, hole: Opening, reach: float) -> Iterator[Item]:
    if firewall.fold is None:
        return
    at = firewall.fold.above.mm
    yield Line("GUIDE", (-reach, at), (reach, at))
    yield Words((-reach, at + 1.5), "fold", 2.5)
    for fold in hole.folded:
        half = fold.width_at_fold_mm / 2
        yield Line("FINISH", (-half, at), (half, at))
        yield Line("FINISH", (-half, at + fold.beyond_fold_mm), (half, at + fold.beyond_fold_mm))


def _about(firewall: Firewall, hole: Opening, show: Show) -> Iterator[str]:
    yield (
        f"Full line: opening, {opening_words(hole, show)}. Dashed inside: what passes; between them "
        f"{hole.clearance_mm:g} mm all round, square to the column, for seal and edge guard."
    )
    if firewall.bolts is not None:
        pitch = firewall.bolts.circle.mm * _half_step(firewall.bolts.count)
        yield (
            f"{firewall.bolts.count} holes of {at_least(firewall.bolts.dia.mm, show)} on a circle of "
            f"{near(firewall.bolts.circle.mm, show)}; from hole to hole {near(pitch, show)}."
        )
    yield "Lay the cross where the column's axis passes the sheet; try it on the car before you cut."
    for fold in hole.folded:
        yield (
            f"Over the fold the full line does not hold: there the opening is {at_least(fold.width_at_fold_mm, show)} "
            f"wide and reaches {at_least(fold.beyond_fold_mm, show)} beyond it along the sheet (dashed)."
        )


def _half_step(count: int) -> float:
    """Chord between neighbours on a circle of diameter 1."""
    return sin(pi / count)
