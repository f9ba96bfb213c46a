"""The unit on the clock face, as seen from the seat and as seen lying under it. mm on paper.

Both are clock faces as one reads them; what the seat sees at 9 stands at 3 for whoever lies under the column.
"""

from math import pi

from fitcheck.job.model import Job
from fitcheck.placement.column import ColumnAxis
from fitcheck.placement.scene import Scene
from fitcheck.placement.unit import unit2column
from fitcheck.report.paper.pen import DASHED, FAINT, Pen, Point
from fitcheck.report.template.drawing import polar
from fitcheck.report.template.outline import FROM_WHEEL, silhouette

FILL = 0.82


def clock_picture(pen: Pen, centre: Point, radius: float, job: Job, scene: Scene, under: bool) -> None:
    """The clock face of that radius, hours round it, the unit's outline in it, and where the driver's door is."""
    way = -1.0 if under else 1.0
    for hour in range(1, 13):
        turn = hour * pi / 6
        _spoke(pen, centre, radius, turn, hour % 3 == 0)
        x, y = polar(radius + 4.0, turn)
        size = 13.0 if hour % 3 == 0 else 10.0
        pen.text((centre[0] + x, centre[1] + y - 0.13 * size), str(hour), size, bold=hour % 3 == 0, side="middle")
    pen.circle(centre, radius, 0.35)
    _unit(pen, centre, radius, job, scene, way)
    _door(pen, centre, radius, (job.job.drive == "left") != under)


def _spoke(pen: Pen, centre: Point, radius: float, turn: float, long: bool) -> None:
    (x0, y0), (x1, y1) = polar(radius - (2.6 if long else 1.4), turn), polar(radius, turn)
    pen.line((centre[0] + x0, centre[1] + y0), (centre[0] + x1, centre[1] + y1), 0.35)


def _unit(pen: Pen, centre: Point, radius: float, job: Job, scene: Scene, way: float) -> None:
    unit, at = scene.part("unit"), scene.setting
    jacket = job.column.jacket_od.mm / 2
    if unit is not None:
        car2column = (ColumnAxis(job).column2car @ unit2column(0.0, at.input_face_mm)).inverse
        edges = silhouette(unit, car2column, FROM_WHEEL)
        reach = max(max(abs(x), abs(y)) for edge in edges for x, y in edge.points)
        shrink = (radius - 3.0) / (reach * 1.08)
        for edge in edges:
            corners = [(centre[0] + way * shrink * x, centre[1] + shrink * y) for x, y in edge.points]
            pen.path(corners, width=0.4, fill=FILL)
        pen.circle(centre, shrink * jacket, 0.4, fill=1.0)
    x, y = polar(radius - 0.5, way * at.clock)
    pen.line(centre, (centre[0] + x, centre[1] + y), 0.25, dash=DASHED)


def _door(pen: Pen, centre: Point, radius: float, at_left: bool) -> None:
    """An arrow under the face, toward the driver's door."""
    side = -1.0 if at_left else 1.0
    y = centre[1] - radius - 9.5
    pen.arrow((centre[0] - side * 2, y), (centre[0] + side * 14, y), 0.5, 3.0)
    pen.text((centre[0] - side * 4, y - 1.2), "driver's door", 10, side="left" if at_left else "right", grey=FAINT)
