"""The readings alone, as text and as one JSON object: they can be told before anything is placed or judged."""

from typing import Any

from fitcheck.job.opening import OpenJob
from fitcheck.readings.points import Points
from fitcheck.report.readings_document import readings_document
from fitcheck.report.readings_text import readings_text

SCHEMA = 1
WIDTH = 110


def readings_chapter(opened: OpenJob, points: Points) -> dict[str, Any]:
    """Whose job, and its readings."""
    head = opened.job.job
    job = {"name": head.name, "file": opened.file, "digest": opened.digest}
    return {
        "schema": SCHEMA,
        "job": job | ({"date": head.date} if head.date is not None else {}),
        "readings": readings_document(points),
    }


def readings_chapter_text(opened: OpenJob, points: Points, width: int = WIDTH) -> str:
    """The same for people."""
    about = f"Job {opened.digest[:12]}, {opened.job.job.date or 'no date in job'}."
    return readings_text(opened.job, points, about, width)
