"""Which clocks and places the search may try: from the job, else a stated default. Radians; mm from the hub seat."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import radians, tau

import numpy as np

from fitcheck.errors import GeometryError, KeyFault
from fitcheck.geometry.frames import Vector
from fitcheck.job.model import Job

EITHER_WAY_MM = 25.0  # of the job's own place, where the job states no places; ours
PLACE_STEP_MM = 5.0
CLOCK_STEP = radians(5.0)
HOLE_PLAY = radians(0.5)  # either way of a mounting step, which its cells hold as well; ours
STRAY = 1e-9


@dataclass(frozen=True)
class Arc:
    """Clocks from `start` to `stop` (rad), all the way round where `around`; a `step` is one clock with its play."""

    start: float
    stop: float
    around: bool = False
    step: bool = False

    def clocks(self) -> Vector:
        """Clocks of a coarse grid: its ends, and every whole step between; round a circle the last is not repeated."""
        if self.step:
            return np.array([self.start, (self.start + self.stop) / 2, self.stop])
        if self.around:
            return np.arange(self.start, self.stop - STRAY, CLOCK_STEP)
        return between(self.start, self.stop, CLOCK_STEP)


@dataclass(frozen=True)
class Allowed:
    """Arcs of clock and a stretch of places; the words say what of it the job does not state."""

    arcs: tuple[Arc, ...]
    low_mm: float
    high_mm: float
    assumed: tuple[str, ...] = ()

    def places(self) -> Vector:
        """Places of a coarse grid, its ends among them."""
        return between(self.low_mm, self.high_mm, PLACE_STEP_MM)

    @property
    def any_clock(self) -> bool:
        return len(self.arcs) == 1 and self.arcs[0].around


def allowed(job: Job, own_mm: float, mark_mm: float, possible: Callable[[float, float], None]) -> Allowed:
    """What the job allows of clock and place.

    `own_mm` is where its unit sits, `mark_mm` the mark its places are taken from, both from the hub seat. `possible`
    raises KeyFault for a stretch of places in which no unit could sit. Stated places are refused there; where none are
    stated, the stretch about `own_mm` is made shorter, and that is said.
    """
    arcs, said = _arcs(job)
    places = None if job.clocking is None else job.clocking.places
    if places is None:
        low, high = _as_far_as(own_mm, possible)
        words = f"no places stated: its input face is tried {own_mm - low:.0f} mm toward the wheel and " \
                f"{high - own_mm:.0f} mm toward the rack of where the job has it (clocking.places)"  # fmt: skip
        return Allowed(arcs, low, high, (*said, words))
    low, high = mark_mm + places.start_mm, mark_mm + places.end_mm
    try:
        possible(low, high)
    except KeyFault as error:
        raise KeyFault(("clocking", "places"), f"the unit cannot sit at all of these: {error.message}") from error
    return Allowed(arcs, low, high, said)


def any_clock() -> tuple[Arc, ...]:
    """All the way round."""
    return (Arc(0.0, tau, around=True),)


def beyond(there: Allowed, possible: Callable[[float, float], None]) -> Allowed:
    """The same clocks, and places up to as much again beyond either end."""
    low, _ = _as_far_as(there.low_mm, possible, PLACE_STEP_MM)
    _, high = _as_far_as(there.high_mm, possible, PLACE_STEP_MM)
    return replace(there, low_mm=low, high_mm=high)


def _arcs(job: Job) -> tuple[tuple[Arc, ...], tuple[str, ...]]:
    clocks = None if job.clocking is None else job.clocking.clocks
    if clocks is None:
        return any_clock(), ("no clocks stated: any clock is tried, as for a clamp (clocking.clocks)",)
    if clocks.kind == "any":
        return any_clock(), ()
    if clocks.kind == "stretch":
        return (Arc(clocks.rads[0], clocks.rads[1]),), ()
    return tuple(Arc(rad - HOLE_PLAY, rad + HOLE_PLAY, step=True) for rad in clocks.rads), ()


def _as_far_as(
    own_mm: float, possible: Callable[[float, float], None], step_mm: float = PLACE_STEP_MM
) -> tuple[float, float]:
    """The widest stretch about `own_mm` in which the unit can sit, up to the default, by whole steps."""
    ends = []
    for way in (-1.0, 1.0):
        far = EITHER_WAY_MM
        while far > 0 and not _can(possible, *sorted((own_mm, own_mm + way * far))):
            far -= step_mm
        ends.append(own_mm + way * max(far, 0.0))
    if not ends[0] < ends[1]:
        raise GeometryError("the unit has no room along the column to be slid at all; check the jacket's ends")
    return ends[0], ends[1]


def _can(possible: Callable[[float, float], None], low: float, high: float) -> bool:
    try:
        possible(low, high)
    except KeyFault:
        return False
    return True


def between(low: float, high: float, step: float) -> Vector:
    """`low`, whole multiples of `step` between, `high`; none nearer to an end than a tenth of the step."""
    inner = np.arange(np.ceil(low / step), np.floor(high / step) + 1) * step
    inner = inner[(inner > low + step / 10) & (inner < high - step / 10)]
    return np.concatenate([[low], inner, [high]])
