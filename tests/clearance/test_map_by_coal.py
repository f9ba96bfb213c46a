"""Cells of maps against coal, an independent distance library: no floor above a sampled gap less what is required.

Samples of clock, place, travel and pull are drawn in each cell; poses come from frames, not from the map's own rows.
"""

from functools import cache

import numpy as np
import pytest

from fitcheck.clearance.map import Map
from fitcheck.clearance.pairs import Treatment, need
from fitcheck.clearance.travel import counts_pulled, phases
from fitcheck.geometry.frames import Frame, Vector
from fitcheck.job.model import Job
from fitcheck.placement.scene import Phase, Scene
from tests import jobs
from tests.clearance.mapped import PULL_MM, box, car, mapped, moving_car, placed, standing
from tests.reference.independent import SecondOpinion

CELLS, MOVING, PLACED, TRAVELS = 8, 2, 20, 10  # 200 travels a cell, at 20 clocks and places
COAL_MM = 1e-3
CLOCKS, PLACES = np.arange(0.0, 360.0, 15.0), np.linspace(380.0, 480.0, 6)


def any_car(seed: int) -> jobs.Tables:
    """The car with boxes strewn about its unit, its pedals shifted, and the bracket turning with the unit or not."""
    rng = np.random.default_rng(seed)
    tables = car()
    for _ in range(3):
        side = rng.choice([-1, 1])
        low = np.array([rng.uniform(120, 320), side * rng.uniform(90, 150), rng.uniform(60, 220)])
        high = low + rng.uniform(20, 60, 3) * [1, side, 1]
        tables["obstacles"].append(box(f"box {len(tables['obstacles'])}", tuple(low), tuple(high)))
    tables["pedals"] = [jobs.clutch(travel=jobs.mm(rng.uniform(100, 150))), jobs.brake(), jobs.throttle()]
    if seed % 2:
        tables["bracket"] = {"turns": "with the unit", "clamp": {"along": "400 mm", "wide": "30 mm", "thick": "40 mm"}}
    return tables


@cache
def example(seed: int) -> tuple[Map, Vector, Job, Scene]:
    """Cars whose column, engine and frame stand still all round the clock; the last, where they move, in part of it."""
    tables, clocks = (any_car(seed), CLOCKS) if seed < MOVING else (moving_car(), np.arange(300.0, 376.0, 15.0))
    return mapped(tables, clocks, PLACES, around=seed < MOVING), clocks, *placed(tables)


@pytest.mark.parametrize("seed", range(MOVING + 1))
def test_no_cell_floor_is_above_a_sampled_gap_less_required(seed: int) -> None:
    found, clocks, job, scene = example(seed)
    rng = np.random.default_rng([seed, 1])
    other = SecondOpinion()
    open_ = np.argwhere(~found.cells.meets)
    assert len(open_) >= (CELLS if seed < MOVING else 8)
    near = 0
    for clock, along in rng.permutation(open_)[:CELLS].tolist():
        floor = found.cells.mm[clock, along]
        least = min(sampled(job, scene, other, rng, clocks[clock], PLACES[along], floor) for _ in range(PLACED))
        assert floor <= least + COAL_MM, (clock, along)
        near += least < floor + 8
    assert near >= CELLS // 2, "samples that come nowhere near a floor say nothing about it"


def sampled(
    job: Job, scene: Scene, other: SecondOpinion, rng: np.random.Generator, clock: float, along: float, floor: float
) -> float:
    """Least gap less required of all pairs at one drawn place in a cell; pairs beyond the floor by spheres left out."""
    share = np.clip(rng.uniform(-0.3, 1.3, 2), 0, 1)
    at_clock, at_place = np.radians(clock + share[0] * 15), along + share[1] * 20
    pull = float(np.clip(rng.uniform(0, 1.3), 0, 1)) * PULL_MM
    still = standing(job, scene, at_clock, at_place)
    pulled = standing(job, scene, at_clock, at_place, pull, rng.uniform(0, 2 * np.pi))
    movers = [part for part in scene.parts if part.name in ("unit", "bracket")]
    least = np.inf
    for part in [part for part in scene.parts if part not in movers]:
        for mover in movers:
            what = need(job, mover, part)
            if what.treatment is not Treatment.JUDGED:
                continue
            seen = pulled if counts_pulled(mover, part) else still
            (own,) = phases(mover, part)
            for phase in phases(part, mover):
                for _ in range(TRAVELS if phase.chain or own.chain else 1):
                    unit, there = drawn(own, rng) @ seen, drawn(phase, rng)
                    gap = apart(mover.phases[0], phase, unit.inverse @ there, other, floor + what.required_mm)
                    least = min(least, gap - what.required_mm)
    return float(least)


def drawn(phase: Phase, rng: np.random.Generator) -> Frame:
    """Where a phase's movements put it, each anywhere in its range or at an end."""
    frame = Frame.identity()
    for move in phase.chain:
        share = float(np.clip(rng.uniform(-0.2, 1.2), 0, 1))
        frame = move.frame(move.start + share * (move.stop - move.start)) @ frame
    return frame


def apart(a: Phase, b: Phase, b2a: Frame, other: SecondOpinion, enough: float) -> float:
    (a_middles, a_radii), (b_middles, b_radii) = spheres(a), spheres(b)
    middles = np.linalg.norm(b2a.points(b_middles)[None] - a_middles[:, None], axis=2)
    near = np.argwhere(middles - a_radii[:, None] - b_radii < enough).tolist()
    return min((other.distance(a.pieces[i], b.pieces[j], b2a) for i, j in near), default=np.inf)


@cache
def spheres(phase: Phase) -> tuple[np.ndarray, np.ndarray]:
    return np.array([piece.centre for piece in phase.pieces]), np.array([piece.radius for piece in phase.pieces])
