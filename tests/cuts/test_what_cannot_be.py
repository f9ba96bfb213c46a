"""Sizes that cannot go together are refused at their line; wheels off straight, clamps in zones are told. mm, deg."""

import numpy as np
import pytest

from fitcheck.cuts.limits import LimitResult, NotKnown
from fitcheck.cuts.nearest import NearestPlace
from fitcheck.errors import JobError
from fitcheck.job.crosschecks import crosschecks
from fitcheck.placement.column import ColumnAxis
from tests.cuts.cut_jobs import (
    cut_job,
    limit_of,
    not_kept,
    planned,
    saloon_cuts,
    setting,
    value_of,
    van_cuts,
    with_done,
)
from tests.jobs import Tables, changed


def complaints(tables: Tables) -> list[str]:
    return [f"{'.'.join(map(str, path))}: {said}" for path, said in crosschecks(cut_job(tables))]


@pytest.mark.parametrize("tables", [saloon_cuts(), van_cuts()])
def test_neither_car_has_such_a_size(tables: Tables) -> None:
    assert complaints(tables) == []


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("firewall.passes_dia", "1/2 in", "cuts.firewall.passes_dia: 1/2 in is less than the shaft"),
        ("unit.input_depth", "190 mm", "do not go into a unit 210 mm long"),
        ("unit.input_mouth", "30 mm", "cuts.unit.input_mouth: 30 mm is not less than input_depth"),
        ("bar", {"kind": "double-D", "bore": "3/4 in"}, "cuts.bar.bore: a bore of 3/4 in does not go into a shaft"),
        ("bench.hub_seat_to_shaft_top", "33 in", "of the shaft above the hub seat, but it is 32 3/16 in long"),
        (
            "fixings",
            [{"piece": "upper shaft", "what": "cross-bolt", "from_mouth": "12 mm", "dia": "19.1 mm"}],
            "is as thick as the shaft it holds",
        ),
    ],
)
def test_sizes_that_cannot_go_together_are_refused(key: str, value: object, said: str) -> None:
    assert [text for text in complaints(setting(key, value, saloon_cuts())) if said in text] != []


def test_a_jacket_that_reaches_the_sheet_has_to_pass_it() -> None:
    tables = changed(saloon_cuts(), ("column", "jacket_to"), "735 mm")
    assert complaints(tables) == []
    (said,) = complaints(setting("firewall.passes_dia", "3/4 in", tables))
    assert "past the sheet, and does not pass 3/4 in" in said


def test_nothing_is_done_to_a_lower_jacket_that_is_not_kept() -> None:
    tables = with_done(setting("below", "shaft alone", van_cuts()), lower_jacket={"first_cut": "300 mm"})
    assert [text for text in complaints(tables) if text.startswith("cuts.done.lower_jacket: ")] != []
    assert any("cuts.fits.lower_jacket not used" in text for text in planned(tables).remarks)


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("firewall.passes_dia", "0 mm", "more than 0"),
        ("unit.input_depth", "0 mm", "more than 0"),
        (
            "fixings",
            [{"piece": "upper shaft", "what": "set screw", "from_mouth": "0 mm", "dia": "8 mm"}],
            "more than 0",
        ),
        ("fits.upper_shaft.end_gap", ["2 mm ± 1 mm", "4 mm"], "no give or take"),
        ("firewall.bolts.dia", "96 mm", "do not stand on a circle"),
    ],
)
def test_sizes_and_bands_that_cannot_be_are_refused(key: str, value: object, said: str) -> None:
    with pytest.raises(JobError) as caught:
        planned(setting(key, value, saloon_cuts()))
    assert said in caught.value.faults[0].message


