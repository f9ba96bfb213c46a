"""How a reading can be taken: with what, how good that makes it, how long it takes, and where one stands for it.

Tools are those of `job/tools.py`; minutes and places to stand are common practice, no source. mm, rad.
"""

from dataclasses import dataclass
from math import sqrt

from fitcheck.job.model import Job
from fitcheck.job.tools import ANGLE_GAUGE_DEG, PAD_CHORD, SET_ALONG, SET_CLOCK_DEG, TOOLS, Tool
from fitcheck.readings.reading import RADIANS_A_DEGREE, Reading

TWICE = 1 / sqrt(2)  # the mean of two readings as good as each other (JCGM 100:2008, 4.2.3)
TWO_HANDS = ", twice, by two hands"
ANOTHER_HAND = "a second reading by another hand"
MINUTES = {
    TOOLS["footwell tape"]: 3.0,
    TOOLS["plumb"]: 8.0,
    TOOLS["open tape"]: 2.0,
    TOOLS["caliper"]: 2.0,
    PAD_CHORD: 3.0,
    SET_ALONG: 3.0,
    SET_CLOCK_DEG: 1.0,
    ANGLE_GAUGE_DEG: 3.0,
}
# The next better tool for what is usually taken with another; a column that is out can be taped in the open.
NEXT = {
    TOOLS["footwell tape"]: TOOLS["plumb"],
    TOOLS["open tape"]: TOOLS["caliper"],
    SET_ALONG: TOOLS["open tape"],
    SET_CLOCK_DEG: ANGLE_GAUGE_DEG,
}
SEAT, DOOR, DASH, BAY, BENCH = "in the seat", "at the open door", "under the dash", "in the engine bay", "at the bench"
STATIONS = (SEAT, DOOR, DASH, BAY, BENCH)


@dataclass(frozen=True)
class Way:
    """One way to take a reading: `words`, its spread (mm or rad) and the minutes it takes."""

    words: str
    spread: float
    minutes: float


def ways(reading: Reading) -> tuple[Way, ...]:
    """Every way to take it, the usual one first: once, by two hands, with the next better tool. Empty where none."""
    usual = reading.usual
    if usual not in MINUTES:
        return ()
    once = _way(usual, reading)
    twice = Way(f"{usual.words}{TWO_HANDS}", once.spread * TWICE, 2 * once.minutes)
    return (once, twice, *((_way(NEXT[usual], reading),) if usual in NEXT else ()))


def better_tool(reading: Reading) -> Way | None:
    """The next better tool than it was taken with; None where there is none."""
    tool = reading.usual
    while tool in NEXT:
        tool = NEXT[tool]
        way = _way(tool, reading)
        if way.spread < reading.spread * (1 - 1e-9):
            return way
    return None


def station(job: Job, reading: Reading) -> str:
    """Where one stands to take it."""
    where, *which = reading.path
    if where == "unit" or (where == "column" and which[0] not in ("hub_seat", "low", "down", "across")):
        return BENCH
    if where == "obstacles" and isinstance(which[0], int) and job.obstacles[which[0]].group != "body":
        return BAY
    if where in ("groups", "linkages"):
        return BAY
    if "hub_seat" in which:
        return SEAT
    return DOOR if where == "driver" or {"pad", "travel", "travel_angle"} & set(which) else DASH


def _way(tool: Tool, reading: Reading) -> Way:
    return Way(tool.words, tool.spread * (RADIANS_A_DEGREE if reading.is_angle else 1.0), MINUTES[tool])
