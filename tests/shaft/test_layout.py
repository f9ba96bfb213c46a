"""Three joints where two do not do: the place against a finer scan, the order of layouts, and what is missing; mm."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Vector, unit
from fitcheck.job.shafting import Joint, Support
from fitcheck.limits import LimitResult, NotKnown
from fitcheck.shaft.joints import joint_angles
from fitcheck.shaft.layout import ANGLE_STEP, Question, best_layout, share_of_limit
from fitcheck.shaft.line import Line
from fitcheck.shaft.phases import anything
from fitcheck.shaft.results import Bend, PieceRow, ShaftChapter
from tests.jobs import Tables, at, mm
from tests.shaft import cars

FREE = float("inf")


def question(low: Vector, high: Vector, side: str = "wheel") -> Question:
    """A column's end at the origin looking down forward, a box input level and 250 below."""
    ends = Line.through(
        np.array([[0.0, 0.0, 0.0], [-450.0, -60.0, -250.0]]), unit([-0.88, 0.0, -0.47]), np.array([-1.0, 0.0, 0.0])
    )
    joint = Joint.model_validate(cars.joint("any"))
    support = Support.model_validate(cars.support(side=side, room=[]))
    return Question(ends, (joint,) * 3, support, ((low, high),), (anything(), anything()), (100.0, 100.0))


def shares(asked: Question, bearings: Vector) -> Vector:
    lines = [asked.line(bearing) for bearing in bearings]
    return np.array([share_of_limit(asked.joints, np.degrees(joint_angles(line.ways))) for line in lines])


@pytest.mark.parametrize("side", ["wheel", "rack"])
def test_the_bearing_sits_on_its_shaft_beside_the_middle_joint(side: str) -> None:
    asked = question(np.zeros(3), np.zeros(3), side)
    bearing = np.array([-200.0, -10.0, -120.0])
    line = asked.line(bearing)
    assert_allclose(np.linalg.norm(line.centres[1] - bearing), 60.0)
    start, end = (line.centres[0], line.centres[1]) if side == "wheel" else (line.centres[1], line.centres[2])
    assert_allclose(np.cross(end - start, bearing - start), 0.0, atol=1e-9)
    assert 0 < (bearing - start) @ (end - start) < (end - start) @ (end - start)


def test_a_finer_scan_finds_no_layout_better_by_more_than_a_step() -> None:
    low, high = np.array([-300.0, -80.0, -220.0]), np.array([-150.0, 20.0, -80.0])
    asked = question(low, high)
    found = best_layout(asked, lambda line, bearing: FREE)
    assert found is not None
    scan = np.random.default_rng(1).uniform(low, high, (20000, 3))
    lines = [asked.line(bearing).spans_mm.min() >= 100 for bearing in scan]
    finest = shares(asked, scan)[lines].min()
    assert found.share_of_limit <= finest + ANGLE_STEP
    assert (low <= found.bearing).all() and (found.bearing <= high).all()
    assert_allclose(shares(asked, found.bearing[None]), [found.share_of_limit])


def test_a_layout_that_hits_gives_way_to_one_that_does_not() -> None:
    low, high = np.array([-300.0, -80.0, -220.0]), np.array([-150.0, 20.0, -80.0])
    asked = question(low, high)
    free = best_layout(asked, lambda line, bearing: FREE)
    assert free is not None

    def near_the_first(line: Line, bearing: Vector) -> float:
        return float(np.linalg.norm(bearing - free.bearing)) - 15.0

    other = best_layout(asked, near_the_first)
    assert other is not None
    assert other.margin_mm >= 0
    assert np.linalg.norm(other.bearing - free.bearing) >= 15
    nowhere = best_layout(asked, lambda line, bearing: -5.0)
    assert nowhere is not None
    assert nowhere.margin_mm == -5.0


def test_no_place_where_a_bar_would_fit() -> None:
    close = np.array([-20.0, 0.0, -10.0])
    assert best_layout(question(close, close + [5.0, 0.0, 0.0]), lambda line, bearing: FREE) is None


def bends_deg(found: ShaftChapter) -> list[float]:
    return [float(np.degrees(row.bend.angle)) for row in found.joints if isinstance(row.bend, Bend)]


def proposed(tables: Tables) -> ShaftChapter:
    found = cars.chapter(tables)
    assert isinstance(found.proposal, ShaftChapter)
    return found.proposal


