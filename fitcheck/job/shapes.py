"""Simplified solids as a job file writes them: told apart by their keys, so nobody has to name a kind."""

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag

from fitcheck.job.places import Place, Table
from fitcheck.job.tools import Made


class Box(Table):
    """A box along the car's directions between two opposite corners."""

    corner: Place = Field(description="one corner")
    opposite: Place = Field(description="the corner diagonally opposite")


class Rod(Table):
    """A round bar, tube, exhaust or loom through two or more places on its centre line."""

    through: list[Place] = Field(min_length=2, description="two or more places on the centre line")
    dia: Made = Field(description="outside diameter", examples=['"42 mm"'])


class Flat(Table):
    """A flat plate: the corners of one face in order round its edge, and its thickness away from that face."""

    outline: list[Place] = Field(min_length=3, description="corners of one face, in order round the edge")
    thick: Made = Field(description="thickness", examples=['"3 mm"'])
    to: Literal["front", "rear", "left", "right", "top", "underside"] = Field(
        description="which way the thickness goes from the measured face"
    )
    holes: list["Hole"] = Field(default_factory=list, description="round holes through it")


class Hole(Table):
    """A round hole square through a plate."""

    at: Place = Field(description="its centre on the measured face")
    dia: Made = Field(description="its diameter", examples=['"57 mm"'])


class Sheet(Table):
    """A folded sheet: a line of places along one edge, carried straight across to `width`, as thick as stated."""

    line: list[Place] = Field(min_length=2, description="places along one edge, fold by fold")
    width: Made = Field(description="how far the edge is carried", examples=['"600 mm"'])
    across: Literal["right", "left", "up", "down", "back", "forward"] = Field(description="which way it is carried")
    thick: Made = Field(description="thickness, half to each side of the line", examples=['"1.2 mm"'])


class Mesh(Table):
    """A mesh file beside the job, made of closed convex pieces, or taken as its hull when asked."""

    mesh: str = Field(description="file name, beside the job file")
    mesh_unit: Literal["mm", "cm", "m", "in"] = Field(
        description='the unit its numbers are in: "mm", "cm", "m" or "in"'
    )
    take_as: Literal["pieces", "hull"] = Field(
        "pieces", description='"pieces": closed convex pieces; "hull": the hull round each piece'
    )
    at: Place | None = Field(None, description="where the mesh's origin sits; without it, at the datum")


def _shape(value: Any) -> str:
    keys = set(value) if isinstance(value, Mapping) else set(getattr(type(value), "model_fields", ()))
    for tag, key in (("mesh", "mesh"), ("rod", "through"), ("flat", "outline"), ("sheet", "line")):
        if key in keys:
            return tag
    return "box"


Shape = Annotated[
    Annotated[Box, Tag("box")]
    | Annotated[Rod, Tag("rod")]
    | Annotated[Flat, Tag("flat")]
    | Annotated[Sheet, Tag("sheet")]
    | Annotated[Mesh, Tag("mesh")],
    Discriminator(_shape),
]
