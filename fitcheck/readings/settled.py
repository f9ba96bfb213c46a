"""A job whose points rest on all their readings: what the rest of the house judges in place of the job as written.

To move one reading moves all points as the adjustment says (its gain). Whatever else the readings lean on (how the car
sat, the jacket, marks) moves them by what it changes in the predictions. mm, rad.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import cast

import numpy as np
from pydantic import ConfigDict, SkipValidation

from fitcheck.geometry.frames import Vector
from fitcheck.job.lengths import Length
from fitcheck.job.model import Job
from fitcheck.job.places import OPPOSITES, Offsets
from fitcheck.readings.guesses import as_guessed
from fitcheck.readings.points import Points, points_of
from fitcheck.readings.reading import Path, Reading

LEANS_ON = (("job", "sat"), ("column", "jacket_od"), ("column", "marks"))


@dataclass(frozen=True, eq=False)
class Basis:
    """What a settled job rests on: the job as written and its adjusted points."""

    written: Job
    points: Points

    @cached_property
    def readings(self) -> tuple[Reading, ...]:
        """The readings the points rest on; where they agree worse than their spreads say, these are widened."""
        by = self.points.widened
        return tuple(
            replace(each, spread=each.spread * by)
            for each in (observation.reading for observation in self.points.adjusted.net.observations)
        )

    @cached_property
    def _at(self) -> dict[Path, int]:
        return {each.path: i for i, each in enumerate(self.readings)}

    def holds(self, path: Path) -> bool:
        """Whether the number at `path` is used up in the points: they rest on it, or it was left out as doubtful."""
        return path[0] == "readings" or (path[0] == "points" and path[1] in self.points.adjusted.net.slices)

    def shift(self, path: Path, by: float) -> Vector:
        """How far all unknowns go when the reading at `path` moves."""
        at = self._at.get(path)
        return self.still if at is None else np.asarray(by * self.points.adjusted.gain[:, at])

    @cached_property
    def still(self) -> Vector:
        """No unknown moved at all."""
        return np.zeros_like(self.points.adjusted.x)

    def leaning(self, moved: Job) -> Vector:
        """How far all unknowns go where what the readings lean on stands as in `moved`."""
        adjusted = self.points.adjusted
        told = self.points.observer.like(self.written.model_copy(update={"job": moved.job, "column": moved.column}))
        by_path = {each.reading.path: each for each in (*told.of_points(list(self.points.names)), *told.of_readings())}
        change = [
            by_path[each.reading.path].off(adjusted.net.values(each, adjusted.x))
            - each.off(adjusted.net.values(each, adjusted.x))
            for each in adjusted.net.observations
        ]
        return np.asarray(adjusted.gain @ np.array(change))


class Settled(Job):
    """A job with its points adjusted, and what they rest on."""

    model_config = ConfigDict(arbitrary_types_allowed=True)
    basis: SkipValidation[Basis]

    def shifted(self, moves: Sequence[tuple[Path, float]]) -> "Settled":
        """With readings that the points rest on moved."""
        return self._with(sum((self.basis.shift(*move) for move in moves), self.basis.still)) if moves else self

    def leaned(self, moved: "Settled", paths: Sequence[Path]) -> "Settled":
        """`moved`, whose numbers at `paths` were moved, with the points that lean on those moved along."""
        leans = any(path[: len(each)] == each for path in paths for each in LEANS_ON)
        return moved._with(self.basis.leaning(moved)) if leans else moved

    def _with(self, by: Vector) -> "Settled":
        slices = self.basis.points.adjusted.net.slices
        points = {
            name: _moved(cast(Offsets, place), by[slices[name]]) if name in slices else place
            for name, place in self.points.items()
        }
        return self.model_copy(update={"points": points})


def settle(job: Job) -> Job:
    """The job as it is judged: guesses stand as such, points rest on all their readings.

    The same where it holds neither. Raises KeyFault where [[readings]] cannot be used.
    """
    job = as_guessed(job)
    found = points_of(job) if job.readings and not isinstance(job, Settled) else None
    if found is None:
        return job
    points = dict(job.points)
    for point in found.found:
        ways = {
            way: Length(float(mm), float(spread), f"{mm:.2f} mm")
            for way, mm, spread in zip(OPPOSITES, point.at, point.spread, strict=True)
            if way not in point.open
        }
        bare = Offsets.model_construct(side=getattr(job.points[point.name], "side", "middle"))
        points[point.name] = bare.model_copy(update=ways)
    return Settled.model_construct(**{**dict(job), "points": points}, basis=Basis(job, found))


def _moved(place: Offsets, by: Vector) -> Offsets:
    ways = {way: getattr(place, way) for way in OPPOSITES}
    moved = {
        way: Length(read.mm + float(mm), read.spread_mm, read.text)
        for (way, read), mm in zip(ways.items(), by, strict=True)
        if read is not None
    }
    return place.model_copy(update=moved)


def points_in(job: Job) -> Points | None:
    """The adjusted points a job rests on; None where it rests on its places as written."""
    return job.basis.points if isinstance(job, Settled) else None
