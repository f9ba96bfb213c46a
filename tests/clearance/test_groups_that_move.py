"""Least gaps of groups that move, against closed forms: points turning about an axis in a plane. Millimetres.

Every figure is invented.
"""

from math import asin, cos, hypot, radians, sin

import pytest

from fitcheck.clearance.gaps import Found
from fitcheck.clearance.travel import TOLERANCE_MM
from tests import jobs
from tests.clearance.hand_car import AHEAD, BESIDE, CAN_DIA, FACETS_PROUD, car
from tests.clearance.moving_saloon import found, saloon
from tests.jobs import at

SHORT = FACETS_PROUD + TOLERANCE_MM


def bound(entry: Found) -> float:
    assert entry.closest is not None and entry.closest.gap.bracketed
    return entry.closest.gap.bound_mm


# A block on the engine, 40 wide and 140 high over the axis it rocks about, between a lid and two walls

HALF, HIGH, LID, WALL = 20.0, 140.0, 150.0, 60.0
CORNER = hypot(HALF, HIGH)


def rocking(by_deg: float, lifts: str, back_deg: float = 0.0) -> jobs.Tables:
    """The block turns by so many degrees to the side that lifts; what a tape reads 200 over the axis is the chord."""
    chords = [f"{400 * sin(radians(angle) / 2):.9f} mm ± 0 mm" for angle in (by_deg, back_deg)]
    engine = {"about": at(-900, 0, 0), "runs": "along the car", "at": at(-900, 0, 200), "by": chords[0], "lifts": lifts}
    if lifts != "both":
        engine["other_way"] = chords[1]
    shapes = {
        "block": (at(-950, -HALF, 0), at(-900, HALF, HIGH)),
        "lid": (at(-960, -200, LID), at(-890, 200, LID + 5)),
        "left wall": (at(-960, -WALL - 5, -50), at(-890, -WALL, 145)),
        "right wall": (at(-960, WALL, -50), at(-890, WALL + 5, 145)),
    }
    obstacles: list[jobs.Tables] = [
        {"name": name, "shape": {"corner": one, "opposite": other}, "new": name != "block"}
        for name, (one, other) in shapes.items()
    ]
    obstacles[0]["group"] = "engine"
    return jobs.bare(groups={"engine": engine}, obstacles=obstacles)


@pytest.mark.parametrize("by_deg", [2.0, 5.0, 8.0])
@pytest.mark.parametrize("lifts", ["left", "right", "both"])
def test_a_block_that_rocks_toward_a_wall_reaches_it_with_its_upper_corner(by_deg: float, lifts: str) -> None:
    """The corner lies CORNER from the axis, asin(HALF / CORNER) off straight up, and leans away from what lifts."""
    tables, leaning = rocking(by_deg, lifts), CORNER * sin(asin(HALF / CORNER) + radians(by_deg))
    for wall, other_side in (("left wall", "left"), ("right wall", "right")):
        reached = HALF if lifts == other_side else leaning
        entry = found(tables, wall, "block")
        assert WALL - reached - TOLERANCE_MM <= bound(entry) <= WALL - reached + 1e-6
        assert entry.closest is not None
        if lifts != other_side:
            assert entry.closest.at_movement == pytest.approx({"engine rock": -1.0 if wall[0] == "r" else 1.0})


@pytest.mark.parametrize("by_deg", [3.0, 8.0, 12.0, 20.0])
def test_a_block_that_rocks_under_a_lid_is_highest_on_the_way(by_deg: float) -> None:
    """Its corner passes straight over the axis at 8.13 degrees: beyond that its end is not the worst."""
    entry = found(rocking(by_deg, "right"), "lid", "block")
    turn = min(radians(by_deg), asin(HALF / CORNER))
    by_hand = LID - CORNER * cos(asin(HALF / CORNER) - turn)
    assert by_hand - TOLERANCE_MM <= bound(entry) <= by_hand + 1e-6
    assert entry.closest is not None
    assert entry.closest.at_movement["engine rock"] == pytest.approx(
        turn / radians(by_deg), abs=0.25 if by_deg > 9 else 0.01
    )


def test_mostly_one_way_reaches_either_wall_by_its_own_part() -> None:
    tables = rocking(6.0, "right", back_deg=2.0)
    for wall, degrees in (("left wall", 6.0), ("right wall", 2.0)):
        reached = CORNER * sin(asin(HALF / CORNER) + radians(degrees))
        assert WALL - reached - TOLERANCE_MM <= bound(found(tables, wall, "block")) <= WALL - reached + 1e-6


def test_a_spread_of_the_rock_is_a_rock_as_much_larger() -> None:
    near = jobs.changed(rocking(5.0, "right"), ("groups", "engine", "by"), "17 mm ± 3 mm")
    far = jobs.changed(rocking(5.0, "right"), ("groups", "engine", "by"), "20 mm ± 0 mm")
    assert bound(found(near, "left wall", "block")) == pytest.approx(bound(found(far, "left wall", "block")), abs=1e-6)


def test_parts_of_one_group_do_not_move_against_each_other() -> None:
    tables = rocking(6.0, "both")
    for obstacle in tables["obstacles"]:
        obstacle["group"] = "engine"
    for wall in ("left wall", "right wall"):
        entry = found(tables, wall, "block")
        assert bound(entry) == pytest.approx(WALL - HALF, abs=1e-6)
        assert entry.closest is not None and entry.closest.at_movement == {}


def test_without_a_stated_rock_the_engine_stands_still() -> None:
    tables = rocking(6.0, "both")
    del tables["groups"]
    assert bound(found(tables, "left wall", "block")) == pytest.approx(WALL - HALF, abs=1e-6)


