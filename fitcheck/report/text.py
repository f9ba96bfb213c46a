"""The verdict as plain text for a terminal: worst first, results as word and mark."""

import math
from collections.abc import Iterator
from textwrap import wrap

from fitcheck.confidence.again import again
from fitcheck.confidence.results import Judged, Result
from fitcheck.report import words
from fitcheck.report.cuts_text import cuts_rows, cuts_text
from fitcheck.report.readings_text import readings_rows
from fitcheck.report.rows import WIDTH, bulleted, hung, label
from fitcheck.report.seen_text import seen_rows, to_find
from fitcheck.report.shaft_text import shaft_rows, shaft_text
from fitcheck.verdict import Verdict

AS_BEFORE_SHOWN = 3
SAME_SPREAD, SAME_PLACE = 0.1, 0.05  # first order and draws this near each other say the same
NEAR_MM = 50.0  # clear by more than this beyond its need, a pair is only counted
JUDGED = (Result.HITS, Result.UNDER, Result.NOT_KNOWN, Result.TOO_CLOSE, Result.CLEAR)


def check_text(verdict: Verdict, width: int = WIDTH) -> str:
    """The whole verdict."""
    blocks = (
        head(verdict, width),
        [] if verdict.readings is None else readings_rows(verdict.readings, _show(verdict), width),
        [] if verdict.seen is None else seen_rows(verdict.seen, _show(verdict), width),
        gap_rows(verdict, width),
        as_before_rows(verdict, width, AS_BEFORE_SHOWN),
        [] if verdict.cuts is None else cuts_rows(verdict.cuts, _show(verdict), width),
        [] if verdict.shaft is None else shaft_rows(verdict.shaft, _show(verdict), width),
        bulleted("Meant to touch, not judged", _joined(verdict), width),
        bulleted("Not looked at yet", _not_yet(verdict), width),
        bulleted("Worked with", verdict.remarks, width),
        bulleted("Cautions", words.CAUTIONS, width),
    )
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def gaps_text(verdict: Verdict, width: int = WIDTH) -> str:
    """The gaps alone, with every pair that was there before."""
    many = len(verdict.gaps)
    blocks = (head(verdict, width), gap_rows(verdict, width, everything=True), as_before_rows(verdict, width, many))
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def cut_list_text(verdict: Verdict, width: int = WIDTH) -> str:
    """The cuts alone, as a list to take to the saw; the job has to hold some."""
    assert verdict.cuts is not None
    return cuts_text(verdict.cuts, head(verdict, width), _show(verdict), width)


def mock_up_text(verdict: Verdict, width: int = WIDTH) -> str:
    """What to find on the mock-up, and what was found against its prediction."""
    asked = to_find(verdict.gaps, verdict.readings, verdict.seen)
    blocks = (
        head(verdict, width),
        [] if verdict.seen is None else seen_rows(verdict.seen, _show(verdict), width),
        bulleted(
            "Find on the mock-up, and write it down under [[seen]] before reading what is predicted", asked, width
        ),
    )
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def shaft_chapter_text(verdict: Verdict, width: int = WIDTH) -> str:
    """The shaft alone; the job has to hold one."""
    assert verdict.shaft is not None
    top = head(verdict, width)
    return shaft_text(verdict.shaft, verdict.shaft_gaps, top, _show(verdict), verdict.proposal_gaps, width)


def head(verdict: Verdict, width: int) -> list[str]:
    """Whose job, the result of the job, and where the unit sits."""
    job, at = verdict.opened.job, verdict.scene.setting
    show = job.job.show
    way = "clockwise" if at.round_jacket_mm >= 0 else "anticlockwise"
    plane = "" if at.motor_plane_mm is None else f"; motor plane {words.size(at.motor_plane_mm, show)} down"
    about = (
        f"Job {verdict.opened.digest[:12]}, {job.job.date or 'no date in job'}. Driver on the {job.job.drive}. "
        f"Datum: {job.job.datum}."
    )
    unit = (
        f"Motor to {words.clock_both(at.clock)}, {words.size(abs(at.round_jacket_mm), show)} {way} round the jacket "
        f"from its top line; input face {words.size(at.from_mark_mm, show)} down from {words.mark(at.from_mark)}"
        f"{plane}."
    )
    result = f"{verdict.outcome.value.upper()}: {summary(verdict)}.{_lowered(verdict)}"
    missing = f"Not looked at yet: {', '.join(entry.what for entry in verdict.not_yet)}."
    texts = [job.job.name, about, "", result, missing, *_odd(verdict), "", unit]
    return [line for text in texts for line in wrap(text, width, subsequent_indent="  ") or [""]]


