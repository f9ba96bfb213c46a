"""The verdict as one JSON object, schema 1. Keys are a contract; what was not looked at is absent, never null.

Lengths in mm, angles in degrees, chances 0..1; bounds are rounded down and depths too, spreads up.
"""

from typing import Any

from fitcheck.job.angles import clock_text, degrees
from fitcheck.report.boots_document import boots_document
from fitcheck.report.cuts_document import cuts_document
from fitcheck.report.gap_document import gap_row, near
from fitcheck.report.reach_document import reach_document
from fitcheck.report.readings_document import readings_document
from fitcheck.report.seen_text import seen_document, to_find
from fitcheck.report.shaft_document import shaft_document
from fitcheck.report.words import CAUTIONS
from fitcheck.verdict import Verdict

SCHEMA = 1


def check_document(verdict: Verdict) -> dict[str, Any]:
    """The whole verdict."""
    chapters = gaps_document(verdict) | _boots(verdict) | _reach(verdict) | _cuts(verdict) | _shaft(verdict)
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
    return _head(verdict) | seen | {"to_find": to_find(verdict)}


def boots_chapter(verdict: Verdict) -> dict[str, Any]:
    """Head and boots."""
    return _head(verdict) | _boots(verdict) | {"cautions": list(CAUTIONS)}


def reach_chapter(verdict: Verdict) -> dict[str, Any]:
    """Head and reaching in."""
    return _head(verdict) | _reach(verdict) | {"cautions": list(CAUTIONS)}


def cuts_chapter(verdict: Verdict) -> dict[str, Any]:
    """Head and cuts."""
    return _head(verdict) | _cuts(verdict) | {"cautions": list(CAUTIONS)}


def shaft_chapter(verdict: Verdict) -> dict[str, Any]:
    """Head and shaft."""
    return _head(verdict) | _shaft(verdict) | {"cautions": list(CAUTIONS)}


def _boots(verdict: Verdict) -> dict[str, Any]:
    return {} if verdict.boots is None else {"boots": boots_document(verdict.boots)}


def _reach(verdict: Verdict) -> dict[str, Any]:
    return {} if verdict.reach is None else {"reach": reach_document(verdict.reach)}


def _cuts(verdict: Verdict) -> dict[str, Any]:
    return {} if verdict.cuts is None else cuts_document(verdict.cuts)


def _shaft(verdict: Verdict) -> dict[str, Any]:
    if verdict.shaft is None:
        return {}
    return shaft_document(
        verdict.shaft, [gap_row(e) for e in verdict.shaft_gaps], [gap_row(e) for e in verdict.proposal_gaps]
    )


def gaps_document(verdict: Verdict) -> dict[str, Any]:
    """Head, where the unit sits, and every pair; the shaft's own under `shaft`, as in the whole verdict."""
    of_shaft = {} if verdict.shaft is None else {"shaft": {"gaps": [gap_row(entry) for entry in verdict.shaft_gaps]}}
    found: dict[str, Any] = {
        "gaps": [gap_row(entry) for entry in verdict.gaps],
        "passed_over": [{"a": p.a.name, "b": p.b.name, "reason": p.need.reason} for p in verdict.passed_over],
        "engine": {
            "queries": verdict.engine.queries,
            "second_road": verdict.engine.second_road,
            "third_road": verdict.engine.third_road,
        },
    }
    return _head(verdict) | of_shaft | found


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
