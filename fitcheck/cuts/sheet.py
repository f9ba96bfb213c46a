"""The firewall opening of a job: the column's direction and the sheet's angles with their spreads. Radians inside."""

from math import hypot

from fitcheck.cuts.faces import Readings
from fitcheck.cuts.firewall import Opening, opening, sheet_frame, tilt_of
from fitcheck.cuts.limits import NotKnown
from fitcheck.geometry.frames import Vector
from fitcheck.job.cutting import Cuts
from fitcheck.job.model import Job
from fitcheck.job.sheet_metal import Firewall
from fitcheck.placement.column import ColumnAxis
from fitcheck.placement.points import level2car
from fitcheck.readings.steps import step_of
from fitcheck.readings.survey import readings, shifted

MOVES_THE_COLUMN = ("column", "points", "job")


def firewall_opening(job: Job, cuts: Cuts, axis: ColumnAxis, read: Readings) -> Opening | NotKnown:
    """The opening, or that the job does not describe the sheet."""
    if cuts.firewall is None:
        measure = "how steeply firewall or toe-board rises where the column passes, and what passes"
        return NotKnown("firewall opening", ("cuts.firewall",), measure)
    spreads = {key: read.spread(("cuts", "firewall", key)) for key in ("slope", "across")}
    down: Vector = axis.column2car.rotation[:, 2]
    return opening(cuts.firewall, down, level2car(job.job), spreads, tilt_spread(job, cuts.firewall))


def tilt(job: Job, firewall: Firewall) -> float:
    """Angle between the column and the sheet's normal, rad."""
    across = 0.0 if firewall.across is None else firewall.across.rad
    sheet = sheet_frame(firewall.slope.rad, across, level2car(job.job))
    return tilt_of(ColumnAxis(job).column2car.rotation[:, 2], sheet)


def tilt_spread(job: Job, firewall: Firewall) -> float:
    """How far the column's readings, and how the car sat, may have put that angle off, rad: squares added.

    How the car sat cancels where both are read by level.
    """
    here, parts = tilt(job, firewall), []
    for reading in readings(job):
        if reading.path[0] in MOVES_THE_COLUMN:
            step = step_of(reading)
            parts.append((tilt(shifted(job, reading.path, step), firewall) - here) / step * reading.spread)
    return hypot(*parts)
