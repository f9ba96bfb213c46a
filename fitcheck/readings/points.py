"""All readings of the named points brought together: adjusted points with their spread, what is wrong, what is missing.

A point is the place the tape went to: half the size of what it went to the side of is laid off when it is placed.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import degrees, pi, radians

import numpy as np

from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Vector
from fitcheck.job.model import Job
from fitcheck.job.observed import BY_READINGS, Swings
from fitcheck.job.places import OffColumn, Offsets
from fitcheck.readings.adjust import CHECKED, Adjusted, Net, NoAgreement, Observation, adjust
from fitcheck.readings.observations import Observer, column_of, zero
from fitcheck.readings.reading import SIGMAS_95
from fitcheck.readings.snooping import Doubtful, Snooped, snoop
from fitcheck.readings.start import WAYS, others, starts

LEAST_SWING = radians(15.0)
OPEN_MM = 100.0  # a coordinate good to give or take this is fixed by nothing worth the name
SHARE_OPEN = 1e-3  # of a coordinate's direction that lies in what nothing fixes
AS_GOOD = 9.0  # more squares than the best solution has: less is as good as it
APART_MM = 20.0  # two solutions this far apart are two places
IN_WORDS = {"back": "how far back", "right": "how far sideways", "up": "height"}
TAKE = {"back": "a back or forward offset", "right": "a left or right offset", "up": "an up or down offset"}


@dataclass(frozen=True)
class Point:
    """A point with its coordinates (mm), and the spread of each (95 %); `open` names those that nothing fixes."""

    name: str
    at: Vector
    spread: Vector
    open: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Points:
    """The adjusted points of a job. `all_observations` counts those left out too."""

    observer: Observer
    names: tuple[str, ...]
    snooped: Snooped
    all_observations: tuple[Observation, ...]

    @property
    def adjusted(self) -> Adjusted:
        """The adjustment by all readings that can be believed."""
        return self.snooped.adjusted

    @property
    def doubtful(self) -> tuple[Doubtful, ...]:
        """Readings that disagree with the others."""
        return self.snooped.doubtful

    @cached_property
    def widened(self) -> float:
        """What the spreads are multiplied by: over 1 where the readings agree worse than their spreads say."""
        return 1.0 if self.adjusted.agrees else self.adjusted.factor

    @cached_property
    def found(self) -> tuple[Point, ...]:
        """Every point."""
        return tuple(map(self._point, self.names))

    @property
    def unchecked(self) -> tuple[Observation, ...]:
        """Readings that no other reading checks."""
        adjusted = self.adjusted
        return tuple(
            each for each, r in zip(adjusted.net.observations, adjusted.redundancy, strict=True) if r <= CHECKED
        )

    @property
    def sound(self) -> bool:
        """Whether every point is fixed and no reading is in doubt."""
        return not self.doubtful and not any(point.open for point in self.found)

    def _point(self, name: str) -> Point:
        adjusted, where = self.adjusted, self.adjusted.net.slices[name]
        spread = SIGMAS_95 * self.widened * np.sqrt(np.diag(adjusted.covariance)[where])
        loose = (adjusted.free[:, where] ** 2).sum(axis=0) > SHARE_OPEN**2
        open_ways = tuple(
            way for way, is_loose, mm in zip(WAYS, loose, spread, strict=True) if is_loose or mm > OPEN_MM
        )
        return Point(name, adjusted.block(name), spread, open_ways)

    def missing(self) -> Iterator[str]:
        """What no reading fixes, in words, with what to take."""
        for point in self.found:
            if point.open:
                what = " and ".join(IN_WORDS[way] for way in point.open)
                take = " and ".join(TAKE[way] for way in point.open)
                verb = "is" if len(point.open) == 1 else "are"
                taped = self._to_tape_from(point.name)
                tape = f", or {'a tape' if len(point.open) == 1 else 'tapes'} from {taped}" if taped else ""
                yield f"{point.name}: {what} {verb} fixed by nothing; take {take}{tape}"

    def _to_tape_from(self, name: str) -> str:
        """Names of known points that lie well apart from the point, up to three."""
        known = [point for point in self.found if not point.open and point.name != name]
        return ", ".join(point.name for point in known[:3])


def points_of(job: Job) -> Points | None:
    """The points of a job adjusted by all its readings; None where it holds no named points. Raises KeyFault."""
    names = _names(job)
    if not names:
        return None
    root = lambda name: _root(job, name)  # noqa: E731
    observer = Observer(job, root, column_of(job, root, set(names)))
    _all_adjustable(job, names, root)
    observations = (*observer.of_points(names), *observer.of_readings())
    start, given = starts(job, observer, names)
    net = Net(observations, start | _scans(observations), zero())
    try:
        better = _tried(net, list(given), given) if given else {}
        snooped = snoop(Net(observations, {**net.start, **better}, net.fixed))
    except NoAgreement as error:
        raise KeyFault(("readings",), str(error)) from error
    points = Points(observer, tuple(names), snooped, observations)
    _wide_enough(job, points)
    return points


def _names(job: Job) -> list[str]:
    """Points that the net adjusts: by offsets or by readings, and off the column where the column is among them."""
    by_offsets = [name for name, place in job.points.items() if isinstance(place, Offsets) or place == BY_READINGS]
    names = set(by_offsets)
    column = column_of(job, lambda name: _root(job, name), names)
    if column is not None:
        names |= {name for name, place in job.points.items() if isinstance(place, OffColumn)}
    while True:
        hung = {name for name in names if _hangs_on(job, name) not in (None, *names)}
        if not hung:
            break
        names -= hung
    return [name for name in job.points if name in names]


def _hangs_on(job: Job, name: str) -> str | None:
    place = job.points[name]
    return _root(job, place.from_) if isinstance(place, Offsets) and place.from_ is not None else None


def _root(job: Job, name: str) -> str:
    """The point that a name stands for, where it is only another point's name."""
    place = job.points.get(name)
    while isinstance(place, str) and place != BY_READINGS:
        name, place = place, job.points.get(place)
    return name


