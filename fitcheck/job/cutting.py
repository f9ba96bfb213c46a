"""The tables of `[cuts]`: what is read on the bench before jacket and shaft are cut, the bands, the saw, what was done.

Along the column everything on the unit is read from its input face (the face toward the wheel), never mark to mark.
"""

from typing import Annotated, Literal, Self

from pydantic import AfterValidator, Field, model_validator

from fitcheck.errors import LengthError
from fitcheck.job.angles import Angle
from fitcheck.job.lengths import Length
from fitcheck.job.places import Table
from fitcheck.job.sheet_metal import Firewall
from fitcheck.job.tools import TOOLS, Calipered, Made, MadeSize, Sized, Taped, ToolName, Wanted

PieceName = Literal["upper jacket", "upper shaft", "lower jacket", "lower shaft"]
Stock = Literal["jacket", "shaft"]
SawName = Literal["cut-off wheel", "hacksaw", "bandsaw", "chop saw"]
Band = tuple[Wanted, Wanted]


def _not_closed_over(length: Length) -> Length:
    if length.mm < 0:
        raise LengthError(
            f"'{length.text}': a gap is never below 0. It comes to its line before it stops? Then mating_gap is "
            '"0 mm", and what clay shows before the bottom is end_gap'
        )
    return length


Squeezed = Annotated[Length, TOOLS["clay"], AfterValidator(_not_closed_over)]


class ReadTogether(Table):
    """Readings taken with one tool."""

    spread: Length | None = Field(None, description="give or take of each reading (95 %)", examples=['"0.5 mm"'])
    tool: ToolName | None = Field(None, description="what they were read with")
    who: str | None = None
    remark: str | None = None


class Bench(ReadTogether):
    """The column on the bench, before it is cut."""

    hub_seat_to_jacket_top: Made | None = Field(
        None, description="from the hub seat down to the jacket's top end", examples=['"2 3/8 in"']
    )
    jacket_overall: MadeSize | None = Field(None, description="the jacket, end to end", examples=['"25 3/4 in"'])
    shaft_overall: MadeSize | None = Field(None, description="the shaft, end to end", examples=['"32 3/16 in"'])
    shaft_stick_out: Made | None = Field(
        None, description="how far the shaft stands out of the jacket's lower end", examples=['"2 9/16 in"']
    )
    hub_seat_to_shaft_top: Made | None = Field(
        None, description="from the hub seat up to the shaft's top end, over the thread", examples=['"1 1/2 in"']
    )


class UnitEnds(ReadTogether):
    """The unit's two ends, all read from its input face."""

    face_to_face: MadeSize | None = Field(
        None, description="input face to output face (the end that the lower shaft goes into)", examples=['"210 mm"']
    )
    input_mouth: Calipered | None = Field(
        None, description="input face to the mouth of the bore the upper shaft goes into"
    )
    input_depth: Sized | None = Field(None, description="input face to the bottom of that bore", examples=['"30 mm"'])
    output_mouth: Calipered | None = Field(
        None, description="output face to the mouth of the bore the lower shaft goes into"
    )
    output_depth: Sized | None = Field(None, description="output face to the bottom of that bore", examples=['"32 mm"'])
    collar_depth: Sized | None = Field(
        None, description="input face to the shoulder the upper jacket would stop on", examples=['"30 mm"']
    )
    lower_collar_mouth: Sized | None = Field(
        None, description="input face to the mouth of the lower jacket's collar", examples=['"195 mm"']
    )
    lower_collar_depth: Sized | None = Field(
        None, description="from that mouth to the shoulder the lower jacket would stop on", examples=['"25 mm"']
    )


