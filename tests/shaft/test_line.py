"""The line of the shaft from its readings: frames and signs, tilt and slide, and what waits for a reading; mm."""

from typing import Any

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from fitcheck.errors import JobError, KeyFault
from fitcheck.limits import NotKnown
from fitcheck.shaft.results import Bend, ShaftChapter
from fitcheck.shaft.setup import Setup
from fitcheck.shaft.stands import Stand
from tests.jobs import Tables, at, changed, deg, mm
from tests.shaft import cars

WITHIN_MM = 1e-9
HUB, LOW = np.array([636.0, -13.0, 398.0]), np.array([88.297, -1.805, 106.925])
WAY = (LOW - HUB) / np.linalg.norm(LOW - HUB)


def setup(tables: Tables) -> Setup:
    return Setup.of(cars.job(tables))


def test_the_first_joint_lies_on_the_columns_axis() -> None:
    assert_allclose(setup(cars.saloon()).centre(0), HUB + 780.4 * WAY, atol=WITHIN_MM)


def test_a_first_joint_measured_off_the_axis_is_put_on_it_and_said_so() -> None:
    beside = np.cross(WAY, [0.0, 0.0, 1.0])
    off = HUB + 780.4 * WAY + 4 * beside / np.linalg.norm(beside)
    tables = cars.saloon(upper={"joint_at": at(*np.round(off, 9))})
    assert_allclose(setup(tables).centre(0), HUB + 780.4 * WAY, atol=1e-6)
    (said,) = [check for check in cars.chapter(tables).checks if check.key == "first_off"]
    assert_allclose(said.value, 4.0, atol=1e-6)


def test_directions_by_gauge_have_the_columns_signs() -> None:
    """18 deg down, 4 deg to the driver's left: forward, left and down."""
    down, left = np.radians([18, 4])
    way = setup(cars.saloon()).way(2)
    assert_allclose(way, [-np.cos(down) * np.cos(left), -np.cos(down) * np.sin(left), -np.sin(down)])


def test_directions_by_gauge_are_gravitys() -> None:
    """With the nose up by 2 deg a shaft that dips 18 deg to gravity dips 20 deg to the car."""
    lower = {"joint_at": at(-440, -95, -270), "down": "18 deg", "across": "0 deg"}
    tables = cars.saloon(lower=lower)
    sat = {"sill_angle": "2 deg nose up", "cross_angle": "level"}
    nose_up = setup(changed(tables, ("job", "sat"), sat)).way(2)
    assert_allclose(np.degrees(np.arcsin(-setup(tables).way(2)[2])), 18.0, atol=1e-9)
    assert_allclose(np.degrees(np.arcsin(-nose_up[2])), 20.0, atol=1e-9)


def test_a_tube_measured_on_its_top_gives_its_axis() -> None:
    lower = {
        "joint_at": at(-440, 0, -270),
        "tube": {"near": at(-400, 0, -250, side="top"), "far": at(0, 0, -250, side="top"), "od": mm(30)},
    }
    found = setup(cars.saloon(lower=lower))
    assert_allclose(found.way(2), [-1, 0, 0], atol=1e-12)
    assert_allclose(np.linalg.norm(found.ends.last_off_tube()), 5.0, atol=WITHIN_MM)


def test_tubes_places_too_near_each_other_are_refused() -> None:
    lower = {"joint_at": at(-440, 0, -270), "tube": {"near": at(-400, 0, -270), "far": at(-330, 0, -270), "od": mm(30)}}
    with pytest.raises(KeyFault, match="within 100 mm; take a longer tube"):
        setup(cars.saloon(lower=lower)).way(2)


def test_a_column_tilted_up_swings_its_lower_end_down() -> None:
    """About a pivot 500 along, against scipy's own rotation about the driver's right."""
    upper = {"joint_along": mm(780.4), "tilt": {"pivot_along": mm(500), "up": deg(3), "down": deg(5)}}
    found = setup(cars.saloon(upper=upper))
    pivot = HUB + 500 * WAY
    three = found.ends.axis.column2car.rotation[:, 1]
    hub_up = pivot + Rotation.from_rotvec(-np.radians(3) * three).apply(HUB - pivot)
    assert hub_up[2] > HUB[2]
    joint = pivot + Rotation.from_rotvec(-np.radians(3) * three).apply(280.4 * WAY)
    up = next(stand for stand in found.stands if stand.words == "wheel tilted up")
    assert_allclose(found.centre(0, up), joint, atol=1e-9)
    assert joint[2] < (HUB + 780.4 * WAY)[2]
    assert [stand.words for stand in found.stands] == ["as measured", "wheel tilted up", "wheel tilted down"]


def test_a_sliding_shaft_stands_at_both_ends_of_its_slide() -> None:
    upper = {"joint_along": mm(780.4), "slides_out": mm(10), "slides_in": mm(40)}
    found = setup(cars.saloon(upper=upper))
    assert_allclose(found.centre(0, Stand("", 10.0)), HUB + 790.4 * WAY, atol=WITHIN_MM)
    assert len(found.stands) == 3
    chapter = cars.chapter(cars.saloon(upper=upper))
    (row,) = chapter.pieces
    assert not isinstance(row, NotKnown)
    assert [round(change, 1) for _, change in row.at_stands] == [0.0, -9.6, 38.6]


