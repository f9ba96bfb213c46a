"""Tilt and reach of the column ([groups.column]) in the shaft: angles, ripple and slip at both ends of each.

Second road: the first joint turned and slid by scipy's Rotation, angles by their cosines, ripple from pins carried
through the crosses in small steps. Movements go as far as stated, and beyond by what the reading may be off.
"""

from typing import Any

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from fitcheck.geometry.frames import Vector
from fitcheck.limits import LimitResult, NotKnown
from fitcheck.shaft.results import Bend, Check, Evenness, PieceRow, ShaftChapter
from fitcheck.shaft.setup import Setup
from tests.jobs import Tables, at, mm
from tests.shaft import cars

HUB = np.array([636.0, -13.0, 398.0])
LOW = np.array([88.297, -1.805, 106.925])
WAY = (LOW - HUB) / np.linalg.norm(LOW - HUB)
FIRST = HUB + 780.4 * WAY
BOX = np.array([-440.0, -95.0, -270.0])
BOX_WAY = np.array(
    [
        -np.cos(np.radians(18)) * np.cos(np.radians(4)),
        -np.cos(np.radians(18)) * np.sin(np.radians(4)),
        -np.sin(np.radians(18)),
    ]
)
ACROSS = np.cross([0.0, 0.0, 1.0], WAY) / np.linalg.norm(np.cross([0.0, 0.0, 1.0], WAY))


def tilting(pivot_along: float, up: float = 24, down: float = 16) -> Tables:
    pivot = HUB + pivot_along * WAY
    return {"tilt": {"pivot": at(*pivot.tolist()), "up": f"{up} mm ± 1 mm", "down": f"{down} mm ± 1 mm"}}


def reaching(slides_at: float) -> Tables:
    return {"reach": {"slides_at": mm(slides_at), "toward_driver": "20 mm ± 1 mm", "away": "15 mm ± 1 mm"}}


def saloon(column: Tables, **upper: Any) -> Tables:
    tables = cars.saloon(upper={"joint_along": "780.4 mm ± 1 mm", **upper})
    return {**tables, "groups": {"column": column}}


def lever_turn(chord: float, pivot_along: float) -> float:
    """The turn that takes the hub seat a straight `chord` (with the 1 mm it may be off), about a pivot on the axis."""
    return 2 * float(np.arcsin((chord + 1) / 2 / pivot_along))


def tilted(pivot_along: float, turn: float, place: Vector, way: Vector) -> tuple[Vector, Vector]:
    """Place and way with the wheel tilted up by `turn`: about the level line across, so that the hub seat rises."""
    pivot = HUB + pivot_along * WAY
    for sign in (1, -1):
        turning = Rotation.from_rotvec(sign * turn * ACROSS)
        if (turning.apply(HUB - pivot)[2] > (HUB - pivot)[2]) == (turn > 0):
            return pivot + turning.apply(place - pivot), turning.apply(way)
    raise AssertionError


def two_bends(place: Vector, way: Vector) -> tuple[float, float, float]:
    """Both joint angles and centre to centre, by cosines."""
    span = BOX - place
    shaft = span / np.linalg.norm(span)
    bends = (np.arccos(way @ shaft), np.arccos(shaft @ BOX_WAY))
    return float(bends[0]), float(bends[1]), float(np.linalg.norm(span))


def ripple_pct(place: Vector, way: Vector, phase: float) -> float:
    """Most less least speed in small steps, by pins: each driven one square to its own shaft and to the driving one."""
    return ripple_between(place, BOX, way, BOX_WAY, phase, 20_001)


def ripple_between(
    place: Vector, last: Vector, way: Vector, box_way: Vector, phase: float, count: int = 2_001
) -> float:
    """The same between any two joints."""
    shaft = (last - place) / np.linalg.norm(last - place)
    steps = np.linspace(0, np.pi, count)
    first = np.cross(np.cross(way, shaft), way)
    pins = Rotation.from_rotvec(steps[:, None] * way).apply(first / np.linalg.norm(first))
    pins = np.cross(shaft, pins)
    pins = np.cross(box_way, Rotation.from_rotvec(phase * shaft).apply(pins))
    pins /= np.linalg.norm(pins, axis=1)[:, None]
    turned = np.arctan2(np.cross(pins[:-1], pins[1:]) @ box_way, (pins[:-1] * pins[1:]).sum(axis=1))
    return float(100 * np.ptp(turned) / (steps[1] - steps[0]))


def bend(found: ShaftChapter, joint: int) -> Bend:
    row = found.joints[joint].bend
    assert isinstance(row, Bend)
    return row


def even(found: ShaftChapter) -> Evenness:
    assert not isinstance(found.evenness, NotKnown)
    return found.evenness


def piece(found: ShaftChapter) -> PieceRow:
    (row,) = found.pieces
    assert not isinstance(row, NotKnown)
    return row


def column_moves(found: ShaftChapter) -> list[Check]:
    return [check for check in found.checks if check.key == "column_moves"]


