"""Least gaps, travels and chords against a car worked out by hand (plane geometry: a point and a turning line)."""

from itertools import pairwise
from math import asin, cos, degrees, hypot, pi, radians, sin

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from fitcheck.clearance.gaps import Found, gaps
from fitcheck.clearance.travel import TOLERANCE_MM, closest, phases, touch_travel
from fitcheck.geometry.gap import GapEngine
from fitcheck.placement.scene import Part
from fitcheck.report.words import travel_of
from tests import jobs
from tests.clearance.hand_car import (
    AHEAD,
    ARM_WIDE,
    BELOW,
    BESIDE,
    CAN_DIA,
    FACETS_PROUD,
    RADIUS,
    car,
    chord,
    gap,
    touch_angle,
)

SHORT = FACETS_PROUD + TOLERANCE_MM  # how much less than by hand may be found
CLUTCH_AND_UNIT = ("unit", "clutch")


def found(tables: jobs.Tables, a: str, b: str) -> Found:
    job = jobs.job(tables)
    entries = gaps(GapEngine(), job, jobs.scene(tables))
    return next(entry for entry in entries if (entry.pair.a.name, entry.pair.b.name) == (a, b))


@pytest.mark.parametrize("full_deg", [1.0, 5.0, 10.0, 14.0])
def test_arm_swung_toward_a_can_comes_closest_at_full_travel(full_deg: float) -> None:
    entry = found(car(radians(full_deg)), *CLUTCH_AND_UNIT)
    assert entry.closest is not None
    exact = gap(radians(full_deg))
    assert exact - SHORT <= entry.closest.gap.bound_mm <= exact + 1e-6
    assert entry.closest.at_travel == pytest.approx({"clutch": 1.0}, abs=1e-9)
    assert entry.first_touch is None
    assert (entry.closest.a_where, entry.closest.b_where) == ("motor can, middle", "clutch arm")


@pytest.mark.parametrize(("travel", "over"), [(3.0, 0.0), (0.0, 2.0), (3.0, 2.0)])
def test_either_end_of_the_travel_is_covered_beyond_it_by_its_readings_spread(travel: float, over: float) -> None:
    """Full travel and over-travel are two readings: their spreads add as squares (JCGM 100:2008, 5.1.2)."""
    full = radians(8.0)
    tables = jobs.changed(car(full), ("pedals", 0, "travel"), f"{chord(full):.9f} mm ± {travel:g} mm")
    tables = jobs.changed(tables, ("pedals", 0, "over_travel"), f"0 mm ± {over:g} mm")
    farther = [2 * asin((start + more) / (2 * RADIUS)) for start, more in ((chord(full), travel), (0.0, over))]
    beyond = full + hypot(farther[0] - full, farther[1])
    entry = found(tables, *CLUTCH_AND_UNIT)
    assert entry.closest is not None
    assert gap(beyond) - SHORT <= entry.closest.gap.bound_mm <= gap(beyond) + 1e-6 < gap(full) - 0.9
    assert entry.closest.at_travel["clutch"] == pytest.approx(beyond / full, abs=1e-9)


@pytest.mark.parametrize("full_deg", [15.0, 18.0, 25.0])
def test_first_touch_is_where_the_arm_s_face_reaches_the_can(full_deg: float) -> None:
    """With round corners standing out by FACETS_PROUD the touch may be told a little early, never late."""
    tables = car(radians(full_deg))
    entry = found(tables, *CLUTCH_AND_UNIT)
    assert entry.closest is not None and entry.first_touch is not None
    assert entry.closest.gap.gap_mm == 0
    exact = degrees(touch_angle()) / full_deg
    early = degrees(FACETS_PROUD / 160) / full_deg + 0.002  # 160 mm from the pivot, and the bracket's own width
    assert exact - early <= entry.first_touch <= exact + 0.002
    assert entry.touched_by == "clutch"
    at_pad = travel_of("clutch", jobs.scene(tables)).chord_mm(entry.first_touch)
    assert at_pad == pytest.approx(chord(touch_angle()), abs=2.0)
    assert at_pad == pytest.approx(chord(radians(entry.first_touch * full_deg)), abs=1e-6)


