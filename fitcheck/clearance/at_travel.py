"""Gaps with pedals held at one travel: of a pair, and of the pair that is nearest to its limit.

What no pedal drives, and pedals whose travel is not said, go through the whole of their range, as does everything else
that moves. Travel as a share, 0 rest, 1 full; millimetres, car frame.
"""

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from fitcheck.clearance.gaps import AMPLE_MM
from fitcheck.clearance.pairs import Pair, Treatment
from fitcheck.clearance.travel import TOLERANCE_MM, body, phases, travel_at
from fitcheck.geometry.bodies import least_gap
from fitcheck.geometry.cover import Body, LeastGap, restricted
from fitcheck.geometry.gap import GapEngine
from fitcheck.placement.scene import Part, Phase

Shares = Mapping[str, float]
SAME_SHARE = 1e-9


@dataclass(frozen=True, eq=False)
class Nearest:
    """A judged pair and its least gap with the pedals as they are held.

    `at_travel` says how far those are pressed there that are not held.
    """

    pair: Pair
    gap: LeastGap
    at_travel: Shares

    @property
    def margin_mm(self) -> float:
        """Certified gap less what is required; of parts that meet, less than nothing by their depth and the need."""
        return (self.gap.bound_mm if self.gap.gap_mm > 0 else -self.gap.depth_mm) - self.pair.need.required_mm


def gap_at(engine: GapEngine, a: Part, b: Part, shares: Shares) -> LeastGap:
    """The least gap of two parts with the pedals held at `shares`, bracketed."""
    return _least(engine, a, b, shares, math.inf)[0]


def _least(engine: GapEngine, a: Part, b: Part, shares: Shares, enough_mm: float) -> tuple[LeastGap, Phase, Phase]:
    best: tuple[LeastGap, Phase, Phase] | None = None
    for a_phase, one in held(a, b, shares):
        for b_phase, other in held(b, a, shares):
            apart = best is not None and best[0].gap_mm > 0
            enough = min(enough_mm, best[0].bound_mm) if best is not None and apart else enough_mm
            found = least_gap(engine, one, other, TOLERANCE_MM, enough)
            if best is None or (-found.depth_mm, found.bound_mm) < (-best[0].depth_mm, best[0].bound_mm):
                best = found, a_phase, b_phase
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
        gap, a_phase, b_phase = _least(engine, a, b, shares, pair.need.required_mm + most)
        a_travel = {} if a.driven_by in shares else travel_at(a_phase, gap.a_piece, gap.a_at)
        b_travel = {} if b.driven_by in shares else travel_at(b_phase, gap.b_piece, gap.b_at)
        found = Nearest(pair, gap, a_travel | b_travel)
        if best is None or found.margin_mm < best.margin_mm:
            best = found
    return best


def held(part: Part, against: Part, shares: Shares) -> Iterator[tuple[Phase, Body]]:
    """The part's phases as they count against another, held where `shares` say how far its pedal is pressed."""
    counted = phases(part, against)
    share = None if part.driven_by is None else shares.get(part.driven_by)
    if share is None:
        yield from ((phase, body(phase)) for phase in counted)
        return
    away = [_outside(phase.span, share) for phase in counted]
    for phase, off in zip(counted, away, strict=True):
        if off <= min(away) + SAME_SHARE:
            yield phase, _held(phase, share)


def _held(phase: Phase, share: float) -> Body:
    if phase.shares:
        away = [_outside(each, share) for each in phase.shares]
        there = (piece for piece, off in zip(phase.pieces, away, strict=True) if off <= min(away) + SAME_SHARE)
        return Body(tuple(there), phase.chain)
    if phase.travel is None or phase.moves is None:
        return body(phase)
    value = min(max(phase.travel.value(share), phase.moves.start), phase.moves.stop)
    return restricted(body(phase), [(value, value), *((float(m.start), float(m.stop)) for m in phase.chain[1:])])


def _outside(span: tuple[float, float], share: float) -> float:
    return max(span[0] - share, share - span[1], 0.0)
