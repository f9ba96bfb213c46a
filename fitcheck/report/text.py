"""The verdict as plain text for a terminal: worst first, results as word and mark."""

from textwrap import wrap

from fitcheck.confidence.results import Judged, Result, worst_first
from fitcheck.limits import to_do
from fitcheck.report import words
from fitcheck.report.boots_text import boots_rows, boots_text
from fitcheck.report.cuts_text import cuts_rows, cuts_text
from fitcheck.report.cuts_words import told
from fitcheck.report.gap_text import in_full, in_short
from fitcheck.report.next_steps import next_steps
from fitcheck.report.reach_text import reach_rows, reach_text
from fitcheck.report.readings_text import readings_rows
from fitcheck.report.rows import WIDTH, bulleted, hung, label, paragraph
from fitcheck.report.seen_text import seen_rows, to_find
from fitcheck.report.shaft_text import shaft_rows, shaft_text
from fitcheck.report.shaft_words import set_on_car
from fitcheck.report.tape import set_at
from fitcheck.report.worked_with import in_short as in_brief
from fitcheck.shaft.results import ShaftChapter
from fitcheck.verdict import Outcome, Verdict

AS_BEFORE_SHOWN, CLEAR_SHOWN = 3, 5

NEAR_MM = 50.0  # clear by more than this beyond its need, a pair is only counted
LOOK_ONLY = (
    "NO BAR IS CUT AND NO YOKE IS SET YET: the job as a whole says {}. The lengths and teeth below are to look at, and "
    "change if the unit or the column's end moves."
)
JUDGED = (Result.HITS, Result.UNDER, Result.NOT_KNOWN, Result.TOO_CLOSE, Result.CLEAR)


def check_text(verdict: Verdict, width: int = WIDTH, everything: bool = False) -> str:
    """The whole verdict; with `everything` what nobody has to act on as well."""
    show = _show(verdict)
    blocks = (
        head(verdict, width, next_steps(verdict)),
        [] if verdict.readings is None else readings_rows(verdict.readings, show, width),
        [] if verdict.seen is None else seen_rows(verdict.seen, verdict.opened.job, width),
        gap_rows(verdict, width, most=None if everything else CLEAR_SHOWN),
        as_before_rows(verdict, width, AS_BEFORE_SHOWN if everything else 1),
        [] if verdict.boots is None else boots_rows(verdict.boots, verdict.scene, show, width),
        [] if verdict.reach is None else reach_rows(verdict.reach, show, width),
        [] if verdict.cuts is None else cuts_rows(verdict.cuts, show, width),
        [] if verdict.shaft is None else shaft_rows(verdict.shaft, show, width),
        bulleted("Meant to touch, not judged", _joined(verdict), width) if everything else [],
        bulleted("Not looked at yet", _not_yet(verdict), width),
        bulleted("Worked with", verdict.remarks if everything else in_brief(verdict), width),
        bulleted("Cautions", words.CAUTIONS, width) if everything else _cautions(width),
    )
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _cautions(width: int) -> list[str]:
    return paragraph(f"Cautions: {' '.join(words.CAUTIONS)}", width)


def gaps_text(verdict: Verdict, width: int = WIDTH) -> str:
    """The gaps alone, with every pair that was there before."""
    many = len(verdict.gaps)
    blocks = (head(verdict, width), gap_rows(verdict, width, everything=True), as_before_rows(verdict, width, many))
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def boots_chapter_text(verdict: Verdict, width: int = WIDTH) -> str:
    """The boots alone; the job has to hold some."""
    assert verdict.boots is not None
    return boots_text(verdict, head(verdict, width), width)


def reach_chapter_text(verdict: Verdict, width: int = WIDTH) -> str:
    """Reaching in alone; the job has to speak of it."""
    assert verdict.reach is not None
    waiting = [
        f"{entry.what}: measure {entry.measure} (key: {', '.join(entry.missing)})"
        for entry in verdict.not_yet
        if any(key.startswith("reach") for key in entry.missing)
    ]
    return reach_text(verdict.reach, head(verdict, width), verdict.scene, _show(verdict), waiting, width)


