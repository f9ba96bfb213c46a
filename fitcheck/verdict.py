"""The story: a measured job in, a verdict out. `judge` is the order of the steps."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from functools import partial

from fitcheck.clearance.gaps import gaps
from fitcheck.clearance.pairs import Pair, Treatment, unused
from fitcheck.confidence.first_order import spreads
from fitcheck.confidence.results import Judged, Result, judged, worst_first
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.model import Job
from fitcheck.job.opening import OpenJob
from fitcheck.placement.assumed import assumed
from fitcheck.placement.oddities import Odd, oddities
from fitcheck.placement.place import place
from fitcheck.placement.scene import Scene
from fitcheck.readings.survey import defaults_in_use


class Outcome(Enum):
    """Result of the job; `value` is the word people read."""

    FITS = "fits"
    DOES_NOT_FIT = "does not fit"
    CANNOT_DECIDE = "cannot decide"

    @property
    def exit_code(self) -> int:
        """What the command ends with."""
        return {Outcome.FITS: 0, Outcome.DOES_NOT_FIT: 1, Outcome.CANNOT_DECIDE: 3}[self]


@dataclass(frozen=True)
class NotYet:
    """A part of the job that was not looked at: which keys it waits for and, in words, what to measure."""

    what: str
    missing: tuple[str, ...]
    measure: str


@dataclass(frozen=True)
class Counts:
    """What the gap engine was asked: queries, and how many needed the second and the third road."""

    queries: int
    second_road: int
    third_road: int


@dataclass(frozen=True)
class Verdict:
    """All that was found out about a job. Gaps stand worst first.

    `odd` are readings to take again; `passed_over` are pairs of old parts at rest.
    """

    opened: OpenJob
    scene: Scene
    outcome: Outcome
    gaps: tuple[Judged, ...]
    passed_over: tuple[Pair, ...]
    odd: tuple[Odd, ...]
    looked_at: tuple[str, ...]
    not_yet: tuple[NotYet, ...]
    remarks: tuple[str, ...]
    engine: Counts


def judge(opened: OpenJob) -> Verdict:
    """Place the parts, find every gap through every movement, say how sure each is, and judge. Raises KeyFault."""
    scene = place(opened.job, opened.folder)
    engine = GapEngine()
    found = tuple(gaps(engine, opened.job, scene))
    looked = [entry for entry in found if entry.pair.need.treatment is not Treatment.NOT_LOOKED_AT]
    shares = spreads(opened.job, looked, partial(place, folder=opened.folder, like=scene))
    results = tuple(sorted(map(judged, looked, shares), key=worst_first))
    odd = tuple(oddities(opened.job, scene))
    return Verdict(
        opened=opened,
        scene=scene,
        outcome=outcome(results, odd),
        gaps=results,
        passed_over=tuple(entry.pair for entry in found if entry.pair.need.treatment is Treatment.NOT_LOOKED_AT),
        odd=odd,
        looked_at=("gaps",),
        not_yet=tuple(not_yet(opened.job)),
        remarks=(
            *unused(opened.job, (entry.pair for entry in found)),
            *scene.remarks,
            *assumed(opened.job),
            *defaults_in_use(opened.job),
        ),
        engine=Counts(engine.queries, engine.second_road, engine.third_road),
    )


def outcome(results: tuple[Judged, ...], odd: tuple[Odd, ...] = ()) -> Outcome:
    """Does not fit where anything hits or is under; cannot decide where anything is too close, not known or odd."""
    found = {entry.result for entry in results}
    if found & {Result.HITS, Result.UNDER}:
        return Outcome.DOES_NOT_FIT
    if odd or found & {Result.TOO_CLOSE, Result.NOT_KNOWN} or Result.CLEAR not in found:
        return Outcome.CANNOT_DECIDE
    return Outcome.FITS


def not_yet(job: Job) -> Iterator[NotYet]:
    """What the job does not hold, with what to measure; and what this version has no answer for."""
    for names in (("clutch",), ("brake",), ("throttle", "accelerator")):
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
    for what in ("shins and knees", "cut lengths", "intermediate shaft", "search over clock and place"):
        yield NotYet(what, (), "")
