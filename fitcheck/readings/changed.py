"""A job with some of its numbers changed, by their paths: moved, or stating another spread. mm, rad."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import Any, TypeVar

from fitcheck.job.lengths import Length
from fitcheck.job.model import Job
from fitcheck.readings.reading import Path

Change = Callable[[Any], Any]
AnyJob = TypeVar("AnyJob", bound=Job)


def moved_by(job: AnyJob, moves: Sequence[tuple[Path, float]]) -> AnyJob:
    """The job with the number at each path moved by what stands beside it, all else untouched."""
    changed: AnyJob = _changed(job, [(path, partial(_moved, by=by)) for path, by in moves])
    return changed


def respread(job: AnyJob, spreads: Mapping[Path, float]) -> AnyJob:
    """The job with the number at each path stating another spread, its value untouched."""
    changed: AnyJob = _changed(job, [(path, partial(_respread, spread=spread)) for path, spread in spreads.items()])
    return changed


def _moved(value: Any, by: float) -> Any:
    return replace(value, mm=value.mm + by) if isinstance(value, Length) else replace(value, rad=value.rad + by)


def _respread(value: Any, spread: float) -> Any:
    return replace(value, **{"spread_mm" if isinstance(value, Length) else "spread_rad": spread})


def _changed(value: Any, changes: list[tuple[Path, Change]]) -> Any:
    """A copy of a table, list or number with each number at a path changed; changes of one number follow each other."""
    if not changes:
        return value
    if not changes[0][0]:
        for _, change in changes:
            value = change(value)
        return value
    below: dict[str | int, list[tuple[Path, Change]]] = {}
    for path, change in changes:
        below.setdefault(path[0], []).append((path[1:], change))
    if isinstance(value, dict):
        return {**value, **{key: _changed(value[key], of) for key, of in below.items()}}
    if isinstance(value, list):
        return [_changed(item, below[index]) if index in below else item for index, item in enumerate(value)]
    return value.model_copy(update={str(key): _changed(getattr(value, str(key)), of) for key, of in below.items()})
