"""The firewall opening of a whole job: the column's direction, how the car sat, and their spreads. Degrees and mm."""

from math import cos, degrees, hypot

import pytest

from fitcheck.cuts.firewall import Opening
from fitcheck.cuts.limits import NotKnown
from fitcheck.cuts.sheet import tilt_spread
from tests.cuts.cut_jobs import cut_job, planned, saloon_cuts, setting, van_cuts
from tests.jobs import Tables, changed


def opening_of(tables: Tables) -> Opening:
    found = planned(tables).opening
    assert isinstance(found, Opening)
    return found


def test_the_van_s_column_is_nearly_square_to_its_toe_board() -> None:
    """By level the column goes 49.7 deg down; square to a sheet that rises 50 deg would be 40: 9.7 off."""
    hole = opening_of(van_cuts())
    assert degrees(hole.tilt_rad) == pytest.approx(9.7, abs=0.05)
    assert hole.minor_mm == pytest.approx(19 + 2 * 5, abs=1e-9)
    assert hole.major.mm == pytest.approx(hole.minor_mm / cos(hole.tilt_rad), abs=1e-9)


def test_how_the_car_sat_changes_no_angle_between_two_things_read_by_level() -> None:
    level = changed(van_cuts(), ("job", "sat"), "level")
    assert opening_of(level).tilt_rad == pytest.approx(opening_of(van_cuts()).tilt_rad, abs=1e-9)


def test_spread_of_a_column_read_by_gauge() -> None:
    """Straight ahead, 0.2 deg down the column turns it against the sheet by as much; 0.2 deg in plan not at all."""
    job = cut_job(changed(van_cuts(), ("column", "across"), "0 deg ± 0.2 deg"))
    assert job.cuts.firewall is not None
    assert degrees(tilt_spread(job, job.cuts.firewall)) == pytest.approx(0.2, abs=1e-3)


def test_how_the_car_sat_counts_where_the_column_is_taped_and_the_sheet_is_gauged() -> None:
    """The saloon's column is known by two taped places; a sill angle good to 0.5 deg turns the sheet against it."""
    tables = saloon_cuts()
    taped = cut_job(tables)
    sat = {"sill_angle": "0.3 deg nose up ± 0.5 deg", "cross_angle": "level"}
    gauged = cut_job(changed(tables, ("job", "sat"), sat))
    assert taped.cuts.firewall is not None
    less, more = (degrees(tilt_spread(job, taped.cuts.firewall)) for job in (taped, gauged))
    assert hypot(less, 0.5) - 0.02 < more < hypot(less, 0.5, 0.5)


def test_a_job_without_a_sheet_says_what_to_measure_and_changes_no_result() -> None:
    plan = planned(setting("firewall", None, saloon_cuts()))
    assert isinstance(plan.opening, NotKnown)
    assert plan.opening.keys == ("cuts.firewall",)
    assert plan.result == planned(saloon_cuts()).result
