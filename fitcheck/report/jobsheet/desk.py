"""The desk's pages, in order: results, cuts, shaft, what to measure again, hold points, cautions, as built.

A new chapter joins by a function in PAGES that writes on the flow, or leaves it alone where the job holds none.
"""

from collections.abc import Callable, Iterator
from functools import partial

from fitcheck.confidence.results import Judged
from fitcheck.limits import NotKnown
from fitcheck.report import words
from fitcheck.report.boots_text import boots_rows
from fitcheck.report.cuts_text import cuts_text
from fitcheck.report.jobsheet.bars import bars_drawing, bars_high_mm
from fitcheck.report.jobsheet.built import as_built, hold_points
from fitcheck.report.jobsheet.section import HIGH_MM, section_at, section_drawing
from fitcheck.report.jobsheet.side import (
    LINE_HIGH_MM,
    SIDE_HIGH_MM,
    line_drawing,
    side_drawing,
)
from fitcheck.report.jobsheet.typeset import WHOLE, typeset
from fitcheck.report.jobsheet.yokes import YOKE_HIGH_MM, yoke_drawing
from fitcheck.report.key_words import key_words
from fitcheck.report.paper.flow import Flow
from fitcheck.report.paper.sheets import Draw, Size
from fitcheck.report.reach_text import reach_rows
from fitcheck.report.readings_text import readings_rows
from fitcheck.report.seen_text import seen_rows
from fitcheck.report.shaft_text import TO_MAKE, shaft_text
from fitcheck.report.text import JUDGED, as_before_rows, gap_rows, head
from fitcheck.verdict import Outcome, Verdict

MOST_SHARES, LEAST_SHARE_MM, LEAST_SPARE_MM = 10, 0.1, 1.0
TENTHS = (
    "What you mark, cut, drill or set is told to 1/32 in and half a millimetre, the same on every page, rounded so "
    "that a piece comes out long and a hole wide enough. Tenths of a millimetre are worked out, not set by tape."
)
NOTHING_TO_MAKE = (
    "NO BAR IS CUT AND NO YOKE IS SET YET: lengths and teeth stand here once the job as a whole fits. Until then "
    "fitcheck shaft has them, to look at."
)
AS_BEFORE_SHOWN = 6
UNDER_MM = 25.0  # of a drawing's page is left for what is written under it


def desk_pages(verdict: Verdict, size: Size) -> list[Draw]:
    """All of them."""
    flow = Flow(size)
    flow.new_page()
    for page in PAGES:
        page(flow, verdict)
    return flow.drawn()


def _results(flow: Flow, verdict: Verdict) -> None:
    flow.heading("Results, worst first")
    flow.text(TENTHS)
    typeset(flow, "\n".join(head(verdict, WHOLE)))
    for rows in chapter_rows(verdict):
        typeset(flow, "\n".join(rows))


def chapter_rows(verdict: Verdict) -> Iterator[list[str]]:
    """The chapters that are told in short: readings, mock-up, gaps, boots, reaching in."""
    show = verdict.opened.job.job.show
    if verdict.readings is not None:
        yield readings_rows(verdict.readings, show, WHOLE)
    if verdict.seen is not None:
        yield seen_rows(verdict.seen, verdict.opened.job, WHOLE)
    yield gap_rows(verdict, WHOLE)
    yield as_before_rows(verdict, WHOLE, AS_BEFORE_SHOWN)
    if verdict.boots is not None:
        yield boots_rows(verdict.boots, verdict.scene, show, WHOLE)
    if verdict.reach is not None:
        yield reach_rows(verdict.reach, show, WHOLE)


def _cuts(flow: Flow, verdict: Verdict) -> None:
    if verdict.cuts is None:
        return
    flow.heading("Cut list", keep=SIDE_HIGH_MM + UNDER_MM)
    flow.drawing(SIDE_HIGH_MM, partial(side_drawing, job=verdict.opened.job, plan=verdict.cuts))
    typeset(flow, cuts_text(verdict.cuts, [], verdict.opened.job.job.show, WHOLE), ("Cautions",))


