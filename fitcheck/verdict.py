"""The story: a measured job in, a verdict out. `judge` is the order of the steps."""

from dataclasses import dataclass
from enum import Enum
from functools import partial

from fitcheck.clearance.gaps import gaps
from fitcheck.clearance.pairs import Pair, Treatment, unused
from fitcheck.confidence.first_order import LIMITS
from fitcheck.confidence.judging import judged_gaps
from fitcheck.confidence.nudged import Nudged
from fitcheck.confidence.results import Judged, Result
from fitcheck.confidence.shaft_gaps import shaft_gaps
from fitcheck.cuts.plan import CutPlan, cut_plan
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.opening import OpenJob
from fitcheck.job.outlook import NotYet, not_yet
from fitcheck.limits import NotKnown
from fitcheck.placement.assumed import assumed
from fitcheck.placement.ignored import ignored
from fitcheck.placement.movements_said import movements_said
from fitcheck.placement.oddities import Odd, oddities
from fitcheck.placement.place import place
from fitcheck.placement.scene import Scene
from fitcheck.readings.survey import defaults_in_use
from fitcheck.shaft.agreement import against_cuts
from fitcheck.shaft.chapter import find as find_shaft
from fitcheck.shaft.results import ShaftChapter


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
class Counts:
    """What the gap engine was asked: queries, and how many needed the second and the third road."""

    queries: int
    second_road: int
    third_road: int


@dataclass(frozen=True)
class Verdict:
    """All that was found out about a job. Gaps stand worst first.

    `cuts` and `shaft` are None where the job holds none; `proposal_gaps` are those of three joints where two do not
    do. `odd` are readings to take again; `passed_over` are pairs of old parts at rest.
    """

    opened: OpenJob
    scene: Scene
    outcome: Outcome
    gaps: tuple[Judged, ...]
    cuts: CutPlan | None
    shaft: ShaftChapter | None
    shaft_gaps: tuple[Judged, ...]
    proposal_gaps: tuple[Judged, ...]
    passed_over: tuple[Pair, ...]
    odd: tuple[Odd, ...]
    looked_at: tuple[str, ...]
    not_yet: tuple[NotYet, ...]
    remarks: tuple[str, ...]
    engine: Counts


def judge(opened: OpenJob) -> Verdict:
    """Place the parts, find every gap through every movement, say how sure each is, and judge. Raises KeyFault."""
    job, engine = opened.job, GapEngine()
    scene = place(job, opened.folder)
    found = tuple(gaps(engine, job, scene))
    nudged = Nudged(job, partial(place, folder=opened.folder, like=scene))
    results = judged_gaps(nudged, found)
    cuts = None if job.cuts is None else cut_plan(job, job.cuts)
    shaft = against_cuts(find_shaft(job, scene, engine), None if cuts is None else cuts.shaft_end)
    odd = tuple(oddities(job, scene))
    about_shaft = shaft_gaps(nudged, scene, shaft)
    return Verdict(
        opened=opened,
        scene=scene,
        outcome=outcome((*results, *about_shaft), cuts, shaft, odd),
        gaps=results,
        cuts=cuts,
        shaft=shaft,
        shaft_gaps=about_shaft,
        proposal_gaps=() if shaft is None else shaft_gaps(nudged, scene, shaft.proposal),
        passed_over=tuple(entry.pair for entry in found if entry.pair.need.treatment is Treatment.NOT_LOOKED_AT),
        odd=odd,
        looked_at=("gaps", *([] if cuts is None else ["cuts"]), *([] if shaft is None else ["shaft"])),
        not_yet=(*not_yet(job), *(NotYet(e.what, e.keys, e.measure) for e in _waiting(cuts, shaft))),
        remarks=(
            *unused(job, (entry.pair for entry in found)),
            *ignored(job),
            *movements_said(job, scene),
            *scene.remarks,
            *assumed(job),
            *defaults_in_use(job),
            LIMITS,
        ),
        engine=Counts(engine.queries, engine.second_road, engine.third_road),
    )


def _waiting(cuts: CutPlan | None, shaft: ShaftChapter | None) -> tuple[NotKnown, ...]:
    return (*(() if cuts is None else cuts.not_yet), *(() if shaft is None else shaft.no_room_known))


def outcome(
    results: tuple[Judged, ...],
    cuts: CutPlan | None = None,
    shaft: ShaftChapter | None = None,
    odd: tuple[Odd, ...] = (),
) -> Outcome:
    """Does not fit where anything hits, is under or outside; cannot decide where anything is open or looks odd."""
    words = {entry.result.value for entry in results}
    words |= set() if cuts is None else {limit.result.value for limit in cuts.limits}
    words |= set() if shaft is None else {shaft.result.value}
    if words & {"hits", "under", "outside"}:
        return Outcome.DOES_NOT_FIT
    if odd or words & {"too close to call", "not known"} or Result.CLEAR not in {entry.result for entry in results}:
        return Outcome.CANNOT_DECIDE
    return Outcome.FITS
