"""Gaps with pedals held at one travel: of a pair, and of the pair that is nearest to its limit.

What no pedal drives, and pedals whose travel is not said, go through the whole of their range, as does everything else
that moves. Travel as a share, 0 rest, 1 full; millimetres, car frame.
"""

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from fitcheck.clearance.gaps import AMPLE_MM
from fitcheck.clearance.pairs import Pair, Treatment
from fitcheck.clearance.travel import TOLERANCE_MM, body, phases
from fitcheck.geometry.bodies import least_gap
from fitcheck.geometry.cover import Body, LeastGap, restricted
from fitcheck.geometry.gap import GapEngine
from fitcheck.placement.scene import Part, Phase

Shares = Mapping[str, float]
SAME_SHARE = 1e-9


@dataclass(frozen=True, eq=False)
class Nearest:
    """A judged pair and its least gap with the pedals as they are held."""

    pair: Pair
    gap: LeastGap

    @property
    def margin_mm(self) -> float:
        """Certified gap less what is required; of parts that meet, less than nothing by their depth and the need."""
        return (self.gap.bound_mm if self.gap.gap_mm > 0 else -self.gap.depth_mm) - self.pair.need.required_mm


def gap_at(
    engine: GapEngine, a: Part, b: Part, shares: Shares, tolerance_mm: float = TOLERANCE_MM, enough_mm: float = math.inf
) -> LeastGap:
    """The least gap of two parts with the pedals held at `shares`, bracketed, or known to be `enough_mm` at least."""
    best: LeastGap | None = None
    for one in held(a, b, shares):
        for other in held(b, a, shares):
            apart = best is not None and best.gap_mm > 0
            enough = min(enough_mm, best.bound_mm) if best is not None and apart else enough_mm
            found = least_gap(engine, one, other, tolerance_mm, enough)
            if best is None or (-found.depth_mm, found.bound_mm) < (-best.depth_mm, best.bound_mm):
                best = found
    assert best is not None  # every part has a phase
    return best


def nearest_at(engine: GapEngine, every: Iterable[Pair], shares: Shares) -> Nearest | None:
    """The judged pair with the least margin, the pedals held at `shares`; None where no pair can be looked at.

    A pair is looked at no longer than it takes to know that another one is nearer to its limit.
    """
    best: Nearest | None = None
    for pair in every:
        a, b = pair.a, pair.b
        if pair.need.treatment is not Treatment.JUDGED or not (isinstance(a, Part) and isinstance(b, Part)):
            continue
        most = AMPLE_MM if best is None else max(best.margin_mm, 0.0)
        found = Nearest(pair, gap_at(engine, a, b, shares, enough_mm=pair.need.required_mm + most))
        if best is None or found.margin_mm < best.margin_mm:
            best = found
    return best


def held(part: Part, against: Part, shares: Shares) -> Iterator[Body]:
    """The part's phases as they count against another, held where `shares` say how far its pedal is pressed."""
    counted = phases(part, against)
    share = None if part.driven_by is None else shares.get(part.driven_by)
    if share is None:
        yield from map(body, counted)
        return
    away = [_off(phase, share) for phase in counted]
    for phase, off in zip(counted, away, strict=True):
        if off <= min(away) + SAME_SHARE:
            yield _held(phase, share)


def _held(phase: Phase, share: float) -> Body:
    if phase.shares:
        away = [_outside(each, share) for each in phase.shares]
        there = (piece for piece, off in zip(phase.pieces, away, strict=True) if off <= min(away) + SAME_SHARE)
        return Body(tuple(there), phase.chain)
    if phase.travel is None or phase.moves is None:
        return body(phase)
    value = min(max(phase.travel.value(share), phase.moves.start), phase.moves.stop)
    return restricted(body(phase), [(value, value), *((float(m.start), float(m.stop)) for m in phase.chain[1:])])


def _off(phase: Phase, share: float) -> float:
    return _outside(phase.span, share)


def _outside(span: tuple[float, float], share: float) -> float:
    return max(span[0] - share, share - span[1], 0.0)
