"""Thirty whole random jobs against coal, an independent convex distance library; three hundred are a campaign."""

from collections import Counter

import pytest

from tests.campaigns.jobs import whole_job

JOBS, EVEN, NEAR, PAIRS = 30, 36, 15, 12


@pytest.mark.parametrize("first", range(0, JOBS, 5))
def test_no_bound_of_a_random_job_is_above_a_sampled_gap(first: int) -> None:
    counts: Counter[str] = Counter()
    for seed in range(first, first + 5):
        assert list(whole_job(seed, EVEN, NEAR, counts, PAIRS)) == [], seed
    assert counts["pairs"] == 5 * PAIRS
    assert counts["sampled within 1 mm of the bound"] >= 15
    assert counts["samples"] > 10 * counts["pairs"]
