"""One clock and place of the unit judged like a job of its own: its gaps, their spread, and what decides."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path as FilePath

from fitcheck.clearance.boots import everyone, is_off_pedals
from fitcheck.clearance.clocking_spots import Spot, at_spot, margin_of, turning_gaps
from fitcheck.clearance.gaps import found
from fitcheck.clearance.map_bodies import turns
from fitcheck.clearance.pairs import Treatment, pair_of
from fitcheck.confidence.judging import judged_gaps
from fitcheck.confidence.nudged import Nudged
from fitcheck.confidence.results import Judged, Result
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.model import Job
from fitcheck.placement.place import place
from fitcheck.placement.scene import Kind, Scene
from fitcheck.readings.survey import Path, shifted

PLACED_WITH_THE_UNIT = (Kind.UNIT, Kind.BRACKET)  # made anew for every clock and place


@dataclass(frozen=True, eq=False)
class Judgement:
    """One clock and place: every judged pair that turning and sliding changes, worst first."""

    spot: Spot
    job: Job
    scene: Scene
    gaps: tuple[Judged, ...]

    @property
    def known(self) -> list[Judged]:
        """The pairs that have a gap."""
        return [entry for entry in self.gaps if entry.found.closest is not None]

    @property
    def decides(self) -> Judged:
        """The pair nearest to its limit, or farthest beyond it."""
        return min(self.known, key=lambda entry: margin_of(entry.found))

    @property
    def margin_mm(self) -> float:
        """Least margin, certified; of parts that meet, less than nothing by their depth and the need."""
        return margin_of(self.decides.found)

    @property
    def unsure(self) -> list[Judged]:
        """Pairs whose gap is kept, but not surely."""
        return [entry for entry in self.known if entry.result in (Result.TOO_CLOSE, Result.NOT_KNOWN)]

    @property
    def sure(self) -> bool:
        """Whether every pair is clear, the spread of the readings counted in; never while one has no gap yet."""
        return all(entry.result is Result.CLEAR for entry in self.gaps)


class SharedMoves:
    """Scenes with one reading moved, each made once for all places of one job's unit that it does not move."""

    def __init__(self) -> None:
        self.known: dict[tuple[Path, float], Scene] = {}

    def at(self, job: Job, scene: Scene, place: Callable[[Job], Scene]) -> Nudged:
        """The moves of `job`, whose unit is where `scene` has it."""
        return _MovedThere(job, scene, place, self.known)


class _MovedThere(Nudged):
    """Moves of a job's readings; what does not move the unit is taken from where it was made for another place."""

    def __init__(
        self, job: Job, scene: Scene, place: Callable[[Job], Scene], shared: dict[tuple[Path, float], Scene]
    ) -> None:
        super().__init__(job, place)
        self._own = [part for part in scene.parts if part.kind in PLACED_WITH_THE_UNIT]
        self._shared = shared

    def moved(self, path: Path, by: float) -> tuple[Job, Scene]:
        if (path, by) in self._shared:
            other = self._shared[path, by]
            kept = [part for part in other.parts if part.kind not in PLACED_WITH_THE_UNIT]
            return shifted(self.job, path, by), replace(other, parts=(*self._own, *kept))
        job, scene = super().moved(path, by)
        if all(scene.part(part.name) is part for part in self._own):
            self._shared[path, by] = scene
        return job, scene


def judge_at(
    engine: GapEngine, job: Job, folder: FilePath, like: Scene, spot: Spot, moves: SharedMoves | None = None
) -> Judgement:
    """The job with its unit at `spot`, judged."""
    there, placed = at_spot(job, folder, like, spot.clock, spot.place_mm)
    looked = turning_gaps(engine, there, placed)
    there_place = partial(place, folder=folder, like=placed)
    nudged = Nudged(there, there_place) if moves is None else moves.at(there, placed, there_place)
    return Judgement(spot, there, placed, judged_gaps(nudged, looked))


def legs_at(engine: GapEngine, folder: FilePath, at: Judgement) -> tuple[Judged, ...]:
    """Legs, and boots off their pedals, against all that turns with the unit, where it stands; worst first.

    No map holds them: they are looked at where a place is told. Empty where the job has none.
    """
    if at.job.driver is None:
        return ()
    whole = place(at.job, folder, at.scene, whole=True)
    off = [part for part in everyone(whole) if is_off_pedals(part)]
    turning = [part for part in at.scene.parts if turns(at.job, part)]
    met = [pair_of(at.job, leg, part) for leg in off for part in turning]
    looked = [found(engine, pair) for pair in met if pair.need.treatment is Treatment.JUDGED]
    nudged = Nudged(at.job, partial(place, folder=folder, like=whole, whole=True))
    return judged_gaps(nudged, looked)


def missing(judgement: Judgement) -> Sequence[Judged]:
    """Pairs that no map holds, as readings of one of the two are missing."""
    return [entry for entry in judgement.gaps if entry.found.closest is None]
