"""What the page's map is given: at each node the pair that decides, its gap and closest points; floors of whole cells.

Clocks in degrees, places in mm from the hub seat; points in the page's frame.
"""

from math import degrees, floor
from typing import Any

from fitcheck.clearance.clocking_chart import ArcMap
from fitcheck.clearance.map import Decides, Margins
from fitcheck.confidence.clocking import ToLookAt
from fitcheck.geometry.gap import Gap
from fitcheck.placement.column import ColumnAxis
from fitcheck.report import words
from fitcheck.report.clocking_map import seam_deg
from fitcheck.report.page.model import CAR2PAGE, plain, travelled
from fitcheck.verdict import Verdict

LEAST_SAID_MM = 0.1  # a gap that is told as one


def chart_model(verdict: Verdict, look: ToLookAt) -> dict[str, Any]:
    """The map; `own` is where the job has the unit, `best` the best place, where not all of it hits."""
    at, frame = verdict.scene.setting, ColumnAxis(verdict.opened.job).column2car
    pairs: dict[str, int] = {}
    best = {} if look.best is None else {"best": [degrees(look.best.clock), look.best.place_mm]}
    seam = seam_deg(at.clock if look.best is None else look.best.clock)
    return best | {
        "seam": seam,
        "arcs": [_arc(arc, pairs, verdict) for arc in look.chart.arcs],
        "pairs": list(pairs),
        "own": [degrees(at.clock), at.input_face_mm],
        "point": plain(CAR2PAGE @ frame.origin),
        "open": words.open_still(verdict),
        "kept": kept(verdict),
        "axis": [float(x) for x in CAR2PAGE @ frame.rotation[:, 2]],
    }


def kept(verdict: Verdict) -> str:
    """What holds where the map shows room."""
    return "every gap that is known is kept" if words.not_judged(verdict.scene) else "every gap is kept"


def _arc(arc: ArcMap, pairs: dict[str, int], verdict: Verdict) -> dict[str, Any]:
    cells, nodes = arc.map.cells, arc.map.nodes
    clocks, places = cells.mm.shape
    show = verdict.opened.job.job.show
    by = [[_number(_there(cells, i, j), pairs, show) for j in range(places)] for i in range(clocks)]
    return {
        "edges": [degrees(clock) for clock in arc.edges],
        "clocks": [degrees(clock) for clock in arc.map.clocks],
        "places": [float(place) for place in arc.map.places_mm],
        "mm": [[floor(mm * 10) / 10 for mm in row] for row in cells.mm.tolist()],
        "most": [[bool(most) for most in row] for row in cells.at_least.tolist()],
        "hits": [[bool(meets) for meets in row] for row in cells.meets.tolist()],
        "by": by,
        "nodes": [[_node(nodes, i, j, verdict) for j in range(nodes.mm.shape[1])] for i in range(nodes.mm.shape[0])],
    }


def _there(of: Margins, clock: int, place: int) -> Decides | None:
    """The pair to name in a cell: one that meets, where one does."""
    return of.strikes(clock, place) or of.decides(clock, place)


def _number(decides: Decides | None, pairs: dict[str, int], show: words.Show) -> int:
    if decides is None:
        return -1
    need = words.need(decides.required_mm, show)
    said = f"{decides.a_piece} - {decides.b_piece}, required {need} ({decides.required_from})"
    return pairs.setdefault(said, len(pairs))


def _node(nodes: Margins, clock: int, place: int, verdict: Verdict) -> dict[str, Any]:
    """What is certified at one node over the whole travel, in words; at which travel and between which points."""
    found, show = nodes.nearest(clock, place), verdict.opened.job.job.show
    mm = float(nodes.mm[clock, place])
    if found is None:
        return {"said": f"Here {kept(verdict)}, with at least {words.room(mm, show)} to spare."}
    decides, gap = found
    said = {"said": _said(decides, gap, mm, bool(nodes.meets[clock, place]), verdict)}
    line = [travelled(point) for point in (gap.on_a, gap.on_b)]
    return said | {"at": {name: round(share, 5) for name, share in decides.at_travel.items()}, "line": line}


def _said(decides: Decides, gap: Gap, mm: float, meets: bool, verdict: Verdict) -> str:
    show = verdict.opened.job.job.show
    where = words.travel(decides.at_travel, verdict.scene, show) or "whatever the pedals do"
    pair = f"{decides.a_piece} - {decides.b_piece}, {where}"
    need = f"required {words.need(decides.required_mm, show)} ({decides.required_from})"
    if meets:
        depth = f"in by at least {words.room(gap.depth_mm, show)}" if gap.depth_mm >= 1 else "they touch"
        return f"Hits here: {pair}: {depth}; {need}. Something else may hit as well."
    gap_mm = mm + decides.required_mm
    apart = f"at least {words.room(gap_mm, show)}" if gap_mm >= LEAST_SAID_MM else "they may meet"
    end = f"kept, with {words.room(mm, show)} to spare" if mm >= 0 else f"not kept, {words.need(-mm, show)} short"
    return f"Nearest to its limit here: {pair}: {apart}; {need}: {end}."
