"""What to measure, planned from guesses: no smaller set does, and the list followed decides.

Second roads: every set tried one by one; the whole job judged anew with the chosen spreads.
"""

from dataclasses import replace
from functools import cache
from itertools import product
from pathlib import Path

import numpy as np
import pytest

from fitcheck.confidence.plan import NOTHING_GUESSED, can_be_planned, plan
from fitcheck.confidence.plan_choice import choice
from fitcheck.confidence.plan_places import Guess, Places
from fitcheck.confidence.results import LARGEST_CHANCE
from fitcheck.errors import FitcheckError
from fitcheck.job.opening import OpenJob, open_job
from fitcheck.readings.changed import respread
from fitcheck.readings.guesses import guesses
from fitcheck.readings.reading import SIGMAS_95, Reading
from fitcheck.readings.survey import all_shifted, readings
from fitcheck.readings.ways import STATIONS, Way
from fitcheck.verdict import Verdict, judge
from tests import jobs
from tests.command import Said, written
from tests.verdicts import planned_example

PLANNED = jobs.EXAMPLES / "dozen-plan"


@cache
def opened() -> OpenJob:
    return open_job(PLANNED / "job.toml")


def made(seed: int) -> tuple[Places, list[Guess]]:
    """Five guesses with two or three ways each, three pairs of one to three places, one pair under its need."""
    rng = np.random.default_rng(seed)
    guessed = [
        Guess(
            Reading(("r", g), 0.0, 3.0, "", False),
            float(rng.uniform(10, 30)),
            STATIONS[0],
            tuple(Way("", *pair) for pair in ((3.0, 3.0), (2.1, 6.0), (0.5, float(rng.integers(4, 9))))[: 2 + g % 2]),
        )
        for g in range(5)
    ]
    of = np.array([0, 0, 0, 1, 2, 2])
    margins = np.array([*np.sort(rng.uniform(2, 25, 3)), rng.uniform(1, 15), -rng.uniform(5, 20), 30.0])
    slopes, known = rng.normal(0, 0.7, (6, 5)), rng.normal(0, 0.5, (6, 2))
    return Places((("a", "b"), ("a", "c"), ("a", "d")), of, margins, known, slopes, np.full((3, 5), -1.0), 0), guessed


@pytest.mark.parametrize("seed", range(12))
def test_no_set_that_takes_less_time_does(seed: int) -> None:
    """All sets of readings and ways, one by one: the quickest that brings every place down to what is asked."""
    places, guessed = made(seed)
    rows = [0, 1, 2, 3, 4]  # of the pair under its need the closest place alone

    def left(chosen: tuple[int, ...]) -> list[float]:
        used = [g.spread if k < 0 else g.ways[k].spread for g, k in zip(guessed, chosen, strict=True)]
        return [
            sum(float(x) ** 2 for x in places.known[p])
            + sum((float(slope) * s) ** 2 for slope, s in zip(places.slopes[p], used, strict=True))
            for p in rows
        ]

    best = left(tuple(min(range(len(g.ways)), key=lambda k: g.ways[k].spread) for g in guessed))
    margins = [float(places.margins[p]) for p in rows]
    wanted = [m**2 if least <= m**2 else least * 1.21 for least, m in zip(best, margins, strict=True)]

    def minutes(chosen: tuple[int, ...]) -> float:
        return sum(g.ways[k].minutes + 0.01 for g, k in zip(guessed, chosen, strict=True) if k >= 0)

    sets = product(*(range(-1, len(g.ways)) for g in guessed))
    quickest = min(
        minutes(chosen)
        for chosen in sets
        if all(now <= most * (1 + 1e-9) for now, most in zip(left(chosen), wanted, strict=True))
    )
    found = tuple(choice(places, guessed, np.ones(3)))
    assert all(now <= most * (1 + 1e-6) for now, most in zip(left(found), wanted, strict=True))
    assert minutes(found) == pytest.approx(quickest, abs=1e-9)


def stood(job_of: OpenJob, taken: dict[tuple[str | int, ...], float]) -> Verdict:
    """The job judged with some readings taken, each with its spread."""
    return judge(replace(job_of, job=respread(job_of.job, taken)))


def test_what_it_promises_is_what_the_whole_job_then_says() -> None:
    found = planned_example()
    verdict = stood(opened(), {each.guess.reading.path: each.way.spread for each in found.taken})
    (pair,) = found.pairs
    entry = next(e for e in verdict.gaps if (e.pair.a.name, e.pair.b.name) == (pair.a, pair.b))
    assert (pair.spread_after_mm, pair.chance_wrong) == (entry.spread_mm, entry.chance_under)
    assert found.decides and verdict.outcome.exit_code == 0
    assert entry.chance_under <= LARGEST_CHANCE


