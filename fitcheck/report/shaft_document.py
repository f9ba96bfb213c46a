"""The shaft's chapter as part of the JSON object, schema 1: mm, degrees, per cent; what is not known names its keys.

Never null: an open end of a band is absent.
"""

from collections.abc import Sequence
from math import isfinite
from typing import Any

from fitcheck.job.angles import clock_text, degrees
from fitcheck.limits import NotKnown
from fitcheck.report.shaft_words import step_words
from fitcheck.shaft.lengths import BarLength, Dimple, Halves
from fitcheck.shaft.limits import ripple_word
from fitcheck.shaft.line import Line
from fitcheck.shaft.results import Check, Evenness, JointRow, PhaseRow, PieceRow, ShaftChapter
from fitcheck.shaft.spread import Spread
from fitcheck.shaft.strength import Strength

Row = dict[str, Any]
SHARES_SHOWN = 5


def shaft_document(
    found: ShaftChapter, gap_rows: Sequence[Row] = (), proposal_gap_rows: Sequence[Row] = ()
) -> dict[str, Any]:
    """`{"shaft": {...}}`, to be merged into the object of `check`; the gap rows are those of the shaft's own gaps."""
    return {"shaft": _chapter(found, gap_rows) | _instead(found, proposal_gap_rows)}


def _chapter(found: ShaftChapter, gap_rows: Sequence[Row]) -> Row:
    row: Row = {
        "result": found.result.value,
        "joints": [_joint(joint) for joint in found.joints],
        "phases": _missing(found.phases)
        if isinstance(found.phases, NotKnown)
        else [_phase(found, phase) for phase in found.phases],
    }
    row |= {"evenness": _missing(found.evenness)} if isinstance(found.evenness, NotKnown) else _even(found.evenness)
    row["pieces"] = [_missing(piece) if isinstance(piece, NotKnown) else _piece(piece) for piece in found.pieces]
    row["column_shaft_ends"] = (
        _missing(found.stub)
        if isinstance(found.stub, NotKnown)
        else {"from_along_mm": near(found.stub[0]), "to_along_mm": near(found.stub[1])}
    )
    row["end_dimples"] = [{"on": what} | _dimple(dimple) for what, dimple in found.end_dimples]
    row |= _totals(found)
    row["limits"] = [_check(check) | {"result": check.result.value} for check in found.judged]
    row["set_on_car"] = [_check(check) for check in found.set_on_car]
    row["line"] = _missing(found.line) if isinstance(found.line, NotKnown) else _line(found.line)
    if found.bearing is not None:
        row["support_bearing"] = _point(found.bearing.tolist())
    row["strength"] = _missing(found.strength) if isinstance(found.strength, NotKnown) else _strength(found.strength)
    if found.no_room_known:
        row["room_not_known"] = [{"what": lack.what} | _missing(lack) for lack in found.no_room_known]
    return row | {"gaps": list(gap_rows), "remarks": list(found.remarks)}


def _instead(found: ShaftChapter, gap_rows: Sequence[Row]) -> Row:
    row: Row = {"why_not_two": list(found.why_not)} if found.why_not else {}
    if isinstance(found.proposal, NotKnown):
        return row | {"proposal": _missing(found.proposal)}
    return row | ({} if found.proposal is None else {"proposal": _chapter(found.proposal, gap_rows)})


def _missing(lacking: NotKnown) -> Row:
    return {"result": "not known", "missing": list(lacking.keys), "measure": lacking.measure}


def _joint(row: JointRow) -> Row:
    bend = row.bend
    if isinstance(bend, NotKnown):
        return {"name": row.joint.name} | _missing(bend)
    return {
        "name": row.joint.name,
        "kind": row.joint.kind,
        "angle_deg": near(degrees(bend.angle)),
        "largest_deg": near(degrees(bend.largest)),
        "largest_when": bend.largest_when,
        "limit_deg": near(bend.limit_deg),
        "limit_from": bend.limit_from,
        "grade": bend.grade.value,
        "result": bend.result.value,
    } | _spread(bend.spread, "deg", degrees(1.0))


def _spread(spread: Spread, unit: str, scale: float = 1.0) -> Row:
    return {
        f"spread_{unit}": near(spread.most * scale),
        f"spread_first_order_{unit}": near(spread.first_order * scale),
        f"spread_draws_{unit}": near(spread.by_draws * scale),
        "spread_from": [
            {"key": share.key, f"part_{unit}": near(share.part * scale)} for share in spread.shares[:SHARES_SHOWN]
        ],
    }


