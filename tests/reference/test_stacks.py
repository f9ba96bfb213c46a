"""Tolerance stacks against published worked examples: worst case, root-sum-square and shares."""

from math import hypot

import pytest

from fitcheck.cuts.chain import Chain, Link

ROUNDING = 1e-12


def three_parts_in_a_housing() -> Chain:
    """Three parts in a housing, a tutorial page on tolerance stacks (values read there); inches."""
    return Chain(
        [
            Link("housing", "wall", "far wall", 4.020, 0.005),
            Link("first part", "wall", "b", 2.000, 0.005),
            Link("second part", "b", "c", 1.500, 0.003),
            Link("third part", "c", "d", 0.500, 0.002),
        ]
    )


def test_three_parts_in_a_housing() -> None:
    """Gap .020, worst case +/-.015 (.005 to .035), root-sum-square +/-.00794 (.012 to .028): printed on that page."""
    gap = three_parts_in_a_housing().between("d", "far wall")
    assert gap.mm == pytest.approx(0.020, abs=ROUNDING)
    assert gap.worst_mm == pytest.approx(0.015, abs=ROUNDING)
    assert gap.rss_mm == pytest.approx(0.00794, abs=5e-6)
    assert (gap.mm - gap.worst_mm, gap.mm + gap.worst_mm) == pytest.approx((0.005, 0.035), abs=ROUNDING)
    assert (round(gap.mm - gap.rss_mm, 3), round(gap.mm + gap.rss_mm, 3)) == (0.012, 0.028)


def test_shares_of_the_squares() -> None:
    """Shares 25, 25, 9 and 4 of 63, from the same figures."""
    gap = three_parts_in_a_housing().between("d", "far wall")
    shares = {share.key: share.share for share in gap.shares}
    assert shares == pytest.approx(
        {"housing": 25 / 63, "first part": 25 / 63, "second part": 9 / 63, "third part": 4 / 63}, abs=ROUNDING
    )
    assert [share.key for share in gap.shares] == ["first part", "housing", "second part", "third part"]


def test_four_lengths_in_millimetres() -> None:
    """40 +/-.10 less 25 +/-.05, 2 +/-.03 and 10 +/-.05 (inputs read in a tutorial; result by the two formulas)."""
    chain = Chain(
        [
            Link("whole", "a", "e", 40.0, 0.10),
            Link("one", "a", "b", 25.0, 0.05),
            Link("two", "c", "b", -2.0, 0.03),
            Link("three", "c", "d", 10.0, 0.05),
        ]
    )
    gap = chain.between("d", "e")
    assert gap.mm == pytest.approx(3.0, abs=ROUNDING)
    assert gap.worst_mm == pytest.approx(0.23, abs=ROUNDING)
    assert gap.rss_mm == pytest.approx(0.12610, abs=5e-6)
    assert gap.rss_mm == pytest.approx(hypot(0.10, 0.05, 0.03, 0.05), abs=ROUNDING)
