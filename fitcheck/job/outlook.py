"""What a job does not hold yet, with what to measure, and what this version has no answer for."""

from collections.abc import Iterator
from dataclasses import dataclass

from fitcheck.job.model import Job

PEDALS = (("clutch",), ("brake",), ("throttle", "accelerator"))


@dataclass(frozen=True)
class NotYet:
    """A part of the job that was not looked at: which keys it waits for and, in words, what to measure."""

    what: str
    missing: tuple[str, ...]
    measure: str


def not_yet(job: Job) -> Iterator[NotYet]:
    """Everything a whole answer would need that is not in the job."""
    for names in PEDALS:
        if not any(name in pedal.name.lower() for pedal in job.pedals for name in names):
            yield NotYet(f"{names[0]} pedal", ("pedals",), f"the {names[0]} pedal's pivot, arm, pad and travel")
    if job.bracket is None:
        yield NotYet("bracket", ("bracket",), "the bracket's clamp and legs, once it is drawn")
    booted = set() if job.driver is None else {boot.on for boot in job.driver.boots}
    bare = [pedal.name for pedal in job.pedals if pedal.name not in booted]
    if bare:
        yield NotYet(f"boot on {', '.join(bare)}", ("driver.boots",), "foot size, and where the heel stands")
    if not job.obstacles:
        yield NotYet("obstacles", ("obstacles",), "whatever is within 150 mm of the unit: dash, ducts, looms, brackets")
    if job.cuts is None:
        measure = "on the bench: jacket, shaft, the unit's two ends, and what must not be cut"
        yield NotYet("cut lengths", ("cuts",), measure)
    if job.shaft is None or not job.shaft.joints:
        yield NotYet("intermediate shaft", ("shaft",), "both ends of it, joints and hubs")
    for what in ("shins and knees", "search over clock and place"):
        yield NotYet(what, (), "")
