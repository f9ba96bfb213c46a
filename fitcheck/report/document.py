"""The verdict as one JSON object, schema 1. Keys are a contract; what was not looked at is absent, never null.

Lengths in mm, angles in degrees, chances 0..1; bounds are rounded down and depths too, spreads up.
"""

import math
from typing import Any

from fitcheck.confidence.again import again
from fitcheck.confidence.results import Judged, Result
from fitcheck.geometry.frames import Vector
from fitcheck.job.angles import clock_text, degrees
from fitcheck.report.cuts_document import cuts_document
from fitcheck.report.readings_document import readings_document
from fitcheck.report.seen_text import seen_document, to_find
from fitcheck.report.shaft_document import shaft_document
from fitcheck.report.words import CAUTIONS
from fitcheck.verdict import Verdict

SCHEMA = 1


def check_document(verdict: Verdict) -> dict[str, Any]:
    """The whole verdict."""
    chapters = gaps_document(verdict) | _cuts(verdict) | _shaft(verdict)
    return chapters | {
        "looked_at": list(verdict.looked_at),
        "not_yet": [
            {"what": entry.what, "missing": list(entry.missing)} | ({"measure": entry.measure} if entry.measure else {})
            for entry in verdict.not_yet
        ],
        "readings": _readings(verdict),
        **({} if verdict.seen is None else {"seen": seen_document(verdict.seen)}),
        "remarks": list(verdict.remarks),
        "cautions": list(CAUTIONS),
    }


def _readings(verdict: Verdict) -> dict[str, Any]:
    """The adjusted points where the job has [[readings]]; what looks odd stands among the doubtful."""
    found = {} if verdict.readings is None else readings_document(verdict.readings)
    doubtful = found.get("doubtful", [])
    told = {row["key"] for row in doubtful}
    odd = [{"key": odd.key, "reason": odd.why} for odd in verdict.odd if odd.key not in told]
    return found | {"doubtful": [*doubtful, *odd]}


def mock_up_chapter(verdict: Verdict) -> dict[str, Any]:
    """Head, what was found on the mock-up, and what to find."""
    seen = {} if verdict.seen is None else {"seen": seen_document(verdict.seen)}
    return _head(verdict) | seen | {"to_find": to_find(verdict.gaps, verdict.readings, verdict.seen)}


def cuts_chapter(verdict: Verdict) -> dict[str, Any]:
    """Head and cuts."""
    return _head(verdict) | _cuts(verdict) | {"cautions": list(CAUTIONS)}


def shaft_chapter(verdict: Verdict) -> dict[str, Any]:
    """Head and shaft."""
    return _head(verdict) | _shaft(verdict) | {"cautions": list(CAUTIONS)}


def _cuts(verdict: Verdict) -> dict[str, Any]:
    return {} if verdict.cuts is None else cuts_document(verdict.cuts)


def _shaft(verdict: Verdict) -> dict[str, Any]:
    if verdict.shaft is None:
        return {}
    return shaft_document(
        verdict.shaft, [_gap(e) for e in verdict.shaft_gaps], [_gap(e) for e in verdict.proposal_gaps]
    )


def gaps_document(verdict: Verdict) -> dict[str, Any]:
    """Head, where the unit sits, and every pair."""
    return _head(verdict) | {
        "gaps": [_gap(entry) for entry in verdict.gaps],
        "passed_over": [{"a": p.a.name, "b": p.b.name, "reason": p.need.reason} for p in verdict.passed_over],
        "engine": {
            "queries": verdict.engine.queries,
            "second_road": verdict.engine.second_road,
            "third_road": verdict.engine.third_road,
        },
    }


def _head(verdict: Verdict) -> dict[str, Any]:
    head = verdict.opened.job.job
    return {
        "schema": SCHEMA,
        "job": {"name": head.name, "file": verdict.opened.file, "digest": verdict.opened.digest}
        | ({"date": head.date} if head.date is not None else {}),
        "result": verdict.outcome.value,
        "placed": _placed(verdict),
    }


def _placed(verdict: Verdict) -> dict[str, Any]:
    at = verdict.scene.setting
    placed = {
        "clock_deg": near(degrees(at.clock)),
        "clock_time": clock_text(at.clock),
        "along_mm": near(at.input_face_mm),
        "round_jacket_mm": near(at.round_jacket_mm),
    }
    return placed if at.motor_plane_mm is None else placed | {"motor_plane_mm": near(at.motor_plane_mm)}


def _gap(entry: Judged) -> dict[str, Any]:
    pair, closest = entry.pair, entry.found.closest
    row: dict[str, Any] = {"a": pair.a.name, "b": pair.b.name, "result": entry.result.value, "reason": entry.reason}
    if entry.result not in (Result.AS_BEFORE, Result.JOINED):
        row |= {"required_mm": near(pair.need.required_mm), "required_from": pair.need.required_from}
    if closest is None:
        return row | ({"missing": list(entry.missing), "measure": entry.measure} if entry.missing else {})
    gap = closest.gap
    if gap.doubt:  # how far the surfaces are apart is no gap where one part may be inside the other
        return row
    if not gap.bracketed:
        return row | {"at_least_mm": down(gap.bound_mm), "bound_mm": down(gap.bound_mm)}
    row |= {"gap_mm": near(gap.gap_mm), "bound_mm": down(gap.bound_mm), "spread_mm": up(entry.spread_mm)}
    if gap.gap_mm == 0:
        row["depth_at_least_mm"] = down(gap.depth_mm)
    if entry.result is not Result.AS_BEFORE:
        row["chance_under"] = round(entry.chance_under, 6)
    if entry.drawn is not None:
        row["drawn"] = {
            "draws": entry.drawn.draws,
            "spread_mm": up(entry.drawn.spread_mm),
            "place_changed": round(entry.drawn.place_changed, 4),
        }
    if closest.at_travel:
        row["at_travel"] = {pedal: near(share) for pedal, share in closest.at_travel.items()}
    if closest.at_movement:
        row["at_movement"] = {name: near(share) for name, share in closest.at_movement.items()}
    if entry.found.first_touch is not None:
        row["first_touch_travel"] = near(entry.found.first_touch)
    buys = [{"key": each.key, "chance_under": round(each.chance_under, 6)} for each in again(entry)]
    row |= {"measure_again": buys} if buys else {}
    row |= {"where_a": closest.a_where, "where_b": closest.b_where}
    row |= {"on_a": _point(gap.on_a), "on_b": _point(gap.on_b)}
    row["spread_from"] = [{"key": share.key, "part_mm": near(share.part_mm)} for share in entry.shares]
    return row


def _point(point: Vector) -> dict[str, float]:
    return dict(zip(("back_mm", "right_mm", "up_mm"), map(near, point.tolist()), strict=True))


def near(value: float) -> float:
    """To the nearest thousandth."""
    return round(value, 3) + 0.0


def down(value: float) -> float:
    """To the thousandth below."""
    return float(math.floor(value * 1000) / 1000)


def up(value: float) -> float:
    """To the thousandth above."""
    return math.ceil(value * 1000) / 1000
