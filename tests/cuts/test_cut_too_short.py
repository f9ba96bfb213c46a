"""Cuts that went wrong, and trial fits that stop on nothing: each expectation worked by hand. mm.

The saloon's input face is at 430.2125 from the hub seat, its bore 30 deep: a shaft bottoms at 460.2125. Wanted are 2 to
4 left and 25 to 28 in, so a finished shaft is 456.2125 to 458.2125 long; planned are 18 in = 457.2.
"""

import pytest

from fitcheck.cuts.limits import LimitResult, NotKnown
from fitcheck.cuts.trial import Tried
from fitcheck.errors import JobError
from tests.cuts.cut_jobs import limit_of, piece_of, planned, saloon_cuts, setting, value_of, with_done

BOTTOMS_AT_MM = 430.2125 + 30
MAY_MOVE = {"toward_wheel": "5 mm", "toward_rack": "5 mm"}


@pytest.mark.parametrize("first_mm", [100, 440, 456])
def test_a_first_cut_that_is_already_too_short_is_outside(first_mm: float) -> None:
    tables = setting("unit_may_move", MAY_MOVE, saloon_cuts())
    plan = planned(with_done(tables, upper_shaft={"first_cut": f"{first_mm} mm"}))
    assert plan.result is LimitResult.OUTSIDE
    assert value_of(plan, "upper shaft: left before") == pytest.approx(BOTTOMS_AT_MM - first_mm, abs=1e-9)
    (short,) = plan.shorts
    assert short.short_mm == pytest.approx(457.2 - first_mm, abs=1e-9)
    assert short.ways[-1].kind == ("new piece" if first_mm == 456 else "none")
    assert any("upper shaft is cut" in why for why in plan.holds)


def test_a_first_cut_shorter_than_planned_but_in_its_band_takes_nothing_more_off() -> None:
    """457 mm: 0.2 less than planned, 3.2 before the bottom."""
    plan = planned(with_done(saloon_cuts(), upper_shaft={"first_cut": "457 mm"}))
    state = piece_of(plan, "upper shaft").state
    assert state.length_mm == 457.0
    assert state.to_take_off_mm == 0
    assert value_of(plan, "upper shaft: left before") == pytest.approx(BOTTOMS_AT_MM - 457, abs=1e-9)


def test_a_jacket_s_first_cut_3_mm_short_of_the_last_is_not_kept_in_silence() -> None:
    """391.5 where 394.5 is planned: 21.6 in, 1.6 above the band, by a place good to 2 mm."""
    plan = planned(with_done(saloon_cuts(), upper_jacket={"first_cut": "391.5 mm"}))
    assert plan.result is LimitResult.TOO_CLOSE
    assert value_of(plan, "upper jacket: engagement") == pytest.approx(391.5 + 60.325 - 430.2125, abs=1e-9)


@pytest.mark.parametrize(
    ("done", "said"),
    [
        ({"first_cut": "460 mm", "cut": "470 mm"}, "nothing grows"),
        ({"cut": "900 mm"}, "but the shaft was only 780.3 mm"),
        ({"first_cut": "900 mm"}, "but the shaft was only 780.3 mm"),
    ],
)
def test_lengths_that_contradict_what_was_there_are_not_known(done: dict[str, str], said: str) -> None:
    """The shaft is 32 3/16 in less 1 15/32 in = 780.26 from the hub seat."""
    plan = planned(with_done(saloon_cuts(), upper_shaft=done))
    assert said in piece_of(plan, "upper shaft").doubt
    assert limit_of(plan, "upper shaft: engagement").result is LimitResult.NOT_KNOWN
    assert plan.result is LimitResult.NOT_KNOWN


def test_a_shaft_that_stops_on_nothing_is_trimmed_by_clay() -> None:
    """458.5 long, 1.7 left by clay: 3 wanted, so 1.3 comes off, to the step: 457.2, and 1.7 + 1.3 = 3 is left."""
    done = {"first_cut": "458.5 mm ± 0.3 mm", "mating_gap": "0 mm", "end_gap": "1.7 mm"}
    plan = planned(with_done(saloon_cuts(), upper_shaft=done))
    state = piece_of(plan, "upper shaft").state
    assert isinstance(state, Tried)
    assert state.by_clay
    assert state.length_mm == pytest.approx(457.2, abs=1e-9)
    assert state.trim.mm == pytest.approx(1.3, abs=1e-9)
    assert piece_of(plan, "upper shaft").left.mm == pytest.approx(3.0, abs=1e-9)
    assert plan.result is LimitResult.KEEPS


def test_clay_alone_is_not_dropped() -> None:
    """458 with 1 mm left: the reading counts, whether or not a mating gap of 0 stands beside it."""
    both = [
        planned(with_done(saloon_cuts(), upper_shaft={"first_cut": "458 mm", "end_gap": "1 mm", **more}))
        for more in ({}, {"mating_gap": "0 mm"})
    ]
    left = [value_of(plan, "upper shaft: left before") for plan in both]
    assert left[0] == left[1] == pytest.approx(1 + 458 - piece_of(both[0], "upper shaft").state.length_mm, abs=1e-9)
    assert 2 <= left[0] <= 4


def test_more_left_by_clay_than_the_band_has_is_too_short() -> None:
    """456 with 4.9 left: nothing more may come off, and 4 is the most."""
    plan = planned(with_done(saloon_cuts(), upper_shaft={"first_cut": "456 mm", "end_gap": "4.9 mm"}))
    assert value_of(plan, "upper shaft: left before") == 4.9
    assert plan.result is LimitResult.OUTSIDE
    assert piece_of(plan, "upper shaft").state.to_take_off_mm == 0


def test_stopping_on_nothing_asks_for_clay_once() -> None:
    plan = planned(with_done(saloon_cuts(), upper_shaft={"first_cut": "458 mm", "mating_gap": "0 mm"}))
    missing = plan.planned[1]
    assert isinstance(missing, NotKnown)
    assert missing.keys == ("cuts.done.upper_shaft.end_gap",)


@pytest.mark.parametrize(
    ("done", "said"),
    [
        ({"first_cut": "465 mm", "mating_gap": "-3 mm"}, 'mating_gap is "0 mm"'),
        ({"first_cut": "465 mm", "mating_gap": "6 mm", "end_gap": "1 mm"}, "keep the one read before the last cut"),
        ({"first_cut": "0 mm"}, "more than 0"),
    ],
)
def test_fits_that_cannot_be_are_refused_with_what_to_write(done: dict[str, str], said: str) -> None:
    with pytest.raises(JobError) as caught:
        planned(with_done(saloon_cuts(), upper_shaft=done))
    (fault,) = caught.value.faults
    assert said in fault.message


def test_no_dimple_is_marked_past_the_end_of_the_bar() -> None:
    """437.2 long, its screw at 442.2: 5 mm past the end."""
    from fitcheck.report.cuts_text import cuts_text

    done = {"cut": "437.2 mm ± 0.3 mm", "end_gap": "23 mm"}
    text = " ".join(cuts_text(planned(with_done(saloon_cuts(), upper_shaft=done)), ["a car"], "in").split())
    assert "upper shaft, set screw: no mark before the piece is settled" in text
    assert "dimple on its flat" not in text
