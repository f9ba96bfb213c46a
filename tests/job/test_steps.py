"""The 1/32 in step: inches as said, rounding down, to the nearest and up, against exact fractions (1 in = 25.4 mm)."""

from fractions import Fraction
from math import inf, nan, nextafter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.errors import LengthError
from fitcheck.job.lengths import inches_text, parse_length, round_down_32, round_to_32, round_up_32, step_count

INCH = Fraction(254, 10)


@given(st.integers(-32 * 3000, 32 * 3000))
def test_inches_as_said_are_read_back(count: int) -> None:
    mm = float(count * INCH / 32)
    assert parse_length(inches_text(mm)).mm == mm


@pytest.mark.parametrize(
    ("mm", "denominator", "text"),
    [
        (0.0, 32, "0 in"),
        (-0.1, 32, "0 in"),
        (104.775, 32, "4 1/8 in"),
        (393.7, 32, "15 1/2 in"),
        (-393.7, 32, "-15 1/2 in"),
        (12.7, 32, "1/2 in"),
        (-0.79375, 32, "-1/32 in"),
        (0.396875, 32, "1/32 in"),
        (-0.396875, 32, "-1/32 in"),
        (0.396875, 64, "1/64 in"),
        (100.0, 16, "3 15/16 in"),
        (25.39, 32, "1 in"),
    ],
)
def test_inches_are_said_to_the_nearest_step(mm: float, denominator: int, text: str) -> None:
    assert inches_text(mm, denominator) == text


@given(st.floats(-100_000, 100_000))
def test_steps_enclose_the_length_and_are_whole(mm: float) -> None:
    step, stray = INCH / 32, Fraction(1, 10**9)
    low, near, high = (step_count(mm, way) * step for way in ("down", "nearest", "up"))
    assert low - stray <= Fraction(mm) <= high + stray
    assert high - low in (0, step)
    assert abs(near - Fraction(mm)) <= step / 2 + stray
    assert (round_down_32(mm), round_to_32(mm), round_up_32(mm)) == (float(low), float(near), float(high))


@given(st.integers(-32 * 3000, 32 * 3000), st.sampled_from([-inf, inf]))
def test_a_length_on_a_step_stays_there_whatever_its_last_bit(count: int, side: float) -> None:
    mm = float(count * INCH / 32)
    for near in (mm, nextafter(mm, side)):
        assert round_down_32(near) == round_to_32(near) == round_up_32(near) == mm


def test_a_tenth_of_a_millimetre_off_a_step_is_not_on_it() -> None:
    assert (round_down_32(393.8), round_up_32(393.6)) == (393.7, 393.7)
    assert round_up_32(393.7 + 1e-6) == 394.49375
    assert round_down_32(393.7 - 1e-6) == 392.90625


def test_steps_refuse_what_is_no_step_or_no_number() -> None:
    with pytest.raises(LengthError, match="1/10 in is no step of a tape"):
        inches_text(1.0, 10)
    for number in (nan, inf):
        with pytest.raises(LengthError, match="is not a finite number of mm"):
            round_to_32(number)
