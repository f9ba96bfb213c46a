"""The column and what is fitted to it: the assist unit and its bracket."""

from typing import Literal, Self

from pydantic import Field, model_validator

from fitcheck.job.angles import ClockAngle
from fitcheck.job.faults import MisfitError
from fitcheck.job.places import Place, Table
from fitcheck.job.shapes import Mesh, Shape
from fitcheck.job.tools import Calipered, Gauged, Made, SetAlong, Taped


class Mark(Table):
    """A mark on the column, tied to the hub seat by one tape reading along it."""

    along: Taped = Field(description="distance down the column from the hub seat", examples=['"3 1/2 in"'])


class Column(Table):
    """The steering column: two places on its axis, or one and two angles; sizes of jacket and shaft."""

    hub_seat: Place = Field(description="the face the steering wheel's hub seats on, at the column's centre")
    low: Place | None = Field(None, description="a second place on the column, as far down as can be reached")
    down: Gauged | None = Field(None, description="its angle below level, by gauge", examples=['"28.0 deg"'])
    across: Gauged | None = Field(
        None,
        description="its angle across the car in plan, lower end to the driver's right positive",
        examples=['"1.2 deg"'],
    )
    jacket_od: Calipered = Field(description="outside diameter of the jacket", examples=['"2 in"'])
    jacket_from: SetAlong = Field(description="where the jacket begins, along from the hub seat", examples=['"60 mm"'])
    jacket_to: SetAlong = Field(description="where the jacket ends, along from the hub seat", examples=['"700 mm"'])
    shaft_od: Calipered | None = Field(None, description="diameter of the steering shaft", examples=['"3/4 in"'])
    shaft_to: SetAlong | None = Field(None, description="where the shaft ends, along from the hub seat")
    lower_bearing: SetAlong | None = Field(None, description="lower bearing, along from the hub seat")
    marks: dict[str, Mark] = Field(default_factory=dict, description="further marks along the column")

    @model_validator(mode="after")
    def _one_way_to_the_axis(self) -> Self:
        if self.low is not None and (self.down is not None or self.across is not None):
            raise ValueError("give either 'low' (a second place) or 'down' and 'across' (two angles), not both")
        if self.shaft_od is None and self.shaft_to is not None:
            measure = "the shaft's size is missing: measure it by caliper below the jacket"
            raise MisfitError((("shaft_to",), f'{measure} and write shaft_od = "3/4 in", or leave shaft_to out too'))
        if self.shaft_to is None and self.shaft_od is not None:
            measure = "the shaft's end is missing: measure how far down the column from the hub seat it reaches"
            raise MisfitError((("shaft_od",), f'{measure} and write shaft_to = "31 in", or leave shaft_od out too'))
        if self.low is None and (self.down is None or self.across is None):
            raise ValueError("the column's direction is open: give 'low' (a second place), or both 'down' and 'across'")
        return self


class Drum(Table):
    """A round part on the column's axis."""

    dia: Made = Field(description="diameter across", examples=['"100 mm"'])
    long: Made = Field(description="length along the column", examples=['"90 mm"'])


class Motor(Table):
    """The motor can: square to the column, its axis beside the column's; or parallel to it."""

    dia: Made = Field(description="diameter of the can", examples=['"76 mm"'])
    long: Made = Field(description="length of the can", examples=['"130 mm"'])
    lies: Literal["square", "parallel"] = Field(description='"square" or "parallel" to the column')
    beside: Made = Field(description="from the column's axis to the can's axis", examples=['"48 mm"'])
    starts: Made = Field(
        description="square: from the column's centre out to where the can starts; "
        "parallel: from the input face down to the can's wheel end",
        examples=['"48 mm"'],
    )


class Worm(Table):
    """The worm housing, on the can's axis, from behind the column's centre to where the can starts."""

    dia: Made = Field(description="diameter", examples=['"52 mm"'])
    behind: Made = Field(description="how far behind the column's centre it begins", examples=['"36 mm"'])