def test_a_shaft_straight_through_the_pivot_swings_its_lower_end() -> None:
    found = cars.chapter(saloon(tilting(690), straight_through=True), 0)
    phase = float(even(found).chain.phases[0])
    ends = [tilted(690, turn, FIRST, WAY) for turn in (lever_turn(24, 690), -lever_turn(16, 690))]
    by_hand = [two_bends(*end) for end in [(FIRST, WAY), *ends]]
    for joint in (0, 1):
        assert_allclose(bend(found, joint).largest, max(each[joint] for each in by_hand), atol=1e-6)
    words = ["as measured", "column tilted fully up", "column tilted fully down"]
    assert [when for when, _ in piece(found).at_stands] == words
    assert_allclose(
        [change for _, change in piece(found).at_stands], [e[2] - by_hand[0][2] for e in by_hand], atol=1e-6
    )
    ripples = [ripple_pct(place, way, phase) for place, way in [(FIRST, WAY), *ends]]
    assert_allclose(even(found).ripple_pct, ripples[0], atol=2e-3)
    assert_allclose(even(found).worst_pct, max(ripples), atol=2e-3)
    assert even(found).worst_when == words[int(np.argmax(ripples))]


def test_the_worst_lies_at_an_end_of_the_tilt() -> None:
    """A fine scan over the whole tilt finds no angle larger than at its ends."""
    turns = np.linspace(-lever_turn(16, 690), lever_turn(24, 690), 201)
    scanned = np.array([two_bends(*tilted(690, float(turn), FIRST, WAY))[:2] for turn in turns])
    found = cars.chapter(saloon(tilting(690), straight_through=True), 0)
    assert_allclose(scanned.max(axis=0), [bend(found, 0).largest, bend(found, 1).largest], atol=1e-6)


def test_what_the_shaft_does_at_the_pivot_is_asked_for() -> None:
    found = cars.chapter(saloon(tilting(690)), 0)
    (check,) = column_moves(found)
    assert check.result is LimitResult.NOT_KNOWN
    assert check.missing is not None and check.missing.keys == ("shaft.upper.straight_through",)
    assert found.result is LimitResult.NOT_KNOWN


def test_a_joint_of_the_columns_own_at_the_pivot_leaves_the_shaft_where_it_is() -> None:
    found = cars.chapter(saloon(tilting(690), straight_through=False), 0)
    assert [when for when, _ in piece(found).at_stands] == ["as measured"]
    assert column_moves(found) == []
    assert any("that joint's angle and ripple are not counted here" in remark for remark in found.remarks)


def test_a_first_joint_at_the_pivot_tilts_with_the_column() -> None:
    found = cars.chapter(saloon(tilting(770)), 0)
    end = tilted(770, lever_turn(24, 770), FIRST, WAY)
    stand = Setup.of(cars.job(saloon(tilting(770)))).stands[1]
    assert_allclose(found.setup.centre(0, stand), end[0], atol=1e-6)
    assert_allclose(found.setup.way(0, stand), end[1], atol=1e-9)


def test_a_first_joint_that_slides_with_the_column_takes_up_slip_and_collapse() -> None:
    """Slides below the first joint: 21 mm out, 16 mm in, both with the 1 mm they may be off."""
    found, still = cars.chapter(saloon(reaching(800)), 0), cars.chapter(cars.saloon(), 0)
    changes = [float(np.linalg.norm(BOX - FIRST - along * WAY) - np.linalg.norm(BOX - FIRST)) for along in (-21, 16)]
    said = dict(piece(found).at_stands)
    assert_allclose([said["column pulled fully out"], said["column pushed fully in"]], changes, atol=1e-6)
    halves, before = piece(found).halves, piece(still).halves
    assert halves is not None and before is not None
    assert_allclose(halves.overlap_mm - halves.overlap_longest_mm, changes[0], atol=1e-6)
    assert_allclose(halves.shuts_mm - halves.collapse_mm, -changes[1], atol=1e-6)


def test_a_slide_above_the_first_joint_is_the_columns_own_affair() -> None:
    found = cars.chapter(saloon(reaching(690)), 0)
    assert [when for when, _ in piece(found).at_stands] == ["as measured"]
    assert any("column reach" in remark and "does not feel it" in remark for remark in found.remarks)


def test_tilt_and_reach_together_the_farther_joint_carries_the_other() -> None:
    """Pivot 770, slide 800: slid along the column as it was measured, after it was tilted."""
    setup = Setup.of(cars.job(saloon({**tilting(770), **reaching(800)})))
    both = {stand.words: stand for stand in setup.stands}["column tilted fully up, column pulled fully out"]
    place, way = tilted(770, lever_turn(24, 770), FIRST, WAY)
    assert_allclose(setup.centre(0, both), place - 21 * WAY, atol=1e-6)
    assert_allclose(setup.way(0, both), way, atol=1e-9)
    assert len(setup.stands) == 9


def stated(chord: float, pivot_along: float) -> str:
    return f"{np.degrees(2 * np.arcsin(chord / 2 / pivot_along)):.6f} deg"


