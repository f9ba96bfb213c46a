"""Guesses never make a job fit: none is better than a tape or wider than sense, and what they decide stays open."""

from typing import Any

import pytest

from fitcheck.errors import JobError
from fitcheck.job.opening import OpenJob
from fitcheck.placement.oddities import oddities
from fitcheck.readings.guesses import guesses
from fitcheck.report.text import check_text
from fitcheck.verdict import Outcome, Verdict, judge
from tests import jobs


def tables(places: str, **changes: Any) -> jobs.Tables:
    guessed = {"places": places, "sizes": "1 mm", "angles": "0.1 deg"}
    return {**jobs.changed(jobs.example("dozen-plan"), ("job", "guessed"), guessed), **changes}


def judged(of: jobs.Tables) -> Verdict:
    return judge(OpenJob(jobs.job(of), jobs.text(of), "job.toml", jobs.EXAMPLES, "0" * 64), draws=0)


def test_a_guess_is_never_better_than_the_tape_that_would_replace_it() -> None:
    """A footwell tape is good to 3 mm, a tape in the open to 1 mm (common practice, no source)."""
    spreads = {reading.key: spread for reading, spread in guesses(jobs.job(tables("1 mm")))}
    assert (spreads["column.hub_seat.back"], spreads["pedals[1].arm_wide"]) == (3.0, 1.0)


def test_what_is_clear_by_guesses_alone_fits_nothing() -> None:
    verdict = judged(tables("1 mm"))
    assert [entry.result.value for entry in verdict.gaps if entry.shares] == ["clear"]
    assert verdict.outcome is Outcome.CANNOT_DECIDE
    told = " ".join(check_text(verdict).split())
    assert "CANNOT DECIDE: 1 clear, but by guesses" in told
    assert "measure what fitcheck readings JOB --plan lists" in told


def test_a_part_far_off_has_the_spread_of_wide_guesses_too() -> None:
    """A box 250 mm from the unit: its own place alone is guessed to 100 mm."""
    box = {"corner": jobs.at(250, 500, 200), "opposite": jobs.at(450, 800, 400)}
    verdict = judged(tables("100 mm", obstacles=[{"name": "box", "shape": box}]))
    (entry,) = [each for each in verdict.gaps if {each.pair.a.name, each.pair.b.name} == {"unit", "box"}]
    assert entry.margin_mm > 200 and entry.spread_mm > 100
    assert verdict.outcome is Outcome.CANNOT_DECIDE


@pytest.mark.parametrize(
    ("key", "value", "most"),
    [("places", "300 mm", "100 mm"), ("sizes", "51 mm", "50 mm"), ("angles", "31 deg", "30 deg")],
)
def test_a_guess_too_wide_to_say_anything_is_refused(key: str, value: str, most: str) -> None:
    with pytest.raises(JobError, match=f"guessed.{key}: a guess that may be off by more than {most} says nothing"):
        jobs.job(jobs.changed(tables("30 mm"), ("job", "guessed", key), value))


def test_a_reading_that_is_no_guess_looks_odd_as_ever() -> None:
    loose = jobs.changed(tables("30 mm"), ("unit", "input_face"), "430 mm ± 25 mm")
    job, scene = jobs.job(loose), jobs.scene(loose)
    paths = frozenset(reading.path for reading, _ in guesses(job))
    assert [odd.key for odd in oddities(job, scene, paths)] == ["unit.input_face"]
