"""First cuts and finished lengths: bands kept, kerfs in the waste, nothing lost, what moving the unit changes. mm."""

from collections.abc import Callable
from math import hypot, isclose

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck.cuts.limits import Band, LimitResult, NotKnown
from fitcheck.cuts.marks import rounded_into
from fitcheck.cuts.pieces import Refused
from fitcheck.cuts.plan import cut_plan
from fitcheck.cuts.stocks import Account
from fitcheck.job.lengths import inches_text
from fitcheck.readings.survey import shifted
from tests.cuts.cut_jobs import (
    both_cars,
    cut_job,
    not_kept,
    piece_of,
    planned,
    saloon_cuts,
    setting,
    value_of,
    van_cuts,
)
from tests.jobs import Tables

CARS = [pytest.param(saloon_cuts, id="saloon"), pytest.param(van_cuts, id="van")]
STEP_MM = 25.4 / 32
ROUNDING_MM = 1e-6
Car = Callable[[], Tables]

# Worked by hand from the bench readings of the saloon: unit at 16 15/16 in = 430.2125, jacket top at 2 3/8 in = 60.325,
# jacket 25 25/32 in = 654.84375, shaft 32 3/16 in = 817.5625 with 1 15/32 in = 37.30625 of it above the hub seat.
SALOON_MIDDLES = {
    "upper jacket": 430.2125 + 25 - 60.325,
    "upper shaft": 430.2125 + 30 - 3,
    "lower jacket": 60.325 + 654.84375 - (430.2125 + 195 - 20),
    "lower shaft": (817.5625 - 37.30625) - (430.2125 + 210 - 32 + 3.5),
}
VAN_MIDDLES = {
    "upper jacket": 315 + 25 - 70,
    "upper shaft": 315 + 30 - 3,
    "lower jacket": 790 - (315 + 195 - 20),
    "lower shaft": 850 - (315 + 210 - 32 + 3.5),
}


@pytest.mark.parametrize(("car", "middles"), [(saloon_cuts, SALOON_MIDDLES), (van_cuts, VAN_MIDDLES)])
def test_lengths_worked_by_hand(car: Car, middles: dict[str, float]) -> None:
    plan = planned(car())
    assert {piece.name: piece.needed.mm for piece in plan.pieces} == pytest.approx(middles, abs=ROUNDING_MM)


@pytest.mark.parametrize("car", CARS)
def test_both_cars_keep_every_limit(car: Car) -> None:
    plan = planned(car())
    assert not_kept(plan) == []
    assert plan.result is LimitResult.KEEPS
    assert plan.doubts == ()


@pytest.mark.parametrize("car", CARS)
def test_a_finished_length_is_a_step_in_its_band_and_a_first_cut_is_long(car: Car) -> None:
    for piece in planned(car()).pieces:
        assert isclose(piece.length_mm / STEP_MM, round(piece.length_mm / STEP_MM), abs_tol=1e-6)
        assert piece.allowed.low_mm <= piece.length_mm <= piece.allowed.high_mm
        assert abs(piece.rounding_mm) <= STEP_MM / 2 + ROUNDING_MM
        least = piece.needed.mm + 6 + piece.first.rss_mm
        assert least - ROUNDING_MM <= piece.first_cut_mm < least + STEP_MM
        assert piece.first.rss_mm == pytest.approx(hypot(piece.needed.rss_mm, 1.0, 1.0), abs=1e-9)


@pytest.mark.parametrize("car", CARS)
def test_marks_are_pulled_from_one_end_and_leave_the_piece_long(car: Car) -> None:
    """On the stock, the kept side of each mark is no shorter than the first cut."""
    plan = planned(car())
    ends = {"jacket": ("jacket top", "jacket end"), "shaft": ("hub seat", "shaft end")}
    for piece in plan.pieces:
        whole = plan.chain.between(*ends[piece.spec.stock]).mm
        assert piece.spec.mark_from == ends[piece.spec.stock][0]
        kept = piece.mark_mm if piece.spec.way > 0 else whole - piece.mark_mm
        assert piece.first_cut_mm - ROUNDING_MM <= kept < piece.first_cut_mm + STEP_MM