class Plug(Table):
    """The connector with the room its plug and the bend of its loom need."""

    dia: Made = Field(description="diameter", examples=['"28 mm"'])
    stands: Made = Field(description="how far it stands off the can", examples=['"25 mm"'])
    from_far_end: Made = Field(description="from the can's far end to the plug's centre", examples=['"40 mm"'])
    side: Literal["wheel", "rack", "out"] = Field(description="which side of the can it stands on")


class Unit(Table):
    """The assist unit: where its input face sits, how it is clocked, which hand it is, and its solids."""

    input_face: SetAlong = Field(description="its face toward the wheel, along the column", examples=['"16 15/16 in"'])
    along_from: str = Field("hub_seat", description="the mark it is measured from")
    clock: ClockAngle = Field(description="where the far end of the motor can points", examples=['"10:45"'])
    hand: Literal["over", "under"] | None = Field(
        None, description="does the can pass over or under the column when it points to 9:00?"
    )
    gear_body: Drum | None = Field(None, description="the gear body")
    sensor: Drum | None = Field(None, description="the sensor section, toward the wheel")
    output: Drum | None = Field(None, description="the output stub, toward the rack")
    motor: Motor | None = Field(None, description="the motor can")
    worm: Worm | None = Field(None, description="the worm housing")
    plug: Plug | None = Field(None, description="the connector")
    library: str | None = Field(None, description="a mesh of the project's own library instead of solids")
    mesh: Mesh | None = Field(None, description="a mesh of your own instead of solids, in the unit's frame")

    @model_validator(mode="after")
    def _one_description(self) -> Self:
        solids = (self.gear_body, self.sensor, self.output, self.motor, self.worm, self.plug)
        ways = (any(part is not None for part in solids), self.library is not None, self.mesh is not None)
        if sum(ways) != 1:
            raise ValueError(
                "describe the unit in one way: by its solids (gear_body, motor, ...), or 'library', or 'mesh'"
            )
        if ways[0] and (self.gear_body is None or self.motor is None):
            raise ValueError("a unit described by solids needs at least 'gear_body' and 'motor'")
        square = self.motor is not None and self.motor.lies == "square"
        if self.hand is not None and not square:
            raise ValueError(
                "'hand' says nothing here: only a can square to the column, given by its solids, is handed"
            )
        if square and self.hand is None:
            raise ValueError(
                'a can square to the column is handed: write hand = "over" or "under" (as it passes at 9:00)'
            )
        return self


class Clamp(Table):
    """The ring round the jacket."""

    along: SetAlong = Field(description="its edge toward the wheel, along from the hub seat")
    wide: Made = Field(description="width along the column", examples=['"30 mm"'])
    thick: Made = Field(description="wall of the ring", examples=['"5 mm"'])


class MeasuredAt(Table):
    """The clock angle and place the unit had when the bracket's places were taken."""

    clock: ClockAngle = Field(description="clock of the unit then", examples=['"12:00"'])
    input_face: SetAlong = Field(description="its input face then, along from the hub seat", examples=['"430 mm"'])


class Bracket(Table):
    """Clamp and legs, and whether it turns with the unit or stays with the car."""

    turns: Literal["with the unit", "stays with the car"] = Field(
        description='"with the unit" (turned and slid with it) or "stays with the car"'
    )
    measured_at: MeasuredAt | None = Field(
        None, description="with the unit: where the unit was when its places were taken"
    )
    clamp: Clamp | None = Field(None, description="the ring round the jacket")
    solids: dict[str, Shape] = Field(default_factory=dict, description="legs and plates, by name")
    library: str | None = Field(None, description="a mesh of the project's own library, in the unit's frame")
    joined: list[str] = Field(default_factory=list, description="parts it is meant to touch, besides the column")
    bolts_to: list[str] = Field(
        default_factory=list, description="pieces of the unit it is bolted to, by name", examples=['["gear body"]']
    )

    @model_validator(mode="after")
    def _places_have_a_clock(self) -> Self:
        if self.turns == "with the unit" and self.solids and self.measured_at is None:
            raise ValueError(
                'a bracket that turns with the unit needs measured_at = { clock = "12:00", input_face = "430 mm" }: '
                "where the unit was when the bracket's places were taken"
            )
        if self.turns == "stays with the car" and self.measured_at is not None:
            raise ValueError("measured_at says nothing for a bracket that stays with the car; leave it out")
        return self
