"""Spread of a gap by first order against closed forms, against whole new judgements, and against random draws.

Law of propagation for independent inputs: JCGM 100:2008, 5.1.2. Derivatives of the hand-worked car's gap
(AHEAD cos t - BELOW sin t - half the can - half the arm) are plane geometry. Millimetres; half-widths of 95 %.
"""

from functools import partial
from math import asin, atan2, cos, hypot, radians, sin, sqrt
from pathlib import Path

import numpy as np
import pytest

from fitcheck.clearance.gaps import Found, found, gaps
from fitcheck.clearance.pairs import Pair, Treatment, pairs
from fitcheck.confidence import wide
from fitcheck.confidence.first_order import Share, spreads, total
from fitcheck.confidence.nudged import Nudged, just_the_scene
from fitcheck.confidence.results import Judged, Result, judged
from fitcheck.errors import KeyFault
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.model import Job
from fitcheck.placement.place import place
from fitcheck.placement.scene import Scene
from fitcheck.readings.steps import SIGMAS_95
from fitcheck.readings.survey import readings, shifted
from tests import jobs
from tests.clearance.hand_car import AHEAD, BELOW, RADIUS, car, chord

FULL = radians(10.0)
AS_BEFORE = Treatment.AS_BEFORE
HERE = Path(__file__).parent
TOLERANCE_MM = 0.05  # of the least gap itself


def of_clutch(job: Job) -> Found:
    entries = gaps(GapEngine(), job, place(job, HERE))
    return next(entry for entry in entries if (entry.pair.a.name, entry.pair.b.name) == ("unit", "clutch"))


def shares_of(job: Job) -> dict[str, float]:
    scene = place(job, HERE)
    entry = next(e for e in gaps(GapEngine(), job, scene) if (e.pair.a.name, e.pair.b.name) == ("unit", "clutch"))
    (shares,) = spreads(Nudged(job, partial(place, folder=HERE, like=scene)), [entry])
    assert [abs(share.part_mm) for share in shares] == sorted((abs(share.part_mm) for share in shares), reverse=True)
    return {share.key: share.part_mm for share in shares}


def gap_of(job: Job) -> float:
    closest = of_clutch(job).closest
    assert closest is not None
    return closest.gap.gap_mm


def swing_of(chord_mm: float, radius: float = RADIUS) -> float:
    return 2 * asin(chord_mm / (2 * radius))


def test_parts_of_the_spread_are_the_closed_form_s_derivatives_times_the_readings_spreads() -> None:
    shares = shares_of(jobs.job(car(FULL)))
    by_hand = {
        "unit.input_face": 2.0 * cos(FULL),  # set along by tape: 2 mm, straight ahead
        "unit.gear_body.long": 1.0 / 2 * cos(FULL),  # half of it moves the can ahead
        "unit.motor.beside": 1.0 * sin(FULL),  # raises the can
        "unit.motor.dia": -1.0 / 2,
        "pedals[1].arm_wide": -1.0 / 2,
        "column.hub_seat.back": -3.0 * cos(FULL),
        "column.hub_seat.up": 3.0 * sin(FULL),
    }
    # A facet of the can stands in for its circle: where on the arm the gap lies is off by up to half a facet.
    assert {key: shares[key] for key in by_hand} == pytest.approx(by_hand, abs=0.03)
    lever = np.hypot(AHEAD, BELOW) * cos(atan2(AHEAD, BELOW) - FULL)  # how far down the arm the gap lies
    assert shares["pedals[1].arm[1].at.back"] == pytest.approx(3.0 * lever / 260.0, abs=0.05)
    for beside_the_point in ("column.hub_seat.right", "unit.motor.long", "pedals[1].pad.wide", "pedals[1].arm_thick"):
        assert beside_the_point not in shares


def test_spread_stated_in_the_file_counts_and_nought_takes_the_reading_out() -> None:
    tables = car(FULL)
    can = ("unit", "motor", "dia")
    stated = jobs.changed(tables, can, "60 mm ± 0.25 mm")
    default, own = shares_of(jobs.job(tables)), shares_of(jobs.job(stated))
    assert own["unit.motor.dia"] == pytest.approx(default["unit.motor.dia"] / 4, abs=1e-6)
    exact = shares_of(jobs.job(jobs.changed(tables, can, "60 mm ± 0 mm")))
    assert "unit.motor.dia" not in exact
    assert {key: part for key, part in own.items() if key != "unit.motor.dia"} == pytest.approx(exact)


def test_a_travel_s_own_spread_is_in_the_range_that_is_covered_and_counts_once() -> None:
    """A travel good to 4 mm brings the gap down by what 4 mm more of it do, and is no part of the spread."""
    exact = jobs.job(car(FULL))
    unsure = jobs.job(jobs.changed(car(FULL), ("pedals", 0, "travel"), f"{chord(FULL):.9f} mm"))
    farther = swing_of(chord(FULL) + 4.0)
    by_hand = (AHEAD * cos(farther) - BELOW * sin(farther)) - (AHEAD * cos(FULL) - BELOW * sin(FULL))
    assert gap_of(unsure) - gap_of(exact) == pytest.approx(by_hand, abs=2 * TOLERANCE_MM)
    assert "pedals[1].travel" in {reading.key for reading in readings(unsure)}
    assert "pedals[1].travel" not in shares_of(unsure)
    assert shares_of(unsure).keys() == shares_of(exact).keys()


