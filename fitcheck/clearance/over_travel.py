"""How much room a pair keeps along one pedal's travel: at 41 stops, and a certified floor for each stretch between.

Everything else that moves is taken through the whole of its range. Millimetres; travel as a share, 0 rest, 1 full.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from fitcheck.clearance.at_travel import gap_at
from fitcheck.clearance.travel import body, phases
from fitcheck.geometry.bodies import least_gap
from fitcheck.geometry.cover import Body, restricted
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.gap import GapEngine
from fitcheck.placement.scene import Kind, Part, Phase, Scene, Travel

STRETCHES = 40
TOLERANCE_MM = 0.5
SAME_SHARE = 1e-9


@dataclass(frozen=True)
class Floor:
    """Over the travel from `low` to `high` the pair keeps at least `bound_mm`; 0 or less: they may meet there."""

    low: float
    high: float
    bound_mm: float


@dataclass(frozen=True, eq=False)
class Stop:
    """At the travel `share` the pair keeps at least `bound_mm`, nearest at `on_a` and `on_b` (3,); or it `meets`,

    and is in by at least `depth_mm`.
    """

    share: float
    bound_mm: float
    depth_mm: float
    meets: bool
    on_a: Vector
    on_b: Vector


@dataclass(frozen=True, eq=False)
class Along:
    """A pair along the travel of the one pedal that drives it."""

    floors: tuple[Floor, ...]
    stops: tuple[Stop, ...]


def travels(scene: Scene) -> list[Travel]:
    """Each pedal's travel once: its own, or the widest of what it drives where the pedal itself is not placed yet."""
    own: dict[str, Travel] = {}
    others: dict[str, Travel] = {}
    for part in scene.parts:
        for phase in part.phases:
            known = own if part.kind is Kind.PEDAL else others
            if phase.travel is not None and _wide(phase.travel) > _wide(known.get(phase.travel.pedal)):
                known[phase.travel.pedal] = phase.travel
    return [*own.values(), *(travel for pedal, travel in others.items() if pedal not in own)]


def _wide(travel: Travel | None) -> float:
    return -1.0 if travel is None else float(np.ptp(travel.shares))


def stop_shares(travel: Travel) -> tuple[float, ...]:
    """The 41 stops of a pedal from end to end, evenly but for rest and full travel, which are among them."""
    low, high = min(travel.shares), max(travel.shares)
    marks = [low, *(mark for mark in (0.0, 1.0) if low < mark < high), high]
    counts = _counts([after - before for before, after in pairwise(marks)])
    stretches = zip(pairwise(marks), counts, strict=True)
    return (*(float(x) for (one, two), n in stretches for x in np.linspace(one, two, n + 1)[:-1]), float(high))


def _counts(widths: list[float]) -> list[int]:
    """How many of the stretches each width gets, one at least, the widest what is left."""
    counts = [max(1, round(STRETCHES * width / sum(widths))) for width in widths]
    counts[int(np.argmax(widths))] += STRETCHES - sum(counts)
    return counts


def over_travel(engine: GapEngine, scene: Scene, a: Part, b: Part) -> Along:
    """Floors and stops along the travel of the one pedal that drives the pair; none where none or two do."""
    driven = [part for part in (a, b) if part.driven_by is not None]
    if len(driven) != 1:
        return Along((), ())
    moving, still = driven[0], b if driven[0] is a else a
    (travel,) = [travel for travel in travels(scene) if travel.pedal == moving.driven_by]
    shares = stop_shares(travel)
    found = [
        floor
        for phase in phases(moving, still)
        for other in phases(still, moving)
        for floor in _floors(engine, phase, body(other), shares)
    ]
    floors = tuple(sorted(found, key=lambda floor: (floor.low, floor.high, floor.bound_mm)))
    return Along(floors, tuple(_stop(engine, a, b, travel.pedal, share) for share in shares))


def _stop(engine: GapEngine, a: Part, b: Part, pedal: str, share: float) -> Stop:
    gap = gap_at(engine, a, b, {pedal: share})
    return Stop(share, gap.bound_mm, gap.depth_mm, gap.gap_mm == 0, gap.on_a, gap.on_b)


def _floors(engine: GapEngine, phase: Phase, other: Body, shares: tuple[float, ...]) -> Iterator[Floor]:
    if phase.shares:
        for piece, (low, high) in zip(phase.pieces, phase.shares, strict=True):
            gap = least_gap(engine, Body((piece,), phase.chain), other, TOLERANCE_MM)
            yield Floor(low, high, gap.bound_mm)
        return
    if phase.travel is None or phase.moves is None:
        return
    others = [(float(move.start), float(move.stop)) for move in phase.chain[1:]]
    first, last = phase.span
    edges = [first, *(share for share in shares if first + SAME_SHARE < share < last - SAME_SHARE), last]
    for low, high in pairwise(edges):
        start, stop = sorted(_within(phase, phase.travel.value(share)) for share in (low, high))
        part = restricted(body(phase), [(start, stop), *others])
        yield Floor(low, high, least_gap(engine, part, other, TOLERANCE_MM).bound_mm)


def _within(phase: Phase, value: float) -> float:
    assert phase.moves is not None
    return min(max(value, phase.moves.start), phase.moves.stop)
