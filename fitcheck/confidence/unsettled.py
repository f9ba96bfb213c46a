"""Why no cut may be made yet: whatever keeps the job from fitting may move the unit, and then every mark is wrong."""

from collections.abc import Iterator
from itertools import groupby

from fitcheck.confidence.as_built import AsBuilt
from fitcheck.confidence.results import Judged, Result
from fitcheck.cuts.plan import CutPlan
from fitcheck.limits import LimitResult
from fitcheck.placement.oddities import Odd
from fitcheck.shaft.results import ShaftChapter

GUESSED = "some figures of the job are guesses (job.guessed): measure first what fitcheck readings JOB --plan lists"
NONE_CLEAR = "no pair is clear yet, so nobody knows whether the unit stays where it is"


def of_gaps(entries: tuple[Judged, ...]) -> Iterator[str]:
    """A line for each pair without room, and one for all that wait for the same thing."""
    for entry in entries:
        if entry.result in (Result.HITS, Result.UNDER):
            yield f"{_two(entry)}: {entry.result.value}, where the unit is now"
    waiting = [entry for entry in entries if entry.result in (Result.NOT_KNOWN, Result.TOO_CLOSE)]
    for why, group in groupby(sorted(waiting, key=_why), key=_why):
        first, *more = group
        others = f" and {len(more)} more pair{'s' if len(more) > 1 else ''}" if more else ""
        yield f"{_two(first)}{others}: {why}"
    if not any(entry.result in (Result.HITS, Result.UNDER, Result.TOO_CLOSE, Result.CLEAR) for entry in entries):
        yield NONE_CLEAR


def of_chapters(
    cuts: CutPlan, shaft: ShaftChapter | None, odd: tuple[Odd, ...], seen: AsBuilt | None, guessed: bool
) -> Iterator[str]:
    """What stands against a cut besides the gaps."""
    if shaft is not None and shaft.result is not LimitResult.KEEPS:
        yield f"the intermediate shaft: {shaft.result.value}, from where the column ends now; fitcheck shaft says why"
    if cuts.result is not LimitResult.KEEPS and not cuts.holds:
        limit = cuts.limits[0]
        yield f"{limit.what}: {limit.reason}"
    if guessed:
        yield GUESSED
    yield from (f"{each.key}: {each.why}" for each in odd)
    if seen is not None and not seen.agrees:
        yield "the mock-up disagrees with the readings: find the one that is wrong"


def _why(entry: Judged) -> str:
    if entry.result is Result.TOO_CLOSE:
        return "too close to call: take better readings first"
    return f"not known, {entry.reason}"


def _two(entry: Judged) -> str:
    return f"{entry.pair.a.name} - {entry.pair.b.name}"
