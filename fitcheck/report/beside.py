"""Where the words about a corner of a drawn line go, so that they keep off the line; both axes alike, y upward."""

from collections.abc import Sequence
from math import atan2, pi

TIE = 15.0 * pi / 180


def quarter(points: Sequence[Sequence[float]], at: int) -> tuple[int, int]:
    """The quarter farthest from both lines that meet at points[at]: -1 or 1 to the right, -1 or 1 up.

    Of two as good, up and left; at the last corner down and right, away from the others' words.
    """
    here = points[at]
    lines = [atan2(points[other][1] - here[1], points[other][0] - here[0]) for other in (at - 1, at + 1)]
    quarters = [(-1, 1), (1, 1), (-1, -1), (1, -1)]
    if at == len(points) - 2:
        quarters.reverse()

    def clear(way: tuple[int, int]) -> int:
        turn = atan2(way[1], way[0])
        return round(min(abs((turn - line + pi) % (2 * pi) - pi) for line in lines) / TIE)

    return max(quarters, key=clear)
