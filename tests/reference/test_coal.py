"""The engine against coal, an independent convex distance library (version 3): random pairs, hard ones among them.

Thin plates, needle bars, pairs square to each other, a nanometre (1e-6 mm) apart and with faces in exact contact. Where
coal gives up (it then answers minus the largest number) it is asked once more the other way round.
"""

from dataclasses import replace

import numpy as np
import pytest

from fitcheck.geometry.gap import CLOSED_MM, Gap, GapEngine
from tests.geometry.shapes import hard_pairs
from tests.reference.independent import GAVE_UP, SecondOpinion

PAIRS = 24_000
SEEDS = 4
SAME_MM = 1e-3


def complaint(gap: Gap, distance: float) -> str:
    """What is wrong with the engine's answer, beside coal's; empty when nothing is. Written so that NaN fails."""
    apart = max(distance, 0.0)
    if not gap.bound_mm <= apart + SAME_MM:
        return f"bound {gap.bound_mm} over coal's {distance}"
    if not abs(gap.gap_mm - apart) <= SAME_MM:
        return f"gap {gap.gap_mm} is not coal's {distance}"
    if not 0 <= gap.gap_mm - gap.bound_mm - gap.depth_mm <= CLOSED_MM:
        return f"gap {gap.gap_mm}, bound {gap.bound_mm}, depth {gap.depth_mm} do not belong together"
    if gap.gap_mm == 0 and not abs(gap.depth_mm - max(-distance, 0.0)) <= SAME_MM:
        return f"depth {gap.depth_mm} is not coal's {-distance}"
    between = gap.on_b - gap.on_a
    if not abs(float(np.sqrt(between @ between)) - gap.gap_mm) <= 1e-6:
        return f"witnesses are {between} apart, not {gap.gap_mm}"
    return ""


@pytest.mark.parametrize("seed", range(SEEDS))
def test_no_gap_is_overstated_against_coal(seed: int) -> None:
    engine, other = GapEngine(), SecondOpinion()
    complaints = []
    for index, pair in enumerate(hard_pairs(seed, PAIRS // SEEDS)):
        distance = other.distance(pair.a, pair.b, pair.b_frame)
        assert distance > GAVE_UP, f"coal has no answer on pair {index}"
        wrong = complaint(engine.gap(pair.a, pair.b, None, pair.b_frame), distance)
        if wrong:
            complaints.append(f"pair {index}: {wrong}")
    assert not complaints, complaints[:5]
    assert engine.queries == PAIRS // SEEDS
    assert other.gave_up <= PAIRS // SEEDS // 1000, "coal gave up too often to be a reference"


RIGHT = Gap(10 - 1e-9, 10.0, 0.0, np.array([1.0, 0, 0]), np.zeros(3), np.array([10.0, 0, 0]), 1)


@pytest.mark.parametrize(
    "spoilt",
    [
        replace(RIGHT, bound_mm=float("nan")),
        replace(RIGHT, bound_mm=10.1),
        replace(RIGHT, bound_mm=9.9),
        replace(RIGHT, gap_mm=float("nan")),
        replace(RIGHT, gap_mm=10.1),
        replace(RIGHT, depth_mm=1.0),
        replace(RIGHT, on_b=np.array([9.0, 0, 0])),
        replace(RIGHT, on_b=np.array([float("nan"), 0, 0])),
    ],
)
def test_the_comparison_itself_notices(spoilt: Gap) -> None:
    assert complaint(RIGHT, 10.0) == ""
    assert complaint(spoilt, 10.0) != ""
