"""Energy-absorbing columns, dimples and bolts by kind of bar, the wheel straight, the closing check. mm, degrees."""

from math import degrees, hypot

import numpy as np
import pytest

from fitcheck.cuts.kept import Straight, straight
from fitcheck.cuts.limits import Limit, LimitResult, NotKnown
from fitcheck.job.angles import Angle
from fitcheck.job.cutting import Bar
from fitcheck.placement.column import ColumnAxis
from tests.cuts.cut_jobs import (
    both_cars,
    cut_job,
    limit_of,
    piece_of,
    planned,
    saloon_cuts,
    setting,
    value_of,
    van_cuts,
    with_done,
)
from tests.jobs import Tables


def not_known(tables: Tables, what: str) -> NotKnown:
    limit = limit_of(planned(tables), what)
    assert isinstance(limit, NotKnown)
    return limit


def test_the_stroke_is_judged_as_the_difference_with_its_own_spread() -> None:
    plan = planned(saloon_cuts())
    limit = limit_of(plan, "stroke after less before: mesh section")
    assert isinstance(limit, Limit)
    assert limit.stack.mm == pytest.approx(100 - 96, abs=1e-9)
    assert limit.stack.rss_mm == pytest.approx(hypot(1, 1), abs=1e-9)
    assert limit.result is LimitResult.KEEPS


@pytest.mark.parametrize(("room", "result"), [("97 mm", LimitResult.TOO_CLOSE), ("90 mm", LimitResult.OUTSIDE)])
def test_less_stroke_than_before_is_outside(room: str, result: LimitResult) -> None:
    tables = setting("stroke.rooms", [{"name": "bracket slots", "room": room}], saloon_cuts())
    assert limit_of(planned(tables), "stroke after").result is result


def test_a_body_ahead_of_the_unit_limits_the_stroke_and_moves_with_its_place() -> None:
    """Output face at 430.2 + 210; a plate at 700 leaves 59.8 mm, less than the 96 before."""
    tables = setting("stroke.ahead", [{"name": "bearing plate", "along": "700 mm"}], saloon_cuts())
    plan = planned(tables)
    assert value_of(plan, "unit onto bearing plate") == pytest.approx(700 - 640.2125 - 96, abs=1e-9)
    assert limit_of(plan, "unit onto bearing plate").result is LimitResult.OUTSIDE


def test_which_kind_of_column_it_is_has_to_be_said() -> None:
    assert not_known(setting("column_kind", None, van_cuts()), "the column's own stroke").keys == ("cuts.column_kind",)
    assert not_known(setting("stroke", None, saloon_cuts()), "the column's own stroke").keys == ("cuts.stroke",)
    assert not_known(setting("zones", [], saloon_cuts()), "the collapsing section").keys == ("cuts.zones",)
    bare = setting("stroke", {"before": "96 mm"}, saloon_cuts())
    assert not_known(bare, "the column's own stroke").keys == ("cuts.stroke.rooms", "cuts.stroke.ahead")


def test_127_mm_is_a_remark_of_what_it_is_and_no_limit() -> None:
    plan = planned(saloon_cuts())
    assert any(remark.startswith("127 mm in FMVSS 204 and UN R12 is how far") for remark in plan.remarks)
    assert not any("127" in remark for remark in planned(van_cuts()).remarks)
    assert not any(isinstance(limit, Limit) and limit.band.low_mm == 127 for limit in plan.limits)


def test_a_dimple_is_marked_from_the_face_the_piece_is_read_from() -> None:
    """Set screw 12 mm in from the mouth at 430.2: 442.2 from the hub seat, whatever is left before the bottom."""
    plan = planned(saloon_cuts())
    assert plan.holes[0].mark_mm == pytest.approx(430.2125 + 12, abs=1e-9)
    assert plan.holes[0].from_end.mm == pytest.approx(457.2 - 442.2125, abs=1e-9)
    assert plan.holes[1].mark_mm == pytest.approx(780.25625 - (640.2125 - 14), abs=1e-9)


@pytest.mark.parametrize(
    ("bar", "reasons"),
    [
        ({"kind": "double-D"}, []),
        ({"kind": "spline", "teeth": 36}, []),
        (
            {"kind": "double-D", "bore": "13 mm"},
            ["no dimple in a hollow bar: a through-bolt, and never past half its wall"],
        ),
        ({"kind": "round"}, ["a plain round bar is not held by a screw's friction: a cross-bolt through it"]),
    ],
)
def test_the_kind_of_bar_decides_what_may_hold_it(bar: Tables, reasons: list[str]) -> None:
    plan = planned(setting("bar", bar, saloon_cuts()))
    assert [limit.reason for limit in plan.limits if limit.result is LimitResult.OUTSIDE] == reasons


