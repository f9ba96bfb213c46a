"""The engine against coal, an independent convex distance library, on as many hard random pairs as asked for.

Every finding is printed with the seed and the number that bring it back.
"""

import argparse
import sys
import time
from collections import Counter
from typing import Any

import numpy as np

from fitcheck.geometry.cover import least_gap
from fitcheck.geometry.gap import GapEngine
from tests.geometry.shapes import any_pair, any_place, frame_at, hard_pairs
from tests.reference.independent import GAVE_UP, SecondOpinion
from tests.reference.test_coal import SAME_MM, complaint

BATCH = 10_000
PLACES = 40
KINDS = [("T", ""), ("S", ""), ("T", "T"), ("TS", ""), ("TT", ""), ("T", "S"), ("TST", ""), ("T", "ST"), ("TT", "T")]


def options(names: Any) -> None:
    parser = names.add_parser("gaps", help="single queries, then covers through movements")
    parser.add_argument("--pairs", type=int, default=200_000, help="pairs of convex pieces (default 200000)")
    parser.add_argument("--covers", type=int, default=2_000, help="pairs of moving bodies (default 2000)")
    parser.add_argument("--seed", type=int, default=0)
    parser.set_defaults(run=run)


def run(asked: argparse.Namespace) -> int:
    findings = single(asked.pairs, asked.seed) + covers(asked.covers, asked.seed)
    sys.stdout.write(f"{findings} findings\n")
    return 1 if findings else 0


def single(pairs: int, seed: int) -> int:
    """Single queries in batches, each batch with a stock of pieces of its own."""
    counts: Counter[str] = Counter()
    started = time.perf_counter()
    for batch in range(0, pairs, BATCH):
        engine, other = GapEngine(), SecondOpinion()
        for index, pair in enumerate(hard_pairs(seed + batch, min(BATCH, pairs - batch))):
            gap = engine.gap(pair.a, pair.b, None, pair.b_frame)
            distance = other.distance(pair.a, pair.b, pair.b_frame)
            counts["meeting"] += gap.gap_mm == 0
            wrong = complaint(gap, distance) if distance > GAVE_UP else ""
            if wrong:
                counts["findings"] += 1
                sys.stdout.write(f"seed {seed + batch} pair {index}: {wrong}\n")
            counts["coal without an answer"] += not distance > GAVE_UP
        counts.update(second_road=engine.second_road, third_road=engine.third_road, coal_asked_twice=other.gave_up)
    _say(f"{pairs} pairs", counts, started)
    return counts["findings"]


def covers(bodies: int, seed: int) -> int:
    """Covers of two moving bodies: the bracket's width, and no sampled place nearer than the bound."""
    counts: Counter[str] = Counter()
    started = time.perf_counter()
    for index in range(bodies):
        rng = np.random.default_rng([seed, index])
        a, b = any_pair(rng, KINDS[index % len(KINDS)], 60, 300)
        engine, other = GapEngine(), SecondOpinion()
        found = least_gap(engine, a, b)
        counts["meeting"] += found.gap_mm == 0
        counts["queries"] += engine.queries
        if found.gap_mm == 0:
            continue
        least = np.inf
        for _ in range(PLACES):
            a_at, b_at = any_place(rng, a.moves), any_place(rng, b.moves)
            between = frame_at(a.moves, a_at).inverse @ frame_at(b.moves, b_at)
            least = min(least, *(other.distance(one, two, between) for one in a.pieces for two in b.pieces))
        if not (0 <= found.gap_mm - found.bound_mm <= 0.05 and found.bound_mm <= least + SAME_MM):
            counts["findings"] += 1
            sys.stdout.write(f"seed {seed} cover {index}: {found.bound_mm} to {found.gap_mm}, sampled {least}\n")
    _say(f"{bodies} covers", counts, started)
    return counts["findings"]


def _say(what: str, counts: Counter[str], started: float) -> None:
    told = ", ".join(f"{count} {name.replace('_', ' ')}" for name, count in sorted(counts.items()))
    sys.stdout.write(f"{what} in {time.perf_counter() - started:.0f} s: {told}\n")
    sys.stdout.flush()
