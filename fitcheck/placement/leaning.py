"""Which pieces of a job a part is made from: its tables, and the points and the column its places are taken from."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from pydantic import BaseModel

from fitcheck.job.model import Job
from fitcheck.job.places import OffColumn

Need = tuple[object, frozenset[str], bool]


@dataclass(frozen=True)
class Leaning:
    """Looks through a job's tables; `needs` remembers what each of them (by its id, kept alive beside it) names."""

    job: Job
    needs: dict[int, Need] = field(default_factory=dict)

    def of(self, *models: object) -> tuple[object, ...]:
        """The models, how the car sat, and the points and the column their places are taken from, near or far."""
        leans = list(models)
        for model in leans:  # what is found is looked through in its turn
            _, names, off_column = self._need(model)
            if not names and not off_column:
                continue
            further = [*(self.job.points[name] for name in names), *([self.job.column] if off_column else [])]
            leans += [each for each in further if not any(each is known for known in leans)]
        return (*leans, self.job.job)

    def _need(self, model: object) -> Need:
        """The points named in the model, and whether any place in it is off the column; looked up once."""
        known = self.needs.get(id(model))
        if known is None:
            found = list(_places_in(model, self.job))
            names = frozenset(place for place in found if isinstance(place, str))
            known = self.needs[id(model)] = model, names, any(isinstance(place, OffColumn) for place in found)
        return known


def _places_in(value: Any, job: Job) -> Iterator[str | OffColumn]:
    """What `value` holds of points by name, and of places off the column."""
    if isinstance(value, str) and value in job.points:
        yield value
    elif isinstance(value, BaseModel):
        if isinstance(value, OffColumn):
            yield value
        for name in type(value).model_fields:
            yield from _places_in(getattr(value, name), job)
    elif isinstance(value, dict | list):
        for item in value.values() if isinstance(value, dict) else value:
            yield from _places_in(item, job)
