"""Defaults in use, in words: what the job does not say and common practice (no source) stands in for."""

from collections.abc import Iterator

from fitcheck.job.model import Job
from fitcheck.job.surroundings import Pedal
from fitcheck.placement.column import WHEEL_PULL_MM
from fitcheck.placement.feet import BOOT_ADDS_BREADTH_MM, BOOT_ADDS_LENGTH_MM
from fitcheck.placement.legs import LIFT_OFF_MM, SHIN_DIA_MM
from fitcheck.placement.scans import of_surface
from fitcheck.placement.swing import OVER_TRAVEL_MM, PULLED_UP_MM, SIDE_WEAR_MM

# A pedal's key, and what is taken where it is not given.
OF_PEDALS = (
    ("pulled_up", f"can be pulled {PULLED_UP_MM:g} mm beyond rest by hand"),
    ("over_travel", f"goes {OVER_TRAVEL_MM:g} mm beyond full travel"),
    ("side_wear", f"has a pad that moves {SIDE_WEAR_MM:g} mm each way sideways"),
    ("boss_dia", "has an arm that ends square at its pivot, without an eye"),
    ("pad.tilt", "has a pad square to its path"),
)


def assumed(job: Job) -> Iterator[str]:
    """One sentence for each default in use."""
    if job.require.wheel_pull is None and job.pedals:
        yield f"require.wheel_pull not given: the unit moves {WHEEL_PULL_MM:g} mm each way when the wheel is pulled"
    if job.column.lower_bearing is None and job.pedals:
        yield "column.lower_bearing not given: taken at the jacket's lower end"
    for key, words in OF_PEDALS:
        names = [pedal.name for pedal in job.pedals if _lacks(pedal, key)]
        if names:
            yield f"{', '.join(names)}: {key} not given: {'it' if len(names) == 1 else 'each'} {words}"
    if job.driver is not None and job.driver.boots:
        if job.driver.boot_adds_length is None:
            yield f"driver.boot_adds_length not given: boots are {BOOT_ADDS_LENGTH_MM:g} mm longer than the foot"
        if job.driver.boot_adds_breadth is None:
            yield f"driver.boot_adds_breadth not given: boots are {BOOT_ADDS_BREADTH_MM:g} mm wider than the foot"
        if job.driver.lift_off is None:
            yield f"driver.lift_off not given: a boot comes {LIFT_OFF_MM:g} mm off its pad, square to its sole"
        if job.driver.shin_dia is None and any(boot.knee is not None for boot in job.driver.boots):
            yield f"driver.shin_dia not given: shin and knee are {SHIN_DIA_MM:g} mm across"
    for obstacle in job.obstacles:
        scanned = of_surface(obstacle)
        if scanned is not None and scanned[1] != "stated":
            yield f"{obstacle.name}: spread of the scan not stated: give or take {scanned[0]:g} mm ({scanned[1]})"


def _lacks(pedal: Pedal, key: str) -> bool:
    if key == "pad.tilt":
        return pedal.pad is not None and pedal.pad.tilt is None
    return getattr(pedal, key) is None
