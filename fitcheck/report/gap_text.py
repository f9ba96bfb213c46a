"""One judged pair in words: where it comes closest, its gap, what is required, and what decides."""

import math
from collections.abc import Iterator

from fitcheck.confidence.again import again
from fitcheck.confidence.results import Judged, Result
from fitcheck.placement.scene import Scene
from fitcheck.report import words

SAME_SPREAD, SAME_PLACE = 0.1, 0.05  # first order and draws this near each other say the same


def in_full(entry: Judged, scene: Scene, show: words.Show, told: set[str]) -> Iterator[str]:
    """Paragraphs on one pair: places and travel; numbers; and where the readings decide, which of them.

    How to measure what is missing is told once: `told` holds what has been.
    """
    closest, need = entry.found.closest, entry.pair.need
    if closest is None:
        measure = f": measure {entry.measure}" if entry.measure and entry.measure not in told else ""
        told.add(entry.measure)
        yield f"{words.names(entry)}: {entry.reason}{measure}"
        return
    yield where(entry, scene, show)
    if entry.result is Result.NOT_KNOWN:
        of_surfaces = "between their surfaces: " if closest.gap.doubt else ""
        yield f"({words.names(entry)}) {entry.reason}; {of_surfaces}{gap(entry, scene, show)}"
        return
    chance = "" if entry.result is Result.HITS else f"; chance of less: {words.chance(entry.chance_under)}"
    required = words.need(need.required_mm, show)
    yield f"({words.names(entry)}) {gap(entry, scene, show)}; required {required}{chance}"
    if entry.shares and entry.result is not Result.HITS:
        yield from _drawn(entry)
        yield "most of the spread: " + ", ".join(f"{s.key} {abs(s.part_mm):.1f} mm" for s in entry.shares[:3])
        yield from _again(entry)


def _again(entry: Judged) -> Iterator[str]:
    """What the best second reading would buy, and what the best better tool."""
    taken = again(entry)
    for by_tool in (False, True):
        ways = [each for each in taken if (each.tool is not None) == by_tool]
        if not ways:
            continue
        best = min(ways, key=lambda each: each.chance_under)
        what = f"{best.key} taken by {best.how}" if by_tool else f"a second reading of {best.key}"
        chances = f"{words.chance(entry.chance_under)} to {words.chance(best.chance_under)}"
        yield f"{what}, found the same, cuts the chance of less from {chances}"


def _drawn(entry: Judged) -> Iterator[str]:
    """Where draws part company with first order: how far, and why."""
    drawn = entry.drawn
    if drawn is None:
        return
    same = abs(drawn.spread_mm - entry.spread_mm) <= SAME_SPREAD * entry.spread_mm
    if same and drawn.place_changed <= SAME_PLACE:
        return
    jumps = f"another place was closest in {math.ceil(100 * drawn.place_changed)} % of them"
    why = jumps if drawn.place_changed > SAME_PLACE else "corners close by take turns at being closest"
    yield f"by {drawn.draws:,} draws {words.spread(drawn.spread_mm)}: {why}"


def in_short(entry: Judged, scene: Scene, show: words.Show) -> Iterator[str]:
    """One paragraph on a pair: places, travel, gap and what is required."""
    if entry.found.closest is None:
        yield f"{words.names(entry)}: {entry.reason}"
        return
    needed = "" if entry.result is Result.AS_BEFORE else f"; required {words.need(entry.pair.need.required_mm, show)}"
    yield f"{where(entry, scene, show)}: {gap(entry, scene, show)}{needed}"


def where(entry: Judged, scene: Scene, show: words.Show) -> str:
    """Where on both parts, and at which travel."""
    closest = entry.found.closest
    assert closest is not None
    if not closest.gap.bracketed:
        return words.names(entry)
    at = words.travel(closest.at_travel, scene, show), words.sways(closest.at_movement)
    return ", ".join([f"{closest.a_where} - {closest.b_where}", *filter(None, at)])


def gap(entry: Judged, scene: Scene, show: words.Show) -> str:
    """The gap and its spread; of parts that meet, how far in and where they first touch."""
    assert entry.found.closest is not None
    found = entry.found.closest.gap
    if found.gap_mm == 0:
        deep = f"in by at least {words.room(found.depth_mm, show)}" if found.depth_mm >= 1 else "touches"
        return f"{deep}{_first_touch(entry, scene, show)}"
    if not found.bracketed:
        return f"gap at least {words.room(found.bound_mm, show)}"
    return f"gap {words.room(found.bound_mm, show)}, {words.spread(entry.spread_mm)}"


def _first_touch(entry: Judged, scene: Scene, show: words.Show) -> str:
    share, pedal = entry.found.first_touch, entry.found.touched_by
    if share is None or pedal is None:
        return ""
    return f", first touching at {words.one_travel(pedal, share, scene, show)}"
