"""The cut list in words: what a person takes to the saw, in both units, and what it says when something is wrong."""

import re
from collections.abc import Callable

import pytest

from fitcheck.cuts.plan import CutPlan
from fitcheck.report.cuts_text import cuts_rows, cuts_text, summary
from fitcheck.report.cuts_words import as_read, both
from tests.cuts.cut_jobs import planned, saloon_cuts, setting, van_cuts, with_done
from tests.jobs import Tables

WIDTH = 110


def said(plan: CutPlan, show: str = "in") -> str:
    """The whole text with its line breaks taken out."""
    whole = cuts_text(plan, ["a car"], "in" if show == "in" else "mm", WIDTH)
    return " ".join(whole.split())


@pytest.mark.parametrize("car", [saloon_cuts, van_cuts])
def test_every_line_fits_and_every_piece_is_there(car: Callable[[], Tables]) -> None:
    plan = planned(car())
    text = cuts_text(plan, ["a car"], "in", WIDTH)
    assert max(map(len, text.splitlines())) <= WIDTH
    assert [name for name in ("UPPER JACKET", "UPPER SHAFT", "LOWER JACKET", "LOWER SHAFT") if name not in text] == []
    assert "None" not in text
    assert "nan" not in text


def test_a_cut_says_mark_end_waste_side_kerf_and_both_lengths() -> None:
    """Upper shaft of the saloon: first cut 18 11/32 in = 465.93 mm, so 466, cut long; finished 18 in = 457.2 mm."""
    text = said(planned(saloon_cuts()))
    assert (
        "mark 18 11/32 in (466 mm) from the hub seat, saw beyond the mark (kerf 1.1 mm, all in the waste); keep the "
        "side toward the hub seat. It leaves 18 11/32 in (466 mm) from the hub seat"
    ) in text
    assert (
        "to 18 in (457 mm) from the hub seat, square to 0.5 mm; by the readings 456.2 to 458.2 mm, this is at "
        "their middle"
    ) in text
    assert "length by readings alone give or take 2.1 mm, worst case 2.2 mm: unit.input_face 99%" in text
    assert "do not cut it straight to length, without the trial fit: too close to call" in text


def test_the_lower_pieces_keep_the_other_side_of_the_mark() -> None:
    text = said(planned(saloon_cuts()))
    assert "mark 23 23/32 in (602 mm) from the hub seat, saw short of the mark" in text
    assert "keep the side toward the shaft's lower end" in text


@pytest.mark.parametrize(("mm", "inches"), [(393.7, "15 1/2 in"), (31.75, "1 1/4 in")])
def test_both_units_stand_beside_each_other(mm: float, inches: str) -> None:
    """15 1/2 in = 393.7 mm and 1 1/4 in = 31.75 mm (common practice, no source)."""
    assert both(mm, "in") == f"{inches} ({mm:.1f} mm)"
    assert both(mm, "mm") == f"{mm:.1f} mm ({inches})"


def test_the_result_is_said_first_and_counted() -> None:
    plan = planned(saloon_cuts())
    assert summary(plan) == f"{len(plan.limits)} keeps"
    assert cuts_text(plan, ["a car"], "in").splitlines()[2] == f"CUTS: keeps. {len(plan.limits)} keeps."


def test_the_trim_stands_beside_its_prediction() -> None:
    done = {"first_cut": "465.9 mm ± 0.5 mm", "mating_gap": "6.4 mm"}
    text = said(planned(with_done(saloon_cuts(), upper_shaft=done)))
    assert (
        "gap read 6.4 mm give or take 0.5 mm, predicted 7/32 in (5.7 mm) give or take 2.1 mm: trim 3/8 in "
        "(9.5 mm) give or take 0.8 mm. The two agree"
    ) in text


def test_a_piece_cut_too_short_says_what_can_be_done_or_that_nothing_can() -> None:
    tables = setting("unit_may_move", {"toward_wheel": "5 mm", "toward_rack": "5 mm"}, saloon_cuts())
    far = said(planned(with_done(tables, upper_shaft={"cut": "437.2 mm ± 0.3 mm"})))
    assert "[X] outside UPPER SHAFT" in far
    assert (
        "upper shaft, 25/32 in (20.0 mm) short of the plan: none: make a new one, finished to 457.2 mm (18 in) from "
        "the hub seat. Never a spacer, a stretch or a weld on a steering shaft"
    ) in far
    near = said(planned(with_done(tables, upper_shaft={"cut": "455.2 mm ± 0.3 mm"})))
    assert "upper shaft, 3/32 in (2.0 mm) short of the plan: the unit 2.4 mm (3/32 in) toward the wheel" in near
    assert "Judge the gaps again at that place" in near


