"""The least gap of a pair of parts through every movement, and where in the travel the two first touch."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from fitcheck.clearance.pairs import DRIVEN
from fitcheck.geometry.bodies import first_touch, least_gap
from fitcheck.geometry.cover import Body, Leaf, LeastGap, restricted
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.movement import Turn
from fitcheck.geometry.solids import Piece
from fitcheck.placement.scene import Kind, Part, Phase, Travel

TOLERANCE_MM = 0.05
TOUCH_WITHIN = 0.002  # of a movement's range
AT_REST = 1e-9  # a share of travel this small is rest, rounded
NEAR_END = 0.3  # of a piece's length counts as its end


@dataclass(frozen=True, eq=False)
class Cover:
    """The leaves that cover the whole of the movements of one phase of a part against one phase of another."""

    a_phase: int
    b_phase: int
    leaves: tuple[Leaf, ...]


@dataclass(frozen=True, eq=False)
class Closest:
    """Where two parts come closest: the phases, pieces and travels concerned, and the gap there.

    `covers` holds the leaves of every pair of phases, those that stay farther apart too. `at_movement` says how far
    each movement of a whole group has gone there, 0 as measured, 1 or -1 all the way.
    """

    a_phase: int
    b_phase: int
    gap: LeastGap
    a_where: str
    b_where: str
    at_travel: dict[str, float]
    covers: tuple[Cover, ...] = ()
    at_movement: dict[str, float] = field(default_factory=dict)


def phases(part: Part, against: Part) -> tuple[Phase, ...]:
    """The part's phases as they count against another part.

    Against a pedal, linkage or boot they are swept over someone heaving on the wheel; against the bracket the unit
    counts without the pieces that are bolted to it; and they go with the part's group, but for what carries both.
    """
    counted = part.pulled if counts_pulled(part, against) else part.phases
    if any(phase.carry for phase in counted) and not (part.as_measured or against.as_measured):
        counted = tuple(phase.against(against.carry) for phase in counted)
    if not part.bolted or against.kind is not Kind.BRACKET:
        return counted
    kept = tuple(replace(phase, pieces=_unbolted(phase, part)) for phase in counted)
    return tuple(phase for phase in kept if phase.pieces)


def counts_pulled(part: Part, against: Part) -> bool:
    """Whether the part counts as swept over someone heaving on the wheel."""
    return bool(part.pulled) and against.kind in (*DRIVEN, Kind.BOOT)


def _unbolted(phase: Phase, part: Part) -> tuple[Piece, ...]:
    return tuple(piece for piece in phase.pieces if piece.name not in part.bolted)


def body(phase: Phase) -> Body:
    """A phase as what the cover takes."""
    return phase.body


def closest(engine: GapEngine, a: Part, b: Part, enough_mm: float = math.inf) -> Closest:
    """The least gap over all phases and the whole of every movement, bracketed, or known to be at least `enough_mm`."""
    best: Closest | None = None
    covers: list[Cover] = []
    doubt = ""
    for i, a_phase in enumerate(phases(a, b)):
        for j, b_phase in enumerate(phases(b, a)):
            # A phase that comes no nearer than the nearest so far need not be known any better.
            apart = best is not None and best.gap.gap_mm > 0
            enough = min(enough_mm, best.gap.bound_mm) if best is not None and apart else enough_mm
            found = least_gap(engine, body(a_phase), body(b_phase), TOLERANCE_MM, enough)
            covers.append(Cover(i, j, found.leaves))
            doubt = doubt or found.doubt
            if best is None or _below(found, best.gap):
                best = _located(i, j, a_phase, b_phase, found)
    assert best is not None  # every part has a phase
    # Where any phase may be inside the other part, the nearest gap of surfaces does not settle it.
    return replace(best, covers=tuple(covers), gap=replace(best.gap, doubt=doubt))


def _below(one: LeastGap, other: LeastGap) -> bool:
    return (-one.depth_mm, one.bound_mm) < (-other.depth_mm, other.bound_mm)


def _located(i: int, j: int, a_phase: Phase, b_phase: Phase, found: LeastGap) -> Closest:
    at = travel_at(a_phase, found.a_piece, found.a_at) | travel_at(b_phase, found.b_piece, found.b_at)
    swayed = _swayed(a_phase, found.a_at) | _swayed(b_phase, found.b_at)
    a_where = _where(a_phase, found.a_piece, found.a_at, found.on_a)
    b_where = _where(b_phase, found.b_piece, found.b_at, found.on_b)
    return Closest(i, j, found, a_where, b_where, at, at_movement=swayed)


def _swayed(phase: Phase, at: tuple[float, ...]) -> dict[str, float]:
    own = len(phase.chain) - len(phase.sways)
    return {sway.name: sway.share(value) for sway, value in zip(phase.sways, at[own:], strict=True)}


def _where(phase: Phase, piece: int, at: tuple[float, ...], point: Vector) -> str:
    """In words where on the part the point lies: the piece, and which end of it."""
    (rest,) = phase.at_rest(point[None], at)
    whole = phase.pieces[piece]
    if len(whole.places) != 2:
        return whole.name
    (first, start), (last, end) = whole.places
    share = (rest - start) @ (end - start) / ((end - start) @ (end - start))
    return f"{whole.name}, {first if share < NEAR_END else last if share > 1 - NEAR_END else 'middle'}"


def travel_at(phase: Phase, piece: int, at: tuple[float, ...]) -> dict[str, float]:
    """How far the phase's pedal is pressed with its movements at the values `at`; empty where no pedal drives it."""
    if phase.travel is None:
        return {}
    if phase.shares:
        return {phase.travel.pedal: float(np.mean(phase.shares[piece]))}
    return {phase.travel.pedal: phase.travel.share(at[0])}


