"""The job sheet as one PDF: the page for under the car, then the desk's. Same job, same bytes."""

from functools import partial

from fitcheck.report.jobsheet.desk import desk_pages
from fitcheck.report.jobsheet.first_page import under_the_car
from fitcheck.report.paper.sheets import Draw, Size, Stamp, document
from fitcheck.verdict import Verdict


def job_sheet(verdict: Verdict, size: Size) -> bytes:
    """The whole sheet."""
    first: Draw = partial(under_the_car, verdict=verdict, size=size)
    return document(size, Stamp.of(verdict, "Job sheet"), [first, *desk_pages(verdict, size)])
