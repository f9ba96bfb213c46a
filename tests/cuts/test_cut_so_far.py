"""After a cut: the trim from the gap that was read, the prediction beside it, and ways out of a piece cut short. mm."""

from math import hypot

import pytest

from fitcheck.cuts.limits import LimitResult, NotKnown
from fitcheck.cuts.remedies import Short
from fitcheck.cuts.trial import FirstCut, Tried
from tests.cuts.cut_jobs import (
    both_cars,
    limit_of,
    piece_of,
    planned,
    saloon_cuts,
    setting,
    van_cuts,
    with_done,
)
from tests.jobs import Tables

MAY_MOVE = {"toward_wheel": "5 mm", "toward_rack": "5 mm"}
BOTTOMS_AT_MM = 430.2125 + 30  # hub seat to the bottom of the saloon's input bore


def only_short(tables: Tables) -> Short:
    (short,) = planned(tables).shorts
    return short


def kinds(short: Short) -> list[str]:
    return [way.kind for way in short.ways]


def test_a_first_cut_predicts_the_gap_of_the_trial_fit() -> None:
    plan = planned(with_done(saloon_cuts(), upper_shaft={"first_cut": "465.9 mm ± 0.5 mm"}))
    state = piece_of(plan, "upper shaft").state
    assert isinstance(state, FirstCut)
    assert state.predicted.mm == pytest.approx(465.9 - BOTTOMS_AT_MM, abs=1e-9)
    assert state.predicted.rss_mm == pytest.approx(hypot(0.5, 2.0, 0.2), abs=1e-9)


def test_the_trim_comes_out_of_the_gap_that_was_read() -> None:
    """6.4 mm read, 3 mm wanted before the bottom: 9.4 mm to take off, here on the step nearest to that."""
    done = {"first_cut": "465.9 mm ± 0.5 mm", "mating_gap": "6.4 mm"}
    plan = planned(with_done(saloon_cuts(), upper_shaft=done))
    piece = piece_of(plan, "upper shaft")
    state = piece.state
    assert isinstance(state, Tried)
    assert state.trim.mm == pytest.approx(6.4 + 3.0, abs=25.4 / 64)
    assert state.trim.rss_mm == pytest.approx(hypot(0.5, 0.5), abs=1e-9)
    assert state.length_mm == pytest.approx(465.9 - state.trim.mm, abs=1e-9)
    assert piece.left.mm == pytest.approx(state.trim.mm - 6.4, abs=1e-9)
    assert state.predicted.mm == pytest.approx(465.9 - BOTTOMS_AT_MM, abs=1e-9)
    assert state.disagreement == ""
    assert piece.result is LimitResult.KEEPS
    assert plan.result is LimitResult.KEEPS


@pytest.mark.parametrize("which", [0, 1])
@pytest.mark.parametrize("name", ["upper jacket", "upper shaft", "lower jacket", "lower shaft"])
@pytest.mark.parametrize("off", [-1.5, 0.0, 1.5])
def test_whatever_the_gap_the_trim_leaves_the_piece_in_its_band(which: int, name: str, off: float) -> None:
    """True end gap after the trim, worked out apart: first cut less trim against a bottom `off` from planned."""
    tables = both_cars()[which]
    piece = piece_of(planned(tables), name)
    bottom = piece.spec.reach(planned(tables).chain).mm + off
    gap = piece.first_cut_mm - bottom
    done = {name.replace(" ", "_"): {"first_cut": f"{piece.first_cut_mm} mm", "mating_gap": f"{gap} mm"}}
    state = piece_of(planned(with_done(tables, **done)), name).state
    assert isinstance(state, Tried)
    left = bottom - (piece.first_cut_mm - state.trim.mm)
    assert left == pytest.approx(state.left.mm, abs=1e-6)
    low, high = piece.allowed.low_mm, piece.allowed.high_mm
    assert low + off - 1e-6 <= state.length_mm <= high + off + 1e-6


