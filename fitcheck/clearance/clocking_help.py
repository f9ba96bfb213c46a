"""What would help: the same search with one single thing changed, each by a coarse map, best first.

A change is never a smaller required gap and never a stop on a pedal. Clocks in rad; mm, along from the hub seat.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from fitcheck.clearance.clocking_allowed import Allowed, any_clock, beyond
from fitcheck.clearance.clocking_chart import Node, coarse_best
from fitcheck.clearance.clocking_spots import Spot, at_spot, best_of, fine_map, margin_of, sits_from, turning_gaps
from fitcheck.clearance.gaps import Found
from fitcheck.errors import GeometryError, KeyFault
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.model import Job
from fitcheck.job.variants import other_hand, with_motor_moved, without_obstacle
from fitcheck.placement.bracket_moved import with_bracket_moved
from fitcheck.placement.place import place
from fitcheck.placement.scene import Missing, Scene

TRIED_MM = (-20.0, -10.0, 10.0, 20.0)  # of bracket and motor, where the job does not say how far they may go; ours
LOOKED_AT = 8  # clocks and places at which parts that hit everywhere are looked at
# Kinds of change, in the order they are tried.
CLOCK, PLACE, HAND, BRACKET, MOTOR, OBSTACLE = "clock", "place", "hand", "bracket", "motor", "obstacle"


@dataclass(frozen=True)
class Change:
    """One change: its kind, how far toward the rack (bracket, motor) or which obstacle; the job with it, its search."""

    kind: str
    job: Job
    allowed: Allowed
    toward_rack_mm: float = 0.0
    obstacle: str = ""


@dataclass(frozen=True)
class Helped:
    """A change with the best place it leads to, by a coarse map refined there; `node` is the coarse one."""

    change: Change
    spot: Spot
    node: Node


def changes_to_try(job: Job, folder: Path, scene: Scene, there: Allowed) -> Iterator[Change]:
    """Every single change worth a map: of obstacles those that the job calls removable."""
    if not there.any_clock:
        yield Change(CLOCK, job, replace(there, arcs=any_clock()))
    wider = beyond(there, partial(sits_from, GapEngine(), job, folder, scene))
    if wider != there:
        yield Change(PLACE, job, wider)
    turned = other_hand(job)
    if turned is not None:
        yield Change(HAND, turned, there)
    yield from freedoms(job, there, stated_only=False)
    for obstacle in job.obstacles:
        if obstacle.removable:
            yield Change(OBSTACLE, without_obstacle(job, obstacle.name), there, obstacle=obstacle.name)


def freedoms(job: Job, there: Allowed, stated_only: bool) -> Iterator[Change]:
    """Bracket and motor elsewhere along the column: as far as the job says and half as far, else (unless only what is
    stated counts) by a few trial steps."""
    said = job.clocking
    for kind, may, moved in (
        (BRACKET, None if said is None else said.bracket_may_move, with_bracket_moved),
        (MOTOR, None if said is None else said.motor_may_move, with_motor_moved),
    ):
        if may is not None:
            ends = (-may.toward_wheel.mm, may.toward_rack.mm)
            steps = tuple(sorted({share * end for end in ends for share in (0.5, 1.0)} - {0.0}))
        else:
            steps = () if stated_only else TRIED_MM
        for by_mm in steps:
            try:
                changed = moved(job, by_mm)
            except Missing:
                continue
            if changed is not None:
                yield Change(kind, changed, there, toward_rack_mm=by_mm)


def helped(engine: GapEngine, folder: Path, scene: Scene, change: Change) -> Helped | None:
    """The best place with one change; None where it cannot be so, or everything still hits."""
    try:
        placed = place(change.job, folder, like=scene)
        node = coarse_best(engine, change.job, placed, change.allowed)
        if node.meets:
            return None
        coarse = Spot(node.clock, node.place_mm, node.margin_mm)
        fine = fine_map(engine, change.job, placed, change.allowed, node.arc, coarse)
    except (KeyFault, GeometryError):
        return None  # the column leaves no room for the change
    return Helped(change, best_of(fine, coarse) or coarse, node)


def least_bad(engine: GapEngine, job: Job, folder: Path, scene: Scene, there: Allowed) -> tuple[Spot, list[Found]]:
    """Where everything hits: of a few clocks and places the one whose worst pair lacks least, and its pairs."""
    best: tuple[Spot, list[Found]] | None = None
    for clock, place_mm in _few(there):
        moved, placed = at_spot(job, folder, scene, clock, place_mm)
        entries = [entry for entry in turning_gaps(engine, moved, placed) if entry.closest is not None]
        margin = min(margin_of(entry) for entry in entries)
        if best is None or margin > best[0].margin_mm:
            best = Spot(clock, place_mm, margin), entries
    assert best is not None  # there is at least one arc
    return best


def _few(there: Allowed) -> Iterator[tuple[float, float]]:
    places = there.places()
    for arc in there.arcs:
        clocks = arc.clocks()[1:2] if arc.step else arc.clocks()
        for clock in clocks[:: max(1, len(clocks) // LOOKED_AT)]:
            for place_mm in (places[0], places[len(places) // 2], places[-1]):
                yield float(clock), float(place_mm)
