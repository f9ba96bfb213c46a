"""How groups carry parts against each other: the movements that count between two parts, and their ties to the job.

Engine and axle hang on the frame, the frame on the body; what carries both parts of a pair does not count. Car frame
(back, right, up), mm, rad.
"""

from itertools import product
from typing import Any

import numpy as np

from fitcheck.verify.bodies import Part, Phase, cross_matrix
from fitcheck.verify.form import Refused, Vector
from fitcheck.verify.readings import Path
from fitcheck.verify.ties import A_METRE, Ties, apart, beside, turn_of_chord

BACK = np.array([1.0, 0.0, 0.0])
ON_THE_COLUMN = {"column", "unit", "bracket"}
INWARD = {"engine": ["frame", "engine"], "axle": ["frame", "axle"], "frame": ["frame"], "body": []}
Table = dict[str, Any]


def against(part: Part, other: Part, phases: list[Phase]) -> list[Phase]:
    """The part's `phases` with what carries it and not `other`: its movements after their own, its shifts swept."""
    carries, theirs = [phase["carry"] for phase in part.table["phases"]], other.table["phases"][0]["carry"]
    return [_carried(phase, carry[_shared(carry, theirs) :]) for phase, carry in zip(phases, carries, strict=True)]


def _shared(one: list[Table], other: list[Table]) -> int:
    count = 0
    while count < min(len(one), len(other)) and one[count]["group"] == other[count]["group"]:
        if not same(one[count], other[count]):
            raise Refused(f"carry: {one[count]['group']} moves one part in another way than the other")
        count += 1
    return count


def same(one: Any, other: Any) -> bool:
    """Whether two tables of the proof say the same."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same, one, other))
    return bool(np.array_equal(one, other))


def _carried(phase: Phase, carry: list[Table]) -> Phase:
    """The innermost group first; a shift is seen by a piece whose movements up to there may have turned it."""
    moves, sets = list(phase[0]), phase[1]
    low, high = np.zeros(3), np.zeros(3)
    for each in reversed(carry):
        moves += each["moves"]
        if "shift" in each:
            seen = each["shift"]["low"], each["shift"]["high"]
            for move in (move for move in moves if move["kind"] == "turn"):
                seen = _turned_box(*seen, move)
            low, high = low + seen[0], high + seen[1]
    if not (high > low).any():
        return moves, sets
    corners = product(*(dict.fromkeys(ends) for ends in zip(low.tolist(), high.tolist(), strict=True)))
    shifts = [np.array(corner) for corner in corners]
    return moves, [np.concatenate([points + shift for shift in shifts]) for points in sets]


def _turned_box(low: Vector, high: Vector, move: Table) -> tuple[Vector, Vector]:
    """The box round all shifts of the box low..high, as a body sees them that the turn has carried along."""
    angle, spin = max(-move["start"], move["stop"]), cross_matrix(move["axis"])
    if not (0 <= angle <= np.pi / 2 and (low <= 0).all() and (high >= 0).all()):
        raise Refused("carry: a shift from rest is seen by a body that turns a quarter turn at most")
    share = np.sin(angle) * np.abs(spin) + (1 - np.cos(angle)) * np.abs(spin @ spin)
    np.fill_diagonal(share, 0.0)
    beyond = share @ np.maximum(-low, high)
    return low - beyond, high + beyond


def tie_groups(ties: Ties, placed: dict[str, Part]) -> None:
    """Every part but what sits on the column is carried by the groups the job says, so far at least as it says."""
    at = ties.readings.at
    groups = {thing["name"]: thing.get("group", "body") for thing in at("obstacles") or []}
    rocks = at("groups", "engine") is not None or at("shaft", "rock") is not None
    moving = {"engine"} if rocks else set()
    moving |= {name for name in ("frame", "axle") if at("groups", name) is not None}
    for name, part in placed.items():
        if name in ON_THE_COLUMN:
            continue
        expected = [group for group in INWARD[groups.get(name, "body")] if group in moving]
        for phase in part.table["phases"]:
            told = [each["group"] for each in phase["carry"]]
            if told != expected:
                raise Refused(
                    f"{name}: by the job it is carried by {expected or 'nothing'}, not by {told or 'nothing'}"
                )
            for each in phase["carry"]:
                (_rock if each["group"] == "engine" else _shift)(ties, each)


def _shift(ties: Ties, carry: Table) -> None:
    """A frame's or axle's shift holds what the job states each way."""
    path: Path = ("groups", carry["group"])
    if carry["moves"] or "shift" not in carry:
        raise Refused(f"carry: a {carry['group']} shifts")
    ways = ("fore_aft", "sideways", "up_down") if carry["group"] == "frame" else ("fore_aft", "sideways", "up")
    high = np.array([ties.readings.need(*path, way) for way in ways])
    low = -high
    if carry["group"] == "axle":
        low[2] = -ties.readings.need(*path, "down")
    wider = np.concatenate([low - carry["shift"]["low"], carry["shift"]["high"] - high])
    ties.at_least(f"{carry['group']}, shift", float(-wider.min()), float(wider.max()))


def _rock(ties: Ties, carry: Table) -> None:
    """The engine's turn: about the stated axis, right side up positive, so far at the stated place: 2 asin(by / 2r)."""
    path: Path = ("groups", "engine") if ties.readings.at("groups", "engine") is not None else ("shaft", "rock")
    if "shift" in carry or [move["kind"] for move in carry["moves"]] != ["turn"]:
        raise Refused("carry: an engine rocks about one axis")
    (move,) = carry["moves"]
    ties.point("engine, axis of its rock", (*path, "about"), lambda at: beside(at, move["point"], move["axis"]))
    if ties.readings.at(*path, "about_to") is None:
        ties.tied("engine, way of that axis", A_METRE * apart(move["axis"], BACK))
    else:
        ties.point("engine, way of that axis", (*path, "about_to"), lambda at: beside(at, move["point"], move["axis"]))
    place = ties.readings.place(*path, "at")
    if place is None or not move["axis"] @ BACK > 0:
        raise Refused("carry: how far the engine rocks cannot be worked out, or its axis points forward")
    radius = beside(place, move["point"], move["axis"])
    far = turn_of_chord(ties.readings.need(*path, "by"), radius, "carry")
    back = turn_of_chord(ties.readings.mm(*path, "other_way") or 0.0, radius, "carry")
    lifts = ties.readings.at(*path, "lifts")
    right, left = {"right": (far, back), "left": (back, far), "both": (far, far)}[lifts]
    short = radius * max(right - move["stop"], left + move["start"])
    beyond = radius * max(move["stop"] - right, -move["start"] - left)
    ties.at_least("engine, rock", short, beyond)
