"""What was found on the car with the unit mocked up: gaps by clay or block, and distances between named points."""

from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag

from fitcheck.job.places import Table
from fitcheck.job.tools import Clayed, Spanned, Spread, ToolName


class SeenTable(Table):
    """What all of them share."""

    spread: Spread | None = Field(None, description="give or take of what was found (95 %)", examples=['"0.5 mm"'])
    tool: ToolName | None = Field(None, description="what it was found with", examples=['"clay"'])
    who: str | None = None
    when: str | None = None
    remark: str | None = None


class SeenGap(SeenTable):
    """The gap found between two parts, the pedal concerned held where `at` says."""

    between: tuple[str, str] = Field(description="names of the two parts", examples=['["unit", "clutch"]'])
    gap: Clayed = Field(description="the gap that was found", examples=['"12 mm"'])
    at: Literal["rest", "half", "full", "pulled up"] = Field(
        "rest",
        description="where the pedal was held: at rest, half its swing, full travel (on stop or floor), pulled up",
    )
    wheel: Literal["still", "pulled"] = Field("still", description='"pulled" while someone heaved on the wheel')


class SeenLength(SeenTable):
    """The distance found between two named points."""

    points: tuple[str, str] = Field(description="two points of [points]", examples=['["hub_seat", "clutch_pad"]'])
    reads: Spanned = Field(alias="is", description="the distance that was found", examples=['"541 mm"'])


def _kind(value: Any) -> str:
    keys = value if isinstance(value, dict) else getattr(type(value), "model_fields", {})
    return "length" if "points" in keys else "gap"


Seen = Annotated[
    Annotated[SeenGap, Tag("gap")] | Annotated[SeenLength, Tag("length")],
    Discriminator(_kind),
]
