"""As built: what was found on the mock-up held against what the readings predict, one by one and on the mean. mm.

A prediction stands for the parts as they are, not worn nor pulled unless they were. Found and predicted agree where
they differ by no more than the root of both squared spreads; their mean difference has its own spread, readings that
several predictions share counted once for all of them (covariances, JCGM 100:2008, 5.2.2).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np

from fitcheck.clearance.gaps import Found
from fitcheck.clearance.pairs import Need, Pair, Treatment
from fitcheck.clearance.travel import Closest, phases
from fitcheck.confidence.first_order import Share, spreads
from fitcheck.confidence.nudged import Nudged
from fitcheck.errors import KeyFault
from fitcheck.geometry.cover import Body, least_gap, restricted
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.lengths import Length
from fitcheck.job.model import Job
from fitcheck.job.seen import SeenGap, SeenLength
from fitcheck.job.tools import PAD_CHORD, TOOLS
from fitcheck.placement.column import ColumnAxis
from fitcheck.placement.place import place
from fitcheck.placement.points import RIGHT, Places
from fitcheck.placement.scene import Kind, Part, Phase, Scene
from fitcheck.readings.survey import give_or_take, readings, shifted

STEP_MM, STEP_RAD = 0.1, 1e-4
SHARES = {"rest": 0.0, "half": 0.5, "full": 1.0}
ON_THE_COLUMN = (Kind.COLUMN, Kind.UNIT, Kind.BRACKET)
TWO = 2  # gaps that lean only where both do; of more the mean decides
ASIDE = 0.5  # of a gap's way that has to go sideways for it to tell where the column sits
NONE = Length(0.0, None, "0 mm")


@dataclass(frozen=True)
class AsBuiltEntry:
    """One thing found: what it is, `found_mm` and `predicted_mm` with the spread of each, readings behind the latter.

    `parts` are the two parts of a gap; empty for a distance between points. `held` is where its pedal was held, empty
    where none has a part in it; `right` how much of the way from the one on the column to the other goes to the
    driver's right, -1 to 1.
    """

    key: str
    words: str
    parts: tuple[str, ...]
    found_mm: float
    found_spread_mm: float
    predicted_mm: float
    shares: tuple[Share, ...]
    held: str = ""
    right: float = 0.0

    @property
    def predicted_spread_mm(self) -> float:
        return float(np.sqrt(sum(share.part_mm**2 for share in self.shares)))

    @property
    def off_mm(self) -> float:
        """Found less predicted."""
        return self.found_mm - self.predicted_mm

    @property
    def allowed_mm(self) -> float:
        """Root of both squared spreads."""
        return float(np.hypot(self.found_spread_mm, self.predicted_spread_mm))

    @property
    def agrees(self) -> bool:
        return abs(self.off_mm) <= self.allowed_mm


@dataclass(frozen=True)
class AsBuilt:
    """All that was found, and the mean difference of the gaps with its spread."""

    entries: tuple[AsBuiltEntry, ...]

    @property
    def gaps(self) -> tuple[AsBuiltEntry, ...]:
        return tuple(entry for entry in self.entries if entry.parts)

    @property
    def mean_mm(self) -> float:
        """Mean of found less predicted over all gaps."""
        return float(np.mean([entry.off_mm for entry in self.gaps])) if self.gaps else 0.0

    @property
    def mean_spread_mm(self) -> float:
        """Its spread: each found gap alone, each reading through all the predictions it is in."""
        found = sum(entry.found_spread_mm**2 for entry in self.gaps) / max(len(self.gaps), 1) ** 2
        return float(np.sqrt(found + sum(share.part_mm**2 for share in self.together)))

    @property
    def together(self) -> tuple[Share, ...]:
        """What each reading causes of the mean's spread, through all the predictions it is in; largest first."""
        sums: dict[str, float] = {}
        for entry in self.gaps:
            for share in entry.shares:
                sums[share.key] = sums.get(share.key, 0.0) + share.part_mm / len(self.gaps)
        return _largest_first([Share(key, part) for key, part in sums.items()])

    @property
    def leans(self) -> bool:
        """Whether the gaps differ to one side by more than their mean may."""
        many = len(self.gaps)
        together = many > TWO or (many == TWO and self.one_sided)
        return together and abs(self.mean_mm) > self.mean_spread_mm

    @property
    def one_sided(self) -> bool:
        """Whether all gaps differ to the same side."""
        return len({entry.off_mm > 0 for entry in self.gaps}) == 1

    @property
    def sideways_mm(self) -> float:
        """How far to the driver's right of its readings the column seems to sit, by gaps on both sides; else 0.

        A column s to the right takes s times `right` from each gap. Only gaps that disagree count.
        """
        aside = [entry for entry in self.gaps if not entry.agrees and abs(entry.right) >= ASIDE]
        each = [-entry.off_mm / entry.right for entry in aside]
        if len({entry.right > 0 for entry in aside}) < TWO or len({mm > 0 for mm in each}) > 1:
            return 0.0
        return float(np.mean(each))

    @property
    def agrees(self) -> bool:
        return not self.leans and all(entry.agrees for entry in self.entries)


