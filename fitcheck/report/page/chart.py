"""What the page's map is given: certified floors of whole cells, what decides each, and how the unit turns and slides.

Clocks in degrees, places in mm from the hub seat; points in the page's frame.
"""

from math import degrees, floor
from typing import Any

from fitcheck.clearance.clocking_chart import ArcMap, Chart
from fitcheck.clearance.map import Decides
from fitcheck.placement.column import ColumnAxis
from fitcheck.report.page.model import CAR2PAGE, plain
from fitcheck.verdict import Verdict


def chart_model(verdict: Verdict, chart: Chart) -> dict[str, Any]:
    """The map; `own` is where the job has the unit."""
    at, frame = verdict.scene.setting, ColumnAxis(verdict.opened.job).column2car
    pairs: dict[str, int] = {}
    arcs = [_arc(arc, pairs) for arc in chart.arcs]
    return {
        "arcs": arcs,
        "pairs": list(pairs),
        "own": [degrees(at.clock), at.input_face_mm],
        "point": plain(CAR2PAGE @ frame.origin),
        "axis": [float(x) for x in CAR2PAGE @ frame.rotation[:, 2]],
    }


def _arc(arc: ArcMap, pairs: dict[str, int]) -> dict[str, Any]:
    cells = arc.map.cells
    clocks, places = cells.mm.shape
    by = [[_number(cells.decides(i, j), pairs) for j in range(places)] for i in range(clocks)]
    return {
        "edges": [degrees(clock) for clock in arc.edges],
        "places": [float(place) for place in arc.map.places_mm],
        "mm": [[floor(mm * 10) / 10 for mm in row] for row in cells.mm.tolist()],
        "most": [[bool(most) for most in row] for row in cells.at_least.tolist()],
        "hits": [[bool(meets) for meets in row] for row in cells.meets.tolist()],
        "by": by,
    }


def _number(decides: Decides | None, pairs: dict[str, int]) -> int:
    if decides is None:
        return -1
    said = f"{decides.a_piece} - {decides.b_piece}, required {decides.required_mm:g} mm ({decides.required_from})"
    return pairs.setdefault(said, len(pairs))