def _lowered(verdict: Verdict) -> str:
    """Says so where the job asks for less room than common practice."""
    asked = [entry.pair.need for entry in verdict.gaps if entry.pair.need.lowered]
    if not asked:
        return ""
    sources = ", ".join(sorted({need.required_from.split(":")[0] for need in asked}))
    return f" {len(asked)} of these asked for less room than common practice ({sources})."


def _odd(verdict: Verdict) -> list[str]:
    return [f"LOOKS ODD, measure again: {odd.key}: {odd.why}." for odd in verdict.odd]


def summary(verdict: Verdict) -> str:
    """How many pairs have which result."""
    counted = (*verdict.gaps, *_wrong(verdict.shaft_gaps))
    counts = [(sum(entry.result is result for entry in counted), result) for result in JUDGED]
    words_of = [
        *([] if verdict.cuts is None else [f"cuts: {verdict.cuts.result.value}"]),
        *([] if verdict.shaft is None else [f"shaft: {verdict.shaft.result.value}"]),
    ]
    said = (f"{count} {_counted(result, count)}" for count, result in counts if count)
    return "; ".join([", ".join(said) or "nothing could be judged", *words_of])


def _wrong(entries: tuple[Judged, ...]) -> list[Judged]:
    return [entry for entry in entries if entry.result is not Result.CLEAR]


def _counted(result: Result, count: int) -> str:
    return "hit" if result is Result.HITS and count == 1 else result.value


def gap_rows(verdict: Verdict, width: int, everything: bool = False) -> list[str]:
    """Every judged pair, worst first: in full where something is wrong, in a line or two where it is clear."""
    rows = ["Gaps through the whole of every movement, worst first"]
    shown = [entry for entry in (*verdict.gaps, *_wrong(verdict.shaft_gaps)) if entry.result in JUDGED]
    near = [entry for entry in shown if everything or entry.result is not Result.CLEAR or entry.margin_mm < NEAR_MM]
    near = near or shown[:1]
    told: set[str] = set()
    for entry in near:
        about = _in_short(entry, verdict) if entry.result is Result.CLEAR else _in_full(entry, verdict, told)
        rows += hung(label(words.MARKS[entry.result], entry.result.value), list(about), width)
    if len(near) < len(shown):
        beyond = words.room(NEAR_MM, _show(verdict))
        more = f"  and {len(shown) - len(near)} more, clear by over {beyond} beyond their need: see fitcheck gaps"
        rows += wrap(more, width, subsequent_indent="  ")
    sources = sorted({entry.pair.need.required_from for entry in verdict.gaps if entry.result in JUDGED} - {""})
    return [*rows, *wrap(f"  Required gaps are from: {'; '.join(sources)}.", width, subsequent_indent="  ")]


def as_before_rows(verdict: Verdict, width: int, most: int) -> list[str]:
    """Pairs of old parts that move: closest first, not judged."""
    entries = [entry for entry in verdict.gaps if entry.result is Result.AS_BEFORE]
    if not entries:
        return []
    rows = wrap("As before: old parts that stay where they were, listed and not judged, closest first", width)
    for entry in entries[:most]:
        rows += hung(label(words.MARKS[entry.result], "as before"), list(_in_short(entry, verdict)), width)
    if len(entries) > most:
        rows += wrap(f"  and {len(entries) - most} more: fitcheck gaps lists them all", width, subsequent_indent="  ")
    return rows


