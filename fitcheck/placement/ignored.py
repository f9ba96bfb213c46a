"""What a job says that this version does not use, in words, so that nothing is left out in silence."""

from collections.abc import Iterator
from typing import Any, get_args

from pydantic import BaseModel

from fitcheck.job.model import Job
from fitcheck.job.places import Offsets
from fitcheck.job.remedies import key_text


def ignored(job: Job) -> Iterator[str]:
    """One sentence for each thing that is said and not used."""
    read = {name for each in job.readings for _, name in each.named()}
    for name in job.points:
        if name not in read | _points_in_use(job):
            yield f"points.{key_text(name)} is not used: no other place is taken from it"
    for i, boot in enumerate([] if job.driver is None else job.driver.boots, start=1):
        sideways = [way for way in ("right", "left") if getattr(boot.heel, way, None) is not None]
        if sideways:
            yield f"driver.boots[{i}].heel.{sideways[0]} is not used: the boot stands straight behind its pad"


def _points_in_use(job: Job) -> set[str]:
    """Points that a place outside [points] is taken from, straight or by way of other points."""
    used: set[str] = set()
    waiting = [name for field in type(job).model_fields if field != "points" for name in _named(getattr(job, field))]
    while waiting:
        name = waiting.pop()
        if name in job.points and name not in used:
            used.add(name)
            waiting += _named(job.points[name], is_place=True)
    return used


def _named(value: Any, is_place: bool = False) -> Iterator[str]:
    """Names of the points that places within `value` are taken from; a text is one only where a place may stand."""
    if isinstance(value, str):
        yield from [value] if is_place else []
    elif isinstance(value, BaseModel):
        if isinstance(value, Offsets) and value.from_ is not None:
            yield value.from_
        for name, field in type(value).model_fields.items():
            yield from _named(getattr(value, name), _takes_places(field.annotation))
    elif isinstance(value, dict | list | tuple):
        for item in value.values() if isinstance(value, dict) else value:
            yield from _named(item, is_place)


def _takes_places(annotation: Any) -> bool:
    return annotation is Offsets or any(_takes_places(inner) for inner in get_args(annotation))
