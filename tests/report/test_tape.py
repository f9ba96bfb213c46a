"""Lengths by tape: each unit by itself on its own step, to the side that errs safely; lines that keep units together.

The steps are 1/32 in and half a millimetre (an inch is 25.4 mm exactly); what is due is worked out by fractions.
"""

from fractions import Fraction
from math import ceil, floor

import pytest

from fitcheck.job.lengths import parse_length
from fitcheck.report.lines import broken
from fitcheck.report.tape import at_least, at_most, between, finished, mark, near, set_at

INCH, HALF = Fraction(254, 320), Fraction(1, 2)


def steps(said: str) -> tuple[Fraction, Fraction]:
    """The inches in 32nds, in mm, and the mm, as they are told."""
    inches, mm = said.removesuffix(")").split(" (")
    return Fraction(round(parse_length(inches).mm / float(INCH))) * INCH, Fraction(mm.removesuffix(" mm"))


@pytest.mark.parametrize("mm", ["58.8", "404.034", "602.456", "0.3", "16", "25.4", "139.7", "457.2"])
def test_each_unit_is_rounded_by_itself(mm: str) -> None:
    true = Fraction(mm)
    for said, way in ((at_least(float(true), "in"), ceil), (at_most(float(true), "in"), floor)):
        assert steps(said) == (way(true / INCH) * INCH, way(true / HALF) * HALF)
    assert mark(float(true), 1, "in") == at_least(float(true), "in")
    assert mark(float(true), -1, "in") == at_most(float(true), "in")
    inches, half = steps(near(float(true), "in"))
    assert abs(inches - true) <= INCH / 2 and abs(half - true) <= HALF / 2


def test_the_job_s_own_unit_stands_first_and_a_screen_in_mm_has_mm_alone() -> None:
    assert near(430.2125, "mm") == "430 mm (16 15/16 in)"
    assert set_at(430.2125, "mm") == "430 mm"
    assert set_at(430.2125, "in") == near(430.2125, "in") == "16 15/16 in (430 mm)"


def test_a_finished_length_stays_in_its_band_or_goes_to_the_caliper() -> None:
    """457.2 mm: 457 is nearest; not allowed under 457.1 it is 457.5; between 457.1 and 457.3 there is no half mm."""
    assert finished(457.2, 456.2, 458.2, "in") == "18 in (457 mm)"
    assert finished(457.2, 457.1, 458.2, "in") == "18 in (457.5 mm)"
    assert finished(457.2, 457.1, 457.3, "in") == "18 in (457.2 mm by caliper)"


def test_a_band_is_rounded_inward() -> None:
    assert between(763.9, 765.4, "in") == "30 3/32 in (764 mm) to 30 1/8 in (765 mm)"
    assert between(763.93, 764.28, "in") == "764.0 to 764.2 mm"


def test_lines_keep_a_number_with_its_unit_and_lose_no_letter() -> None:
    text = "required 1 5/16 in (33.3 mm), give or take 2.8 mm; " + "W" * 30
    for width in range(12, 60):
        lines = broken(text, lambda line, most=width: len(line) <= most)  # type: ignore[misc]
        assert all(len(line) <= width for line in lines)
        assert "".join("".join(lines).split()) == "".join(text.split())
        assert not any(line.startswith(("mm", "in ", "5/16")) for line in lines)
    ended = broken(text, lambda line: len(line) <= 20, most=2)
    assert len(ended) == 2 and ended[1].endswith("\u2026")


def test_an_inch_step_outside_the_band_is_left_out() -> None:
    """10 9/32 in is 261.14 mm, proud of a band that ends at 261.05; 10 1/4 in is 260.35, short of it."""
    assert finished(261.0, 260.9, 261.05, "mm") == "261 mm"
    assert finished(261.0, 260.9, 261.05, "in") == "261 mm"
    assert finished(260.7, 260.62, 260.78, "in") == "260.7 mm by caliper"
    assert finished(260.75, 260.74, 260.76, "in") == "260.75 mm by caliper"
