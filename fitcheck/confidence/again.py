"""What to measure again: for a gap too close to call, what each of its readings would buy taken once more, or better.

Parts of a spread add as squares (JCGM 100:2008, 5.1.2): a reading as good as the first, by another hand, halves the
square of its part; a better tool brings its part down as its spread. The chance that goes with what is left is the
normal one; where draws gave the chance, the standard deviation that it stands for shrinks by as much. mm.
"""

from dataclasses import dataclass
from statistics import NormalDist

from fitcheck.confidence.first_order import Share
from fitcheck.confidence.results import Judged, Result
from fitcheck.readings.ways import ANOTHER_HAND, TWICE, Way, better_tool

MOST = 5


@dataclass(frozen=True)
class Again:
    """A reading taken another way and found the same: the chance (0..1) of being under the need that is left.

    `tool` is the better tool; None where it is taken a second time, by another hand, as it was the first.
    """

    key: str
    part_mm: float
    tool: Way | None
    chance_under: float

    @property
    def how(self) -> str:
        """In words, how it is taken."""
        return ANOTHER_HAND if self.tool is None else self.tool.words


def again(entry: Judged) -> tuple[Again, ...]:
    """The readings with the largest parts, each taken again, then with a better tool; only what helps.

    None where the result does not hang on them.
    """
    if entry.result is not Result.TOO_CLOSE or entry.found.closest is None or not entry.spread_mm > 0:
        return ()
    taken = (each for share in entry.shares[:MOST] for each in _of(entry, share))
    return tuple(each for each in taken if each.chance_under < entry.chance_under)


def _of(entry: Judged, share: Share) -> tuple[Again, ...]:
    twice = Again(share.key, abs(share.part_mm), None, left(entry, share, TWICE))
    tool = None if share.reading is None else better_tool(share.reading)
    if tool is None or share.reading is None:
        return (twice,)
    return twice, Again(twice.key, twice.part_mm, tool, left(entry, share, tool.spread / share.reading.spread))


def left(entry: Judged, share: Share, by: float) -> float:
    """Chance (0..1) of being under the need with the spread of one reading `by` times what it is."""
    if not 0 < entry.chance_under < 1:
        return entry.chance_under
    squares = entry.spread_mm**2 - share.part_mm**2 * (1 - by**2)
    if not squares > 0:
        return 0.0
    normal = NormalDist()
    return normal.cdf(normal.inv_cdf(entry.chance_under) * entry.spread_mm / squares**0.5)