def cut_list_text(verdict: Verdict, width: int = WIDTH) -> str:
    """The cuts alone, as a list to take to the saw; the job has to hold some."""
    assert verdict.cuts is not None
    return cuts_text(verdict.cuts, head(verdict, width), _show(verdict), width)


def mock_up_text(verdict: Verdict, width: int = WIDTH) -> str:
    """What to find on the mock-up, and what was found against its prediction."""
    asked = to_find(verdict)
    blocks = (
        head(verdict, width),
        [] if verdict.seen is None else seen_rows(verdict.seen, verdict.opened.job, width),
        bulleted(
            "Find on the mock-up, and write it down under [[seen]] before reading what is predicted", asked, width
        ),
    )
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def shaft_chapter_text(verdict: Verdict, width: int = WIDTH) -> str:
    """The shaft alone; the job has to hold one."""
    assert verdict.shaft is not None
    held = look_only(verdict, width)
    top = [*head(verdict, width), *([""] if held else []), *held]
    return shaft_text(verdict.shaft, verdict.shaft_gaps, top, _show(verdict), verdict.proposal_gaps, width)


def look_only(verdict: Verdict, width: int) -> list[str]:
    """That no bar is cut yet; nothing of a job that fits."""
    fits = verdict.outcome is Outcome.FITS
    return [] if fits else paragraph(LOOK_ONLY.format(verdict.outcome.value), width)


def head(verdict: Verdict, width: int, steps: tuple[str, ...] = ()) -> list[str]:
    """Whose job, the result of the job, what to do now, and where the unit sits."""
    job, at = verdict.opened.job, verdict.scene.setting
    show = job.job.show
    way = "clockwise" if at.round_jacket_mm >= 0 else "anticlockwise"
    plane = "" if at.motor_plane_mm is None else f"; middle of the gear body {set_at(at.motor_plane_mm, show)} down"
    about = (
        f"Job {verdict.opened.digest[:12]}, {job.job.date or 'no date in job'}. Driver on the {job.job.drive}. "
        f"Datum: {job.job.datum}."
    )
    unit = (
        f"Motor to {words.clock_both(at.clock)}, {set_at(abs(at.round_jacket_mm), show)} {way} round the jacket "
        f"from its top line; input face {set_at(at.from_mark_mm, show)} down from {words.mark(at.from_mark)}"
        f"{plane}."
    )
    result = f"{result_line(verdict)}{_lowered(verdict)}"
    missing = f"Not looked at yet: {', '.join(entry.what for entry in verdict.not_yet)}."
    texts = [job.job.name, about, "", result, missing, *_odd(verdict), *_next(steps), "", unit]
    return [line for text in texts for line in wrap(text, width, subsequent_indent="  ") or [""]]


def result_line(verdict: Verdict) -> str:
    """The result of the job in words, and what it is made of."""
    return f"{words.outcome(verdict).upper()}: {summary(verdict)}."


def _next(steps: tuple[str, ...]) -> list[str]:
    return ["", f"Next: {'. Then: '.join(steps)}."] if steps else []


def _lowered(verdict: Verdict) -> str:
    """Says so where the job asks for less room than common practice."""
    asked = [entry.pair.need for entry in verdict.gaps if entry.pair.need.lowered]
    if not asked:
        return ""
    sources = ", ".join(sorted({need.required_from.split(":")[0] for need in asked}))
    return f" {len(asked)} of these asked for less room than common practice ({sources})."


def _odd(verdict: Verdict) -> list[str]:
    return [odd.told for odd in verdict.odd]


def summary(verdict: Verdict) -> str:
    """How many pairs have which result."""
    counted = (*verdict.gaps, *_of_chapters(verdict))
    counts = [(sum(entry.result is result for entry in counted), result) for result in JUDGED]
    words_of = [
        *([] if verdict.cuts is None else [f"cuts: {told(verdict.cuts)}"]),
        *([] if verdict.shaft is None else [f"shaft: {verdict.shaft.result.value}{_by_hand(verdict.shaft)}"]),
    ]
    said = [f"{count} {_counted(result, count)}" for count, result in counts if count]
    said += ["but by guesses"] if verdict.by_guesses else []
    return "; ".join([", ".join(said) or "nothing could be judged", *words_of])