def _shaft(flow: Flow, verdict: Verdict) -> None:
    found = verdict.shaft
    if found is None:
        return
    flow.heading("Intermediate shaft", keep=LINE_HIGH_MM + UNDER_MM)
    if not isinstance(found.line, NotKnown):
        flow.drawing(LINE_HIGH_MM, partial(line_drawing, found=found, line=found.line))
    show, fits = verdict.opened.job.job.show, verdict.outcome is Outcome.FITS
    if fits and not isinstance(found.phases, NotKnown):
        flow.drawing(YOKE_HIGH_MM, partial(yoke_drawing, found=found))
    if fits and bars_high_mm(found):
        flow.drawing(bars_high_mm(found), partial(bars_drawing, found=found, show=show))
    if not fits:
        flow.text(NOTHING_TO_MAKE, bold=True)
    without = ("Cautions",) if fits else ("Cautions", *TO_MAKE)
    typeset(flow, shaft_text(found, verdict.shaft_gaps, [], show, verdict.proposal_gaps, WHOLE), without)


def _again(flow: Flow, verdict: Verdict) -> None:
    """Readings that move a result most, from the shares that the verdict holds."""
    flow.heading("How sure, and what to measure again")
    for odd in verdict.odd:
        flow.text(odd.told, bold=True, hang=3)
    rows = [
        (f"{key_words(verdict.opened.job, key)}   [{key}]", f"{part:.1f} mm", words.names(entry), _to_spare(entry), "")
        for key, part, entry in worth_again(verdict)[:MOST_SHARES]
    ]
    if rows:
        flow.text("These come nearest to using up what a pair has to spare; take the first ones again, by another hand "
                  "and another way.")  # fmt: skip
        head = ("reading", "may put it off by", "the pair", "has to spare", "read again")
        flow.table((32, 14, 26, 14, 14), head, rows, 6.0)
    for open_end in verdict.not_yet:
        said = f"measure {open_end.measure}" if open_end.missing else open_end.measure
        flow.text(f"Not looked at yet: {open_end.what}{f': {said}' if said else ''}", hang=3)


def worth_again(verdict: Verdict) -> list[tuple[str, float, Judged]]:
    """Key, how far it may put a gap off (mm) and of which pair: first what uses up most of what its pair has to spare.

    A pair that has nothing to spare counts as one that has a millimetre.
    """
    most: dict[str, tuple[float, float, Judged]] = {}
    for entry in [entry for entry in verdict.gaps if entry.result in JUDGED and entry.found.closest is not None]:
        for share in entry.shares:
            part = abs(share.part_mm)
            used = part / max(entry.margin_mm, LEAST_SPARE_MM)
            if part >= LEAST_SHARE_MM and used > most.get(share.key, (0.0,))[0]:
                most[share.key] = used, part, entry
    ranked = sorted(most.items(), key=lambda item: (-item[1][0], item[0]))
    return [(key, part, entry) for key, (_, part, entry) in ranked]


def _to_spare(entry: Judged) -> str:
    return f"{entry.margin_mm:.1f} mm" if entry.margin_mm > 0 else "nothing"


def _section(flow: Flow, verdict: Verdict) -> None:
    if section_at(verdict) is not None:
        flow.gap(3)
        flow.drawing(HIGH_MM, partial(section_drawing, verdict=verdict))


def _cautions(flow: Flow, verdict: Verdict) -> None:
    flow.heading("Cautions", keep=50)
    for caution in words.CAUTIONS:
        flow.text(f"\u2013 {caution}", 10, hang=3)


PAGES: tuple[Callable[[Flow, Verdict], None], ...] = (
    _results, _section, _cuts, _shaft, _again, hold_points, _cautions, as_built,
)  # fmt: skip
