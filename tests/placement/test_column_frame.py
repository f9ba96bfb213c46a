"""Words, frames and signs of car and column, against vectors worked out here; millimetres, car frame."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Vector
from fitcheck.placement.column import ColumnAxis, round_the_jacket
from tests import jobs
from tests.placement.bodies import angle_deg, corners, part, piece, spot

WITHIN_MM = 1e-9
WITHIN_DEG = 1e-9


def axis_of(**column: object) -> ColumnAxis:
    return ColumnAxis(jobs.job(jobs.bare(column={**jobs.bare()["column"], **column})))


def way_of(sat: object, **column: object) -> Vector:
    """The column's direction, down it, of a job whose car sat as told."""
    tables = jobs.bare(job=jobs.header(sat=sat), column={**jobs.bare()["column"], **column})
    return ColumnAxis(jobs.job(tables)).column2car.rotation[:, 2]


def ball_at(place: object, **tables: object) -> Vector:
    """Where a place comes out: the near end of a rod that begins there."""
    end = jobs.at(4000, 0, 0)
    shape = {"through": [place, end], "dia": "10 mm"}
    scene = jobs.scene(jobs.bare(obstacles=[{"name": "rod", "shape": shape}], **tables))
    rod = corners(part(scene, "rod").phases[0].pieces)
    near = rod[np.linalg.norm(rod - [4000, 0, 0], axis=1) > 100]
    return np.asarray((near.min(axis=0) + near.max(axis=0)) / 2)


def clock_way(clock_deg: float, **column: object) -> Vector:
    """The direction square to the column that a clock angle points to: from the axis to a place a metre out."""
    tables = {**jobs.bare()["column"], **column}
    place = {"along": "0 mm", "out": "1000 mm", "out_from": "axis", "clock": jobs.deg(clock_deg)}
    return np.asarray((ball_at(place, column=tables) - [636, -13, 338]) / 1000)


@pytest.mark.parametrize(
    ("word", "way"),
    [
        ("back", (1, 0, 0)),
        ("forward", (-1, 0, 0)),
        ("right", (0, 1, 0)),
        ("left", (0, -1, 0)),
        ("up", (0, 0, 1)),
        ("down", (0, 0, -1)),
    ],
)
def test_each_word_is_its_own_direction(word: str, way: tuple[int, int, int]) -> None:
    place = {"back": "0 mm", "right": "0 mm", "up": "0 mm"}
    place.pop({"forward": "back", "left": "right", "down": "up"}.get(word, word))
    assert_allclose(ball_at({**place, word: "40 mm"}), 40 * np.array(way), atol=WITHIN_MM)


def test_offsets_from_points_add_up_through_a_chain() -> None:
    points = {"a": jobs.at(100, -20, 5), "b": jobs.at(-3, 7, 11, **{"from": "a"}), "c": "b"}
    place = jobs.at(1, 1, 1, **{"from": "c"})
    assert_allclose(ball_at(place, points=points), [98, -12, 17], atol=WITHIN_MM)


def test_the_column_frame_is_twelve_three_and_down() -> None:
    rotation = axis_of(down="28 deg", across="1.2 deg").column2car.rotation
    twelve, three, down = rotation.T
    assert down[0] < 0 and down[2] < 0, "down the column is ahead of and below the hub seat"
    assert down[1] > 0, "across positive: the lower end lies to the driver's right"
    assert abs(twelve @ down) < 1e-12 and twelve[2] > 0
    around = np.array([np.cos(t) * twelve + np.sin(t) * three for t in np.linspace(0, 2 * np.pi, 721)])
    assert around[:, 2].max() <= twelve[2] + 1e-12, "no direction square to the column points more nearly up"
    assert_allclose(np.cross(twelve, three), down, atol=1e-12)
    assert three[1] > 0.99, "three o'clock is the driver's right"


@pytest.mark.parametrize(
    ("clock_deg", "way"),
    [(0, (0, 0, 1)), (90, (0, 1, 0)), (180, (0, 0, -1)), (270, (0, -1, 0)), (45, (0, 1, 1)), (315, (0, -1, 1))],
)
def test_clock_angles_on_a_level_column_are_seen_from_the_seat(clock_deg: float, way: tuple[int, int, int]) -> None:
    got = clock_way(clock_deg, down="0 deg", across="0 deg")
    assert_allclose(got, np.array(way) / np.linalg.norm(way), atol=WITHIN_MM)


@settings(max_examples=30, deadline=None)
@given(st.floats(0, 359), st.floats(-8, 8), st.floats(1, 80))
def test_a_clock_angle_turns_right_handed_about_the_way_down(clock: float, across: float, down: float) -> None:
    """Positive clockwise, seen from behind the wheel: scipy's right-hand turn about the way down the column."""
    told = {"down": jobs.deg(down), "across": jobs.deg(across)}
    twelve, _, way = axis_of(**told).column2car.rotation.T
    expected = Rotation.from_rotvec(np.radians(clock) * way).apply(np.array(twelve))
    assert_allclose(clock_way(clock, **told), expected, atol=WITHIN_MM)