def _by_hand(shaft: ShaftChapter) -> str:
    said = set_on_car(shaft)
    return f" ({said})" if said else ""


def _of_chapters(verdict: Verdict) -> tuple[Judged, ...]:
    """Gaps that chapters of their own tell of: all of the shaft's; of boots and reach where something is wrong."""
    boots, reach = verdict.boots, verdict.reach
    besides = (*(() if boots is None else boots.gaps), *(() if reach is None else reach.gaps))
    return (*(entry for entry in besides if entry.result is not Result.CLEAR), *verdict.shaft_gaps)


def _counted(result: Result, count: int) -> str:
    return "hit" if result is Result.HITS and count == 1 else result.value


def gap_rows(verdict: Verdict, width: int, everything: bool = False, most: int | None = None) -> list[str]:
    """Every judged pair, worst first: in full where something is wrong, in a line or two where it is clear.

    Of those that are clear only the near ones, `most` at most, unless `everything` is asked for.
    """
    rows = ["Gaps through the whole of every movement, worst first"]
    everyone = sorted((*verdict.gaps, *_of_chapters(verdict)), key=worst_first)
    shown = [entry for entry in everyone if entry.result in JUDGED]
    near = [entry for entry in shown if everything or entry.result is not Result.CLEAR or entry.margin_mm < NEAR_MM]
    near = near or shown[:1]
    wrong = sum(entry.result is not Result.CLEAR for entry in near)
    near = near if most is None else near[: wrong + most]
    told: set[str] = set()
    for entry in near:
        about = (
            in_short(entry, verdict.scene, _show(verdict))
            if entry.result is Result.CLEAR
            else in_full(entry, verdict.scene, _show(verdict), told)
        )
        rows += hung(label(words.MARKS[entry.result], entry.result.value), list(about), width)
    if len(near) < len(shown):
        least = min(NEAR_MM, shown[len(near)].margin_mm)
        beyond = words.room(least, _show(verdict))
        more = f"  and {len(shown) - len(near)} more, clear by over {beyond} beyond their need: see fitcheck gaps"
        rows += wrap(more, width, subsequent_indent="  ")
    sources = sorted({entry.pair.need.required_from for entry in everyone if entry.result in JUDGED} - {""})
    return [*rows, *wrap(f"  Required gaps are from: {'; '.join(sources)}.", width, subsequent_indent="  ")]


def as_before_rows(verdict: Verdict, width: int, most: int) -> list[str]:
    """Pairs of old parts that move: closest first, not judged."""
    entries = [entry for entry in verdict.gaps if entry.result is Result.AS_BEFORE]
    if not entries:
        return []
    rows = wrap("As before: old parts that stay where they were, listed and not judged, closest first", width)
    for entry in entries[:most]:
        about = in_short(entry, verdict.scene, _show(verdict))
        rows += hung(label(words.MARKS[entry.result], "as before"), list(about), width)
    if len(entries) > most:
        rows += wrap(f"  and {len(entries) - most} more: fitcheck gaps lists them all", width, subsequent_indent="  ")
    return rows


def _show(verdict: Verdict) -> words.Show:
    return verdict.opened.job.job.show


def _joined(verdict: Verdict) -> list[str]:
    """One paragraph a reason: nobody has to act on them."""
    by_reason: dict[str, list[str]] = {}
    for entry in verdict.gaps:
        if entry.result is Result.JOINED:
            reason = "as the job says" if "is meant to touch" in entry.reason else entry.reason
            by_reason.setdefault(reason, []).append(words.names(entry))
    return [f"{reason}: {', '.join(names)}" for reason, names in by_reason.items()]


def _not_yet(verdict: Verdict) -> list[str]:
    return [
        f"{entry.what}: {to_do(entry.measure)} (key: {', '.join(entry.missing)})"
        if entry.missing
        else f"{entry.what}: {entry.measure or 'this version does not look at it'}"
        for entry in verdict.not_yet
    ]
