"""Torsion against Roark's formulas, finite elements and closed forms; couples by statics; ratings; MPa, N m, mm."""

from typing import Any

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from fitcheck.errors import GeometryError
from fitcheck.job.shafting import Joint, ShaftPiece
from fitcheck.job.torques import Torque
from fitcheck.limits import NotKnown
from fitcheck.shaft.line import Line
from fitcheck.shaft.strength import Strength, angle_factor, couples, rating, torsion, two_flats
from tests.jobs import mm
from tests.shaft import cars

ROARK_OFF = 0.015  # the formula against finite elements, as found there: 0.6 to 1.0 %
# Over the flats of a 19.05 mm bar: torsion constant by finite elements (sectionproperties 3.10.2, meshes 0.1 and 0.3
# mm2 alike to 5 digits).
BY_ELEMENTS = (
    (17.5, 12129.46),
    (15.875, 10620.22),
    (14.2875, 8855.75),
    (13.97, 8487.5),
    (13.7, 8172.72),
    (12.7, 7007.46),
)


def piece(**changes: Any) -> ShaftPiece:
    return ShaftPiece.model_validate({"name": "bar", "dia": mm(19.05), **changes})


def test_round_bars() -> None:
    """J = pi d^4 / 32: 12929.443 mm4 at 3/4 in, 40863.425 at 1 in; 36.83 MPa at 50 N m (closed form)."""
    found = torsion(piece(), 50.0)
    assert_allclose([found.constant_mm4, found.stress_mpa], [12929.443, 36.83], atol=5e-3)
    assert_allclose(torsion(piece(dia=mm(25.4)), 50.0).constant_mm4, 40863.425, atol=1e-3)


def test_tube() -> None:
    """19.05 / 13: 10125.47 exactly, 10125.22 by finite elements."""
    assert_allclose(torsion(piece(hollow=mm(13)), 50.0).constant_mm4, 10125.47, atol=5e-3)


@pytest.mark.parametrize(("flats", "constant"), BY_ELEMENTS)
def test_two_flats_against_finite_elements(flats: float, constant: float) -> None:
    found, _ = two_flats(19.05 / 2, flats, 50_000.0)
    assert_allclose(found, constant, rtol=ROARK_OFF)


def test_two_flats_as_printed() -> None:
    """Roark, 7th ed., table 10.1, at 13.7 mm: 8115.3 mm4; 50 N m: 66.71 MPa, 0.4452 deg each 100 mm of steel."""
    found = torsion(piece(over_flats=mm(13.7)), 50.0)
    assert_allclose(found.constant_mm4, 8115.3, atol=0.05)
    assert_allclose(found.stress_mpa, 66.71, atol=5e-3)
    assert_allclose(np.degrees(found.twist_rad_per_m) / 10, 0.4452, atol=5e-5)


def test_no_flats_is_the_round_bar() -> None:
    """At no depth the series give pi/4 and 2/pi, to their four digits."""
    constant, stress = two_flats(9.525, 19.05, 50_000.0)
    assert_allclose([constant, stress], [12929.443, 36.83], rtol=2e-4)


def test_sections_out_of_range_are_refused() -> None:
    with pytest.raises(GeometryError, match="out of the formula's range"):
        two_flats(9.5, 5.0, 1.0)
    with pytest.raises(GeometryError, match="no formula here for a hollow bar with flats"):
        torsion(piece(hollow=mm(8), over_flats=mm(14)), 1.0)


def test_couples_by_statics_over_a_turn() -> None:
    """The cross carries a couple square to both pins; its parts along the shafts are torques, the rest bends them."""
    bend, torque = np.radians(30), 50.0
    way_in, way_out = np.array([0.0, 0.0, 1.0]), np.array([0.0, np.sin(bend), np.cos(bend)])
    driving, driven = [], []
    for turn in np.linspace(0, np.pi, 1801):
        pin = Rotation.from_rotvec(turn * way_in).apply([1.0, 0.0, 0.0])
        other = np.cross(way_out, pin) / np.linalg.norm(np.cross(way_out, pin))
        normal = np.cross(pin, other)
        couple = torque / (normal @ way_in) * normal
        driving.append(np.linalg.norm(couple - (couple @ way_in) * way_in))
        driven.append(np.linalg.norm(couple - (couple @ way_out) * way_out))
    joints = [Joint.model_validate(cars.joint(name)) for name in ("one", "other")]
    first, _ = couples(joints, np.array([bend, 0.1]), torque)
    assert_allclose([first.driving_nm, first.driven_nm], [max(driving), max(driven)], rtol=1e-6)


