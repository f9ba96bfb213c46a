"""The job with one thing about the unit changed, all else untouched: what a search tries. Clocks in rad, mm along."""

import math
from dataclasses import replace

from fitcheck.job.angles import clock_text
from fitcheck.job.lengths import Length
from fitcheck.job.model import Job


def with_unit_at(job: Job, clock: float, from_mark_mm: float) -> Job:
    """The motor pointing to `clock`, the input face `from_mark_mm` down from the unit's own mark."""
    turned = clock % math.tau
    unit = job.unit.model_copy(
        update={
            "clock": replace(job.unit.clock, rad=turned, text=clock_text(turned)),
            "input_face": moved(job.unit.input_face, from_mark_mm - job.unit.input_face.mm),
        }
    )
    return job.model_copy(update={"unit": unit})


def other_hand(job: Job) -> Job | None:
    """The unit built the other way round; None for a unit that is not handed or whose hand is not known."""
    if job.unit.hand is None:
        return None
    hand = "under" if job.unit.hand == "over" else "over"
    return job.model_copy(update={"unit": job.unit.model_copy(update={"hand": hand})})


def without_obstacle(job: Job, name: str) -> Job:
    """The job with one obstacle, and any gap required of it, taken out."""
    kept = [part for part in job.obstacles if part.name != name]
    pairs = [pair for pair in job.require.pairs if name not in pair.between]
    return job.model_copy(update={"obstacles": kept, "require": job.require.model_copy(update={"pairs": pairs})})


def with_motor_moved(job: Job, toward_rack_mm: float) -> Job | None:
    """The motor that much nearer the rack between the unit's two faces; None where the unit has no such room."""
    sensor, output = job.unit.sensor, job.unit.output
    if sensor is None or output is None:
        return None
    if not -sensor.long.mm < toward_rack_mm < output.long.mm:
        return None
    longer = sensor.model_copy(update={"long": moved(sensor.long, toward_rack_mm)})
    shorter = output.model_copy(update={"long": moved(output.long, -toward_rack_mm)})
    return job.model_copy(update={"unit": job.unit.model_copy(update={"sensor": longer, "output": shorter})})


def moved(length: Length, by_mm: float) -> Length:
    """The length that much longer, its spread as it was."""
    mm = length.mm + by_mm
    return replace(length, mm=mm, text=f"{mm:.10g} mm")
