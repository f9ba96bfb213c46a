"""The table `[reach]`: how low things may hang, the room hands and tools need, and the way the unit comes out.

Places are where things are with the unit as this job sets it; near the column they are best given off the column.
"""

import math
from typing import Literal, Self

from pydantic import Field, model_validator

from fitcheck.job.places import OPPOSITES, Place, Table
from fitcheck.job.shapes import Shape
from fitcheck.job.tools import Wanted

OUT_MM = 150.0  # a unit that ends nearer its place than this is not out; common practice, no source
CAR_WAYS = ("back", "forward", "right", "left", "up", "down")


class Move(Table):
    """One straight move, by as much as is said each way: along the car, or along the column."""

    back: Wanted | None = Field(None, description="rearward", examples=['"300 mm"'])
    forward: Wanted | None = Field(None, description="forward")
    right: Wanted | None = Field(None, description="to the driver's right")
    left: Wanted | None = Field(None, description="to the driver's left")
    up: Wanted | None = Field(None, description="up")
    down: Wanted | None = Field(None, description="down", examples=['"150 mm"'])
    toward_wheel: Wanted | None = Field(None, description="up the column", examples=['"200 mm"'])
    toward_rack: Wanted | None = Field(None, description="down the column")

    @model_validator(mode="after")
    def _goes_somewhere(self) -> Self:
        for one, other in (*OPPOSITES.items(), ("toward_wheel", "toward_rack")):
            if getattr(self, one) is not None and getattr(self, other) is not None:
                raise ValueError(f"'{one}' and '{other}' are opposite ways; write only one of them")
        if not any(length.mm > 0 for length in self.lengths.values()):
            raise ValueError('a move goes somewhere; write for example { down = "150 mm" }')
        return self

    @property
    def lengths(self) -> dict[str, Wanted]:
        """How far it goes each way that is said."""
        ways = (*CAR_WAYS, "toward_wheel", "toward_rack")
        return {way: getattr(self, way) for way in ways if getattr(self, way) is not None}


class WayOut(Table):
    """How the unit is taken out, clocked as it sits: straight moves, one after the other. The way in is its reverse."""

    moves: list[Move] = Field(min_length=1, max_length=12, description="straight moves, first one first")
    bracket: Literal["goes along", "stays"] = Field("stays", description="what the bracket does meanwhile")
    off: list[str] = Field(default_factory=list, description="parts that are taken off first, by name")

    @property
    def ends_mm(self) -> float:
        """How far all moves together take the unit from its place, car's and column's ways added up square."""
        ways = (*OPPOSITES.items(), ("toward_wheel", "toward_rack"))
        return math.hypot(
            *(sum(self._said(move, one) - self._said(move, other) for move in self.moves) for one, other in ways)
        )

    @staticmethod
    def _said(move: Move, way: str) -> float:
        length = getattr(move, way)
        return 0.0 if length is None else float(length.mm)


class Room(Table):
    """Room that a hand, a spanner or a connector needs while the work is done; nothing may stand in it."""

    name: str = Field(min_length=1, max_length=80, description="what it is for", examples=['"hand on the clamp bolt"'])
    kind: Literal["hand", "spanner", "connector"] | None = Field(None, description="what needs the room")
    at: Place | None = Field(None, description="the screw or plug; of the unit's own plug it may be left out")
    toward: Place | None = Field(None, description="a place on the side the hand, handle or plug comes from")
    shape: Shape | None = Field(None, description="the room itself, instead of kind, at and toward")
    of: Literal["unit", "bracket"] = Field("unit", description="what the work is done on: the room may touch it")
    may_touch: list[str] = Field(default_factory=list, description="further parts the room may touch, by name")

    @model_validator(mode="after")
    def _one_description(self) -> Self:
        if (self.shape is None) == (self.kind is None):
            raise ValueError('give either \'shape\' (the room itself) or kind = "hand", "spanner" or "connector"')
        if self.shape is not None and (self.at is not None or self.toward is not None):
            raise ValueError("'at' and 'toward' belong to 'kind'; a 'shape' says where it is itself")
        if (self.at is None) != (self.toward is None):
            raise ValueError("give both 'at' and 'toward', or neither")
        if self.at is None and self.kind in ("hand", "spanner"):
            raise ValueError(f"a {self.kind} needs 'at' (the screw) and 'toward' (the side it comes from)")
        return self


class Reach(Table):
    """Reaching in: hang, rooms, and the way out."""

    dash_edge: Place | None = Field(None, description="lower edge of the dash above the unit; its height counts")
    way_out: WayOut | None = Field(None, description="how the unit is taken out")
    rooms: list[Room] = Field(default_factory=list, description="room for hands, spanners and connectors")