def _phase(found: ShaftChapter, row: PhaseRow) -> Row:
    if row.any_phase:
        return {"shaft": row.piece, "any": True}
    piece = next(piece for piece in found.shaft.pieces if piece.name == row.piece)
    teeth = (
        {} if row.reach.free else {"teeth": {"rack_end": row.chosen.rack_teeth, "wheel_end": row.chosen.wheel_teeth}}
    )
    return {
        "shaft": row.piece,
        "any": False,
        "best_deg": near(degrees(row.best)),
        "nearest_deg": near(degrees(row.chosen.phase)),
        "at_mark_deg": near(degrees(row.base)),
        **teeth,
        "words": step_words(row.chosen, piece, row.reach.free),
        "tooth_by_tooth": [
            {"phase_deg": near(degrees(step.phase)), "ripple_pct": near(left)} for step, left in row.neighbours
        ],
        "mark_error_deg": near(degrees(row.mark_error)),
        "mark_error_ripple_pct": near(row.mark_ripple_pct),
    } | _spread(row.best_spread, "deg", degrees(1.0))


def _even(even: Evenness) -> Row:
    return {
        "ripple_pct": near(even.ripple_pct),
        "ripple_spread_pct": near(even.spread.most),
        "ripple_grade": ripple_word(even.ripple_pct),
        "ripple_in_line_pct": near(even.in_line_pct),
        "ripple_least_pct": near(even.least_pct),
        "ripple_worst_pct": near(even.worst_pct),
        "ripple_worst_when": even.worst_when,
        "lead_deg": near(degrees(even.lead)),
        "straight_ahead_lightest_clock": clock_text(even.light_clock),
        "remedies": [{"what": words, "ripple_pct": near(left)} for words, left in even.remedies],
    }


def _piece(row: PieceRow) -> Row:
    found: Row = {
        "name": row.name,
        "centre_to_centre_mm": near(row.span_mm),
        "centre_to_centre_from": row.span_from,
        "length_mm": near(row.length.finished),
        "length": _band(row.length),
        "at_stands": [{"when": when, "change_mm": near(change)} for when, change in row.at_stands],
        "dimples": [_dimple(dimple) for dimple in row.dimples],
    } | _spread(row.spread, "mm")
    return found if row.halves is None else found | {"halves": _halves(row.halves)}


def _band(band: BarLength) -> Row:
    row = {"first_cut_mm": near(band.first), "low_mm": near(band.low), "high_mm": near(band.high)}
    return row | ({"finished_mm": near(band.finished)} if band.low <= band.high else {"finished": "no length does"})


def _halves(halves: Halves) -> Row:
    return {
        "solid": _band(halves.solid),
        "tube": _band(halves.tube),
        "made_already": halves.made,
        "overlap_mm": near(halves.overlap_mm),
        "overlap_longest_mm": near(halves.overlap_longest_mm),
        "overlap_needed_mm": near(halves.overlap_needed_mm),
        "shuts_mm": near(halves.shuts_mm),
        "stops": halves.stops,
        "collapse_mm": near(halves.collapse_mm),
    }


def _dimple(dimple: Dimple) -> Row:
    return {
        "joint": dimple.joint,
        "end": dimple.end,
        "from_end_mm": near(dimple.from_end_mm),
        "remark": dimple.remark,
    }


def _totals(found: ShaftChapter) -> Row:
    checks = {check.key: check for check in found.checks if check.missing is None}
    return {f"{key}_mm": near(checks[key].value) for key in ("collapse", "draw_off") if key in checks}


def _check(check: Check) -> Row:
    row: Row = {"key": check.key, "what": check.what}
    if check.missing is not None:
        return row | {"missing": list(check.missing.keys), "measure": check.missing.measure}
    if isfinite(check.low) or isfinite(check.high):
        unit = {"mm": "mm", "deg": "deg", "%": "pct"}[check.unit]
        row |= {f"value_{unit}": near(check.value), f"spread_{unit}": near(check.spread)}
        row |= {f"low_{unit}": near(check.low)} if isfinite(check.low) else {}
        row |= {f"high_{unit}": near(check.high)} if isfinite(check.high) else {}
    return row | ({"note": check.note} if check.note else {})


def _line(line: Line) -> Row:
    return {"joint_centres": [_point(centre) for centre in line.centres.tolist()]}


def _point(point: Sequence[float]) -> Row:
    return dict(zip(("back_mm", "right_mm", "up_mm"), map(near, point), strict=True))


def _strength(found: Strength) -> Row:
    bracket = found.bracket_force_n
    row: Row = {
        "torque_nm": near(found.torque_nm),
        "torsion": [
            {"piece": name, "stress_mpa": near(bar.stress_mpa), "twist_deg_per_m": near(degrees(bar.twist_rad_per_m))}
            for name, bar in found.torsion
        ],
        "couples": [
            {
                "joint": couple.joint,
                "driving_nm": near(couple.driving_nm),
                "driven_nm": near(couple.driven_nm),
                "torque_nm": near(couple.torque_nm),
                "rating": couple.rating,
            }
            for couple in found.couples
        ],
        "box_force_n": near(found.box_force_n),
        "bracket_force": _missing(bracket) if isinstance(bracket, NotKnown) else {"force_n": near(bracket)},
    }
    held = found.support_force_n
    return row if held is None else row | {"support_force_n": near(held)}


def near(value: float) -> float:
    """To the nearest thousandth."""
    return round(value, 3) + 0.0
