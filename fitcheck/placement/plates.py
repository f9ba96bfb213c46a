"""The bracket's flat plates laid flat, outline and holes as on the measured face, for true-size templates. mm."""

from collections.abc import Iterator
from dataclasses import dataclass

from fitcheck.geometry.frames import Vector
from fitcheck.job.model import Job
from fitcheck.job.shapes import Flat
from fitcheck.placement.column import ColumnAxis
from fitcheck.placement.points import Places
from fitcheck.placement.shapes import laid_flat


@dataclass(frozen=True, eq=False)
class FlatPlate:
    """outline (n, 2) and holes' (centre (2,), diameter), seen on the measured face, the thickness going away."""

    name: str
    outline: Vector
    holes: tuple[tuple[Vector, float], ...]
    thick_mm: float


def bracket_plates(job: Job) -> Iterator[FlatPlate]:
    """Every flat plate among the bracket's solids; Missing and KeyFault as in placing it."""
    axis = ColumnAxis(job)
    places = Places(job, lambda: axis.column2car, axis.along)
    for name, shape in ({} if job.bracket is None else job.bracket.solids).items():
        if isinstance(shape, Flat):
            _, flat, centres = laid_flat(shape, ("bracket", "solids", name), places)
            # The face's own frame looks from behind: seen on the face, its second axis runs the other way.
            seen = flat[:, :2] * [1.0, -1.0]
            holes = tuple(
                (centre * [1.0, -1.0], hole.dia.mm) for centre, hole in zip(centres, shape.holes, strict=True)
            )
            yield FlatPlate(name, seen, holes, shape.thick.mm)
