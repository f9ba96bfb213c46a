"""The first cut: the gap to expect after it, and a reading of it that cannot be right. mm."""

from math import hypot

import pytest

from fitcheck.cuts.limits import LimitResult
from fitcheck.report.cuts_text import cuts_rows, cuts_text
from tests.cuts.cut_jobs import (
    limit_of,
    not_kept,
    piece_of,
    planned,
    saloon_cuts,
    setting,
    value_of,
    van_cuts,
    with_done,
)

BOTTOMS_AT_MM = 430.2125 + 30  # hub seat to the bottom of the saloon's input bore


@pytest.mark.parametrize(
    ("name", "from_hub_seat", "bottom", "spreads"),
    [
        ("upper jacket", 60.325, BOTTOMS_AT_MM, (1.0, 0.2)),
        ("upper shaft", 0.0, BOTTOMS_AT_MM, (0.2,)),
        ("lower jacket", 60.325, 430.2125 + 195 - 25, (1.0, 0.2, 0.2)),
        ("lower shaft", 0.0, 430.2125 + 210 - 32, (1.0, 0.2)),
    ],
)
def test_the_gap_to_expect_stands_in_the_list_before_the_first_cut(
    name: str, from_hub_seat: float, bottom: float, spreads: tuple[float, ...]
) -> None:
    """Sawn at its mark a piece ends there and stops on the bottom: their distance, all taken from the hub seat.

    Neither the lower ends nor the overall lengths enter. Mark 1, cut 1, place 2 mm; jacket top 1, unit's length 1, each
    depth by caliper 0.2 mm.
    """
    piece = piece_of(planned(saloon_cuts()), name)
    way = 1 if name.startswith("upper") else -1
    assert piece.expected.mm == pytest.approx((piece.mark_mm + from_hub_seat - bottom) * way, abs=1e-6)
    assert piece.expected.rss_mm == pytest.approx(hypot(1.0, 1.0, 2.0, *spreads), abs=1e-9)
    said = " ".join(cuts_text(planned(saloon_cuts()), ["a car"], "mm").split())
    assert f"expect {piece.expected.mm:.1f} mm" in said


def test_a_first_cut_inches_too_long_is_to_be_measured_again() -> None:
    """Planned 465.9, read 2 1/2 in more: no trim is left on for that."""
    plan = planned(with_done(saloon_cuts(), upper_shaft={"first_cut": "529.4 mm"}))
    assert not_kept(plan) == [
        "upper shaft: first cut: it reads 529.4 mm (20 27/32 in) from the hub seat, 63.5 mm (2 1/2 in) longer than the "
        "list's 465.9 mm (18 11/32 in): measure it again; if it is right, saw it again, 465.9 mm (18 11/32 in) from "
        "the hub seat, before it is tried"
    ]
    assert plan.result is LimitResult.NOT_KNOWN
    assert any("measure it again" in row for row in cuts_rows(plan, "mm", 300))


@pytest.mark.parametrize(("longer", "said"), [(0.0, False), (6.0, False), (9.0, True)])
def test_a_first_cut_is_long_only_beyond_all_that_the_trim_takes(longer: float, said: bool) -> None:
    """6 mm are left on, 1 mm out of square, 0.5 mm by the caliper: 7.1 mm."""
    first = piece_of(planned(saloon_cuts()), "upper shaft").first_cut_mm + longer
    plan = planned(with_done(saloon_cuts(), upper_shaft={"first_cut": f"{first} mm ± 0.5 mm"}))
    assert bool(not_kept(plan)) is said


def test_a_first_cut_inches_too_short_is_to_be_measured_again_before_anything_is_mended() -> None:
    plan = planned(with_done(saloon_cuts(), upper_shaft={"first_cut": "402.4 mm"}))
    assert plan.holds == (
        "upper shaft is cut 54.8 mm (2 5/32 in) short of the plan, more than its bands allow: measure it again from "
        "the hub seat; if it is right, settle what is done about it, below under cut short",
    )


def test_a_lower_end_that_would_not_come_back_says_which_way_and_for_which_piece() -> None:
    """402.4 in, the widest gap of 4 mm before the bottom at 460.2: the unit would sit 53.8 mm toward the wheel."""
    plan = planned(with_done(saloon_cuts(), upper_shaft={"cut": "402.4 mm"}))
    limit = limit_of(plan, "hub seat to the shaft's lower end")
    assert value_of(plan, "hub seat to the shaft's lower end") == pytest.approx(402.4 + 4 - BOTTOMS_AT_MM, abs=0.01)
    assert limit.reason == (
        "put together like this, the shaft's lower end lies 53.8 mm (2 1/8 in) nearer the wheel than it did before, "
        "for the upper shaft as cut"
    )


@pytest.mark.parametrize("key", ["upper_jacket", "lower_shaft"])
def test_a_gap_without_its_first_cut_leaves_no_mark_and_says_what_is_missing(key: str) -> None:
    """Also on a stock without zones, where nothing else would hold the other pieces back."""
    plan = planned(setting("zones", [], with_done(van_cuts(), **{key: {"mating_gap": "6 mm"}})))
    (held,) = plan.holds
    name = key.replace("_", " ")
    assert held.startswith(f"{name}: missing cuts.done.{key}.first_cut: measure the {name} as it was when it was tried")
    assert all(plan.stop(piece) for piece in plan.pieces)
