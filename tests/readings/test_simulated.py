"""A small sample of the campaign on simulated cars; the whole: python -m tests.campaigns readings."""

from tests.campaigns.readings import blunders, coverage, false_alarms


def test_one_blunder_in_each_of_thirty_cars() -> None:
    """Theory finds them nearly all; no more than a few may be missed beyond it."""
    counts, theory = blunders(30, 0)
    assert 0.8 < theory <= 1.0
    assert counts["found"] / 30 >= theory - 0.1
    assert counts["an honest reading left out"] <= 3


def test_honest_cars_are_let_alone() -> None:
    """30 readings with 12 to spare: about 1 car in 60 by theory; 3 in 60 has a chance under 2 %."""
    assert false_alarms(60, 1) <= 3


def test_stated_spreads_hold() -> None:
    """100 cars at 95 %: fewer than 89 has a chance under 1 in 200, 9 with less room one of 1 in 1,000."""
    counts = coverage(100, 2, own=False)
    assert counts["held"] >= 89
    assert counts["less room"] < 9