@pytest.mark.parametrize(("down", "across"), [(28.0, 1.2), (50.0, -0.9), (12.0, 5.0), (64.0, 0.0)])
def test_down_is_the_true_angle_below_level_and_across_is_seen_in_plan(down: float, across: float) -> None:
    way = way_of("level", down=jobs.deg(down), across=jobs.deg(across))
    assert_allclose(90 - angle_deg(way, [0, 0, -1]), down, atol=WITHIN_DEG)
    assert_allclose(np.degrees(np.arctan2(way[1], -way[0])), across, atol=WITHIN_DEG)


def test_fifteen_in_plan_and_ten_true_is_none_of_the_other_compound_angles() -> None:
    """Angle to straight ahead from plan 15 and true 10: cos = cos 15 cos 10 (spherical right triangle, Napier's rule).

    The same two numbers taken as two projected angles make atan(sqrt(tan^2 15 + tan^2 10)) = 17.7842, as root of
    squares 18.0278; 17.9639 is the one for successive turns, which plan and true angle are (worked out here).
    """
    got = angle_deg(way_of("level", down="10 deg", across="15 deg"), [-1, 0, 0])
    assert_allclose(got, np.degrees(np.arccos(np.cos(np.radians(15)) * np.cos(np.radians(10)))), atol=WITHIN_DEG)
    assert_allclose(got, 17.9639, atol=5e-5)
    projected = np.degrees(np.arctan(np.hypot(np.tan(np.radians(15)), np.tan(np.radians(10)))))
    assert_allclose(projected, 17.7842, atol=5e-5)
    assert abs(got - projected) > 0.15


def test_two_places_and_two_angles_give_the_same_axis() -> None:
    hub, down, across = np.array([636, -13, 338]), np.radians(28), np.radians(1.2)
    along = np.array([-np.cos(down) * np.cos(across), np.cos(down) * np.sin(across), -np.sin(down)])
    tables = jobs.bare()
    low = {name: value for name, value in tables["column"].items() if name not in ("down", "across")}
    by_places = ColumnAxis(jobs.job({**tables, "column": {**low, "low": jobs.at(*(hub + 650 * along))}}))
    by_angles = axis_of(down="28 deg", across="1.2 deg")
    assert_allclose(by_places.column2car.rotation, by_angles.column2car.rotation, atol=1e-9)
    assert_allclose(by_places.column2car.origin, hub, atol=WITHIN_MM)


def test_a_gauge_on_a_car_sitting_nose_up_reads_too_little() -> None:
    """28 by gauge with the nose 0.4 up is 28.4 against the car: the nose lifts the lower end."""
    sat = {"sill_angle": "0.4 deg nose up", "cross_angle": "level"}
    way = way_of(sat, down="28 deg", across="0 deg")
    assert_allclose(90 - angle_deg(way, [0, 0, -1]), 28.4, atol=WITHIN_DEG)
    sat = {"sill_angle": "0.4 deg nose down", "cross_angle": "level"}
    assert_allclose(90 - angle_deg(way_of(sat, down="28 deg", across="0 deg"), [0, 0, -1]), 27.6, atol=WITHIN_DEG)


def level_to_car(sill_deg: float, cross_deg: float) -> Rotation:
    """By scipy, from what the words say: the car is turned nose up about its right, then its left side down."""
    car_to_level = Rotation.from_euler("Y", sill_deg, degrees=True) * Rotation.from_euler("X", cross_deg, degrees=True)
    return car_to_level.inv()


def test_left_down_means_the_left_side_is_low() -> None:
    """A plumb line in a car with its left side down leans to the car's left, as a bob does."""
    low_left = level_to_car(0, 2).apply([0, 0, -1])
    assert low_left[1] < -0.03
    nose_up = level_to_car(2, 0).apply([0, 0, -1])
    assert nose_up[0] > 0.03, "with the nose up a bob hangs toward the rear"


@settings(max_examples=40, deadline=None)
@given(st.floats(-5, 5), st.floats(-5, 5), st.floats(-6, 6), st.floats(5, 70))
def test_gauge_readings_are_turned_as_the_car_sat(sill: float, cross: float, across: float, down: float) -> None:
    sat = {
        "sill_angle": f"{jobs.deg(abs(sill))} nose {'up' if sill >= 0 else 'down'}",
        "cross_angle": f"{jobs.deg(abs(cross))} {'left' if cross >= 0 else 'right'} down",
    }
    # From straight ahead dip the nose about the right-hand way, then swing it to the right as seen from above.
    dipped = Rotation.from_euler("Y", -down, degrees=True).apply([-1, 0, 0])
    level = Rotation.from_euler("Z", -across, degrees=True).apply(dipped)
    assert level[2] < 0
    got = way_of(sat, down=jobs.deg(down), across=jobs.deg(across))
    assert_allclose(got, level_to_car(sill, cross).apply(level), atol=1e-9)


