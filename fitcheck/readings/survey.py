"""Every measured number of a job, with the key it stands under and its spread (half-width of 95 %).

The spread is the reading's own (`± 3 mm`), else its table's (`spread = "3 mm"`), else its table's tool's, else the
default of the way such a number is usually taken (common practice, no source).
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from pydantic import BaseModel

from fitcheck.job.angles import Angle, ClockAngle, Lean
from fitcheck.job.lengths import Length
from fitcheck.job.model import Job
from fitcheck.job.remedies import spelled
from fitcheck.job.tools import ANGLE_GAUGE_DEG, SET_CLOCK_DEG, TOOLS, Tool

Path = tuple[str | int, ...]
RADIANS_A_DEGREE = math.pi / 180


@dataclass(frozen=True)
class Reading:
    """One measured number: `value` and `spread` in mm, or rad for angles; `spread_from` names its source."""

    path: Path
    value: float
    spread: float
    spread_from: str
    is_angle: bool

    @property
    def key(self) -> str:
        """As a person would write it: `pedals[2].travel`, items counted from 1."""
        return spelled(self.path)


def readings(job: Job) -> tuple[Reading, ...]:
    """All measured numbers of the job, in the order of the model; wanted figures (spread 0) are left out."""
    return tuple(reading for reading in _walk(job, (), None) if reading.spread > 0)


def defaults_in_use(job: Job) -> Iterator[str]:
    """One sentence for each kind of spread that the job does not state, with how many readings lean on it."""
    leaning: dict[tuple[str, str], int] = {}
    for reading in readings(job):
        if reading.spread_from.endswith("default"):
            size = f"{reading.spread / RADIANS_A_DEGREE:.2g} deg" if reading.is_angle else f"{reading.spread:.2g} mm"
            leaning[reading.spread_from, size] = leaning.get((reading.spread_from, size), 0) + 1
    for (words, size), count in leaning.items():
        yield f"spread of {count} reading{'s' if count > 1 else ''} not stated: give or take {size} ({words})"


def _walk(value: Any, path: Path, table: BaseModel | None, tool: Tool | None = None) -> Iterator[Reading]:
    if isinstance(value, Length):
        spread, said = _spread(value.spread_mm, table, tool)
        yield Reading(path, value.mm, spread, said, is_angle=False)
    elif isinstance(value, Angle):
        spread, said = _spread(value.spread_rad, None, tool, scale=RADIANS_A_DEGREE)
        yield Reading(path, value.rad, spread, said, is_angle=True)
    elif isinstance(value, Lean):
        gauged = None if value.way == "level" else ANGLE_GAUGE_DEG  # the word alone is a statement, no reading
        spread, said = _spread(value.spread_rad, None, gauged, scale=RADIANS_A_DEGREE)
        yield Reading(path, value.rad, spread, said, is_angle=True)
    elif isinstance(value, ClockAngle):
        spread, said = _spread(value.spread_rad, None, SET_CLOCK_DEG, scale=RADIANS_A_DEGREE)
        yield Reading(path, value.rad, spread, said, is_angle=True)
    elif isinstance(value, BaseModel):
        for name, field in type(value).model_fields.items():
            if name != "spread":
                used = next((mark for mark in field.metadata if isinstance(mark, Tool)), None)
                yield from _walk(getattr(value, name), (*path, name), value, used or _inner_tool(field.annotation))
    elif isinstance(value, dict):
        for name, item in value.items():
            yield from _walk(item, (*path, name), None)
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from _walk(item, (*path, index), None)


def _inner_tool(annotation: Any) -> Tool | None:
    """The tool named inside an optional annotation (`Taped | None`)."""
    for option in getattr(annotation, "__args__", ()):
        for mark in getattr(option, "__metadata__", ()):
            if isinstance(mark, Tool):
                return mark
    return None


def _spread(own: float | None, table: BaseModel | None, tool: Tool | None, scale: float = 1.0) -> tuple[float, str]:
    if own is not None:
        return own, "stated"
    of_table = getattr(table, "spread", None)
    if of_table is not None:
        return of_table.mm, "stated for the point"
    named = getattr(table, "tool", None)
    if named is not None:
        return TOOLS[named].spread, TOOLS[named].words
    if tool is None:
        return 0.0, "none"
    return tool.spread * scale, f"{tool.words}, default"


# Readings that say how far something goes, by their keys, the numbers of lists left out.
ENDS = {
    *(("pedals", key) for key in ("travel", "travel_angle", "over_travel", "pulled_up")),
    ("linkages", "lever_travel"),
    *(("groups", "engine", key) for key in ("by", "other_way")),
    *(("groups", "frame", key) for key in ("up_down", "sideways", "fore_aft")),
    *(("groups", "axle", key) for key in ("up", "down", "sideways", "fore_aft")),
    *(("groups", "column", "tilt", key) for key in ("up", "down")),
    *(("groups", "column", "reach", key) for key in ("toward_driver", "away")),
}


def ends_a_movement(path: Path) -> bool:
    """Whether the reading says how far something goes: the movement is covered beyond it by its spread already."""
    return tuple(step for step in path if isinstance(step, str)) in ENDS


def give_or_take(length: Length, tool: Tool) -> float:
    """Spread of one length, mm: its own where it states one, else that of the way it is usually taken."""
    return tool.spread if length.spread_mm is None else length.spread_mm


def shifted(job: Job, path: Path, by: float) -> Job:
    """The job with the one number at `path` moved by `by` (mm or rad), all else untouched."""
    return all_shifted(job, [(path, by)])


def all_shifted(job: Job, moves: Iterable[tuple[Path, float]]) -> Job:
    """The job with each number at a path moved by what stands beside it (mm or rad), all else untouched."""
    moved: Job = _shifted(job, list(moves))
    return moved


def _shifted(value: Any, moves: list[tuple[Path, float]]) -> Any:
    if not moves[0][0]:
        by = sum(by for _, by in moves)
        return replace(value, mm=value.mm + by) if isinstance(value, Length) else replace(value, rad=value.rad + by)
    below: dict[str | int, list[tuple[Path, float]]] = {}
    for path, by in moves:
        below.setdefault(path[0], []).append((path[1:], by))
    if isinstance(value, dict):
        return {**value, **{key: _shifted(value[key], of) for key, of in below.items()}}
    if isinstance(value, list):
        return [_shifted(item, below[index]) if index in below else item for index, item in enumerate(value)]
    return value.model_copy(update={str(key): _shifted(getattr(value, str(key)), of) for key, of in below.items()})