def test_a_trial_fit_that_disagrees_stops_the_piece() -> None:
    """12 mm read against 5.7 mm predicted, 2.1 and 0.5 mm of spread."""
    done = {"first_cut": "465.9 mm ± 0.5 mm", "mating_gap": "12 mm"}
    plan = planned(with_done(saloon_cuts(), upper_shaft=done))
    limit = limit_of(plan, "upper shaft: engagement")
    assert isinstance(limit, NotKnown)
    assert limit.reason == "waits until the readings of the upper shaft, which contradict each other, agree"
    assert piece_of(plan, "upper shaft").doubt == (
        "the fit says 12.0 mm (15/32 in), the readings 5.7 mm (7/32 in), 6.3 mm apart where their spreads allow 2.1 "
        "mm: stop and find the reading that is wrong"
    )
    assert plan.result is LimitResult.NOT_KNOWN


@pytest.mark.parametrize(
    ("done", "key"),
    [
        ({"mating_gap": "6 mm"}, "cuts.done.upper_shaft.first_cut"),
        ({"first_cut": "459 mm", "mating_gap": "0 mm"}, "cuts.done.upper_shaft.end_gap"),
    ],
)
def test_a_trial_fit_that_lacks_something_asks_for_it(done: dict[str, str], key: str) -> None:
    missing = planned(with_done(saloon_cuts(), upper_shaft=done)).planned[1]
    assert isinstance(missing, NotKnown)
    assert missing.keys == (key,)


def test_clay_in_the_end_gap_is_surer_than_the_readings() -> None:
    done = {"cut": "457.2 mm ± 0.3 mm", "end_gap": "2.9 mm"}
    piece = piece_of(planned(with_done(saloon_cuts(), upper_shaft=done)), "upper shaft")
    assert piece.left.terms == {"cuts.done.upper_shaft.end_gap": (1.0, 0.5)}
    assert piece.result is LimitResult.KEEPS
    alone = piece_of(planned(with_done(saloon_cuts(), upper_shaft={"cut": "457.2 mm ± 0.3 mm"})), "upper shaft")
    assert alone.result is LimitResult.TOO_CLOSE


def test_a_shaft_2_mm_short_is_mended_by_the_unit_s_place() -> None:
    """Planned 457.2, cut 455.2: 5 mm before the bottom where 2 to 4 may be. 2 mm toward the wheel brings it back."""
    tables = setting("unit_may_move", MAY_MOVE, with_done(saloon_cuts(), upper_shaft={"cut": "455.2 mm ± 0.3 mm"}))
    plan = planned(tables)
    assert plan.result is LimitResult.OUTSIDE
    (short,) = plan.shorts
    assert short.short_mm == pytest.approx(2.0, abs=1e-9)
    assert kinds(short) == ["the unit's place", "new piece"]
    way = short.ways[0]
    assert way.move_mm == pytest.approx(-2.0, abs=25.4 / 64)
    assert set(way.lengths_mm) == {"upper jacket", "lower jacket", "lower shaft"}
    moved = tables["unit"] | {"input_face": f"{430.2125 + way.move_mm} mm"}
    again = planned({**tables, "unit": moved})
    assert again.shorts == () or again.shorts[0].ways[0].kind == "within its bands"
    assert limit_of(again, "upper shaft: left").result is not LimitResult.OUTSIDE
    lengths = {piece.name: piece.length_mm for piece in again.pieces if piece.name in way.lengths_mm}
    assert way.lengths_mm == pytest.approx(lengths, abs=1e-6)


def test_a_shaft_20_mm_short_has_no_way_out() -> None:
    tables = setting("unit_may_move", MAY_MOVE, with_done(saloon_cuts(), upper_shaft={"cut": "437.2 mm ± 0.3 mm"}))
    short = only_short(tables)
    assert kinds(short) == ["none"]
    assert short.ways[0].words == (
        "none: make a new one, finished to 457.2 mm (18 in) from the hub seat. Never a spacer, a stretch or a weld on "
        "a steering shaft"
    )