@pytest.mark.parametrize(
    ("bar", "apart", "result"),
    [
        ({"kind": "double-D"}, "0 deg", LimitResult.KEEPS),
        ({"kind": "double-D"}, "180 deg", LimitResult.KEEPS),
        ({"kind": "double-D"}, "90 deg", LimitResult.OUTSIDE),
        ({"kind": "spline", "teeth": 36}, "90 deg", LimitResult.KEEPS),
        ({"kind": "spline", "teeth": 12}, "90 deg", LimitResult.TOO_CLOSE),
        ({"kind": "round"}, "90 deg", LimitResult.KEEPS),
    ],
)
def test_a_wheel_off_straight_is_a_limit(bar: Tables, apart: str, result: LimitResult) -> None:
    """Half a tooth of 36 is 5 degrees, of 12 it is 15."""
    plan = planned(setting("bar", bar, setting("bores_apart", apart, saloon_cuts())))
    assert limit_of(plan, "wheel straight").result is result


def test_bores_nobody_compared_leave_the_wheel_not_known() -> None:
    limit = limit_of(planned(setting("bores_apart", None, saloon_cuts())), "wheel straight")
    assert isinstance(limit, NotKnown)
    assert limit.keys == ("cuts.bores_apart",)


@pytest.mark.parametrize(("start", "end", "clamp_moves"), [(400, 460, False), (600, 650, True), (627, 650, False)])
def test_the_nearest_place_set_as_printed_keeps_its_zones(start: float, end: float, clamp_moves: bool) -> None:
    """Typed as printed, in inches or in mm, the unit's own zones keep; what the clamp has to do is said beside it."""
    zone = {"name": "rubber joint", "measured_from": "hub seat", "starts": f"{start} mm", "ends": f"{end} mm"}
    tables = setting("zones", [zone], setting("column_kind", "plain", setting("stroke", None, saloon_cuts())))
    place = planned(tables).nearest[0]
    assert isinstance(place, NearestPlace)
    assert (place.set_mm / (25.4 / 32)) == pytest.approx(round(place.set_mm / (25.4 / 32)), abs=1e-6)
    assert ("clamp" in place.also) is clamp_moves
    for typed in (f"{place.set_mm} mm", f"{place.set_mm:.1f} mm"):
        again = planned(changed(tables, ("unit", "input_face"), typed))
        left = [text for text in not_kept(again) if "bracket clamp" not in text]
        assert left == []
        if not clamp_moves:
            assert not any(isinstance(one, NearestPlace) for one in again.nearest)


@pytest.mark.parametrize(
    ("tables", "nose_up_deg", "result"),
    [
        (setting("firewall.passes_dia", "3/4 in", saloon_cuts()), 0.0, LimitResult.OUTSIDE),
        (van_cuts(), 0.3, LimitResult.KEEPS),
    ],
)
def test_an_opening_for_the_shaft_alone_needs_the_jacket_s_rim_before_the_sheet(
    tables: Tables, nose_up_deg: float, result: LimitResult
) -> None:
    """Another road: the rim's points in the car, each carried down the column to the sheet's plane."""
    job = cut_job(tables)
    sheet = job.cuts.firewall
    assert sheet is not None
    assert sheet.along is not None
    plan = planned(tables)
    frame = ColumnAxis(job).column2car
    turns = np.linspace(0, 2 * np.pi, 3601)
    end = plan.chain.between("hub seat", "jacket end").mm
    half = job.column.jacket_od.mm / 2
    rim = frame.points(np.column_stack([half * np.cos(turns), half * np.sin(turns), np.full_like(turns, end)]))
    down = frame.rotation[:, 2]
    middle = frame.points([0.0, 0.0, sheet.along.mm])
    # The sheets stand square across; a slope by level is less by as much as the car's own nose was up.
    slope = sheet.slope.rad - np.radians(nose_up_deg)
    normal = np.array([-np.sin(slope), 0.0, -np.cos(slope)])
    ways = (middle - rim) @ normal / (down @ normal)
    assert value_of(plan, "from the jacket's rim to the sheet") == pytest.approx(ways.min(), abs=1e-3)
    assert limit_of(plan, "from the jacket's rim to the sheet").result is result
