"""A job that is still a plan: which of its figures are guesses, and how far each may be off. mm, rad.

A figure counts as measured once it states a spread or a tool, or its table does. Where the unit is wanted and how it is
clocked is no guess, nor is a bracket that is only drawn; bench, shaft and reach are measured for their own chapters.
"""

from collections.abc import Iterator

from fitcheck.job.model import Job
from fitcheck.job.tools import ANGLE_GAUGE_DEG, SET_CLOCK_DEG, TOOLS
from fitcheck.readings.changed import respread
from fitcheck.readings.reading import Path, Reading, measured

NO_READINGS = ("readings", "seen")
NO_GUESS = (("job",), ("unit", "input_face"), ("unit", "clock"), ("bracket",), ("cuts",), ("shaft",), ("reach",))
OF_ANGLES = (ANGLE_GAUGE_DEG, SET_CLOCK_DEG)
OF_SIZES = (TOOLS["open tape"], TOOLS["caliper"])


def guesses(job: Job) -> Iterator[tuple[Reading, float]]:
    """The figures that are guesses, each with the spread of the guess; the reading's own is its usual tool's.

    No guess is better than that tool.
    Nothing where the job does not say `guessed`.
    """
    if job.job.guessed is None:
        return
    for reading in measured(job, NO_READINGS):
        wanted = any(reading.path[: len(each)] == each for each in NO_GUESS)
        if reading.spread > 0 and reading.by_default and not wanted:
            yield reading, max(_spread(job, reading), reading.spread)


def as_guessed(job: Job) -> Job:
    """The job with the spread of each guess in its place; it says `guessed` only while there are guesses in it."""
    spreads: dict[Path, float] = {reading.path: spread for reading, spread in guesses(job)}
    if spreads or job.job.guessed is None:
        return respread(job, spreads)
    return job.model_copy(update={"job": job.job.model_copy(update={"guessed": None})})


def guesses_in_use(job: Job) -> Iterator[str]:
    """One sentence on how many figures of the job as written are guesses; nothing where none is."""
    many = sum(1 for _ in guesses(job))
    if many:
        stand = "figure stands at its guess" if many == 1 else "figures stand at their guess"
        yield f"{many} {stand} (job.guessed); fitcheck readings JOB --plan says which to measure first"


def _spread(job: Job, reading: Reading) -> float:
    said = job.job.guessed
    assert said is not None
    if reading.usual in OF_ANGLES:
        return said.angles.rad
    return said.sizes.mm if reading.usual in OF_SIZES else said.places.mm
