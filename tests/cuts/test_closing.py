"""The closing check fails where a length or a mark is wrong by more than a gap may take up, by as much as it is. mm.

Expectations by hand from the saloon's bench: input face 430.2125, bores 30 and 32, unit 210, shaft end 780.25625.
"""

from dataclasses import replace

import pytest

from fitcheck.cuts.assembled import closings, mark_limits
from fitcheck.cuts.chain import Stack
from fitcheck.cuts.limits import LimitResult
from fitcheck.cuts.pieces import Piece
from fitcheck.cuts.plan import CutPlan
from fitcheck.placement.column import ColumnAxis
from tests.cuts.cut_jobs import cut_job, planned, saloon_cuts, van_cuts, with_done
from tests.jobs import Tables, changed

INPUT_BOTTOM_MM = 430.2125 + 30
OUTPUT_BOTTOM_MM = 430.2125 + 210 - 32


def altered(plan: CutPlan, name: str, **values: float) -> tuple[Piece, ...]:
    """The plan's pieces, one of them misprinted."""
    return tuple(
        replace(
            piece,
            mark_mm=piece.mark_mm + values.get("mark", 0.0),
            state=replace(piece.state, length_mm=piece.state.length_mm + values.get("length", 0.0)),
        )
        if piece.name == name
        else piece
        for piece in plan.pieces
    )


def closed(tables: Tables, pieces: tuple[Piece, ...]) -> list[tuple[float, LimitResult]]:
    job = cut_job(tables)
    frame = ColumnAxis(job).column2car
    found = closings(job, pieces, planned(tables).chain, frame)
    return [(closing.off_mm, closing.limit.result) for closing in found]


@pytest.mark.parametrize("car", [saloon_cuts(), van_cuts()])
@pytest.mark.parametrize("name", ["upper jacket", "upper shaft", "lower jacket", "lower shaft"])
@pytest.mark.parametrize("off", [-10 * 25.4 / 32, 1 * 25.4 / 32])
def test_a_misprinted_length_moves_the_lower_end_by_as_much(car: Tables, name: str, off: float) -> None:
    """Its gap stays what the plan says, so the misprint has nowhere to go."""
    shaft, jacket = closed(car, altered(planned(car), name, length=off))
    wrong, right = (shaft, jacket) if name.endswith("shaft") else (jacket, shaft)
    assert (wrong[0], right[0]) == pytest.approx((off, 0.0), abs=1e-6)
    assert (wrong[1], right[1]) == (LimitResult.OUTSIDE, LimitResult.KEEPS)


@pytest.mark.parametrize("name", ["upper jacket", "upper shaft", "lower jacket", "lower shaft"])
@pytest.mark.parametrize("off", [-15.0, -3.0, 3.0, 15.0])
def test_a_mark_in_the_wrong_place_fails(name: str, off: float) -> None:
    plan = planned(saloon_cuts())
    found = {limit.what: limit.result for limit in mark_limits(altered(plan, name, mark=off), plan.chain, plan.saw)}
    assert found.pop(f"{name}: from its mark to its finished end") is LimitResult.OUTSIDE
    assert set(found.values()) == {LimitResult.KEEPS}


@pytest.mark.parametrize(("cut_mm", "gap_mm"), [(437.2, 4), (455.2, 4), (459.0, 2)])
def test_a_shaft_cut_wrong_leaves_the_lower_end_where_its_widest_gap_does(cut_mm: float, gap_mm: float) -> None:
    """Too short: 4 mm is the most that may be left; too long: 2 mm the least. The rest moves unit and lower end."""
    off = cut_mm + gap_mm - INPUT_BOTTOM_MM
    plan = planned(with_done(saloon_cuts(), upper_shaft={"cut": f"{cut_mm} mm"}))
    closing = plan.closings[0]
    assert closing.off_mm == pytest.approx(off, abs=1e-6)
    assert closing.unit_off_mm == pytest.approx(off, abs=1e-6)
    assert closing.limit.result is LimitResult.OUTSIDE


def test_the_unit_is_held_to_the_place_the_job_gives_it() -> None:
    """The same pieces with the unit read 7 mm farther down: the column comes out 7 mm short, the unit too."""
    there = changed(saloon_cuts(), ("unit", "input_face"), f"{430.2125 + 7} mm")
    job, plan = cut_job(there), planned(saloon_cuts())
    shaft, _ = closings(job, plan.pieces, plan.chain, ColumnAxis(job).column2car)
    assert shaft.unit_off_mm == pytest.approx(-7.0, abs=1e-6)


def test_as_planned_the_gaps_by_hand_close_it() -> None:
    """Laid by hand: 457.2 + g = input bottom, then the output bottom + g' + 168.275 = 780.25625, both gaps in band."""
    plan = planned(saloon_cuts())
    upper, lower = plan.pieces[1], plan.pieces[3]
    gaps = INPUT_BOTTOM_MM - 457.2, 780.25625 - 168.275 - OUTPUT_BOTTOM_MM
    assert (upper.left.mm, lower.left.mm) == pytest.approx(gaps, abs=1e-9)
    assert (2 <= gaps[0] <= 4, 2 <= gaps[1] <= 5) == (True, True)
    assert abs(plan.closings[0].off_mm) <= 0.01


def test_a_gap_the_plan_gets_wrong_does_not_close() -> None:
    plan = planned(saloon_cuts())
    wrong = tuple(
        replace(piece, left=Stack(piece.left.mm + 0.5)) if piece.name == "upper shaft" else piece
        for piece in plan.pieces
    )
    shaft, _ = closed(saloon_cuts(), wrong)
    assert shaft[0] == pytest.approx(0.5, abs=1e-6)
    assert shaft[1] is LimitResult.OUTSIDE
