"""Readings so uncertain that the closest place may lie elsewhere within their spread: the pair is searched anew there.

First order looks at one place; where such a reading moves the whole unit, another corner may come closer. mm and rad.
"""

from collections.abc import Sequence
from math import copysign, radians

from fitcheck.clearance.gaps import AMPLE_MM, Found
from fitcheck.clearance.pairs import Treatment
from fitcheck.clearance.travel import closest
from fitcheck.confidence.nudged import Add, Nudged
from fitcheck.errors import KeyFault
from fitcheck.geometry.cover import LeastGap
from fitcheck.geometry.gap import GapEngine
from fitcheck.placement.scene import Part
from fitcheck.readings.survey import Reading

WIDE_MM = 5.0
WIDE_RAD = radians(2.5)
LOOKED_AT = (-1.0, -0.5, 0.5, 1.0)  # shares of the spread

Elsewhere = Sequence[tuple[float, dict[str, Part]]]


def is_wide(reading: Reading) -> bool:
    """Whether a reading's spread is too wide for first order alone."""
    return reading.spread > (WIDE_RAD if reading.is_angle else WIDE_MM)


def elsewhere(nudged: Nudged, reading: Reading, add: Add) -> Elsewhere:
    """The parts by name with the reading at each of `LOOKED_AT`, where the job can be so at all."""
    found = []
    for share in LOOKED_AT:
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
