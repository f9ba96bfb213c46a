"""The tables of `[groups]`: what moves as a whole against the body, and how far: engine, frame, axle and the column.

All is said from where things stood when they were measured. What is not given is not looked at, and is said to be so.
"""

from typing import Literal, Self

from pydantic import Field, model_validator

from fitcheck.job.places import Place, Table
from fitcheck.job.tools import Seen, SetAlong, Wanted


class EngineRock(Table):
    """How the engine rocks on its mounts: a turn about a fore-and-aft axis, so far at a named place."""

    about: Place = Field(description="a place on the axis it rocks about, such as the crank's nose")
    about_to: Place | None = Field(None, description="a second place on that axis, such as the gearbox mount")
    runs: Literal["along the car"] | None = Field(
        None, description='"along the car", where the axis runs straight fore and aft, instead of a second place'
    )
    at: Place = Field(description="the place whose movement was seen")
    by: Seen = Field(
        description="how far that place moves, straight, to the side that lifts (or each way)", examples=['"20 mm"']
    )
    lifts: Literal["left", "right", "both"] = Field(description="which side of the engine lifts, as the driver sees it")
    other_way: Seen | None = Field(
        None, description="how far that place moves the other way (overrun, shaking at idle)", examples=['"5 mm"']
    )

    @model_validator(mode="after")
    def _axis_and_both_ways(self) -> Self:
        if (self.about_to is None) == (self.runs is None):
            raise ValueError(
                "the axis it rocks about is open: give 'about_to' (a second place on it), or runs = \"along the car\""
            )
        if (self.other_way is None) != (self.lifts == "both"):
            raise ValueError(
                "an engine that mostly lifts one side goes the other way too: give 'other_way' (\"0 mm\" if it does "
                "not); with lifts = \"both\" it goes 'by' each way, and 'other_way' is left out"
            )
        return self


class FrameShift(Table):
    """How far the frame shifts against the body on its mounts, each way; engine and axle shift with it."""

    up_down: Wanted = Field(description="each way, up and down", examples=['"4 mm"'])
    sideways: Wanted = Field(description="each way, left and right", examples=['"4 mm"'])
    fore_aft: Wanted = Field(description="each way, forward and back", examples=['"3 mm"'])


class AxleTravel(Table):
    """How far the axle goes from where it stood when it was measured."""

    up: Wanted = Field(description="up, to the bump stop", examples=['"70 mm"'])
    down: Wanted = Field(description="down, hanging free", examples=['"60 mm"'])
    sideways: Wanted = Field(description="each way, left and right", examples=['"3 mm"'])
    fore_aft: Wanted = Field(description="each way, forward and back", examples=['"5 mm"'])


class ColumnTilt(Table):
    """A column that tilts: about an axis across the car, all that lies toward the wheel of it."""

    pivot: Place = Field(description="the middle of the axis it tilts about")
    up: Seen = Field(description="how far the hub seat goes up from where it was measured, straight line")
    down: Seen = Field(description="how far the hub seat goes down from where it was measured, straight line")


class ColumnReach(Table):
    """A column that is adjusted in and out: it slides along its axis, all that lies toward the wheel of the joint."""

    slides_at: SetAlong = Field(description="where its sliding joint is, along from the hub seat")
    toward_driver: Seen = Field(description="how far it comes out from where it was measured")
    away: Seen = Field(description="how far it goes in from where it was measured")


class ColumnMoves(Table):
    """Tilt and reach of the column; the unit and a bracket that turns with it go along where they lie above."""

    tilt: ColumnTilt | None = Field(None, description="tilt, about a pivot")
    reach: ColumnReach | None = Field(None, description="in and out, along the column")

    @model_validator(mode="after")
    def _something(self) -> Self:
        if self.tilt is None and self.reach is None:
            raise ValueError("give 'tilt' or 'reach', or leave [groups.column] out")
        return self


class Groups(Table):
    """What moves as a whole against the body."""

    engine: EngineRock | None = Field(None, description="the engine's rock on its mounts")
    frame: FrameShift | None = Field(None, description="the frame's shift against the body")
    axle: AxleTravel | None = Field(None, description="the axle's travel")
    column: ColumnMoves | None = Field(None, description="tilt and reach of the column")