@pytest.mark.parametrize("car", CARS)
def test_pieces_and_what_is_removed_and_kerfs_make_the_original(car: Car) -> None:
    plan = planned(car())
    originals = {
        "jacket": plan.chain.between("jacket top", "jacket end").mm,
        "shaft": plan.chain.between("shaft top", "shaft end").mm,
    }
    for account in plan.accounts:
        assert isinstance(account, Account)
        whole = sum(account.kept_mm.values()) + account.removed_mm + account.kerfs_mm
        assert whole == pytest.approx(originals[account.stock], abs=ROUNDING_MM)
        trims = sum(piece.trim_mm for piece in plan.pieces if piece.spec.stock == account.stock)
        assert account.removed_mm == pytest.approx(account.offcut_mm + trims, abs=ROUNDING_MM)
        assert account.removed_mm > 0


@pytest.mark.parametrize("car", CARS)
def test_a_wider_kerf_never_shortens_a_piece(car: Car) -> None:
    narrow, wide = (planned(setting("saw.kerf", kerf, car())) for kerf in ("0.5 mm", "3.2 mm"))
    for thin, thick in zip(narrow.pieces, wide.pieces, strict=True):
        assert (thin.mark_mm, thin.first_cut_mm, thin.length_mm) == (thick.mark_mm, thick.first_cut_mm, thick.length_mm)
    for before, after in zip(narrow.accounts, wide.accounts, strict=True):
        assert isinstance(before, Account)
        assert isinstance(after, Account)
        assert before.removed_mm - after.removed_mm == pytest.approx(2 * 2.7, abs=ROUNDING_MM)


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(range(2)), st.floats(-20, 20))
def test_moving_the_unit_changes_exactly_the_cuts_that_must_change(which: int, move: float) -> None:
    """By the chain's own factors, and by planning again at the other place: two roads."""
    job = cut_job(both_cars()[which])
    here, there = cut_plan(job, job.cuts), cut_plan(moved := shifted(job, ("unit", "input_face"), move), job.cuts)
    assert moved.unit.input_face.mm == job.unit.input_face.mm + move
    assert here.moved_by == {"upper jacket": 1.0, "upper shaft": 1.0, "lower jacket": -1.0, "lower shaft": -1.0}
    for before, after in zip(here.pieces, there.pieces, strict=True):
        grown = before.needed.mm + here.moved_by[before.name] * move
        assert after.needed.mm == pytest.approx(grown, abs=1e-9)
        assert after.needed.rss_mm == pytest.approx(before.needed.rss_mm, abs=1e-12)
    assert all(isinstance(account, Account) for account in there.accounts)


@given(st.floats(0, 900), st.floats(0, 5))
def test_a_finished_length_never_leaves_its_band(low: float, wide: float) -> None:
    band = Band(low, low + wide, "")
    length = rounded_into(band)
    if length is None:
        assert wide <= STEP_MM + ROUNDING_MM
    else:
        assert band.low_mm <= length <= band.high_mm
        assert abs(length - band.middle_mm) <= STEP_MM / 2 + ROUNDING_MM


def test_a_band_without_a_step_is_refused() -> None:
    """Between 457.3 and 457.5 mm there is no multiple of 1/32 in (576 of them are 457.2, 577 are 457.99)."""
    tables = setting("fits.upper_shaft", {"end_gap": ["2.7125 mm", "2.9125 mm"]}, saloon_cuts())
    plan = planned(tables)
    refused = plan.planned[1]
    assert isinstance(refused, Refused)
    assert refused.reason.startswith("no 1/32 in step lies between 457.30 and 457.50 mm")
    assert plan.result is LimitResult.OUTSIDE
    assert [piece.name for piece in plan.pieces] == ["upper jacket", "lower jacket", "lower shaft"]


def test_bands_that_no_length_keeps_are_refused() -> None:
    """27 mm in and 4 mm left do not go into a bore 30 mm deep."""
    fit = {"engagement": ["27 mm", "28 mm"], "end_gap": ["4 mm", "5 mm"]}
    refused = planned(setting("fits.upper_shaft", fit, saloon_cuts())).planned[1]
    assert isinstance(refused, Refused)
    assert "no length keeps both cuts.fits.upper_shaft.engagement and cuts.fits.upper_shaft.end_gap" in refused.reason


