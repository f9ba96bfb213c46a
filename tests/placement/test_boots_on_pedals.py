"""Boots: sole on the pad while the heel is planted, ball on the pad when carried, no jump between; mm.

Pads are carried by scipy's turn about the pivot, the lift is found by bisection on the distance from heel to pad.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.optimize import brentq

from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Vector
from fitcheck.placement.scene import Part, Phase
from tests import jobs
from tests.placement.bodies import corners, moved, part, turned

PIVOT, PAD = np.array([165.0, -82.0, 174.0]), np.array([320.0, -90.0, -95.0])
RADIUS = np.hypot(155, 269)
FULL = 2 * np.arcsin(70 / RADIUS)
HEEL = np.array([430.0, -90.0, -270.0])
# Over-travel 6, and as far again as two chords good to 4 mm each may be off (pad travel by tape; common practice).
OVER = 2 * np.arcsin(3 / RADIUS)
UNSURE = np.hypot(2 * np.arcsin(72 / RADIUS) - FULL, 2 * np.arcsin(5 / RADIUS) - OVER)
UP_SHARE, TOP_SHARE = -2 * np.arcsin(5 / RADIUS) / FULL, 1 + (OVER + UNSURE) / FULL
BALL = 218.0 + 2.0  # men 95 and heel to ball in a shoe
LONG, BROAD = 293.0 + 30, 111.0 + 19


def boot(heel: Vector = HEEL, pedal: jobs.Tables | None = None, **driver: object) -> Part:
    tables = {"foot": "men 95", "boots": [{"on": "clutch", "heel": jobs.at(*heel)}], **driver}
    return part(jobs.scene(jobs.bare(pedals=[pedal or jobs.clutch()], driver=tables)), "boot on clutch")


def pad_at(share: float) -> Vector:
    return turned(PAD, PIVOT, [0, 1, 0], share * FULL)


def laid(phase: Phase, share: float) -> tuple[Vector, Vector, Vector]:
    """Rear edge of the heel, direction of the sole and of what is above it, at a share of travel."""
    (instep,) = [each for each in phase.pieces if each.name.endswith("heel and instep")]
    points = moved(instep.vertices, phase, share)
    rear, onward, above = (points[i] + points[i + 5] for i in (0, 1, 2))
    sole, up = (onward - rear) / 2, (above - rear) / 2
    return rear / 2, sole / np.linalg.norm(sole), up / np.linalg.norm(up)


def lift() -> float:
    return float(brentq(lambda s: np.linalg.norm(pad_at(s) - HEEL) - BALL, 0, 1))


def test_the_clutch_boot_is_planted_first_and_carried_after() -> None:
    planted, carried = boot().phases
    assert planted.travel is not None and carried.travel is not None
    assert_allclose([min(planted.travel.shares), max(planted.travel.shares)], [UP_SHARE, lift()], atol=1e-9)
    assert carried.moves is not None
    assert_allclose([carried.moves.start, carried.moves.stop], [lift() * FULL, TOP_SHARE * FULL], atol=1e-9)
    assert 0 < lift() < 1


@pytest.mark.parametrize("way", np.linspace(0, 1, 17))
def test_planted_the_sole_lies_on_the_pads_centre_and_the_heel_stays(way: float) -> None:
    share = UP_SHARE + way * (lift() - UP_SHARE)
    rear, sole, up = laid(boot().phases[0], share)
    assert_allclose(rear, HEEL, atol=1e-9)
    to_pad = pad_at(share) - HEEL
    assert abs(to_pad @ up) <= 0.005, "the pad's centre lies in the sole's plane"
    assert_allclose(to_pad @ sole, np.linalg.norm(to_pad), atol=1e-6)


@pytest.mark.parametrize("way", np.linspace(0, 1, 9))
def test_carried_the_ball_lies_on_the_pads_centre(way: float) -> None:
    share = lift() + way * (TOP_SHARE - lift())
    rear, sole, _ = laid(boot().phases[1], share)
    assert_allclose(rear + BALL * sole, pad_at(share), atol=1e-6)


def test_there_is_no_jump_where_the_heel_lifts() -> None:
    planted, carried = boot().phases
    ends = [moved(corners(phase.pieces), phase, lift()) for phase in (planted, carried)]
    assert np.linalg.norm(ends[0] - ends[1], axis=1).max() <= 0.005


def test_carried_the_heel_comes_off_the_floor() -> None:
    carried = boot().phases[1]
    heights = [laid(carried, share)[0] for share in np.linspace(lift(), TOP_SHARE, 5)]
    assert np.all(np.diff(np.linalg.norm(np.array(heights) - HEEL, axis=1)) > 0)


def test_the_remark_says_from_where_the_heel_is_off_the_floor() -> None:
    (note,) = boot().notes
    assert f"the heel is off the floor beyond {lift():.0%} of travel" in note
    (note,) = boot(HEEL + [130.0, 0, 0]).notes
    assert "the heel is off the floor throughout" in note
    assert boot(HEEL - [90.0, 0, 0]).notes == ()


def test_a_heel_out_of_reach_is_carried_all_the_way() -> None:
    far = HEEL + [130.0, 0, 0]
    (carried,) = boot(far).phases
    rear, sole, _ = laid(carried, 0.5)
    assert_allclose(rear + BALL * sole, pad_at(0.5), atol=1e-6)
    rest_way = (pad_at(UP_SHARE) - far) / np.linalg.norm(pad_at(UP_SHARE) - far)
    assert_allclose(laid(carried, UP_SHARE)[1], rest_way, atol=1e-6)


def test_a_heel_within_reach_stays_planted_all_the_way() -> None:
    near = HEEL - [90.0, 0, 0]
    (planted,) = boot(near).phases
    for share in np.linspace(UP_SHARE, TOP_SHARE, 9):
        rear, sole, up = laid(planted, share)
        assert_allclose(rear, near, atol=1e-9)
        assert abs((pad_at(share) - near) @ up) <= 0.005 and (pad_at(share) - near) @ sole > 0


def test_every_slope_of_the_travel_is_within_the_planted_turn() -> None:
    """10,001 places of the pad: no slope of the sole leaves the turn's range by 0.001 degrees."""
    near = HEEL - [90.0, 0, 0]
    (planted,) = boot(near).phases
    pads = np.array([pad_at(share) for share in np.linspace(UP_SHARE, TOP_SHARE, 10001)]) - near
    slopes = np.arctan2(pads[:, 2], -pads[:, 0])
    assert planted.moves is not None
    width = planted.moves.stop - planted.moves.start
    assert 0 <= np.degrees((slopes.max() - slopes.min()) - width) <= 0.001


