"""Lengths of the shaft's pieces: bars, telescoping halves, stubs, dimples, collapse left and draw-off. Millimetres.

A bar runs from the inner end of one joint's bore to that of the next, or stops just short: never past it, where it
would strike the cross. So the longest is centre to centre less both (to_end - bore); the shortest, what it may stay
short less than that.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from fitcheck.errors import KeyFault, Missing
from fitcheck.job.lengths import Show, on_tape, up_on_tape
from fitcheck.job.shafting import Hub, Joint, Shafting, ShaftPiece
from fitcheck.shaft.limits import FIRST_CUT_LONG_MM, OVERLAP_MM, SHORT_MM, SLIP_MM

HALF_UNDER_MM = 3.0  # a telescoping half is made this much under what the wanted collapse allows


@dataclass(frozen=True)
class Seat:
    """One end of a piece in a joint's hub: the hub's end and the bore's inner end from the joint's centre."""

    joint: str
    hub: Hub

    @property
    def inner_mm(self) -> float:
        """Joint's centre to the inner end of the bore."""
        return self.hub.to_end.mm - self.hub.bore.mm

    @property
    def short_mm(self) -> float:
        """How far short of the bore's inner end a shaft may stay."""
        return SHORT_MM if self.hub.short_by is None else self.hub.short_by.mm

    @property
    def deep_mm(self) -> float:
        """Engagement aimed at: the middle of its band."""
        return self.hub.bore.mm - self.short_mm / 2


@dataclass(frozen=True)
class BarLength:
    """A length from `low` to `high`: `aim` is wanted, `finished` is that on a tape, `first` is what is cut first.

    `finished` is the same in whichever unit the job is shown: to 1/32 in, to half a mm, or by caliper.
    """

    low: float
    high: float
    aim: float
    finished: float
    first: float


@dataclass(frozen=True)
class Dimple:
    """Where a set screw seats: from which end of which piece, and what to mind."""

    joint: str
    end: Literal["wheel", "rack"]
    from_end_mm: float
    remark: str


@dataclass(frozen=True)
class Halves:
    """A telescoping shaft as it stands: lengths, overlap as set and at its longest, and how far it shuts.

    `shuts_mm` until the first of `stops`; `collapse_mm` less what movement may use up of it.
    """

    solid: BarLength
    tube: BarLength
    overlap_mm: float
    overlap_longest_mm: float
    overlap_needed_mm: float
    shuts_mm: float
    stops: str
    collapse_mm: float
    made: bool


def seat(joint: Joint, index: int, side: Literal["wheel", "rack"]) -> Seat:
    """That side's hub of a joint; Missing where it is not measured."""
    hub = joint.wheel_hub if side == "wheel" else joint.rack_hub
    if hub is None:
        raise Missing(
            [f"shaft.joints[{index + 1}].{side}_hub"],
            f"{joint.name}, hub toward the {side}: joint's centre to the hub's end, and the depth of its bore",
        )
    if not hub.bore.mm < hub.to_end.mm:
        raise KeyFault(
            ("shaft", "joints", index, f"{side}_hub", "bore"), "the bore would reach the joint's centre; check both"
        )
    return Seat(joint.name, hub)


def seats(shaft: Shafting, piece: int) -> tuple[Seat, Seat]:
    """Both seats of a piece, wheel end first."""
    before, after = shaft.joints[piece], shaft.joints[piece + 1]
    return seat(before, piece, "rack"), seat(after, piece + 1, "wheel")


def longest_mm(span_mm: float, ends: tuple[Seat, Seat]) -> float:
    """Longest bar between two joints `span_mm` apart, centre to centre: flush with both bores' inner ends."""
    return span_mm - ends[0].inner_mm - ends[1].inner_mm


def band(low: float, high: float, aim: float, spread: float, show: Show) -> BarLength:
    """A band with its aim on the tape, and a first cut that is long by the trade's allowance and the spread."""
    first = up_on_tape(max(high, aim + FIRST_CUT_LONG_MM) + spread, show)
    steps = [on_tape(aim, "in"), on_tape(aim, "mm")]
    return BarLength(low, high, aim, next((step for step in steps if low <= step <= high), aim), first)


def bar(span_mm: float, ends: tuple[Seat, Seat], spread: float, show: Show) -> BarLength:
    """A plain bar, or a telescoping shaft from end to end as set: aimed at the middle of its band."""
    high = longest_mm(span_mm, ends)
    if not high > 0:
        raise KeyFault(
            ("shaft", "joints"), f"joints {span_mm:.0f} mm apart leave no room for a shaft between their hubs"
        )
    low = high - ends[0].short_mm - ends[1].short_mm
    return band(low, high, (low + high) / 2, spread, show)


def needed_overlap_mm(piece: ShaftPiece) -> float:
    """Overlap at full length: the trade's, and at least twice the sliding diameter."""
    return max(OVERLAP_MM, 2 * piece.dia.mm)


