"""What both drawings show of the yokes is what the words say: the moved one moved, its teeth counted from the mark."""

import re
from math import degrees, radians

import pytest

from fitcheck.limits import NotKnown
from fitcheck.report.shaft_words import phase_words
from fitcheck.report.yokes import Yoke, yokes
from fitcheck.shaft.joints import half_turn
from fitcheck.shaft.results import PhaseRow, ShaftChapter
from tests.jobs import Tables
from tests.shaft import cars


def rows(found: ShaftChapter) -> tuple[PhaseRow, ...]:
    assert not isinstance(found.phases, NotKnown)
    return found.phases


JOBS = {
    "saloon": cars.saloon(),
    "spline at the rack end": cars.saloon(pieces=[cars.telescoping(wheel_end=cars.DOUBLE_D, rack_end=cars.spline())]),
    "vernier": cars.saloon(pieces=[cars.telescoping(wheel_end=cars.spline(36), rack_end=cars.spline(30))]),
    "marked off": cars.saloon(pieces=[cars.telescoping(at_mark="20 deg")]),
    "van": cars.van(),
}


@pytest.mark.parametrize("name", JOBS)
def test_the_drawn_yokes_do_what_the_words_say(name: str) -> None:
    found = cars.chapter(JOBS[name], 0)
    for row in rows(found):
        wheel, rack = yokes(found, row)
        assert abs(half_turn(rack.as_set - wheel.as_set - row.chosen.phase)) < 1e-9
        assert (wheel.at_mark, rack.at_mark) == (0.0, row.base)
        said = dict(
            re.findall(r"move the (\S+) yoke (.*? (?:clock|anticlock)wise) seen from the wheel end", words(found))
        )
        drawn = {yoke.end: yoke.words for yoke in (wheel, rack) if yoke.words}
        assert {end: re.sub(r" of \d+", "", text) for end, text in said.items()} == drawn


def words(found: ShaftChapter) -> str:
    return " ".join(phase_words(found, row) for row in rows(found))


def test_the_saloons_wheel_end_yoke_goes_three_teeth_and_the_other_stays() -> None:
    """36 teeth: 10 deg each; the dot ends 30 deg clockwise, and the rack-end yoke is not drawn moved."""
    found = cars.chapter(cars.saloon(), 0)
    wheel, rack = yokes(found, rows(found)[0])
    assert degrees(wheel.as_set) == pytest.approx(30.0, abs=1e-9)
    assert [(round(degrees(at)), label) for at, label in wheel.counted] == [(0, "0"), (10, "1"), (20, "2"), (30, "3")]
    assert (rack.as_set, rack.counted, rack.words) == (0.0, (), "")


def test_many_teeth_are_ticked_one_by_one_and_numbered_by_threes() -> None:
    yoke = Yoke("rack-end", 0.0, -11, radians(10))
    assert [label for _, label in yoke.counted] == ["0", "", "", "3", "", "", "6", "", "", "9", "", "11"]
    assert degrees(yoke.counted[-1][0]) == pytest.approx(-110)
    assert yoke.words == "11 teeth anticlockwise"


def test_half_a_turn_and_weld_on() -> None:
    assert Yoke("rack-end", 0.0, 1, radians(180)).words == "half a turn clockwise"
    welded: Tables = cars.van(pieces=[cars.bar(wheel_end=cars.WELD_ON, rack_end=cars.WELD_ON)])
    found = cars.chapter(welded, 0)
    wheel, rack = yokes(found, rows(found)[0])
    assert (wheel.words, rack.words) == ("", "")
    assert rack.as_set == rows(found)[0].chosen.phase
