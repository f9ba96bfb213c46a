"""The firewall opening of a job: the column's direction and the sheet's angles with their spreads. Radians inside."""

from math import acos, hypot

from fitcheck.cuts.faces import Readings
from fitcheck.cuts.firewall import Opening, opening
from fitcheck.cuts.limits import NotKnown
from fitcheck.geometry.frames import Vector
from fitcheck.job.cutting import Cuts
from fitcheck.job.model import Job
from fitcheck.placement.column import ColumnAxis
from fitcheck.placement.points import level2car
from fitcheck.readings.survey import readings, shifted

STEP_RAD, STEP_MM = 1e-4, 0.1
DIRECTION_FROM = ("column", "points", "job")


def firewall_opening(job: Job, cuts: Cuts, axis: ColumnAxis, read: Readings) -> Opening | NotKnown:
    """The opening, or that the job does not describe the sheet."""
    if cuts.firewall is None:
        measure = "how steeply firewall or toe-board rises where the column passes, and what passes"
        return NotKnown("firewall opening", ("cuts.firewall",), measure)
    spreads = {key: read.spread(("cuts", "firewall", key)) for key in ("slope", "across")}
    return opening(cuts.firewall, direction(axis), level2car(job.job), spreads, direction_spread(job, axis))


def direction(axis: ColumnAxis) -> Vector:
    """Unit direction down the column, car frame."""
    down: Vector = axis.column2car.rotation[:, 2]
    return down


def direction_spread(job: Job, axis: ColumnAxis) -> float:
    """How far the readings may have turned the column's axis, rad: each reading moved a little, squares added."""
    here, turns = direction(axis), []
    for reading in readings(job):
        if reading.path[0] in DIRECTION_FROM:
            step = STEP_RAD if reading.is_angle else STEP_MM
            there = direction(ColumnAxis(shifted(job, reading.path, step)))
            turns.append(acos(min(1.0, float(here @ there))) / step * reading.spread)
    return hypot(*turns)
