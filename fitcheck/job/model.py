"""The measured job: what a job file may hold. Optional fields are readings that may still be missing."""

from typing import Annotated, Literal

from pydantic import Field

from fitcheck.job.angles import CrossAngle, SillAngle
from fitcheck.job.assembly import Bracket, Column, Unit
from fitcheck.job.clocking import Clocking
from fitcheck.job.cutting import Cuts
from fitcheck.job.movements import Groups
from fitcheck.job.observed import ReadingOf
from fitcheck.job.places import Place, Table
from fitcheck.job.reaching import Reach
from fitcheck.job.seen import Seen
from fitcheck.job.shafting import Shafting
from fitcheck.job.surroundings import Driver, Linkage, Obstacle, Pedal, PivotShaft
from fitcheck.job.tools import Spread, TurnSpread, Wanted

Name = Annotated[str, Field(min_length=1, max_length=80)]


class Sat(Table):
    """How the car sat while it was measured: what level and gauge say is corrected by it."""

    sill_angle: SillAngle = Field(description="gauge on the sill", examples=['"0.4 deg nose up"', '"level"'])
    cross_angle: CrossAngle = Field(description="gauge across the car", examples=['"0.2 deg left down"', '"level"'])


class Guessed(Table):
    """How well the figures of a job were guessed before anything was measured (95 %).

    It counts for every figure that states no spread or tool of its own; where the unit is wanted is no guess.
    """

    places: Spread = Field(description="places in the car, and how far pedals go", examples=['"30 mm"'])
    sizes: Spread = Field(description="sizes of parts", examples=['"6 mm"'])
    angles: TurnSpread = Field(description="angles", examples=['"5 deg"'])


class Header(Table):
    """Whose job it is, how lengths are shown, and the mark all offsets are taken from."""

    name: str = Field(min_length=1, description="a name for the job", examples=['"Two-door saloon, hydraulic clutch"'])
    drive: Literal["left", "right"] = Field(description="side the driver sits on")
    show: Literal["in", "mm"] = Field("mm", description='how lengths are printed: "in" (with mm beside) or "mm"')
    datum: str = Field(
        min_length=1, description="the mark all offsets start from", examples=['"centre-punch on the firewall"']
    )
    sat: Sat | Literal["level"] = Field(description='how the car sat: "level", or sill_angle and cross_angle')
    date: str | None = Field(None, description="date of the readings, as text")
    guessed: Guessed | None = Field(
        None,
        description="a plan: figures that state no spread or tool are guesses",
        examples=['{ places = "30 mm", sizes = "6 mm", angles = "5 deg" }'],
    )


class RequiredPair(Table):
    """A required gap for one pair of parts, by name, with the reason for it."""

    between: tuple[str, str] = Field(description="names of the two parts")
    gap: Wanted = Field(description="required gap", examples=['"20 mm"'])
    why: str = Field(description="the reason, printed with the result")


class Require(Table):
    """Required gaps where they differ from the trade's defaults."""

    pedal: Wanted | None = Field(None, description="moving pedal to anything new")
    boot: Wanted | None = Field(None, description="boot to anything new")
    fixed: Wanted | None = Field(None, description="fixed part to fixed part")
    soft: Wanted | None = Field(None, description="fixed part to loom or brake pipe")
    wheel_pull: Wanted | None = Field(None, description="how far the unit's input face moves when the wheel is pulled")
    pairs: list[RequiredPair] = Field(default_factory=list, description="required gaps of single pairs")


class Job(Table):
    """One car, one job."""

    job: Header = Field(description="the head of the file")
    points: dict[Name, Place] = Field(
        default_factory=dict, description='named points; "by readings" where [[readings]] say where it is'
    )
    readings: list[ReadingOf] = Field(
        default_factory=list, max_length=500, description="further readings of the points"
    )
    column: Column = Field(description="the steering column")
    unit: Unit = Field(description="the assist unit")
    bracket: Bracket | None = Field(None, description="what holds the unit")
    pivot_shafts: list[PivotShaft] = Field(default_factory=list, description="shafts that pedals hang on together")
    pedals: list[Pedal] = Field(default_factory=list, description="the pedals")
    linkages: list[Linkage] = Field(default_factory=list, description="pushrods and Z-bars")
    driver: Driver | None = Field(None, description="boots")
    obstacles: list[Obstacle] = Field(default_factory=list, max_length=500, description="what else is near")
    reach: Reach | None = Field(None, description="hang below the dash, room for hands and tools, the way in and out")
    groups: Groups | None = Field(None, description="what moves as a whole: engine, frame, axle, a column that tilts")
    clocking: Clocking | None = Field(None, description="what the search over clock and place may try")
    cuts: Cuts | None = Field(None, description="the dimension chain of jacket and shaft, and what was cut so far")
    shaft: Shafting | None = Field(None, description="the intermediate shaft, from the column's end to the box")
    seen: list[Seen] = Field(default_factory=list, max_length=100, description="what was found on the mock-up")
    require: Require = Field(
        default_factory=lambda: Require(), description="required gaps where they differ from the defaults"
    )
