"""What a picture says in words: captions, at which travel it is drawn, its corner; a job's text made fit to draw."""

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.confidence.results import Judged, Result
from fitcheck.report import words
from fitcheck.report.pictures.stage import Mark
from fitcheck.verdict import Verdict

LONGEST_NAME = 64
NOT_AN_APPROVAL = "a geometric aid, not an approval"


@dataclass(frozen=True)
class Caption:
    """What stands beside a mark: its number, the result, the two places, and the figures line by line."""

    number: int
    result: Result
    places: tuple[str, str]
    figures: tuple[str, ...]


def plain(text: str, longest: int = 400) -> str:
    """`text` on one line, without what cannot be seen or would turn the writing round; shortened in its middle."""
    seen = "".join(" " if unicodedata.category(sign)[0] in "CZ" else sign for sign in text)
    line = " ".join(seen.split())
    if len(line) <= longest:
        return line
    tail = longest // 3
    return f"{line[: longest - tail - 1]}…{line[-tail:]}"


def captions(marks: Sequence[Mark], verdict: Verdict) -> tuple[Caption, ...]:
    """One caption a mark, in their order."""
    return tuple(Caption(mark.number, mark.entry.result, places(mark), _figures(mark, verdict)) for mark in marks)


def places(mark: Mark) -> tuple[str, str]:
    """The two places in words, each with the part it is on."""
    closest, (a, b) = mark.closest, mark.sides
    return _place(a.part.name, closest.a_where), _place(b.part.name, closest.b_where)


def _place(part: str, where: str) -> str:
    said = where if where.startswith(part) else f"{part}: {where}"
    return plain(said, LONGEST_NAME)


def _figures(mark: Mark, verdict: Verdict) -> tuple[str, ...]:
    show = verdict.opened.job.job.show
    gap, need = mark.closest.gap, mark.entry.pair.need
    if gap.gap_mm == 0:
        found = f"in by at least {words.room(gap.depth_mm, show)}"
    else:
        found = f"gap {words.room(gap.bound_mm, show)}"
    travel = words.travel(mark.closest.at_travel, verdict.scene, show)
    lines = [
        f"{found}, {words.spread(mark.entry.spread_mm)}",
        f"required {words.size(need.required_mm, show)}",
        plain(travel, 120) if travel else "whatever the pedals do",
        plain(words.sways(mark.closest.at_movement), 120) if mark.closest.at_movement else "",
        _first_touch(mark.entry, verdict),
        "with someone pulling the wheel" if mark.is_pulled else "",
        "kept, but not sure: measure better" if mark.entry.result is Result.TOO_CLOSE else "",
    ]
    return tuple(line for line in lines if line)


def _first_touch(entry: Judged, verdict: Verdict) -> str:
    share, pedal = entry.found.first_touch, entry.found.touched_by
    if share is None or pedal is None:
        return ""
    return plain(f"first touch at {words.one_travel(pedal, share, verdict.scene, verdict.opened.job.job.show)}", 120)


def drawn_at(shares: dict[str, float], verdict: Verdict) -> str:
    """At which travels the moving parts are drawn."""
    driven = dict.fromkeys(part.driven_by for part in verdict.scene.parts if part.driven_by is not None)
    if not driven:
        return ""
    said = [f"{plain(pedal, 24)} at {shares.get(pedal, 0.0):.0%}" for pedal in driven if shares.get(pedal, 0.0) != 0.0]
    if not said:
        return "Pedals drawn at rest."
    others = ", the other pedals at rest" if len(said) < len(driven) else ""
    return plain(f"Drawn with {' and '.join(said)} of travel{others}. Faint: at rest.", 200)


def corner(verdict: Verdict) -> tuple[str, str]:
    """What ties the picture to its job, and what it is not."""
    header = verdict.opened.job.job
    return f"job {verdict.opened.digest[:12]}, {plain(header.date or 'no date in job', 40)}", NOT_AN_APPROVAL