def test_a_frame_that_shifts_takes_its_shift_from_a_flat_gap_exactly() -> None:
    tables = rocking(6.0, "both")
    tables["groups"] = {"frame": {"up_down": "3 mm", "sideways": "7 mm", "fore_aft": "50 mm"}}
    tables["obstacles"][0]["group"] = "frame"
    for other, rest in (("left wall", WALL - HALF - 7), ("right wall", WALL - HALF - 7), ("lid", LID - HIGH - 3)):
        assert bound(found(tables, other, "block")) == pytest.approx(rest, abs=1e-6)


def test_a_mirrored_car_gives_the_mirrored_answer() -> None:
    tables = rocking(6.0, "right", back_deg=2.0)
    for here, there in (("left wall", "right wall"), ("right wall", "left wall"), ("lid", "lid")):
        one, other = found(tables, here, "block").closest, found(jobs.mirrored(tables), here, "block").closest
        assert one is not None and other is not None
        assert other.gap.bound_mm == pytest.approx(one.gap.bound_mm, abs=1e-6), there
        assert other.at_movement["engine rock"] == pytest.approx(-one.at_movement["engine rock"], abs=1e-6)


# A column, level and straight ahead, tilting under a lid: the can across it is the highest

PIVOT_ALONG, CENTRE_ALONG = 760.0, 600.0 + AHEAD
FROM_PIVOT = PIVOT_ALONG - CENTRE_ALONG
AXIS_UP, LID_UP = 300.0 - 150.0 - BESIDE, 240.0


def tilting(up_deg: float, slides_at: str = "", out_mm: float = 30.0) -> jobs.Tables:
    chord = f"{2 * PIVOT_ALONG * sin(radians(up_deg) / 2):.9f} mm ± 0 mm"
    column: jobs.Tables = {"tilt": {"pivot": at(600 - PIVOT_ALONG, 0, AXIS_UP), "up": chord, "down": "0 mm ± 0 mm"}}
    if slides_at:
        column["reach"] = {"slides_at": slides_at, "toward_driver": f"{out_mm:g} mm ± 0 mm", "away": "5 mm ± 0 mm"}
    lid = {"corner": at(-600, -600, LID_UP), "opposite": at(900, 600, LID_UP + 5)}
    return {**car(radians(5.0)), "groups": {"column": column}, "obstacles": [{"name": "lid", "shape": lid}]}


def room_under_the_lid(up_deg: float, from_pivot: float) -> float:
    """A can across the column, its axis `from_pivot` toward the wheel and BESIDE over the column's."""
    lifted = from_pivot * sin(radians(up_deg)) + BESIDE * cos(radians(up_deg))
    return LID_UP - AXIS_UP - lifted - CAN_DIA / 2


@pytest.mark.parametrize("up_deg", [0.5, 2.0, 6.0])
def test_a_unit_lifted_by_the_tilt_comes_nearer_by_the_arc(up_deg: float) -> None:
    entry, by_hand = found(tilting(up_deg), "unit", "lid"), room_under_the_lid(up_deg, FROM_PIVOT)
    assert by_hand - SHORT <= bound(entry) <= by_hand + 1e-6
    assert entry.closest is not None
    assert entry.closest.at_movement == pytest.approx({"column tilt": 1.0})


@pytest.mark.parametrize(("slides_at", "carried"), [("740 mm", True), ("780 mm", False)])
def test_tilt_and_reach_are_covered_together(slides_at: str, carried: bool) -> None:
    """A joint above the pivot tilts with the column, and the unit pulled out rises more; one below slides it level."""
    entry = found(tilting(6.0, slides_at), "unit", "lid")
    by_hand = room_under_the_lid(6.0, FROM_PIVOT + (30.0 if carried else 0.0))
    assert by_hand - SHORT <= bound(entry) <= by_hand + 1e-6
    assert entry.closest is not None
    assert entry.closest.at_movement["column tilt"] == pytest.approx(1.0)
    assert not carried or entry.closest.at_movement["column reach"] == pytest.approx(1.0)


def test_each_movement_more_never_makes_a_bound_larger() -> None:
    least = [bound(found(saloon(*moving), "unit", "pipe")) for moving in ((), ("rock",), ("tilt", "rock"))]
    assert least[0] >= least[1] - 1e-9 and least[1] >= least[2] - TOLERANCE_MM
    assert least[0] > least[2] + 5


def test_a_smaller_shift_of_the_frame_never_makes_a_bound_smaller() -> None:
    frames = [{"up_down": f"{mm} mm", "sideways": "2 mm", "fore_aft": "2 mm"} for mm in (0, 3, 8)]
    least = [bound(found(saloon("rock", frame=frame), "unit", "pipe")) for frame in frames]
    assert least[0] >= least[1] - TOLERANCE_MM >= least[2] - 2 * TOLERANCE_MM
    assert 0 < least[0] - least[2] <= hypot(8 + 2 * sin(radians(3)), 0) + 1


def test_a_pedal_first_touches_a_rocking_pipe_where_the_rock_brings_it_nearest() -> None:
    """A pipe across the clutch's way: rocking toward the pedal it is met earlier than standing still, never later."""
    pipe = (at(215, -200, -60), at(215, -20, -60))
    still, rocked = (found(saloon(*moving, pipe=pipe), "clutch", "pipe") for moving in ((), ("rock",)))
    assert still.first_touch is not None and rocked.first_touch is not None
    assert 0 <= rocked.first_touch < still.first_touch
