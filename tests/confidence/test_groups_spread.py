"""Spread of a gap between parts of groups that move: each reading moved, the pair judged again. Invented figures, mm.

First order against central differences (JCGM 100:2008, 5.1.3, note 2). What ends a movement is in its range already.
"""

from functools import partial

import pytest

from fitcheck.clearance.gaps import found
from fitcheck.clearance.pairs import Pair, pairs
from fitcheck.confidence.first_order import spreads
from fitcheck.confidence.nudged import Nudged
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.model import Job
from fitcheck.placement.place import place
from fitcheck.readings.survey import readings, shifted
from tests import jobs
from tests.clearance.moving_saloon import saloon

SHARE = 0.25  # of a reading's spread, moved each way


def gap_anew(job: Job, pair: Pair) -> float:
    scene = place(job, jobs.EXAMPLES)
    a, b = scene.part(pair.a.name), scene.part(pair.b.name)
    assert a is not None and b is not None
    closest = found(GapEngine(), Pair(a, b, pair.need)).closest
    assert closest is not None
    return closest.gap.gap_mm


@pytest.mark.parametrize("other", ["unit", "clutch"])
def test_readings_of_a_group_s_movement_count_like_any_other_but_those_that_end_it(other: str) -> None:
    job = jobs.job(saloon("tilt", "reach", "rock"))
    scene = place(job, jobs.EXAMPLES)
    pair = next(one for one in pairs(job, scene.parts) if {one.a.name, one.b.name} == {other, "pipe"})
    (shares,) = spreads(Nudged(job, partial(place, folder=jobs.EXAMPLES, like=scene)), [found(GapEngine(), pair)])
    parts = {share.key: share.part_mm for share in shares}
    of_groups = [reading for reading in readings(job) if reading.path[0] == "groups"]
    assert {reading.key for reading in of_groups} >= {"groups.engine.about.down", "groups.column.tilt.pivot.back"}
    for reading in of_groups:
        step = SHARE * reading.spread
        high, low = (gap_anew(shifted(job, reading.path, way * step), pair) for way in (1, -1))
        again = (high - low) / (2 * SHARE)
        assert parts.get(reading.key, 0.0) == pytest.approx(again, abs=0.1 + 0.15 * abs(again)), reading.key
    assert abs(parts["groups.engine.at.down"]) > 0.02, "the place it was seen at makes the turn"


@pytest.mark.parametrize(
    ("path", "text"),
    [
        (("groups", "engine", "by"), "15 mm ± 4 mm"),
        (("groups", "engine", "other_way"), "5 mm ± 4 mm"),
        (("groups", "column", "tilt", "down"), "16 mm ± 4 mm"),
        (("groups", "column", "reach", "away"), "15 mm ± 4 mm"),
    ],
)
def test_what_ends_a_movement_is_in_its_range_and_in_no_spread(path: tuple[str, ...], text: str) -> None:
    exact, unsure = saloon("tilt", "reach", "rock"), jobs.changed(saloon("tilt", "reach", "rock"), path, text)
    keys, gaps_found = [], []
    for tables in (exact, unsure):
        job = jobs.job(tables)
        scene = place(job, jobs.EXAMPLES)
        pair = next(one for one in pairs(job, scene.parts) if {one.a.name, one.b.name} == {"unit", "pipe"})
        entry = found(GapEngine(), pair)
        assert entry.closest is not None
        gaps_found.append(entry.closest.gap.bound_mm)
        (shares,) = spreads(Nudged(job, partial(place, folder=jobs.EXAMPLES, like=scene)), [entry])
        keys.append({share.key for share in shares})
    assert ".".join(path) in {reading.key for reading in readings(jobs.job(unsure))}
    assert ".".join(path) not in keys[1]
    assert gaps_found[1] <= gaps_found[0] + 1e-9
