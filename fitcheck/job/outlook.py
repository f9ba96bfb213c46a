"""What a job does not hold yet, with what to measure, and what this version has no answer for."""

from collections.abc import Iterator
from dataclasses import dataclass

from fitcheck.job.model import Job
from fitcheck.job.reaching import OUT_MM
from fitcheck.job.shafting import Shafting

PEDALS = (("clutch",), ("brake",), ("throttle", "accelerator"))
# Groups that move: what their movement is called, and what to measure of it.
GROUPS_MEASURE = {
    "engine": (
        "the engine's rock",
        "how far it rocks at a named place, about which axis, and which side lifts, someone blipping it in gear on "
        "the brake or levering it on its mounts",
    ),
    "frame": ("the frame's shift against the body", "how far the body gives on its mounts: up, down, sideways, along"),
    "axle": ("the axle's travel", "how far it goes up to its stops and down, hanging free, from where it stood"),
}


@dataclass(frozen=True)
class NotYet:
    """A part of the job that was not looked at: which keys it waits for and, in words, what to measure."""

    what: str
    missing: tuple[str, ...]
    measure: str


def still_groups(job: Job) -> dict[str, list[str]]:
    """Groups whose movement the job does not say, with the obstacles that move with them: taken to stand still."""
    still: dict[str, list[str]] = {}
    for group in GROUPS_MEASURE:
        names = [obstacle.name for obstacle in job.obstacles if obstacle.group == group]
        given = job.groups is not None and getattr(job.groups, group) is not None
        of_shaft = group == "engine" and job.shaft is not None and job.shaft.rock is not None
        if names and not given and not of_shaft:
            still[group] = names
    return still


def crossing(job: Job) -> tuple[int, int] | None:
    """Which two of the driver's boots stand on the brake and on the throttle; None where one of them is not there."""
    on = [] if job.driver is None else [boot.on.lower() for boot in job.driver.boots]
    found = [next((i for i, pedal in enumerate(on) if any(n in pedal for n in names)), None) for names in PEDALS[1:]]
    brake, throttle = found
    return None if brake is None or throttle is None else (brake, throttle)


def _legs_not_yet(job: Job) -> Iterator[NotYet]:
    """What the job does not say of legs and of feet off the pedals."""
    if job.driver is None or not job.driver.boots:
        yield NotYet("shins and knees", ("driver.boots",), "boots first, then where each knee is, driver seated")
        return
    if crossing(job) is None:
        measure = "a boot on both: where the heel stands with the foot on either pedal"
        yield NotYet("crossing from brake to throttle", ("driver.boots",), measure)
    if job.driver.left_foot is None:
        yield NotYet("left foot at rest", ("driver.left_foot",), "where its heel and its ball lie beside the clutch")
    bare = [i for i, boot in enumerate(job.driver.boots, start=1) if boot.knee is None]
    if bare:
        keys = tuple(f"driver.boots[{i}].{key}" for i in bare for key in ("knee", "knee_at_full"))
        yield NotYet("shins and knees", keys, "where each knee is, driver seated, pedal at rest and at full travel")


def _reach_not_yet(job: Job) -> Iterator[NotYet]:
    """What the job does not say of reaching in."""
    if job.reach is None:
        measure = "the height of the dash's lower edge; the straight moves that take the unit out; screws to be reached"
        yield NotYet("way in and out, hang", ("reach",), measure)
        return
    for key, what, measure in (
        ("dash_edge", "hang below the dash", "the height of the dash's lower edge above the unit"),
        ("way_out", "way in and out", "the straight moves, one after the other, that take the unit out"),
        ("rooms", "room for hands and tools", "each screw and plug, and the side the hand comes from"),
    ):
        if not getattr(job.reach, key):
            yield NotYet(what, (f"reach.{key}",), measure)
    if job.reach.way_out is not None and job.reach.way_out.ends_mm < OUT_MM:
        ends = job.reach.way_out.ends_mm
        measure = f"its moves together end {ends:.0f} mm from where the unit sits: add those that bring it out"
        yield NotYet("the rest of the way out", ("reach.way_out.moves",), measure)


def not_yet(job: Job) -> Iterator[NotYet]:
    """Everything a whole answer would need that is not in the job."""
    for names in PEDALS:
        if not any(name in pedal.name.lower() for pedal in job.pedals for name in names):
            yield NotYet(f"{names[0]} pedal", ("pedals",), f"the {names[0]} pedal's pivot, arm, pad and travel")
    if job.bracket is None:
        yield NotYet("bracket", ("bracket",), "the bracket's clamp and legs, once it is drawn")
    elif job.bracket.library is None and not job.bracket.solids:
        yield NotYet("the bracket's legs", ("bracket.solids",), "its legs and plates: a ring alone holds nothing")
    booted = set() if job.driver is None else {boot.on for boot in job.driver.boots}
    bare = [pedal.name for pedal in job.pedals if pedal.name not in booted]
    if bare:
        yield NotYet(f"boot on {', '.join(bare)}", ("driver.boots",), "foot size, and where the heel stands")
    if not job.obstacles:
        yield NotYet("obstacles", ("obstacles",), "whatever is within 150 mm of the unit: dash, ducts, looms, brackets")
    for group in still_groups(job):
        what, measure = GROUPS_MEASURE[group]
        yield NotYet(what, (f"groups.{group}",), measure)
    if job.cuts is None:
        measure = "on the bench: jacket, shaft, the unit's two ends, and what must not be cut"
        yield NotYet("cut lengths", ("cuts",), measure)
    if job.shaft is None or not job.shaft.joints:
        yield NotYet("intermediate shaft", ("shaft",), "both ends of it, joints and hubs")
    elif job.shaft.lower.moves is None and (job.groups is None or job.groups.frame is None):
        measure = "how far the box moves against the column each way; 0 where one body carries both"
        yield NotYet("movement of the box", ("shaft.lower.moves",), measure)
    if job.shaft is not None and job.shaft.joints:
        yield from _shaft_not_yet(job, job.shaft)
    yield from _legs_not_yet(job)
    yield from _reach_not_yet(job)
    yield NotYet("search over clock and place", (), "fitcheck clocking does it")


def _shaft_not_yet(job: Job, shaft: Shafting) -> Iterator[NotYet]:
    """What a whole answer about the intermediate shaft needs besides its ends, joints and pieces."""
    if not any(obstacle.group != "body" for obstacle in job.obstacles):
        measure = "what lies beside the shaft: exhaust, engine and frame, each with its group"
        yield NotYet("what is in the engine bay", ("obstacles",), measure)
    if shaft.lower.sticks_out is None:
        measure = "how much of the box's input sticks out, which has to fill the last joint's bore"
        yield NotYet("box input in its joint", ("shaft.lower.sticks_out",), measure)
    if shaft.load is None:
        yield NotYet("strength of the shaft", ("shaft.load.torque",), "the unit's assist torque, from its own data")
