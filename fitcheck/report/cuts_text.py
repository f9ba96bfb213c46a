"""The cut list as plain text to take to the saw: every mark in mm and to 1/32 in, waste side, first and last cut."""

import re
from collections import Counter
from collections.abc import Iterator

from fitcheck.cuts.firewall import Opening
from fitcheck.cuts.layout import STOCKS
from fitcheck.cuts.limits import LimitResult, NotKnown
from fitcheck.cuts.nearest import NearestPlace
from fitcheck.cuts.pieces import Piece, Planned
from fitcheck.cuts.plan import HELD, CutPlan
from fitcheck.cuts.stocks import Account
from fitcheck.job.angles import degrees
from fitcheck.report import words
from fitcheck.report.cuts_steps import steps
from fitcheck.report.cuts_words import MARKS, as_read, both, finished, labelled, opening_words, told, value
from fitcheck.report.rows import WIDTH, bulleted, hung, paragraph
from fitcheck.report.tape import at_least, near

Rows = Iterator[str]
SUBJECT = re.compile(r": | - ")  # a limit's name starts with what it is about
NO_CUT = "NO CUT YET. If the unit moves or a reading is wrong, every mark is wrong. Settle first"
SHORT = "Cut short: what can still be done"


def cuts_text(plan: CutPlan, head: list[str], show: words.Show, width: int = WIDTH) -> str:
    """The whole chapter under `head`, lines that say whose job it is."""
    blocks = (
        head,
        paragraph(f"CUTS: {told(plan)}. {_counted(plan)}.", width),
        bulleted(NO_CUT, plan.holds, width),
        list(_cut_list(plan, show, width)),
        list(_limits(plan, show, width)),
        bulleted(SHORT, _shorts(plan, show), width),
        bulleted("Place of the unit", _place(plan, show), width),
        bulleted("What falls off, and new stock", () if plan.holds else _stocks(plan, show), width),
        bulleted("Dimples and bolts", _holes(plan, show), width),
        bulleted("Firewall", _firewall(plan, show), width),
        bulleted("The whole column, laid together again", _closings(plan), width),
        bulleted("Not looked at yet", [f"{one.what}: {one.reason}" for one in plan.not_yet], width),
        bulleted("Worked with", list(plan.remarks), width),
        bulleted("Cautions", list(words.CAUTIONS), width),
    )
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def cuts_rows(plan: CutPlan, show: words.Show, width: int = WIDTH) -> list[str]:
    """The chapter in short, for the whole verdict: a line a piece, and every limit that does not keep."""
    rows = paragraph(f"Cuts: {told(plan)}. {_counted(plan)}; the cut list is in: fitcheck cuts", width)
    rows += bulleted(NO_CUT, plan.holds, width)
    for piece in plan.planned:
        rows += hung(labelled(plan.result_of(piece)), [_stopped(piece, plan) or _in_short(piece, show)], width)
    for limit in plan.limits:
        if limit.result is not LimitResult.KEEPS and not isinstance(limit, NotKnown):
            rows += hung(labelled(limit.result), [f"{limit.what}: {value(limit, show)}"], width)
    return [
        *rows,
        *bulleted(SHORT, _shorts(plan, show), width),
        *bulleted("Place of the unit", _nearest(plan, show), width),
    ]


def summary(plan: CutPlan) -> str:
    """How many limits have which result."""
    counts = [(sum(limit.result is result for limit in plan.limits), result) for result in LimitResult]
    return ", ".join(f"{count} {result.value}" for count, result in counts if count)


def _counted(plan: CutPlan) -> str:
    return f"The limits by themselves: {summary(plan)}" if plan.holds else summary(plan)


def _cut_list(plan: CutPlan, show: words.Show, width: int) -> Rows:
    yield from paragraph(
        f"Cut list. Every mark is pulled from the end it names, never from mark to mark{_mark_both(plan)}",
        width,
    )
    for piece in plan.planned:
        if not isinstance(piece, Piece) or plan.stop(piece):
            text = _stopped(piece, plan) or _in_short(piece, show)
            yield from hung(labelled(plan.result_of(piece)), [text], width)
            continue
        yield f"  [{MARKS[piece.result]}] {piece.result.value:<20} {piece.name.upper()}"
        for step, text in steps(piece, plan, show):
            yield from hung(f"      {step}", [text], width)


def _mark_both(plan: CutPlan) -> str:
    """What the saw takes away is the end that the other piece's mark is pulled from."""
    pairs = [
        f"upper and lower {stock}"
        for stock in STOCKS
        if sum(piece.spec.stock == stock and piece.state.now is None for piece in plan.pieces) > 1
    ]
    return f". Mark {' and '.join(pairs)} before either is sawn" if pairs and not plan.holds else ""


def _stopped(piece: Planned, plan: CutPlan) -> str:
    """No mark and no length is shown for a piece that must not be cut as planned."""
    stop = plan.stop(piece)
    name = piece.name if isinstance(piece, Piece) else piece.what
    return f"{name}: DO NOT CUT{'' if stop == HELD else ':'} {stop}" if stop else ""


def _in_short(piece: Planned, show: words.Show) -> str:
    if not isinstance(piece, Piece):
        return f"{piece.what}: {piece.reason}"
    first = f"first cut {at_least(piece.first_cut_mm, show)}, " if piece.state.stage == "not cut" else ""
    if piece.state.at_its_end:
        return f"{piece.name}: cut to {as_read(piece.state.length_mm, show)} from the {piece.spec.read_from}, as read"
    odd = "".join(f"; {limit.reason}" for limit in piece.limits if isinstance(limit, NotKnown) and not piece.doubt)
    return f"{piece.name}: {first}finished {finished(piece, show)} from the {piece.spec.read_from}{odd}"


