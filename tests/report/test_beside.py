"""Words beside a corner go where neither line is."""

import pytest

from fitcheck.report.beside import quarter


@pytest.mark.parametrize(
    ("points", "at", "way"),
    [
        ([(-2, -1), (0, 0), (2, 1), (4, 1)], 1, (-1, 1)),  # a line rising to the right: above it, to the left
        ([(4, 1), (2, 1), (0, 0), (-2, -1)], 2, (1, -1)),  # the last corner of it: below, to the right
        ([(0, 3), (0, 0), (3, 0), (9, 9)], 1, (-1, -1)),  # up and right are taken
        ([(9, 9), (3, 0), (0, 0), (0, -3)], 2, (-1, 1)),  # right and down are taken, last corner or not
    ],
)
def test_the_quarter_farthest_from_both_lines(points: list[tuple[float, float]], at: int, way: tuple[int, int]) -> None:
    assert quarter(points, at) == way
