"""Results at their edges. The chance of being under is the normal tail; reference: scipy.stats.norm."""

from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest
from scipy.stats import norm

from fitcheck.clearance.gaps import Found
from fitcheck.clearance.pairs import Need, Pair, Treatment
from fitcheck.clearance.travel import Closest
from fitcheck.confidence.first_order import Share, chance_under, total
from fitcheck.confidence.results import CONTRADICTION, Judged, Result, judged, worst_first
from fitcheck.geometry.cover import LeastGap
from fitcheck.placement.oddities import Odd
from fitcheck.placement.scene import Kind, Part, Phase, Unplaced
from fitcheck.verdict import Outcome, outcome
from tests.geometry.shapes import box

SIGMAS = float(norm.ppf(0.975))  # a spread is this many standard deviations
REQUIRED = 16.0


def part(name: str, kind: Kind = Kind.OBSTACLE) -> Part:
    return Part(name, kind, (Phase((box([0, 0, 0], [1, 1, 1]),)),), new=True)


def gap(bound_mm: float, gap_mm: float | None = None, depth_mm: float = 0.0) -> LeastGap:
    zero = np.zeros(3)
    told = bound_mm if gap_mm is None else gap_mm
    return LeastGap(bound_mm, 0, 0, (), (), np.array([1.0, 0, 0]), zero, zero, told, depth_mm, ())


def entry(
    least: LeastGap | None, spread_mm: float = 0.0, treatment: Treatment = Treatment.JUDGED, name: str = "duct"
) -> Judged:
    pair = Pair(part("unit", Kind.UNIT), part(name), Need(treatment, "a reason", REQUIRED, "common practice"))
    closest = None if least is None else Closest(0, 0, least, "can", "duct", {})
    return judged(Found(pair, closest, None), (Share("column.low.left", spread_mm),) if spread_mm else ())


def spread_for(chance: float, margin_mm: float) -> float:
    """The spread at which a margin has just this chance of being less than nothing."""
    return SIGMAS * margin_mm / float(norm.isf(chance))


def test_exactly_the_required_gap_known_exactly_is_clear() -> None:
    assert entry(gap(REQUIRED)).result is Result.CLEAR


def test_bound_just_under_is_under_even_where_the_witness_is_not() -> None:
    assert entry(gap(np.nextafter(REQUIRED, 0), gap_mm=REQUIRED + 0.04)).result is Result.UNDER
    assert entry(gap(REQUIRED - 1e-9)).chance_under == 1.0


def test_exactly_the_required_gap_with_any_spread_is_too_close_to_call() -> None:
    close = entry(gap(REQUIRED), spread_mm=1e-3)
    assert close.result is Result.TOO_CLOSE
    assert close.chance_under == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("chance", "result"),
    [(0.024, Result.CLEAR), (0.0249, Result.CLEAR), (0.0251, Result.TOO_CLOSE), (0.026, Result.TOO_CLOSE)],
)
def test_chance_of_two_and_a_half_per_cent_divides_clear_from_too_close(chance: float, result: Result) -> None:
    found = entry(gap(REQUIRED + 4.0), spread_for(chance, 4.0))
    assert found.chance_under == pytest.approx(chance, abs=1e-12)
    assert found.result is result


@pytest.mark.parametrize("bound", [-30.0, 0.0, 10.0, 15.9, 16.0, 16.1, 20.0, 40.0])
@pytest.mark.parametrize("spread", [1e-6, 0.5, 3.0, 40.0])
def test_chance_is_the_normal_tail(bound: float, spread: float) -> None:
    expected = float(norm.cdf(REQUIRED, loc=bound, scale=spread / SIGMAS))
    assert chance_under(bound, REQUIRED, spread) == pytest.approx(expected, abs=1e-12)


def test_without_spread_the_chance_is_none_or_all() -> None:
    assert [chance_under(bound, REQUIRED, 0.0) for bound in (15.999, 16.0, 16.001)] == [1.0, 0.0, 0.0]


def test_meeting_is_a_hit_whatever_is_required() -> None:
    found = entry(gap(-3.0, gap_mm=0.0, depth_mm=3.0), spread_mm=50.0)
    assert found.result is Result.HITS
    kissing = entry(gap(-1e-9, gap_mm=0.0))
    assert kissing.result is Result.HITS
    nothing_required = replace(kissing.pair, need=Need(Treatment.JUDGED, "", 0.0, "job"))
    assert judged(replace(kissing.found, pair=nothing_required), ()).result is Result.HITS


def test_missing_readings_make_a_pair_not_known_and_are_named() -> None:
    unplaced = Unplaced("clutch", Kind.PEDAL, False, ("pedals[1].travel",), "the pad's travel")
    pair = Pair(part("unit"), unplaced, Need(Treatment.JUDGED, "", REQUIRED, "common practice"))
    found = judged(Found(pair, None, None), ())
    assert found.result is Result.NOT_KNOWN
    assert found.missing == ("pedals[1].travel",)
    assert (found.reason, found.measure) == ("missing pedals[1].travel", "the pad's travel")


