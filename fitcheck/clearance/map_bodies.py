"""What a map of clock and place is about: the pieces that turn with the unit, and all they must keep clear of.

Everything is taken to the column's frame (x to 12 o'clock, z down the column). There a unit at clock c and place s is
its own piece turned by c about z and slid by s along it. Millimetres, radians.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fitcheck.clearance.pairs import Need, Treatment, need
from fitcheck.clearance.travel import counts_pulled, phases
from fitcheck.errors import GeometryError
from fitcheck.geometry.door import Shape
from fitcheck.geometry.frames import EYE, Frame, Vector
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.movement import Movement, Slide, Turn
from fitcheck.geometry.path import Course, Path
from fitcheck.geometry.solids import Piece
from fitcheck.job.model import Job
from fitcheck.placement.column import ColumnAxis, heave
from fitcheck.placement.scene import Kind, Part, Phase, Scene
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


class Fixture:
    """One piece the unit must keep clear of, with the one movement it makes, if any, in the column's frame."""

    def __init__(self, part: Part, phase: Phase, index: int, shape: Shape, car2column: Frame) -> None:
        self.part, self.phase, self.index, self.shape = part, phase, index, shape
        self.piece = phase.pieces[index]
        moves = () if phase.moves is None else (_seen_from(phase.moves, car2column),)
        self._course = Course(moves)
        self._path = Path(car2column.points(shape.corners), self._course)
        self._rest = car2column
        self.move = self._course.moves[0] if self._course.moves else None
        self.range = self._course.box[0] if self.move is not None else (0.0, 0.0)

    def lowest_throughout(self, normals: Vector) -> Vector:
        """Least height (m,) along `normals` (m, 3) over the whole movement."""
        return self._path.lowest(normals, self._course.box)

    def lowest(self, normals: Vector, start: Vector, stop: Vector) -> Vector:
        """Least height (m,) along each of `normals` (m, 3) over its own stretch `start` to `stop` (m,)."""
        if self.move is None:
            return np.asarray((normals @ self._path.rest.T).min(axis=1))
        if isinstance(self.move, Slide):
            rise = normals @ self.move.direction
            return np.asarray((normals @ self._path.rest.T).min(axis=1) + np.minimum(rise * start, rise * stop))
        base, cosine, sine = np.split(normals @ self._path.sinusoid_rows(()).T, 3, axis=1)
        c0, s0, c1, s1 = (f(at)[:, None] for at in (start, stop) for f in (np.cos, np.sin))
        least = np.minimum(cosine * c0 + sine * s0, cosine * c1 + sine * s1)
        # Over half a turn at most, a trough lies inside just where the height falls at the start and rises at the end.
        bottoms = (sine * c0 < cosine * s0) & (sine * c1 > cosine * s1)
        least[bottoms] = -np.hypot(cosine[bottoms], sine[bottoms])
        return np.asarray((base + least).min(axis=1))

    def poses(self, at: Vector) -> tuple[Vector, Vector]:
        """Rotations (m, 3, 3) and origins (m, 3) that take `shape` to the column's frame at values `at` (m,)."""
        fixed = np.broadcast_to(self._rest.rotation, (len(at), 3, 3)), np.broadcast_to(self._rest.origin, (len(at), 3))
        if self.move is None:
            return _after(self._course.rest, fixed)
        if isinstance(self.move, Slide):
            return fixed[0], fixed[1] + at[:, None] * self.move.direction
        axis, point = self.move.axis, self.move.point
        along, (x, y, z) = np.outer(axis, axis), axis
        cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
        rotations = along + np.cos(at)[:, None, None] * (EYE - along) + np.sin(at)[:, None, None] * cross
        origins = point - rotations @ point
        return rotations @ self._rest.rotation, rotations @ self._rest.origin + origins

    def frame(self, at: float) -> Frame:
        """The same as a frame."""
        rotations, origins = self.poses(np.array([at]))
        return Frame(rotations[0], origins[0])

    def travel(self, at: float) -> dict[str, float]:
        """How far which pedal is pressed at a value of the movement, as a share; empty for what stands still."""
        if self.phase.travel is None:
            return {}
        if self.phase.shares:
            return {self.phase.travel.pedal: float(np.mean(self.phase.shares[self.index]))}
        return {self.phase.travel.pedal: self.phase.travel.share(at)}


def _after(rest: tuple[Vector, Vector], poses: tuple[Vector, Vector]) -> tuple[Vector, Vector]:
    return rest[0] @ poses[0], poses[1] @ rest[0].T + rest[1]


def _seen_from(move: Movement, outer: Frame) -> Movement:
    if isinstance(move, Turn):
        return Turn(outer.points(move.point), outer.directions(move.axis), move.start, move.stop)
    return Slide(outer.directions(move.direction), move.start, move.stop)


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

    A bracket that turns with the unit counts as part of it: what is between the two changes with neither clock nor place.
    """
    column2car = ColumnAxis(job).column2car
    unit2car = column2car @ unit2column(scene.setting.clock, scene.setting.input_face_mm)
    movers: list[Mover] = []
    fixtures: list[Fixture] = []
    rows: list[tuple[int, int, Need, bool]] = []
    turning = [part for part in scene.parts if turns(job, part)]
    if not turning:
        raise GeometryError("the job holds no unit yet: there is nothing to turn and slide")
    for mover in turning:
        start = len(movers)
        movers += [_mover(engine, mover, piece, unit2car.inverse) for piece in mover.phases[0].pieces]
        for part in scene.parts:
            need_ = need(job, mover, part)
            if part in turning or need_.treatment is not Treatment.JUDGED:
                continue
            known = {(fixture.part.name, fixture.phase, fixture.index): i for i, fixture in enumerate(fixtures)}
            for phase in phases(part, mover):
                for index, piece in enumerate(phase.pieces):
                    at = known.get((part.name, phase, index))
                    if at is None:
                        at = len(fixtures)
                        fixtures.append(Fixture(part, phase, index, engine.shape(piece), column2car.inverse))
                    pulled = counts_pulled(mover, part)
                    rows += [
                        (start + i, at, need_, pulled)
                        for i, own in enumerate(mover.phases[0].pieces)
                        if part.kind is not Kind.BRACKET or own.name not in mover.bolted
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


def turns(job: Job, part: Part) -> bool:
    """Whether the part turns and slides with the unit."""
    if part.kind is Kind.BRACKET:
        return job.bracket is not None and job.bracket.turns == "with the unit"
    return part.kind is Kind.UNIT


def _mover(engine: GapEngine, part: Part, piece: Piece, car2unit: Frame) -> Mover:
    shape = engine.shape(piece)
    return Mover(part, piece, shape, car2unit.points(shape.corners))
