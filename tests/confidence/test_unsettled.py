"""No mark for the saw while anything keeps the job from fitting: metal is cut once."""

import pytest

from fitcheck.job.opening import OpenJob
from fitcheck.report.template.strip import strips
from fitcheck.report.text import cut_list_text
from fitcheck.verdict import Outcome, judge
from tests import jobs

GUESSED = {"places": "30 mm", "sizes": "6 mm", "angles": "5 deg"}
HELD = {
    "the shaft's limits": ("saloon-shaft", ("shaft", "lower", "down"), "-4 deg", "the intermediate shaft: outside"),
    "guesses": ("saloon-10-45", ("job", "guessed"), GUESSED, "some figures of the job are guesses"),
    "a pedal without its travel": ("saloon-9-00", ("pedals", 0, "travel"), None, "not known, missing pedals[1].travel"),
}
LEAN = ("job", "points", "pivot_shafts", "column", "unit", "pedals", "cuts", "shaft", "obstacles")


@pytest.mark.parametrize("why", HELD)
def test_no_mark_and_no_strip_while_the_job_does_not_fit(why: str) -> None:
    """The least of the example that can be judged; one line says why no piece has a mark."""
    name, path, value, said = HELD[why]
    lean = {key: table for key, table in jobs.example(name).items() if key in LEAN}
    lean["pedals"] = [{**lean["pedals"][0], "joined": []}] if path[0] == "pedals" else []
    lean["obstacles"] = [{**obstacle, "joined": []} for obstacle in lean["obstacles"]] if path[0] == "shaft" else []
    tables = jobs.changed(lean, path, value)
    verdict = judge(OpenJob(jobs.job(tables), jobs.text(tables), "job.toml", jobs.EXAMPLES, "0" * 64), draws=0)
    plan = verdict.cuts
    assert plan is not None and verdict.outcome is not Outcome.FITS
    assert sum(said in reason for reason in plan.holds) == 1
    assert all(plan.stop(piece) for piece in plan.planned)
    told = cut_list_text(verdict)
    assert "NO CUT YET" in told and "saw beyond the mark" not in told and "saw short of the mark" not in told
    papers = strips(verdict.opened.job, plan, verdict.scene.setting, 0.1)[:2]
    assert all("DO NOT CUT" in str(strip.items[0]) for strip in papers)