def _all_adjustable(job: Job, names: Sequence[str], root: object) -> None:
    """Refuses readings of points that hang on a column which is not itself among the points."""
    for i, each in enumerate(job.readings):
        for key, name in each.named():
            if _root(job, name) not in (*names, *zero()):
                why = f"'{name}' is given off the column: make column.hub_seat and column.low points under [points]"
                raise KeyFault(("readings", i, *key), why)


def _scans(observations: Sequence[Observation]) -> dict[str, Vector]:
    """Unknown shift and turn of every scan, at 0."""
    return {name: np.zeros(3) for each in observations for name in each.blocks if name.startswith("scan ")}


def _tried(net: Net, guessed: Sequence[str], given: Mapping[str, Vector]) -> dict[str, Vector]:
    """A better start for the guessed points, all others held; KeyFault where two places fit equally well."""
    observations = tuple(each for each in net.observations if set(each.blocks) & set(guessed))
    fixed = {name: at for name, at in {**net.start, **net.fixed}.items() if name not in guessed}
    start = {name: net.start[name] for name in guessed}
    tries = [adjust(Net(observations, each, fixed)) for each in (start, *others(start, given))]
    best = min(tries, key=lambda found: found.squares)
    for found in tries:
        for name in guessed:
            shift = float(np.linalg.norm(found.block(name) - best.block(name)))
            loose = (best.free[:, best.net.slices[name]] ** 2).sum() > SHARE_OPEN**2
            if found.squares < best.squares + AS_GOOD and shift > APART_MM and not loose:
                raise KeyFault(("points", name), _two_places(best.block(name), found.block(name)))
    return {name: best.block(name).copy() for name in guessed}


def _two_places(one: Vector, other: Vector) -> str:
    way = list(WAYS)[int(np.abs(one - other).argmax())]
    return (
        f"two places fit its readings, {np.linalg.norm(one - other):.0f} mm apart; say which by {TAKE[way]}, "
        'however rough ("± 50 mm" will do)'
    )


def _wide_enough(job: Job, points: Points) -> None:
    """Refuses a pivot from places of a mark that lie too near each other on their circle."""
    for i, each in enumerate(job.readings):
        if not isinstance(each, Swings):
            continue
        names = [each.about, each.swings[0], each.swings[-1]]
        pivot, first, last = (points.adjusted.block(_root(job, name)) for name in names)
        one, other = first - pivot, last - pivot
        if each.axis_to is None:
            one, other = one[[0, 2]], other[[0, 2]]
        swing = abs(_angle_between(one, other))
        if swing < LEAST_SWING:
            said = f"a swing of {degrees(swing):.0f} degrees is too little to find a pivot from"
            why = f"{said}: take places {degrees(LEAST_SWING):.0f} degrees or more apart"
            raise KeyFault(("readings", i, "swings"), why)


def _angle_between(one: Vector, other: Vector) -> float:
    cosine = float(one @ other) / (float(np.linalg.norm(one)) * float(np.linalg.norm(other)))
    return float(np.arccos(np.clip(cosine, -1.0, 1.0))) if np.isfinite(cosine) else pi
