"""The search over clock and place as one JSON object. Degrees clockwise from 12, mm from the hub seat; floors down."""

from typing import Any

import numpy as np

from fitcheck.clearance.clocking_chart import ArcMap
from fitcheck.clearance.clocking_help import Change
from fitcheck.clearance.clocking_windows import Box, Region
from fitcheck.confidence.clocking import ClockingChapter, Tried, Window
from fitcheck.confidence.clocking_judged import Judgement, missing
from fitcheck.confidence.results import Judged, Result
from fitcheck.geometry.frames import Vector
from fitcheck.job.angles import clock_text, degrees
from fitcheck.job.opening import OpenJob
from fitcheck.placement.column import round_the_jacket
from fitcheck.report.clocking_map import shown, sure_of
from fitcheck.report.clocking_text import not_searched
from fitcheck.report.clocking_words import inward
from fitcheck.report.document import SCHEMA
from fitcheck.report.gap_document import down, near, up
from fitcheck.report.words import CAUTIONS


def clocking_document(opened: OpenJob, chapter: ClockingChapter) -> dict[str, Any]:
    """Head and search."""
    head = opened.job.job
    about = {"name": head.name, "file": opened.file, "digest": opened.digest}
    return {
        "schema": SCHEMA,
        "job": about | ({} if head.date is None else {"date": head.date}),
        "clocking": _chapter(chapter),
        "not_yet": not_searched(chapter),
        "remarks": list(chapter.scene.remarks),
        "cautions": list(CAUTIONS),
    }


def _chapter(chapter: ClockingChapter) -> dict[str, Any]:
    there = chapter.allowed
    found: dict[str, Any] = {
        "result": _result(chapter),
        "allowed": {
            "clocks": [_arc(arc) for arc in chapter.chart.arcs],
            "along_from_mm": near(there.low_mm),
            "along_to_mm": near(there.high_mm),
            "assumed": list(there.assumed),
        },
        "best" if chapter.windows else "least_bad": _judgement(chapter.best, chapter) | _legs(chapter.legs[0]),
        "now": _judgement(chapter.now, chapter),
        "windows": [_window(window, chapter) for window in chapter.windows],
    }
    if chapter.forgiving is not None and chapter.box is not None:
        found["forgiving"] = _judgement(chapter.forgiving, chapter) | _legs(chapter.legs[1])
        found["forgiving"]["box"] = _box(chapter.box, chapter)
    found["whatever"] = [{"a": e.pair.a.name, "b": e.pair.b.name, "result": e.result.value} for e in chapter.whatever]
    found["not_in_search"] = [
        {"a": e.pair.a.name, "b": e.pair.b.name, "missing": list(e.missing), "measure": e.measure}
        for e in missing(chapter.best)
    ]
    found["spread_taken"] = [
        {"a": each.a, "b": each.b, "spread_mm": up(each.spread_mm), "near": each.near} for each in chapter.taken
    ]
    found["freedoms"] = [_tried(tried, chapter) for tried in chapter.freedoms]
    found["changes"] = [_tried(tried, chapter) for tried in chapter.changes]
    found["no_use"] = [_change(change) for change in chapter.no_use]
    found["maps"] = [_map(chapter, arc) for arc in shown(chapter)]
    found["engine"] = {"queries": chapter.queries}
    return found


def _result(chapter: ClockingChapter) -> str:
    if not chapter.windows:
        return "nothing fits"
    if chapter.scene.unplaced:
        return "not known"
    return "fits" if chapter.sure else "too close to call"


def _arc(of: ArcMap) -> dict[str, Any]:
    arc = of.arc
    if arc.around:
        return {"any": True}
    if arc.step:
        return {"step_deg": near(degrees((arc.start + arc.stop) / 2) % 360)}
    return {"from_deg": near(degrees(arc.start) % 360), "to_deg": near(degrees(arc.stop) % 360)}


def _judgement(at: Judgement, chapter: ClockingChapter) -> dict[str, Any]:
    """One place: where it is, its least margin, what decides, and whether it is sure."""
    return _spot(at.spot.clock, at.spot.place_mm, chapter) | {
        "margin_mm": down(at.margin_mm),
        "sure": at.sure,
        "decides": _pair(at.decides),
    }


def _legs(legs: tuple[Judged, ...]) -> dict[str, Any]:
    """Legs, and boots off their pedals, at a place; nothing where the job has none."""
    if not legs:
        return {}
    known = [_pair(entry) for entry in legs if entry.found.closest is not None]
    unknown = [
        {"a": entry.pair.a.name, "b": entry.pair.b.name, "result": entry.result.value, "missing": list(entry.missing)}
        for entry in legs
        if entry.found.closest is None
    ]
    return {"legs": [*known, *unknown]}


