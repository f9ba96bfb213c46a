"""Floors of random cells of random maps against coal at 200 sampled travels, places, clocks and pulls a cell."""

import argparse
import sys
import time
from typing import Any

import numpy as np

from tests.clearance.mapped import mapped, placed
from tests.clearance.test_map_by_coal import CLOCKS, COAL_MM, PLACED, PLACES, any_car, sampled
from tests.reference.independent import SecondOpinion

NEAR_MM = 8.0


def options(names: Any) -> None:
    parser = names.add_parser("maps", help="floors of random cells of random maps")
    parser.add_argument("--maps", type=int, default=10)
    parser.add_argument("--cells", type=int, default=30, help="of each map (default 30)")
    parser.add_argument("--seed", type=int, default=100)
    parser.set_defaults(run=run)


def run(asked: argparse.Namespace) -> int:
    findings, cells, near, started = 0, 0, 0, time.perf_counter()
    for seed in range(asked.seed, asked.seed + asked.maps):
        tables, rng = any_car(seed), np.random.default_rng([seed, 1])
        found, (job, scene) = mapped(tables, CLOCKS, PLACES, around=True), placed(tables)
        for clock, along in rng.permutation(np.argwhere(~found.cells.meets))[: asked.cells].tolist():
            floor, other = float(found.cells.mm[clock, along]), SecondOpinion()
            least = min(sampled(job, scene, other, rng, CLOCKS[clock], PLACES[along], floor) for _ in range(PLACED))
            cells, near = cells + 1, near + (least < floor + NEAR_MM)
            if not floor <= least + COAL_MM:
                findings += 1
                sys.stdout.write(f"seed {seed}, cell {clock} {along}: a floor of {floor}, {least} sampled\n")
    told = f"{cells} cells of {asked.maps} maps in {time.perf_counter() - started:.0f} s"
    sys.stdout.write(f"{told}, {near} sampled within {NEAR_MM:g} mm of their floor; {findings} findings\n")
    return 1 if findings else 0
