"""The inch against scipy.constants, and published decimal equivalents of its fractions.

`scipy.constants.inch` is 0.0254 m exactly (international inch, agreement of 1959). Decimal equivalents in mm are those
of any machinist's table (recalled, not read; each follows from 25.4 / n, which is exact).
"""

import math

import pytest
from scipy import constants

from fitcheck.job.lengths import MM_PER_INCH, parse_length
from tests import jobs
from tests.placement.bodies import part, piece, spot

DECIMALS = {
    "1/64 in": 0.396875,
    "1/32 in": 0.79375,
    "1/16 in": 1.5875,
    "3/32 in": 2.38125,
    "1/8 in": 3.175,
    "3/16 in": 4.7625,
    "1/4 in": 6.35,
    "5/16 in": 7.9375,
    "3/8 in": 9.525,
    "7/16 in": 11.1125,
    "1/2 in": 12.7,
    "9/16 in": 14.2875,
    "5/8 in": 15.875,
    "11/16 in": 17.4625,
    "3/4 in": 19.05,
    "13/16 in": 20.6375,
    "7/8 in": 22.225,
    "15/16 in": 23.8125,
    "63/64 in": 25.003125,
}


def test_the_inch_and_foot_of_scipy() -> None:
    assert float(MM_PER_INCH) == constants.inch * 1000
    assert parse_length("1 in").mm == constants.inch * 1000
    assert math.isclose(parse_length("1 ft").mm, constants.foot * 1000, rel_tol=0, abs_tol=1e-12)
    assert math.isclose(parse_length("1' 3 1/2\"").mm, (constants.foot + 3.5 * constants.inch) * 1000, abs_tol=1e-9)


@pytest.mark.parametrize("fraction", DECIMALS)
def test_decimal_equivalents(fraction: str) -> None:
    assert parse_length(fraction).mm == DECIMALS[fraction]
    assert math.isclose(parse_length(f"15 {fraction}").mm, 15 * 25.4 + DECIMALS[fraction], rel_tol=0, abs_tol=1e-12)


def test_a_job_in_inches_places_what_the_same_job_in_millimetres_does() -> None:
    """16 15/16 in = 430.2125 mm and 1 1/2 in = 38.1 mm, by scipy's inch."""
    inches = jobs.bare(unit=jobs.unit("9:00", input_face="16 15/16 in"))
    hub_seat = {"back": "25 in", "left": "1/2 in", "up": "1 ft 1 1/4 in"}
    inches["column"] = {**inches["column"], "jacket_od": "1 1/2 in", "hub_seat": hub_seat}
    unit = 1000 * constants.inch
    metric = jobs.bare(unit=jobs.unit("9:00", input_face=jobs.mm((16 + 15 / 16) * unit)))
    hub_seat = jobs.at(25 * unit, -unit / 2, 13.25 * unit)
    metric["column"] = {**metric["column"], "jacket_od": jobs.mm(1.5 * unit), "hub_seat": hub_seat}
    ends = [spot(piece(part(jobs.scene(tables), "unit"), "motor can"), "far end") for tables in (inches, metric)]
    assert abs(ends[0] - ends[1]).max() <= 1e-9
