"""The chapter on boots and legs: what they meet with how sure that is, beside what is only reported."""

from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.clearance.boots import Beside, SideRoom, Spacing, everyone, on_pedal
from fitcheck.confidence.as_built import AsBuilt
from fitcheck.confidence.draws import NO_DRAWS, Draws
from fitcheck.confidence.judging import judged_gaps
from fitcheck.confidence.mocked_up import held_against
from fitcheck.confidence.nudged import Nudged
from fitcheck.confidence.results import Judged, Result, worst_first
from fitcheck.placement.feet import BootSize, boot_size, size_from


@dataclass(frozen=True)
class Leg:
    """One boot or leg: against new parts, worst first, and against those that were there before, closest first.

    `heel_lifts` is the travel from which the heel of a boot on its pedal is off the floor, None where it stays;
    `heel_known` whether there is a boot on a pedal to tell it of.
    """

    name: str
    new: tuple[Judged, ...]
    before: tuple[Judged, ...]
    heel_known: bool = False
    heel_lifts: float | None = None

    @property
    def worst(self) -> Judged:
        """The pair that decides, where there is any new part."""
        return self.new[0]


@dataclass(frozen=True)
class BootsChapter:
    """Boot size; boots on their pedals; boots lifted off, crossing and at rest, and shins; and what is reported.

    `beside` is what is only reported.
    """

    size: BootSize
    size_from: str
    on_pedals: tuple[Leg, ...]
    off_pedals: tuple[Leg, ...]
    beside: Beside

    @property
    def spacing(self) -> tuple[Spacing, ...]:
        """How far apart neighbouring pads are."""
        return self.beside.spacing

    @property
    def rooms(self) -> tuple[SideRoom, ...]:
        """The free room beside every boot on its pedal."""
        return self.beside.rooms

    @property
    def notes(self) -> tuple[str, ...]:
        """Remarks on boots off their pedals and on shins; those on boots on their pedals stand with the job's."""
        return self.beside.notes

    @property
    def gaps(self) -> tuple[Judged, ...]:
        """Gaps of all that is not a boot on its pedal: those are among the job's gaps already. Worst first."""
        entries = [entry for leg in self.off_pedals for entry in (*leg.new, *leg.before)]
        return tuple(sorted(entries, key=worst_first))

    @property
    def result(self) -> Result:
        """The worst result of any boot or leg; clear where nothing new is near."""
        results = [entry.result for leg in (*self.on_pedals, *self.off_pedals) for entry in leg.new]
        return min(results, key=list(Result).index, default=Result.CLEAR)


def boots_chapter(
    nudged: Nudged,
    found: Beside | None,
    gaps: Sequence[Judged],
    seen: AsBuilt | None = None,
    draws: Draws = NO_DRAWS,
) -> BootsChapter | None:
    """The chapter from what was found, the job's own `gaps` and the mock-up; None where the job has no boots."""
    if found is None:
        return None
    off, driver = held_against(judged_gaps(nudged, found.gaps, draws), seen), nudged.job.driver
    assert driver is not None  # there are boots
    names = [part.name for part in everyone(found.scene) if on_pedal(part)]
    return BootsChapter(
        size=boot_size(driver),
        size_from=size_from(driver),
        on_pedals=tuple(_leg(name, gaps, found) for name in names),
        off_pedals=tuple(_leg(name, off, found) for name in found.off_pedals),
        beside=found,
    )


def _leg(name: str, gaps: Sequence[Judged], found: Beside) -> Leg:
    own = [entry for entry in sorted(gaps, key=worst_first) if name in (entry.pair.a.name, entry.pair.b.name)]
    before = tuple(entry for entry in own if entry.result is Result.AS_BEFORE)
    new = tuple(entry for entry in own if entry.result not in (Result.AS_BEFORE, Result.JOINED))
    return Leg(name, new, before, name in found.heel_lifts, found.heel_lifts.get(name))
