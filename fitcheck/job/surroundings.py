"""What moves and stands round the column: pedals, linkages, boots and obstacles."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from fitcheck.job.places import Place, Table
from fitcheck.job.shapes import SHAPES, Shape
from fitcheck.job.tools import Chord, Gauged, Made, Wanted

Group = Literal["body", "frame", "engine", "axle"]
Name = Annotated[str, Field(min_length=1, max_length=80)]


class PivotShaft(Table):
    """A shaft across the car that two or more pedals hang on."""

    name: Name
    at: Place = Field(description="one end of its centre line")
    other_end: Place = Field(description="the other end of its centre line")
    dia: Made = Field(description="outside diameter", examples=['"22 mm"'])


class ArmPoint(Table):
    """A place on a pedal arm, and whether it is the arm's middle or an edge of it."""

    at: Place = Field(description="where it is with the pedal at rest")
    edge: Literal["middle", "front", "rear"] = Field("middle", description="which edge the tape went to")


class Pad(Table):
    """The pad: centre of the face the boot presses."""

    at: Place | None = Field(None, description="centre of the pad's face, pedal at rest")
    wide: Made = Field(description="width across the car", examples=['"60 mm"'])
    high: Made = Field(description="height", examples=['"55 mm"'])
    thick: Made = Field(description="thickness of pad and rubber", examples=['"12 mm"'])
    tilt: Gauged | None = Field(None, description="face's lean from upright, top away from the driver positive")


class Pedal(Table):
    """A pedal: pivot, arm, pad and travel. What is not measured yet may be left out."""

    name: Name
    kind: Literal["hanging", "floor-hinged"] = Field(description='"hanging" or "floor-hinged"')
    pivot: Place | None = Field(None, description="its pivot (back and up are enough: the axis runs across the car)")
    pivot_to: Place | None = Field(
        None, description="a second place on the pivot's axis, where it does not run square across"
    )
    pivot_shaft: str | None = Field(None, description="name of the shaft it shares, instead of a pivot of its own")
    arm: list[ArmPoint] = Field(
        default_factory=list, description="places along the arm from pivot to pad, pedal at rest"
    )
    arm_wide: Made | None = Field(None, description="width of the arm seen from the side", examples=['"28 mm"'])
    arm_thick: Made | None = Field(None, description="thickness of the arm across the car", examples=['"8 mm"'])
    boss_dia: Made | None = Field(
        None,
        description="diameter of the arm's round eye at the pivot; smaller than the arm is wide, the arm narrows to it "
        "from its first place",
        examples=['"1 1/2 in"'],
    )
    tail: list[ArmPoint] = Field(default_factory=list, description="places along the arm beyond the pivot")
    rides: dict[str, Shape] = Field(
        default_factory=dict, description="what rides on the arm (switch plate, return spring eye)"
    )
    pad: Pad | None = Field(None, description="the pad")
    travel: Chord | None = Field(
        None, description="pad centre, rest to full travel, straight line", examples=['"5 1/2 in"']
    )
    travel_angle: Gauged | None = Field(None, description="swing to full travel, instead of 'travel'")
    over_travel: Chord | None = Field(None, description="beyond full travel, at the pad")
    pulled_up: Chord | None = Field(None, description="pulled up by hand beyond rest, at the pad")
    side_wear: Wanted | None = Field(None, description="side play at the pad, each way")
    altered: bool = Field(False, description="true if the job alters this pedal: then it is judged as new")
    joined: list[str] = Field(default_factory=list, description="parts it is meant to touch")

    @model_validator(mode="after")
    def _one_of_each(self) -> Self:
        if self.pivot is not None and self.pivot_shaft is not None:
            raise ValueError("give either 'pivot' or 'pivot_shaft', not both")
        if self.travel is not None and self.travel_angle is not None:
            raise ValueError("give either 'travel' (a straight line at the pad) or 'travel_angle', not both")
        return self


class Linkage(Table):
    """A pushrod (pin to pin), or a Z-bar turning about its own axis, driven by a pedal."""

    name: Name
    driven_by: str = Field(description="the pedal that drives it")
    kind: Literal["pushrod", "z-bar"] = Field(description='"pushrod" or "z-bar"')
    pin: Place = Field(description="pushrod: its pin on the pedal at rest; Z-bar: the lever's pin at rest")
    to: Place = Field(description="pushrod: its far end at rest; Z-bar: one end of the bar's axis")
    other_end: Place | None = Field(None, description="Z-bar: the other end of the bar's axis")
    slides_toward: Place | None = Field(
        None, description="pushrod: a place its far end slides toward; without it, along the rod"
    )
    dia: Made = Field(description="diameter of rod or bar", examples=['"10 mm"'])
    lever_travel: Chord | None = Field(
        None, description="Z-bar: travel of the lever's pin, rest to full, straight line"
    )
    lever_moves: Literal["back", "forward", "up", "down"] | None = Field(
        None, description="Z-bar: which way its pin goes"
    )
    levers: dict[str, Shape] = Field(default_factory=dict, description="Z-bar: its levers, at rest")
    joined: list[str] = Field(default_factory=list, description="parts it is meant to touch")

    @model_validator(mode="after")
    def _keys_of_its_kind(self) -> Self:
        of_a_z_bar = ["other_end", "lever_travel", "lever_moves", "levers"]
        of_the_other = of_a_z_bar if self.kind == "pushrod" else ["slides_toward"]
        said = [key for key in of_the_other if getattr(self, key)]
        if said:
            raise ValueError(f"a {self.kind} has no {', '.join(said)}; leave it out, or is it the other kind?")
        return self