class Fit(Table):
    """How far a cut end may go in: bands from the maker of the unit."""

    engagement: Band | None = Field(None, description="how far in, from and to", examples=['["25 mm", "28 mm"]'])
    end_gap: Band | None = Field(None, description="left before the bottom, from and to", examples=['["2 mm", "4 mm"]'])

    @model_validator(mode="after")
    def _from_then_to(self) -> Self:
        for name in ("engagement", "end_gap"):
            band = getattr(self, name)
            if band is not None and not 0 <= band[0].mm < band[1].mm:
                raise ValueError(
                    f"{name} runs from the smaller to the larger, neither below 0; got {band[0].text} to {band[1].text}"
                )
            if band is not None and any(end.spread_mm is not None for end in band):
                raise ValueError(
                    f"{name} is a band that is wanted, its ends have no give or take; write the two ends that count, "
                    'as in ["25 mm", "28 mm"]'
                )
        return self


class Fits(Table):
    """The bands of the four cut ends."""

    upper_jacket: Fit | None = Field(None, description="upper jacket in the unit's collar")
    upper_shaft: Fit | None = Field(None, description="upper shaft in the unit's input bore")
    lower_jacket: Fit | None = Field(None, description="lower jacket in the unit's lower collar")
    lower_shaft: Fit | None = Field(None, description="lower shaft in the unit's output bore")


class Saw(Table):
    """How it is cut."""

    kind: SawName | None = Field(None, description="the saw")
    kerf: Sized | None = Field(None, description="its kerf, measured in scrap", examples=['"1.1 mm"'])
    square: Wanted | None = Field(None, description="how far out of square a first cut may be", examples=['"1 mm"'])
    trim_square: Wanted | None = Field(None, description="the same of the dressed, final face", examples=['"0.5 mm"'])
    allowance: Wanted | None = Field(
        None, description="how much longer the first cut leaves the piece", examples=['"6 mm"']
    )


class Bar(Table):
    """The shaft's section at the cut ends."""

    kind: Literal["double-D", "spline", "round"] = Field(description="its section")
    teeth: int | None = Field(None, ge=6, le=72, description="spline: number of teeth")
    bore: Sized | None = Field(None, description="hollow shaft: diameter of its bore")

    @model_validator(mode="after")
    def _spline_has_teeth(self) -> Self:
        if (self.kind == "spline") != (self.teeth is not None):
            raise ValueError('give teeth = 36 (count them) with kind = "spline", and with no other kind')
        return self


class Fixing(Table):
    """A screw or bolt that holds a cut end in the unit."""

    piece: PieceName = Field(description="which piece it holds")
    what: Literal["set screw", "cross-bolt", "pinch bolt"] = Field(description="what it is")
    from_mouth: Sized = Field(description="from the mouth of bore or collar in to its centre", examples=['"12 mm"'])
    dia: Sized = Field(description="its diameter", examples=['"8 mm"'])


class Zone(Table):
    """A stretch of jacket or shaft that must not be cut or clamped."""

    name: str = Field(min_length=1, description="what is there", examples=['"mesh section"'])
    on: Stock = Field("jacket", description='"jacket" or "shaft"')
    measured_from: Literal["jacket top", "hub seat"] = Field(description="where the two readings start")
    starts: Made = Field(description="where it starts", examples=['"70 mm"'])
    ends: Made = Field(description="where it ends", examples=['"270 mm"'])
    forbids: list[Literal["cut", "clamp"]] = Field(
        default_factory=lambda: list[Literal["cut", "clamp"]](("cut", "clamp")),
        min_length=1,
        description="what must not be done there",
    )
    collapses: bool = Field(False, description="is it the energy-absorbing section (mesh, balls, shear pins)?")

    @model_validator(mode="after")
    def _starts_before_it_ends(self) -> Self:
        if not self.starts.mm < self.ends.mm:
            raise ValueError(f"it starts ({self.starts.text}) before it ends ({self.ends.text}); exchange the two")
        return self


class Kept(Table):
    """Something on the upper end whose place against the hub seat must stay: horn contact, cancel cam, lock collar."""

    name: str = Field(min_length=1, description="what it is", examples=['"cancel cam"'])
    on: Stock = Field(description='"jacket" or "shaft"')
    along: Made = Field(description="its lower end, along from the hub seat", examples=['"18 mm"'])