@pytest.mark.parametrize("key", ["column.low.up", "column.hub_seat.left"])
def test_without_the_ones_that_count_least_the_whole_job_stays_open(key: str) -> None:
    taken = {each.key: each for each in planned_example().taken}
    assert key in taken
    kept = {each.guess.reading.path: each.way.spread for each in taken.values() if each.key != key}
    assert stood(opened(), kept).outcome.exit_code == 3


def test_it_stands_in_walking_order_and_each_once() -> None:
    found = planned_example()
    where = [STATIONS.index(each.guess.station) for each in found.taken]
    assert where == sorted(where)
    keys = [each.key for each in (*found.taken, *found.next)]
    assert len(keys) == len(set(keys)) == 12
    assert not set(keys[: len(found.taken)]) & {guess.reading.key for guess, _ in found.left}


def test_what_states_how_good_it_is_counts_as_measured_and_where_the_unit_goes_is_no_guess() -> None:
    keys = {reading.key for reading, _ in guesses(opened().job)}
    assert "column.hub_seat.back" in keys and "pedals[1].arm_wide" in keys
    assert not keys & {"column.jacket_od", "unit.input_face", "unit.clock", "unit.motor.dia"}
    spreads = {reading.key: spread for reading, spread in guesses(opened().job)}
    assert (spreads["column.hub_seat.back"], spreads["pedals[1].arm_wide"]) == (30.0, 6.0)
    as_read = {r.key: r.spread for r in readings(judge(opened(), 0).opened.job)}
    assert {key: as_read[key] for key in spreads} == spreads


def test_a_job_without_guesses_says_what_to_write() -> None:
    job = open_job(jobs.EXAMPLES / "dozen-go" / "job.toml").job
    assert not can_be_planned(job)
    with pytest.raises(FitcheckError) as refused:
        plan(job, Path())
    assert str(refused.value) == NOTHING_GUESSED


def test_a_hit_that_is_only_guessed_decides_nothing() -> None:
    """At 9:00 the guessed can is well into the arm, by less than the guesses may be off."""
    at_nine = jobs.changed(jobs.example("dozen-plan"), ("unit", "clock"), "9:00 ± 0.5 deg")
    one = replace(opened(), job=jobs.job(at_nine))
    assert judge(one).outcome.exit_code == 3


def followed(example: str, seed: int) -> tuple[int, int]:
    """The example's car guessed at random; its plan taken, made anew, taken ...: exit code, and how many were taken.

    What is taken reads as the example has it; what is not stays as far off as it was guessed.
    """
    rng = np.random.default_rng(seed)
    true = replace(open_job(jobs.EXAMPLES / example / "job.toml"), job=jobs.job(unsaid(example)))
    off = {reading.path: rng.standard_normal() * spread / SIGMAS_95 for reading, spread in guesses(true.job)}
    job, many = all_shifted(true.job, off.items()), 0
    while can_be_planned(job) and (taken := plan(job, PLANNED).taken):
        job = all_shifted(job, [(each.guess.reading.path, -off[each.guess.reading.path]) for each in taken])
        job = respread(job, {each.guess.reading.path: each.way.spread for each in taken})
        many += len(taken)
    return judge(replace(true, job=job)).outcome.exit_code, many


def unsaid(example: str) -> jobs.Tables:
    """The example as if of the car only the column had been measured yet: guesses of the pedal are quick to judge."""
    plain = jobs.changed(jobs.example(example), ("job", "guessed"), jobs.example("dozen-plan")["job"]["guessed"])
    for path in (("pedals", 0, "pivot"), ("pedals", 0, "pad", "at")):
        plain = jobs.changed(plain, (*path, "spread"), None)
    plain = jobs.changed(plain, ("pedals", 0, "arm", 0, "at", "spread"), None)
    return jobs.changed(plain, ("pedals", 0, "travel"), "140 mm")


@pytest.mark.parametrize(("example", "says"), [("dozen-go", 0), ("dozen-no-go", 1)])
def test_the_list_followed_ends_as_the_car_is(example: str, says: int) -> None:
    code, many = followed(example, 2 if says == 0 else 6)
    assert code == says
    assert 0 < many <= 12


def test_a_car_that_would_not_fit_as_guessed_is_told_to_move_the_unit_first(tmp_path: Path) -> None:
    """At 9:00 the can lies 33 mm too far in: 6 times what such guesses may be off, and no reading changes that."""
    tables = jobs.changed(jobs.example("dozen-plan"), ("unit", "clock"), "9:00 ± 0.5 deg")
    fine = {"places": "4 mm", "sizes": "2 mm", "angles": "1 deg"}
    said = Said("readings", written(tmp_path, jobs.changed(tables, ("job", "guessed"), fine)), "--plan")
    assert said.code == 1
    told = " ".join(said.out.split())
    assert "PLAN: IT WOULD NOT FIT, and no reading changes that" in told and "Move it first" in told
    assert "[X] unit - clutch: would not fit as guessed" in told and "[+]" not in told
    assert "no reading is needed" not in told and "Next, for more certainty" not in told