def as_built(job: Job, folder: Path) -> AsBuilt | None:
    """Everything found on the mock-up against its prediction; None where nothing was found yet. Raises KeyFault."""
    if not job.seen:
        return None
    return AsBuilt(tuple(_entries(job, folder)))


def _entries(job: Job, folder: Path) -> list[AsBuiltEntry]:
    """In the order of the file."""
    by_place: dict[int, AsBuiltEntry] = {}
    for pulled in (False, True):
        wheel = "pulled" if pulled else "still"
        gaps = [(i, seen) for i, seen in enumerate(job.seen) if isinstance(seen, SeenGap) and seen.wheel == wheel]
        if gaps:
            by_place |= _gaps(_unworn(job, pulled), folder, gaps)
    by_place |= {i: _length(job, i, seen) for i, seen in enumerate(job.seen) if isinstance(seen, SeenLength)}
    return [by_place[i] for i in sorted(by_place)]


def _unworn(job: Job, pulled: bool) -> Job:
    """The job with unworn bushes and, unless someone heaved on the wheel, with the wheel let alone."""
    pedals = [pedal.model_copy(update={"side_wear": NONE}) for pedal in job.pedals]
    require = job.require if pulled else job.require.model_copy(update={"wheel_pull": NONE})
    return job.model_copy(update={"pedals": pedals, "require": require})


def _gaps(job: Job, folder: Path, gaps: Sequence[tuple[int, SeenGap]]) -> dict[int, AsBuiltEntry]:
    """Gaps that were all found with the wheel alike."""
    scene = place(job, folder)
    held = [_held(*_two(scene, seen, i), seen, i) for i, seen in gaps]
    shares = spreads(Nudged(job, partial(place, folder=folder, like=scene)), held)
    return {i: _entry(job, i, seen, entry, of) for (i, seen), entry, of in zip(gaps, held, shares, strict=True)}


def _two(scene: Scene, seen: SeenGap, i: int) -> tuple[Part, Part]:
    a, b = (scene.part(name) for name in seen.between)
    if a is None or b is None:
        name = seen.between[0] if a is None else seen.between[1]
        raise KeyFault(("seen", i, "between"), f"'{name}' cannot be placed yet, so nothing is predicted of it")
    return a, b


def _entry(job: Job, i: int, seen: SeenGap, entry: Found, shares: tuple[Share, ...]) -> AsBuiltEntry:
    a, b, closest = entry.pair.a, entry.pair.b, entry.closest
    assert isinstance(a, Part) and isinstance(b, Part) and closest is not None
    held = seen.at if _driven(a, b) else ""
    unsaid = "" if "at" in seen.model_fields_set else ", as at says nothing else"
    where = f", pedal {held}{unsaid}" if held else ""
    pulled = ", wheel pulled" if seen.wheel == "pulled" else ""
    found_spread = _found_spread(seen.gap, seen, "clay")
    predicted = closest.gap.gap_mm - closest.gap.depth_mm
    all_shares = (*shares, *_of_travel(job, a, b, seen, i))
    words, names = f"{a.name} - {b.name}{where}{pulled}", (a.name, b.name)
    right, mm = _to_the_right(a, b, closest.gap.normal), seen.gap.mm
    return AsBuiltEntry(f"seen[{i + 1}]", words, names, mm, found_spread, predicted, all_shares, held, right)


