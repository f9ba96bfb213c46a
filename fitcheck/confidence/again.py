"""What to measure again: for a gap too close to call, what a second reading of each of its readings would buy.

A second reading as good as the first halves the square of its spread; the chance is then the normal one.
"""

from dataclasses import dataclass

from fitcheck.confidence.first_order import chance_under
from fitcheck.confidence.results import Judged, Result

MOST = 5


@dataclass(frozen=True)
class Again:
    """A reading taken once more and found the same: the chance (0..1) of being under the need that is left."""

    key: str
    part_mm: float
    chance_under: float


def again(entry: Judged) -> tuple[Again, ...]:
    """The readings worth most, best first; none where the result does not hang on them."""
    if entry.result is not Result.TOO_CLOSE or entry.found.closest is None:
        return ()
    bound, need = entry.found.closest.gap.bound_mm, entry.pair.need.required_mm
    left = ((share, max(0.0, entry.spread_mm**2 - share.part_mm**2 / 2) ** 0.5) for share in entry.shares[:MOST])
    taken = (Again(share.key, abs(share.part_mm), chance_under(bound, need, spread)) for share, spread in left)
    return tuple(each for each in taken if each.chance_under < entry.chance_under)
