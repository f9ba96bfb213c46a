"""How good a reading is by the tool it was taken with: half-width of a 95 % interval. Common practice, no source."""

from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import AfterValidator

from fitcheck.errors import LengthError
from fitcheck.job.angles import Angle
from fitcheck.job.lengths import Length
from fitcheck.job.texts import quoted


@dataclass(frozen=True)
class Tool:
    """A way of reading and its spread, in mm or, for angles, degrees."""

    words: str
    spread: float


TOOLS = {
    "open tape": Tool("steel tape in the open", 1.0),
    "footwell tape": Tool("steel tape in a footwell", 3.0),
    "plumb": Tool("plumb bob and a taped floor grid", 2.0),
    "dowel": Tool("dowel or string between two centres", 3.0),
    "caliper": Tool("caliper on a tube or shaft", 0.2),
    "block": Tool("wooden go/no-go block", 1.0),
    "clay": Tool("clay or putty squeezed in a gap", 0.5),
    "card": Tool("card template", 1.5),
    "scan": Tool("phone scan", 5.0),
}
ToolName = Literal["open tape", "footwell tape", "plumb", "dowel", "caliper", "block", "clay", "card", "scan"]
PAD_CHORD = Tool("pad travel by tape in a footwell", 4.0)
SET_ALONG = Tool("unit set along the column by tape", 2.0)
SET_CLOCK_DEG = Tool("unit clocked by eye to a scribed line", 2.0)
ANGLE_GAUGE_DEG = Tool("digital angle gauge on a rough tube", 0.5)
LIMIT = Tool("a figure that is wanted, not measured", 0.0)


def _not_negative(length: Length) -> Length:
    if length.mm < 0:
        raise LengthError(f"{quoted(length.text)}: this cannot be less than 0; write it without the minus")
    return length


def _turn_not_negative(angle: Angle) -> Angle:
    if angle.rad < 0:
        raise LengthError(f"{quoted(angle.text)}: this cannot be less than 0; write it without the minus")
    return angle


def _above_zero(length: Length) -> Length:
    if not length.mm > 0:
        raise LengthError(f"{quoted(length.text)}: this has to be more than 0; measure it again")
    return length


Taped = Annotated[Length, TOOLS["footwell tape"]]
Spanned = Annotated[Length, TOOLS["footwell tape"], AfterValidator(_above_zero)]
Made = Annotated[Length, TOOLS["open tape"], AfterValidator(_not_negative)]
Plumbed = Annotated[Length, TOOLS["plumb"]]
Calipered = Annotated[Length, TOOLS["caliper"], AfterValidator(_not_negative)]
Sized = Annotated[Length, TOOLS["caliper"], AfterValidator(_above_zero)]
MadeSize = Annotated[Length, TOOLS["open tape"], AfterValidator(_above_zero)]
Moved = Annotated[Length, TOOLS["footwell tape"], AfterValidator(_above_zero)]
Chord = Annotated[Length, PAD_CHORD]
SetAlong = Annotated[Length, SET_ALONG]
Seen = Annotated[Length, TOOLS["footwell tape"], AfterValidator(_not_negative)]
Clayed = Annotated[Length, TOOLS["clay"], AfterValidator(_not_negative)]
Spread = Annotated[Length, AfterValidator(_not_negative)]
TurnSpread = Annotated[Angle, AfterValidator(_turn_not_negative)]
Scanned = Annotated[Length, TOOLS["scan"]]
Wanted = Annotated[Length, LIMIT, AfterValidator(_not_negative)]
Gauged = Annotated[Angle, ANGLE_GAUGE_DEG]
