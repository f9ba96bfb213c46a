"""One clock and place of the unit judged like a job of its own: its gaps, their spread, and what decides."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path as FilePath

from fitcheck.clearance.clocking_spots import Spot, at_spot, lacking_mm, turning_gaps
from fitcheck.confidence.first_order import Place, Step, stepped
from fitcheck.confidence.judging import judged_gaps
from fitcheck.confidence.results import Judged, Result
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.model import Job
from fitcheck.placement.scene import Kind, Scene
from fitcheck.readings.survey import Path, Reading

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
        return min(self.known, key=lambda entry: lacking_mm(entry.found))

    @property
    def margin_mm(self) -> float:
        """Least margin, certified; of parts that meet, less than nothing by their depth and the need."""
        return lacking_mm(self.decides.found)

    @property
    def unsure(self) -> list[Judged]:
        """Pairs whose gap is kept, but not surely."""
        return [entry for entry in self.known if entry.result in (Result.TOO_CLOSE, Result.NOT_KNOWN)]

    @property
    def sure(self) -> bool:
        """Whether every pair that has a gap is clear, the spread of the readings counted in."""
        return all(entry.result is Result.CLEAR for entry in self.known)


class SharedSteps:
    """Scenes with one reading moved a step, each made once for all places of one job's unit that it does not move."""

    def __init__(self) -> None:
        self._known: dict[Path, tuple[Scene, float]] = {}

    def at(self, scene: Scene) -> Step:
        """What `spreads` asks for, with the unit where `scene` has it."""
        return partial(self._stepped, scene)

    def _stepped(self, scene: Scene, job: Job, reading: Reading, place: Place) -> tuple[Scene, float]:
        if reading.path in self._known:
            other, step = self._known[reading.path]
            own = [part for part in scene.parts if part.kind in PLACED_WITH_THE_UNIT]
            kept = [part for part in other.parts if part.kind not in PLACED_WITH_THE_UNIT]
            return replace(other, parts=(*own, *kept)), step
        found = stepped(job, reading, place)
        names = [part.name for part in scene.parts if part.kind in PLACED_WITH_THE_UNIT]
        if all(found[0].part(name) is scene.part(name) for name in names):
            self._known[reading.path] = found
        return found


def judge_at(
    engine: GapEngine, job: Job, folder: FilePath, like: Scene, spot: Spot, steps: SharedSteps | None = None
) -> Judgement:
    """The job with its unit at `spot`, judged."""
    there, placed = at_spot(job, folder, like, spot.clock, spot.place_mm)
    looked = turning_gaps(engine, there, placed)
    step_by = stepped if steps is None else steps.at(placed)
    return Judgement(spot, there, placed, judged_gaps(there, folder, placed, looked, step_by))


def missing(judgement: Judgement) -> Sequence[Judged]:
    """Pairs that no map holds, as readings of one of the two are missing."""
    return [entry for entry in judgement.gaps if entry.found.closest is None]
