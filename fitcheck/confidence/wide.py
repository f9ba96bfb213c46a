"""Where first order falls short within a reading's spread: the pair is searched anew there. mm and rad.

First order looks at one place, straight. A wide reading of the whole unit may bring another corner closer; a boot
whose heel lifts sooner or later bends: where the lift begins goes as a root, and with the lift the boot's slope.
"""

from collections.abc import Sequence
from math import copysign, radians

from fitcheck.clearance.boots import on_pedal
from fitcheck.clearance.gaps import AMPLE_MM, Found
from fitcheck.clearance.pairs import Treatment
from fitcheck.clearance.travel import closest
from fitcheck.confidence.nudged import Add, Nudged
from fitcheck.confidence.standing import Side
from fitcheck.errors import KeyFault
from fitcheck.geometry.cover import LeastGap
from fitcheck.geometry.gap import GapEngine
from fitcheck.placement.scene import Part
from fitcheck.readings.survey import Reading

WIDE_MM = 5.0
WIDE_RAD = radians(2.5)
LOOKED_AT = (-1.0, -0.5, 0.5, 1.0)  # shares of the spread
BOTH_ENDS = (-1.0, 1.0)
MATTERS_MM = 40.0  # above its need: more than a boot's lift can take away
LIFT_RAD = 0.01  # a boot's toe, 300 mm from its heel, goes 3 mm
BENT_MM = 0.3  # off the straight line by less: first order will do

Elsewhere = Sequence[tuple[float, dict[str, Part]]]


def is_wide(reading: Reading) -> bool:
    """Whether a reading's spread is too wide for first order alone."""
    return reading.spread > (WIDE_RAD if reading.is_angle else WIDE_MM)


def lifts(entry: Found) -> bool:
    """Whether it is a judged pair of a boot whose heel is off the floor somewhere in its pedal's travel."""
    lifting = any(isinstance(part, Part) and on_pedal(part) and part.notes for part in (entry.pair.a, entry.pair.b))
    return lifting and entry.pair.need.treatment is Treatment.JUDGED


def may_bend(entry: Found, parts: dict[str, Part], per_step: float) -> bool:
    """Whether a boot near its need may not go straight with a reading, by the parts as placed a step away.

    Its heel lifts sooner or later with it, by enough over `per_step` steps (a spread's worth), or lifts throughout,
    where a step shows nothing.
    """
    if entry.closest is None or not lifts(entry) or not _near_its_need(entry):
        return False
    boots = [part for part in (entry.pair.a, entry.pair.b) if isinstance(part, Part) and on_pedal(part)]
    pairs = [(was, parts[was.name]) for was in boots if parts[was.name] is not was]
    return any(
        len(was.phases) == 1 or len(now.phases) == 1 or abs(_lift(now) - _lift(was)) * per_step > LIFT_RAD
        for was, now in pairs
    )


def _near_its_need(entry: Found) -> bool:
    assert entry.closest is not None
    return entry.closest.gap.bound_mm - entry.pair.need.required_mm < MATTERS_MM


def _lift(boot: Part) -> float:
    """Where on its pedal's swing the boot begins to be carried, rad."""
    moves = boot.phases[-1].moves
    assert moves is not None
    return moves.start


def bent(entry: Found, sides: Sequence[Side], ends: Elsewhere, first_order_mm: float) -> float:
    """A reading's part of a gap's spread, mm: the most the gap falls by at one of `ends`, not what it may gain.

    By first order where the witnesses go as it says, else by searching the pair anew.
    """
    assert entry.closest is not None
    part = 0.0 if ends else first_order_mm
    for share, parts in ends:
        fall = -share * first_order_mm
        if not _straight(sides, parts, -fall):
            fall = _signed(entry.closest.gap) - _anew(entry, parts)
        part = -copysign(fall, share) if fall > abs(part) else part
    return part


def _straight(sides: Sequence[Side], parts: dict[str, Part], expected_mm: float) -> bool:
    """Whether the witnesses say, with the parts as placed anew, what first order expects of the gap."""
    advances = [side.advance(parts) for side in sides]
    known = [advance for advance in advances if advance is not None]
    return len(known) == len(advances) and abs(-sum(known) - expected_mm) <= BENT_MM


def elsewhere(nudged: Nudged, reading: Reading, add: Add, shares: Sequence[float] = LOOKED_AT) -> Elsewhere:
    """The parts by name with the reading off by each of `shares` of its spread, where the job can be so at all."""
    found = []
    for share in shares:
        try:
            scene = add(*nudged.moved(reading.path, share * reading.spread))
        except KeyFault:  # the job says itself that the reading cannot be off by so much
            continue
        found.append((share, {part.name: part for part in scene.parts}))
    return found


def larger(first_order_mm: float, entry: Found, scenes: Elsewhere) -> float:
    """A reading's part of a gap's spread, mm: by first order, or the most the gap falls by in `scenes` if that is more.

    Only judged pairs are searched anew.
    """
    part = first_order_mm
    if entry.closest is None or entry.pair.need.treatment is not Treatment.JUDGED:
        return part
    for share, parts in scenes:
        fall = _signed(entry.closest.gap) - _anew(entry, parts)
        if fall > abs(part):
            part = -copysign(fall, share)
    return part


def _anew(entry: Found, parts: dict[str, Part]) -> float:
    a, b = (parts[part.name] for part in (entry.pair.a, entry.pair.b))
    return _signed(closest(GapEngine(), a, b, entry.pair.need.required_mm + AMPLE_MM).gap)


def _signed(gap: LeastGap) -> float:
    """The certified gap, mm; of parts that meet, less their depth."""
    return gap.bound_mm if gap.gap_mm > 0 else -gap.depth_mm
