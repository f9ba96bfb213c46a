"""Simplified solids as a job file writes them: told apart by their keys, so nobody has to name a kind."""

from collections.abc import Mapping
from typing import Annotated, Any, Literal, Self

from pydantic import Discriminator, Field, Tag, model_validator

from fitcheck.job.places import Place, Table
from fitcheck.job.tools import Made, Scanned, Spread


class Box(Table):
    """A box along the car's directions between two opposite corners."""

    corner: Place = Field(description="one corner")
    opposite: Place = Field(description="the corner diagonally opposite")


class Rod(Table):
    """A round bar, tube, exhaust or loom through two or more places on its centre line."""

    through: list[Place] = Field(
        min_length=2,
        description="two or more places on the centre line",
        examples=['[{ back = "13 in", left = "20 in", up = "17 in" }, { ... }]'],
    )
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


class FitPoint(Table):
    """A place found in a scan and measured in the car: x, y and z of the mesh's own axes, as the file has them."""

    point: Place = Field(description="where it is in the car: a named point, or offsets")
    x: Scanned = Field(description="along the mesh's first axis", examples=['"412 mm"'])
    y: Scanned = Field(description="along its second axis", examples=['"-35 mm"'])
    z: Scanned = Field(description="along its third axis", examples=['"88 mm"'])
    spread: Spread | None = Field(None, description="give or take of x, y and z each (95 %)", examples=['"2 mm"'])


class Mesh(Table):
    """A mesh file beside the job, made of closed convex pieces, or taken as its hull or as a scan when asked."""

    mesh: str = Field(description="file name, beside the job file")
    mesh_unit: Literal["mm", "cm", "m", "in"] = Field(
        description='the unit its numbers are in: "mm", "cm", "m" or "in"'
    )
    take_as: Literal["pieces", "hull", "scan"] = Field(
        "pieces",
        description='"pieces": closed convex pieces; "hull": the hull round each piece; "scan": by its triangles',
    )
    at: Place | None = Field(None, description="where the mesh's origin sits; without it, at the datum")
    fit: list[FitPoint] = Field(default_factory=list, description="scan: three or more places that put it in the car")
    scale: Literal["as read", "fit"] = Field(
        "as read", description='scan: "fit" lets the places of "fit" say how large it is'
    )
    free_side: Literal["front", "back", "both"] | None = Field(
        None, description='open scan: the side that is room; "front" is the one its triangles face, "both" a thin sheet'
    )

    spread: Spread | None = Field(
        None, description="scan: give or take of its surface where it sits (95 %)", examples=['"5 mm"']
    )

    @model_validator(mode="after")
    def _keys_of_a_scan(self) -> Self:
        of_a_scan = {"fit": bool(self.fit), "scale": self.scale != "as read", "free_side": self.free_side is not None}
        of_a_scan["spread"] = self.spread is not None
        said = [key for key, is_said in of_a_scan.items() if is_said]
        if said and self.take_as != "scan":
            raise ValueError(f'{", ".join(said)} is for scans; write take_as = "scan" as well, or leave it out')
        if self.fit and self.at is not None:
            raise ValueError("give either 'at' or 'fit': both say where the mesh sits")
        if self.scale == "fit" and not self.fit:
            raise ValueError("scale = \"fit\" needs the places of 'fit'")
        return self


# Keys that tell a shape, the surest first.
TELLING = (
    *(("mesh", "mesh"), ("rod", "through"), ("flat", "outline"), ("sheet", "line")),
    *(("box", "corner"), ("box", "opposite"), ("mesh", "mesh_unit"), ("mesh", "take_as")),
    *(("flat", "holes"), ("sheet", "across"), ("sheet", "width"), ("rod", "dia")),
)
SHAPES = (
    "a box { corner = { ... }, opposite = { ... } }; a rod, tube or cable { through = [{ ... }, { ... }], dia = ... }; "
    "a plate { outline = [...], thick = ..., to = ... }; a folded sheet { line = [...], width = ..., across = ..., "
    "thick = ... }; a mesh file { mesh = ..., mesh_unit = ... }"
)


def _shape(value: Any) -> str | None:
    keys = set(value) if isinstance(value, Mapping) else set(getattr(type(value), "model_fields", ()))
    return next((tag for tag, key in TELLING if key in keys), None)


Shape = Annotated[
    Annotated[Box, Tag("box")]
    | Annotated[Rod, Tag("rod")]
    | Annotated[Flat, Tag("flat")]
    | Annotated[Sheet, Tag("sheet")]
    | Annotated[Mesh, Tag("mesh")],
    Discriminator(
        _shape,
        custom_error_type="no_shape",
        custom_error_message="no shape known here; write one of: " + SHAPES,
    ),
]