def test_engagement_and_end_gap_add_up_to_the_bore() -> None:
    plan = planned(saloon_cuts())
    assert value_of(plan, "upper shaft: engagement") + value_of(plan, "upper shaft: left") == pytest.approx(
        30.0, abs=1e-9
    )
    assert value_of(plan, "lower shaft: engagement") + value_of(plan, "lower shaft: left") == pytest.approx(
        32.0, abs=1e-9
    )


def test_a_recessed_bore_counts_its_engagement_from_its_own_mouth() -> None:
    """A mouth 4 mm in: the same end gap is 4 mm less engagement, so the band of engagement is asked 4 mm lower."""
    tables = setting("unit.input_mouth", "4 mm", saloon_cuts())
    plan = planned(setting("fits.upper_shaft.engagement", ["21 mm", "24 mm"], tables))
    assert piece_of(plan, "upper shaft").needed.mm == pytest.approx(SALOON_MIDDLES["upper shaft"], abs=1e-9)
    assert value_of(plan, "upper shaft: engagement") + value_of(plan, "upper shaft: left") == pytest.approx(
        26.0, abs=1e-9
    )


def test_straight_to_length_is_not_as_sure_as_with_a_trial_fit() -> None:
    """The unit's place by tape is good to 2 mm, the end gap's band is 2 mm wide: without the trial nobody can say."""
    plan = planned(saloon_cuts())
    assert piece_of(plan, "upper shaft").straight_result is LimitResult.TOO_CLOSE
    assert piece_of(plan, "upper jacket").straight_result is LimitResult.KEEPS


def test_a_face_dressed_by_eye_leaves_the_shaft_too_close_to_call() -> None:
    """1 mm out of square and a gap read to 0.5 mm are 1.12 mm together, more than half the 2 mm band."""
    plan = planned(setting("saw.trim_square", None, saloon_cuts()))
    assert piece_of(plan, "upper shaft").left.rss_mm == pytest.approx(hypot(1.0, 0.5), abs=1e-9)
    assert piece_of(plan, "upper shaft").result is LimitResult.TOO_CLOSE
    assert plan.result is LimitResult.TOO_CLOSE


def test_a_short_unit_leaves_no_room_to_leave_both_pieces_long() -> None:
    """60 mm face to face less 54 mm of engagement leaves 6 mm to take out: less than two allowances."""
    tables = setting("unit", {**saloon_cuts()["cuts"]["unit"], "face_to_face": "60 mm"}, saloon_cuts())
    for drum in ("sensor", "output"):
        del tables["unit"][drum]
    plan = planned(tables)
    assert any("shaft: room to leave both pieces long" in text for text in not_kept(plan))


def test_shaft_alone_below_leaves_one_piece_of_jacket() -> None:
    plan = planned(setting("below", "shaft alone", van_cuts()))
    assert [piece.name for piece in plan.pieces] == ["upper jacket", "upper shaft", "lower shaft"]
    jacket = plan.accounts[0]
    assert isinstance(jacket, Account)
    assert jacket.kerfs_mm == 1.0
    assert sum(jacket.kept_mm.values()) + jacket.removed_mm + jacket.kerfs_mm == pytest.approx(720.0, abs=ROUNDING_MM)


def test_new_stock_holds_the_first_cut_its_kerf_and_two_dressed_ends() -> None:
    """Upper shaft of the van: 350.84 from the hub seat, 35 above it, 1 kerf, 2 x 2 to dress, up to the step."""
    plan = planned(van_cuts())
    new = plan.new_stocks[1]
    assert not isinstance(new, NotKnown)
    least = piece_of(plan, "upper shaft").first_cut_mm + 35 + 1 + 4
    assert least - ROUNDING_MM <= new.least_mm < least + STEP_MM


def test_common_sizes_in_inches_come_through_exactly() -> None:
    """15 1/2 in = 393.7 mm and 1 1/4 in = 31.75 mm (common practice, no source; the inch is 25.4 mm by definition)."""
    tables = setting(
        "unit.input_depth", "1 1/4 in", setting("done", {"upper_shaft": {"cut": "15 1/2 in"}}, saloon_cuts())
    )
    plan = planned(tables)
    assert plan.chain.between("unit input face", "input bore bottom").mm == 31.75
    assert piece_of(plan, "upper shaft").state.length_mm == 393.7
    assert (inches_text(393.7), inches_text(31.75)) == ("15 1/2 in", "1 1/4 in")
