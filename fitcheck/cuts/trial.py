"""How far a piece has got: planned, cut long, tried, finished; what its trim is, and what stays before the bottom. mm.

At the trial fit a piece that is long stops on the bottom and the unit stands off its scribed line by the mating gap G.
Taking off a trim T then leaves T - G before the bottom; neither the unit's place nor the piece's length enters.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import hypot
from typing import Literal

from fitcheck.cuts.chain import Stack
from fitcheck.cuts.limits import Band
from fitcheck.cuts.marks import rounded_into
from fitcheck.cuts.saw import SawUse
from fitcheck.cuts.specs import Spec
from fitcheck.placement.scene import Missing

Stage = Literal["not cut", "first cut", "tried", "finished"]


@dataclass(frozen=True)
class State:
    """`left`: what stays (or stayed) before the bottom; `length_mm`: finished length, by plan or as cut.

    disagreement: in words, where the trial fit and the readings contradict each other; empty otherwise.
    """

    stage: Stage
    length_mm: float
    left: Stack
    disagreement: str = ""


@dataclass(frozen=True, kw_only=True)
class FirstCut(State):
    """Cut long, not tried yet: the gap to expect at the trial fit. `first_mm`: its length as read."""

    first_mm: float
    predicted: Stack


@dataclass(frozen=True, kw_only=True)
class Tried(FirstCut):
    """Tried: the gap that was read, and the trim that comes out of it, with its spread.

    on_step: whether a 1/32 in step keeps the band; where none does the trim is the band's middle, by caliper.
    """

    read: Stack
    trim: Stack
    on_step: bool


def state_of(
    spec: Spec, allowed: Band, length_mm: float, reach: Stack, saw: SawUse, read: Mapping[str, Stack]
) -> State:
    """Where the piece stands. reach: length at which it bottoms; read: what was read, by key of [cuts.done.PIECE]."""
    if "cut" in read:
        return _finished(reach, saw, read)
    if "mating_gap" in read:
        if "first_cut" not in read:
            raise Missing([f"cuts.done.{spec.key}.first_cut"], f"the {spec.name} as it was when it was tried")
        return _tried(spec, allowed, reach, saw, read)
    left_mm = reach.mm - length_mm
    if "first_cut" in read:
        first = read["first_cut"]
        return FirstCut(
            "first cut", length_mm, saw.after_trial_fit(left_mm), first_mm=first.mm, predicted=_predicted(first, reach)
        )
    return State("not cut", length_mm, saw.after_trial_fit(left_mm))


def _predicted(first: Stack, reach: Stack) -> Stack:
    """The mating gap to expect: what the piece is longer than the length at which it bottoms; none if it does not."""
    gap = first.plus(reach, -1.0)
    return gap if gap.mm > 0 else Stack(0.0, gap.terms)


def _tried(spec: Spec, allowed: Band, reach: Stack, saw: SawUse, read: Mapping[str, Stack]) -> State:
    first, gap = read["first_cut"], read["mating_gap"]
    predicted = _predicted(first, reach)
    if gap.mm <= 0:
        raise Missing(
            [f"cuts.done.{spec.key}.end_gap"],
            f"by clay what is left before the bottom: the {spec.name} stops on nothing",
        )
    stopped_mm = first.mm - gap.mm
    wanted = Band(stopped_mm - (reach.mm - allowed.low_mm), stopped_mm - (reach.mm - allowed.high_mm), allowed.said)
    step = rounded_into(wanted)
    trim_mm = first.mm - (wanted.middle_mm if step is None else step)
    trim = saw.after_trial_fit(trim_mm, gap)
    return Tried(
        "tried",
        first.mm - trim_mm,
        saw.after_trial_fit(trim_mm - gap.mm, gap),
        _disagreement(gap, predicted),
        first_mm=first.mm,
        predicted=predicted,
        read=gap,
        trim=trim,
        on_step=step is not None,
    )


def _finished(reach: Stack, saw: SawUse, read: Mapping[str, Stack]) -> State:
    """By clay, else from the trial fit and the two lengths, else from the readings: the surest there is."""
    cut = read["cut"]
    roads = [reach.plus(cut, -1.0)]
    if "mating_gap" in read and "first_cut" in read:
        roads.append(read["first_cut"].plus(cut, -1.0).plus(read["mating_gap"], -1.0))
    square = Stack.of("squareness of the final face", 0.0, saw.trim_square_mm)
    roads = [road.plus(square) for road in roads]
    if "end_gap" in read:
        roads.append(read["end_gap"])
    surest = min(roads, key=lambda road: road.rss_mm)
    against = next((road for road in roads if _disagreement(surest, road)), None)
    return State("finished", cut.mm, surest, "" if against is None else _disagreement(surest, against))


def _disagreement(read: Stack, predicted: Stack) -> str:
    allowed = hypot(read.rss_mm, predicted.rss_mm)
    off = abs(read.mm - predicted.mm)
    if off <= allowed:
        return ""
    return (
        f"the fit says {read.mm:.1f} mm, the readings {predicted.mm:.1f} mm, {off:.1f} mm apart where their spreads "
        f"allow {allowed:.1f} mm: stop and find the reading that is wrong"
    )
