"""The tables of `[shaft]`: joints and pieces of the intermediate shaft, its bearing, and what moves about it.

Everything runs from wheel to rack. What is not measured yet may be left out; the answer then says what waits for it.
"""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from fitcheck.job.angles import Angle
from fitcheck.job.lengths import Length
from fitcheck.job.places import Place, Table
from fitcheck.job.shaft_ends import End, LowerEnd, UpperEnd
from fitcheck.job.shapes import Box
from fitcheck.job.tools import TOOLS, Calipered, Made, MadeSize, Moved, Sized, Tool, Wanted
from fitcheck.job.torques import Torque

PAINT_MARK_DEG = Tool("paint marks on yokes", 2.0)
Marked = Annotated[Angle, PAINT_MARK_DEG]
Dowelled = Annotated[Length, TOOLS["dowel"]]
Name = Annotated[str, Field(min_length=1, max_length=80)]


class Hub(Table):
    """One half of a joint: from the joint's centre to the hub's end, how deep its bore is, and how it is held."""

    to_end: Sized = Field(description="joint's centre to the end of this hub", examples=['"40 mm"'])
    bore: Sized = Field(description="depth of the bore from the hub's end to its inner end", examples=['"25 mm"'])
    short_by: Wanted | None = Field(
        None, description="how far short of the bore's inner end the shaft may stay, where the joint's maker says so"
    )
    turned: Marked | None = Field(
        None,
        description="turn of the bore's flats or first tooth against this hub's yoke, "
        "clockwise positive looking from the wheel end; for a joint broached at an angle",
    )
    held_by: Literal["set screw", "through bolt", "pinch bolt", "weld"] | None = Field(
        None, description="positive retention of the shaft in this hub"
    )
    screw: Calipered | None = Field(None, description="hub's end to the centre of its screw or bolt")

    @model_validator(mode="after")
    def _inside_the_bore(self) -> Self:
        for name, what in (("screw", "its screw would sit"), ("short_by", "a shaft would stay short by")):
            length = getattr(self, name)
            if length is not None and not length.mm < self.bore.mm:
                raise ValueError(
                    f"{what} {length.text} in a bore only {self.bore.text} deep; check '{name}' and 'bore'"
                )
        return self


class Joint(Table):
    """A joint between two shafts, from wheel to rack."""

    name: Name
    kind: Literal["single", "double", "disc"] = Field(
        "single", description='"single", "double" (centred, its halves share the angle) or "disc" (flexible)'
    )
    counts_as: Literal["one", "two"] | None = Field(
        None, description="a double joint: does its maker count it as one joint or as two, as to a support bearing?"
    )
    swing: Sized | None = Field(None, description="largest diameter it sweeps as it turns", examples=['"34 mm"'])
    ear: Made | None = Field(None, description="how far a yoke's ear reaches past the joint's centre")
    wheel_hub: Hub | None = Field(None, description="its hub toward the wheel")
    rack_hub: Hub | None = Field(None, description="its hub toward the rack")
    largest_angle: Annotated[Angle, Tool("the maker's figure", 0.0)] | None = Field(
        None, description="largest working angle by the joint's own data"
    )
    rated: Torque | None = Field(None, description="torque it may carry at that angle, by the joint's own data")
    bearing: Literal["plain", "needle"] | None = Field(None, description="what its cross turns in")
    at: Place | None = Field(None, description="centre of a joint between the first and the last, where it is fixed")

    @model_validator(mode="after")
    def _double_is_asked(self) -> Self:
        if (self.kind == "double") != (self.counts_as is not None):
            raise ValueError('a double joint needs counts_as = "one" or "two" (its maker says); nothing else has it')
        if self.largest_angle is not None and not self.largest_angle.rad > 0:
            raise ValueError(f"'largest_angle' is how far it may bend, more than 0; got {self.largest_angle.text}")
        return self


class Telescope(Table):
    """The two halves of a telescoping shaft: a solid half that slides in a tube half."""

    solid_toward: Literal["wheel", "rack"] = Field(description="which end the solid half is at")
    tube_od: Sized = Field(description="outside diameter of the tube half", examples=['"1 in"'])
    solid_long: MadeSize | None = Field(None, description="length of the solid half, where it is made already")
    tube_long: MadeSize | None = Field(None, description="length of the tube half, where it is made already")
    slide_bore: MadeSize | None = Field(
        None, description="depth of the sliding bore from its open end, if not right through"
    )


class ShaftPiece(Table):
    """A shaft between two joints."""

    name: Name
    wheel_end: End | None = Field(None, description="its end toward the wheel")
    rack_end: End | None = Field(None, description="its end toward the rack")
    dia: Sized = Field(description="diameter of the bar, of the solid half where it telescopes")
    over_flats: Sized | None = Field(None, description="a double-D bar: over its two flats", examples=['"14 mm"'])
    hollow: Sized | None = Field(None, description="inside diameter, where it is hollow")
    telescope: Telescope | None = Field(None, description="its halves, where it telescopes")
    long: MadeSize | None = Field(None, description="length of the bar, where it is made already")
    ends_turned: Marked | None = Field(
        None, description="a bought shaft: turn of its rack end's tooth or flat against the wheel end's, clockwise "
        "positive looking from the wheel end",
    )  # fmt: skip
    at_mark: Marked | None = Field(
        None, description="turn of the rack-end yoke against the wheel-end yoke as the paint mark has it, clockwise "
        "positive looking from the wheel end",
    )  # fmt: skip
    drawn_off_by: str | None = Field(None, description="how it comes out where nothing slides, in words")
    drawn_off: Wanted | None = Field(None, description="how far that lets it be drawn off")

    @model_validator(mode="after")
    def _one_length(self) -> Self:
        if self.long is not None and self.telescope is not None:
            raise ValueError("'long' is a bar's; a telescoping shaft has solid_long and tube_long under 'telescope'")
        return self

    @model_validator(mode="after")
    def _one_inside_the_other(self) -> Self:
        for name, length in (("over_flats", self.over_flats), ("hollow", self.hollow)):
            if length is not None and not length.mm < self.dia.mm:
                raise ValueError(f"'{name}' ({length.text}) has to be less than 'dia' ({self.dia.text}); check both")
        if self.telescope is not None and not self.telescope.tube_od.mm > self.dia.mm:
            tube = self.telescope.tube_od.text
            raise ValueError(
                f"a bar of {self.dia.text} does not slide in a tube {tube} across; check 'tube_od' and 'dia'"
            )
        return self


