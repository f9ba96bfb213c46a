"""What stands in the car once a job is placed: parts with their solids and movements, and what is still missing."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from fitcheck.errors import Missing as Missing  # what a part waits for
from fitcheck.geometry.cover import Body
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.movement import Movement, Turn
from fitcheck.geometry.solids import Piece
from fitcheck.geometry.sweeps import Shift

if TYPE_CHECKING:
    from fitcheck.placement.column import ColumnAxis


class Kind(Enum):
    """What a part is; who is judged against whom depends on it."""

    COLUMN = "column"
    UNIT = "unit"
    BRACKET = "bracket"
    PIVOT_SHAFT = "pivot shaft"
    PEDAL = "pedal"
    LINKAGE = "linkage"
    BOOT = "boot"
    OBSTACLE = "obstacle"


@dataclass(frozen=True)
class Travel:
    """How a movement's parameter reads as a pedal's travel: `values` rise, `shares` go with them (0 rest, 1 full).

    The pedal's pad turns `radius_mm` from its pivot, by `full` (rad) to full travel. `read` are the shares that were
    measured at both ends; what lies beyond is there because the readings may be off.
    """

    pedal: str
    values: tuple[float, ...]
    shares: tuple[float, ...]
    radius_mm: float
    full: float
    read: tuple[float, float] = (-np.inf, np.inf)

    def chord_mm(self, share: float) -> float:
        """Straight line from the pad's centre at rest to its centre at a share of travel; negative pulled up."""
        return 2 * self.radius_mm * float(np.sin(share * self.full / 2))

    def share(self, value: float) -> float:
        """Share of travel at a value of the movement's parameter."""
        return float(np.interp(value, self.values, self.shares))

    def value(self, share: float) -> float:
        """Value of the movement's parameter at a share of travel, the other way round; ends hold beyond."""
        order = np.argsort(self.shares, kind="stable")
        return float(np.interp(share, np.array(self.shares)[order], np.array(self.values)[order]))


@dataclass(frozen=True, eq=False)
class Sway:
    """One movement of a whole group, `name` in words; its value is 0 where things were measured.

    `move` goes beyond what was stated by the spread of the readings; `stated` (rad, mm) are the lower and the upper
    end as stated.
    """

    name: str
    move: Movement
    stated: tuple[float, float]

    def share(self, value: float) -> float:
        """Share of the movement at a value of it: 0 as measured, 1 or -1 at the stated end on its side.

        On a side with no movement stated, a share of what the reading may be off.
        """
        low, high = (stated or end for stated, end in zip(self.stated, (self.move.start, self.move.stop), strict=True))
        return value / high if value > 0 else -value / low if value < 0 else 0.0


@dataclass(frozen=True, eq=False)
class Carry:
    """How a `group` carries its parts: first by `sways`, first entry first, then anywhere within `shift`."""

    group: str
    sways: tuple[Sway, ...] = ()
    shift: Shift | None = None


