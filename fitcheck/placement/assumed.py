"""Defaults in use, in words: what the job does not say and common practice (no source) stands in for."""

from collections.abc import Iterator

from fitcheck.job.model import Job
from fitcheck.job.surroundings import Pedal
from fitcheck.placement.column import WHEEL_PULL_MM
from fitcheck.placement.feet import BOOT_ADDS_BREADTH_MM, BOOT_ADDS_LENGTH_MM
from fitcheck.placement.swing import OVER_TRAVEL_MM, PULLED_UP_MM, SIDE_WEAR_MM


def assumed(job: Job) -> Iterator[str]:
    """One sentence for each default in use."""
    if job.require.wheel_pull is None and job.pedals:
        yield f"require.wheel_pull not given: the unit moves {WHEEL_PULL_MM:g} mm each way when the wheel is pulled"
    if job.column.lower_bearing is None and job.pedals:
        yield "column.lower_bearing not given: taken at the jacket's lower end"
    for pedal in job.pedals:
        yield from _pedal(pedal)
    if job.driver is not None and job.driver.boots:
        if job.driver.boot_adds_length is None:
            yield f"driver.boot_adds_length not given: boots are {BOOT_ADDS_LENGTH_MM:g} mm longer than the foot"
        if job.driver.boot_adds_breadth is None:
            yield f"driver.boot_adds_breadth not given: boots are {BOOT_ADDS_BREADTH_MM:g} mm wider than the foot"


def _pedal(pedal: Pedal) -> Iterator[str]:
    if pedal.pulled_up is None:
        yield f"{pedal.name}: pulled_up not given: it can be pulled {PULLED_UP_MM:g} mm beyond rest by hand"
    if pedal.over_travel is None:
        yield f"{pedal.name}: over_travel not given: it goes {OVER_TRAVEL_MM:g} mm beyond full travel"
    if pedal.side_wear is None:
        yield f"{pedal.name}: side_wear not given: the pad moves {SIDE_WEAR_MM:g} mm each way sideways"
    if pedal.pad is not None and pedal.pad.tilt is None:
        yield f"{pedal.name}: pad.tilt not given: the pad is square to its path"
