"""The search over clock and place, whole: what keeps, what is sure of it, the best places judged, what would help.

`find` is the order of the steps. Clocks in rad, clockwise from 12; places of the input face in mm from the hub seat.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from math import tau
from pathlib import Path

from fitcheck.clearance.clocking_allowed import Allowed, allowed
from fitcheck.clearance.clocking_chart import ArcMap, Chart, chart, plain_chart
from fitcheck.clearance.clocking_help import Change, Helped, changes_to_try, freedoms, helped, least_bad
from fitcheck.clearance.clocking_spots import (
    FINE_WITHIN_MM,
    SET_CLOCK,
    SET_MM,
    Spot,
    apart,
    best_of,
    changes,
    fine_map,
    mark_mm,
    promising,
    sits_from,
)
from fitcheck.clearance.clocking_windows import Box, Region, regions
from fitcheck.clearance.gaps import found
from fitcheck.clearance.pairs import Treatment, pairs
from fitcheck.confidence.as_built import AsBuilt, as_built
from fitcheck.confidence.clocking_judged import Judgement, SharedMoves, judge_at, legs_at, missing
from fitcheck.confidence.clocking_sure import Taken, edges_to_look, places_to_look, sure_cells, touching, widest
from fitcheck.confidence.judging import judged_gaps
from fitcheck.confidence.nudged import Nudged
from fitcheck.confidence.results import Judged, Result
from fitcheck.errors import KeyFault
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.model import Job
from fitcheck.placement.place import place
from fitcheck.placement.scene import Scene
from fitcheck.readings.settled import settle

EYE = (SET_CLOCK, SET_MM)
LOOKED_AT = 6  # places in the windows, best and most forgiving besides, where every pair's spread is worked out
VERIFIED = 2  # changes, best first, that are judged in full
ROUNDS = 8  # of looking at the edges of what is sure, and dropping where it is not


@dataclass(frozen=True, eq=False)
class Window:
    """Where every required gap is kept, and what of it is sure with the spread of the readings, largest first."""

    keeps: Region
    sure: tuple[Region, ...]


@dataclass(frozen=True, eq=False)
class Tried:
    """A change, the best place it leads to, and that place judged where the change was worth it."""

    helped: Helped
    judged: Judgement | None

    @property
    def margin_mm(self) -> float:
        return self.helped.spot.margin_mm if self.judged is None else self.judged.margin_mm


@dataclass(frozen=True, eq=False)
class ClockingChapter:
    """All that the search found.

    `arcs` are the maps in which `windows` lie. `now` is where the job has the unit; `best` the best place, or the least
    bad one where there is no window; `forgiving` the middle of the roomiest box, `box`. `whatever` are judged pairs
    that are not clear and that turning and sliding do not change. `taken` and `sampled` say what the sure parts rest
    on. `freedoms` are bracket and motor moved as far as the job says, `changes` what would help where nothing fits;
    both best first; `seen` what the mock-up showed. `no_use` are those of them with which everything still hits.
    `legs` are legs, and boots off their pedals, against what turns: at the best place, then at the most forgiving one.
    """

    job: Job
    scene: Scene
    chart: Chart
    arcs: tuple[ArcMap, ...]
    windows: tuple[Window, ...]
    now: Judgement
    best: Judgement
    forgiving: Judgement | None
    box: Box | None
    whatever: tuple[Judged, ...]
    taken: tuple[Taken, ...]
    sampled: int
    freedoms: tuple[Tried, ...]
    changes: tuple[Tried, ...]
    no_use: tuple[Change, ...]
    queries: int
    seen: AsBuilt | None = None
    legs: tuple[tuple[Judged, ...], tuple[Judged, ...]] = ((), ())

    @property
    def allowed(self) -> Allowed:
        """What the job allows."""
        return self.chart.allowed

    @property
    def sure(self) -> bool:
        """Whether any clock and place keeps every gap surely."""
        return any(window.sure for window in self.windows) or (bool(self.windows) and self.best.sure)


def find(job: Job, folder: Path, working_on: Callable[[str], None] = lambda said: None) -> ClockingChapter:
    """The search of a job, mesh files looked for in `folder`. Raises KeyFault; GeometryError where nothing turns.

    `working_on` is told in words what is being done.
    """
    _refuse(job)
    return _Search(settle(job), folder, working_on).chapter()


@dataclass(frozen=True, eq=False)
class ToLookAt:
    """A map to be looked at, not searched: coarse, with lines through where the job has its unit and the best place.

    `best` is None where all of it hits.
    """

    chart: Chart
    best: Spot | None


def to_look_at(engine: GapEngine, job: Job, folder: Path, scene: Scene) -> ToLookAt:
    """The map of a placed job over all that is allowed. Raises as `find` does."""
    _refuse(job)
    possible = partial(sits_from, engine, job, folder, scene)
    there = allowed(job, scene.setting.input_face_mm, mark_mm(scene.setting), possible)
    own = Spot(scene.setting.clock, scene.setting.input_face_mm, 0.0)
    found = _best_about(engine, job, scene, chart(engine, job, scene, there), own)
    best = None if found is None else found[0]
    lines = [(spot.clock, spot.place_mm) for spot in (own, best) if spot is not None]
    return ToLookAt(plain_chart(engine, job, scene, there, lines), best)


def _best_about(engine: GapEngine, job: Job, scene: Scene, known: Chart, own: Spot) -> tuple[Spot, ArcMap] | None:
    """The best place, looked for about the best nodes of a map, and its fine map; None where all hit."""
    near = promising(known, own)
    if not near:
        return None
    fine = [fine_map(engine, job, scene, known.allowed, arc, spot) for spot, arc in near]
    spots = [best_of(each, own) or spot for each, (spot, _) in zip(fine, near, strict=True)]
    most = max(spot.margin_mm for spot in spots)
    best = min((spot for spot in spots if spot.margin_mm >= most - FINE_WITHIN_MM), key=partial(apart, own))
    return best, fine[spots.index(best)]


class _Search:
    """The steps of one search, which share a scene and an engine."""

    def __init__(self, job: Job, folder: Path, working_on: Callable[[str], None]) -> None:
        self.job, self.folder, self.working_on = job, folder, working_on
        self.engine = GapEngine()
        self.scene = place(job, folder)
        self.moves = SharedMoves()
        self.own = Spot(self.scene.setting.clock, self.scene.setting.input_face_mm, 0.0)

    def chapter(self) -> ClockingChapter:
        possible = partial(sits_from, self.engine, self.job, self.folder, self.scene)
        there = allowed(self.job, self.own.place_mm, mark_mm(self.scene.setting), possible)
        self.working_on("the map over clock and place")
        known = chart(self.engine, self.job, self.scene, there)
        self.working_on("the best place")
        spot, arcs = self._best(known)
        best, now = self.judged(spot), self.judged(self.own)
        keeps = [region for arc in arcs for region in regions(arc, arc.keeps(), EYE)]
        keeps.sort(key=lambda region: -_room(region.box))
        forgiving: Judgement | None = None
        taken: tuple[Taken, ...] = ()
        sampled = 0
        windows = tuple(Window(region, ()) for region in keeps)  # nothing is sure beside a part nobody has measured
        if keeps:
            forgiving = self.judged(_middle(keeps[0].box, self.own.clock))
            if not missing(best):
                self.working_on("how sure the windows are")
                samples = self._samples(keeps, best, forgiving, now)
                taken, sampled = widest(samples), len(samples)
                windows = tuple(self._windows(keeps, samples, taken))
        to_try = freedoms(self.job, there, True) if keeps else changes_to_try(self.job, self.folder, self.scene, there)
        self.working_on("what one change at a time would bring")
        tried, no_use = self._tried(to_try)
        return ClockingChapter(
            job=self.job,
            scene=self.scene,
            chart=known,
            arcs=arcs,
            windows=windows,
            now=now,
            best=best,
            forgiving=forgiving,
            box=keeps[0].box if keeps else None,
            whatever=self._whatever(),
            taken=taken,
            sampled=sampled,
            freedoms=tried if keeps else (),
            changes=() if keeps else tried,
            no_use=no_use,
            queries=self.engine.queries,
            seen=as_built(self.job, self.folder),
            legs=(self._legs(best), () if forgiving is None else self._legs(forgiving)),
        )

    def _best(self, known: Chart) -> tuple[Spot, tuple[ArcMap, ...]]:
        """The best place, and the maps to look for windows in: the fine one about it where no larger cell keeps."""
        found = _best_about(self.engine, self.job, self.scene, known, self.own)
        if found is None:
            return least_bad(self.engine, self.job, self.folder, self.scene, known.allowed)[0], known.arcs
        best, fine = found
        anywhere = any(each.keeps().any() for each in known.arcs)
        return best, known.arcs if anywhere else (fine,)

    def judged(self, spot: Spot) -> Judgement:
        """The job with its unit there, every pair that this changes judged."""
        return judge_at(self.engine, self.job, self.folder, self.scene, spot, self.moves)

    def _legs(self, at: Judgement) -> tuple[Judged, ...]:
        return legs_at(self.engine, self.folder, at)

    def _samples(self, keeps: Sequence[Region], *have: Judgement) -> list[Judgement]:
        """Places within the windows, judged: those at hand, and as many spread out over the rest."""
        within = [one for one in have if any(region.holds(one.spot.clock, one.spot.place_mm) for region in keeps)]
        spots = places_to_look(keeps, [one.spot for one in within or have], LOOKED_AT)
        return [*within, *map(self.judged, spots)]

    def _windows(
        self, keeps: Sequence[Region], samples: Sequence[Judgement], taken: Sequence[Taken]
    ) -> Iterator[Window]:
        for region in keeps:
            yield Window(region, self._surely(region, list(samples), taken))

    def _surely(self, region: Region, samples: Sequence[Judgement], taken: Sequence[Taken]) -> tuple[Region, ...]:
        """The sure parts of a region; edges are judged like jobs of their own, what is not sure is dropped."""
        cells = sure_cells(self.engine, self.job, self.scene, region, samples, taken)
        seen = {(one.spot.clock, one.spot.place_mm): one.sure for one in samples}
        for _ in range(ROUNDS):
            parts = tuple(regions(region.of, cells, EYE))
            spots = edges_to_look(parts, [Spot(*at, 0.0) for at in seen], LOOKED_AT) if parts else []
            fresh = {(spot.clock, spot.place_mm): spot for spot in spots if (spot.clock, spot.place_mm) not in seen}
            seen |= {at: self.judged(spot).sure for at, spot in fresh.items()}
            unsure = [spot for spot in spots if not seen[spot.clock, spot.place_mm]]
            if not unsure:
                return parts
            cells = cells & ~touching(region, unsure)
        return tuple(regions(region.of, cells, EYE))

    def _whatever(self) -> tuple[Judged, ...]:
        """Judged pairs that are not clear and that turning and sliding the unit does not change."""
        every = pairs(self.job, (*self.scene.parts, *self.scene.unplaced))
        judged = [pair for pair in every if pair.need.treatment is Treatment.JUDGED and not changes(self.job, pair)]
        stay = [found(self.engine, pair) for pair in judged]
        nudged = Nudged(self.job, partial(place, folder=self.folder, like=self.scene))
        results = judged_gaps(nudged, stay)
        return tuple(entry for entry in results if entry.result is not Result.CLEAR)

    def _tried(self, every: Iterator[Change]) -> tuple[tuple[Tried, ...], tuple[Change, ...]]:
        """All changes by a coarse map, the best of them judged like jobs of their own; and those that leave hits."""
        results = [(change, helped(self.engine, self.folder, self.scene, change)) for change in every]
        led = sorted((to for _, to in results if to is not None), key=lambda to: -to.spot.margin_mm)
        tried = [Tried(to, self._verified(to) if i < VERIFIED else None) for i, to in enumerate(led)]
        no_use = tuple(change for change, to in results if to is None)
        return tuple(sorted(tried, key=lambda each: -each.margin_mm)), no_use

    def _verified(self, to: Helped) -> Judgement:
        like = place(to.change.job, self.folder, like=self.scene)
        return judge_at(self.engine, to.change.job, self.folder, like, to.spot)


def _refuse(job: Job) -> None:
    """Freedoms that the job's bracket or unit has no room or no use for."""
    said, bracket, unit = job.clocking, job.bracket, job.unit
    if said is None:
        return
    for key, given, wrong, words in (
        ("bracket_may_move", said.bracket_may_move, bracket is None or bracket.turns == "with the unit",
         "this is for a bracket that stays with the car; leave it out"),
        ("bracket_may_move", said.bracket_may_move, bracket is not None and bracket.clamp is None,
         "the bracket has no clamp to move; describe the clamp, or leave this out"),
        ("motor_may_move", said.motor_may_move, unit.sensor is None or unit.output is None,
         "the motor moves between a sensor section and an output stub; describe both, or leave this out"),
    ):  # fmt: skip
        if given is not None and wrong:
            raise KeyFault(("clocking", key), words)


def _room(box: Box) -> float:
    """How many setting steps, of clock and of place, fit into a box."""
    return min((box.stop - box.start) / SET_CLOCK, (box.high_mm - box.low_mm) / SET_MM)


def _middle(box: Box, own_clock: float) -> Spot:
    """The middle of a box; of one that goes all the way round, at the clock the unit has now."""
    return Spot(own_clock if box.all_round else box.clock % tau, box.place_mm, 0.0)