def touch_travel(engine: GapEngine, a: Part, b: Part) -> float | None:
    """Lowest travel from rest at which the two meet; a negative one where they only meet pulled up beyond rest.

    None where no movement brings them together, or where two pedals' travels are concerned.
    """
    driven, other = (a, b) if a.driven_by is not None else (b, a)
    if driven.driven_by is None or other.driven_by not in (None, driven.driven_by):
        return None
    touches = [
        share
        for phase in phases(driven, other)
        for still in phases(other, driven)
        for share in _phase_touches(engine, phase, still)
    ]
    return min((share for share in touches if share >= 0), default=max(touches, default=None))


def _phase_touches(engine: GapEngine, phase: Phase, still: Phase) -> Iterator[float]:
    """Shares of travel at which the phase first meets `still`, beyond rest and before it."""
    if phase.shares:
        for piece, (low, high) in zip(phase.pieces, phase.shares, strict=True):
            if least_gap(engine, Body((piece,), phase.chain), body(still)).gap_mm == 0:
                yield max(low, 0.0) if high > 0 else low
        return
    assert phase.travel is not None and isinstance(phase.moves, Turn)
    way = _way(phase.travel)
    move = _turned_round(phase.moves) if way < 0 else phase.moves
    whole, rest = Body(phase.pieces, (move, *phase.chain[1:])), _at_rest(phase.travel, move, way)
    others = [(float(other.start), float(other.stop)) for other in phase.chain[1:]]
    for low, high in ((rest, move.stop), (move.start, rest)):
        resolution = TOUCH_WITHIN * (move.stop - move.start)
        touch = first_touch(engine, restricted(whole, [(low, high), *others]), body(still), "a", resolution)
        if touch is not None:
            share = phase.travel.share(way * touch[1])
            yield 0.0 if abs(share) < AT_REST else share


def _way(travel: Travel) -> int:
    """1 where the movement's value rises as the pedal is pressed, -1 where it falls, as a planted boot's slope may."""
    return 1 if travel.shares[-1] >= travel.shares[0] else -1


def _turned_round(move: Turn) -> Turn:
    """The same turn with its values counted the other way."""
    return Turn(move.point, -move.axis, -move.stop, -move.start)


def _at_rest(travel: Travel, move: Turn, way: int) -> float:
    """Value of `move` with the pedal at rest; the end nearest to rest where the phase does not hold it."""
    values = way * np.array(travel.values)[::way]
    return float(np.clip(np.interp(0.0, travel.shares[::way], values), move.start, move.stop))
