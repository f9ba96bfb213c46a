"""The tables of the two ends that the intermediate shaft runs between: the column's, and the box's or rack's input."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from fitcheck.job.angles import Angle
from fitcheck.job.places import Place, Table
from fitcheck.job.tools import SetAlong, Sized, Tool, Wanted

STUB_GAUGE_DEG = Tool("angle gauge on a short stub", 1.0)
OnStub = Annotated[Angle, STUB_GAUGE_DEG]


class End(Table):
    """What a shaft's end is: a spline, a double-D, or plain for a weld-on joint."""

    kind: Literal["spline", "double-D", "weld-on", "round"] = Field(
        description='"spline", "double-D" or "weld-on"', examples=['"spline"']
    )
    teeth: int | None = Field(None, ge=3, le=96, description="teeth of the spline, counted")

    @model_validator(mode="after")
    def _held(self) -> Self:
        if self.kind == "round":
            raise ValueError(
                "a plain round bar held by friction alone is refused: a steering joint needs positive retention; "
                'use a spline or a double-D, or "weld-on" where the law and the part allow it, by a qualified welder'
            )
        if (self.kind == "spline") != (self.teeth is not None):
            raise ValueError(
                'a spline needs its teeth counted, as in { kind = "spline", teeth = 36 }; nothing else has'
            )
        return self


class Tilt(Table):
    """A column that tilts as a whole about a pivot."""

    pivot_along: SetAlong = Field(description="its pivot, along from the hub seat")
    up: OnStub = Field(description="the wheel up from where it was measured", examples=['"3 deg"'])
    down: OnStub = Field(description="the wheel down from where it was measured", examples=['"5 deg"'])


class UpperEnd(Table):
    """The shaft end under the column that the first joint goes on; its axis is the column's."""

    joint_along: SetAlong | None = Field(None, description="first joint's centre, along from 'along_from'")
    along_from: str = Field("hub_seat", description="the mark it is measured from")
    joint_at: Place | None = Field(None, description="first joint's centre, instead of joint_along")
    end: End | None = Field(None, description="what the shaft's end is")
    slides_out: Wanted | None = Field(None, description="how far it can slide toward the rack from where it was set")
    slides_in: Wanted | None = Field(None, description="how far it can slide toward the wheel from where it was set")
    tilt: Tilt | None = Field(None, description="where the whole column tilts")
    straight_through: bool | None = Field(
        None, description="where [groups.column] tilts about a pivot above the first joint: true if the column's shaft "
        "runs straight through the pivot, false if it has a joint of its own there",
    )  # fmt: skip

    @model_validator(mode="after")
    def _one_place(self) -> Self:
        if self.joint_along is not None and self.joint_at is not None:
            raise ValueError("give either 'joint_along' or 'joint_at', not both")
        return self


class Tube(Table):
    """A straight tube slipped over the box input: two places on it give the input's direction."""

    near: Place = Field(description="a place on it near the box")
    far: Place = Field(description="a place on it far from the box, toward the wheel")
    od: Sized = Field(description="its outside diameter")


class LowerEnd(Table):
    """The input of the box or rack that the last joint goes on."""

    joint_at: Place | None = Field(None, description="last joint's centre")
    tube: Tube | None = Field(None, description="a straight tube slipped over the input, for its direction")
    down: OnStub | None = Field(None, description="its direction by gauge: angle below level, wheel to rack")
    across: OnStub | None = Field(
        None, description="its direction in plan, wheel to rack, toward the driver's right positive"
    )
    end: End | None = Field(None, description="what its end is")
    sticks_out: Sized | None = Field(
        None, description="how much of the input sticks out for the joint: spline or flat", examples=['"30 mm"']
    )
    moves: Wanted | None = Field(
        None, description="how far it moves each way against the column (rubber, body on frame)"
    )

    @model_validator(mode="after")
    def _one_direction(self) -> Self:
        if self.tube is not None and (self.down is not None or self.across is not None):
            raise ValueError("give either 'tube' (two places) or 'down' and 'across' (two angles), not both")
        return self
