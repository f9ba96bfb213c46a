"""How much room a pair keeps along one pedal's travel: a certified floor for each stretch of it, never a value between.

Everything else that moves is taken through the whole of its range. Millimetres; travel as a share, 0 rest, 1 full.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from fitcheck.clearance.travel import body, phases
from fitcheck.geometry.bodies import least_gap
from fitcheck.geometry.cover import Body, restricted
from fitcheck.geometry.gap import GapEngine
from fitcheck.placement.scene import Part, Phase

STRETCHES = 40
TOLERANCE_MM = 0.5


@dataclass(frozen=True)
class Floor:
    """Over the travel from `low` to `high` the pair keeps at least `bound_mm`; 0 or less: they may meet there."""

    low: float
    high: float
    bound_mm: float


def over_travel(engine: GapEngine, a: Part, b: Part) -> tuple[Floor, ...]:
    """Floors along the travel of the one pedal that drives the pair; none where no pedal or two of them do."""
    driven = [part for part in (a, b) if part.driven_by is not None]
    if len(driven) != 1:
        return ()
    moving, still = driven[0], b if driven[0] is a else a
    found = [
        floor
        for phase in phases(moving, still)
        for other in phases(still, moving)
        for floor in _floors(engine, phase, body(other))
    ]
    return tuple(sorted(found, key=lambda floor: (floor.low, floor.high, floor.bound_mm)))


def _floors(engine: GapEngine, phase: Phase, other: Body) -> Iterator[Floor]:
    if phase.shares:
        for piece, (low, high) in zip(phase.pieces, phase.shares, strict=True):
            gap = least_gap(engine, Body((piece,), phase.chain), other, TOLERANCE_MM)
            yield Floor(low, high, gap.bound_mm)
        return
    if phase.travel is None or phase.moves is None:
        return
    others = [(float(move.start), float(move.stop)) for move in phase.chain[1:]]
    ends = np.linspace(phase.moves.start, phase.moves.stop, STRETCHES + 1).tolist()
    for start, stop in pairwise(ends):
        part = restricted(body(phase), [(start, stop), *others])
        low, high = sorted((phase.travel.share(start), phase.travel.share(stop)))
        yield Floor(low, high, least_gap(engine, part, other, TOLERANCE_MM).bound_mm)
