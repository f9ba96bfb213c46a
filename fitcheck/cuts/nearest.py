"""The nearest place of the unit at which zones, clamp and stroke keep: found on the tape's steps, each laid out again.

A place is a length one can set by tape, so it is rounded away from what it has to stay clear of, and counts only if
everything that hangs on it keeps there, spreads included. Millimetres; a move is + toward the rack.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, floor, isfinite

from fitcheck.cuts import faces
from fitcheck.cuts.faces import Readings
from fitcheck.cuts.layout import Layout, lay_out
from fitcheck.cuts.limits import Limit, LimitResult
from fitcheck.cuts.marks import STEP_MM
from fitcheck.cuts.place import along, forbidden_moves, on_the_column
from fitcheck.cuts.remedies import moves
from fitcheck.job.cutting import Cuts
from fitcheck.job.lengths import HALF_MM
from fitcheck.job.model import Job
from fitcheck.readings.survey import shifted

STEPS_BEYOND = 8  # the finished lengths' own rounding shifts with the place, by less than this many steps
PLACE = ("unit", "input_face")


@dataclass(frozen=True)
class NearestPlace:
    """The least move that keeps all; input_face_mm from the hub seat then, set_mm from the mark the job reads it from.

    also: in words, what has to move with the unit; empty where nothing does.
    """

    move_mm: float
    input_face_mm: float
    set_mm: float
    mark: str
    also: str = ""


@dataclass(frozen=True)
class NoPlace:
    """There is none, or the unit's place does not decide it: why, in words."""

    reason: str


Nearest = NearestPlace | NoPlace


def nearest(job: Job, cuts: Cuts, read: Readings, here: Layout) -> Iterator[Nearest]:
    """Nothing where all keeps; else the nearest place, and what no place of the unit changes."""
    if not all(found.result is LimitResult.KEEPS for found in here.moved_by_the_unit) and here.taken:
        yield from _with_and_without_clamp(job, cuts, read, here)
    for found in here.fixed:
        yield NoPlace(f"{found.what}: no place of the unit changes that; move the clamp out of the zone as well")


def _with_and_without_clamp(job: Job, cuts: Cuts, read: Readings, here: Layout) -> Iterator[Nearest]:
    """The place with the clamp where it is, and before it a nearer one where the clamp may move as well."""
    place = _found(job, cuts, read, here, clamp_stays=True)
    freer = _found(job, cuts, read, here, clamp_stays=False) if here.clamps else place
    if isinstance(freer, NearestPlace) and (isinstance(place, NoPlace) or abs(freer.move_mm) < abs(place.move_mm)):
        yield freer
        yield from [place] if isinstance(place, NearestPlace) else []
    else:
        yield place


def _found(job: Job, cuts: Cuts, read: Readings, here: Layout, clamp_stays: bool) -> Nearest:
    bars = list(forbidden_moves(cuts, here.taken, here.chain))
    low, high = on_the_column(here.taken, here.chain)
    for piece in here.pieces:
        if piece.state.now is not None:
            low, high = max(low, moves(piece)[0]), min(high, moves(piece)[1])
    for move in sorted(set(_tries(job, here, bars)), key=lambda one: (abs(one), one)):
        inside = low <= move <= high and not any(start < move < end for start, end in bars)
        if inside and all(_keeps(job, cuts, read, by, clamp_stays) for by in (move, _as_typed(job, move))):
            place = along(here.chain, faces.INPUT_FACE).mm + move
            also = "" if clamp_stays else "the bracket's clamp stands in the unit's way there and has to move as well"
            return NearestPlace(move, place, job.unit.input_face.mm + move, job.unit.along_from, also)
    return NoPlace("no place on this column keeps every zone")


def _tries(job: Job, here: Layout, bars: list[tuple[float, float]]) -> Iterator[float]:
    """Places on the tape's steps, from just beyond each thing to stay clear of."""
    step, now = (HALF_MM if job.job.show == "mm" else STEP_MM), job.unit.input_face.mm
    for start, end in (*bars, *_by_clamp_and_stroke(here)):
        if isfinite(start):
            yield from (step * (floor((now + start) / step) - k) - now for k in range(STEPS_BEYOND))
        if isfinite(end):
            yield from (step * (ceil((now + end) / step) + k) - now for k in range(STEPS_BEYOND))


def _by_clamp_and_stroke(here: Layout) -> Iterator[tuple[float, float]]:
    """How far the unit has to go, either way, to mend a room that is short by more than its spread."""
    for found in (*here.clamps, *here.moved_by_the_unit):
        if isinstance(found, Limit):
            lacking = found.stack.rss_mm + found.band.low_mm - found.stack.mm
            yield -lacking, lacking


def _as_typed(job: Job, move: float) -> float:
    """The move that results when the place is typed as printed, in mm to a tenth."""
    return round(job.unit.input_face.mm + move, 1) - job.unit.input_face.mm


def _keeps(job: Job, cuts: Cuts, read: Readings, move: float, clamp_stays: bool) -> bool:
    there = lay_out(shifted(job, PLACE, move), cuts, read)
    clamps = () if clamp_stays else there.clamps
    return all(found.result is LimitResult.KEEPS or found in clamps for found in there.moved_by_the_unit)