class Room(Table):
    """How far one pair of bodies can go, with the unit in place."""

    name: str = Field(min_length=1, description="which two", examples=['"bracket slots"'])
    room: Made = Field(description="how far they can go before they bottom", examples=['"100 mm"'])


class Ahead(Table):
    """A fixed body that the unit's output face would run on to."""

    name: str = Field(min_length=1, description="what it is", examples=['"lower bearing plate"'])
    along: Taped = Field(description="where it starts, along from the hub seat", examples=['"27 1/2 in"'])


class Stroke(Table):
    """What an energy-absorbing column can shorten by, before, and with the unit in place."""

    before: Made = Field(description="the column's own stroke, before the work", examples=['"95 mm"'])
    rooms: list[Room] = Field(default_factory=list, description="what limits it with the unit in place")
    ahead: list[Ahead] = Field(default_factory=list, description="fixed bodies the unit would run on to")


class CutSoFar(Table):
    """What was done to one piece and what was found then."""

    first_cut: MadeSize | None = Field(None, description="length after the first cut, from the face the list names")
    mating_gap: Squeezed | None = Field(
        None,
        description="pushed in by hand until it stops: from the line scribed on it to the unit's face, 0 if it "
        "comes to the line first",
    )
    cut: MadeSize | None = Field(None, description="finished length, from the face the list names")
    end_gap: Squeezed | None = Field(
        None, description="with the unit on its line: what is left before the bottom, by clay"
    )

    @model_validator(mode="after")
    def _stops_or_not(self) -> Self:
        gap = self.mating_gap
        if self.cut is None and self.end_gap is not None and gap is not None and gap.mm > 0:
            raise ValueError(
                f"mating_gap {gap.text} says it stopped on the bottom, end_gap {self.end_gap.text} that something is "
                "left there: keep the one read before the last cut; end_gap of the finished piece goes with cut"
            )
        return self


class Done(Table):
    """What was cut so far."""

    upper_jacket: CutSoFar | None = Field(None, description="the upper jacket")
    upper_shaft: CutSoFar | None = Field(None, description="the upper shaft")
    lower_jacket: CutSoFar | None = Field(None, description="the lower jacket")
    lower_shaft: CutSoFar | None = Field(None, description="the lower shaft")


class MayMove(Table):
    """How far something may be moved along the column from its place."""

    toward_wheel: Wanted = Field(description="toward the wheel", examples=['"5 mm"'])
    toward_rack: Wanted = Field(description="toward the rack", examples=['"8 mm"'])


class Cuts(Table):
    """All that the cut list rests on. What is left out is asked for where it is needed."""

    column_kind: Literal["plain", "energy-absorbing"] | None = Field(None, description="does the column absorb energy?")
    below: Literal["jacket in a collar", "shaft alone"] | None = Field(None, description="what goes on below the unit")
    bench: Bench = Field(default_factory=lambda: Bench(), description="the column on the bench")
    unit: UnitEnds = Field(default_factory=lambda: UnitEnds(), description="the unit's two ends")
    fits: Fits = Field(default_factory=lambda: Fits(), description="how far each cut end may go in")
    saw: Saw = Field(default_factory=lambda: Saw(), description="how it is cut")
    bar: Bar | None = Field(None, description="the shaft's section")
    bores_apart: Angle | None = Field(None, description="turn of the output bore's flats against the input bore's")
    fixings: list[Fixing] = Field(default_factory=list, description="screws and bolts that hold the cut ends")
    zones: list[Zone] = Field(default_factory=list, description="stretches not to be cut or clamped")
    kept: list[Kept] = Field(default_factory=list, description="what must stay where it is against the hub seat")
    stroke: Stroke | None = Field(None, description="energy-absorbing column: its stroke before and after")
    firewall: Firewall | None = Field(None, description="the opening in the firewall or toe-board")
    unit_may_move: MayMove | None = Field(None, description="how far the unit may move and keep its gaps")
    done: Done = Field(default_factory=lambda: Done(), description="what was cut so far")
