"""What is said about whole groups that move, and how far each movement is covered, so none goes in silence."""

from collections.abc import Iterator
from math import hypot

from fitcheck.job.model import Job
from fitcheck.job.outlook import GROUPS_MEASURE, still_groups
from fitcheck.job.surroundings import Pedal
from fitcheck.job.tools import PAD_CHORD
from fitcheck.placement.scene import Scene
from fitcheck.readings.survey import give_or_take


def movements_said(job: Job, scene: Scene) -> Iterator[str]:
    """One sentence for each group that stands still for want of a reading, or moves in a way that is not plain."""
    for group, names in still_groups(job).items():
        what, measure = GROUPS_MEASURE[group]
        yield f"{what} is not given: MEASURE {measure} (key: groups.{group}); judged as measured: {', '.join(names)}"
    yield from _engine(job)
    yield from _moves_nothing(job)
    if job.groups is not None and job.groups.frame is not None:
        yield "groups.frame: engine and axle shift with the frame; against each other only their own movement counts"
    yield from _column(job, scene)
    yield from _widened(job)


def _named(job: Job, group: str) -> list[str]:
    return [obstacle.name for obstacle in job.obstacles if obstacle.group == group]


def _engine(job: Job) -> Iterator[str]:
    own = None if job.groups is None else job.groups.engine
    of_shaft = None if job.shaft is None else job.shaft.rock
    if of_shaft is not None and own is not None:
        yield "the engine's rock is given twice: groups.engine counts for the gaps, shaft.rock for the shaft"
    elif of_shaft is not None and _named(job, "engine"):
        yield "the engine rocks as shaft.rock says, for the gaps of its parts too"


def _moves_nothing(job: Job) -> Iterator[str]:
    for group in ("engine", "frame", "axle"):
        given = job.groups is not None and getattr(job.groups, group) is not None
        carried = _named(job, group) or (group == "frame" and (_named(job, "engine") or _named(job, "axle")))
        if given and not carried:
            yield f'groups.{group} moves nothing: no obstacle has group = "{group}"'


def _column(job: Job, scene: Scene) -> Iterator[str]:
    """Which of the column's movements take the unit along."""
    moves = None if job.groups is None else job.groups.column
    unit = scene.part("unit")
    if moves is None or unit is None:
        return
    along = {sway.name for carry in unit.carry for sway in carry.sways}
    for key, name in (("tilt", "column tilt"), ("reach", "column reach")):
        if getattr(moves, key) is not None:
            said = "takes the unit along" if name in along else "leaves the unit where it is: its joint lies above it"
            yield f"groups.column.{key} {said}"
    if job.cuts is not None:
        yield "cuts: worked out for the column as it was measured, whatever its tilt and reach"


def _widened(job: Job) -> Iterator[str]:
    names = [pedal.name for pedal in job.pedals if pedal.travel is not None or pedal.travel_angle is not None]
    if names:
        most = max(map(_farther_mm, job.pedals))
        yield (
            f"{', '.join(names)}: the end of travel is taken farther by its readings' spread, up to {most:.1f} mm "
            "at the pad; no gap is given a spread for them again"
        )
    if job.groups is not None:
        yield "groups: each movement is taken farther by its reading's spread; no gap is given a spread for it again"


def _farther_mm(pedal: Pedal) -> float:
    read = [length for length in (pedal.travel, pedal.over_travel) if length is not None]
    return hypot(*(give_or_take(length, PAD_CHORD) for length in read))