def test_over_thirty_five_degrees_three_joints_are_proposed_and_checked() -> None:
    found = cars.chapter(cars.steep())
    assert bends_deg(found)[1] > 42
    (why,) = found.why_not
    assert why == "lower joint would stand at 42.2 deg, 35 allowed (the joint's own data)"
    three = found.proposal
    assert isinstance(three, ShaftChapter)
    assert max(bends_deg(three)) < 28
    assert [row.bend.result for row in three.joints if isinstance(row.bend, Bend)] == [LimitResult.KEEPS] * 3
    assert not isinstance(three.evenness, NotKnown)
    assert three.evenness.ripple_pct < 1.0
    assert three.bearing is not None
    assert (np.array([-260, -110, -160]) <= three.bearing).all() and (three.bearing <= [-110, -20, -20]).all()
    assert not isinstance(three.space, NotKnown)
    names = {entry.pair.a.name for entry in three.space.found}
    assert names == {"intermediate shaft", "support bearing"}
    for entry in three.space.found:
        if entry.closest is not None:
            assert entry.closest.gap.bound_mm >= entry.pair.need.required_mm
    halves = [row.halves for row in three.pieces if isinstance(row, PieceRow)]
    assert halves[0] is None
    assert halves[1] is not None and halves[1].collapse_mm >= 50


def test_the_same_three_joints_as_a_job_of_its_own_give_the_same_line() -> None:
    three = proposed(cars.steep())
    own = {"largest_angle": "35 deg"}
    joints = [cars.joint(name, **own) for name in ("upper joint", "middle joint", "lower joint")]
    pieces = [cars.bar(rack_end=cars.spline(), over_flats=mm(14)), cars.telescoping(rack_end=cars.spline())]
    found = cars.chapter(cars.steep(joints=joints, pieces=pieces))
    assert_allclose(bends_deg(found), bends_deg(three), atol=1e-9)
    assert isinstance(found.line, Line) and isinstance(three.line, Line)
    fixed = [{**joint} for joint in joints]
    fixed[1]["at"] = at(*np.round(found.line.centres[1], 9))
    held = cars.chapter(cars.steep(joints=fixed, pieces=pieces))
    assert_allclose(bends_deg(held), bends_deg(found), atol=1e-6)
    assert held.bearing is not None and found.bearing is not None
    assert_allclose(held.bearing, found.bearing, atol=1e-6)
    assert held.spreads["bend 1"].first_order > found.spreads["bend 1"].first_order  # its own place is a reading too


def test_a_bearing_on_the_rack_side_holds_the_lower_shaft() -> None:
    room = [{"corner": at(-330, -110, -230), "opposite": at(-200, -40, -120)}]
    three = proposed(cars.steep(support=cars.support(side="rack", room=room), collapse=mm(30)))
    assert [piece.telescope is None for piece in three.shaft.pieces] == [False, True]
    assert isinstance(three.line, Line) and three.bearing is not None
    middle, last = three.line.centres[1], three.line.centres[2]
    assert_allclose(np.cross(last - middle, three.bearing - middle), 0.0, atol=1e-6)


def test_a_bearing_that_lets_the_shaft_float_is_outside() -> None:
    three = proposed(cars.steep(support=cars.support(float_held=False)))
    (check,) = [check for check in three.checks if check.key == "float"]
    assert check.result is LimitResult.OUTSIDE
    assert "collars or rings" in check.note


def test_without_room_for_a_bearing_the_key_is_named() -> None:
    found = cars.chapter(without_support())
    assert found.proposal == NotKnown(
        "three joints",
        ("shaft.support.room",),
        "where a support bearing's middle may sit, with metal to bolt it to: a box or two",
    )


def without_support() -> Tables:
    tables = cars.steep()
    del tables["shaft"]["support"]
    return tables


def test_a_room_of_no_extent_is_refused() -> None:
    here = at(-200, -60, -120)
    with pytest.raises(KeyFault, match="room for the bearing without any extent"):
        cars.chapter(cars.steep(support=cars.support(room=[{"corner": here, "opposite": here}])))


def test_two_joints_that_meet_the_exhaust_are_told_so() -> None:
    tables = cars.saloon(exhaust_left=75.0)
    found = cars.chapter(tables)
    assert any("its gap to exhaust primary" in why for why in found.why_not)
    assert isinstance(found.proposal, NotKnown)