def test_spread_of_the_whole_point_and_of_its_tool() -> None:
    tables = car(FULL)
    of_point = shares_of(jobs.job(jobs.changed(tables, ("column", "hub_seat", "spread"), "1.5 mm")))
    by_plumb = shares_of(jobs.job(jobs.changed(tables, ("column", "hub_seat", "tool"), "plumb")))
    assert of_point["column.hub_seat.back"] == pytest.approx(-1.5 * cos(FULL), abs=2e-3)
    assert by_plumb["column.hub_seat.back"] == pytest.approx(-2.0 * cos(FULL), abs=2e-3)


def all_exact(value: object) -> object:
    """The tables with every length and angle that states no spread said to be exact."""
    if isinstance(value, dict):
        return {key: all_exact(item) for key, item in value.items()}
    if isinstance(value, list):
        return [all_exact(item) for item in value]
    if isinstance(value, str) and "±" not in value and value.endswith((" mm", " deg")):
        return f"{value} ± 0 {value.rpartition(' ')[2]}"
    return f"{value} ± 0 deg" if value == "9:00" else value


def test_exact_readings_have_no_spread() -> None:
    exact = all_exact(car(FULL))
    assert isinstance(exact, dict)
    job = jobs.job(exact)
    assert readings(job) == ()
    assert shares_of(job) == {}


def test_first_order_agrees_with_judging_again_for_every_reading() -> None:
    """Second road: each reading moved by a standard deviation each way and the least gap searched for anew."""
    job = jobs.job(car(FULL))
    shares = shares_of(job)
    for reading in readings(job):
        sigma = reading.spread / SIGMAS_95
        high, low = (gap_of(shifted(job, reading.path, way * sigma)) for way in (1, -1))
        again = (high - low) / 2 * SIGMAS_95
        assert shares.get(reading.key, 0.0) == pytest.approx(again, abs=SIGMAS_95 * TOLERANCE_MM + 0.02), reading.key


@pytest.mark.parametrize("other", ["clutch", "pedal shaft"])
def test_first_order_agrees_on_the_saloon_where_the_closest_place_stays(other: str) -> None:
    """The same on the example car: round against flat and moving, round against round; every reading."""
    job = jobs.job(jobs.saloon())
    scene = place(job, HERE)
    names = ("unit", other)
    pair = next(p for p in pairs(job, scene.parts) if (p.a.name, p.b.name) == names)
    (shares,) = spreads(Nudged(job, partial(place, folder=HERE, like=scene)), [found(GapEngine(), pair)])
    parts = {share.key: share.part_mm for share in shares}
    squares = 0.0
    for reading in readings(job):
        sigma = reading.spread / SIGMAS_95
        high, low = (gap_anew(shifted(job, reading.path, way * sigma), scene, pair) for way in (1, -1))
        again = (high - low) / 2 * SIGMAS_95
        squares += again**2
        assert parts.get(reading.key, 0.0) == pytest.approx(again, abs=0.1 + 0.15 * abs(again)), reading.key
    assert total(shares) == pytest.approx(sqrt(squares), rel=0.05)


def gap_anew(job: Job, like: Scene, pair: Pair) -> float:
    """The pair's least gap with a reading moved; nothing is searched for where neither part moves."""
    scene = place(job, HERE, like)
    a, b = scene.part(pair.a.name), scene.part(pair.b.name)
    assert a is not None and b is not None
    if a is pair.a and b is pair.b:
        return 0.0
    closest = found(GapEngine(), Pair(a, b, pair.need)).closest
    assert closest is not None
    return closest.gap.gap_mm


def test_random_draws_of_all_readings_spread_as_first_order_says() -> None:
    """200 draws: the deviation drawn lies within sampling error (1 / sqrt(2 (n - 1)), normal; here four of them)."""
    job, draws = jobs.job(car(FULL)), 200
    expected = total([Share(key, part) for key, part in shares_of(job).items()]) / SIGMAS_95
    random = np.random.default_rng(19)
    drawn = []
    for _ in range(draws):
        one = job
        for reading in readings(job):
            one = shifted(one, reading.path, float(random.normal(0.0, reading.spread / SIGMAS_95)))
        drawn.append(gap_of(one))
    assert np.std(drawn, ddof=1) == pytest.approx(expected, rel=4 / np.sqrt(2 * (draws - 1)))
    assert np.mean(drawn) == pytest.approx(gap_of(job), abs=4 * expected / np.sqrt(draws) + TOLERANCE_MM)