def test_pulled_up_by_hand_reads_as_less_than_no_travel() -> None:
    """A can behind the arm is closest with the pedal pulled up: mirrored fore and aft, the same closed form."""
    tables = car(radians(5.0))
    tables = jobs.changed(tables, ("unit", "input_face"), jobs.mm(600 - 80.0 - 30.0))
    tables = jobs.changed(tables, ("pedals", 0, "pulled_up"), f"{chord(radians(4.0)):.9f} mm ± 0 mm")
    entry = found(tables, *CLUTCH_AND_UNIT)
    assert entry.closest is not None
    assert gap(radians(4.0)) - SHORT <= entry.closest.gap.bound_mm <= gap(radians(4.0)) + 1e-6
    assert entry.closest.at_travel["clutch"] == pytest.approx(-4.0 / 5.0, abs=1e-6)


def test_met_only_when_pulled_up_is_a_negative_travel() -> None:
    tables = car(radians(5.0))
    tables = jobs.changed(tables, ("unit", "input_face"), jobs.mm(600 - 80.0 - 30.0))
    tables = jobs.changed(tables, ("pedals", 0, "pulled_up"), f"{chord(radians(20.0)):.9f} mm ± 0 mm")
    entry = found(tables, *CLUTCH_AND_UNIT)
    assert entry.first_touch is not None
    assert -20.0 / 5.0 - 1e-9 <= entry.first_touch <= -degrees(touch_angle()) / 5.0 + 0.05


def test_meeting_at_rest_already_is_told_as_rest() -> None:
    tables = jobs.changed(car(radians(10.0)), ("unit", "input_face"), jobs.mm(600 + 20.0 - 30.0))
    entry = found(tables, *CLUTCH_AND_UNIT)
    assert entry.first_touch == pytest.approx(0.0, abs=0.002)


def gap_pulled(pull_mm: float, full: float) -> float:
    """Least distance from the can, turned about the jacket's lower end by scipy, to the arm at full travel.

    The face at the unit's wheel end goes `pull_mm`, or at the octagon's eight corners 1 / cos(22.5 deg) of it. The arm
    is 10 thick about 120 left: its left edge is the nearer one to a can that leans.
    """
    bearing, face = np.array([600.0 - 800, 0, 300 - BELOW - BESIDE]), 600 + AHEAD - 30
    angle = asin(pull_mm / cos(pi / 8) / (800 - face))
    normal = np.array([cos(full), 0, -sin(full)])
    start, far = (np.array([-AHEAD, -left, 300 - BELOW]) - bearing for left in (48.0, 198.0))
    gaps_found = []
    for k in range(8):
        turn = Rotation.from_rotvec(angle * np.array([0, np.cos(k * pi / 4), np.sin(k * pi / 4)]))
        one, other = turn.apply(start) + bearing, turn.apply(far) + bearing
        along = (other - one) / np.linalg.norm(other - one)
        out = normal - (normal @ along) * along
        skin = one + CAN_DIA / 2 * out / np.linalg.norm(out)
        there = skin + (-125 - skin[1]) / along[1] * along
        gaps_found.append(-ARM_WIDE / 2 - (there - [0, 0, 300]) @ normal)
    return float(min(gaps_found))


def test_the_unit_is_pulled_against_pedals_and_boots_only() -> None:
    """Someone heaving on the wheel turns the column about the jacket's lower end, here 800 along; the face goes 3.

    The swept piece holds more than the arc, by 1 - cos of the angle at the distance from the bearing (170).
    """
    full = radians(10.0)
    assert gap_pulled(0.0, full) == pytest.approx(gap(full), abs=1e-9)
    pulled = found(car(full, require={"wheel_pull": "3 mm"}), *CLUTCH_AND_UNIT)
    assert pulled.closest is not None
    by_hand, beyond_arc = gap_pulled(3.0, full), 170 * (3.0 / cos(pi / 8) / 150) ** 2 / 2
    assert by_hand - SHORT - beyond_arc <= pulled.closest.gap.bound_mm <= by_hand + 1e-6 < gap(full) - 2.5
    scene = jobs.scene(jobs.saloon())
    unit, clutch, boot = (scene.part(name) for name in ("unit", "clutch", "boot on clutch"))
    assert unit is not None and clutch is not None and boot is not None
    assert phases(unit, clutch) is unit.pulled
    assert phases(unit, boot) is unit.pulled
    duct = scene.part("vent duct")
    assert duct is not None
    assert phases(unit, duct) is unit.phases


