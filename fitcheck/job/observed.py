"""Readings of named points, as a fabricator takes them: offsets, tapes, levels, plumb, straight edges, angles, swings.

Each table is one way of reading; which one it is, its keys say. Names are points of [points], or "datum".
"""

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal, Self

from pydantic import Discriminator, Field, Tag, model_validator

from fitcheck.job.angles import ClockAngle
from fitcheck.job.places import Offsets, Table
from fitcheck.job.tools import Gauged, Made, Plumbed, Scanned, Spanned, Spread, Taped, ToolName

DATUM = "datum"
BY_READINGS = "by readings"
Named = tuple[tuple[str | int, ...], str]
Pair = tuple[str, str]
Axis = Pair | Literal["column"]


class Observed(Table):
    """What all readings share: how good it is, with what, by whom and when."""

    spread: Spread | None = Field(None, description="give or take of each length (95 %)", examples=['"3 mm"'])
    tool: ToolName | None = Field(None, description="what it was read with")
    who: str | None = Field(None, description="who read it")
    when: str | None = Field(None, description="when, as text")
    remark: str | None = None

    def named(self) -> Iterator[Named]:
        """Each point the reading names, with the key it stands under."""
        for key, name in self:
            if key in ("of", "about", "axis_to", "stub", "height_of", "over") and name is not None:
                yield (key,), name
            elif key in ("tape", "plumb", "plane", "edge", "axis", "on_axis", "tube", "swings") and name != "column":
                yield from (((key, i), each) for i, each in enumerate(name))


class OffsetsOf(Offsets):
    """Offsets of a point along the car's directions, from the datum or another point."""

    of: str = Field(description="the point that was measured", examples=['"hub_seat"'])
    when: str | None = Field(None, description="when, as text")

    def named(self) -> Iterator[Named]:
        """Each point the reading names, with the key it stands under; `from` is looked up with all places."""
        yield ("of",), self.of


class OffColumnOf(Observed):
    """A point by tape along the column, square out from it, and its clock place; any of the three."""

    of: str = Field(description="the point that was measured", examples=['"clutch_bulge"'])
    along: Taped | None = Field(None, description="distance down the column", examples=['"21 1/2 in"'])
    along_from: str = Field("hub_seat", description="the mark it is measured from")
    out: Taped | None = Field(None, description="distance square out from the column", examples=['"3 in"'])
    out_from: Literal["axis", "skin"] | None = Field(None, description='"axis" (centre of the column) or "skin"')
    clock: ClockAngle | None = Field(None, description="clock place seen from the driver's seat", examples=['"10:30"'])

    @model_validator(mode="after")
    def _from_where(self) -> Self:
        if self.out is not None and self.out_from is None:
            raise ValueError('out needs out_from = "axis" (from the column\'s centre) or "skin" (from its surface)')
        return self


class Tape(Observed):
    """A tape pulled straight between two points, or between the sides of what is round there."""

    tape: Pair = Field(description="the two points", examples=['["hub_seat", "clutch_pivot"]'])
    reads: Spanned = Field(alias="is", description="what the tape read", examples=['"24 3/16 in"'])
    between: Literal["middles", "near sides", "far sides"] = Field(
        "middles", description="where the tape's ends were: in the middles, or on the sides of what is round there"
    )
    sizes: tuple[Made, Made] | None = Field(
        None, description='outside diameters at the two ends, "0 mm" at a mere point', examples=['["22 mm", "0 mm"]']
    )

    @model_validator(mode="after")
    def _sizes_with_sides(self) -> Self:
        if (self.between == "middles") != (self.sizes is None):
            raise ValueError(
                'between = "near sides" or "far sides" goes with sizes = ["22 mm", "0 mm"], both or neither'
            )
        return self


class Height(Observed):
    """How much higher one point is than another, by water level or laser: by gravity."""

    height_of: str = Field(description="the point that was measured", examples=['"hub_seat"'])
    over: str = Field(description="the point it is compared with", examples=['"clutch_pivot"'])
    reads: Taped = Field(
        alias="is", description="how much higher; with a minus where it is lower", examples=['"164 mm"', '"-12 mm"']
    )


class Plumb(Observed):
    """One point found straight above another by a plumb bob: by gravity."""

    plumb: Pair = Field(description="the upper point and the one below", examples=['["hub_seat", "mark_on_floor"]'])
    behind: Plumbed | None = Field(None, description="how far behind the lower point the bob comes down")
    right_of: Plumbed | None = Field(None, description="how far to the driver's right of it the bob comes down")