def _limits(plan: CutPlan, show: words.Show, width: int) -> Rows:
    """What does not keep in full; what keeps in a line, each value in the JSON."""
    yield "Limits, worst first"
    for limit in plan.limits:
        if limit.result is not LimitResult.KEEPS:
            yield from hung(labelled(limit.result), [f"{limit.what}: {value(limit, show)}"], width)
    kept = Counter(SUBJECT.split(limit.what)[0] for limit in plan.limits if limit.result is LimitResult.KEEPS)
    if kept:
        named = ", ".join(f"{what} {count}" if count > 1 else what for what, count in kept.items())
        yield from hung(labelled(LimitResult.KEEPS), [f"{kept.total()} limits: {named}"], width)


def _shorts(plan: CutPlan, show: words.Show) -> list[str]:
    return [
        f"{short.piece.name}, {both(short.short_mm, show)} short of the plan: {way.words}"
        for short in plan.shorts
        for way in short.ways
    ]


def _place(plan: CutPlan, show: words.Show) -> Iterator[str]:
    moved = ", ".join(f"{name} {by:+.0f}" for name, by in plan.moved_by.items() if by)
    if moved:
        yield f"each mm the unit goes toward the rack changes the finished lengths by (mm): {moved}"
    yield from _nearest(plan, show)


def _nearest(plan: CutPlan, show: words.Show) -> Iterator[str]:
    for place in plan.nearest:
        if not isinstance(place, NearestPlace):
            yield place.reason
            continue
        way = "rack" if place.move_mm > 0 else "wheel"
        also = f"; {place.also}" if place.also else ""
        yield (
            f"nearest place that keeps every zone, spreads included: input face {near(place.set_mm, show)} from the "
            f"{words.mark(place.mark)}, {near(abs(place.move_mm), show)} toward the {way}{also}. Judge the gaps "
            "again there"
        )


def _stocks(plan: CutPlan, show: words.Show) -> Iterator[str]:
    for account in plan.accounts:
        if isinstance(account, Account):
            kept = " + ".join(f"{name} {both(mm, show)}" for name, mm in account.kept_mm.items())
            yield (
                f"{account.stock}, worked out: {kept} + falls off {both(account.removed_mm, show)} + kerfs "
                f"{account.kerfs_mm:.1f} mm = {both(account.original.mm, show)}, what it was"
            )
        else:
            yield f"{account.what}: {account.reason}"
    least = [f"{new.piece} {at_least(new.least_mm, show)}" for new in plan.new_stocks if not isinstance(new, NotKnown)]
    if least:
        yield f"should a piece have to be made new, at least: {', '.join(least)}"


def _holes(plan: CutPlan, show: words.Show) -> Iterator[str]:
    pieces = {piece.name: piece for piece in plan.pieces}
    for hole in plan.holes:
        piece = pieces[hole.piece]
        if plan.stop(piece) or not hole.may_be_made:
            yield f"{hole.piece}, {hole.what}: no mark before the piece is settled"
            continue
        yield (
            f"{hole.piece}, {hole.what}: {near(hole.mark_mm, show)} from the {piece.spec.read_from}, "
            f"{near(hole.from_end.mm, show)} from the cut end, {words.spread(hole.from_end.rss_mm)}; {hole.how}"
        )
    if not isinstance(plan.straight, NotKnown):
        yield f"wheel off straight by at most {degrees(plan.straight.off_rad):.1f} deg: {plan.straight.words}"


def _firewall(plan: CutPlan, show: words.Show) -> Iterator[str]:
    hole = plan.opening
    if not isinstance(hole, Opening):
        return
    yield (
        f"{opening_words(hole, show)}; long axis {words.spread(hole.major.rss_mm)}; {hole.clearance_mm:g} mm all "
        f"round, square to the column; column {degrees(hole.tilt_rad):.1f} deg off square. Edge guard all round"
    )
    for number, (up, right) in enumerate(hole.holes_mm, 1):
        sides = (
            f"{near(abs(up), show)} {'up' if up >= 0 else 'down'}, "
            f"{near(abs(right), show)} {'right' if right >= 0 else 'left'}"
        )
        yield f"hole {number}: {sides} of the opening's centre, along the sheet"
    for fold in hole.folded:
        yield (
            f"over the fold: {at_least(fold.below_fold_mm, show)} up to it, {at_least(fold.beyond_fold_mm, show)} "
            f"beyond it, {at_least(fold.width_at_fold_mm, show)} wide there, all along the sheet"
        )


def _closings(plan: CutPlan) -> Iterator[str]:
    """Each stock laid together from the printed lengths, the unit at its place, every gap in its band."""
    for closing in plan.closings:
        before, after = f"{closing.before_mm:.2f} mm", f"{closing.after_mm:.2f} mm"
        unit = f"; unit off its place by {closing.unit_off_mm:+.2f} mm" if abs(closing.unit_off_mm) > 0.005 else ""
        yield (
            f"{closing.what}: {before} and {after}, off by {abs(closing.off_mm):.2f} mm{unit} (from the printed "
            "lengths, the gaps in their bands)"
        )
