"""The page of the examples, each made once for all tests that look at it."""

import tomllib
from functools import cache

from fitcheck.clearance.over_travel import Along, over_travel
from fitcheck.confidence.clocking import ToLookAt, to_look_at
from fitcheck.geometry.gap import GapEngine
from fitcheck.placement.scene import Part
from fitcheck.readings.settled import settle
from fitcheck.report.page.model import rows
from fitcheck.report.page.page import page
from fitcheck.verdict import Verdict
from tests import jobs
from tests.verdicts import judged_example


def floors_of(verdict: Verdict) -> dict[tuple[str, str], Along]:
    """Floors of every pair on the page."""
    engine = GapEngine()
    pairs = [(entry.pair.a, entry.pair.b) for entry in rows(verdict)]
    return {
        (a.name, b.name): over_travel(engine, verdict.scene, a, b)
        for a, b in pairs
        if isinstance(a, Part) and isinstance(b, Part)
    }


@cache
def floors(name: str) -> dict[tuple[str, str], Along]:
    return floors_of(judged_example(name))


@cache
def chart_of(name: str) -> ToLookAt:
    """The map of a quarter of the clock and 30 mm along, which says as much as the whole and is made in a third."""
    verdict = judged_example(name)
    tables = tomllib.loads((jobs.EXAMPLES / name / "job.toml").read_text(encoding="utf-8"))
    few = {"clocks": "9:00 to 12:00", "places": "415 mm to 445 mm"}
    job = settle(jobs.job(jobs.changed(tables, ("clocking",), few)))
    return to_look_at(GapEngine(), job, verdict.opened.folder, verdict.scene)


@cache
def page_of(name: str) -> str:
    return page(judged_example(name), floors(name), chart_of(name))


@cache
def page_without_map(name: str) -> str:
    return page(judged_example(name), floors(name))
