"""The readings alone, as text and as one JSON object: they can be told before anything is placed or judged."""

from textwrap import wrap
from typing import Any

from fitcheck.job.opening import OpenJob
from fitcheck.readings.points import Points
from fitcheck.report.readings_document import readings_document
from fitcheck.report.readings_text import readings_text

SCHEMA = 1
WIDTH = 110


NO_POINTS = (
    "Nothing to hold against each other yet: the job names no points. This chapter is for places taken by more than "
    "one road: name them under [points], add [[readings]], and the wrong one gives itself away. "
    "examples/saloon-readings/job.toml shows how. Nothing measured yet? fitcheck readings JOB --plan says what to take."
)


def readings_chapter(opened: OpenJob, points: Points | None) -> dict[str, Any]:
    """Whose job, and its readings; of a job that names no points, that it does not."""
    head = opened.job.job
    job = {"name": head.name, "file": opened.file, "digest": opened.digest}
    told = {"remarks": [NO_POINTS]} if points is None else {"readings": readings_document(points)}
    return {"schema": SCHEMA, "job": job | ({"date": head.date} if head.date is not None else {}), **told}


def readings_chapter_text(opened: OpenJob, points: Points | None, width: int = WIDTH) -> str:
    """The same for people."""
    about = f"Job {opened.digest[:12]}, {opened.job.job.date or 'no date in job'}."
    if points is None:
        return "\n".join([opened.job.job.name, about, "", *wrap(NO_POINTS, width, break_on_hyphens=False)]) + "\n"
    return readings_text(opened.job, points, about, width)