def joint(**changes: Any) -> Joint:
    return Joint.model_validate(cars.joint("upper joint", **changes))


@pytest.mark.parametrize(
    ("bearing", "angle", "factor"), [("plain", 5, 1.0), ("plain", 10, 1.0), ("plain", 30, 2.25), ("needle", 18, 1.43)]
)
def test_derating_with_angle(bearing: str, angle: float, factor: float) -> None:
    """Plain: 1 to 10 deg, 2.25 at 30; needle: 1.43 at 18 (component maker's pages citing DIN 808, READ)."""
    found = angle_factor(joint(bearing=bearing), angle)
    assert found is not None
    assert_allclose(found, factor)


def test_ratings_in_words() -> None:
    plain = {"rated": "61 N m", "bearing": "plain"}
    assert rating(joint(**plain), np.radians(30), 27.0).startswith("keeps: 27 N m of 27 N m")
    assert rating(joint(**plain), np.radians(30), 28.0).startswith("outside")
    assert "not known" in rating(joint(**plain), np.radians(31), 1.0)
    assert "not known" in rating(joint(rated="61 N m"), 0.1, 1.0)
    assert rating(joint(), 0.1, 1.0).startswith("not rated")


def test_the_saloon_at_forty_newton_metres() -> None:
    found, line = cars.saloon_as_it_is().strength, cars.saloon_as_it_is().line
    assert isinstance(found, Strength) and isinstance(line, Line)
    assert found.bracket_force_n == 400.0  # 40 N m on a 100 mm lever
    bends = np.arccos((line.ways[:-1] * line.ways[1:]).sum(axis=1))
    by_hand = (40 * np.sin(bends[0]) + 40 / np.cos(bends[0]) * np.tan(bends[1])) * 1000 / line.spans_mm[0]
    assert_allclose(found.box_force_n, by_hand)
    assert found.support_force_n is None


def test_without_load_or_lever_the_key_is_named() -> None:
    tables = cars.saloon()
    del tables["shaft"]["load"]["lever"]
    found = cars.chapter(tables, 0).strength
    assert isinstance(found, Strength) and isinstance(found.bracket_force_n, NotKnown)
    assert found.bracket_force_n.keys == ("shaft.load.lever",)
    del tables["shaft"]["load"]
    open_ = cars.chapter(tables, 0).strength
    assert isinstance(open_, NotKnown)
    assert open_.keys == ("shaft.load.torque",)


def test_torques_are_read_with_their_unit() -> None:
    """1 lb ft = 1.3558179483 N m (exact foot and pound-force)."""
    assert Torque.parse("40 N m").nm == 40.0
    assert_allclose(Torque.parse("30 lb ft").nm, 30 * 1.3558179483314004)


def test_a_centred_double_joint_bends_both_shafts_alike() -> None:
    """Each half takes half the angle: either outer shaft sees T tan(b / 2), and T goes through whole."""
    double = Joint.model_validate(cars.joint("double", kind="double", counts_as="one"))
    first, second = couples([double, joint()], np.radians([40, 0]), 50.0)
    assert_allclose([first.driving_nm, first.driven_nm], 50 * np.tan(np.radians(20)))
    assert second.torque_nm == 50.0


def test_the_tube_half_of_a_telescoping_shaft_by_the_hollow_bars_formula() -> None:
    """25.4 over 19: J = pi (25.4^4 - 19^4) / 32, stress T r / J at the torque the first joint passes on."""
    found = cars.chapter(cars.saloon(), 0)
    assert not isinstance(found.strength, NotKnown)
    (solid, _), (tube, hollow) = found.strength.torsion
    assert (solid, tube) == ("telescoping shaft, solid half", "telescoping shaft, tube half")
    torque_nmm = found.strength.couples[1].torque_nm * 1000
    expected = torque_nmm * 12.7 / (np.pi * (25.4**4 - 19**4) / 32)
    assert_allclose(hollow.stress_mpa, expected, rtol=1e-12)
