"""Readings and places that cannot both be, and readings that are missing, never keep. Expectations by hand; mm, deg."""

from typing import Any

import numpy as np
import pytest
from numpy.testing import assert_allclose

from fitcheck.limits import LimitResult
from fitcheck.placement.scene import Part
from fitcheck.shaft.agreement import against_cuts
from fitcheck.shaft.results import Bend, Check, ShaftChapter, Space
from tests.jobs import Tables, at, mm
from tests.shaft import cars
from tests.shaft.test_lengths import check

OUTSIDE, KEEPS, TOO_CLOSE, SET_ON_CAR, NOT_KNOWN = (
    LimitResult.OUTSIDE,
    LimitResult.KEEPS,
    LimitResult.TOO_CLOSE,
    LimitResult.SET_ON_CAR,
    LimitResult.NOT_KNOWN,
)
DRAWS = 8


def found(tables: Tables) -> ShaftChapter:
    return cars.chapter(tables, DRAWS)


def with_column(tables: Tables, **changes: Any) -> Tables:
    tables["column"] |= changes
    return tables


def exhaust_mm(chapter: ShaftChapter) -> float:
    assert isinstance(chapter.space, Space)
    (one,) = [entry for entry in chapter.space.at_rest if entry.pair.b.name == "exhaust primary"]
    assert one.closest is not None
    return one.closest.gap.bound_mm


# ---- a missing reading


def bare_joint(name: str) -> Tables:
    return {key: value for key, value in cars.on_tube(name).items() if key != "swing"}


def test_without_a_joints_swing_the_shaft_is_not_known_and_its_own_gaps_are_still_judged() -> None:
    whole = found(cars.saloon(exhaust_left=30))
    short = found(cars.saloon(exhaust_left=30, joints=[bare_joint("upper joint"), bare_joint("lower joint")]))
    assert (whole.result, short.result) == (KEEPS, NOT_KNOWN)
    assert [lack.keys for lack in short.no_room_known] == [("shaft.joints[1].swing",), ("shaft.joints[2].swing",)]
    assert exhaust_mm(short) == exhaust_mm(whole)  # the tube half is what comes nearest


def test_without_pieces_every_limit_of_theirs_waits() -> None:
    chapter = found(cars.saloon(pieces=[]))
    assert chapter.result is NOT_KNOWN
    assert {check(chapter, key).result for key in ("pieces[1].length", "ripple", "collapse", "draw_off")} == {NOT_KNOWN}
    assert ("shaft.pieces",) in [lack.keys for lack in chapter.no_room_known]


# ---- the end of the column's shaft: bore's inner end is 40 - 25 = 15 mm up from the joint's centre at 780.4


@pytest.mark.parametrize(
    ("shaft_to", "short", "result", "words"),
    [
        (780.0, -14.6, OUTSIDE, "14.6 mm proud and strike the cross"),
        (720.0, 45.4, OUTSIDE, "only 0.0 mm of it in the bore"),
        (755.0, 10.4, OUTSIDE, "only 14.6 mm of it in the bore"),
        (765.9, -0.5, TOO_CLOSE, "0.5 mm proud"),
        (764.6, 0.8, SET_ON_CAR, "flush with the inner end of its bore or up to 1.5 mm short of it, never past it"),
    ],
)
def test_where_the_columns_shaft_ends_against_the_joint(
    shaft_to: float, short: float, result: LimitResult, words: str
) -> None:
    said = check(found(with_column(cars.saloon(), shaft_to=mm(shaft_to))), "stub")
    assert_allclose(said.value, short, atol=1e-6)
    assert said.result is result
    assert words in said.note


def test_a_joint_whose_maker_lets_the_shaft_end_far_short_keeps_by_the_readings_alone() -> None:
    """Band 0 to 10 mm, end 5 mm short: the readings' 2 to 3 mm are proof enough, nothing is set on the car."""
    hub = cars.hub(short_by=mm(10))
    joints = [cars.on_tube("upper joint", wheel_hub=hub), cars.joint("lower joint")]
    chapter = found(with_column(cars.saloon(joints=joints), shaft_to=mm(760.4)))
    said = check(chapter, "stub")
    assert_allclose(said.value, 5.0, atol=1e-6)
    assert said.spread < 5.0
    assert (said.result, said.note) == (KEEPS, "")
    assert chapter.set_on_car == ()


@pytest.mark.parametrize(
    ("end", "result"), [(780.26, OUTSIDE), (764.4, SET_ON_CAR), (766.0, TOO_CLOSE), (730.0, OUTSIDE)]
)
def test_where_the_cut_list_leaves_it(end: float, result: LimitResult) -> None:
    chapter = against_cuts(found(cars.saloon()), (end, 0.5))
    assert chapter is not None
    assert check(chapter, "stub_cut").result is result
    assert chapter.result is (KEEPS if result is SET_ON_CAR else result)


