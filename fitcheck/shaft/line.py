"""The line of the shaft in the car frame: centres of the joints and ways of the shafts, from the job's readings.

Ways point from wheel to rack; millimetres. What is not measured yet raises Missing, with its key.
"""

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from fitcheck.errors import KeyFault, Missing
from fitcheck.geometry.frames import Frame, Vector, frozen, turned, unit
from fitcheck.job.model import Job
from fitcheck.job.shafting import Joint, Shafting
from fitcheck.placement.column import ColumnAxis
from fitcheck.placement.points import Places
from fitcheck.shaft.joints import Chain, Passing, joint_angles
from fitcheck.shaft.stands import AS_MEASURED, Stand

TURNS_NOT_DEG = 85.0
SOCKET_MM = 2.0  # a drum no thicker than the shaft by this is the shaft itself, which a joint goes on
NEAREST_MM = 20.0  # two joint centres nearer than this are a slip of the tape


@dataclass(frozen=True, eq=False)
class Line:
    """`centres` (n, 3) of the joints and `ways` (n+1, 3) of the shafts, first and last included."""

    centres: Vector
    ways: Vector

    def __post_init__(self) -> None:
        object.__setattr__(self, "centres", frozen(self.centres, (None, 3)))
        object.__setattr__(self, "ways", frozen(self.ways, (None, 3)))

    @classmethod
    def through(cls, centres: Vector, first: Vector, last: Vector) -> "Line":
        """The line through the joints' centres, between the column's way and the box's."""
        between = [unit(b - a) for a, b in pairwise(centres)]
        return cls(centres, np.array([first, *between, last]))

    @cached_property
    def spans_mm(self) -> Vector:
        """Centre to centre (n-1,), mm."""
        return np.asarray(np.sqrt(((self.centres[1:] - self.centres[:-1]) ** 2).sum(axis=1)))


def tables(job: Job) -> Shafting | None:
    """The job's `[shaft]`, where it has one."""
    found: Shafting | None = getattr(job, "shaft", None)
    return found


