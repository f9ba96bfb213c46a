"""The search over clock and place, from the job file to what is said: one call for the command."""

import json
from dataclasses import dataclass
from pathlib import Path

from fitcheck.confidence.clocking import find
from fitcheck.errors import KeyFault
from fitcheck.job.opening import open_job
from fitcheck.report.clocking_document import clocking_document
from fitcheck.report.clocking_text import clocking_text, exit_code


@dataclass(frozen=True)
class Said:
    """The text or JSON, the picture where one was asked for, and the exit code."""

    text: str
    picture: bytes
    exit_code: int


def clocking_said(path: Path, as_json: bool = False, drawing: Path | None = None) -> Said:
    """The search of the job at `path`; raises JobError, GeometryError, and DrawingError for `drawing`'s ending."""
    opened = open_job(path)
    try:
        chapter = find(opened.job, opened.folder)
    except KeyFault as error:
        raise opened.fault(error) from None
    picture = b""
    if drawing is not None:
        from fitcheck.report.clocking_picture import clocking_picture
        from fitcheck.report.side_view import kind_of

        picture = clocking_picture(opened, chapter, kind_of(drawing.name))
    if as_json:
        document = json.dumps(clocking_document(opened, chapter), indent=2, allow_nan=False) + "\n"
        return Said(document, picture, exit_code(chapter))
    return Said(clocking_text(opened, chapter), picture, exit_code(chapter))
