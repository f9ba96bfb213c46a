"""How the clocks and places a search may try are written, and what is said to what cannot be read."""

import math

import pytest

from fitcheck.errors import JobError, LengthError
from fitcheck.job.clocking import AllowedClocks, AlongStretch
from tests import jobs


@pytest.mark.parametrize(
    ("text", "kind", "degrees"),
    [
        ("any", "any", []),
        ("9:00 to 1:30", "stretch", [270, 405]),
        ("1:30 to 9:00", "stretch", [45, 270]),
        ("350 deg to 10 deg", "stretch", [350, 370]),
        ("3 holes, one at 10:45", "steps", [82.5, 202.5, 322.5]),
        ("4 holes at 12:00", "steps", [0, 90, 180, 270]),
        ("1 hole, one at 6:00", "steps", [180]),
        ("10:45, 2:45, 6:45", "steps", [82.5, 202.5, 322.5]),
        ("10:45", "steps", [322.5]),
    ],
)
def test_clocks_as_written(text: str, kind: str, degrees: list[float]) -> None:
    clocks = AllowedClocks.parse(text)
    assert clocks.kind == kind
    assert [math.degrees(rad) for rad in clocks.rads] == pytest.approx(degrees, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("9:00 to 9:00", 'for all the way round write "any"'),
        ("13:00 to 2:00", "a clock face runs from 1:00 to 12:59"),
        ("0 holes, one at 9:00", "1 to 72 holes, not 0"),
        ("10:45, 10:46", "less than a degree apart"),
        ("10:45 ± 2 deg", "has no give or take"),
        ("free to turn", "the whole is written as in"),
        ("", "nothing is written here"),
    ],
)
def test_clocks_that_cannot_be_read(text: str, said: str) -> None:
    with pytest.raises(LengthError, match=said):
        AllowedClocks.parse(text)


def test_places_as_written() -> None:
    stretch = AlongStretch.parse("16 in to 17 1/2 in")
    assert (stretch.start_mm, stretch.end_mm) == pytest.approx((406.4, 444.5), abs=1e-9)
    for text, said in [
        ("400 mm", "from where to where"),
        ("450 mm to 400 mm", "the one nearer the wheel"),
        ("400 to 450 mm", "has no unit"),
        ("400 mm ± 1 mm to 450 mm", "has no give or take"),
    ]:
        with pytest.raises(LengthError, match=said):
            AlongStretch.parse(text)


def test_faults_stand_at_their_key() -> None:
    with pytest.raises(JobError, match=r"clocking\.clocks: .*the whole is written as in"):
        jobs.job(jobs.bare(clocking={"clocks": "somewhere"}))
    with pytest.raises(JobError, match=r"clocking\.places: the bare number 3"):
        jobs.job(jobs.bare(clocking={"places": 3}))