class Ends:
    """The two ends that the shaft runs between. Each answer raises Missing where its readings are not there."""

    def __init__(self, job: Job, shaft: Shafting) -> None:
        self.job, self.shaft = job, shaft
        self.axis = ColumnAxis(job)
        self.places = Places(job, lambda: self.axis.column2car, self.axis.along)

    def column2car(self, stand: Stand = AS_MEASURED) -> Frame:
        """The frame of the column's end, tilted or carried along where the stand says so."""
        if stand.carried is not None:
            return stand.carried @ self._tilted(stand)
        return self._tilted(stand)

    def _tilted(self, stand: Stand) -> Frame:
        tilt = self.shaft.upper.tilt
        if tilt is None or stand.tilted == 0:
            return self.axis.column2car
        pivot, three = [0.0, 0.0, tilt.pivot_along.mm], np.array([0.0, 1.0, 0.0])
        turn = turned(np.eye(3), three, -stand.tilted).T  # the wheel is at -z of the pivot, and up is +x
        return self.axis.column2car @ Frame(turn, np.array(pivot) - turn @ pivot)

    def first_way(self, stand: Stand = AS_MEASURED) -> Vector:
        """Down the column (3,)."""
        return self.column2car(stand).rotation[:, 2]

    def first_along_mm(self) -> float:
        """The first joint's centre, along the column from the hub seat."""
        upper = self.shaft.upper
        if upper.joint_at is not None:
            at = self.places.point(upper.joint_at, ("shaft", "upper", "joint_at"))
            return float(self.axis.column2car.inverse.points(at)[2])
        if upper.joint_along is None:
            words = "how far down the column, from the hub seat, the centre of the first joint will be"
            raise Missing(["shaft.upper.joint_along"], words)
        return self.axis.along(upper.along_from, ("shaft", "upper", "along_from")) + upper.joint_along.mm

    def first_centre(self, stand: Stand = AS_MEASURED) -> Vector:
        """Centre (3,) of the first joint: on the column's axis."""
        return self.column2car(stand).points([0.0, 0.0, self.first_along_mm() + stand.slid_mm])

    def first_off_axis(self) -> Vector:
        """How far (3,) off the column's axis the first joint's centre was measured; none where it is read along it."""
        if self.shaft.upper.joint_at is None:
            return np.zeros(3)
        at = self.places.point(self.shaft.upper.joint_at, ("shaft", "upper", "joint_at"))
        return np.asarray(at - self.axis.column2car.points([0.0, 0.0, self.first_along_mm()]))

    def output_face_mm(self) -> float:
        """The unit's output face along the column: by the bench's reading, else by its drums thicker than the shaft."""
        unit_of, cuts = self.job.unit, self.job.cuts
        input_face = self.axis.along(unit_of.along_from, ("unit", "along_from")) + unit_of.input_face.mm
        if cuts is not None and cuts.unit.face_to_face is not None:
            return input_face + cuts.unit.face_to_face.mm
        shaft = self.job.column.shaft_od or (self.shaft.pieces[0].dia if self.shaft.pieces else None)
        drums = [drum for drum in (unit_of.sensor, unit_of.gear_body, unit_of.output) if drum is not None]
        if unit_of.gear_body is None or shaft is None:
            raise Missing(["cuts.unit.face_to_face"], "the unit from input face to output face")
        return input_face + sum(drum.long.mm for drum in drums if drum.dia.mm > shaft.mm + SOCKET_MM)

    def last_centre(self) -> Vector:
        """Centre (3,) of the last joint."""
        at = self.shaft.lower.joint_at
        if at is None:
            raise Missing(["shaft.lower.joint_at"], "where the centre of the last joint is, at the box input")
        return self.places.point(at, ("shaft", "lower", "joint_at"))

    def last_way(self) -> Vector:
        """The box input's direction (3,), wheel to rack."""
        lower = self.shaft.lower
        if lower.tube is not None:
            near, far = self._on_tube()
            return unit(near - far)
        if lower.down is None or lower.across is None:
            words = "two places, near and far, on a straight tube slipped over the box input"
            raise Missing(["shaft.lower.tube"], words)
        down, across = lower.down.rad, lower.across.rad
        by_gauge = [-np.cos(down) * np.cos(across), np.cos(down) * np.sin(across), -np.sin(down)]
        return self.places.level2car.directions(by_gauge)

    def _on_tube(self) -> tuple[Vector, Vector]:
        tube, path = self.shaft.lower.tube, ("shaft", "lower", "tube")
        assert tube is not None  # asked by the only caller
        rough = unit(
            self.places.point(tube.near, (*path, "near"), half=0.0)
            - self.places.point(tube.far, (*path, "far"), half=0.0)
        )
        half = tube.od.mm / 2
        near = self.places.point(tube.near, (*path, "near"), half=half, axis=rough)
        far = self.places.point(tube.far, (*path, "far"), half=half, axis=rough)
        if not np.linalg.norm(near - far) > 100.0:
            raise KeyFault((*path, "far"), "the two places on the tube lie within 100 mm; take a longer tube")
        return near, far

    def last_off_tube(self) -> Vector:
        """How far (3,) the last joint's centre lies off the tube's axis: two readings of one line; none without."""
        if self.shaft.lower.tube is None:
            return np.zeros(3)
        near, _ = self._on_tube()
        arm, way = self.last_centre() - near, self.last_way()
        return np.asarray(arm - (arm @ way) * way)

    def line(self, between: Vector, stand: Stand = AS_MEASURED) -> Line:
        """The whole line, with the centres (k, 3) of the joints between the first and the last."""
        centres = np.vstack([self.first_centre(stand), np.reshape(between, (-1, 3)), self.last_centre()])
        for joint, span in enumerate(np.linalg.norm(np.diff(centres, axis=0), axis=1)):
            if not span > NEAREST_MM:
                raise KeyFault(
                    ("shaft",), f"the centres of joints {joint + 1} and {joint + 2} lie {span:.0f} mm apart; check both"
                )
        return Line.through(centres, self.first_way(stand), self.last_way())

    def fixed_between(self) -> Vector:
        """Centres (k, 3) of the joints between the first and the last, where the job fixes them; else Missing."""
        places = [(i, joint.at) for i, joint in enumerate(self.shaft.joints[1:-1], start=1)]
        for i, at in places:
            if at is None:
                raise Missing(
                    [f"shaft.joints[{i + 1}].at"], "where the middle joint's centre is, if it is fixed already"
                )
        found = [self.places.point(at, ("shaft", "joints", i, "at")) for i, at in places if at is not None]
        return np.array(found).reshape(-1, 3)


def passing(joints: tuple[Joint, ...] | list[Joint]) -> tuple[Passing, ...]:
    """How each joint passes a turn on."""
    return tuple(Passing(joint.kind) for joint in joints)


def chain(line: Line, joints: tuple[Joint, ...] | list[Joint], phases: Vector) -> Chain:
    """The joints on that line with those phases; KeyFault where a joint is bent so far that it does not turn."""
    how = passing(joints)
    bends = np.degrees(joint_angles(line.ways))
    for i, (bend, kind) in enumerate(zip(bends, how, strict=True)):
        if kind is Passing.CARDAN and not bend < TURNS_NOT_DEG:
            raise KeyFault(
                ("shaft", "joints", i), f"bent by {bend:.0f} deg it does not turn; check the places and ways"
            )
    return Chain(line.ways, phases, how)