def test_what_two_parts_wait_for_together_is_named_once() -> None:
    clutch = Unplaced("clutch", Kind.PEDAL, False, ("pedals[1].travel",), "the pad's travel")
    boot = Unplaced("boot", Kind.BOOT, True, ("pedals[1].travel", "driver.boots[1].heel"), "the pad's travel")
    found = judged(Found(Pair(boot, clutch, Need(Treatment.JUDGED, "", REQUIRED, "common practice")), None, None), ())
    assert found.missing == ("pedals[1].travel", "driver.boots[1].heel")
    assert found.reason == "missing pedals[1].travel, driver.boots[1].heel"
    assert found.measure == "the pad's travel"


def test_old_pair_that_is_not_measured_yet_stays_as_before_and_says_what_it_waits_for() -> None:
    unplaced = Unplaced("clutch", Kind.PEDAL, False, ("pedals[1].travel",), "the pad's travel")
    pair = Pair(part("column"), unplaced, Need(Treatment.AS_BEFORE, "both were there before"))
    found = judged(Found(pair, None, None), ())
    assert found.result is Result.AS_BEFORE
    assert (found.reason, found.measure) == ("both were there before; missing pedals[1].travel", "the pad's travel")
    assert worst_first(found) > worst_first(entry(gap(500.0), treatment=Treatment.AS_BEFORE))


def test_as_before_and_joined_are_never_judged() -> None:
    assert entry(gap(0.1), treatment=Treatment.AS_BEFORE).result is Result.AS_BEFORE
    assert entry(None, treatment=Treatment.JOINED).result is Result.JOINED


def test_old_parts_that_meet_contradict_one_another_and_are_not_known() -> None:
    """They stood in the car together: at least one was measured wrong. A boot gives way, and is minded by its foot."""
    before = Need(Treatment.AS_BEFORE, "both were there before")
    meeting = Closest(0, 0, gap(-3.0, gap_mm=0.0, depth_mm=3.0), "pad", "duct", {})
    for kind, result in ((Kind.PEDAL, Result.NOT_KNOWN), (Kind.BOOT, Result.AS_BEFORE)):
        found = judged(Found(Pair(part("clutch", kind), part("duct"), before), meeting, None), ())
        assert found.result is result
        assert (found.reason == CONTRADICTION) == (result is Result.NOT_KNOWN)
        assert outcome((CLEAR, found)) is (Outcome.FITS if kind is Kind.BOOT else Outcome.CANNOT_DECIDE)


def test_worst_first_by_result_then_margin_then_names() -> None:
    in_order = [
        entry(gap(-9.0, gap_mm=0.0, depth_mm=9.0)),
        entry(gap(-3.0, gap_mm=0.0, depth_mm=3.0)),
        entry(gap(2.0)),
        entry(gap(15.0)),
        entry(gap(17.0), spread_mm=9.0),
        entry(gap(16.0), name="a"),
        entry(gap(16.0), name="b"),
        entry(gap(90.0)),
        entry(gap(1.0), treatment=Treatment.AS_BEFORE),
        entry(None, treatment=Treatment.JOINED),
    ]
    for order in list(permutations(in_order[:6]))[::97]:
        assert sorted([*order, *reversed(in_order[6:])], key=worst_first) == in_order


CLEAR, HITS, UNDER = entry(gap(40.0)), entry(gap(-1.0, gap_mm=0.0, depth_mm=1.0)), entry(gap(3.0))
TOO_CLOSE = entry(gap(17.0), spread_mm=9.0)
BEFORE = entry(gap(1.0), treatment=Treatment.AS_BEFORE)
UNKNOWN = replace(CLEAR, result=Result.NOT_KNOWN)


@pytest.mark.parametrize(
    ("found", "expected", "code"),
    [
        ([CLEAR], Outcome.FITS, 0),
        ([CLEAR, BEFORE], Outcome.FITS, 0),
        ([CLEAR, HITS], Outcome.DOES_NOT_FIT, 1),
        ([CLEAR, UNDER], Outcome.DOES_NOT_FIT, 1),
        ([CLEAR, TOO_CLOSE], Outcome.CANNOT_DECIDE, 3),
        ([CLEAR, UNKNOWN], Outcome.CANNOT_DECIDE, 3),
        ([TOO_CLOSE, UNKNOWN, HITS, CLEAR], Outcome.DOES_NOT_FIT, 1),
        ([UNKNOWN, UNDER], Outcome.DOES_NOT_FIT, 1),
        ([], Outcome.CANNOT_DECIDE, 3),
        ([BEFORE, entry(None, treatment=Treatment.JOINED)], Outcome.CANNOT_DECIDE, 3),
    ],
)
def test_outcome_of_the_job_one_before_three_before_nought(found: list[Judged], expected: Outcome, code: int) -> None:
    assert outcome(tuple(found)) is expected
    assert outcome(tuple(reversed(found))) is expected
    assert expected.exit_code == code


def test_a_reading_that_looks_odd_keeps_the_job_from_fitting_and_hides_no_hit() -> None:
    odd = (Odd("column", "left for right?"),)
    assert outcome((CLEAR,), odd=odd) is Outcome.CANNOT_DECIDE
    assert outcome((CLEAR, HITS), odd=odd) is Outcome.DOES_NOT_FIT


def test_spreads_add_as_squares() -> None:
    """JCGM 100:2008, 5.1.2: variances of independent inputs add, each weighted by its sensitivity squared."""
    assert total([]) == 0.0
    assert total([Share("a", 3.0), Share("b", -4.0), Share("c", 12.0)]) == pytest.approx(13.0)
