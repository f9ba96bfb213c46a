"""Spread of each gap by first order at its closest place: each reading moved a little, the gap looked at again.

At a least gap the movement's value and the direction are stationary, so the height of the two pieces along the fixed
direction, at the same share of the movement, has the gap's derivative (envelope theorem). Spreads of independent
readings add as squares (JCGM 100:2008, 5.1.2). Where the closest place jumps this understates; the spread says so by
being first order.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import erf, sqrt

import numpy as np

from fitcheck.clearance.gaps import Found
from fitcheck.clearance.travel import phases
from fitcheck.geometry.frames import Vector
from fitcheck.job.model import Job
from fitcheck.placement.scene import Part, Scene
from fitcheck.readings.survey import Reading, readings, shifted

STEP_MM = 0.1
STEP_RAD = 1e-4
SIGMAS_95 = 1.959963984540054  # two-sided 95 % of the normal distribution


@dataclass(frozen=True)
class Share:
    """How much of a gap's spread one reading causes: its own part, mm (half-width of 95 %), with its sign."""

    key: str
    part_mm: float


def spreads(job: Job, found: Sequence[Found], place: Callable[[Job], Scene]) -> list[tuple[Share, ...]]:
    """For each entry of `found`, the readings that move its gap, largest part first; empty where it has no gap.

    `place` makes the scene of a job; parts it hands back unchanged are not looked at again.
    """
    shares: list[list[Share]] = [[] for _ in found]
    before = [_height(entry, {}) for entry in found]
    with_part = _entries_with(found)
    was = {part.name: part for entry in found for part in (entry.pair.a, entry.pair.b)}
    for reading in readings(job):
        step = STEP_RAD if reading.is_angle else STEP_MM
        parts = {part.name: part for part in place(shifted(job, reading.path, step)).parts}
        moved = [name for name, part in parts.items() if name in was and was[name] is not part]
        for i in sorted({i for name in moved for i in with_part[name]}):
            height, after = before[i], _height(found[i], parts)
            if height is not None and after is not None:
                _add(shares[i], reading, after - height, step)
    return [tuple(sorted(of_entry, key=lambda share: -abs(share.part_mm))) for of_entry in shares]


def _entries_with(found: Sequence[Found]) -> dict[str, list[int]]:
    """Which entries each part is in: most readings move one part, and the others need no second look."""
    with_part: dict[str, list[int]] = {}
    for i, entry in enumerate(found):
        for part in (entry.pair.a, entry.pair.b):
            with_part.setdefault(part.name, []).append(i)
    return with_part


def _add(shares: list[Share], reading: Reading, change: float, step: float) -> None:
    part = change / step * reading.spread
    if abs(part) > 1e-6:
        shares.append(Share(reading.key, part))


def _height(entry: Found, parts: dict[str, Part]) -> float | None:
    """Height between the two closest pieces along the gap's direction, with the parts as placed anew."""
    closest = entry.closest
    if closest is None or not isinstance(entry.pair.a, Part) or not isinstance(entry.pair.b, Part):
        return None
    a = parts.get(entry.pair.a.name, entry.pair.a)
    b = parts.get(entry.pair.b.name, entry.pair.b)
    gap = closest.gap
    at_a = _standing(entry.pair.a, a, b, closest.a_phase, gap.a_piece, gap.a_at)
    at_b = _standing(entry.pair.b, b, a, closest.b_phase, gap.b_piece, gap.b_at)
    return float((at_b @ gap.normal).min() - (at_a @ gap.normal).max())


def _standing(was: Part, now: Part, against: Part, phase: int, piece: int, at: tuple[float, ...]) -> Vector:
    """Corners of the piece at the same share of its movement's range as before."""
    old = phases(was, against)[phase]
    moved = phases(now, against)
    new = moved[phase] if phase < len(moved) else old  # a boot's lift may leave the range by a hair
    vertices = new.pieces[piece].vertices
    if old.moves is None or new.moves is None:
        return vertices
    width = old.moves.stop - old.moves.start
    share = (at[0] - old.moves.start) / width if width > 0 else 0.0
    return new.moves.moved(vertices, new.moves.start + share * (new.moves.stop - new.moves.start))


def total(shares: Sequence[Share]) -> float:
    """Spread of the gap, mm: root of the sum of squares."""
    return float(np.sqrt(sum(share.part_mm**2 for share in shares)))


def chance_under(bound_mm: float, required_mm: float, spread_mm: float) -> float:
    """Chance (0..1) that the true gap is under the required one: normal about the bound."""
    if spread_mm == 0:
        return float(bound_mm < required_mm)
    return 0.5 * (1 + erf((required_mm - bound_mm) / (spread_mm / SIGMAS_95) / sqrt(2)))
