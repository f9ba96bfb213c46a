"""What to do now: what is wrong before what is missing, what is missing before the saw, and never more than two."""

from dataclasses import replace

import pytest

from fitcheck.job.opening import OpenJob
from fitcheck.report.next_steps import next_steps
from fitcheck.report.text import check_text
from fitcheck.verdict import Verdict, judge
from tests import jobs
from tests.cuts.cut_jobs import planned, saloon_cuts, with_done
from tests.verdicts import judged_example as judged

MOCK_UP = "mock it up and find what fitcheck mock-up asks for, before any cut"
ROOM = "make room between unit and clutch; move the unit: fitcheck clocking looks for a clock and place that clear"


@pytest.mark.parametrize(
    ("name", "first"),
    [
        ("dozen-go", "brake pedal: measure the brake pedal's pivot, arm, pad and travel (key: pedals)"),
        (
            "dozen-library",
            "take pedals[1].arm[1].at.left (clutch: arm 1, left) again: unit - clutch is too close to call",
        ),
        ("dozen-no-go", ROOM),
        ("saloon-9-00", ROOM),
        ("saloon-10-45", MOCK_UP),
        (
            "dozen-mock-up-off",
            "find the reading that is wrong, for the car is right; what disagrees stands under As built",
        ),
        ("saloon-readings", "measure points.hub_seat.back again, which looks odd"),
        ("saloon-exhaust-later", "make room between intermediate shaft and exhaust primary: fitcheck shaft says where"),
    ],
)
def test_the_first_thing_to_do_stands_under_the_result(name: str, first: str) -> None:
    verdict = judged(name)
    assert next_steps(verdict)[0] == first
    assert len(next_steps(verdict)) <= 2
    said = " ".join(check_text(verdict).split())
    assert said.index(f"Next: {first}") < said.index("Motor to ") < said.index("Gaps through the whole")


def test_a_reading_is_asked_for_by_what_most_pairs_wait_for() -> None:
    tables = jobs.changed(jobs.saloon(), ("pedals", 0, "travel"), None)
    verdict = judge(OpenJob(jobs.job(tables), jobs.text(tables), "job.toml", jobs.EXAMPLES, "0" * 64), draws=0)
    assert next_steps(verdict)[0] == (
        "measure the clutch pad's centre from rest to full travel, in a straight line (on its stop or on the floor) "
        "(key: pedals[1].travel), for which 6 pairs wait"
    )


def begun(**done: dict[str, str]) -> Verdict:
    """Everything looked at, and the column as far cut as `done` says."""
    return replace(judged("saloon-10-45"), not_yet=(), cuts=planned(with_done(saloon_cuts(), **done)))


def test_once_all_keeps_it_goes_from_the_mock_up_to_the_last_cut() -> None:
    long, tried = {"first_cut": "465.9 mm"}, {"first_cut": "465.9 mm", "mating_gap": "5.7 mm"}
    saw = "mark and cut the upper jacket long: fitcheck cuts says where the saw goes"
    assert next_steps(begun()) == (MOCK_UP, saw)
    assert next_steps(begun(upper_shaft=long)) == (
        "try the upper shaft in the unit by hand and enter the gap you read: fitcheck cuts says which to expect",
    )
    assert next_steps(begun(upper_shaft=tried)) == (
        "take the last cut of the upper shaft: fitcheck cuts says how much",
    )
    assert next_steps(begun(upper_shaft={**tried, "cut": "457.2 mm", "end_gap": "3 mm"})) == (saw,)


def test_nobody_is_sent_to_the_saw_while_a_cut_does_not_keep() -> None:
    """A first cut 2 1/2 in too long, and one too short."""
    for cut, said in (("529.4 mm", "the cuts, which say not known"), ("402.4 mm", "what stands under NO CUT YET")):
        assert next_steps(begun(upper_shaft={"first_cut": cut})) == (f"settle {said}: fitcheck cuts",)
