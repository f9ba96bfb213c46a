"""Every pair of a scene with its least gap, before anything is said about how sure it is."""

from collections.abc import Iterator
from dataclasses import dataclass

from fitcheck.clearance.pairs import Pair, Treatment, pairs
from fitcheck.clearance.travel import Closest, closest, touch_travel
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.model import Job
from fitcheck.placement.scene import Part, Scene, Unplaced

AMPLE_MM = 120.0  # beyond the required gap: room enough not to be looked at more closely
GUESSES_AT_ONCE = 6.0  # all the same way, each as far off as it is said to be
FAR_OFF_MM = 1000.0  # from what is turned by an angle
WORTH_LISTING_MM = 30.0  # old parts farther apart than this are not looked at more closely


@dataclass(frozen=True)
class Found:
    """A pair, where it comes closest and first touches; None where a reading is missing or nothing is judged."""

    pair: Pair
    closest: Closest | None
    first_touch: float | None

    @property
    def touched_by(self) -> str | None:
        """The pedal whose travel `first_touch` is a share of."""
        parts = [part for part in (self.pair.a, self.pair.b) if isinstance(part, Part)]
        return next((part.driven_by for part in parts if part.driven_by is not None), None)


def gaps(engine: GapEngine, job: Job, scene: Scene) -> Iterator[Found]:
    """All pairs in the order of the scene; those joined, and those neither new nor moving, without a gap."""
    ample_mm = ample(job)
    for pair in pairs(job, (*scene.parts, *scene.unplaced)):
        yield found(engine, pair, ample_mm)


def ample(job: Job) -> float:
    """Beyond the required gap, mm: so much that no reading brings it under; with guesses in the job, no guess."""
    said = job.job.guessed
    if said is None:
        return AMPLE_MM
    return AMPLE_MM + GUESSES_AT_ONCE * (said.places.mm + said.sizes.mm) + FAR_OFF_MM * said.angles.rad


def found(engine: GapEngine, pair: Pair, ample_mm: float = AMPLE_MM) -> Found:
    """One pair with its gap where it has one."""
    looked_at = pair.need.treatment in (Treatment.JUDGED, Treatment.AS_BEFORE)
    if not looked_at or isinstance(pair.a, Unplaced) or isinstance(pair.b, Unplaced):
        return Found(pair, None, None)
    judged = pair.need.treatment is Treatment.JUDGED
    nearest = closest(engine, pair.a, pair.b, pair.need.required_mm + ample_mm if judged else WORTH_LISTING_MM)
    touch = touch_travel(engine, pair.a, pair.b) if nearest.gap.gap_mm == 0 else None
    return Found(pair, nearest, touch)
