"""The chapter on reaching in: rooms and moves with how sure they are, and how low things hang with its spread."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from fitcheck.clearance.reach import Hang, ReachFound, hangs
from fitcheck.confidence.as_built import AsBuilt
from fitcheck.confidence.draws import NO_DRAWS, Draws
from fitcheck.confidence.judging import judged_gaps
from fitcheck.confidence.mocked_up import held_against
from fitcheck.confidence.nudged import Nudged
from fitcheck.confidence.results import Judged, Result, worst_first
from fitcheck.errors import KeyFault
from fitcheck.readings.steps import step_of
from fitcheck.readings.survey import readings

MOVE_IT = ("job", "points", "column", "unit", "bracket", "reach")  # tables whose readings move what hangs


@dataclass(frozen=True)
class Hanging:
    """How low a part hangs, with the spread of both figures, mm."""

    hang: Hang
    dash_spread_mm: float
    column_spread_mm: float


@dataclass(frozen=True)
class MoveRow:
    """One move of the way out: how far each way and altogether, mm, its gaps worst first, and how far it is free of
    each part it hits."""

    name: str
    lengths: dict[str, float]
    far_mm: float
    gaps: tuple[Judged, ...]
    free_mm: dict[str, float]

    @property
    def result(self) -> Result:
        """The worst of its gaps; clear where nothing is near."""
        return _worst(self.gaps)


@dataclass(frozen=True)
class RoomRow:
    """One room: its name and its gaps, worst first."""

    name: str
    gaps: tuple[Judged, ...]

    @property
    def result(self) -> Result:
        """The worst of its gaps; clear where nothing is near."""
        return _worst(self.gaps)


@dataclass(frozen=True)
class ReachChapter:
    """Hang, rooms and the way out."""

    hang: tuple[Hanging, ...]
    rooms: tuple[RoomRow, ...]
    moves: tuple[MoveRow, ...]

    @property
    def gaps(self) -> tuple[Judged, ...]:
        """All that was judged, worst first."""
        entries = [*(e for room in self.rooms for e in room.gaps), *(e for move in self.moves for e in move.gaps)]
        return tuple(sorted(entries, key=worst_first))

    @property
    def result(self) -> Result:
        """The worst of rooms and moves."""
        return _worst(self.gaps)


def _worst(entries: Sequence[Judged]) -> Result:
    return min((entry.result for entry in entries), key=list(Result).index, default=Result.CLEAR)


def reach_chapter(
    nudged: Nudged, found: ReachFound | None, seen: AsBuilt | None = None, draws: Draws = NO_DRAWS
) -> ReachChapter | None:
    """The chapter from what was found and the mock-up; None where the job says nothing of reaching in."""
    if found is None:
        return None
    job, gaps = nudged.job, held_against(judged_gaps(nudged, found.gaps, draws), seen)
    assert job.reach is not None
    moves = () if job.reach.way_out is None else job.reach.way_out.moves
    rows = (
        MoveRow(
            name=move.name,
            lengths={way: length.mm for way, length in said.lengths.items()},
            far_mm=move.far_mm,
            gaps=_of(move.name, gaps),
            free_mm=move.free_mm,
        )
        for said, move in zip(moves, found.moves, strict=True)
    )
    rooms = (RoomRow(room.name, _of(room.name, gaps)) for room in job.reach.rooms)
    return ReachChapter(tuple(_hangings(nudged, found.hang)), tuple(rooms), tuple(rows))


def _of(name: str, gaps: Sequence[Judged]) -> tuple[Judged, ...]:
    return tuple(sorted((entry for entry in gaps if entry.pair.a.name == name), key=worst_first))


def _hangings(nudged: Nudged, hang: Sequence[Hang]) -> list[Hanging]:
    """Spreads by first order, each reading moved a little (JCGM 100:2008, 5.1.2)."""
    squares = [[0.0, 0.0] for _ in hang]
    for reading in readings(nudged.job):
        if reading.path[0] not in MOVE_IT or reading.path[:2] in (("reach", "rooms"), ("reach", "way_out")):
            continue
        by = step_of(reading)
        try:
            there = list(hangs(*nudged.moved(reading.path, by)))
        except KeyFault:  # the job stands just inside a limit
            by = -by
            there = list(hangs(*nudged.moved(reading.path, by)))
        for sums, was, now in zip(squares, hang, there, strict=True):
            for k, change in enumerate(_changes(was, now)):
                sums[k] = hypot(sums[k], change / by * reading.spread)
    return [Hanging(each, *sums) for each, sums in zip(hang, squares, strict=True)]


def _changes(was: Hang, now: Hang) -> tuple[float, float]:
    column = now.below_column_mm - was.below_column_mm
    if was.below_dash_mm is None or now.below_dash_mm is None:
        return 0.0, column
    return now.below_dash_mm - was.below_dash_mm, column