def test_what_is_bolted_to_the_bracket_may_touch_it_and_the_rest_of_the_unit_may_not() -> None:
    """A clamp round the jacket from 390 to 440 along reaches 10 mm over the sensor, which begins 430 along."""
    clamp = {"along": "390 mm", "wide": "50 mm", "thick": "20 mm"}
    bracket = {"turns": "stays with the car", "clamp": clamp}
    meets = found(jobs.bare(bracket=bracket), "unit", "bracket")
    assert meets.closest is not None and meets.closest.gap.gap_mm == 0
    bolted = found(jobs.bare(bracket={**bracket, "bolts_to": ["sensor section"]}), "unit", "bracket")
    assert bolted.closest is not None
    # The gear body begins 510 along: 70 behind the clamp's edge, both square to the column and round it.
    assert bolted.closest.gap.gap_mm == pytest.approx(70.0, abs=TOLERANCE_MM)
    scene = jobs.scene(jobs.bare(bracket={**bracket, "bolts_to": ["sensor section"]}, pedals=[jobs.clutch()]))
    unit, pedal, own = (scene.part(name) for name in ("unit", "clutch", "bracket"))
    assert unit is not None and pedal is not None and own is not None
    everything = {piece.name for piece in unit.phases[0].pieces}
    assert {piece.name for phase in phases(unit, pedal) for piece in phase.pieces} == everything
    assert {piece.name for phase in phases(unit, own) for piece in phase.pieces} == everything - {"sensor section"}


def box_before_boot(low: float, high: float) -> tuple[Part, Part]:
    """The clutch boot of the invented saloon, and a thin plate across its way between two heights above the datum."""
    tables = jobs.saloon()
    plate = {"corner": jobs.at(300.0, -160, low), "opposite": jobs.at(302.0, -20, high)}
    tables["obstacles"] = [{"name": "plate", "shape": plate, "new": True}]
    del tables["linkages"]
    scene = jobs.scene(tables)
    boot, obstacle = scene.part("boot on clutch"), scene.part("plate")
    assert boot is not None and obstacle is not None
    return boot, obstacle


@pytest.mark.parametrize("low", [-60.0, -20.0])
def test_planted_boot_first_touches_at_the_lowest_travel_not_the_lowest_slope(low: float) -> None:
    """The sole sinks as the pedal goes down: the first place met from rest has the highest slope of those that meet.

    Second road: the boot's own pieces looked at one by one from rest on, at many even travels.
    """
    boot, obstacle = box_before_boot(low, low + 10.0)
    planted = boot.phases[0]
    assert planted.travel is not None and planted.moves is not None
    shares = list(planted.travel.shares)
    assert shares == sorted(shares, reverse=True)  # else this test looks at nothing new
    engine = GapEngine()
    first = touch_travel(engine, boot, obstacle)
    met = [
        share
        for value, share in zip(planted.travel.values, shares, strict=True)
        if share >= 0
        and any(
            engine.gap(piece, obstacle.phases[0].pieces[0], planted.moves.frame(value)).gap_mm == 0
            for piece in planted.pieces
        )
    ]
    assert met and first is not None
    step = max(one - next_one for one, next_one in pairwise(shares))
    assert min(met) - step <= first <= min(met) + 0.002


def test_boot_that_meets_at_rest_is_told_as_rest_though_it_meets_later_too() -> None:
    assert touch_travel(GapEngine(), *box_before_boot(-10.0, 0.0)) == 0.0


def test_of_two_swapped_parts_the_gap_is_the_same() -> None:
    scene = jobs.scene(jobs.saloon())
    engine = GapEngine()
    for one, other in (("unit", "clutch"), ("bracket", "boot on brake"), ("clutch", "boot on brake")):
        a, b = scene.part(one), scene.part(other)
        assert a is not None and b is not None
        ab, ba = closest(engine, a, b), closest(engine, b, a)
        assert abs(ab.gap.gap_mm - ba.gap.gap_mm) <= TOLERANCE_MM
        assert ab.gap.bound_mm <= ba.gap.gap_mm and ba.gap.bound_mm <= ab.gap.gap_mm