def test_without_a_cut_list_nothing_is_added() -> None:
    chapter = found(cars.saloon())
    assert against_cuts(chapter, None) is chapter


def test_a_first_joint_in_the_unit_is_outside() -> None:
    """The unit is 90 + 80 + 40 = 210 long from its input face at 430; the hub reaches 40 up from the joint at 600."""
    tables = cars.saloon(upper={"joint_along": mm(600)})
    del tables["column"]["shaft_to"], tables["column"]["shaft_od"]
    said = check(found(tables), "beyond_unit")
    assert (said.result, round(said.value, 6)) == (OUTSIDE, 600 - 40 - 640)


def test_slid_toward_the_wheel_the_joint_stays_beyond_the_unit() -> None:
    upper = {"joint_along": mm(780.4), "slides_in": mm(120), "slides_out": mm(0)}
    assert check(found(cars.saloon(upper=upper)), "beyond_unit").value == pytest.approx(780.4 - 40 - 640 - 120)


# ---- one thing read twice


@pytest.mark.parametrize(("aside", "result"), [(99.9, NOT_KNOWN), (2.0, KEEPS)])
def test_a_first_joint_beside_the_column(aside: float, result: LimitResult) -> None:
    """On the axis at 780.4 the centre is 1.6 mm lower and so on; aside is square to the column, level."""
    chapter = found(cars.saloon())
    setup = chapter.setup
    level = np.cross(setup.way(0), [0.0, 0.0, 1.0])
    place = setup.centre(0) + aside * level / np.linalg.norm(level)
    moved = found(cars.saloon(upper={"joint_at": at(*np.round(place, 9), spread=mm(3))}))
    said = check(moved, "first_off")
    assert said.value == pytest.approx(aside, abs=1e-6)
    assert said.result is result
    assert moved.result is (NOT_KNOWN if result is NOT_KNOWN else KEEPS)


def test_a_last_joint_beside_its_tube_is_not_known() -> None:
    """100 mm to the left of where it was: across the tube that is 100 sin(its angle with left-right)."""
    tables = cars.van()
    tables["shaft"]["lower"]["joint_at"] = at(-150, -160, -350, spread=mm(2))
    way = np.array([-0.55, -0.45, -0.70]) / np.sqrt(0.55**2 + 0.45**2 + 0.70**2)
    chapter = found(tables)
    said = check(chapter, "last_off")
    assert said.value == pytest.approx(100 * np.sqrt(1 - way[1] ** 2), abs=0.01)
    assert said.result is NOT_KNOWN
    # nothing that rests on either reading is judged, not even what would be outside by them
    assert chapter.result is NOT_KNOWN
    assert {row.bend.result for row in chapter.joints if isinstance(row.bend, Bend)} == {NOT_KNOWN}
    assert check(chapter, "ripple").note == "rests on readings that disagree"
    assert check(chapter, "joints[1].wheel_hub.held_by").result is KEEPS
    assert check(found(cars.van()), "last_off").result is KEEPS


# ---- teeth


def chosen(chapter: ShaftChapter) -> tuple[float, float, int]:
    assert isinstance(chapter.phases, tuple)
    (row,) = chapter.phases
    return float(np.degrees(row.base)), float(np.degrees(row.chosen.phase)), row.chosen.wheel_teeth


@pytest.mark.parametrize(
    ("turned", "mark", "phase", "teeth"),
    [
        # best is -31.4; a spline of 36 at the wheel end: 10 deg a tooth, and a tooth on at the wheel end takes away
        ("20 deg", 0.0, -30.0, 3),  # -40, -30, ... 0 can be had: from in line it is 3
        ("14 deg", 4.0, -36.0, 4),  # ... -36, -26, ... 4 can be had: as near in line as they go is 4
        ("-3 deg", -3.0, -33.0, 3),
    ],
)
def test_teeth_are_counted_from_a_mark_that_can_be_made(turned: str, mark: float, phase: float, teeth: int) -> None:
    chapter = found(cars.saloon(pieces=[cars.telescoping(ends_turned=turned)]))
    counted_from, set_to, by = chosen(chapter)
    assert_allclose([counted_from, set_to], [mark, phase], atol=1e-9)
    assert by == teeth
    (said,) = [remark for remark in chapter.remarks if "paint mark" in remark]
    assert ("in line" if mark == 0 else f"{abs(mark):.0f} deg {'clockwise' if mark > 0 else 'anticlockwise'}") in said


