"""How far a piece has got: planned, cut long, tried, finished; what its trim is, and what stays before the bottom. mm.

At the trial fit a piece that is long stops on the bottom and the unit stands off its scribed line by the mating gap G;
one that is not comes to its line with E left before the bottom. Taking off a trim T leaves T - G, or T + E; neither the
unit's place nor the piece's length enters.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import hypot
from typing import Literal

from fitcheck.cuts.chain import Stack, both
from fitcheck.cuts.limits import Band
from fitcheck.cuts.marks import rounded_into
from fitcheck.cuts.saw import SawUse
from fitcheck.cuts.specs import Spec
from fitcheck.errors import Missing

Stage = Literal["not cut", "first cut", "tried", "finished"]


@dataclass(frozen=True)
class State:
    """`left`: what stays (or stayed) before the bottom; `length_mm`: finished length, by plan or as cut.

    now: its length as it was read last, None while it is not cut; disagreement: in words, where trial fit, lengths and
    readings contradict each other; empty otherwise.
    """

    stage: Stage
    length_mm: float
    left: Stack
    now: Stack | None = None
    disagreement: str = ""

    @property
    def to_take_off_mm(self) -> float:
        """What is still to come off it as it is now; 0 where it is finished or can only get too short."""
        return 0.0 if self.now is None else self.now.mm - self.length_mm

    @property
    def at_its_end(self) -> bool:
        """Whether it was cut and nothing more may come off."""
        return self.now is not None and self.to_take_off_mm <= 0


@dataclass(frozen=True, kw_only=True)
class FirstCut(State):
    """Cut, not tried yet: the gap to expect at the trial fit, below 0 where it comes to its line before it stops."""

    predicted: Stack


@dataclass(frozen=True, kw_only=True)
class Tried(FirstCut):
    """Tried: what was read, and the trim that comes out of it, with its spread.

    by_clay: whether it came to its line and `read` is what clay showed before the bottom, not a mating gap;
    on_step: whether a 1/32 in step keeps the band; where none does the trim is the band's middle, by caliper.
    """

    read: Stack
    by_clay: bool
    trim: Stack
    on_step: bool


def state_of(
    spec: Spec, allowed: Band, length_mm: float, reach: Stack, saw: SawUse, read: Mapping[str, Stack]
) -> State:
    """Where the piece stands. reach: length at which it bottoms; read: what was read, by key of [cuts.done.PIECE]."""
    if "cut" in read:
        return _finished(reach, saw, read)
    if "first_cut" not in read:
        if read:
            raise Missing([f"cuts.done.{spec.key}.first_cut"], f"the {spec.name} as it was when it was tried")
        return State("not cut", length_mm, saw.after_trial_fit(reach.mm - length_mm))
    if "mating_gap" in read or "end_gap" in read:
        return _tried(spec, allowed, reach, saw, read)
    return _first_cut(length_mm, reach, saw, read["first_cut"])


def _first_cut(length_mm: float, reach: Stack, saw: SawUse, first: Stack) -> State:
    """Still long, or already as short as planned or shorter: then it stays as it is."""
    if first.mm > length_mm:
        left, length = saw.after_trial_fit(reach.mm - length_mm), length_mm
    else:
        square = Stack.of("squareness of the first cut", 0.0, saw.square_mm)
        left, length = reach.plus(first, -1.0).plus(square), first.mm
    return FirstCut("first cut", length, left, first, predicted=first.plus(reach, -1.0))


def _tried(spec: Spec, allowed: Band, reach: Stack, saw: SawUse, read: Mapping[str, Stack]) -> State:
    first, by_clay = read["first_cut"], "end_gap" in read
    if not by_clay and read["mating_gap"].mm == 0:
        raise Missing(
            [f"cuts.done.{spec.key}.end_gap"],
            f"with the unit on its line, by clay what is left before the bottom: the {spec.name} stops on nothing",
        )
    found = read["end_gap"] if by_clay else read["mating_gap"]
    stands = found if by_clay else found.times(-1.0)
    before = Band(reach.mm - allowed.high_mm, reach.mm - allowed.low_mm)
    stopped_mm = first.mm + stands.mm
    step = rounded_into(Band(stopped_mm - before.high_mm, stopped_mm - before.low_mm))
    length = min(first.mm, stopped_mm - before.middle_mm if step is None else step)
    trim_mm = first.mm - length
    left = saw.after_trial_fit(stands.mm + trim_mm, found) if trim_mm > 0 else stands
    predicted = first.plus(reach, -1.0)
    return Tried(
        "tried",
        length,
        left,
        first,
        _disagreement(stands.times(-1.0), predicted),
        predicted=predicted,
        read=found,
        by_clay=by_clay,
        trim=Stack(trim_mm, left.terms if trim_mm > 0 else {}),
        on_step=step is not None or trim_mm == 0,
    )


def _finished(reach: Stack, saw: SawUse, read: Mapping[str, Stack]) -> State:
    """By clay, else from the trial fit and the two lengths, else from the readings: the surest there is."""
    cut = read["cut"]
    roads = [reach.plus(cut, -1.0)]
    if "first_cut" in read and "mating_gap" in read and read["mating_gap"].mm > 0:
        roads.append(read["first_cut"].plus(cut, -1.0).plus(read["mating_gap"], -1.0))
    square = Stack.of("squareness of the final face", 0.0, saw.trim_square_mm)
    roads = [road.plus(square) for road in roads]
    if "end_gap" in read:
        roads.append(read["end_gap"])
    surest = min(roads, key=lambda road: road.rss_mm)
    against = next((road for road in roads if _disagreement(surest, road)), None)
    doubt = _grown(read) or ("" if against is None else _disagreement(surest, against))
    return State("finished", cut.mm, surest, cut, doubt)


def first_cut_too_long(state: State, planned_mm: float, mark_mm: float, saw: SawUse, spec: Spec) -> str:
    """A first cut, not tried yet, longer than planned by more than all that is left on for the trim; else empty."""
    if state.now is None or state.stage != "first cut":
        return ""
    off = state.now.mm - planned_mm
    allowed, read_from = saw.allowance_mm + hypot(state.now.rss_mm, saw.square_mm), spec.read_from
    if off <= allowed:
        return ""
    if spec.way < 0 and abs(state.now.mm - mark_mm) <= allowed:
        return (
            f"{both(state.now.mm)} is where its mark was, from the {spec.mark_from}: enter the piece's own length, "
            f"from the {read_from}, planned {both(planned_mm)}"
        )
    return (
        f"it reads {both(state.now.mm)} from the {read_from}, {both(off)} longer than the list's {both(planned_mm)}: "
        f"measure it again; if it is right, saw it again, {both(planned_mm)} from the {read_from}, before it is tried"
    )


def _grown(read: Mapping[str, Stack]) -> str:
    """A last cut that is longer than what the first cut left, beyond both spreads."""
    if "first_cut" not in read:
        return ""
    first, cut = read["first_cut"], read["cut"]
    if cut.mm - first.mm <= hypot(cut.rss_mm, first.rss_mm):
        return ""
    return (
        f"finished it reads {both(cut.mm)}, after the first cut it read {both(first.mm)}, and nothing grows: measure "
        "it again"
    )


def _disagreement(read: Stack, predicted: Stack) -> str:
    allowed = hypot(read.rss_mm, predicted.rss_mm)
    off = abs(read.mm - predicted.mm)
    if off <= allowed:
        return ""
    return (
        f"the fit says {both(read.mm)}, the readings {both(predicted.mm)}, {off:.1f} mm apart where their spreads "
        f"allow {allowed:.1f} mm: stop and find the reading that is wrong"
    )
