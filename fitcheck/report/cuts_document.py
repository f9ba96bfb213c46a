"""The cut list as part of the JSON object, schema 1: lengths in mm, angles in degrees, chances 0..1; never null.

`cuts` holds one row a piece; what goes with them stands under keys that start with `cuts_`. In a row `removed_mm` is
what falls off the piece's whole stock, kerfs not counted: kept pieces + removed + kerfs make the original.
"""

from math import ceil, isfinite
from typing import Any

from fitcheck.cuts.chain import Stack
from fitcheck.cuts.firewall import Opening
from fitcheck.cuts.limits import Found, NotKnown
from fitcheck.cuts.nearest import NearestPlace
from fitcheck.cuts.pieces import Piece, Planned, Refused
from fitcheck.cuts.plan import CutPlan
from fitcheck.cuts.stocks import Account
from fitcheck.cuts.trial import FirstCut, Tried
from fitcheck.job.angles import degrees

Row = dict[str, Any]


def cuts_document(plan: CutPlan) -> Row:
    """Everything of the chapter, to be merged into the object of `check`."""
    document: Row = {
        "cuts": [_piece(piece, plan) for piece in plan.planned],
        "cuts_result": plan.result.value,
        "cuts_hold": list(plan.holds),
        "cuts_limits": [_limit(limit) for limit in plan.limits],
        "cuts_stock": [_account(account) for account in plan.accounts],
        "cuts_short": [_short(plan, i) for i in range(len(plan.shorts))],
        "cuts_holes": [
            {
                "piece": hole.piece,
                "what": hole.what,
                "mark_mm": exact(hole.mark_mm),
                "from_end_mm": exact(hole.from_end.mm),
            }
            | _sure(hole.from_end)
            | {"how": hole.how}
            for hole in plan.holes
            if hole.may_be_made and not _stopped(hole.piece, plan)
        ],
        "cuts_moved_by": dict(plan.moved_by),
        "cuts_closing": [
            {
                "what": one.what,
                "before_mm": exact(one.before_mm),
                "after_mm": exact(one.after_mm),
                "off_mm": exact(one.off_mm),
                "unit_off_mm": exact(one.unit_off_mm),
            }
            | {"faces": [{"face": face.name, "along_mm": exact(face.along_mm)} for face in one.faces]}
            for one in plan.closings
        ],
        "cuts_doubtful": [str(doubt) for doubt in plan.doubts],
        "cuts_not_yet": [_not_known(one) for one in plan.not_yet],
        "cuts_remarks": list(plan.remarks),
    }
    return document | _nearest(plan) | _straight(plan) | _firewall(plan)


def exact(mm: float) -> float:
    """To a millionth: marks on the 1/32 in step stay on it."""
    return round(mm, 6) + 0.0


def _sure(stack: Stack) -> Row:
    return {
        "spread_mm": up(stack.rss_mm),
        "worst_mm": up(stack.worst_mm),
        "shares": [
            {"key": one.key, "factor": one.factor, "spread_mm": one.spread_mm, "share": round(one.share, 6)}
            for one in stack.shares
        ],
    }


def up(mm: float) -> float:
    """To the thousandth above."""
    return ceil(mm * 1000 - 1e-9) / 1000


def _stopped(name: str, plan: CutPlan) -> bool:
    return any(piece.name == name and plan.stop(piece) for piece in plan.pieces)


def _piece(piece: Planned, plan: CutPlan) -> Row:
    if isinstance(piece, NotKnown):
        return {"piece": piece.what} | _not_known(piece)
    if isinstance(piece, Refused):
        return {"piece": piece.what, "result": piece.result.value, "reason": piece.reason}
    if plan.stop(piece):
        stopped = {"piece": piece.name, "stock": piece.spec.stock, "result": plan.result_of(piece).value}
        return stopped | {"do_not_cut": plan.stop(piece), "stage": piece.state.stage} | _trial(piece)
    spec = piece.spec
    row: Row = {
        "piece": piece.name,
        "stock": spec.stock,
        "result": piece.result.value,
        "stage": piece.state.stage,
        "length_from": spec.read_from,
        "length_mm": exact(piece.state.length_mm),
        "planned_length_mm": exact(piece.length_mm),
        "needed_mm": exact(piece.needed.mm),
        "allowed_mm": [exact(piece.allowed.low_mm), exact(piece.allowed.high_mm)],
        "rounding_mm": exact(piece.rounding_mm),
        "engagement_mm": exact(piece.inside.mm),
        "end_gap_mm": exact(piece.left.mm),
        "without_trial_fit": piece.straight_result.value,
    }
    return row | _first_cut(piece, plan) | _sure(piece.needed) | _removed(piece, plan) | _trial(piece)