def test_the_first_joint_may_be_measured_from_a_mark() -> None:
    tables = cars.saloon(upper={"joint_along": mm(80.4), "along_from": "clamp"})
    tables["column"]["marks"] = {"clamp": {"along": mm(700)}}
    assert_allclose(setup(tables).centre(0), HUB + 780.4 * WAY, atol=WITHIN_MM)
    del tables["column"]["marks"]
    with pytest.raises(KeyFault, match="no mark named 'clamp'"):
        setup(tables).centre(0)


def bends(found: ShaftChapter) -> list[bool]:
    return [isinstance(row.bend, Bend) for row in found.joints]


def lower(**gone: Any) -> Tables:
    whole = {"joint_at": at(-440, -95, -270), "down": "18 deg", "across": "-4 deg"}
    return {key: value for key, value in whole.items() if key not in gone}


def test_without_the_box_inputs_direction_the_first_joint_and_the_length_still_stand() -> None:
    found = cars.chapter(cars.saloon(lower=lower(down=1)))
    assert bends(found) == [True, False]
    lacking = found.joints[1].bend
    assert isinstance(lacking, NotKnown)
    assert lacking.keys == ("shaft.lower.tube",)
    assert "slipped over the box input" in lacking.measure
    assert not isinstance(found.pieces[0], NotKnown)
    assert isinstance(found.evenness, NotKnown)
    assert isinstance(found.space, NotKnown)
    assert found.result.value == "not known"


def test_without_the_last_joint_only_what_rests_on_it_is_open() -> None:
    found = cars.chapter(cars.saloon(lower=lower(joint_at=1)))
    assert bends(found) == [False, False]
    assert isinstance(found.pieces[0], NotKnown)
    assert found.pieces[0].keys == ("shaft.lower.joint_at",)
    assert not isinstance(found.stub, NotKnown)


def test_without_hubs_the_angles_and_phases_still_stand() -> None:
    joints = [{"name": "upper joint"}, {"name": "lower joint"}]
    found = cars.chapter(cars.saloon(joints=joints))
    assert bends(found) == [True, True]
    assert not isinstance(found.evenness, NotKnown)
    assert isinstance(found.pieces[0], NotKnown)
    assert found.pieces[0].keys == ("shaft.joints[1].rack_hub",)
    wanted = [tuple(f"shaft.joints[{i}].{key}" for key in ("swing", "wheel_hub", "rack_hub")) for i in (1, 2)]
    assert [lack.keys for lack in found.no_room_known] == wanted


def test_without_the_ends_no_phase_but_all_angles() -> None:
    piece = {key: value for key, value in cars.telescoping().items() if key not in ("wheel_end", "rack_end")}
    found = cars.chapter(cars.saloon(pieces=[piece]))
    assert bends(found) == [True, True]
    assert isinstance(found.phases, NotKnown)
    assert found.phases.keys == ("shaft.pieces[1].wheel_end", "shaft.pieces[1].rack_end")


def test_without_pieces_the_angles_alone() -> None:
    found = cars.chapter(cars.saloon(pieces=[]))
    assert bends(found) == [True, True]
    assert isinstance(found.phases, NotKnown)
    assert found.phases.keys == ("shaft.pieces",)


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        (("pieces", 0, "rack_end"), {"kind": "round"}, "held by friction alone is refused"),
        (("pieces", 0, "rack_end"), {"kind": "spline"}, "needs its teeth counted"),
        (("joints", 0, "kind"), "double", "counts_as"),
        (("upper", "joint_at"), at(0, 0, 0), "either 'joint_along' or 'joint_at'"),
        (("load", "torque"), "40", "not a torque"),
        (("pieces", 0, "long"), mm(400), "solid_long and tube_long"),
    ],
)
def test_refused_in_the_file(path: tuple[str | int, ...], value: Any, words: str) -> None:
    with pytest.raises(JobError, match=words):
        cars.job(changed(cars.saloon(), ("shaft", *path), value))


def test_three_joints_without_a_bearing_are_refused() -> None:
    three = [cars.joint(name) for name in ("upper", "middle", "lower")]
    with pytest.raises(JobError, match="three joints need a support bearing"):
        cars.job(cars.saloon(joints=three, pieces=[cars.bar(), cars.telescoping()]))


def test_joints_on_top_of_each_other_are_a_slip_of_the_tape() -> None:
    with pytest.raises(KeyFault, match="joints 1 and 2 lie 3 mm apart"):
        cars.chapter(cars.saloon(lower={**lower(), "joint_at": at(-50, 1, 32)}))


def test_a_joint_that_would_not_turn() -> None:
    with pytest.raises(KeyFault, match="it does not turn"):
        cars.chapter(cars.saloon(lower={**lower(), "down": "18 deg", "across": "150 deg"}))
