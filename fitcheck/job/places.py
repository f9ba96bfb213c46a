"""How a place is written in a job file: offsets in words, off the column, or by name. Never x, y, z."""

from collections.abc import Mapping
from typing import Annotated, Any, Literal, Self

from pydantic import BaseModel, ConfigDict, Discriminator, Field, Tag, model_validator

from fitcheck.job.angles import ClockAngle
from fitcheck.job.tools import Spread, Taped, ToolName

OPPOSITES = {"back": "forward", "right": "left", "up": "down"}
Side = Literal["middle", "front", "rear", "left", "right", "top", "underside"]


class Table(BaseModel):
    """A table of the job file: unknown keys are faults, nothing is changed after loading."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=False, defer_build=True)


class Offsets(Table):
    """Offsets along the car's directions, from the datum or another point, to the named side of what is measured."""

    back: Taped | None = Field(None, description="how far behind", examples=['"24 5/8 in"'])
    forward: Taped | None = Field(None, description="how far ahead", examples=['"3 in"'])
    right: Taped | None = Field(None, description="how far to the driver's right", examples=['"3/8 in"'])
    left: Taped | None = Field(None, description="how far to the driver's left", examples=['"3/8 in"'])
    up: Taped | None = Field(None, description="how far above", examples=['"337 mm"'])
    down: Taped | None = Field(None, description="how far below", examples=['"90 mm"'])
    from_: str | None = Field(None, alias="from", description="the point it is measured from; without it, the datum")
    side: Side = Field("middle", description="which side of the part the tape went to")
    by: Literal["tape", "level"] = Field("tape", description="along the car's own directions, or by level and plumb")
    spread: Spread | None = Field(None, description="give or take of each offset (95 %)", examples=['"3 mm"'])
    tool: ToolName | None = Field(None, description="what it was read with")
    who: str | None = None
    remark: str | None = None

    @model_validator(mode="after")
    def _one_way_each(self) -> Self:
        for one, other in OPPOSITES.items():
            if getattr(self, one) is not None and getattr(self, other) is not None:
                raise ValueError(f"'{one}' and '{other}' are the same direction; write only one of them")
        if all(getattr(self, way) is None for pair in OPPOSITES.items() for way in pair):
            raise ValueError(
                'no offset given; write for example { back = "24 5/8 in", left = "3/8 in", up = "337 mm" }'
            )
        return self


class OffColumn(Table):
    """A place by tape along the column, square out from it, and the clock place it lies at."""

    along: Taped = Field(description="distance down the column", examples=['"21 1/2 in"'])
    along_from: str = Field("hub_seat", description="the mark it is measured from")
    out: Taped = Field(description="distance square out from the column", examples=['"3 in"'])
    out_from: Literal["axis", "skin"] = Field(description='"axis" (centre of the column) or "skin" (its surface)')
    clock: ClockAngle = Field(description="clock place seen from the driver's seat", examples=['"10:30"'])
    side: Side = "middle"
    spread: Spread | None = Field(None, description="give or take of each reading (95 %)", examples=['"3 mm"'])
    tool: ToolName | None = Field(None, description="what it was read with")
    who: str | None = None
    remark: str | None = None


def _spelling(value: Any) -> str:
    if isinstance(value, str):
        return "named"
    if isinstance(value, OffColumn) or (isinstance(value, Mapping) and {"along", "out", "clock"} & set(value)):
        return "off_column"
    return "offsets"


Place = Annotated[
    Annotated[str, Tag("named")] | Annotated[OffColumn, Tag("off_column")] | Annotated[Offsets, Tag("offsets")],
    Discriminator(_spelling),
]
