"""What is found out about a shaft: rows for joints, phases, pieces and checks. Angles in rad, lengths mm, ripple in %.

What waits for a reading is a `NotKnown` with its keys; all else stands.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from fitcheck.clearance.gaps import Found
from fitcheck.clearance.pairs import Pair
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.movement import Turn
from fitcheck.job.shafting import Joint, Shafting
from fitcheck.limits import LimitResult, NotKnown, worst
from fitcheck.placement.scene import Part
from fitcheck.shaft.joints import Chain
from fitcheck.shaft.lengths import BarLength, Dimple, Halves
from fitcheck.shaft.limits import Grade, Held
from fitcheck.shaft.line import Line
from fitcheck.shaft.phases import Reach, Step
from fitcheck.shaft.setup import Adapt, Setup
from fitcheck.shaft.spread import Spread
from fitcheck.shaft.strength import Strength

Unit = Literal["mm", "deg", "%"]


@dataclass(frozen=True)
class Check:
    """One limit: its key, what it is in words, the value with its band (infinite where open) and spread, the result."""

    key: str
    what: str
    result: LimitResult
    unit: Unit = "mm"
    value: float = 0.0
    spread: float = 0.0
    low: float = -np.inf
    high: float = np.inf
    note: str = ""
    missing: NotKnown | None = None

    @classmethod
    def of(cls, key: str, what: str, held: Held, unit: Unit = "mm", note: str = "") -> "Check":
        return cls(key, what, held.result, unit, held.value, held.spread, held.low, held.high, note)

    @classmethod
    def waiting(cls, key: str, what: str, missing: NotKnown) -> "Check":
        return cls(key, what, LimitResult.NOT_KNOWN, missing=missing)


@dataclass(frozen=True)
class Bend:
    """A joint's true angle as measured, and the largest over every stand and the box's movement, which is judged."""

    angle: float
    largest: float
    largest_when: str
    limit_deg: float
    limit_from: str
    grade: Grade
    spread: Spread
    result: LimitResult


@dataclass(frozen=True)
class JointRow:
    """A joint by name, with its bend or what that waits for."""

    joint: Joint
    bend: Bend | NotKnown


@dataclass(frozen=True)
class PhaseRow:
    """A shaft's phase: the best, the reachable one chosen and its teeth, and what its neighbours leave of ripple.

    `any_phase` where it makes no difference. `mark_ripple_pct`: the worse ripple where the mark is off by `mark_error`.
    """

    piece: str
    any_phase: bool
    best: float
    best_spread: Spread
    chosen: Step
    base: float
    reach: Reach
    neighbours: tuple[tuple[Step, float], ...]
    mark_error: float
    mark_ripple_pct: float


@dataclass(frozen=True)
class Evenness:
    """Ripple and lead of the whole, as phased; in line; with the best phases there are; and at the worst stand.

    `light_clock`: where the first yoke's arms point, seen from the seat, with the road wheels straight ahead, for the
    same feel to both sides and the lightest in the middle (a quarter turn on: the heaviest); half a turn is the same.
    """

    chain: Chain
    ripple_pct: float
    lead: float
    in_line_pct: float
    least_pct: float
    worst_pct: float
    worst_when: str
    spread: Spread
    light_clock: float
    remedies: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class PieceRow:
    """A shaft between two joints: centre to centre, its length, its halves, its dimples."""

    name: str
    span_mm: float
    span_from: str
    spread: Spread
    length: BarLength
    at_stands: tuple[tuple[str, float], ...]
    halves: Halves | None
    dimples: tuple[Dimple, ...]


@dataclass(frozen=True, eq=False)
class Space:
    """The shaft's solid and its gaps, engine at rest and through its rock, before anything is said of chances.

    `lacking` is what of the shaft is not in the solid yet, so that no gap speaks of it.
    """

    parts: tuple[Part, ...]
    turn: Turn | None
    at_rest: tuple[Found, ...]
    rocking: tuple[Found, ...]
    passed_over: tuple[Pair, ...] = ()
    lacking: tuple[NotKnown, ...] = ()

    @property
    def found(self) -> tuple[Found, ...]:
        return (*self.at_rest, *self.rocking)


@dataclass(frozen=True, eq=False)
class ShaftChapter:
    """All that was found out about the shaft. `stub` is where the column's shaft has to end, along: from, to.

    `proposal`: three joints and a bearing, itself a chapter, where two do not do (`why_not`) and there is room.
    """

    setup: Setup
    adapt: Adapt
    line: Line | NotKnown
    joints: tuple[JointRow, ...]
    phases: tuple[PhaseRow, ...] | NotKnown
    evenness: Evenness | NotKnown
    pieces: tuple[PieceRow | NotKnown, ...]
    stub: tuple[float, float] | NotKnown
    checks: tuple[Check, ...]
    space: Space | NotKnown
    strength: Strength | NotKnown
    bearing: Vector | None = None
    why_not: tuple[str, ...] = ()
    proposal: "ShaftChapter | NotKnown | None" = None
    remarks: tuple[str, ...] = ()
    end_dimples: tuple[tuple[str, Dimple], ...] = ()
    spreads: Mapping[str, Spread] = field(default_factory=dict)

    @property
    def shaft(self) -> Shafting:
        return self.setup.shaft

    @property
    def result(self) -> LimitResult:
        """Worst result of any limit that is judged; gaps are judged with all others."""
        bends = [row.bend.result if isinstance(row.bend, Bend) else LimitResult.NOT_KNOWN for row in self.joints]
        checks = [check.result for check in self.judged]
        return worst([*bends, *checks, *(lack.result for lack in self.no_room_known)])

    @property
    def judged(self) -> tuple[Check, ...]:
        """The limits that the readings settle."""
        return tuple(check for check in self.checks if check.result is not LimitResult.SET_ON_CAR)

    @property
    def set_on_car(self) -> tuple[Check, ...]:
        """The limits that the readings cannot prove and the work itself settles by hand."""
        return tuple(check for check in self.checks if check.result is LimitResult.SET_ON_CAR)

    @property
    def no_room_known(self) -> tuple[NotKnown, ...]:
        """What of the shaft has no gaps yet, and what to measure for that."""
        return (self.space,) if isinstance(self.space, NotKnown) else self.space.lacking
