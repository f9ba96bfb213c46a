"""What the search over clock and place says of legs, and of boots off their pedals, which its map does not hold."""

from collections.abc import Iterator

from fitcheck.confidence.results import Judged, Result
from fitcheck.report import words


def legs_not_clear(legs: tuple[Judged, ...]) -> list[Judged]:
    """Pairs of legs, and boots off their pedals, that are not clear."""
    return [entry for entry in legs if entry.result is not Result.CLEAR]


def legs_rows(legs: tuple[Judged, ...], show: words.Show) -> Iterator[str]:
    """What legs, and boots off their pedals, do at a place: the map holds only boots on their pedals."""
    bad = legs_not_clear(legs)
    if legs and not bad:
        yield "  Legs, and boots off their pedals (not in the map), looked at there: clear."
    for entry in bad:
        mark = f"[{words.MARKS[entry.result]}] {entry.result.value}"
        yield f"  Not in the map: {mark}: {words.names(entry)}{_room(entry, show)}"
    if bad:
        yield "  Look for another place in the window with less in the way of the legs, and check it there."


def _room(entry: Judged, show: words.Show) -> str:
    closest = entry.found.closest
    if closest is None:
        return f": {entry.reason}"
    need = f"required {words.need(entry.pair.need.required_mm, show)}"
    if closest.gap.gap_mm == 0:
        return f", {need}"
    return f": gap {words.room(closest.gap.bound_mm, show)}, {words.spread(entry.spread_mm)}, {need}"
