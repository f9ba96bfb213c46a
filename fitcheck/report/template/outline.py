"""The unit's outline in true size, to cut from card: seen from the wheel end, and from the side. mm.

From the wheel end, as the driver sees it with the motor turned straight up: x to the right, y to the motor's far end.
From the side: x down the column, from the input face.
"""

from collections.abc import Iterator, Sequence

import numpy as np

from fitcheck.geometry.frames import Frame, Vector
from fitcheck.job.angles import clock_text
from fitcheck.job.model import Job
from fitcheck.placement.column import ColumnAxis
from fitcheck.placement.scene import Part, Scene
from fitcheck.placement.unit import unit2column
from fitcheck.report.template.drawing import Circle, Line, Panel, Point, Polyline, Words, cross, polar

FROM_WHEEL, FROM_SIDE = np.array([[0.0, 1.0, 0.0], [1.0, 0.0, 0.0]]), np.array([[0.0, 0.0, 1.0], [1.0, 0.0, 0.0]])


def unit_panels(job: Job, scene: Scene) -> Iterator[Panel]:
    """Two views of the unit; none where it could not be placed."""
    unit = scene.part("unit")
    if unit is None:
        return
    car2unit = (ColumnAxis(job).column2car @ unit2column(scene.setting.clock, scene.setting.input_face_mm)).inverse
    jacket, clock = job.column.jacket_od.mm, scene.setting.clock
    face = silhouette(unit, car2unit, FROM_WHEEL)
    reach = jacket / 2 + 12
    twelve = (Line("CLOCK", (0, 0), polar(reach, -clock)), Words(polar(reach + 4, -clock), "12", 3.0, "middle"))
    yield Panel(
        "Unit seen from the wheel end, motor up",
        (
            f"Cut from card, push it on the jacket: with the motor at {clock_text(clock)} the line marked 12 points to "
            "12 o'clock. The outline is the simplified solids', round parts up to 0.1 mm large; it is no casting.",
        ),
        (*face, Circle("CUT", (0, 0), jacket / 2), *cross((0, 0), 6), *twelve),
    )
    side = silhouette(unit, car2unit, FROM_SIDE)
    low, high = _ends(side)
    axis = (
        Line("GUIDE", (low - 4, 0), (high + 4, 0)),
        Words((low + 4, 1.5), "column axis; the wheel is to the left", 2.2),
    )
    yield Panel(
        "Unit seen from the side, motor up",
        ("The left edge of the drawing is nearest the wheel; the input face is marked.",),
        (*side, *axis, Line("CLOCK", (0, -jacket / 2), (0, jacket / 2)), Words((1.5, 8), "input face", 2.2)),
    )


def silhouette(part: Part, car2part: Frame, view: Vector) -> tuple[Polyline, ...]:
    """Outer edges of all pieces together, as seen along the view."""
    import shapely

    hulls = [
        shapely.MultiPoint(car2part.points(piece.vertices) @ view.T).convex_hull
        for phase in part.phases
        for piece in phase.pieces
    ]
    shape = shapely.union_all(hulls)
    edges = [polygon.exterior for polygon in getattr(shape, "geoms", [shape])]
    return tuple(Polyline("OUTLINE", _corners(list(edge.coords)[:-1]), closed=True) for edge in edges)


def _corners(coordinates: Sequence[Sequence[float]]) -> tuple[Point, ...]:
    return tuple((float(x), float(y)) for x, y in coordinates)


def _ends(items: Sequence[Polyline]) -> tuple[float, float]:
    across = [x for item in items for x, _ in item.points]
    return min(across), max(across)
