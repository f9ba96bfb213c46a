"""What a picture says in words: captions, at which travel it is drawn, its corner; a job's text made fit to draw."""

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.confidence.results import Judged, Result
from fitcheck.limits import LimitResult
from fitcheck.report import words
from fitcheck.report.pictures.stage import Mark
from fitcheck.verdict import Verdict

LONGEST_NAME = 64
NAMED = 2  # of a chapter's limits, in a picture
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
        found = f"in by at least {words.room(gap.depth_mm, show)}, {words.spread(mark.entry.spread_mm)}"
    elif not gap.bracketed:  # no spread was worked out for it
        found = f"gap at least {words.room(gap.bound_mm, show)}"
    else:
        found = f"gap {words.room(gap.bound_mm, show)}, {words.spread(mark.entry.spread_mm)}"
    travel = words.travel(mark.closest.at_travel, verdict.scene, show)
    lines = [
        found,
        f"required {words.need(need.required_mm, show)}",
        plain(mark.entry.pair.need.reason, 120),
        plain(travel, 120) if travel else _unmoved(mark),
        plain(words.sways(mark.closest.at_movement), 120) if mark.closest.at_movement else "",
        _first_touch(mark.entry, verdict),
        "with someone pulling the wheel" if mark.is_pulled else "",
        "kept, but not sure: measure better" if mark.entry.result is Result.TOO_CLOSE else "",
    ]
    return tuple(line for line in lines if line)


def _unmoved(mark: Mark) -> str:
    """Nothing to say of the intermediate shaft: no pedal is near it."""
    return "" if any(side.part.as_measured for side in mark.sides) else "whatever the pedals do"


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
    said = [_pressed(plain(pedal, 24), shares[pedal]) for pedal in driven if shares.get(pedal, 0.0) != 0.0]
    if not said:
        return "Pedals drawn at rest."
    others = ", the other pedals at rest" if len(said) < len(driven) else ""
    return plain(f"Drawn with {' and '.join(said)}{others}. Faint: at rest.", 200)


def _pressed(pedal: str, share: float) -> str:
    return f"{pedal} pulled up by hand" if share < 0 else f"{pedal} at {share:.0%} of travel"


def beside_the_gaps(verdict: Verdict) -> tuple[str, ...]:
    """What the picture cannot show: limits of cuts and shaft that are not kept, and what was not looked at."""
    cuts, shaft = verdict.cuts, verdict.shaft
    of_cuts = [] if cuts is None else [(limit.result, limit.what) for limit in cuts.limits]
    of_shaft = [] if shaft is None else [(check.result, check.what) for check in shaft.judged]
    of_joints = [] if shaft is None else [(row.bend.result, f"angle of {row.joint.name}") for row in shaft.joints]
    said = [
        f"{chapter}, not to be seen here: {_not_kept(limits)}"
        for chapter, limits in (("Cuts", of_cuts), ("Shaft", [*of_joints, *of_shaft]))
        if any(result is not LimitResult.KEEPS for result, _ in limits)
    ]
    lacking = ", ".join(entry.what for entry in verdict.not_yet)
    return tuple(plain(line) for line in (*said, f"Not looked at: {lacking}" if lacking else "") if line)


def _not_kept(limits: Sequence[tuple[LimitResult, str]]) -> str:
    """The worst result and what has it: two by name, the others counted."""
    worst = min((result for result, _ in limits), key=list(LimitResult).index)
    names = list(dict.fromkeys(what for result, what in limits if result is worst))
    more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
    return f"{worst.value}: {', '.join(names[:NAMED])}{more}"


def corner(verdict: Verdict) -> tuple[str, str]:
    """What ties the picture to its job, and what it is not."""
    header = verdict.opened.job.job
    return f"job {verdict.opened.digest[:12]}, {plain(header.date or 'no date in job', 40)}", NOT_AN_APPROVAL