def test_pivot_and_pad_move_travel_as_well_as_metal() -> None:
    """The pad read farther from the pivot makes the same chord a smaller swing: the arm stays farther from the can."""
    job = jobs.job(car(FULL))
    pad_down = [reading for reading in readings(job) if reading.key == "pedals[1].pad.at.up"]
    assert len(pad_down) == 1
    radius = hypot(300.0 + 0.1, 12.0)
    swing = swing_of(chord(FULL), radius)
    by_swing = (AHEAD * cos(swing) - BELOW * sin(swing)) - (AHEAD * cos(FULL) - BELOW * sin(FULL))
    assert shares_of(job)["pedals[1].pad.at.up"] == pytest.approx(-by_swing / 0.1 * 3.0, abs=5e-3)


def test_a_reading_just_inside_a_limit_is_moved_the_other_way() -> None:
    """The unit's lower end stands on the jacket's: a jacket 0.1 shorter would leave it in the air."""
    tables = car(FULL)
    lowest = 600 + AHEAD + 60 / 2
    job = jobs.job(jobs.changed(tables, ("column", "jacket_to"), jobs.mm(lowest)))
    with pytest.raises(KeyFault, match="off the column"):
        place(shifted(job, ("unit", "input_face"), 0.1), HERE)
    shares, roomy = shares_of(job), shares_of(jobs.job(tables))
    assert shares["unit.input_face"] == pytest.approx(roomy["unit.input_face"], abs=1e-3)


def of_pair(tables: jobs.Tables, a: str, b: str) -> Judged:
    """One pair judged, with the readings behind its spread."""
    job = jobs.job(tables)
    scene = place(job, jobs.EXAMPLES)
    pair = next(one for one in pairs(job, scene.parts) if (one.a.name, one.b.name) == (a, b))
    entry = found(GapEngine(), pair)
    (shares,) = spreads(Nudged(job, partial(place, folder=jobs.EXAMPLES, like=scene)), [entry])
    return judged(entry, shares)


def test_a_clock_good_to_ten_degrees_is_no_clear_answer() -> None:
    """At 10:45 the gear body is nearest, which no turning moves; ten degrees on the can comes nearer than required.

    Second road: the unit put at both ends and half way, and the gap searched for anew.
    """
    tables = jobs.saloon()
    close = of_pair(jobs.changed(tables, ("unit", "clock"), "10:45 ± 10 deg"), "unit", "clutch")
    assert close.result is Result.TOO_CLOSE
    assert close.shares[0].key == "unit.clock"
    again = [
        of_pair(jobs.changed(tables, ("unit", "clock"), f"{322.5 + by:g} deg"), "unit", "clutch")
        for by in (-10, -5, 5, 10)
    ]
    assert close.found.closest is not None
    least = min(entry.found.closest.gap.bound_mm for entry in again if entry.found.closest is not None)
    by_hand = close.found.closest.gap.bound_mm - least
    assert abs(close.shares[0].part_mm) == pytest.approx(by_hand, abs=TOLERANCE_MM)
    assert close.shares[0].part_mm > 0  # it falls as the clock goes back
    narrow = of_pair(jobs.changed(tables, ("unit", "clock"), "10:45 ± 2.5 deg"), "unit", "clutch")
    assert narrow.result is Result.CLEAR


def test_a_wide_reading_never_counts_for_less_than_by_first_order() -> None:
    wide = of_pair(jobs.changed(jobs.saloon(), ("unit", "input_face"), "16 15/16 in ± 6 mm"), "unit", "pedal shaft")
    usual = of_pair(jobs.changed(jobs.saloon(), ("unit", "input_face"), "16 15/16 in ± 5 mm"), "unit", "pedal shaft")
    parts = [{share.key: abs(share.part_mm) for share in entry.shares}["unit.input_face"] for entry in (wide, usual)]
    assert parts[0] >= parts[1] * 6 / 5 - 1e-9


def test_old_parts_and_readings_that_leave_the_unit_alone_are_not_searched_anew() -> None:
    tables = jobs.changed(jobs.saloon(), ("unit", "clock"), "10:45 ± 10 deg")
    job = jobs.job(tables)
    (clock,) = (reading for reading in readings(job) if reading.key == "unit.clock")
    assert wide.is_wide(clock)
    scenes = wide.elsewhere(Nudged(job, partial(place, folder=jobs.EXAMPLES)), clock, just_the_scene)
    assert [share for share, _ in scenes] == [-1.0, -0.5, 0.5, 1.0]
    before = next(
        entry for entry in gaps(GapEngine(), job, place(job, jobs.EXAMPLES)) if entry.pair.need.treatment is AS_BEFORE
    )
    assert wide.larger(1.25, before, scenes) == 1.25


def test_a_spread_that_cannot_be_is_left_out_of_the_search() -> None:
    """Six farther down the unit would leave the column: the job says itself that it is not so."""
    tables = jobs.changed(car(FULL), ("column", "jacket_to"), jobs.mm(600 + AHEAD + 60 / 2 + 4))
    tables = jobs.changed(tables, ("unit", "input_face"), "650 mm ± 6 mm")
    job = jobs.job(tables)
    (face,) = (reading for reading in readings(job) if reading.key == "unit.input_face")
    scenes = wide.elsewhere(Nudged(job, partial(place, folder=HERE)), face, just_the_scene)
    assert [share for share, _ in scenes] == [-1.0, -0.5, 0.5]