def test_a_place_by_level_and_plumb_is_turned_and_one_by_tape_is_not() -> None:
    sat = {"sill_angle": "1.5 deg nose up", "cross_angle": "0.5 deg right down"}
    offset = np.array([200.0, -60.0, -300.0])
    by_tape = ball_at(jobs.at(*offset), job=jobs.header(sat=sat))
    by_level = ball_at(jobs.at(*offset, by="level"), job=jobs.header(sat=sat))
    assert_allclose(by_tape, offset, atol=WITHIN_MM)
    assert_allclose(by_level, level_to_car(1.5, -0.5).apply(offset), atol=WITHIN_MM)
    assert np.linalg.norm(by_level - by_tape) > 5
    assert_allclose(ball_at(jobs.at(*offset, by="level")), offset, atol=WITHIN_MM)


def test_a_place_by_level_from_a_point_turns_only_its_own_offset() -> None:
    sat = {"sill_angle": "2 deg nose up", "cross_angle": "level"}
    points = {"mark": jobs.at(100, 50, 20)}
    got = ball_at(jobs.at(0, 0, -300, by="level", **{"from": "mark"}), job=jobs.header(sat=sat), points=points)
    assert_allclose(got, [100, 50, 20] + level_to_car(2, 0).apply([0, 0, -300]), atol=WITHIN_MM)


@pytest.mark.parametrize("out_from", ["axis", "skin"])
@pytest.mark.parametrize(
    ("clock", "degrees"), [("12:00", 0), ("3:00", 90), ("10:30", 315), ("9:00", 270), ("6:15", 187.5)]
)
def test_a_place_off_the_column_against_vectors(clock: str, degrees: float, out_from: str) -> None:
    """Down the column, then square out: 12 o'clock by two cross products, the rest by scipy's turn."""
    column = {**jobs.bare()["column"], "across": "1.2 deg", "marks": {"clamp": {"along": "90 mm"}}}
    place = {"along": "400 mm", "along_from": "clamp", "out": "75 mm", "out_from": out_from, "clock": clock}
    down, yaw = np.radians(28), np.radians(1.2)
    way = np.array([-np.cos(down) * np.cos(yaw), np.cos(down) * np.sin(yaw), -np.sin(down)])
    three = np.cross(way, [0, 0, 1])
    twelve = np.cross(three / np.linalg.norm(three), way)
    out = Rotation.from_rotvec(np.radians(degrees) * way).apply(np.array(twelve))
    expected = [636, -13, 338] + (90 + 400) * way + (75 + (25.4 if out_from == "skin" else 0)) * out
    assert_allclose(ball_at(place, column=column), expected, atol=1e-6)


def test_jacket_and_shaft_lie_along_the_axis_from_the_hub_seat() -> None:
    column = {**jobs.bare()["column"], "shaft_od": "19 mm", "shaft_to": "720 mm"}
    column_part = part(jobs.scene(jobs.bare(column=column)), "column")
    way = np.array([-np.cos(np.radians(28)), 0, -np.sin(np.radians(28))])
    for name, start, end in (("column jacket", 60, 700), ("steering shaft", 700, 720)):
        assert_allclose(spot(piece(column_part, name), "upper end"), [636, -13, 338] + start * way, atol=WITHIN_MM)
        assert_allclose(spot(piece(column_part, name), "lower end"), [636, -13, 338] + end * way, atol=WITHIN_MM)


@pytest.mark.parametrize(
    ("clock_deg", "arc_deg"), [(0, 0), (45, 45), (179, 179), (181, -179), (270, -90), (315, -45), (322.5, -37.5)]
)
def test_tape_round_the_jacket_goes_the_short_way_clockwise_positive(clock_deg: float, arc_deg: float) -> None:
    got = round_the_jacket(np.radians(clock_deg), 25.4)
    assert_allclose(got, np.pi * 50.8 * arc_deg / 360, atol=WITHIN_MM)


def test_half_past_ten_on_a_two_inch_jacket_is_25_32_in_anticlockwise() -> None:
    """An eighth of the way round a 2 in jacket is pi / 4 in = 0.7854 in: 25/32 in (0.78125) is its nearest 1/32."""
    setting = jobs.scene(jobs.bare(unit=jobs.unit("10:30"))).setting
    assert round(setting.round_jacket_mm / 25.4 * 32) == -25


@pytest.mark.parametrize("down", ["89.5 deg", "90 deg", "-89.2 deg"])
def test_an_upright_column_has_no_twelve_oclock(down: str) -> None:
    with pytest.raises(KeyFault, match="within 1 degree of upright: it has no 12 o'clock") as caught:
        axis_of(down=down)
    assert caught.value.path == ("column",)


def test_a_column_one_and_a_half_degrees_off_upright_still_has_one() -> None:
    assert axis_of(down="88.5 deg").column2car.rotation[2, 0] > 0
