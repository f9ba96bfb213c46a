"""The search over clock and place as plain text: windows, best places, what would help, and the map to read."""

from collections.abc import Iterator
from itertools import groupby
from textwrap import wrap

from fitcheck.clearance.clocking_windows import Region
from fitcheck.confidence.clocking import ClockingChapter, Tried, Window
from fitcheck.confidence.clocking_judged import Judgement, missing
from fitcheck.confidence.results import Judged, Result
from fitcheck.job.opening import OpenJob
from fitcheck.job.outlook import not_yet
from fitcheck.placement.oddities import Odd, doubts
from fitcheck.readings.settled import points_in
from fitcheck.report import words
from fitcheck.report.clocking_legs import legs_not_clear, legs_rows
from fitcheck.report.clocking_map import map_rows
from fitcheck.report.clocking_words import Ruler, change_words, closest, minutes

WIDTH, CHANGES_SHOWN = 110, 5
STEP_PLAY = ", one of its steps, half a degree of play either way counted in"
WORTH_MM = 0.5  # the map itself knows no better
LIMITS = (
    "What is sure is by first order: every reading moved a little, at {sampled} places in the windows, how well the "
    "unit can be set among them; each part of a window is asked for the most that any of the three places nearest to "
    "it has, pair by pair. Where the closest place jumps to another, that understates."
)
WINDOW_LIMITS = (
    "A window is made of cells of clock and place, each certified as a whole through every movement; its true edge "
    "lies up to one cell farther out. Not every clock goes with every place in it: in the box named with it every one "
    "does. A window narrower than 10 minutes of the clock or 5 mm along may have been missed."
)
ELSEWHERE = "cuts, zones and shaft; the way in and out. Set the job to the place you choose, then fitcheck check."


def clocking_text(opened: OpenJob, chapter: ClockingChapter, width: int = WIDTH) -> str:
    """The whole search."""
    ruler = Ruler.of(chapter)
    blocks = (
        _head(opened, chapter, ruler),
        [odd.told for odd in in_doubt(chapter)],
        *([_window(i, window, ruler) for i, window in enumerate(chapter.windows, start=1)]),
        _places(chapter, ruler),
        _help(chapter, ruler),
        _freedoms(chapter, ruler),
        _whatever(chapter),
        _unseen(chapter),
    )
    told = ["\n".join(_wrapped(block, width)) for block in blocks if block]
    return "\n\n".join([*told, "\n".join(map_rows(chapter, ruler, width)), _end(chapter, width)]) + "\n"


def _wrapped(lines: list[str], width: int) -> Iterator[str]:
    for line in lines:
        indent = len(line) - len(line.lstrip())
        yield from wrap(line, width, subsequent_indent=" " * (indent + 4)) or [""]


def verdict_word(chapter: ClockingChapter) -> str:
    """The search in a word."""
    if not chapter.windows:
        return "NOTHING FITS"
    if in_doubt(chapter):
        return "CANNOT DECIDE, A READING IS IN DOUBT"
    if words.not_judged(chapter.scene):
        return "CANNOT DECIDE, A READING IS MISSING"
    return "FITS, BY ITS GAPS" if chapter.sure else "TOO CLOSE TO CALL"


def exit_code(chapter: ClockingChapter) -> int:
    """0: a clock and place surely keeps every gap; 3: not surely, parts are missing or legs are not clear; 1: none."""
    bad = {entry.result for entry in chapter.whatever} & {Result.HITS, Result.UNDER}
    if not chapter.windows or bad:
        return 1
    open_still = chapter.whatever or missing(chapter.best) or in_doubt(chapter) or legs_not_clear(chapter.legs[0])
    return 0 if chapter.sure and not open_still else 3


def in_doubt(chapter: ClockingChapter) -> tuple[Odd, ...]:
    """Readings of points that the others or the mock-up contradict: no search counts as sure while one stands."""
    off = chapter.seen is not None and not chapter.seen.agrees
    return (*doubts(points_in(chapter.job)), *([Odd("seen", "the mock-up disagrees with the readings")] if off else []))


def _head(opened: OpenJob, chapter: ClockingChapter, ruler: Ruler) -> list[str]:
    job, there = opened.job, chapter.allowed
    clocks = None if job.clocking is None else job.clocking.clocks
    said = "any clock" if clocks is None or clocks.kind == "any" else f"clocks {clocks.text}"
    low, high = ruler.place(there.low_mm), ruler.place(there.high_mm)
    return [
        job.job.name,
        f"Job {opened.digest[:12]}, {job.job.date or 'no date in job'}. Driver on the {job.job.drive}.",
        "",
        f"{verdict_word(chapter)}: {_summary(chapter, ruler)}",
        f"Tried: {said}; input face from {low} to {high} {ruler.down()}.",
        *(f"Not in the job: {words_}." for words_ in there.assumed),
        f"Not looked at yet: {', '.join((*not_searched(chapter), ELSEWHERE))}",
    ]