class ToPlane(Observed):
    """Square distance from a point to the plane through three others: a sheet of ply, the toe-board."""

    of: str = Field(description="the point that was measured")
    plane: tuple[str, str, str] = Field(
        description="three points of the plane", examples=['["floor_1", "floor_2", "floor_3"]']
    )
    reads: Taped = Field(alias="is", description="the square distance", examples=['"95 mm"'])


class AlongEdge(Observed):
    """A point by a straight edge through two others: how far along it from the first, how far square out."""

    of: str = Field(description="the point that was measured")
    edge: Pair = Field(description="the two points the straight edge lies on", examples=['["hub_seat", "column_low"]'])
    along: Taped | None = Field(None, description="along the edge from the first point toward the second")
    out: Taped | None = Field(None, description="square out from the edge")

    @model_validator(mode="after")
    def _something(self) -> Self:
        if self.along is None and self.out is None:
            raise ValueError("give 'along' (how far along the edge), 'out' (how far square out of it), or both")
        return self


class AxisAngle(Observed):
    """Angles of the line from one point to another: below level, and across the car."""

    axis: Axis = Field(description='upper point, lower point; or "column"', examples=['["hub_seat", "column_low"]'])
    down: Gauged | None = Field(None, description="its fall below level", examples=['"28.0 deg"'])
    across: Gauged | None = Field(
        None, description="from the centreline, lower end to the driver's right positive", examples=['"1.2 deg"']
    )
    seen: Literal["true", "projected"] = Field(
        description='"true": gauge laid on the tube; "projected": seen square from the side (down) and in plan (across)'
    )

    @model_validator(mode="after")
    def _something(self) -> Self:
        if self.down is None and self.across is None:
            raise ValueError("give 'down' (below level), 'across' (from the centreline), or both")
        return self


class OnAxis(Observed):
    """A point on the line through two others, a distance along from the first."""

    of: str = Field(description="the point that was measured")
    on_axis: Axis = Field(description='two points of the axis, or "column"', examples=['["hub_seat", "column_low"]'])
    along: Taped = Field(description="along the axis from the first point toward the second", examples=['"12 in"'])
    off: Spread | None = Field(None, description="how far off the axis it may lie each way, as a spread")


class Tube(Observed):
    """A straight tube slipped over a stub: the stub lies on its axis, so far behind the tube's near point."""

    tube: Pair = Field(description="near and far point of the tube", examples=['["box_near", "box_far"]'])
    stub: str = Field(description="the stub's own point", examples=['"box_input"'])
    stub_to_near: Taped = Field(description="from the stub's point to the tube's near point", examples=['"120 mm"'])
    off: Spread | None = Field(None, description="slop of the tube on the stub each way, as a spread")


class Swings(Observed):
    """Three or more places of one mark on an arm that swings about a pivot: at rest, half, on the floor."""

    swings: list[str] = Field(
        min_length=3, description="places of the mark, in order", examples=['["rest", "half", "floor"]']
    )
    about: str = Field(description="the pivot", examples=['"clutch_pivot"'])
    axis_to: str | None = Field(None, description="a second point of the pivot's axis where it is not square across")
    play: Spread | None = Field(None, description="how far the pivot's wear lets the radius vary, as a spread")


class InScan(Observed):
    """A point as a scan has it, the scan's own directions near the car's; it is turned and moved to fit."""

    of: str = Field(description="the point")
    in_scan: str = Field(min_length=1, description="the scan's name", examples=['"first scan"'])
    back: Scanned = Field(description="toward the rear, as the scan has it", examples=['"412 mm"'])
    right: Scanned = Field(description="to the driver's right", examples=['"-35 mm"'])
    up: Scanned = Field(description="up", examples=['"88 mm"'])


KINDS = ("tape", "height_of", "plumb", "plane", "edge", "axis", "on_axis", "tube", "swings", "in_scan")


def _kind(value: Any) -> str:
    keys = set(value) if isinstance(value, Mapping) else set(getattr(type(value), "model_fields", ()))
    kind = next((kind for kind in KINDS if kind in keys), None)
    if kind is None:
        kind = "off_column" if {"along", "out", "clock"} & keys else "offsets"
    return kind


ReadingOf = Annotated[
    Annotated[Tape, Tag("tape")]
    | Annotated[Height, Tag("height_of")]
    | Annotated[Plumb, Tag("plumb")]
    | Annotated[ToPlane, Tag("plane")]
    | Annotated[AlongEdge, Tag("edge")]
    | Annotated[AxisAngle, Tag("axis")]
    | Annotated[OnAxis, Tag("on_axis")]
    | Annotated[Tube, Tag("tube")]
    | Annotated[Swings, Tag("swings")]
    | Annotated[InScan, Tag("in_scan")]
    | Annotated[OffColumnOf, Tag("off_column")]
    | Annotated[OffsetsOf, Tag("offsets")],
    Discriminator(_kind),
]
