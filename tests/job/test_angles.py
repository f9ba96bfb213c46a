"""Angles, leans and clock places as typed; closed form: an hour of a clock face is 30 degrees, a minute 0.5."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import BaseModel

from fitcheck.errors import LengthError
from fitcheck.geometry.frames import turned
from fitcheck.job.angles import Angle, ClockAngle, CrossAngle, Lean, SillAngle, clock_text, degrees
from fitcheck.job.texts import FromText

ANGLES = {
    "28.0 deg": (28.0, None),
    "28°": (28.0, None),
    "28 degrees": (28.0, None),
    "28½°": (28.5, None),
    "-3 deg": (-3.0, None),
    "0 deg": (0.0, None),
    "28.0 deg ± 0.5 deg": (28.0, 0.5),
    "28 +/- 0.5 deg": (28.0, 0.5),
}
LEANS = {
    "0.4 deg nose up": (0.4, "nose up", None),
    "0.4 deg nose down": (-0.4, "nose down", None),
    "0.3° Left Down": (0.3, "left down", None),
    "0.3 deg right down": (-0.3, "right down", None),
    "0.3 deg ± 0.1 deg right down": (-0.3, "right down", 0.1),
    "0.3 deg right down ± 0.1 deg": (-0.3, "right down", 0.1),
    "0 deg nose down": (0.0, "nose down", None),
    "level": (0.0, "level", None),
    "level ± 0.1 deg": (0.0, "level", 0.1),
}
CLOCKS = {
    "12:00": (0.0, None),
    "12:30": (15.0, None),
    "1:00": (30.0, None),
    "3:00": (90.0, None),
    "9:00": (270.0, None),
    "10:45": (322.5, None),
    "11:59": (359.5, None),
    "322.5 deg": (322.5, None),
    "0 deg": (0.0, None),
    "10:30 ± 5 deg": (315.0, 5.0),
    "315 ± 5 deg": (315.0, 5.0),
}
COMMA = "a comma is read differently in different places; write 28.5 deg or 285 deg"
ANGLE_EXAMPLES = '"28.0 deg" or "28°" or "28.0 deg ± 0.5 deg"'
LEAN_EXAMPLES = '"0.4 deg nose up" or "0.3 deg left down" or "level"'
CLOCK_EXAMPLES = '"10:45" or "322.5 deg" or "10:45 ± 5 deg"'
FACE = 'a clock face runs from 1:00 to 12:59; half past twelve is "12:30"'
ROUND = "clockwise from 12 o'clock it runs from 0 deg to below 360 deg"
NEITHER = f"is neither a clock time nor degrees; write it as in {CLOCK_EXAMPLES}"

REFUSED = [
    (Angle, "28", '"28" has no unit; write "28 deg"'),
    (Angle, "", "nothing is written here; write a number with its unit, or leave the key out"),
    (Angle, "28 rad", f'"28 rad": not an angle in degrees; write it as in {ANGLE_EXAMPLES}'),
    (Angle, "1:50", f'"1:50": not an angle in degrees; write it as in {ANGLE_EXAMPLES}'),
    (Angle, "361 deg", '"361 deg" is more than a full turn; check the number'),
    (Angle, "28 deg ± 0.5", '"0.5" has no unit; write "0.5 deg"'),
    (Angle, "28,5 deg", f'"28,5 deg": {COMMA}; write it as in {ANGLE_EXAMPLES}'),
    (Lean, "0.4 deg", f'"0.4 deg" has to say which way, once; write it as in {LEAN_EXAMPLES}'),
    (
        Lean,
        "0.4 deg nose up left down",
        f'"0.4 deg nose up left down" has to say which way, once; write it as in {LEAN_EXAMPLES}',
    ),
    (Lean, "nose up", '"nose up" does not say how far; write it as in "0.4 deg nose up"'),
    (Lean, "0.4 deg level", '"0.4 deg level": level has no angle; write "level", or the angle and which way'),
    (Lean, "-0.4 deg nose up", '"-0.4 deg nose up": the word says which way, so write the angle without the minus'),
    (Lean, "50 deg nose up", '"50 deg nose up": a car does not sit over 45 deg; check the reading'),
    (
        SillAngle,
        "1 deg left down",
        '"1 deg left down": another lean is asked for here, as in "0.4 deg nose up" or "0.4 deg nose down" or "level"',
    ),
    (
        CrossAngle,
        "1 deg nose up",
        '"1 deg nose up": another lean is asked for here, as in "0.3 deg left down" or "0.3 deg right down" or "level"',
    ),
    (ClockAngle, "13:00", f'"13:00": {FACE}'),
    (ClockAngle, "0:30", f'"0:30": {FACE}'),
    (ClockAngle, "10:75", f'"10:75": {FACE}'),
    (ClockAngle, "10.45", f'"10.45" {NEITHER}'),
    (ClockAngle, "10:5", f'"10:5" {NEITHER}'),
    (ClockAngle, "10", '"10": a clock place is written "10:00"'),
    (ClockAngle, "9 o'clock", '"9 o\'clock": a clock place is written "9:00"'),
    (ClockAngle, "9:30 O\N{RIGHT SINGLE QUOTATION MARK}Clock", '"9:30 O\'Clock": a clock place is written "9:30"'),
    (ClockAngle, "0", f'"0" {NEITHER}'),
    (ClockAngle, "13 o'clock", f'"13 o\'clock" {NEITHER}'),
    (ClockAngle, "-10:30", f'"-10:30" {NEITHER}'),
    (ClockAngle, "10:30 ± 0:10", f'"0:10" {NEITHER}'),
    (ClockAngle, "360 deg", f'"360 deg": {ROUND}'),
    (ClockAngle, "359.99999999999999999 deg", f'"359.99999999999999999 deg": {ROUND}'),
    (ClockAngle, "-5 deg", f'"-5 deg": {ROUND}'),
    (ClockAngle, "٣:00", '"٣:00": "٣" is not one of the digits 0 to 9; write it with those'),
]


class Readings(BaseModel):
    angle: Angle
    lean: SillAngle
    clock: ClockAngle


def spread_deg(spread_rad: float | None) -> float | None:
    return None if spread_rad is None else math.degrees(spread_rad)


@pytest.mark.parametrize(("text", "expected"), ANGLES.items())
def test_an_angle_is_read(text: str, expected: tuple[float, float | None]) -> None:
    angle = Angle.parse(text)
    assert (math.degrees(angle.rad), spread_deg(angle.spread_rad)) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize(("text", "expected"), LEANS.items())
def test_a_lean_is_read_with_its_way(text: str, expected: tuple[float, str, float | None]) -> None:
    lean = Lean.parse(text)
    assert (math.degrees(lean.rad), spread_deg(lean.spread_rad)) == pytest.approx((expected[0], expected[2]), abs=1e-12)
    assert lean.way == expected[1]
    assert math.copysign(1, lean.rad) == math.copysign(1, expected[0])


def test_leans_are_right_hand_turns_of_the_car() -> None:
    back, right = np.eye(3)[0], np.eye(3)[1]
    up = Lean.parse("10 deg nose up")
    assert turned(-back, right, up.rad)[2] == pytest.approx(math.sin(math.radians(10)), abs=1e-15)
    left = Lean.parse("10 deg left down")
    assert turned(-right, back, left.rad)[2] == pytest.approx(-math.sin(math.radians(10)), abs=1e-15)


@pytest.mark.parametrize(("text", "expected"), CLOCKS.items())
def test_a_clock_place_is_read(text: str, expected: tuple[float, float | None]) -> None:
    clock = ClockAngle.parse(text)
    assert (math.degrees(clock.rad), spread_deg(clock.spread_rad)) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize(("kind", "text", "message"), REFUSED)
def test_what_is_refused_says_what_to_write(kind: type[FromText], text: str, message: str) -> None:
    with pytest.raises(LengthError) as caught:
        kind.parse(text)
    assert str(caught.value) == message


NEARLY = st.lists(
    st.sampled_from([*"0123456789.:,/-±° ", "deg", "nose up", "left down", "level", "½"]), max_size=9
).map("".join)


def read_or_refusal(kind: type[Angle | Lean | ClockAngle], text: str) -> Angle | Lean | ClockAngle | str:
    try:
        return kind.parse(text)
    except LengthError as refusal:
        return str(refusal)


@given(st.sampled_from([Angle, Lean, SillAngle, CrossAngle, ClockAngle]), st.text(max_size=90) | NEARLY)
def test_no_text_raises_anything_else(kind: type[Angle | Lean | ClockAngle], text: str) -> None:
    found = read_or_refusal(kind, text)
    if isinstance(found, str):
        assert found
    else:
        assert -math.tau <= found.rad <= math.tau
        assert found.spread_rad is None or 0 <= found.spread_rad <= math.tau


@given(st.integers(1, 12), st.integers(0, 59))
def test_every_minute_of_the_face_is_said_as_it_was_written(hour: int, minute: int) -> None:
    clock = ClockAngle.parse(f"{hour}:{minute:02d}")
    assert 0 <= clock.rad < math.tau
    assert degrees(clock.rad) == pytest.approx(30 * (hour % 12) + minute / 2, abs=1e-12)
    assert clock_text(clock.rad) == f"{hour}:{minute:02d}"


@pytest.mark.parametrize(
    ("deg", "text"),
    [(0, "12:00"), (360, "12:00"), (-30, "11:00"), (359.8, "12:00"), (359.7, "11:59"), (0.2, "12:00"), (0.3, "12:01")],
)
def test_a_clock_place_is_said_to_the_nearest_minute(deg: float, text: str) -> None:
    assert clock_text(math.radians(deg)) == text


def test_a_clock_place_that_is_no_number_is_refused() -> None:
    with pytest.raises(LengthError, match="nan is not a finite angle"):
        clock_text(math.nan)


def test_fields_keep_the_text_and_describe_themselves_to_editors() -> None:
    readings = Readings.model_validate({"angle": "28°", "lean": "level", "clock": "10:45"})
    assert readings.model_dump_json() == '{"angle":"28°","lean":"level","clock":"10:45"}'
    for kind, name in ((Angle, "angle"), (SillAngle, "lean"), (ClockAngle, "clock")):
        schema = Readings.model_json_schema()["properties"][name]
        assert schema["type"] == "string"
        assert all(isinstance(kind.parse(example), kind) for example in schema["examples"])
