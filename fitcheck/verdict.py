"""The story: a measured job in, a verdict out. `judge` is the order of the steps."""

from dataclasses import dataclass, replace
from enum import Enum
from functools import partial
from pathlib import Path as Folder

from fitcheck.clearance.boots import beside
from fitcheck.clearance.gaps import gaps
from fitcheck.clearance.pairs import Pair, Treatment, unused
from fitcheck.clearance.reach import reach_in
from fitcheck.confidence.as_built import AsBuilt, as_built
from fitcheck.confidence.boots import BootsChapter, boots_chapter
from fitcheck.confidence.draws import DRAWS, SEED, Draws, by_draws
from fitcheck.confidence.first_order import LIMITS
from fitcheck.confidence.judging import judged_gaps
from fitcheck.confidence.mocked_up import held_against
from fitcheck.confidence.nudged import Nudged
from fitcheck.confidence.on_guesses import by_guesses
from fitcheck.confidence.reach import ReachChapter, reach_chapter
from fitcheck.confidence.results import LARGEST_CHANCE, Judged, Result, worst_first
from fitcheck.confidence.shaft_gaps import shaft_gaps
from fitcheck.confidence.unsettled import of_chapters, of_gaps
from fitcheck.cuts.plan import CutPlan, cut_plan
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.model import Job
from fitcheck.job.opening import OpenJob
from fitcheck.job.outlook import NotYet, not_yet
from fitcheck.limits import NotKnown
from fitcheck.placement.assumed import assumed
from fitcheck.placement.ignored import ignored
from fitcheck.placement.movements_said import movements_said
from fitcheck.placement.oddities import Odd, doubts, oddities
from fitcheck.placement.place import place
from fitcheck.placement.scene import Scene
from fitcheck.readings.guesses import guesses, guesses_in_use
from fitcheck.readings.points import Points
from fitcheck.readings.reading import Path
from fitcheck.readings.settled import points_in, settle
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

    `readings` are the points adjusted by [[readings]], `seen` what the mock-up showed, `boots`, `reach`, `cuts` and
    `shaft` those chapters; None where the job holds none. `proposal_gaps` are those of three joints where two do not
    do. `odd` are readings to take again; `passed_over` are pairs of old parts at rest;
    `by_guesses`: some pair is clear by guesses more than by readings.
    """

    opened: OpenJob
    readings: Points | None
    seen: AsBuilt | None
    scene: Scene
    outcome: Outcome
    gaps: tuple[Judged, ...]
    boots: BootsChapter | None
    reach: ReachChapter | None
    cuts: CutPlan | None
    shaft: ShaftChapter | None
    shaft_gaps: tuple[Judged, ...]
    proposal_gaps: tuple[Judged, ...]
    passed_over: tuple[Pair, ...]
    odd: tuple[Odd, ...]
    by_guesses: bool
    looked_at: tuple[str, ...]
    not_yet: tuple[NotYet, ...]
    remarks: tuple[str, ...]
    engine: Counts


def judge(opened: OpenJob, draws: int = DRAWS, seed: int = SEED) -> Verdict:
    """Place the parts, find every gap through every movement, say how sure each is, and judge. Raises KeyFault.

    `draws` of all readings give the chances of pairs near their need; without any they are the normal ones.
    """
    written, opened = opened.job, replace(opened, job=settle(opened.job))
    job, engine, drawing = opened.job, GapEngine(), Draws(draws, seed)
    scene = place(job, opened.folder)
    found = tuple(gaps(engine, job, scene))
    whole = place(job, opened.folder, scene, whole=True)
    nudged = Nudged(job, partial(place, folder=opened.folder, like=whole, whole=True))
    seen = as_built(job, opened.folder)
    results = tuple(sorted(held_against(judged_gaps(nudged, found, drawing), seen), key=worst_first))
    boots = boots_chapter(nudged, beside(engine, job, scene, whole), results, seen, drawing)
    reach = reach_chapter(nudged, reach_in(engine, job, whole), seen, drawing)
    cuts = None if job.cuts is None else cut_plan(job, job.cuts)
    doubt = None if cuts is None else cuts.shaft_end_doubt
    end = None if cuts is None else cuts.shaft_end
    shaft = against_cuts(find_shaft(job, scene, engine, cut_end=None if doubt else end), end, doubt)
    points = points_in(job)
    guessed = frozenset(reading.path for reading, _ in guesses(written))
    odd = (*doubts(points), *oddities(job, scene, guessed))
    about_shaft = shaft_gaps(nudged, scene, shaft, seen, drawing)
    besides = (*(() if boots is None else boots.gaps), *(() if reach is None else reach.gaps))
    every = (*results, *about_shaft, *besides)
    return Verdict(
        opened=opened,
        readings=points,
        seen=seen,
        scene=scene,
        outcome=outcome(every, cuts, shaft, odd, seen, guessed),
        gaps=results,
        boots=boots,
        reach=reach,
        cuts=None if cuts is None else cuts.waiting_for(_unsettled(every, cuts, shaft, odd, seen, bool(guessed))),
        shaft=shaft,
        shaft_gaps=about_shaft,
        proposal_gaps=() if shaft is None else shaft_gaps(nudged, scene, shaft.proposal, seen, drawing),
        passed_over=tuple(entry.pair for entry in found if entry.pair.need.treatment is Treatment.NOT_LOOKED_AT),
        odd=odd,
        by_guesses=any(by_guesses(entry, guessed) for entry in every),
        looked_at=tuple(
            name
            for name, chapter in (
                ("readings", points),
                ("seen", seen),
                ("gaps", scene),
                ("boots", boots),
                ("reach", reach),
                ("cuts", cuts),
                ("shaft", shaft),
            )
            if chapter is not None
        ),
        not_yet=(*not_yet(job), *(NotYet(e.what, e.keys, e.measure) for e in _waiting(cuts, shaft))),
        remarks=(
            *unused(job, (*(entry.pair for entry in found), *(entry.pair for entry in besides))),
            *ignored(job),
            *movements_said(job, scene),
            *scene.remarks,
            *(() if boots is None else boots.notes),
            *assumed(job),
            *guesses_in_use(written),
            *defaults_in_use(job),
            *by_draws([entry.drawn for entry in every if entry.drawn is not None], seed),
            LIMITS,
        ),
        engine=Counts(engine.queries, engine.second_road, engine.third_road),
    )


def try_out(job: Job, folder: Folder) -> None:
    """Readings, places, mock-up, cuts and shaft, without a look at any gap; raises KeyFault for what cannot be."""
    settled = settle(job)
    scene = place(settled, folder, whole=True)
    as_built(settled, folder)
    if settled.cuts is not None:
        cut_plan(settled, settled.cuts)
    find_shaft(settled, scene, GapEngine())


def _waiting(cuts: CutPlan | None, shaft: ShaftChapter | None) -> tuple[NotKnown, ...]:
    return (*(() if cuts is None else cuts.not_yet), *(() if shaft is None else shaft.no_room_known))


def _unsettled(
    every: tuple[Judged, ...],
    cuts: CutPlan,
    shaft: ShaftChapter | None,
    odd: tuple[Odd, ...],
    seen: AsBuilt | None,
    guessed: bool,
) -> tuple[str, ...]:
    """Why no cut may be made yet; nothing only where the job fits."""
    return (*of_gaps(every), *of_chapters(cuts, shaft, odd, seen, guessed))


def _by_guess_alone(entry: Judged) -> bool:
    return entry.result in (Result.HITS, Result.UNDER) and entry.chance_under < 1 - LARGEST_CHANCE


def outcome(
    results: tuple[Judged, ...],
    cuts: CutPlan | None = None,
    shaft: ShaftChapter | None = None,
    odd: tuple[Odd, ...] = (),
    seen: AsBuilt | None = None,
    guessed: frozenset[Path] = frozenset(),
) -> Outcome:
    """Does not fit where anything hits, is under or outside; cannot decide where anything is open or looks odd, or the
    mock-up disagrees. Of a job that rests on guesses, their paths given, what hits or is under has to be so for sure,
    and what is clear has to be so by more than guesses."""
    words = {(Result.TOO_CLOSE if guessed and _by_guess_alone(entry) else entry.result).value for entry in results}
    words |= set() if cuts is None else {limit.result.value for limit in cuts.limits}
    words |= set() if shaft is None else {shaft.result.value}
    if words & {"hits", "under", "outside"}:
        return Outcome.DOES_NOT_FIT
    if seen is not None and not seen.agrees:
        return Outcome.CANNOT_DECIDE
    if any(by_guesses(entry, guessed) for entry in results):
        return Outcome.CANNOT_DECIDE
    if odd or words & {"too close to call", "not known"} or Result.CLEAR not in {entry.result for entry in results}:
        return Outcome.CANNOT_DECIDE
    return Outcome.FITS
