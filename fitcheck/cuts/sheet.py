"""The firewall opening of a job: the column's direction and the sheet's angles with their spreads. Radians inside.

Where the opening lets the shaft through alone, the jacket has to end before the sheet, its whole rim (mm).
"""

from collections.abc import Iterator
from math import cos, hypot, inf, tan

from fitcheck.cuts import faces
from fitcheck.cuts.chain import Chain, Stack
from fitcheck.cuts.faces import Readings
from fitcheck.cuts.firewall import Opening, opening, sheet_frame, tilt_of
from fitcheck.cuts.limits import Band, Found, NotKnown, judged
from fitcheck.geometry.frames import Vector
from fitcheck.job.cutting import Cuts
from fitcheck.job.model import Job
from fitcheck.job.sheet_metal import Firewall
from fitcheck.placement.column import ColumnAxis
from fitcheck.placement.points import level2car
from fitcheck.readings.steps import step_of
from fitcheck.readings.survey import readings, shifted

ABOUT_MM = 0.5  # two calipers on one tube
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


def jacket_limits(job: Job, cuts: Cuts, chain: Chain, opening: Opening | NotKnown) -> Iterator[Found]:
    """A jacket wider than the opening was made for: from its rim to the sheet, along the column.

    A rim of radius r square to the column comes r tan i nearer to a sheet that leans i from square (closed form).
    """
    sheet, jacket = cuts.firewall, job.column.jacket_od.mm
    if sheet is None or isinstance(opening, NotKnown) or sheet.passes_dia.mm >= jacket - ABOUT_MM:
        return
    if not chain.ties(faces.JACKET_END, faces.FIREWALL):
        return
    lean = jacket / 2 / cos(opening.tilt_rad) ** 2 * tilt_spread(job, sheet)
    rim = Stack.of("the sheet's lean against the column", jacket / 2 * tan(opening.tilt_rad), lean)
    room = chain.between(faces.JACKET_END, faces.FIREWALL).plus(rim, -1.0)
    band = Band(0.0, inf, f"the opening lets {sheet.passes_dia.text} through, not the jacket")
    yield judged("firewall: from the jacket's rim to the sheet", room, band, chain)