def not_searched(chapter: ClockingChapter) -> list[str]:
    """What would bear on clock and place and is not in the job."""
    tables = ("pedals", "bracket", "driver", "obstacles", "groups")
    return [each.what for each in not_yet(chapter.job) if any(key.startswith(tables) for key in each.missing)]


def _summary(chapter: ClockingChapter, ruler: Ruler) -> str:
    unjudged = words.not_judged(chapter.scene)
    if not chapter.windows:
        besides = f" And {unjudged}." if unjudged else ""
        return f"no clock and place tried keeps every gap. {_trouble(chapter.best, chapter)}.{besides}"
    many = f"{len(chapter.windows)} windows" if len(chapter.windows) > 1 else "one window"
    spot = chapter.best.spot
    best = f"best at {words.clock_both(spot.clock)}, {ruler.place(spot.place_mm)} {ruler.down()}"
    if unjudged:
        return f"{unjudged}. As far as measured, {many} where {ruler.kept}; {best}. None of it is sure before that."
    sure = "" if chapter.sure else " Your readings are not good enough to be sure of any of it."
    return f"{many} where {ruler.kept}; {best}.{sure}"


def _trouble(judgement: Judgement, chapter: ClockingChapter) -> str:
    """The pair in the way at the least bad place, and how much is missing."""
    entry, show = judgement.decides, chapter.job.job.show
    nearest = entry.found.closest
    assert nearest is not None
    required, gap = entry.pair.need.required_mm, nearest.gap
    if gap.gap_mm == 0:
        deep = (
            f"they meet, in by at least {words.room(gap.depth_mm, show)}, and {words.need(required, show)} is required"
        )
    else:
        deep = f"gap {words.room(gap.bound_mm, show)}, required {words.need(required, show)}: " \
               f"{words.need(required - gap.bound_mm, show)} is missing"  # fmt: skip
    return f"Least bad, in the way is {closest(entry, chapter)}: {deep}"


def _window(number: int, window: Window, ruler: Ruler) -> list[str]:
    reach, box = window.keeps.reach, window.keeps.box
    return [
        f"Window {number}: {ruler.kept}",
        f"  {_clocks(window.keeps, ruler)}",
        f"  {ruler.round_jacket(reach)}",
        f"  input face {ruler.places(reach)} {ruler.down()}",
        f"  every clock with every place inside: {ruler.clocks(box)} and {ruler.places(box)}",
        *_sure(window.sure, ruler),
    ]


def _clocks(region: Region, ruler: Ruler) -> str:
    reach = region.reach
    if reach.all_round:
        return "motor to any clock"
    said = f"motor to {ruler.clocks(reach)} seen from the seat ({ruler.clocks_below(reach)} lying under it)"
    return said + (STEP_PLAY if region.of.arc.step else "")


def _sure(regions: tuple[Region, ...], ruler: Ruler) -> Iterator[str]:
    if not ruler.all_known:
        yield "  sure: none of it, before every part is measured"
        return
    if not regions:
        yield "  sure with your readings: nothing wider than a cell of the map"
        return
    first = regions[0]
    yield f"  sure with your readings: {ruler.clocks(first.reach)}, {ruler.places(first.reach)}"
    yield f"    every clock with every place inside: {ruler.clocks(first.box)} and {ruler.places(first.box)}"
    if len(regions) > 1:
        yield f"    and {len(regions) - 1} smaller, see the map"


def _places(chapter: ClockingChapter, ruler: Ruler) -> list[str]:
    lines = [*_place("Best place" if chapter.windows else "Least bad place", chapter.best, chapter, ruler)]
    lines += legs_rows(chapter.legs[0], ruler.show)
    spot, there = chapter.best.spot, chapter.allowed
    if chapter.windows and not there.low_mm + 1 < spot.place_mm < there.high_mm - 1:
        lines.append("  It is at the end of the places tried: there may be more room beyond (clocking.places).")
    if chapter.forgiving is not None and chapter.box is not None:
        box = chapter.box
        lines += _place("Most forgiving place", chapter.forgiving, chapter, ruler)
        lines += legs_rows(chapter.legs[1], ruler.show)
        clock = "any clock" if box.all_round else f"{minutes((box.stop - box.start) / 2)} either way"
        along = words.room((box.high_mm - box.low_mm) / 2, ruler.show)
        lines.append(f"  It forgives {clock} and {along} either way along, both at once.")
    return [*lines, *_place("Where the job has it now", chapter.now, chapter, ruler)]


def _place(title: str, at: Judgement, chapter: ClockingChapter, ruler: Ruler) -> Iterator[str]:
    yield f"{title}: {ruler.at_clock(at.spot.clock)}; input face {ruler.place(at.spot.place_mm)} {ruler.down()}"
    yield f"  {decides(at, chapter)}"