def halves(
    piece: ShaftPiece,
    length: float,
    ends: tuple[Seat, Seat],
    moves: tuple[float, float],
    wanted_collapse: float,
    spread: float,
    show: Show,
) -> Halves:
    """The two halves of a telescoping shaft `length` long as set.

    The tube ends at one joint, the solid half at the other. Shutting ends when the solid half reaches the bottom of the
    tube (or the inner end of the tube's own joint), or the tube's mouth reaches the solid half's joint. `moves` are the
    least and the greatest change of length by slide, tilt and movement of the box (mm, first one negative or 0).
    Halves that are not made yet are given the wanted collapse and a little more, all else goes to the overlap.
    """
    slide = piece.telescope
    assert slide is not None  # asked for telescoping pieces only
    at_solid = ends[0] if slide.solid_toward == "wheel" else ends[1]
    needed = needed_overlap_mm(piece)
    shut = wanted_collapse - moves[0] + spread
    solid_high, tube_high = length - shut, length - at_solid.deep_mm - shut
    tube = _half(needed + moves[1] + length - solid_high, tube_high, spread, show)
    solid = _half(needed + moves[1] + length - tube.finished, solid_high, spread, show)
    a = solid.finished if slide.solid_long is None else slide.solid_long.mm
    b = tube.finished if slide.tube_long is None else slide.tube_long.mm
    deep = b if slide.slide_bore is None else slide.slide_bore.mm
    if deep > b:
        raise KeyFault(("shaft", "pieces"), f"{piece.name}: the sliding bore is deeper than the tube half is long")
    bottom, mouth = (length - a) - (b - deep), length - at_solid.deep_mm - b
    words = (
        "the solid half reaches the bottom of the tube" if deep < b else "the solid half reaches the tube's own joint"
    )
    stops = words if bottom <= mouth else f"the tube's mouth reaches {at_solid.joint}"
    overlap, shuts = a + b - length, min(bottom, mouth)
    return Halves(
        solid=solid,
        tube=tube,
        overlap_mm=overlap,
        overlap_longest_mm=overlap - moves[1],
        overlap_needed_mm=needed,
        shuts_mm=shuts,
        stops=stops,
        collapse_mm=shuts + moves[0],
        made=slide.solid_long is not None and slide.tube_long is not None,
    )


def least_telescoping_mm(piece: ShaftPiece, ends: tuple[Seat, Seat], wanted_collapse: float) -> float:
    """Shortest length that telescopes as wanted: both halves made a little under, their overlap enough and a little."""
    assert piece.telescope is not None  # asked for telescoping pieces only
    at_solid = ends[0] if piece.telescope.solid_toward == "wheel" else ends[1]
    return needed_overlap_mm(piece) + at_solid.deep_mm + 2 * (wanted_collapse + 3 * HALF_UNDER_MM)


def _half(low: float, high: float, spread: float, show: Show) -> BarLength:
    return band(low, high, max(high - HALF_UNDER_MM, (low + high) / 2), spread, show)


def draw_off_needed_mm(shaft: Shafting, piece: int) -> float:
    """Engagement that has to be drawn off where a piece shuts, and the running slip.

    The shortest in the joints at its two ends: it comes off either of them, or takes either off what is beyond.
    """
    here = seats(shaft, piece)  # Missing where its own hubs are not measured
    beyond = (shaft.joints[piece].wheel_hub, shaft.joints[piece + 1].rack_hub)
    hubs = [*(place.hub for place in here), *(hub for hub in beyond if hub is not None)]
    return min(hub.bore.mm for hub in hubs) + SLIP_MM


def dimples(piece: ShaftPiece, ends: tuple[Seat, Seat]) -> Iterator[Dimple]:
    """Where the set screws of both ends seat, from the piece's own ends, engagement as aimed at."""
    sides: tuple[tuple[Literal["wheel", "rack"], Seat], ...] = (("wheel", ends[0]), ("rack", ends[1]))
    for side, place in sides:
        hub = place.hub
        if hub.held_by != "set screw" or hub.screw is None:
            continue
        end = piece.wheel_end if side == "wheel" else piece.rack_end
        where = (
            "on a flat" if end is not None and end.kind == "double-D" else "under the screw, once the tooth is chosen"
        )
        yield Dimple(place.joint, side, place.deep_mm - hub.screw.mm, f"{where}; {_depth(piece, side)}")


def end_dimples(shaft: Shafting, hollow_column: bool) -> Iterator[tuple[str, Dimple]]:
    """Where the set screws seat on the column's shaft and on the box's input, from their own ends, by name of the part.

    Hubs that are not measured are passed over: their lengths wait for them already.
    """
    last = len(shaft.joints) - 1
    solid = "the screw's full cone, 1.5 to 3 mm deep"
    bolted = "hollow here: never past half its wall; a through bolt is the better way"
    for what, joint, side, end, depth in (
        ("column's shaft", 0, "wheel", shaft.upper.end, bolted if hollow_column else solid),
        ("box input", last, "rack", shaft.lower.end, solid),
    ):
        hub = shaft.joints[joint].wheel_hub if side == "wheel" else shaft.joints[joint].rack_hub
        if hub is None or hub.held_by != "set screw" or hub.screw is None:
            continue
        flat = end is not None and end.kind == "double-D"
        where = "on a flat" if flat else "under the screw, once the tooth is chosen"
        own = Seat(shaft.joints[joint].name, hub)
        far: Literal["wheel", "rack"] = "rack" if side == "wheel" else "wheel"
        yield what, Dimple(own.joint, far, own.deep_mm - hub.screw.mm, f"{where}; {depth}")


def _depth(piece: ShaftPiece, side: Literal["wheel", "rack"]) -> str:
    outer, inner = piece.dia.mm, None if piece.hollow is None else piece.hollow.mm
    if piece.telescope is not None and side != piece.telescope.solid_toward:
        outer, inner = piece.telescope.tube_od.mm, piece.dia.mm
    if inner is None:
        return "the screw's full cone, 1.5 to 3 mm deep"
    half_wall = (outer - inner) / 4
    return f"hollow here: never past half the wall, {half_wall:.1f} mm; a through bolt is the better way"


def stub_end_along_mm(joint_along_mm: float, place: Seat) -> tuple[float, float]:
    """Where the column's shaft has to end, along from the hub seat: from, to. Past it, it would strike the cross."""
    high = joint_along_mm - place.inner_mm
    return high - place.short_mm, high