@dataclass(frozen=True, eq=False)
class Phase:
    """Pieces of a part that make one movement together (or none); `travel` says which pedal drives it and how far.

    `shares` are given instead where the pieces stand still for one slice of travel each: (from, to) a piece. `carry`
    holds what the part's groups do to it, the outermost group first; `sways` those movements that count here already,
    after `moves`, first entry first.
    """

    pieces: tuple[Piece, ...]
    moves: Movement | None = None
    travel: Travel | None = None
    shares: tuple[tuple[float, float], ...] = ()
    carry: tuple[Carry, ...] = ()
    sways: tuple[Sway, ...] = ()
    _known: dict[int, "Phase"] = field(default_factory=dict, repr=False)

    @cached_property
    def chain(self) -> tuple[Movement, ...]:
        """All movements that count, first entry first."""
        own = () if self.moves is None else (self.moves,)
        return (*own, *(sway.move for sway in self.sways))

    @cached_property
    def body(self) -> Body:
        """The phase as what the gap engine takes; always the same object, so that it is made ready once."""
        return Body(self.pieces, self.chain)

    @property
    def span(self) -> tuple[float, float]:
        """Shares of travel, from and to, for which the phase stands."""
        said = [share for pair in self.shares for share in pair] or list(self.travel.shares if self.travel else (0.0,))
        return min(said), max(said)

    def moved(self, points: Vector, at: tuple[float, ...]) -> Vector:
        """`points` (n, 3) at rest where the movements put them, one value `at` a movement."""
        for move, value in zip(self.chain, at, strict=True):
            points = move.moved(points, value)
        return points

    def at_rest(self, points: Vector, at: tuple[float, ...]) -> Vector:
        """The other way round: where `points` (n, 3) of the moved phase are at rest."""
        for move, value in zip(self.chain[::-1], at[::-1], strict=True):
            points = move.moved(points, -value)
        return points

    def against(self, other: tuple[Carry, ...]) -> "Phase":
        """The phase as it moves against what is carried by `other`: what carries both of them does not count."""
        shared = 0
        while shared < min(len(self.carry), len(other)) and self.carry[shared].group == other[shared].group:
            shared += 1
        if shared == len(self.carry):
            return self
        if shared not in self._known:
            self._known[shared] = self._carried(self.carry[shared:])
        return self._known[shared]

    def _carried(self, carry: tuple[Carry, ...]) -> "Phase":
        """Small shifts are taken up into the pieces, widened for the turns that come between the two."""
        sways: list[Sway] = []
        moves = list(self.chain)
        low, high = np.zeros(3), np.zeros(3)
        for each in reversed(carry):
            sways += each.sways
            moves += [sway.move for sway in each.sways]
            if each.shift is not None:
                seen = each.shift
                for turn in [move for move in moves if isinstance(move, Turn)]:
                    seen = seen.within(turn.axis, max(-turn.start, turn.stop))
                low, high = low + seen.low, high + seen.high
        swept = tuple(piece.swept(Shift(low, high)) for piece in self.pieces) if (high > low).any() else self.pieces
        return Phase(swept, self.moves, self.travel, self.shares, (), (*self.sways, *sways))


@dataclass(frozen=True, eq=False)
class Part:
    """One part: its phases, its group, whether this job puts or moves it, and what it is meant to touch.

    `bolted` names pieces that the bracket is bolted to, and so may touch. `pulled` holds the phases as swept by someone
    pulling the wheel; empty for what the pull leaves alone. Against a part `as_measured` no group moves: it looks after
    what may move itself (the intermediate shaft).
    """

    name: str
    kind: Kind
    phases: tuple[Phase, ...]
    new: bool
    group: str = "body"
    soft: bool = False
    keep_out: bool = False
    joined: frozenset[str] = frozenset()
    driven_by: str | None = None
    pulled: tuple[Phase, ...] = ()
    bolted: frozenset[str] = frozenset()
    notes: tuple[str, ...] = ()
    as_measured: bool = False

    @property
    def carry(self) -> tuple[Carry, ...]:
        """What the part's groups do to it; of the column, to the part of it that moves most."""
        return self.phases[0].carry


@dataclass(frozen=True)
class Unplaced:
    """A part the job holds but cannot place yet: which keys are missing and what to measure."""

    name: str
    kind: Kind
    new: bool
    keys: tuple[str, ...]
    measure: str


@dataclass(frozen=True)
class Setting:
    """Where the unit sits: clock angle (rad, clockwise from 12), input face and motor plane along the column (mm)."""

    clock: float
    input_face_mm: float
    motor_plane_mm: float | None
    round_jacket_mm: float
    from_mark: str
    from_mark_mm: float


@dataclass(frozen=True)
class Scene:
    """All parts of a job in the car frame, where the unit sits, and in words what was assumed on the way.

    `rests_on` holds for each part the pieces of the job it was made from, and `needs` for each piece (by its id, kept
    alive beside it) which points it names and whether it needs the column: a job that differs elsewhere need not make
    it again. `axis` is the column's.
    """

    parts: tuple[Part, ...]
    unplaced: tuple[Unplaced, ...]
    setting: Setting
    remarks: tuple[str, ...] = ()
    rests_on: Mapping[str, tuple[object, ...]] = field(default_factory=dict)
    needs: Mapping[int, tuple[object, frozenset[str], bool]] = field(default_factory=dict)
    axis: "ColumnAxis | None" = None

    @cached_property
    def _by_name(self) -> dict[str, Part]:
        return {part.name: part for part in self.parts}

    def part(self, name: str) -> Part | None:
        """The part of that name, where it could be placed."""
        return self._by_name.get(name)