def test_toes_point_forward_and_up_and_the_boot_is_as_big_as_the_foot_says() -> None:
    planted = boot().phases[0]
    rear, sole, up = laid(planted, 0.0)
    assert sole[0] < 0 < sole[2] and up[2] > 0
    points = moved(corners(planted.pieces), planted, 0.0) - rear
    assert_allclose([(points @ sole).min(), (points @ sole).max()], [0, LONG], atol=1e-6)
    assert_allclose([points[:, 1].min(), points[:, 1].max()], [-BROAD / 2, BROAD / 2], atol=1e-9)
    assert_allclose([(points @ up).min(), (points @ up).max()], [0, 110], atol=1e-6)


def test_the_boot_stands_behind_the_pads_middle() -> None:
    """Where the heel was taped left or right does not matter: the boot is in line with its pad."""
    one, other = boot(), boot(HEEL + [0.0, 25, 0])
    assert_allclose(corners(one.phases[0].pieces), corners(other.phases[0].pieces), atol=1e-9)


def test_a_boot_on_a_floor_hinged_pedal_follows_its_pad_up() -> None:
    van = jobs.van_clutch()
    placed = boot(np.array([330.0, -104, -70]), van)
    planted = placed.phases[0]
    turn = 2 * np.arcsin(70 / np.hypot(176, 243))
    end = min(1.0, max(planted.travel.shares) if planted.travel is not None else 0.0)
    for share in (0.0, end / 2, end):
        pad = turned(np.array([156.0, -104, 93]), np.array([-20.0, 0, -150]), [0, -1, 0], share * turn)
        rear, _, up = laid(planted, share)
        assert abs((pad - rear) @ up) <= 0.005


def test_the_boot_is_driven_by_and_joined_to_its_pedal() -> None:
    placed = boot()
    assert placed.driven_by == "clutch" and placed.joined == {"clutch"} and not placed.new
    assert placed.pulled == placed.phases, "pulling the wheel leaves a boot where it is"


def test_a_heel_ahead_of_the_pad_is_refused() -> None:
    with pytest.raises(KeyFault, match="the heel stands ahead of the pad; it belongs behind it") as caught:
        boot(np.array([300.0, -90, -270]))
    assert caught.value.path == ("driver", "boots", 0, "heel")
