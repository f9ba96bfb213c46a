"""What a map of clock and place is about: the pieces that turn with the unit, and all they must keep clear of.

Everything is taken to the column's frame (x to 12 o'clock, z down the column). There a unit at clock c and place s is
its own piece turned by c about z and slid by s along it. Millimetres, radians.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fitcheck.clearance.map_fixture import Fixture
from fitcheck.clearance.pairs import Need, Treatment, need
from fitcheck.clearance.travel import counts_pulled, phases
from fitcheck.errors import GeometryError
from fitcheck.geometry.door import Shape
from fitcheck.geometry.frames import EYE, Frame, Vector
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.scan_piece import ScanPiece
from fitcheck.geometry.solids import Piece
from fitcheck.job.model import Job
from fitcheck.placement.adjusted import adjustments, goes_along
from fitcheck.placement.column import ColumnAxis, heave
from fitcheck.placement.points import Places
from fitcheck.placement.scene import Kind, Part, Phase, Scene, Sway
from fitcheck.placement.unit import unit2column


@dataclass(frozen=True, eq=False)
class Mover:
    """One piece that turns with the unit: `corners` (n, 3) in the unit's frame, `shape` where the scene has it."""

    part: Part
    piece: Piece
    shape: Shape
    corners: Vector

    @cached_property
    def reach(self) -> float:
        """Farthest corner from the column's axis, mm."""
        return float(np.hypot(self.corners[:, 0], self.corners[:, 1]).max())


@dataclass(frozen=True, eq=False)
class Heave:
    """Where a pull at the wheel puts a point x of the unit: `maps[k] @ x + shoves[k]`, (k, 3, 3) and (k, 3).

    `rigid` names those maps that keep every length: there the unit really stands so.
    """

    maps: Vector
    shoves: Vector
    rigid: NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Bodies:
    """Movers, fixtures, and every pair of them that is judged: which two, its need, and whether the wheel is pulled."""

    job: Job
    movers: tuple[Mover, ...]
    fixtures: tuple[Fixture, ...]
    shape2unit: Frame
    mover_of: NDArray[np.int64]
    fixture_of: NDArray[np.int64]
    needs: tuple[Need, ...]
    required: Vector
    pulled: NDArray[np.bool_]

    @cached_property
    def ranges(self) -> Vector:
        """Whole travel (pairs, t, 2) of each pair's fixture, t the most movements that any makes; filled up with 0."""
        most = max(1, *(len(fixture.moves) for fixture in self.fixtures))
        filled = np.zeros((len(self.fixtures), most, 2))
        for at, fixture in enumerate(self.fixtures):
            filled[at, : len(fixture.moves)] = fixture.ranges
        return filled[self.fixture_of]

    def heave(self, place_mm: float) -> Heave:
        """What a pull does to a unit whose input face is at `place_mm`; raises KeyFault where the job's is no pull."""
        sweep = heave(self.job, Frame.identity(), place_mm)
        if sweep is None:
            return Heave(EYE[None], np.zeros((1, 3)), np.zeros(1, dtype=np.int64))
        shoves = sweep.shifts(np.zeros((1, 3)))[:, 0]
        maps = EYE + np.swapaxes(sweep.shifts(EYE) - shoves[:, None], 1, 2)
        off = np.abs(maps @ np.swapaxes(maps, 1, 2) - EYE).max(axis=(1, 2))
        return Heave(maps, shoves, np.flatnonzero(off < 1e-12))


def bodies(engine: GapEngine, job: Job, scene: Scene) -> Bodies:
    """Takes a placed scene apart; GeometryError where it holds no unit, or nothing the unit is judged against.

    A bracket that turns with the unit counts as part of it: what is between the two changes with neither clock nor
    place. A scan counts as boxes that hold it: the map never shows more room beside it than there is, but less; whether
    a part lies wholly inside a closed scan is not asked.
    """
    column2car = ColumnAxis(job).column2car
    unit2car = column2car @ unit2column(scene.setting.clock, scene.setting.input_face_mm)
    movers: list[Mover] = []
    fixtures: list[Fixture] = []
    known: dict[object, list[int]] = {}
    rows: list[tuple[int, int, Need, bool]] = []
    turning = [part for part in scene.parts if turns(job, part)]
    if not turning:
        raise GeometryError("the job holds no unit yet: there is nothing to turn and slide")
    for mover in turning:
        first = len(movers)
        own = _convex(mover.phases[0])
        movers += [_mover(engine, mover, piece, unit2car.inverse) for _, piece in own]
        for part in scene.parts:
            need_ = need(job, mover, part)
            if part in turning or need_.treatment is not Treatment.JUDGED:
                continue
            sways = _sways(mover, part)
            for phase in phases(part, mover):
                if (phase, sways) not in known:
                    known[phase, sways] = list(range(len(fixtures), len(fixtures) + len(_convex(phase))))
                    fixtures += [
                        Fixture(part, phase, index, piece, engine.shape(piece), sways, column2car.inverse)
                        for index, piece in _convex(phase)
                    ]
                rows += [
                    (i, at, need_, counts_pulled(mover, part))
                    for i, (_, piece) in enumerate(own, start=first)
                    for at in known[phase, sways]
                    if part.kind is not Kind.BRACKET or piece.name not in mover.bolted
                ]
    if not rows:
        raise GeometryError("the job holds nothing yet that the unit has to clear")
    return Bodies(
        job,
        tuple(movers),
        tuple(fixtures),
        unit2car.inverse,
        np.array([row[0] for row in rows]),
        np.array([row[1] for row in rows]),
        tuple(row[2] for row in rows),
        np.array([row[2].required_mm for row in rows]),
        np.array([row[3] for row in rows]),
    )


def _convex(phase: Phase) -> list[tuple[int, Piece]]:
    """The phase's pieces with their numbers; for a scan the boxes that hold it between them."""
    return [
        (index, convex)
        for index, piece in enumerate(phase.pieces)
        for convex in (piece.boxes if isinstance(piece, ScanPiece) else (piece,))
    ]


def _sways(mover: Part, part: Part) -> tuple[Sway, ...]:
    """What moves the mover against the part, first entry first, besides clock and place."""
    if any(each.shift is not None for each in mover.carry):
        raise GeometryError(f"the {mover.name} shifts with its group: no map can hold that yet")
    if mover.as_measured or part.as_measured:
        return ()
    return mover.phases[0].against(part.carry).sways


def refuse_joints(job: Job, known: Bodies, first_mm: float, last_mm: float) -> None:
    """KeyFault where the unit, its input face anywhere from `first_mm` to `last_mm`, would reach over a column's joint.

    What moves it with the column would change from one side of the joint to the other.
    """
    axis = ColumnAxis(job)
    places = Places(job, lambda: axis.column2car, axis.along)
    own = [mover.corners[:, 2].max() for mover in known.movers if mover.part.kind is Kind.UNIT]
    found = adjustments(job, axis.column2car, axis.radius, places)
    goes_along(found, first_mm, last_mm + float(max(own)), "unit at all places of the map")


def turns(job: Job, part: Part) -> bool:
    """Whether the part turns and slides with the unit."""
    if part.kind is Kind.BRACKET:
        return job.bracket is not None and job.bracket.turns == "with the unit"
    return part.kind is Kind.UNIT


def _mover(engine: GapEngine, part: Part, piece: Piece, car2unit: Frame) -> Mover:
    shape = engine.shape(piece)
    return Mover(part, piece, shape, car2unit.points(shape.corners))