def decides(at: Judgement, chapter: ClockingChapter) -> str:
    """The sentence of what decides there."""
    entry, show = at.decides, chapter.job.job.show
    nearest = entry.found.closest
    assert nearest is not None
    if at.margin_mm < 0:
        return _trouble(at, chapter).replace("Least bad, in", "In")
    gap, required = nearest.gap, entry.pair.need.required_mm
    kept = (
        f"gap {words.room(gap.bound_mm, show)}, {words.spread(entry.spread_mm)}, required {words.need(required, show)}"
    )
    if at.sure:
        return f"Decided by {closest(entry, chapter)}: {kept}. Every pair is clear."
    if not at.unsure:
        return f"Decided by {closest(entry, chapter)}: {kept}. Clear, as far as measured; {words.not_judged(at.scene)}."
    worst = max(at.unsure, key=lambda each: each.chance_under)
    again = ", ".join(share.key for share in worst.shares[:2]) or worst.reason
    doubt = f"{words.names(worst)} has a chance of {words.chance(worst.chance_under)} of less than it needs"
    return f"Decided by {closest(entry, chapter)}: {kept}. Too close to call: {doubt}; take again {again}."


def _help(chapter: ClockingChapter, ruler: Ruler) -> list[str]:
    if chapter.windows:
        return []
    if not chapter.changes:
        lines = ["What would help: none of the single changes tried gets rid of every hit"]
        return [*lines, *_changes((), chapter, ruler), *_in_the_way(chapter)]
    title = "What would help, one change at a time, most first (the first two judged in full)"
    return [title, *_changes(chapter.changes, chapter, ruler), *_in_the_way(chapter)]


def _changes(every: tuple[Tried, ...], chapter: ClockingChapter, ruler: Ruler) -> Iterator[str]:
    """Those that buy something one by one, the others named."""
    before = chapter.best.margin_mm
    worth = [tried for tried in every if tried.margin_mm - before >= WORTH_MM]
    for tried in worth[:CHANGES_SHOWN]:
        yield from _change(tried, chapter, ruler, before)
    if every and not worth:
        yield f"  none of them buys as much as {words.room(WORTH_MM, ruler.show)}"
    rest = [change_words(tried.helped.change, ruler) for tried in every if tried not in worth[:CHANGES_SHOWN]]
    if rest:
        yield f"  less, or next to nothing: {'; '.join(rest)}"
    if chapter.no_use:
        no_use = (change_words(change, ruler) for change in chapter.no_use)
        yield f"  of no use alone, as everything still hits: {'; '.join(no_use)}"


def _in_the_way(chapter: ClockingChapter) -> Iterator[str]:
    """Asks about an obstacle in the way that the job does not call removable."""
    pair = chapter.best.decides.pair
    for obstacle in chapter.job.obstacles:
        if obstacle.name in (pair.a.name, pair.b.name) and not obstacle.removable:
            yield f"  Could '{obstacle.name}' go elsewhere? If so write removable = true beside it, and ask again."


def _change(tried: Tried, chapter: ClockingChapter, ruler: Ruler, before: float) -> Iterator[str]:
    spot = tried.helped.spot
    at = f"motor to {words.clock_both(spot.clock)}, input face {ruler.place(spot.place_mm)} {ruler.down()}"
    buys = words.room(max(tried.margin_mm - before, 0.0), ruler.show)
    if tried.judged is None:
        left = ruler.left(tried.margin_mm)
        yield f"  - {change_words(tried.helped.change, ruler)}: buys about {buys}; {at}; {left} (by the map alone)"
        return
    yield f"  - {change_words(tried.helped.change, ruler)}: buys {buys}; {at}; {ruler.left(tried.margin_mm)}"
    yield f"      {decides(tried.judged, chapter)}"


def _freedoms(chapter: ClockingChapter, ruler: Ruler) -> list[str]:
    if not chapter.windows or not (chapter.freedoms or chapter.no_use):
        return []
    lines = ["Bracket and motor as far as the job lets them move, best first, against "
             f"{ruler.left(chapter.best.margin_mm)} as they are"]  # fmt: skip
    return [*lines, *_changes(chapter.freedoms, chapter, ruler)]


def _whatever(chapter: ClockingChapter) -> list[str]:
    if not chapter.whatever:
        return []
    names = [f"  [{words.MARKS[e.result]}] {e.result.value}: {words.names(e)}: {e.reason}" for e in chapter.whatever]
    return ["Whatever the clock and place (fitcheck check says more)", *names]


def _unseen(chapter: ClockingChapter) -> list[str]:
    gone = missing(chapter.best)
    if not gone:
        return []

    def of(entry: Judged) -> tuple[str, str]:
        return entry.reason, entry.measure

    lines = ["Not in this search, as readings are missing"]
    for (reason, measure), entries in groupby(sorted(gone, key=of), key=of):
        lines.append(f"  {', '.join(words.names(e) for e in entries)}: {reason}: measure {measure}")
    return lines


def _end(chapter: ClockingChapter, width: int) -> str:
    limits = [WINDOW_LIMITS, LIMITS.format(sampled=chapter.sampled)] if chapter.windows else []
    rows = ["Worked with", *(f"  - {text}" for text in (*limits, *chapter.scene.remarks))]
    rows += ["", "Cautions", *(f"  - {text}" for text in words.CAUTIONS)]
    return "\n".join(_wrapped(rows, width))