class Support(Table):
    """The support bearing that three joints need, beside the middle joint."""

    side: Literal["wheel", "rack"] = Field("wheel", description="which side of the middle joint it sits on")
    from_joint: MadeSize = Field(description="middle joint's centre to the bearing's middle", examples=['"65 mm"'])
    od: MadeSize = Field(description="outside diameter of its housing", examples=['"52 mm"'])
    wide: MadeSize = Field(description="width along the shaft", examples=['"20 mm"'])
    room: list[Box] = Field(default_factory=list, description="where its middle may sit, with metal to bolt it to")
    float_held: bool = Field(False, description="true if collars or rings keep the shaft from floating through it")
    joined: list[str] = Field(default_factory=list, description="parts it is bolted to")


class Rock(Table):
    """How the engine rocks on its mounts: a turn about a fore-and-aft axis, so far at a named place."""

    about: Place = Field(description="a place on the axis it rocks about, such as the crank's nose")
    at: Place = Field(description="the place whose movement was seen")
    by: Moved = Field(description="how far that place moves, one way", examples=['"20 mm"'])
    lifts: Literal["left", "right", "both"] = Field(description="which side of the engine lifts, as the driver sees it")


class Load(Table):
    """What the shaft has to carry, for the checks of strength."""

    torque: Torque = Field(description="assist torque", examples=['"40 N m"'])
    lever: MadeSize | None = Field(
        None, description="column's axis to where the unit's bracket holds it against turning"
    )


class Shafting(Table):
    """The intermediate shaft from the column's end to the box."""

    upper: UpperEnd = Field(default_factory=lambda: UpperEnd(), description="the column's end")
    lower: LowerEnd = Field(default_factory=lambda: LowerEnd(), description="the box or rack")
    dowel: Dowelled | None = Field(None, description="first to last joint's centre, by dowel: closes the loop")
    joints: list[Joint] = Field(default_factory=list, description="joints, wheel to rack")
    pieces: list[ShaftPiece] = Field(default_factory=list, description="shafts between the joints, wheel to rack")
    support: Support | None = Field(None, description="support bearing, where there are three joints or might be")
    rock: Rock | None = Field(None, description="how the engine rocks")
    hot: list[str] = Field(default_factory=list, description="obstacles that get hot: exhaust, header")
    joined: list[str] = Field(default_factory=list, description="obstacles the shaft passes through or is bolted to")
    clear_by: Wanted | None = Field(None, description="required gap of shaft and joints, movement included")
    collapse: Wanted | None = Field(None, description="wanted collapse of the shaft")
    load: Load | None = Field(None, description="what it has to carry")

    @model_validator(mode="after")
    def _counts_agree(self) -> Self:
        if self.joints and not 2 <= len(self.joints) <= 3:
            raise ValueError("a shaft has two joints, or three with a support bearing")
        if self.pieces and len(self.pieces) != len(self.joints) - 1:
            raise ValueError(f"{len(self.joints)} joints have {len(self.joints) - 1} pieces between them")
        if len(self.joints) == 3 and self.support is None:
            raise ValueError("three joints need a support bearing between them: give [shaft.support]")
        return self

    @model_validator(mode="after")
    def _goes_together(self) -> Self:
        for i, piece in enumerate(self.pieces):
            thick = piece.dia if piece.telescope is None else piece.telescope.tube_od
            for joint in self.joints[i : i + 2]:
                if joint.swing is not None and not joint.swing.mm > thick.mm:
                    raise ValueError(
                        f"the {joint.name} sweeps {joint.swing.text} as it turns, no more than the shaft in it "
                        f"({thick.text}); check 'swing'"
                    )
        self._bearing_goes_on()
        return self

    def _bearing_goes_on(self) -> None:
        support = self.support
        if support is None or len(self.joints) != 3 or not self.pieces:
            return
        toward_wheel = support.side == "wheel"
        piece, hub = (
            (self.pieces[0], self.joints[1].wheel_hub) if toward_wheel else (self.pieces[1], self.joints[1].rack_hub)
        )
        if not support.od.mm > piece.dia.mm:
            raise ValueError(f"a bearing {support.od.text} across does not go round a shaft of {piece.dia.text}")
        if hub is not None and not support.from_joint.mm - support.wide.mm / 2 >= hub.to_end.mm:
            raise ValueError(
                f"the bearing's middle {support.from_joint.text} from the middle joint's centre, and "
                f"{support.wide.text} wide, lies in the joint's hub, which reaches {hub.to_end.text}; check both"
            )