def _in_full(entry: Judged, verdict: Verdict, told: set[str]) -> Iterator[str]:
    """Paragraphs on one pair: places and travel; numbers; and where the readings decide, which of them.

    How to measure what is missing is told once: `told` holds what has been.
    """
    closest, need = entry.found.closest, entry.pair.need
    if closest is None:
        measure = f": measure {entry.measure}" if entry.measure and entry.measure not in told else ""
        told.add(entry.measure)
        yield f"{words.names(entry)}: {entry.reason}{measure}"
        return
    yield _where(entry, verdict)
    if entry.result is Result.NOT_KNOWN:
        of_surfaces = "between their surfaces: " if closest.gap.doubt else ""
        yield f"({words.names(entry)}) {entry.reason}; {of_surfaces}{_gap(entry, verdict)}"
        return
    chance = "" if entry.result is Result.HITS else f"; chance of less: {words.chance(entry.chance_under)}"
    required = words.size(need.required_mm, _show(verdict))
    yield f"({words.names(entry)}) {_gap(entry, verdict)}; required {required}{chance}"
    if entry.shares and entry.result is not Result.HITS:
        yield from _drawn(entry)
        yield "most of the spread: " + ", ".join(f"{s.key} {abs(s.part_mm):.1f} mm" for s in entry.shares[:3])
        yield from _again(entry)


def _again(entry: Judged) -> Iterator[str]:
    """What a second reading would buy."""
    best = again(entry)[:1]
    for each in best:
        chances = f"{words.chance(entry.chance_under)} to {words.chance(each.chance_under)}"
        yield f"a second reading of {each.key}, found the same, cuts the chance of less from {chances}"


def _drawn(entry: Judged) -> Iterator[str]:
    """Where draws part company with first order: how far, and why."""
    drawn = entry.drawn
    if drawn is None:
        return
    same = abs(drawn.spread_mm - entry.spread_mm) <= SAME_SPREAD * entry.spread_mm
    if same and drawn.place_changed <= SAME_PLACE:
        return
    why = f": another place was closest in {math.ceil(100 * drawn.place_changed)} % of them"
    yield f"by {drawn.draws:,} draws {words.spread(drawn.spread_mm)}{why if drawn.place_changed > SAME_PLACE else ''}"


def _in_short(entry: Judged, verdict: Verdict) -> Iterator[str]:
    if entry.found.closest is None:
        yield f"{words.names(entry)}: {entry.reason}"
        return
    needed = (
        ""
        if entry.result is Result.AS_BEFORE
        else f"; required {words.size(entry.pair.need.required_mm, _show(verdict))}"
    )
    yield f"{_where(entry, verdict)}: {_gap(entry, verdict)}{needed}"


def _show(verdict: Verdict) -> words.Show:
    return verdict.opened.job.job.show


def _where(entry: Judged, verdict: Verdict) -> str:
    closest = entry.found.closest
    assert closest is not None
    if not closest.gap.bracketed:
        return words.names(entry)
    at = words.travel(closest.at_travel, verdict.scene, _show(verdict)), words.sways(closest.at_movement)
    return ", ".join([f"{closest.a_where} - {closest.b_where}", *filter(None, at)])


def _gap(entry: Judged, verdict: Verdict) -> str:
    assert entry.found.closest is not None
    gap = entry.found.closest.gap
    if gap.gap_mm == 0:
        deep = f"in by at least {words.room(gap.depth_mm, _show(verdict))}" if gap.depth_mm >= 1 else "touches"
        return f"{deep}{_first_touch(entry, verdict)}"
    if not gap.bracketed:
        return f"gap at least {words.room(gap.bound_mm, _show(verdict))}"
    return f"gap {words.room(gap.bound_mm, _show(verdict))}, {words.spread(entry.spread_mm)}"


def _first_touch(entry: Judged, verdict: Verdict) -> str:
    share, pedal = entry.found.first_touch, entry.found.touched_by
    if share is None or pedal is None:
        return ""
    return f", first touching at {words.one_travel(pedal, share, verdict.scene, _show(verdict))}"


def _joined(verdict: Verdict) -> list[str]:
    return [f"{words.names(e)}: {e.reason}" for e in verdict.gaps if e.result is Result.JOINED]


def _not_yet(verdict: Verdict) -> list[str]:
    return [
        f"{entry.what}: measure {entry.measure} (key: {', '.join(entry.missing)})"
        if entry.missing
        else f"{entry.what}: {entry.measure or 'this version does not look at it'}"
        for entry in verdict.not_yet
    ]
