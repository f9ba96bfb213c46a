"""The examples judged, each once for all tests that look at them."""

from functools import cache

from fitcheck.confidence.plan import Plan, plan
from fitcheck.job.opening import open_job
from fitcheck.verdict import Verdict, judge
from tests.jobs import EXAMPLES

NAMES = sorted(path.parent.name for path in EXAMPLES.glob("*/job.toml"))


@cache
def judged_example(name: str) -> Verdict:
    """The verdict on the example of that name."""
    return judge(open_job(EXAMPLES / name / "job.toml"))


@cache
def planned_example() -> Plan:
    """The plan of the example that is only guessed."""
    opened = open_job(EXAMPLES / "dozen-plan" / "job.toml")
    return plan(opened.job, opened.folder)
