"""What the page's script is given: solids with how they move, pedals, pairs with their closest points and floors.

Scene frame of the page: x the car's right, y up, z back; mm. Texts go as JSON with every "<" spelled out.
"""

import json
from base64 import b64encode
from collections.abc import Mapping
from math import floor
from typing import Any

import numpy as np

from fitcheck.clearance.over_travel import Along, Stop, stop_shares, travels
from fitcheck.confidence.results import Judged, Result, worst_first
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.movement import Turn
from fitcheck.geometry.scan_piece import ScanPiece
from fitcheck.placement.scene import Kind, Part, Phase, Travel
from fitcheck.report import words
from fitcheck.report.pictures.camera import AIMS
from fitcheck.report.pictures.palette import SHAFT
from fitcheck.report.pictures.stage import all_parts, shown
from fitcheck.verdict import Verdict

CAR2PAGE = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]])
COLOURS = {
    Kind.COLUMN: 0x8D8474,
    Kind.UNIT: 0x0072B2,
    Kind.BRACKET: 0x56B4E9,
    Kind.PIVOT_SHAFT: 0x5B5348,
    Kind.PEDAL: 0xE69F00,
    Kind.LINKAGE: 0xCC79A7,
    Kind.BOOT: 0x009E73,
    Kind.OBSTACLE: 0xC9BFAE,
}
IN_SIGHT = (Kind.COLUMN, Kind.UNIT, Kind.BRACKET, Kind.PEDAL, Kind.LINKAGE, Kind.BOOT)  # what every view shows whole
JUDGED = (Result.HITS, Result.UNDER, Result.NOT_KNOWN, Result.TOO_CLOSE, Result.CLEAR)
Floors = Mapping[tuple[str, str], Along]
NOTHING = Along((), ())


def rows(verdict: Verdict) -> list[Judged]:
    """The pairs on the page: judged ones, worst first, the shaft's among them, and what else is wrong."""
    boots, reach = verdict.boots, verdict.reach
    besides = (*(() if boots is None else boots.gaps), *(() if reach is None else reach.gaps))
    wrong = [entry for entry in besides if entry.result is not Result.CLEAR]
    every = sorted((*verdict.gaps, *verdict.shaft_gaps, *wrong), key=worst_first)
    return [entry for entry in every if entry.result in JUDGED]


def model(verdict: Verdict, floors: Floors, chart: dict[str, Any] | None) -> str:
    """The JSON that stands in the page."""
    header, bracket = verdict.opened.job.job, verdict.opened.job.bracket
    turns = bracket is not None and bracket.turns == "with the unit"
    riding = {Kind.UNIT, *([Kind.BRACKET] if turns else [])}
    solids = [solid | {"rides": part.kind in riding} for part in all_parts(verdict) for solid in _solids(part)]
    document = {
        "show": header.show,
        "door": -1 if header.drive == "left" else 1,
        "under": [float(x) for x in CAR2PAGE @ -np.array(AIMS["under-dash"].look)],
        "solids": solids,
        "pedals": [_pedal(travel) for travel in travels(verdict.scene)],
        "rows": [_row(entry, verdict, floors) for entry in rows(verdict)],
        "map": chart or {"arcs": []},
    }
    return json.dumps(document, allow_nan=False, separators=(",", ":")).replace("<", "\\u003c")


def _solids(part: Part) -> list[dict[str, Any]]:
    look = {
        "name": part.name,
        "colour": int(SHAFT.colour[1:], 16) if part.as_measured else COLOURS[part.kind],
        "faint": _faint(part),
        "boot": part.kind is Kind.BOOT,
        "sight": part.kind in IN_SIGHT,
    }
    if part.driven_by is None:
        still = next(iter(shown([part], {})))
        return [look | _triangles([shell.points[shell.faces] for shell in still.shells])]
    return [look | {"pedal": part.driven_by} | piece for phase in part.phases for piece in _moving(phase)]


def _faint(part: Part) -> bool:
    return part.kind is Kind.OBSTACLE and next(iter(shown([part], {}))).is_sheet


