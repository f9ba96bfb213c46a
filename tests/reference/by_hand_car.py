"""An example car put together by hand: what moves, what stands, and every pair of the two."""

from tests.reference.by_hand import (
    Assist,
    Column,
    clamped,
    nearest,
    read,
    standing,
    still_parts,
)
from tests.reference.by_hand_driven import driven, least_in_travel, slack_mm

PULLED_UP_MM, SIDE_MM = 10.0, 4.0  # lifted by hand at the pad; pad to each side; common practice, no source
UNSURE_MM = 4.0  # of each chord at the pad or lever by tape in a footwell; common practice, no source
BOOT_LONG, BOOT_WIDE, BALL, TOE_HIGH, HEEL_HIGH = 323.0, 130.0, 220.0, 65.0, 110.0
SAMPLES, FINER = 48, 9  # of a whole travel, and about the place found


class Car:
    """A whole example by hand: unit and bracket, what stands still, what a pedal moves, and the heaves of each."""

    def __init__(self, example: str, mesh: str | None = None) -> None:
        job = read(example)
        self.column = Column(job)
        self.assist = Assist(job, self.column)
        heaves = list(self.column.heaves(self.assist.face))
        bracket = clamped(job, self.column) if mesh is None else self.assist.carried(mesh)
        self.movers = {"unit": self.assist.solids(), "bracket": bracket}
        self.heaves = {"unit": heaves, "bracket": heaves if job["bracket"]["turns"] == "with the unit" else heaves[:1]}
        self.still, self.driven = still_parts(job), driven(job)
        self.others = sorted(self.still | self.driven)

    def least(self, mover: str, other: str) -> float:
        """Least distance of unit or bracket from another part, through whatever moves."""
        if other in self.still:
            return nearest(standing(self.movers[mover]), standing(self.still[other]))
        return least_in_travel(self.movers[mover], self.heaves[mover], self.driven[other])

    def slack(self, mover: str, other: str) -> float:
        """`slack_mm` of that pair."""
        return slack_mm(self.driven.get(other), len(self.heaves[mover]))