def _spot(clock: float, place_mm: float, chapter: ClockingChapter) -> dict[str, Any]:
    own = chapter.scene.setting
    return {
        "clock_deg": near(degrees(clock) % 360),
        "clock_time": clock_text(clock),
        "clock_time_lying_under": clock_text(-clock),
        "round_jacket_mm": near(round_the_jacket(clock, chapter.job.column.jacket_od.mm / 2)),
        "along_mm": near(place_mm),
        "from_mark": own.from_mark,
        "from_mark_mm": near(place_mm - own.input_face_mm + own.from_mark_mm),
    }


def _pair(entry: Judged) -> dict[str, Any]:
    closest = entry.found.closest
    assert closest is not None
    row: dict[str, Any] = {"a": entry.pair.a.name, "b": entry.pair.b.name, "result": entry.result.value}
    row |= {"bound_mm": down(closest.gap.bound_mm), "required_mm": near(entry.pair.need.required_mm)}
    row |= {"spread_mm": up(entry.spread_mm), "chance_under": round(entry.chance_under, 6)}
    if entry.result is Result.HITS:
        row["depth_at_least_mm"] = down(closest.gap.depth_mm)
    if closest.at_travel:
        row["at_travel"] = {pedal: near(share) for pedal, share in closest.at_travel.items()}
    if closest.at_movement:
        row["at_movement"] = {name: near(share) for name, share in closest.at_movement.items()}
    return row | {"where_a": closest.a_where, "where_b": closest.b_where}


def _window(window: Window, chapter: ClockingChapter) -> dict[str, Any]:
    found: dict[str, Any] = {"keeps": _region(window.keeps, chapter)}
    if window.sure:
        found["sure"] = _region(window.sure[0], chapter)
    if len(window.sure) > 1:
        found["sure_elsewhere"] = [_region(region, chapter) for region in window.sure[1:]]
    return found


def _region(region: Region, chapter: ClockingChapter) -> dict[str, Any]:
    return _box(region.reach, chapter) | {"box": _box(region.box, chapter)}


def _box(box: Box, chapter: ClockingChapter) -> dict[str, Any]:
    """A stretch of clocks and of places; `clock_to_deg` is above 360 where it passes 12 o'clock."""
    radius = chapter.job.column.jacket_od.mm / 2
    start, (first, last) = degrees(box.start) % 360, inward(box)
    return {
        "clock_from_deg": near(start),
        "clock_to_deg": near(start + degrees(box.stop - box.start)),
        "clock_from": first,
        "clock_to": last,
        "all_round": box.all_round,
        "round_jacket_from_mm": near(round_the_jacket(box.start, radius)),
        "round_jacket_to_mm": near(round_the_jacket(box.stop, radius)),
        "along_from_mm": near(box.low_mm),
        "along_to_mm": near(box.high_mm),
    }


def _change(change: Change) -> dict[str, Any]:
    row: dict[str, Any] = {"change": change.kind}
    if change.toward_rack_mm:
        row["toward_rack_mm"] = near(change.toward_rack_mm)
    return row | ({"obstacle": change.obstacle} if change.obstacle else {})


def _tried(tried: Tried, chapter: ClockingChapter) -> dict[str, Any]:
    change, spot = tried.helped.change, tried.helped.spot
    row = _change(change)
    row |= {"margin_mm": down(tried.margin_mm), "buys_mm": near(tried.margin_mm - chapter.best.margin_mm)}
    row |= {"judged": tried.judged is not None}
    if tried.judged is not None:
        return row | _judgement(tried.judged, chapter)
    return row | _spot(spot.clock, spot.place_mm, chapter)


def _map(chapter: ClockingChapter, arc: ArcMap) -> dict[str, Any]:
    """Nodes and certified floors of whole cells; margins below 0 are certified, but where something hits not driven up.

    `decides` are numbers into `pairs`, -1 where nothing came near.
    """
    pairs: list[dict[str, Any]] = []
    return {
        "clock_edges_deg": [near(degrees(edge)) for edge in arc.edges.tolist()],
        "along_mm": [near(place) for place in arc.map.places_mm.tolist()],
        "nodes_mm": _rows(arc.map.nodes.mm),
        "cells_mm": _rows(arc.map.cells.mm),
        "cells_hit": arc.map.cells.meets.tolist(),
        "cells_sure": sure_of(chapter, arc).tolist(),
        "cells_decided_by": [
            [_decided(arc, clock, place, pairs) for place in range(arc.map.cells.mm.shape[1])]
            for clock in range(arc.map.cells.mm.shape[0])
        ],
        "pairs": pairs,
    }


def _decided(arc: ArcMap, clock: int, place: int, pairs: list[dict[str, Any]]) -> list[Any]:
    """Which pair decides a cell, by its number in `pairs`, and at which travel; empty where nothing came near."""
    decides = arc.map.cells.decides(clock, place)
    if decides is None:
        return []
    names = {"a": decides.a, "b": decides.b}
    if names not in pairs:
        pairs.append(names)
    travel = {name: near(share) for name, share in (decides.at_travel | decides.at_movement).items()}
    return [pairs.index(names), travel]


def _rows(values: Vector) -> list[list[float]]:
    return [[down(value) for value in row] for row in np.asarray(values).tolist()]