def _moving(phase: Phase) -> list[dict[str, Any]]:
    if phase.shares:
        return [
            {"range": list(share)} | _triangles([piece.corners[piece.faces]])
            for piece, share in zip(phase.pieces, phase.shares, strict=True)
        ]
    corners = [piece.corners[piece.faces] for piece in phase.pieces if not isinstance(piece, ScanPiece)]
    travel, move = phase.travel, phase.moves
    if travel is None or not isinstance(move, Turn):
        return [{"range": [-10, 10]} | _triangles(corners)]
    order = np.argsort(travel.shares, kind="stable")
    turn = {
        "point": plain(CAR2PAGE @ move.point),
        "axis": [float(x) for x in CAR2PAGE @ move.axis],
        "shares": [travel.shares[i] for i in order],
        "values": [travel.values[i] for i in order],
    }
    return [{"range": [min(travel.shares), max(travel.shares)], "turn": turn} | _triangles(corners)]


def _triangles(lots: list[Vector]) -> dict[str, str]:
    corners = np.vstack(lots).reshape(-1, 3) @ CAR2PAGE.T
    return {"points": b64encode(np.round(corners, 2).astype("<f4").tobytes()).decode("ascii")}


def _pedal(travel: Travel) -> dict[str, Any]:
    return {
        "name": travel.pedal,
        "radius": travel.radius_mm,
        "full": travel.full,
        "stops": list(stop_shares(travel)),
    }


def _row(entry: Judged, verdict: Verdict, floors: Floors) -> dict[str, Any]:
    closest, pair = entry.found.closest, (entry.pair.a.name, entry.pair.b.name)
    own = floors.get(pair, NOTHING)
    driver = next((p.driven_by for p in (entry.pair.a, entry.pair.b) if isinstance(p, Part) and p.driven_by), "")
    sways = "" if closest is None else words.sways(closest.at_movement)
    names = ", ".join(filter(None, (words.names(entry), entry.pair.need.reason)))
    found: dict[str, Any] = {
        "said": f"{names}: {said_gap(entry, verdict)}{f', {sways} (drawn as measured)' if sways else ''}",
        "at": {} if closest is None else {name: float(share) for name, share in closest.at_travel.items()},
        "required": entry.pair.need.required_mm,
        "pedal": driver,
        "floors": [[each.low, each.high, round(each.bound_mm - 5e-4, 3)] for each in own.floors],
        "stops": [_stop(stop, verdict) for stop in own.stops],
    }
    if closest is not None:
        found["line"] = [plain(CAR2PAGE @ closest.gap.on_a), plain(CAR2PAGE @ closest.gap.on_b)]
    return found


def _stop(stop: Stop, verdict: Verdict) -> dict[str, Any]:
    show = verdict.opened.job.job.show
    said = f"at least {words.room(stop.bound_mm, show)}"
    if stop.meets:
        said = f"in by at least {words.room(stop.depth_mm, show)}" if stop.depth_mm >= 1 else "touching"
    mm = 0.0 if stop.meets else floor(stop.bound_mm * 100) / 100
    return {"said": said, "mm": mm, "line": [travelled(stop.on_a), travelled(stop.on_b)]}


def travelled(point: Vector) -> list[float]:
    """A point of the car in the page's frame, to a tenth: a line to be looked at."""
    return [round(float(x), 1) for x in CAR2PAGE @ point]


def said_gap(entry: Judged, verdict: Verdict) -> str:
    """The gap in words, as everywhere: at least, with its spread; or that they meet."""
    closest, show = entry.found.closest, verdict.opened.job.job.show
    if closest is None:
        return entry.reason
    gap = closest.gap
    if gap.gap_mm == 0:
        return f"in by at least {words.room(gap.depth_mm, show)}" if gap.depth_mm >= 1 else "touches"
    if not gap.bracketed:  # far off: only what it is at least was asked, and no spread was worked out for it
        return f"at least {words.room(gap.bound_mm, show)}"
    return f"{words.room(gap.bound_mm, show)}, {words.spread(entry.spread_mm)}"


def plain(point: Vector) -> list[float]:
    """A point for JSON, to a thousandth."""
    return [round(float(x), 3) for x in point]
