"""The swing bound on random boxes of one, two and three movements, each held against 60 sampled places in it."""

import argparse
import sys
from typing import Any

import numpy as np

from tests.geometry.test_cover_swing import swing_bound_held

KINDS = {1: [("T", ""), ("", "T"), ("S", "")], 2: [("T", "T"), ("S", "T"), ("TS", ""), ("TT", "")],
         3: [("T", "ST"), ("TST", ""), ("TT", "T")]}  # fmt: skip
SPREADS = (0.01, 0.1, 0.3)


def options(names: Any) -> None:
    parser = names.add_parser("swings", help="the swing bound on boxes of one, two and three movements")
    parser.add_argument("--boxes", type=int, nargs=3, default=[1500, 500, 250], help="of each (default 1500 500 250)")
    parser.add_argument("--seed", type=int, default=0)
    parser.set_defaults(run=run)


def run(asked: argparse.Namespace) -> int:
    findings = 0
    for movements, boxes in enumerate(asked.boxes, start=1):
        finite = 0
        for number in range(boxes):
            rng = np.random.default_rng([asked.seed, movements, number])
            kinds = KINDS[movements][number % len(KINDS[movements])]
            try:
                finite += swing_bound_held(rng, *kinds, SPREADS[number // 7 % len(SPREADS)])
            except AssertionError:
                findings += 1
                sys.stdout.write(f"seed {asked.seed}: {movements} movements, box {number}\n")
        sys.stdout.write(f"{boxes} boxes of {movements}, {finite} with a finite bound\n")
    sys.stdout.write(f"{findings} findings\n")
    return 1 if findings else 0