def test_the_shafts_own_tilt_comes_before_the_groups() -> None:
    own = {"pivot_along": mm(690), "up": stated(24, 690), "down": stated(16, 690)}
    found = cars.chapter(saloon(tilting(690), tilt=own), 0)
    words = ["as measured", "wheel tilted up", "wheel tilted down"]
    assert [when for when, _ in piece(found).at_stands] == words
    assert any("given twice" in remark for remark in found.remarks)


@pytest.mark.parametrize("key", ["back", "up"])
def test_a_pivot_that_is_not_measured_is_asked_for(key: str) -> None:
    column = tilting(690)
    place = column["tilt"]["pivot"]
    gone = {"back": ("back", "forward"), "up": ("up", "down")}[key]
    column["tilt"]["pivot"] = {name: value for name, value in place.items() if name not in gone}
    (check,) = column_moves(cars.chapter(saloon(column, straight_through=True), 0))
    assert check.result is LimitResult.NOT_KNOWN and check.missing is not None
    assert all("groups.column.tilt.pivot" in name for name in check.missing.keys)


@pytest.mark.parametrize(
    ("pivot", "up", "words"), [(690, "5 deg", "the wheel up by 5.0 deg and by 2.0"), (500, "", "the pivot 500 mm")]
)
def test_a_tilt_given_twice_and_not_alike_is_not_known(pivot: float, up: str, words: str) -> None:
    own = {"pivot_along": mm(pivot), "up": up or stated(24, 690), "down": stated(16, 690)}
    found = cars.chapter(saloon(tilting(690), tilt=own), 0)
    (check,) = column_moves(found)
    assert check.result is LimitResult.NOT_KNOWN and check.missing is not None
    assert words in check.missing.measure
    assert found.result is LimitResult.NOT_KNOWN


def rows_with(found: ShaftChapter, key: str) -> Check:
    return next(check for check in found.checks if check.key == key)


def test_a_joint_of_the_columns_own_counts_in_the_ripple_at_its_worst() -> None:
    """Fastest of two joints in a row: at most the product; 100 mm at 690 mm are 8.4 deg, more than the limit bears."""
    mild, steep = (cars.chapter(saloon(tilting(690, up, 5), straight_through=False), 0) for up in (24, 200))
    own = lever_turn(24, 690)
    share = even(mild).worst_pct / 100
    fastest = (share / 2 + np.sqrt(1 + share**2 / 4)) / np.cos(own)
    held = rows_with(mild, "ripple")
    assert held.result is LimitResult.KEEPS
    assert_allclose(held.value, 100 * (fastest - 1 / fastest), atol=1e-6)
    asked = rows_with(steep, "ripple")
    assert asked.result is LimitResult.NOT_KNOWN and asked.missing is not None
    assert f"bends {np.degrees(lever_turn(200, 690)):.0f} deg" in asked.missing.measure


def test_an_unsaid_pivot_leaves_the_ripple_open() -> None:
    asked = rows_with(cars.chapter(saloon(tilting(690)), 0), "ripple")
    assert asked.result is LimitResult.NOT_KNOWN and asked.missing is not None
    assert asked.missing.keys == ("shaft.upper.straight_through",)


def test_the_box_moved_counts_in_the_ripple() -> None:
    """By pins, the last joint moved in 72 directions in space, its way kept; the engine goes round the span alone."""
    tables = cars.saloon()
    tables["shaft"] = {**tables["shaft"], "lower": {**tables["shaft"]["lower"], "moves": mm(20)}}
    found = cars.chapter(tables, 0)
    phase = float(even(found).chain.phases[0])
    setup, ripples = found.setup, []
    first, last, way, box = setup.centre(0), setup.centre(1), setup.way(0), setup.way(2)
    for turn in np.linspace(0, 2 * np.pi, 72, endpoint=False):
        for lift in (-0.6, 0.0, 0.6):
            arm = 20 * np.array([np.cos(lift) * np.cos(turn), np.cos(lift) * np.sin(turn), np.sin(lift)])
            ripples.append(ripple_between(first, last + arm, way, box, phase))
    assert even(found).worst_pct > max(ripples) - 0.05
    assert even(found).worst_pct > even(found).ripple_pct + 1
    assert even(found).worst_when == "the box moved by 20 mm"


def test_a_span_longest_on_the_way_of_a_tilt_is_seen() -> None:
    """Straight through a pivot far up, the last joint near the column's line: the span turns round within the tilt."""
    found = cars.chapter(saloon(tilting(300, 60, 60), straight_through=True), 0)
    turns = np.linspace(-lever_turn(60, 300), lever_turn(60, 300), 801)
    spans = np.array([two_bends(*tilted(300, float(turn), FIRST, WAY))[2] for turn in turns if turn != 0])
    changes = [change for _, change in piece(found).at_stands]
    measured = two_bends(FIRST, WAY)[2]
    assert_allclose([min(changes), max(changes)], [spans.min() - measured, spans.max() - measured], atol=0.05)
