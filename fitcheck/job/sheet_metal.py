"""The table [cuts.firewall]: the sheet the column passes, its fold, and the bearing plate's holes."""

from typing import Self

from pydantic import Field, model_validator

from fitcheck.job.angles import ClockAngle
from fitcheck.job.places import Table
from fitcheck.job.tools import Gauged, Made, Sized, Taped, Wanted


class Fold(Table):
    """A fold in the sheet near the hole."""

    above: Made = Field(description="from the hole's centre up the sheet to the fold", examples=['"30 mm"'])
    slope: Gauged = Field(description="how steeply the sheet rises beyond the fold", examples=['"90 deg"'])


class Bolts(Table):
    """A ring of holes round the opening."""

    count: int = Field(ge=2, le=12, description="how many")
    circle: Wanted = Field(description="diameter of the circle they stand on", examples=['"90 mm"'])
    dia: Wanted = Field(description="diameter of each hole", examples=['"6.5 mm"'])
    first: ClockAngle = Field(
        description="clock place of the first, on the sheet, seen from the seat", examples=['"1:30"']
    )
    edge: Wanted | None = Field(
        None, description="least metal wanted between a hole and the opening or the plate's edge"
    )
    plate: Wanted | None = Field(None, description="diameter of the bearing plate", examples=['"112 mm"'])

    @model_validator(mode="after")
    def _holes_on_a_circle(self) -> Self:
        if not 0 < self.dia.mm < self.circle.mm:
            raise ValueError(
                f"holes of {self.dia.text} do not stand on a circle of {self.circle.text}; check 'dia' and 'circle'"
            )
        return self


class Firewall(Table):
    """Where the column passes the sheet."""

    slope: Gauged = Field(
        description="how steeply the sheet rises, going forward; upright is 90 deg", examples=['"50 deg"']
    )
    across: Gauged | None = Field(
        None, description="its turn in plan, right edge forward positive; square across is 0 deg"
    )
    along: Taped | None = Field(None, description="hub seat to the sheet, along the column", examples=['"28 3/8 in"'])
    passes_dia: Sized = Field(description="diameter of what passes through", examples=['"2 in"'])
    thick: Wanted = Field(description="thickness of the sheet", examples=['"1.2 mm"'])
    clearance: Wanted | None = Field(None, description="clearance all round, square to the column", examples=['"5 mm"'])
    bolts: Bolts | None = Field(None, description="the bearing plate's holes")
    fold: Fold | None = Field(None, description="a fold of the sheet above the hole")