class Boot(Table):
    """A boot on a pedal, and the knee above it."""

    on: str = Field(description="the pedal it rests on")
    heel: Place = Field(
        description="where the heel stands on the floor, back and up: the boot stands straight behind its pad"
    )
    knee: Place | None = Field(
        None, description="the knee, driver seated, foot on the pedal at rest; say which side the tape went to"
    )
    knee_at_full: Place | None = Field(None, description="the same with the pedal at full travel")


class LeftFoot(Table):
    """The left foot at rest beside the clutch."""

    heel: Place = Field(description="where the heel's rear edge stands on the floor")
    ball: Place = Field(description="where the sole under the ball of the foot lies: on the floor, or on a foot rest")


class Driver(Table):
    """The driver's boots, by a measured foot, a shoe size or a percentile of a published survey; and his legs."""

    foot: str | None = Field(None, description="from the survey", examples=['"men 95"', '"women 5"'])
    shoe_size: str | None = Field(
        None,
        description="instead of 'foot': the size marked in the shoe, with its system",
        examples=['"EU 44"', '"UK 9"', '"US men 10"', '"US women 8"', '"Mondopoint 275"'],
    )
    foot_length: Made | None = Field(None, description="bare foot, heel to longest toe")
    foot_breadth: Made | None = Field(None, description="bare foot, across the ball")
    ball_length: Made | None = Field(None, description="bare foot, heel to ball")
    boot_adds_length: Wanted | None = Field(None, description="boot longer than the foot by")
    boot_adds_breadth: Wanted | None = Field(None, description="boot wider than the foot by")
    boots: list[Boot] = Field(
        default_factory=list,
        description="one for each pedal that is worked",
        examples=['[{ on = "clutch", heel = { back = "16 in", down = "9 in" } }]'],
    )
    lift_off: Wanted | None = Field(None, description="how far the boot comes off its pad, square to its sole")
    left_foot: LeftFoot | None = Field(None, description="where the left foot rests beside the clutch")
    shin_dia: Wanted | None = Field(None, description="shin and knee across, trousers on", examples=['"130 mm"'])

    @model_validator(mode="after")
    def _one_foot(self) -> Self:
        measured = (self.foot_length, self.foot_breadth, self.ball_length)
        ways = [self.foot is not None, self.shoe_size is not None, any(size is not None for size in measured)]
        if sum(ways) != 1:
            raise ValueError(
                "give either 'foot' (from the survey) or 'shoe_size' or foot_length, foot_breadth and ball_length"
            )
        if ways[2] and any(size is None for size in measured):
            raise ValueError("a measured foot needs foot_length, foot_breadth and ball_length")
        if self.foot_length is not None and self.foot_breadth is not None and self.ball_length is not None:
            long, broad, ball = self.foot_length.mm, self.foot_breadth.mm, self.ball_length.mm
            shapely = 0.25 * long <= broad <= 0.6 * long and 0.5 * long <= ball <= 0.9 * long
            if not (180 <= long <= 360 and shapely):
                raise ValueError(
                    f"a foot {long:.0f} mm long, {broad:.0f} mm broad, its ball {ball:.0f} mm from the heel, is "
                    "nobody's; measure it again, bare, heel against a wall"
                )
        for key, size, low, high in (("shin_dia", self.shin_dia, 60, 250), ("lift_off", self.lift_off, 0, 150)):
            if size is not None and not low <= size.mm <= high:
                raise ValueError(f"{key} of {size.text} is not likely: {low} to {high} mm; measure it again")
        return self


class Obstacle(Table):
    """Anything else that must not be touched."""

    name: Name
    shape: Shape = Field(description=f"its simplified solid; write one of: {SHAPES}")
    group: Group = Field("body", description="what it moves with: body, frame, engine or axle")
    new: bool = Field(False, description="true if this job puts it there; false if it was there before and stays")
    soft: bool = Field(False, description="true for a loom, hose or brake pipe")
    keep_out: bool = Field(False, description="true for room that must stay free")
    removable: bool = Field(False, description="true if it could go elsewhere, should it be in the way")
    joined: list[str] = Field(default_factory=list, description="parts it is meant to touch")
