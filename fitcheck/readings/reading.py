"""One measured number with the key it stands under and its spread, and the walk that finds all of a job's.

The spread is the reading's own (`± 3 mm`), else its table's (`spread = "3 mm"`), else its table's tool's, else the
default of the way such a number is usually taken (common practice, no source).
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from fitcheck.job.angles import Angle, ClockAngle, Lean
from fitcheck.job.lengths import Length
from fitcheck.job.remedies import spelled
from fitcheck.job.tools import ANGLE_GAUGE_DEG, SET_CLOCK_DEG, TOOLS, Tool

Path = tuple[str | int, ...]
RADIANS_A_DEGREE = math.pi / 180
SIGMAS_95 = 1.959963984540054  # two-sided 95 % of the normal distribution
DEFAULT = ", default"
AS_WRITTEN = {"reads": "is", "from_": "from"}  # keys of the file that are no names here


@dataclass(frozen=True)
class Reading:
    """One measured number: `value` and `spread` in mm, or rad for angles; `spread_from` names its source.

    `even`: off by anything within limits alike, as a scale read to its nearest mark is, and never by more; its spread
    is still 1.96 standard deviations, that is 1.96 / sqrt 3 of the half-width. `usual` is the way such a number is
    usually taken, whatever this one was taken with; None where there is none.
    """

    path: Path
    value: float
    spread: float
    spread_from: str
    is_angle: bool
    even: bool = False
    usual: Tool | None = None

    @property
    def key(self) -> str:
        """As a person would write it: `pedals[2].travel`, items counted from 1."""
        return spelled(tuple(AS_WRITTEN.get(str(step), step) for step in self.path))

    @property
    def by_default(self) -> bool:
        """Whether the file states neither a spread nor a tool for it."""
        return self.spread_from.endswith(DEFAULT)


def measured(job: BaseModel, leave: tuple[str, ...] = ()) -> Iterator[Reading]:
    """All measured numbers of a table, in the order of the model, but for the keys to `leave` out."""
    for name, field in type(job).model_fields.items():
        if name not in leave:
            yield from _walk_field(job, name, field, ())


def _walk(value: Any, path: Path, table: BaseModel | None, tool: Tool | None = None) -> Iterator[Reading]:
    if isinstance(value, Length):
        spread, said = _spread(value.spread_mm, table, tool)
        yield Reading(path, value.mm, spread, said, is_angle=False, usual=tool)
    elif isinstance(value, Angle):
        spread, said = _spread(value.spread_rad, None, tool, scale=RADIANS_A_DEGREE)
        yield Reading(path, value.rad, spread, said, is_angle=True, usual=tool)
    elif isinstance(value, Lean):
        gauged = None if value.way == "level" else ANGLE_GAUGE_DEG  # the word alone is a statement, no reading
        spread, said = _spread(value.spread_rad, None, gauged, scale=RADIANS_A_DEGREE)
        yield Reading(path, value.rad, spread, said, is_angle=True, usual=gauged)
    elif isinstance(value, ClockAngle):
        spread, said = _spread(value.spread_rad, None, SET_CLOCK_DEG, scale=RADIANS_A_DEGREE)
        yield Reading(path, value.rad, spread, said, is_angle=True, usual=SET_CLOCK_DEG)
    elif isinstance(value, BaseModel):
        for name, field in type(value).model_fields.items():
            if name != "spread":
                yield from _walk_field(value, name, field, path)
    elif isinstance(value, dict):
        for name, item in value.items():
            yield from _walk(item, (*path, name), None)
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from _walk(item, (*path, index), None)


def _walk_field(table: BaseModel, name: str, field: FieldInfo, path: Path) -> Iterator[Reading]:
    used = next((mark for mark in field.metadata if isinstance(mark, Tool)), None)
    yield from _walk(getattr(table, name), (*path, name), table, used or _inner_tool(field.annotation))


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
    return tool.spread * scale, f"{tool.words}{DEFAULT}"
