"""The steering column: its axis and frame in the car, jacket and shaft, and what a heave on the wheel does.

Column frame: origin at the hub seat, x to 12 o'clock, y to 3 o'clock, z down the column.
"""

import numpy as np

from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Frame, Vector, unit
from fitcheck.geometry.primitives import cylinder
from fitcheck.geometry.solids import Piece
from fitcheck.geometry.sweeps import Sweep, Swivel
from fitcheck.job.model import Job
from fitcheck.placement.adjusted import Adjustment, goes_along, zones
from fitcheck.placement.points import UP, Path, Places
from fitcheck.placement.scene import Carry, Kind, Part, Phase
from fitcheck.readings.directions import SQUARING

STEEPEST = np.radians(89.0)
WHEEL_PULL_MM = 3.0  # at the unit's input face, each way; common practice, no source
PULLS = 8  # directions of pull, equally spread; what lies between them is contained
MOST_PULL_MM = 25.0  # a column that gives more than this is broken, or the number is


class ColumnAxis:
    """The column's frame and its marks, worked out once."""

    def __init__(self, job: Job) -> None:
        self._column = job.column
        self._places = Places(job, self._no_column_yet, self.along)
        self.radius = job.column.jacket_od.mm / 2
        self.column2car = self._frame()
        self.notes = self._places.notes

    def _no_column_yet(self) -> Frame:
        raise KeyFault(
            ("column",), "the column's own places cannot be given off the column; give offsets from the datum"
        )

    def _frame(self) -> Frame:
        hub_seat = self._places.point(self._column.hub_seat, ("column", "hub_seat"))
        down_column = self._direction(hub_seat)
        if abs(down_column @ UP) > np.sin(STEEPEST):
            raise KeyFault(
                ("column",), "the column stands within 1 degree of upright: it has no 12 o'clock to clock from"
            )
        return Frame.from_axes(hub_seat, down_column, UP)

    def _direction(self, hub_seat: Vector) -> Vector:
        if self._column.low is not None:
            rough = self._places.point(self._column.low, ("column", "low"), half=0.0) - hub_seat
            if not np.linalg.norm(rough) > 50.0:
                raise KeyFault(
                    ("column", "low"), "the second place lies within 50 mm of the hub seat; take it farther down"
                )
            down = unit(rough)
            for _ in range(SQUARING):
                low = self._places.point(self._column.low, ("column", "low"), half=self.radius, axis=down)
                before, down = down, unit(low - hub_seat)
                if (down == before).all():  # as at once where the middle was measured
                    break
            return down
        assert self._column.down is not None and self._column.across is not None  # the model holds this
        dip, aside = self._column.down.rad, self._column.across.rad
        by_gauge = [-np.cos(dip) * np.cos(aside), np.cos(dip) * np.sin(aside), -np.sin(dip)]
        return self._places.level2car.directions(by_gauge)

    def along(self, mark: str, path: Path) -> float:
        """How far down from the hub seat a named mark is, mm."""
        if mark == "hub_seat":
            return 0.0
        if mark not in self._column.marks:
            raise KeyFault(path, f"there is no mark named '{mark}' under [column.marks]; known: hub_seat, "
                           + ", ".join(self._column.marks))  # fmt: skip
        return self._column.marks[mark].along.mm


def column_part(job: Job, axis: ColumnAxis, adjusted: tuple[Adjustment, ...] = ()) -> Part:
    """Jacket and shaft along the axis; they were there before and land where they were.

    A column that is `adjusted` comes in phases, one for each stretch between its joints.
    """
    column = job.column
    if not column.jacket_to.mm > column.jacket_from.mm:
        raise KeyFault(("column", "jacket_to"), "the jacket ends before it begins; both are measured from the hub seat")
    stretches = [("column jacket", column.jacket_from.mm, column.jacket_to.mm, column.jacket_od.mm)]
    if column.shaft_od is not None and column.shaft_to is not None:
        if not column.shaft_to.mm > column.jacket_to.mm:
            raise KeyFault(("column", "shaft_to"), "the shaft ends inside the jacket; leave it out or measure it again")
        stretches.append(("steering shaft", column.jacket_to.mm, column.shaft_to.mm, column.shaft_od.mm))
    phases: dict[int, tuple[tuple[Carry, ...], list[Piece]]] = {}
    for name, top, bottom, dia in stretches:
        for start, end in zones(adjusted, top, bottom):
            carry = goes_along(adjusted, end, end, name)
            piece = cylinder([0, 0, start], [0, 0, end], dia, name, ("upper end", "lower end"))
            above = sum(each.joint_mm >= end for each in adjusted)
            phases.setdefault(above, (carry, []))[1].append(piece.placed(axis.column2car))
    made = tuple(Phase(tuple(pieces), carry=carry) for carry, pieces in phases.values())
    return Part("column", Kind.COLUMN, made, new=False)


def heaved(pieces: tuple[Piece, ...], job: Job, axis: ColumnAxis, input_face_mm: float) -> tuple[Piece, ...]:
    """The pieces swept over someone pulling the wheel any way: one hull for each piece.

    The column turns about its lower bearing until the unit's input face has moved by the stated amount. Pulls in
    eight directions span a regular octagon that contains the circle of all pulls; it overstates the pull by up to
    8 % where its corners are (0.25 mm of 3). Every pull between them lies within the hull, its second order too
    (`geometry/sweeps.py`).
    """
    sweep = heave(job, axis.column2car, input_face_mm)
    return pieces if sweep is None else tuple(piece.swept(sweep) for piece in pieces)


def heave(job: Job, column2car: Frame, input_face_mm: float) -> Sweep | None:
    """The sweep of `heaved`, in the frame that `column2car` leads to; None where the wheel is not pulled at all."""
    pull = WHEEL_PULL_MM if job.require.wheel_pull is None else job.require.wheel_pull.mm
    if pull == 0:
        return None
    if not 0 < pull <= MOST_PULL_MM:
        raise KeyFault(("require", "wheel_pull"), f"a pull moves the unit by 0 to {MOST_PULL_MM:g} mm, not {pull:g} mm")
    bearing_mm = lower_bearing_mm(job)
    lever = bearing_mm - input_face_mm
    if not lever > 50.0:
        raise KeyFault(
            ("column", "lower_bearing"), "the lower bearing must lie at least 50 mm below the unit's input face"
        )
    bearing = column2car.points([0, 0, bearing_mm])
    turns = np.arange(PULLS // 2) * 2 * np.pi / PULLS
    twelve, three, _ = column2car.rotation.T
    axes = np.cos(turns)[:, None] * twelve + np.sin(turns)[:, None] * three
    return Swivel(bearing, axes, float(np.arcsin(pull / lever / np.cos(np.pi / PULLS))))


def lower_bearing_mm(job: Job) -> float:
    """Where the lower bearing is, along from the hub seat; the jacket's lower end where the job does not say."""
    column = job.column
    return column.jacket_to.mm if column.lower_bearing is None else column.lower_bearing.mm


def round_the_jacket(clock: float, radius: float) -> float:
    """Tape round the jacket from its top line, mm, clockwise positive, the short way."""
    return float(((clock + np.pi) % (2 * np.pi) - np.pi) * radius)