def test_without_how_far_the_unit_may_move_the_way_is_asked_for() -> None:
    short = only_short(with_done(saloon_cuts(), upper_shaft={"cut": "455.2 mm ± 0.3 mm"}))
    assert kinds(short) == ["ask", "new piece"]
    assert "cuts.unit_may_move" in short.ways[0].words
    assert "2.0 mm (3/32 in) toward the wheel" in short.ways[0].words


def test_a_jacket_3_mm_short_is_used_only_once_that_is_sure() -> None:
    """24.6 planned, 21.6 in: 1.6 above the band's 20, by a place good to 2 mm. Clay, good to 0.5 mm, settles it."""
    done = {"cut": "391.5 mm ± 0.3 mm"}
    short = only_short(with_done(saloon_cuts(), upper_jacket=done))
    assert short.piece.result is LimitResult.TOO_CLOSE
    assert kinds(short) == ["read it again", "spacer ring"]
    assert "use it as it is" not in short.ways[0].words
    assert "unit.input_face, give or take 2 mm" in short.ways[0].words
    read = only_short(with_done(saloon_cuts(), upper_jacket={**done, "end_gap": "8.4 mm"}))
    assert read.piece.result is LimitResult.KEEPS
    assert kinds(read) == ["within its bands", "spacer ring"]
    assert short.piece.inside.mm == pytest.approx(391.5 + 60.325 - 430.2125, abs=1e-9)
    assert "a spacer ring 3.0 mm (1/8 in) long" in short.ways[1].words


def test_a_jacket_8_mm_short_wants_a_longer_collar_or_another_place() -> None:
    tables = setting("unit_may_move", MAY_MOVE, with_done(van_cuts(), upper_jacket={"cut": "261.9 mm ± 0.3 mm"}))
    short = only_short(tables)
    assert kinds(short) == ["the unit's place", "longer collar", "new piece"]
    assert "a collar that reaches 3.1 mm (1/8 in) farther along the jacket" in short.ways[1].words
    assert short.ways[0].move_mm < 0


def test_another_piece_that_is_finished_blocks_a_move_of_the_unit() -> None:
    """The lower shaft is finished too: 2 mm toward the wheel would leave it 1.2 mm over its end gap."""
    done = {"upper_shaft": {"cut": "455.2 mm ± 0.3 mm"}, "lower_shaft": {"cut": "168.3 mm ± 0.3 mm"}}
    tables = setting("unit_may_move", MAY_MOVE, with_done(saloon_cuts(), **done))
    move = next(way for short in planned(tables).shorts for way in short.ways).move_mm
    assert move == pytest.approx(-1.2, abs=0.3)


def test_no_way_out_of_a_short_shaft_adds_metal_to_it() -> None:
    for cut in ("456 mm", "455 mm", "450 mm", "430 mm"):
        for may in (None, MAY_MOVE):
            short = only_short(setting("unit_may_move", may, with_done(saloon_cuts(), upper_shaft={"cut": cut})))
            assert not {"spacer ring", "longer collar"} & set(kinds(short)), cut


def test_a_piece_cut_long_lets_the_unit_move_only_as_far_as_it_reaches() -> None:
    """The lower shaft is cut to 169.3 and needs 168.3: toward the wheel the unit may go 1 mm, not the 2 it takes."""
    done = {"upper_shaft": {"cut": "455.2 mm ± 0.3 mm"}, "lower_shaft": {"first_cut": "169.3 mm ± 0.3 mm"}}
    tables = setting("unit_may_move", MAY_MOVE, with_done(saloon_cuts(), **done))
    short = only_short(tables)
    assert kinds(short) == ["the unit's place", "new piece"]
    needed = piece_of(planned(tables), "lower shaft").length_mm
    assert short.ways[0].move_mm == pytest.approx(-(169.3 - needed), abs=1e-9)
