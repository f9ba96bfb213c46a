"""Least gaps, travels and chords against a car worked out by hand (plane geometry: a point and a turning line)."""

from itertools import pairwise
from math import cos, degrees, radians, sin

import pytest

from fitcheck.clearance.gaps import Found, gaps
from fitcheck.clearance.travel import TOLERANCE_MM, closest, phases, touch_travel
from fitcheck.geometry.gap import GapEngine
from fitcheck.placement.scene import Part
from fitcheck.report.words import pad_chord_mm
from tests import jobs
from tests.clearance.hand_car import FACETS_PROUD, car, chord, gap, touch_angle

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
    at_pad = pad_chord_mm("clutch", entry.first_touch, jobs.scene(tables))
    assert at_pad == pytest.approx(chord(touch_angle()), abs=2.0)
    assert at_pad == pytest.approx(chord(radians(entry.first_touch * full_deg)), abs=1e-6)


def test_pulled_up_by_hand_reads_as_less_than_no_travel() -> None:
    """A can behind the arm is closest with the pedal pulled up: mirrored fore and aft, the same closed form."""
    tables = car(radians(5.0))
    tables = jobs.changed(tables, ("unit", "input_face"), jobs.mm(600 - 80.0 - 30.0))
    tables = jobs.changed(tables, ("pedals", 0, "pulled_up"), f"{chord(radians(4.0)):.9f} mm")
    entry = found(tables, *CLUTCH_AND_UNIT)
    assert entry.closest is not None
    assert gap(radians(4.0)) - SHORT <= entry.closest.gap.bound_mm <= gap(radians(4.0)) + 1e-6
    assert entry.closest.at_travel["clutch"] == pytest.approx(-4.0 / 5.0, abs=1e-6)


def test_met_only_when_pulled_up_is_a_negative_travel() -> None:
    tables = car(radians(5.0))
    tables = jobs.changed(tables, ("unit", "input_face"), jobs.mm(600 - 80.0 - 30.0))
    tables = jobs.changed(tables, ("pedals", 0, "pulled_up"), f"{chord(radians(20.0)):.9f} mm")
    entry = found(tables, *CLUTCH_AND_UNIT)
    assert entry.first_touch is not None
    assert -20.0 / 5.0 - 1e-9 <= entry.first_touch <= -degrees(touch_angle()) / 5.0 + 0.05


def test_meeting_at_rest_already_is_told_as_rest() -> None:
    tables = jobs.changed(car(radians(10.0)), ("unit", "input_face"), jobs.mm(600 + 20.0 - 30.0))
    entry = found(tables, *CLUTCH_AND_UNIT)
    assert entry.first_touch == pytest.approx(0.0, abs=0.002)


def test_the_unit_is_pulled_against_pedals_only() -> None:
    """Where no bearing is given a heave on the wheel shoves the unit 3 mm each way, square to the column and along it.

    The column runs level, so up and aft together: along the face's normal (cos t aft, sin t up) by 3 (cos t + sin t).
    """
    still = found(car(radians(10.0)), *CLUTCH_AND_UNIT)
    pulled = found(car(radians(10.0), require={"wheel_pull": "3 mm"}), *CLUTCH_AND_UNIT)
    assert still.closest is not None and pulled.closest is not None
    nearer = still.closest.gap.gap_mm - pulled.closest.gap.gap_mm
    assert nearer == pytest.approx(3.0 * (cos(radians(10.0)) + sin(radians(10.0))), abs=TOLERANCE_MM)
    scene = jobs.scene(jobs.saloon())
    unit, clutch, boot = (scene.part(name) for name in ("unit", "clutch", "boot on clutch"))
    assert unit is not None and clutch is not None and boot is not None
    assert phases(unit, clutch) is unit.pulled
    assert phases(unit, boot) is unit.phases


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
