"""The settled job: its points are the adjusted ones, and moving one reading moves them as adjusting anew would.

All readings here are true, so that what the gain leaves out (curvature times residual, 1 in 500 for 1 mm) is nothing.
"""

from pathlib import Path

import numpy as np
import pytest

from fitcheck.job.model import Job
from fitcheck.placement.place import place as placed
from fitcheck.readings.settled import Settled, points_in, settle
from fitcheck.readings.survey import readings, shifted
from tests import jobs
from tests.readings import nets
from tests.readings.nets import CROSSED_NAMES, tape

ALONG, OUT, _ = nets.off_column("knee")
SKIN = {"of": "knee", "along": jobs.mm(ALONG), "out": jobs.mm(OUT - 25.4), "out_from": "skin"}
SAT = {"sill_angle": "0.6 deg nose up", "cross_angle": "0 deg left down"}
NOSE = np.radians(0.6)
LEVEL = {"height_of": "hub_seat", "over": "knee", "is": jobs.mm(float(246 * np.cos(NOSE) - 433 * np.sin(NOSE)))}


def tables(**changes: str) -> jobs.Tables:
    tapes = [tape(a, b) for a, b in CROSSED_NAMES]
    made = nets.tables(*tapes, SKIN, LEVEL, job=jobs.header(sat=SAT))
    for key, value in changes.items():
        made = jobs.changed(made, {"od": ("column", "jacket_od"), "tape": ("readings", 0, "is")}[key], value)
    return made


def spots(job: Job) -> np.ndarray:
    return np.array([[getattr(job.points[name], way).mm for way in ("back", "right", "up")] for name in nets.TRUE])


def settled(made: jobs.Tables) -> Settled:
    job = settle(jobs.job(made))
    assert isinstance(job, Settled)
    return job


def test_without_readings_nothing_changes() -> None:
    job = jobs.job(jobs.saloon())
    assert settle(job) is job
    assert points_in(job) is None


def test_points_are_the_adjusted_ones_and_place_the_column() -> None:
    job = settled(tables())
    found = job.basis.points
    assert spots(job) == pytest.approx(np.array([point.at for point in found.found]), abs=1e-9)
    scene = placed(job, Path())
    assert [part.name for part in scene.parts] == ["column", "unit"]


def test_every_reading_is_there_once() -> None:
    job = settled(tables())
    keys = [each.key for each in readings(job)]
    assert len(keys) == len(set(keys))
    assert {"readings[1].is", "points.pad.down", "job.sat.sill_angle", "column.jacket_od"} <= set(keys)


@pytest.mark.parametrize("key", ["readings[1].is", "points.hub_seat.back", "readings[13].out", "readings[14].is"])
def test_moving_a_reading_of_points_against_adjusting_anew(key: str) -> None:
    """By 0.05 mm either way through the whole file and adjustment: the derivative agrees."""
    job = settled(tables())
    reading = next(each for each in readings(job) if each.key == key)
    by_gain = spots(shifted(job, reading.path, 0.05)) - spots(job)
    ends = []
    for step in (0.05, -0.05):
        path = tuple("is" if each == "reads" else each for each in reading.path)
        text = jobs.mm(reading.value + step)
        ends.append(spots(settled(jobs.changed(tables(), path, text))))
    assert np.abs(by_gain).max() > 1e-3
    assert by_gain == pytest.approx((ends[0] - ends[1]) / 2, abs=2e-6)


def test_moving_the_jacket_s_size_moves_what_was_measured_off_its_skin() -> None:
    job = settled(tables())
    moved = shifted(job, ("column", "jacket_od"), 0.1)
    assert moved.column.jacket_od.mm == pytest.approx(job.column.jacket_od.mm + 0.1)
    anew = spots(settled(tables(od="50.9 mm"))) - spots(settled(tables(od="50.7 mm")))
    assert spots(moved) - spots(job) == pytest.approx(anew / 2, abs=1e-6)
    assert np.abs(anew).max() > 1e-3


def test_moving_how_the_car_sat_moves_what_was_levelled() -> None:
    job = settled(tables())
    moved = shifted(job, ("job", "sat", "sill_angle"), 1e-3)
    ends = []
    for sign in (1, -1):
        angle = f"{0.6 + sign * np.degrees(1e-3):.12f} deg nose up"
        ends.append(spots(settled(jobs.changed(tables(), ("job", "sat", "sill_angle"), angle))))
    assert spots(moved) - spots(job) == pytest.approx((ends[0] - ends[1]) / 2, abs=1e-4), "one way against both"


def test_a_reading_left_out_moves_nothing() -> None:
    wrong = jobs.changed(tables(), ("points", "hub_seat", "back"), "661.4 mm")
    job = settled(wrong)
    assert [doubt.observation.reading.key for doubt in job.basis.points.doubtful] == ["points.hub_seat.back"]
    assert "points.hub_seat.back" not in {each.key for each in readings(job)}
    assert spots(shifted(job, ("points", "hub_seat", "back"), 5.0)) == pytest.approx(spots(job), abs=0)
