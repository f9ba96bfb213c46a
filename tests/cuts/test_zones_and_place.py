"""Zones not to be cut or clamped, the nearest allowed place, the bracket's clamp, what must stay where it is. mm."""

import pytest

from fitcheck.cuts.limits import Limit, LimitResult, NotKnown
from fitcheck.cuts.nearest import NearestPlace, NoPlace
from tests.cuts.cut_jobs import limit_of, not_kept, planned, saloon_cuts, setting, value_of, van_cuts
from tests.jobs import Tables, changed

INPUT_FACE_MM, JACKET_TOP_MM = 430.2125, 60.325
STEP_MM = 25.4 / 32


def with_zone(start: float, end: float, tables: Tables, **more: object) -> Tables:
    """One zone more, along from the hub seat."""
    zone = {"name": "rubber joint", "measured_from": "hub seat", "starts": f"{start} mm", "ends": f"{end} mm", **more}
    return setting("zones", [*tables["cuts"]["zones"], zone], tables)


def test_a_cut_inside_a_zone_is_refused_with_the_zone_and_the_nearest_place() -> None:
    plan = planned(with_zone(560, 640, saloon_cuts()))
    cut = limit_of(plan, "rubber joint - stretch cut out of the jacket")
    assert isinstance(cut, Limit)
    assert cut.result is LimitResult.OUTSIDE
    assert cut.reason == (
        "in 'rubber joint', 560.0 mm (22 1/16 in) to 640.0 mm (25 3/16 in) along: not to be cut or clamped"
    )
    assert plan.result is LimitResult.OUTSIDE
    (place,) = plan.nearest
    assert isinstance(place, NearestPlace)
    assert place.move_mm < -(INPUT_FACE_MM + 195 - 560)
    assert place.input_face_mm == pytest.approx(INPUT_FACE_MM + place.move_mm, abs=1e-9)


def test_the_nearest_place_keeps_every_zone_and_none_nearer_does() -> None:
    """The unit moved there and judged again; and half a millimetre short of it, on both sides of where it was."""
    tables = with_zone(560, 640, saloon_cuts())
    (place,) = planned(tables).nearest
    assert isinstance(place, NearestPlace)

    def zones_at(move: float) -> list[str]:
        moved = changed(tables, ("unit", "input_face"), f"{INPUT_FACE_MM + move} mm")
        return [text for text in not_kept(planned(moved)) if "rubber joint" in text or "section" in text]

    assert zones_at(place.move_mm) == []
    assert zones_at(round(INPUT_FACE_MM + place.move_mm, 1) - INPUT_FACE_MM) == []
    assert zones_at(place.move_mm + 3 * STEP_MM) != []
    assert zones_at(-place.move_mm) != []


def test_where_no_place_keeps_the_zones_it_says_so() -> None:
    place, clamp = planned(with_zone(340, 690, saloon_cuts())).nearest
    assert place == NoPlace("no place on this column keeps every zone")
    assert isinstance(clamp, NoPlace)
    assert clamp.reason.startswith("rubber joint - bracket clamp: no place of the unit changes that")


def test_a_zone_nearer_than_the_readings_are_good_is_too_close_to_call() -> None:
    """The lower collar's mouth is at 625.2; a zone from 627 is 1.8 off, with over 2 mm of spread."""
    limit = limit_of(planned(with_zone(627, 650, saloon_cuts())), "rubber joint - lower jacket held")
    assert limit.result is LimitResult.TOO_CLOSE


def test_a_zone_that_only_forbids_clamping_may_be_cut_away() -> None:
    tables = with_zone(480, 560, saloon_cuts(), forbids=["clamp"])
    assert not_kept(planned(tables)) == []
    assert any(
        "stretch cut out" in text for text in not_kept(planned(with_zone(480, 560, saloon_cuts(), forbids=["cut"])))
    )


def test_a_clamp_in_a_zone_is_refused() -> None:
    """The saloon's bracket clamp is 30 wide from 390."""
    plan = planned(with_zone(400, 410, saloon_cuts(), forbids=["clamp"]))
    assert not_kept(plan) == [
        "rubber joint - bracket clamp: in 'rubber joint', 400.0 mm (15 3/4 in) to 410.0 mm (16 5/32 in) along: not to "
        "be clamped"
    ]


def test_a_zone_on_the_shaft_does_not_concern_the_jacket() -> None:
    plan = planned(with_zone(560, 640, saloon_cuts(), on="shaft"))
    assert {text.split(":")[0] for text in not_kept(plan)} == {
        "rubber joint - stretch cut out of the shaft",
        "rubber joint - lower shaft held in the unit",
    }


def test_a_zone_on_a_stock_whose_cuts_are_not_known_is_not_known() -> None:
    plan = planned(setting("unit.output_depth", None, saloon_cuts()))
    limit = limit_of(plan, "shear pins - every cut of the shaft")
    assert isinstance(limit, NotKnown)
    assert limit.measure == "lower shaft not planned"


def test_the_bracket_clamp_stays_on_jacket_that_is_kept() -> None:
    plan = planned(saloon_cuts())
    assert value_of(plan, "bracket clamp - unit input face") == pytest.approx(INPUT_FACE_MM - 420, abs=1e-9)
    assert value_of(plan, "bracket clamp - jacket top") == pytest.approx(390 - JACKET_TOP_MM, abs=1e-9)
    moved = planned(changed(saloon_cuts(), ("bracket", "clamp", "along"), "410 mm"))
    assert limit_of(moved, "bracket clamp - unit input face").result is LimitResult.OUTSIDE


def test_what_must_stay_lies_above_the_unit() -> None:
    plan = planned(van_cuts())
    assert value_of(plan, "horn contact: stays") == pytest.approx(315 - 95, abs=1e-9)
    low = planned(setting("kept", [{"name": "lock collar", "on": "shaft", "along": "330 mm"}], van_cuts()))
    assert limit_of(low, "lock collar: stays").result is LimitResult.OUTSIDE