@pytest.mark.parametrize(("at_mark", "result"), [("25 deg", NOT_KNOWN), ("-9 deg", KEEPS), ("21 deg", KEEPS)])
def test_a_paint_mark_that_the_teeth_do_not_allow(at_mark: str, result: LimitResult) -> None:
    """Parts turned by 20 on teeth of 10 deg: 20, 30, -10 can be had; each mark is good to 2 deg, both to 2.8."""
    chapter = found(cars.saloon(pieces=[cars.telescoping(ends_turned="20 deg", at_mark=at_mark)]))
    assert check(chapter, "pieces[1].at_mark").result is result


# ---- movement


def test_a_rigid_bar_whose_ends_move_is_outside() -> None:
    """Law of cosines: 30 mm toward the rack along the column, which meets the shaft at the first joint's angle."""
    upper = {"joint_along": mm(780.4), "slides_out": mm(30), "slides_in": mm(30)}
    tables = cars.saloon(upper=upper, pieces=[cars.bar(long=mm(469.3))])
    tables["shaft"]["lower"]["moves"] = mm(3)
    said = check(found(tables), "pieces[1].stays")
    hub, low, last = np.array([[636, -13, 398], [88.297, -1.805, 106.925], [-440, -95, -270]])
    way = (low - hub) / np.linalg.norm(low - hub)
    arm = last - (hub + 780.4 * way)
    span = float(np.linalg.norm(arm))
    changes = [np.sqrt(span**2 + 900 - 2 * so * float(arm @ way)) - span for so in (30, -30)]
    assert said.value == pytest.approx(max(map(abs, changes)) + 3, abs=0.02)
    assert said.result is OUTSIDE


def test_a_rigid_bar_between_ends_that_stand_still_has_nothing_to_say() -> None:
    chapter = found(cars.saloon(pieces=[cars.bar(long=mm(469.3))]))
    assert "pieces[1].stays" not in [one.key for one in chapter.checks]


def test_a_frame_that_shifts_moves_the_box_and_widens_what_every_gap_needs() -> None:
    tables = cars.saloon()
    tables["groups"] = {"frame": {"up_down": mm(30), "sideways": mm(45), "fore_aft": mm(10)}}
    still, chapter = found(cars.saloon()), found(tables)
    reach = np.sqrt(30**2 + 45**2 + 10**2)
    for now, before in zip(needs(chapter).values(), needs(still).values(), strict=True):
        assert now == pytest.approx(before + reach, abs=1e-9)
    (said,) = [remark for remark in chapter.remarks if "lets the frame go 55.0 mm" in remark]
    assert "0 mm of shaft.lower.moves" in said
    # the halves are made for what is wanted beyond the movement, so the tube has to be that much shorter
    assert length(still) - length(chapter) == pytest.approx(reach, abs=1.0)


def needs(chapter: ShaftChapter) -> dict[str, float]:
    assert isinstance(chapter.space, Space)
    judged = [e for e in chapter.space.found if isinstance(e.pair.b, Part) and e.closest is not None]
    return {f"{e.pair.b.name}, {e.pair.need.reason}": e.pair.need.required_mm for e in judged}


def length(chapter: ShaftChapter) -> float:
    (row,) = chapter.pieces
    halves = getattr(row, "halves", None)
    assert halves is not None
    return float(halves.tube.high)


# ---- holding on, drawing off


def held(chapter: ShaftChapter, joint: int, side: str) -> Check:
    return check(chapter, f"joints[{joint}].{side}_hub.held_by")


def test_a_set_screw_in_a_tube_does_not_hold() -> None:
    screwed = found(cars.saloon(joints=[cars.joint("upper joint"), cars.joint("lower joint")]))
    assert held(screwed, 1, "rack").result is OUTSIDE
    assert "through bolt" in held(screwed, 1, "rack").note
    assert held(screwed, 2, "wheel").result is KEEPS  # the solid half


@pytest.mark.parametrize(
    ("end", "held_by", "result"),
    [
        (cars.spline(), "weld", OUTSIDE),
        (cars.DOUBLE_D, "weld", OUTSIDE),
        (cars.WELD_ON, "weld", KEEPS),
        (cars.WELD_ON, "set screw", OUTSIDE),
        (cars.spline(), "set screw", KEEPS),
    ],
)
def test_what_holds_which_end(end: Tables, held_by: str, result: LimitResult) -> None:
    joints = [cars.on_tube("upper joint"), cars.joint("lower joint", wheel_hub=cars.hub(held_by=held_by))]
    chapter = found(cars.saloon(pieces=[cars.telescoping(rack_end=end)], joints=joints))
    assert held(chapter, 2, "wheel").result is result


def test_a_weld_on_an_end_that_is_not_given_is_not_known() -> None:
    joints = [cars.on_tube("upper joint", wheel_hub=cars.hub(held_by="weld")), cars.joint("lower joint")]
    said = held(found(cars.saloon(joints=joints)), 1, "wheel")
    assert said.missing is not None and said.missing.keys == ("shaft.upper.end",)