def _to_the_right(a: Part, b: Part, normal: Vector) -> float:
    """How much of `normal`, from a toward b, goes to the right off the part on the column; 0 where both or none are."""
    ways = [part.kind in ON_THE_COLUMN for part in (a, b)]
    return 0.0 if ways[0] == ways[1] else float(normal @ RIGHT) * (1 if ways[0] else -1)


def _driven(a: Part, b: Part) -> str | None:
    return a.driven_by or b.driven_by


def _found_spread(length: Length, seen: SeenGap | SeenLength, tool: str) -> float:
    if length.spread_mm is not None:
        return length.spread_mm
    return seen.spread.mm if seen.spread is not None else TOOLS[seen.tool or tool].spread


def _held(a: Part, b: Part, seen: SeenGap, i: int, share: float | None = None) -> Found:
    """The pair with the pedal held where it was, or at another share of its travel."""
    found = []
    for k, a_phase in enumerate(phases(a, b)):
        for m, b_phase in enumerate(phases(b, a)):
            bodies = (_at(a_phase, seen, i, share), _at(b_phase, seen, i, share))
            gap = least_gap(GapEngine(), *bodies)
            found.append(Closest(k, m, gap, "", "", {}))
    nearest = min(found, key=lambda each: each.gap.gap_mm - each.gap.depth_mm)
    return Found(Pair(a, b, Need(Treatment.AS_BEFORE, "")), nearest, None)


def _at(phase: Phase, seen: SeenGap, i: int, share: float | None) -> Body:
    """The phase with its pedal held; group movements at what was measured."""
    if phase.shares:
        raise KeyFault(("seen", i, "between"), "of a pushrod no gap at one place is predicted; take the pedal's own")
    ranges = []
    for k, move in enumerate(phase.chain):
        value = 0.0
        if k == 0 and phase.travel is not None and phase.moves is not None:
            value = float(np.interp(_share(phase, seen, share), phase.travel.shares, phase.travel.values))
        ranges.append((min(max(value, move.start), move.stop),) * 2)
    return restricted(phase.body, ranges)


def _share(phase: Phase, seen: SeenGap, share: float | None) -> float:
    assert phase.travel is not None
    if share is not None:
        return share
    return phase.travel.read[0] if seen.at == "pulled up" else SHARES[seen.at]


def _of_travel(job: Job, a: Part, b: Part, seen: SeenGap, i: int) -> Iterator[Share]:
    """How far the pedal's travel, as read, may put off where it was held."""
    pedal = next((pedal for pedal in job.pedals if pedal.name == _driven(a, b)), None)
    share = SHARES.get(seen.at, 0.0)
    if pedal is None or pedal.travel is None or share == 0:
        return
    step = share * give_or_take(pedal.travel, PAD_CHORD) / pedal.travel.mm / 2
    ends = [_held(a, b, seen, i, at).closest for at in (share + step, share - step)]
    assert ends[0] is not None and ends[1] is not None
    change = (ends[0].gap.gap_mm - ends[0].gap.depth_mm) - (ends[1].gap.gap_mm - ends[1].gap.depth_mm)
    yield Share(f"pedals[{job.pedals.index(pedal) + 1}].travel", change)


def _length(job: Job, i: int, seen: SeenLength) -> AsBuiltEntry:
    here = _apart(job, seen)
    shares = []
    for reading in readings(job):
        step = STEP_RAD if reading.is_angle else STEP_MM
        part = (_apart(shifted(job, reading.path, step), seen) - here) / step * reading.spread
        if abs(part) > 1e-6:
            shares.append(Share(reading.key, part))
    words = f"distance {seen.points[0]} - {seen.points[1]}"
    spread = _found_spread(seen.reads, seen, "footwell tape")
    return AsBuiltEntry(f"seen[{i + 1}]", words, (), seen.reads.mm, spread, here, _largest_first(shares))


def _apart(job: Job, seen: SeenLength) -> float:
    axis = ColumnAxis(job)
    places = Places(job, lambda: axis.column2car, axis.along)
    one, other = (places.point(name, ("points", name), half=0.0) for name in seen.points)
    return float(np.linalg.norm(one - other))


def _largest_first(shares: Sequence[Share]) -> tuple[Share, ...]:
    return tuple(sorted(shares, key=lambda share: -abs(share.part_mm)))