def test_a_hole_too_near_the_end_of_the_bar_is_outside() -> None:
    fixing = {"piece": "upper shaft", "what": "cross-bolt", "from_mouth": "20 mm", "dia": "8 mm"}
    plan = planned(setting("fixings", [fixing], saloon_cuts()))
    assert limit_of(plan, "to the end of the bar").result is LimitResult.OUTSIDE


def test_a_trial_fit_in_doubt_puts_the_hole_in_doubt() -> None:
    done = {"first_cut": "465.9 mm ± 0.5 mm", "mating_gap": "12 mm"}
    plan = planned(with_done(saloon_cuts(), upper_shaft=done))
    assert limit_of(plan, "upper shaft: set screw").result is LimitResult.NOT_KNOWN
    assert plan.result is LimitResult.NOT_KNOWN


@pytest.mark.parametrize(("apart", "off"), [(0, 0), (180, 0), (90, 90), (10, 10), (170, 10), (-5, 5)])
def test_two_flats_put_the_wheel_off_by_what_the_bores_are_apart(apart: float, off: float) -> None:
    angle = Angle.parse(f"{apart} deg").rad
    found = straight(Bar(kind="double-D"), angle)
    assert isinstance(found, Straight)
    assert degrees(found.off_rad) == pytest.approx(off, abs=1e-9)


def test_a_spline_puts_the_wheel_off_by_half_a_tooth_at_most() -> None:
    """360 / 36 = 10 degrees a tooth (common practice)."""
    found = straight(Bar(kind="spline", teeth=36), None)
    assert isinstance(found, Straight)
    assert (degrees(found.step_rad), degrees(found.off_rad)) == pytest.approx((10, 5), abs=1e-9)


@pytest.mark.parametrize("which", [0, 1])
def test_the_column_closes_to_a_hundredth(which: int) -> None:
    plan = planned(both_cars()[which])
    assert len(plan.closings) == 2
    for closing in plan.closings:
        assert abs(closing.off_mm) <= 0.01
        assert closing.limit.result is LimitResult.KEEPS


@pytest.mark.parametrize("which", [0, 1])
def test_the_lower_end_lands_where_it_was_in_the_car(which: int) -> None:
    """A road of its own: pieces laid down the column's axis in car coordinates, from the printed lengths alone."""
    tables = both_cars()[which]
    plan, job = planned(tables), cut_job(tables)
    frame = ColumnAxis(job).column2car
    hub, down = frame.origin, frame.rotation[:, 2]
    upper, lower = piece_of(plan, "upper shaft"), piece_of(plan, "lower shaft")
    at = hub + down * upper.state.length_mm
    at = at + down * (
        value_of(plan, "upper shaft: left before") - 30.0
    )  # back from the bore's bottom to the input face
    at = at + down * (210.0 - 32.0)  # to the bottom of the output bore
    at = at + down * (value_of(plan, "lower shaft: left before") + lower.state.length_mm)
    before = hub + down * plan.chain.between("hub seat", "shaft end").mm
    assert np.linalg.norm(at - before) < 0.01
    laid = {face.name: face.in_car for face in plan.closings[0].faces}
    assert np.linalg.norm(laid["shaft end"] - before) < 0.01
    assert np.linalg.norm(laid["unit input face"] - hub) == pytest.approx(job.unit.input_face.mm, abs=0.01)


def test_a_wrong_length_does_not_close() -> None:
    """The lower shaft 1 mm long as it was cut, its end gap read as planned: the lower end stands 1 mm too far down."""
    length = piece_of(planned(saloon_cuts()), "lower shaft").length_mm
    done = {"cut": f"{length + 4} mm ± 0 mm", "end_gap": "3.77 mm ± 0.1 mm"}
    plan = planned(with_done(saloon_cuts(), lower_shaft=done))
    assert plan.closings[0].off_mm == pytest.approx(4, abs=0.01)
    assert plan.closings[0].limit.result is LimitResult.NOT_KNOWN
    assert plan.result is LimitResult.NOT_KNOWN
