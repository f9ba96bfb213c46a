"""Where the adjustment starts: each point where some of its readings put it, else at one of several places to be tried.

A point known by tapes alone may lie on either side of what it was taped from, so more than one start is needed, and two
that fit equally well are not told apart. mm, car frame.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import product

import numpy as np

from fitcheck.geometry.frames import Vector
from fitcheck.job.model import Job
from fitcheck.job.observed import DATUM, InScan, OffColumnOf, OffsetsOf
from fitcheck.job.places import OPPOSITES, OffColumn, Offsets
from fitcheck.readings.directions import BACK, RIGHT, UP
from fitcheck.readings.observations import Column, Observer
from fitcheck.readings.predictions import column_frame

AROUND_MM = 250.0  # how far about the middle of all known points the unknown ones are looked for
WAYS = dict(zip(("back", "right", "up"), (BACK, RIGHT, UP), strict=True))
Placing = Offsets | OffColumn | OffColumnOf | InScan


def starts(job: Job, observer: Observer, names: Sequence[str]) -> tuple[dict[str, Vector], dict[str, Vector]]:
    """A start for every point; of those that no reading placed outright also which coordinates one gave (1, else 0)."""
    known: dict[str, Vector] = {DATUM: np.zeros(3)}
    partly: dict[str, dict[str, float]] = {name: {} for name in names}
    for _ in range(len(names) + 1):
        before = len(known)
        for name, place in _placings(job, names, observer):
            if name not in known:
                _place(name, place, known, partly, observer.column, observer)
        if len(known) == before:
            break
    guessed = [name for name in names if name not in known]
    middle = np.mean([known[name] for name in names if name in known] or [np.zeros(3)], axis=0)
    for name in guessed:
        known[name] = np.array([partly[name].get(way, float(middle[i])) for i, way in enumerate(WAYS)])
    given = {name: np.array([float(way in partly[name]) for way in WAYS]) for name in guessed}
    return {name: known[name] for name in names}, given


def _placings(job: Job, names: Sequence[str], observer: Observer) -> Iterator[tuple[str, Placing]]:
    """Tables that say where a point is: those under [points] first, scans last."""
    for name in names:
        place = job.points[name]
        if not isinstance(place, str):
            yield name, place
    for kind in (OffsetsOf, OffColumnOf, InScan):
        for each in job.readings:
            if isinstance(each, kind):
                yield observer.root(each.of), each


def _place(
    name: str,
    place: Placing,
    known: dict[str, Vector],
    partly: dict[str, dict[str, float]],
    column: Column | None,
    observer: Observer,
) -> None:
    """Notes what the table says of the point, and the point itself once all three are known."""
    if isinstance(place, OffColumn | OffColumnOf):
        if place.along is None or place.out is None or place.clock is None or column is None:
            return
        if column.hub_seat in known and column.low in known:
            frame = column_frame(known[column.hub_seat], known[column.low], column.outward, column.radius)
            out = place.out.mm + (column.radius if place.out_from == "skin" else 0.0)
            along, clock = place.along.mm + column.marks[place.along_from], place.clock.rad
            known[name] = frame.points([out * np.cos(clock), out * np.sin(clock), along])
        return
    start = known.get(observer.root(getattr(place, "from_", None) or DATUM))
    if start is None:
        return
    for i, (way, other) in enumerate(OPPOSITES.items()):
        for key, sign in ((way, 1), (other, -1)):
            read = getattr(place, key, None)
            if read is not None:
                partly[name].setdefault(way, float(start[i]) + sign * read.mm)
    if len(partly[name]) == len(WAYS):
        known[name] = np.array([partly[name][way] for way in WAYS])


def others(start: Mapping[str, Vector], given: Mapping[str, Vector]) -> Iterator[dict[str, Vector]]:
    """Further starts: the guessed points moved together to each corner of a box about where they were put.

    Coordinates that a reading gave (1 in `given`) stay.
    """
    free = [i for i in range(3) if any(not flags[i] for flags in given.values())]
    for signs in product((-1.0, 1.0), repeat=len(free)):
        shift = np.zeros(3)
        shift[free] = AROUND_MM * np.array(signs)
        yield {name: start[name] + shift * (1 - given[name]) for name in given}
