"""The room the turning shaft needs: the engine as it rocks, and who must stay how far from it.

Car frame, mm. Gaps are the certified ones of every other pair.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from fitcheck.clearance.gaps import Found
from fitcheck.clearance.pairs import DRIVEN, PEDAL_MM, Need, Pair, Treatment
from fitcheck.clearance.travel import closest
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.movement import Turn
from fitcheck.job.shafting import Rock, Shafting
from fitcheck.placement.groups import shaft_rock
from fitcheck.placement.points import Places
from fitcheck.placement.scene import Kind, Part, Phase, Scene, Unplaced
from fitcheck.shaft.limits import CLEAR_MM, HOT_AT_REST_MM, HOT_BEYOND_ROCK_MM, TRADE
from fitcheck.shaft.solids import SHAFT

CARRIES_IT = (Kind.COLUMN, Kind.UNIT)


def rock_turn(rock: Rock, places: Places) -> Turn:
    """The engine's rock about a fore-and-aft axis, right-hand about rearward: positive lifts the right side."""
    return shaft_rock(rock, places)


def rocked(part: Part, turn: Turn) -> Part:
    """An engine part that rocks."""
    return replace(part, phases=tuple(Phase(phase.pieces, turn) for phase in part.phases))


def rock_mm(part: Part, turn: Turn) -> float:
    """How far the farthest point of the part moves as the engine rocks, straight across."""
    reach = max(turn.reach(piece.vertices) for phase in part.phases for piece in phase.pieces)
    return 2 * reach * float(np.sin(max(-turn.start, turn.stop) / 2))


def others(scene: Scene) -> Iterator[Part | Unplaced]:
    """Every part of the scene, placed or not."""
    yield from scene.parts
    yield from scene.unplaced


def set_aside(own: Part, other: Part | Unplaced) -> Need | None:
    """Why a part is not judged against the shaft, or its bearing; None where it is."""
    if own.name == SHAFT and other.kind in CARRIES_IT:
        return Need(Treatment.JOINED, "the shaft hangs on it")
    if other.name in own.joined:
        return Need(Treatment.JOINED, f"the {own.name} passes through it or is bolted to it")
    if other.kind is Kind.BOOT:
        return Need(Treatment.NOT_LOOKED_AT, "floor and firewall are between them")
    return None


def at_rest_need(shaft: Shafting, part: Part | Unplaced, turn: Turn | None) -> Need:
    """Required gap with the engine at rest: heat where it is hot, else the trade's, and what the box may move."""
    moves = _box_moves(shaft) + axle_reach_mm(part)
    if part.name in shaft.hot:
        rock = rock_mm(part, turn) if turn is not None and isinstance(part, Part) and _of_engine(part) else 0.0
        cold = max(HOT_AT_REST_MM, rock + HOT_BEYOND_ROCK_MM) + moves
        beyond = "its rock, not known," if turn is None and _of_engine(part) else f"its rock of {rock:.0f} mm"
        said = f"{TRADE}: hot part, cold and at rest: 25 mm, and {beyond} and 13 mm"
        return Need(Treatment.JUDGED, "hot, at rest", cold, said + _and_moves(moves))
    return _plain_need(shaft, part, moves)


def rocking_need(shaft: Shafting, part: Part) -> Need:
    """Required gap through the engine's rock."""
    moves = _box_moves(shaft)
    if part.name in shaft.hot:
        said = f"{TRADE}: hot part, as the engine rocks" + _and_moves(moves)
        return Need(Treatment.JUDGED, "hot, through the rock", HOT_BEYOND_ROCK_MM + moves, said)
    return _plain_need(shaft, part, moves)


def _plain_need(shaft: Shafting, part: Part | Unplaced, moves: float) -> Need:
    stated = shaft.clear_by
    usual = PEDAL_MM if part.kind in DRIVEN else CLEAR_MM
    gap, source = (usual, TRADE) if stated is None else (stated.mm, "job, shaft.clear_by")
    return Need(Treatment.JUDGED, "", gap + moves, source + _and_moves(moves))


def _box_moves(shaft: Shafting) -> float:
    return 0.0 if shaft.lower.moves is None else shaft.lower.moves.mm


def axle_reach_mm(part: Part | Unplaced) -> float:
    """How far a part of the axle can go from where it was measured, against the frame; 0 for any other."""
    shifts = [carry.shift for carry in part.carry if carry.group == "axle"] if isinstance(part, Part) else []
    corners = [np.maximum(-shift.low, shift.high) for shift in shifts if shift is not None]
    return float(sum(np.linalg.norm(corner) for corner in corners))


def _and_moves(moves: float) -> str:
    return f", and {moves:.3g} mm that box, frame or axle moves" if moves else ""


def pairs_at_rest(engine: GapEngine, shaft: Shafting, own: Part, scene: Scene, turn: Turn | None) -> Iterator[Found]:
    """The shaft against everything at rest, but engine parts that are not hot: those are judged through the rock."""
    for other in others(scene):
        aside = set_aside(own, other)
        if aside is not None:
            yield Found(Pair(own, other, aside), None, None)  # listed with its reason, not judged
        elif turn is None or not _of_engine(other) or other.name in shaft.hot:
            yield _found(engine, Pair(own, other, at_rest_need(shaft, other, turn)))


def pairs_rocking(engine: GapEngine, shaft: Shafting, own: Part, scene: Scene, turn: Turn) -> Iterator[Found]:
    """The shaft against the engine's parts through the whole rock."""
    for other in scene.parts:
        if _of_engine(other) and set_aside(own, other) is None:
            yield _found(engine, Pair(own, rocked(other, turn), rocking_need(shaft, other)))


def rock_not_known(shaft: Shafting, own: Part, scene: Scene) -> Iterator[Found]:
    """The engine's parts where nobody has said how it rocks: not known, with what to measure."""
    for other in scene.parts:
        if _of_engine(other) and set_aside(own, other) is None:
            words = "how far the engine rocks at a named place, about which axis, and which side lifts"
            lacking = Unplaced(f"{other.name}, rocking", other.kind, other.new, ("shaft.rock",), words)
            yield Found(Pair(own, lacking, rocking_need(shaft, other)), None, None)


def _of_engine(part: Part | Unplaced) -> bool:
    return isinstance(part, Part) and part.group == "engine"


def _found(engine: GapEngine, pair: Pair) -> Found:
    if isinstance(pair.a, Unplaced) or isinstance(pair.b, Unplaced):
        return Found(pair, None, None)
    return Found(pair, closest(engine, pair.a, pair.b), None)


def least_margin_mm(found: Sequence[Found]) -> float:
    """Least margin of some gaps, deeper where they meet; infinite where there are none."""
    margins = [
        entry.closest.gap.bound_mm - entry.closest.gap.depth_mm - entry.pair.need.required_mm
        for entry in found
        if entry.closest is not None
    ]
    return min(margins, default=float("inf"))
