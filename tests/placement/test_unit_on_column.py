"""The unit and its bracket on the column: where the can points, which side it passes, what turns with what; mm."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from fitcheck.errors import JobError, KeyFault
from fitcheck.geometry.frames import Vector
from fitcheck.placement.scene import Part
from tests import jobs
from tests.placement.bodies import corners, part, piece, reach, spot

WITHIN_MM = 1e-9
HUB = np.array([636.0, -13.0, 338.0])
WAY = np.array([-np.cos(np.radians(28)), 0.0, -np.sin(np.radians(28))])
TWELVE = np.array([-np.sin(np.radians(28)), 0.0, np.cos(np.radians(28))])
LEFT, RIGHT = np.array([0.0, -1.0, 0.0]), np.array([0.0, 1.0, 0.0])


def unit_of(clock: str, **changes: object) -> Part:
    return part(jobs.scene(jobs.bare(unit=jobs.unit(clock, **changes))), "unit")


def can_ends(unit: Part) -> tuple[Vector, Vector]:
    can = piece(unit, "motor can")
    return spot(can, "near end"), spot(can, "far end")


@pytest.mark.parametrize(
    ("clock", "points_to"), [("9:00", LEFT), ("3:00", RIGHT), ("12:00", TWELVE), ("6:00", -TWELVE), ("10:30", None)]
)
def test_the_can_points_to_its_clock_place(clock: str, points_to: Vector | None) -> None:
    near, far = can_ends(unit_of(clock))
    expected = (LEFT + TWELVE) / np.sqrt(2) if points_to is None else points_to
    assert_allclose(far - near, 130 * expected, atol=WITHIN_MM)


@pytest.mark.parametrize(("hand", "side"), [("over", 1), ("under", -1)])
def test_at_nine_the_can_passes_over_or_under_the_column(hand: str, side: int) -> None:
    """Motor plane 555 along; the can starts 48 to the left, its axis 48 to 12 o'clock (over) or 6 o'clock (under)."""
    near, far = can_ends(unit_of("9:00", hand=hand))
    assert_allclose(near, HUB + 555 * WAY + 48 * LEFT + side * 48 * TWELVE, atol=WITHIN_MM)
    assert_allclose(far, near + 130 * LEFT, atol=WITHIN_MM)


@pytest.mark.parametrize(("clock", "beside"), [("12:00", RIGHT), ("3:00", -TWELVE), ("6:00", LEFT)])
def test_the_hand_stays_with_the_unit_as_it_turns(clock: str, beside: Vector) -> None:
    """Over at 9:00, a quarter turn on (12:00) what was up is right, at 3:00 down, at 6:00 left."""
    near, far = can_ends(unit_of(clock, hand="over"))
    along = (far - near) / 130
    assert_allclose(near - (HUB + 555 * WAY) - 48 * along, 48 * beside, atol=WITHIN_MM)


def test_the_motor_plane_of_the_saloon_lies_555_along() -> None:
    """16 15/16 in is 430.2125 mm (inch of 25.4 mm); sensor 80 and half the gear body 45 beyond it."""
    setting = jobs.scene(jobs.saloon()).setting
    assert_allclose(setting.input_face_mm, (16 + 15 / 16) * 25.4, atol=WITHIN_MM)
    assert setting.motor_plane_mm is not None
    assert_allclose(setting.motor_plane_mm, (16 + 15 / 16) * 25.4 + 80 + 45, atol=WITHIN_MM)
    assert abs(setting.motor_plane_mm - 555) < 0.25


def test_the_face_may_be_measured_from_a_mark() -> None:
    tables = jobs.bare(unit=jobs.unit("9:00", input_face=jobs.mm(340), along_from="clamp"))
    tables["column"] = {**tables["column"], "marks": {"clamp": {"along": "90 mm"}}}
    setting = jobs.scene(tables).setting
    assert_allclose([setting.input_face_mm, setting.from_mark_mm], [430, 340], atol=WITHIN_MM)
    assert setting.from_mark == "clamp"


def test_the_drums_stand_one_behind_the_other_from_the_input_face() -> None:
    unit = unit_of("1:30")
    for name, start, end in (("sensor section", 430, 510), ("gear body", 510, 600), ("output stub", 600, 640)):
        assert_allclose(spot(piece(unit, name), "wheel end"), HUB + start * WAY, atol=WITHIN_MM)
        assert_allclose(spot(piece(unit, name), "rack end"), HUB + end * WAY, atol=WITHIN_MM)


def test_without_a_sensor_the_gear_body_begins_at_the_face() -> None:
    tables = jobs.unit("9:00")
    del tables["sensor"]
    scene = jobs.scene(jobs.bare(unit=tables))
    assert_allclose(spot(piece(part(scene, "unit"), "gear body"), "wheel end"), HUB + 430 * WAY, atol=WITHIN_MM)
    assert scene.setting.motor_plane_mm is not None
    assert_allclose(scene.setting.motor_plane_mm, 475, atol=WITHIN_MM)


def test_worm_and_plug_go_with_the_can() -> None:
    """Worm from 36 behind the column's centre to the can; plug 40 from the can's far end, 25 off its wheel side."""
    worm = {"dia": "52 mm", "behind": "36 mm"}
    plug = {"dia": "28 mm", "stands": "25 mm", "from_far_end": "40 mm", "side": "wheel"}
    unit = unit_of("9:00", worm=worm, plug=plug)
    near, far = can_ends(unit)
    assert_allclose(spot(piece(unit, "worm housing"), "near end"), near - (48 + 36) * LEFT, atol=WITHIN_MM)
    assert_allclose(spot(piece(unit, "worm housing"), "can end"), near, atol=WITHIN_MM)
    foot = far - 40 * LEFT
    assert_allclose(spot(piece(unit, "plug"), "plug end"), foot - (38 + 25) * WAY, atol=WITHIN_MM)


@pytest.mark.parametrize(("hand", "way"), [("over", TWELVE), ("under", -TWELVE)])
def test_a_plug_standing_out_stands_away_from_the_column(hand: str, way: Vector) -> None:
    plug = {"dia": "28 mm", "stands": "25 mm", "from_far_end": "40 mm", "side": "out"}
    unit = unit_of("9:00", hand=hand, plug=plug)
    foot = can_ends(unit)[1] - 40 * LEFT
    assert_allclose(spot(piece(unit, "plug"), "plug end"), foot + 63 * way, atol=WITHIN_MM)


PARALLEL = {"dia": "76 mm", "long": "130 mm", "lies": "parallel", "beside": "90 mm", "starts": "20 mm"}


def test_a_can_parallel_to_the_column_lies_beside_it_at_its_clock_place() -> None:
    tables = jobs.unit("3:00", motor=PARALLEL)
    del tables["hand"]
    near, far = can_ends(part(jobs.scene(jobs.bare(unit=tables)), "unit"))
    assert_allclose(near, HUB + (430 + 20) * WAY + 90 * RIGHT, atol=WITHIN_MM)
    assert_allclose(far, near + 130 * WAY, atol=WITHIN_MM)


def test_a_square_can_without_a_hand_is_asked_for() -> None:
    tables = jobs.unit("9:00")
    del tables["hand"]
    with pytest.raises(JobError, match='write hand = "over" or "under"'):
        jobs.scene(jobs.bare(unit=tables))


def test_a_worm_beside_a_parallel_can_is_refused_and_not_left_out() -> None:
    tables = jobs.unit("3:00", motor=PARALLEL, worm={"dia": "52 mm", "behind": "36 mm"})
    del tables["hand"]
    with pytest.raises(KeyFault, match="worm") as caught:
        jobs.scene(jobs.bare(unit=tables))
    assert caught.value.path == ("unit", "worm")


LEG = {"through": [jobs.at(300, 20, 200), jobs.at(300, 80, 330)], "dia": "20 mm"}


def bracket_of(clock: str, face_mm: float, turns: str, **changes: object) -> Part:
    bracket = {"turns": turns, "solids": {"leg": LEG}, **changes}
    unit = jobs.unit(clock, input_face=jobs.mm(face_mm))
    return part(jobs.scene(jobs.bare(unit=unit, bracket=bracket)), "bracket")


def test_a_bracket_that_stays_is_where_it_was_measured() -> None:
    still = bracket_of("9:00", 430, "stays with the car")
    elsewhere = bracket_of("1:00", 470, "stays with the car")
    assert_allclose(corners(still.phases[0].pieces), corners(elsewhere.phases[0].pieces), atol=WITHIN_MM)
    leg = piece(still, "leg")
    assert_allclose(reach(corners([leg])), reach(corners(elsewhere.phases[0].pieces)), atol=WITHIN_MM)


def test_a_bracket_that_turns_goes_with_the_unit() -> None:
    """Measured with the unit at 12:00 and 430, wanted at 10:30 and 455: turned back an eighth, slid 25 down."""
    then = {"clock": "12:00", "input_face": "430 mm"}
    measured = corners(bracket_of("12:00", 430, "stays with the car").phases[0].pieces)
    turned = corners(bracket_of("10:30", 455, "with the unit", measured_at=then).phases[0].pieces)
    back = Rotation.from_rotvec(np.radians(-45) * WAY)
    assert_allclose(turned, back.apply(measured - HUB) + HUB + 25 * WAY, atol=1e-8)


def test_the_clamp_is_a_ring_round_the_jacket() -> None:
    """Along 390 to 420, wall 5 on a jacket of 50.8; common practice draws it as a plain ring (no source)."""
    clamp = {"along": "390 mm", "wide": "30 mm", "thick": "5 mm"}
    bracket = bracket_of("9:00", 430, "stays with the car", clamp=clamp, solids={})
    points = corners(bracket.phases[0].pieces) - HUB
    along = points @ WAY
    out = np.linalg.norm(points - along[:, None] * WAY, axis=1)
    assert_allclose([along.min(), along.max()], [390, 420], atol=WITHIN_MM)
    assert 30.4 <= out.max() <= 30.5 and abs(out.min() - 25.4) < WITHIN_MM


def test_a_bracket_of_nothing_is_refused() -> None:
    with pytest.raises(KeyFault, match="give a clamp, solids or a library mesh, or leave it out") as caught:
        bracket_of("9:00", 430, "stays with the car", solids={})
    assert caught.value.path == ("bracket",)
