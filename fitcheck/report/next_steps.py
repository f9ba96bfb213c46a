"""What to do now, in one or two sentences: what to measure, what to move, or on to the saw. Reads a verdict alone."""

from collections.abc import Iterator
from itertools import islice

from fitcheck.confidence.again import Again, again
from fitcheck.confidence.results import Judged, Result
from fitcheck.cuts.limits import LimitResult
from fitcheck.cuts.plan import BENCH_AGAIN, CutPlan
from fitcheck.limits import to_do
from fitcheck.placement.scene import Kind
from fitcheck.report.key_words import key_told
from fitcheck.report.words import names
from fitcheck.shaft.results import ShaftChapter
from fitcheck.verdict import Outcome, Verdict

MOST = 2
MOVED = (Kind.UNIT, Kind.BRACKET)


def next_steps(verdict: Verdict) -> tuple[str, ...]:
    """At most two things to do now, the first one first."""
    return tuple(islice(dict.fromkeys(_steps(verdict)), MOST))


def _steps(verdict: Verdict) -> Iterator[str]:
    if verdict.opened.job.job.guessed is not None and verdict.outcome is Outcome.CANNOT_DECIDE:
        yield "the figures are guesses: measure what fitcheck readings JOB --plan lists"
    yield from (f"measure {key_told(verdict.opened.job, odd.key)} again, which looks odd" for odd in verdict.odd[:1])
    if verdict.seen is not None and not verdict.seen.agrees:
        yield "find the reading that is wrong, for the car is right; what disagrees stands under As built"
    if verdict.cuts is not None and verdict.cuts.doubts:
        yield f"measure {BENCH_AGAIN}"
    yield from _wrong(verdict)
    yield from _missing(verdict)
    yield from _unsure(verdict)
    yield from _of_chapters(verdict)
    yield from _onward(verdict)


def _with(verdict: Verdict, *results: Result) -> Iterator[Judged]:
    return (entry for entry in verdict.gaps if entry.result in results)


def _chapters(verdict: Verdict) -> Iterator[tuple[str, tuple[Judged, ...]]]:
    """Chapters with gaps of their own."""
    yield "shaft", verdict.shaft_gaps
    yield "boots", () if verdict.boots is None else verdict.boots.gaps
    yield "reach", () if verdict.reach is None else verdict.reach.gaps


def _wrong(verdict: Verdict) -> Iterator[str]:
    """The worst pair that has no room, and where to look for a way out of it."""
    for entry in islice(_with(verdict, Result.HITS, Result.UNDER), 1):
        kinds = {entry.pair.a.kind, entry.pair.b.kind}
        ways = "move the unit" if Kind.UNIT in kinds else "change or move the new part"
        search = ": fitcheck clocking looks for a clock and place that clear" if kinds & set(MOVED) else ""
        yield f"make room between {_two(entry)}; {ways}{search}"
    for chapter, gaps in _chapters(verdict):
        for entry in gaps:
            if entry.result in (Result.HITS, Result.UNDER):
                yield f"make room between {_two(entry)}: fitcheck {chapter} says where"
                break


def _two(entry: Judged) -> str:
    return f"{entry.pair.a.name} and {entry.pair.b.name}"


def _missing(verdict: Verdict) -> Iterator[str]:
    """The reading that most pairs wait for."""
    others = (gap for _, gaps in _chapters(verdict) for gap in gaps if gap.result is Result.NOT_KNOWN)
    unknown = [*_with(verdict, Result.NOT_KNOWN), *others]
    waiting = [entry for entry in unknown if entry.missing and entry.measure]
    if waiting:
        keys = [entry.missing for entry in waiting]
        most = max(waiting, key=lambda entry: keys.count(entry.missing))
        many = keys.count(most.missing)
        pairs = "one pair waits" if many == 1 else f"{many} pairs wait"
        yield f"measure {most.measure} (key: {', '.join(most.missing)}), for which {pairs}"
    elif unknown:
        yield "settle what is not known among the gaps"


def _unsure(verdict: Verdict) -> Iterator[str]:
    """The reading behind the worst pair that is too close to call."""
    for entry in islice(_with(verdict, Result.TOO_CLOSE), 1):
        best = again(entry)[:1]
        how = _again(best[0], verdict) if best else "measure it on the mock-up, by clay"
        yield f"{how}: {names(entry)} is too close to call"


def _again(best: Again, verdict: Verdict) -> str:
    key = key_told(verdict.opened.job, best.key)
    return f"take {key} again" if best.tool is None else f"take {key} by {best.how}"


def _of_chapters(verdict: Verdict) -> Iterator[str]:
    """What does not keep in shaft and cuts; nobody goes to the saw before."""
    shaft, cuts = verdict.shaft, verdict.cuts
    doubted = cuts is not None and bool(cuts.doubts)
    if shaft is not None and not (shaft.result is LimitResult.KEEPS or (doubted and _waits_for_bench(shaft))):
        yield f"settle the shaft, which says {shaft.result.value}: fitcheck shaft"
    if cuts is not None and not doubted and cuts.result is not LimitResult.KEEPS:
        what = "what stands under NO CUT YET" if cuts.holds else f"the cuts, which say {cuts.result.value}"
        yield f"settle {what}: fitcheck cuts"


def _waits_for_bench(shaft: ShaftChapter) -> bool:
    """Whether the shaft is not known for the bench's sake alone."""
    open_ones = [check for check in shaft.judged if check.result is not LimitResult.KEEPS]
    return shaft.result is LimitResult.NOT_KNOWN and all(
        check.missing is not None and check.missing.measure == BENCH_AGAIN for check in open_ones
    )


def _onward(verdict: Verdict) -> Iterator[str]:
    """Where all that was looked at keeps: the cut that was begun, the mock-up, the next rung, and last the saw."""
    cuts = verdict.cuts
    may_cut = cuts is not None and cuts.result is LimitResult.KEEPS and not cuts.holds
    begun = cuts is not None and any(piece.state.stage != "not cut" for piece in cuts.pieces)
    if cuts is not None and may_cut and begun:
        yield from _cutting(cuts)
    elif may_cut and verdict.seen is None:
        yield "mock it up and find what fitcheck mock-up asks for, before any cut"
    for entry in verdict.not_yet:
        if entry.missing:
            yield f"{entry.what}: {to_do(entry.measure)} (key: {', '.join(entry.missing)})"
    if cuts is not None and may_cut:
        yield from _cutting(cuts)


def _cutting(cuts: CutPlan) -> Iterator[str]:
    """The next piece of work on the column."""
    for stage, words in (
        ("tried", "take the last cut of the {}: fitcheck cuts says how much"),
        ("first cut", "try the {} in the unit by hand and enter the gap you read: fitcheck cuts says which to expect"),
        ("not cut", "mark and cut the {} long: fitcheck cuts says where the saw goes"),
    ):
        for piece in cuts.pieces:
            if piece.state.stage == stage and not piece.state.at_its_end:
                yield words.format(piece.name)
                return