def _first_cut(piece: Piece, plan: CutPlan) -> Row:
    """Mark and first cut while it is still to be made; what was read of it after that."""
    spec, now = piece.spec, piece.state.now
    if now is not None:
        return {"read_mm": exact(now.mm), "read_spread_mm": up(now.rss_mm)}
    gone = plan.its_mark_is_gone(piece)
    return {
        "from": spec.origin if gone else spec.mark_from,
        "mark_mm": exact(piece.first_cut_mm if gone else piece.mark_mm),
        "kept_side": "before the mark" if spec.way > 0 or gone else "beyond the mark",
        "first_cut_mm": exact(piece.first_cut_mm),
        "trim_mm": exact(piece.trim_mm),
        "expected_gap_mm": exact(piece.expected.mm),
        "expected_gap_spread_mm": up(piece.expected.rss_mm),
    }


def _removed(piece: Piece, plan: CutPlan) -> Row:
    row: Row = {} if isinstance(plan.saw.kerf, NotKnown) else {"kerf_mm": exact(plan.saw.kerf.mm)}
    for account in plan.accounts:
        if isinstance(account, Account) and account.stock == piece.spec.stock:
            row |= {"removed_mm": exact(account.removed_mm), "overall_mm": exact(account.kept_mm[piece.name])}
    return row


def _trial(piece: Piece) -> Row:
    state = piece.state
    if not isinstance(state, FirstCut):
        return {}
    row: Row = {"predicted_mm": exact(state.predicted.mm), "predicted_spread_mm": up(state.predicted.rss_mm)}
    if isinstance(state, Tried):
        read = "end_gap" if state.by_clay else "mating_gap"
        row |= {f"{read}_mm": exact(state.read.mm), f"{read}_spread_mm": up(state.read.rss_mm)}
        row |= {"trim_mm": exact(state.trim.mm), "trim_spread_mm": up(state.trim.rss_mm), "on_step": state.on_step}
        row |= {"agrees": not state.disagreement}
    return {"trial_fit": row}


def _limit(limit: Found) -> Row:
    if isinstance(limit, NotKnown):
        return {"what": limit.what} | _not_known(limit)
    row: Row = {"what": limit.what, "result": limit.result.value, "reason": limit.reason}
    row |= {"value_mm": exact(limit.stack.mm)} | _sure(limit.stack) | {"chance_outside": round(limit.chance_outside, 6)}
    ends = {"at_least_mm": limit.band.low_mm, "at_most_mm": limit.band.high_mm}
    return row | {key: exact(end) for key, end in ends.items() if isfinite(end)} | {"band_from": limit.band.said}


def _not_known(one: NotKnown) -> Row:
    row: Row = {"what": one.what, "result": one.result.value, "reason": one.reason}
    return row | ({"missing": list(one.keys), "measure": one.measure} if one.keys else {})


def _account(account: Account | NotKnown) -> Row:
    if isinstance(account, NotKnown):
        return _not_known(account)
    return {
        "stock": account.stock,
        "original_mm": exact(account.original.mm),
        "kept_mm": {name: exact(mm) for name, mm in account.kept_mm.items()},
        "removed_mm": exact(account.removed_mm),
        "offcut_mm": exact(account.offcut_mm),
        "kerfs_mm": exact(account.kerfs_mm),
    }


def _short(plan: CutPlan, index: int) -> Row:
    short = plan.shorts[index]
    ways = [
        {"kind": way.kind, "words": way.words, "move_mm": exact(way.move_mm)}
        | {"lengths_mm": {name: exact(mm) for name, mm in way.lengths_mm.items()}}
        for way in short.ways
    ]
    return {"piece": short.piece.name, "short_mm": exact(short.short_mm), "ways": ways}


def _nearest(plan: CutPlan) -> Row:
    for place in plan.nearest:
        if isinstance(place, NearestPlace):
            row: Row = {"move_mm": exact(place.move_mm), "input_face_mm": exact(place.input_face_mm)}
            row |= {"set_mm": exact(place.set_mm), "along_from": place.mark}
            return {"cuts_nearest_place": row | ({"also": place.also} if place.also else {})}
        return {"cuts_nearest_place": {"reason": place.reason}}
    return {}


def _straight(plan: CutPlan) -> Row:
    if isinstance(plan.straight, NotKnown):
        return {}
    at_most = {"step_deg": exact(degrees(plan.straight.step_rad)), "off_deg": exact(degrees(plan.straight.off_rad))}
    return {"cuts_wheel_straight": at_most | {"words": plan.straight.words}}


def _firewall(plan: CutPlan) -> Row:
    hole = plan.opening
    if not isinstance(hole, Opening):
        return {}
    row: Row = {
        "minor_mm": exact(hole.minor_mm),
        "major_mm": exact(hole.major.mm),
        "major_spread_mm": up(hole.major.rss_mm),
        "long_mm": exact(hole.long_mm),
        "clearance_mm": exact(hole.clearance_mm),
        "tilt_deg": exact(degrees(hole.tilt_rad)),
        "turn_deg": exact(degrees(hole.turn_rad)),
        "holes": [{"up_mm": exact(across[0]), "right_mm": exact(across[1])} for across in hole.holes_mm],
    }
    for fold in hole.folded:
        row["fold"] = {
            "below_mm": exact(fold.below_fold_mm),
            "beyond_mm": exact(fold.beyond_fold_mm),
            "width_mm": exact(fold.width_at_fold_mm),
        }
    return {"cuts_firewall": row}