def test_no_mark_is_shown_for_a_cut_in_a_zone_or_in_doubt() -> None:
    zone = {"name": "rubber joint", "measured_from": "hub seat", "starts": "560 mm", "ends": "640 mm"}
    zoned = planned(setting("zones", [zone], setting("column_kind", "plain", saloon_cuts())))
    text = said(zoned)
    assert (
        "[X] outside lower jacket: DO NOT CUT: rubber joint - lower jacket held in the unit: in 'rubber joint'" in text
    )
    assert "21 3/32 in" not in text
    assert "18 11/32 in" not in text
    assert "[?] not known upper shaft: DO NOT CUT yet: see NO CUT YET above" in text
    assert "nearest place that keeps every zone" in text
    doubtful = {"first_cut": "465.9 mm ± 0.5 mm", "mating_gap": "12 mm"}
    text = said(planned(with_done(saloon_cuts(), upper_shaft=doubtful)))
    assert "[?] not known upper shaft: DO NOT CUT: the fit says 12.0 mm (15/32 in)" in text
    assert "18 11/32 in" not in text


def test_a_missing_reading_is_asked_for_by_key() -> None:
    text = said(planned(setting("unit.input_depth", None, saloon_cuts())))
    assert "upper shaft: missing cuts.unit.input_depth: measure from the unit's input face to the bottom" in text
    assert "NO CUT YET" in text


def test_an_opening_is_rounded_up_in_both_units() -> None:
    """The saloon's minor axis is 50.8 + 2 x 4 = 58.8 mm: 2 10/32 in is 58.74, so 2 11/32, and 59 mm."""
    text = said(planned(saloon_cuts()))
    assert "by 2 11/32 in (59 mm), drawn out to" in text
    assert "4 mm all round, square to the column" in text


def test_the_short_form_holds_a_line_a_piece_and_what_does_not_keep() -> None:
    rows = " ".join(cuts_rows(planned(van_cuts()), "mm"))
    assert len(re.findall(r"\[\+\] keeps", rows)) == 4
    bad = " ".join(cuts_rows(planned(with_done(van_cuts(), upper_shaft={"cut": "335 mm"})), "mm"))
    assert "upper shaft: engagement" in bad


def test_the_cautions_go_with_the_cut_list() -> None:
    text = said(planned(van_cuts()))
    assert "Measure again before cutting, with a second pair of eyes. Metal is cut once." in text
    assert "This is a geometric aid, not an approval." in text


def test_a_screw_that_may_not_be_says_why_and_no_number() -> None:
    text = said(planned(setting("bar", {"kind": "round"}, saloon_cuts())))
    assert (
        "upper shaft: set screw on a plain round bar: a plain round bar is not held by a screw's friction: a "
        "cross-bolt through it"
    ) in text
    assert "upper shaft, set screw: no mark before the piece is settled" in text


def test_bands_read_in_the_job_s_own_unit() -> None:
    """25 and 28 mm are 31.5 and 35.3 steps of 1/32 in: shown are the steps inside, 32 and 35."""
    tables = with_done(saloon_cuts(), upper_shaft={"cut": "455.2 mm"})
    assert "to be 1 in to 1 3/32 in (25.0 to 28.0 mm)" in said(planned(tables))
    assert "to be 25.0 to 28.0 mm (1 in to 1 3/32 in)" in said(planned(tables), "mm")


def test_what_keeps_is_folded_into_a_few_lines() -> None:
    rows = cuts_text(planned(saloon_cuts()), ["a car"], "in", WIDTH).splitlines()
    limits = rows[rows.index("Limits, worst first") :]
    assert limits.index("") < 8
    assert "mesh section 4" in " ".join(limits)


def test_a_trial_fit_says_between_what_and_in_which_order() -> None:
    """Input face at 16 15/16 in from the hub seat; the output face is 780.26 - 640.21 = 140.04 from the lower end."""
    text = said(planned(saloon_cuts()))
    assert "scribe one round it, 16 15/16 in (430 mm) from the hub seat: there the unit's input face belongs" in text
    assert "5 1/2 in (140 mm) from the shaft's lower end: there the unit's output face belongs" in text
    assert "Try it first, with the jacket out of the way" in text
    assert "Try it after the shaft, with the shaft out" in text
    first = said(planned(with_done(saloon_cuts(), upper_shaft={"first_cut": "465.9 mm ± 0.5 mm"})))
    assert "Read from the line to the unit's input face; expect 7/32 in (5.7 mm) give or take 2.1 mm" in first
    assert "first cut made: 465.9 mm from the hub seat, as read" in first


def test_a_length_that_was_read_is_told_as_it_was_typed() -> None:
    """404.5 mm lies between 15 29/32 and 15 15/16 in: a mark says the one, a rounding the other, so neither is said."""
    assert [as_read(mm, "in") for mm in (404.5, 468.0, 15.9375 * 25.4)] == ["404.5 mm", "468 mm", "15 15/16 in"]
    assert as_read(18.5 * 25.4, "in") == "18 1/2 in (469.9 mm)", "even in both"
    assert as_read(18.4 * 25.4, "mm") == "467.4 mm (18 13/32 in)", "even in neither"
