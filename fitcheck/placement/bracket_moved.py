"""A bracket that stays with the car, made for another place along the column: its clamp goes along, its feet stay.

Of each leg that is a bar or tube, the end nearer the column's line goes with the clamp; the other, bolted to
the car stays. Solids that are no bars stay as they are. Millimetres, car frame.
"""

import numpy as np

from fitcheck.geometry.frames import Vector
from fitcheck.job.assembly import Bracket
from fitcheck.job.lengths import Length
from fitcheck.job.model import Job
from fitcheck.job.places import OPPOSITES, OffColumn, Offsets, Place
from fitcheck.job.shapes import Rod
from fitcheck.job.variants import moved
from fitcheck.placement.column import ColumnAxis
from fitcheck.placement.points import Places, level2car


def with_bracket_moved(job: Job, toward_rack_mm: float) -> Job | None:
    """The bracket's clamp that much nearer the rack; None where the job has no clamp that stays with the car.

    Raises Missing where a leg's ends are not measured yet.
    """
    bracket = job.bracket
    if bracket is None or bracket.clamp is None or bracket.turns == "with the unit":
        return None
    clamp = bracket.clamp.model_copy(update={"along": moved(bracket.clamp.along, toward_rack_mm)})
    solids = _with_legs(job, bracket, toward_rack_mm)
    return job.model_copy(update={"bracket": bracket.model_copy(update={"clamp": clamp, "solids": solids})})


def _with_legs(job: Job, bracket: Bracket, by_mm: float) -> dict[str, object]:
    axis = ColumnAxis(job)
    places = Places(job, lambda: axis.column2car, axis.along)
    shift = by_mm * axis.column2car.rotation[:, 2]
    solids: dict[str, object] = dict(bracket.solids)
    for name, shape in bracket.solids.items():
        if isinstance(shape, Rod):
            path = ("bracket", "solids", name, "through")
            half = shape.dia.mm / 2
            ends = [places.point(shape.through[i], (*path, i % len(shape.through)), half=half) for i in (0, -1)]
            out = [float(np.hypot(*axis.column2car.inverse.points(end)[:2])) for end in ends]
            near = 0 if out[0] <= out[1] else len(shape.through) - 1
            through = [
                _shifted(place, shift, by_mm, job) if i == near else place for i, place in enumerate(shape.through)
            ]
            solids[name] = shape.model_copy(update={"through": through})
    return solids


def _shifted(place: Place, shift: Vector, by_mm: float, job: Job) -> Place:
    """The place moved by `shift` in the car, which is `by_mm` down the column."""
    if isinstance(place, OffColumn):
        return place.model_copy(update={"along": moved(place.along, by_mm)})
    if isinstance(place, str):
        exactly = dict.fromkeys(OPPOSITES, "0 mm ± 0 mm")
        place = Offsets.model_validate({"from": place, **exactly})
    if place.by == "level":
        shift = level2car(job.job).inverse.directions(shift)
    changes: dict[str, Length] = {}
    for (word, opposite), by in zip(OPPOSITES.items(), shift.tolist(), strict=True):
        plain, other = getattr(place, word), getattr(place, opposite)
        if plain is not None:
            changes[word] = moved(plain, by)
        elif other is not None:
            changes[opposite] = moved(other, -by)
    return place.model_copy(update=changes)
