"""The cut list as plain text to take to the saw: every mark in mm and to 1/32 in, waste side, first and last cut."""

from collections.abc import Iterator
from math import ceil

from fitcheck.cuts.chain import Stack
from fitcheck.cuts.firewall import Opening
from fitcheck.cuts.limits import Found, Limit, LimitResult, NotKnown
from fitcheck.cuts.pieces import Piece, Planned
from fitcheck.cuts.place import NearestPlace
from fitcheck.cuts.plan import CutPlan
from fitcheck.cuts.stocks import Account
from fitcheck.cuts.trial import FirstCut, Tried
from fitcheck.job.angles import degrees
from fitcheck.job.lengths import inches_text, round_up_32
from fitcheck.report import words
from fitcheck.report.rows import WIDTH, bulleted, hung, label, paragraph

MARKS = {LimitResult.OUTSIDE: "X", LimitResult.NOT_KNOWN: "?", LimitResult.TOO_CLOSE: "~", LimitResult.KEEPS: "+"}
SHARES_SHOWN = 3
Rows = Iterator[str]


def cuts_text(plan: CutPlan, head: list[str], show: words.Show, width: int = WIDTH) -> str:
    """The whole chapter under `head`, lines that say whose job it is."""
    blocks = (
        head,
        paragraph(f"CUTS: {plan.result.value}. {summary(plan)}.", width),
        list(_cut_list(plan, show, width)),
        list(_limits(plan, show, width)),
        bulleted("Cut short: what can still be done", _shorts(plan, show), width),
        bulleted("Place of the unit", _place(plan, show), width),
        bulleted("What falls off, and new stock", _stocks(plan, show), width),
        bulleted("Dimples and bolts", _holes(plan, show), width),
        bulleted("Firewall", _firewall(plan, show), width),
        bulleted("The whole column, laid together again", _closings(plan), width),
        bulleted("Readings that contradict each other", [str(doubt) for doubt in plan.doubts], width),
        bulleted("Not looked at yet", [f"{one.what}: {one.reason}" for one in plan.not_yet], width),
        bulleted("Worked with", list(plan.remarks), width),
        bulleted("Cautions", list(words.CAUTIONS), width),
    )
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def cuts_rows(plan: CutPlan, show: words.Show, width: int = WIDTH) -> list[str]:
    """The chapter in short, for the whole verdict: a line a piece, and every limit that does not keep."""
    rows = paragraph(f"Cuts: {plan.result.value}. {summary(plan)}; the cut list is in: fitcheck cuts", width)
    for piece in plan.planned:
        rows += hung(_label(plan.result_of(piece)), [_stopped(piece, plan) or _in_short(piece, show)], width)
    for limit in plan.limits:
        if limit.result is not LimitResult.KEEPS and not isinstance(limit, NotKnown):
            rows += hung(_label(limit.result), [f"{limit.what}: {_value(limit, show)}"], width)
    return rows


def summary(plan: CutPlan) -> str:
    """How many limits have which result."""
    counts = [(sum(limit.result is result for limit in plan.limits), result) for result in LimitResult]
    return ", ".join(f"{count} {result.value}" for count, result in counts if count)


def both(mm: float, show: words.Show) -> str:
    """A length in mm and to 1/32 in, the job's own first."""
    inches, plain = inches_text(mm), f"{mm:.1f} mm"
    return f"{inches} ({plain})" if show == "in" else f"{plain} ({inches})"


def _at_least(mm: float, show: words.Show) -> str:
    """A size that may be more but never less, rounded up in both units."""
    inches, plain = inches_text(round_up_32(mm)), f"{ceil(mm * 10 - 1e-9) / 10:.1f} mm"
    return f"{inches} ({plain})" if show == "in" else f"{plain} ({inches})"


def sure(stack: Stack) -> str:
    """Spread and worst case, rounded up to a tenth."""
    return f"{words.spread(stack.rss_mm)}, worst case {ceil(stack.worst_mm * 10 - 1e-9) / 10:g} mm"


def shares(stack: Stack) -> str:
    """The largest shares of the spread."""
    return ", ".join(f"{share.key} {share.share:.0%}" for share in stack.shares[:SHARES_SHOWN])


def _cut_list(plan: CutPlan, show: words.Show, width: int) -> Rows:
    yield from paragraph(
        "Cut list. Every mark is pulled from one end of the uncut stock, never from mark to mark", width
    )
    for piece in plan.planned:
        if not isinstance(piece, Piece) or plan.stop(piece):
            text = _stopped(piece, plan) or _in_short(piece, show)
            yield from hung(_label(plan.result_of(piece)), [text], width)
            continue
        yield f"  [{MARKS[piece.result]}] {piece.result.value:<20} {piece.name.upper()}"
        for step, text in _steps(piece, plan, show):
            yield from hung(f"      {step}", [text], width)


def _stopped(piece: Planned, plan: CutPlan) -> str:
    """No mark and no length is shown for a piece that must not be cut as planned."""
    stop = plan.stop(piece)
    return f"{piece.name if isinstance(piece, Piece) else piece.what}: DO NOT CUT. {stop}" if stop else ""


def _steps(piece: Piece, plan: CutPlan, show: words.Show) -> Iterator[tuple[str, str]]:
    kerf, spec, state = plan.saw.kerf, piece.spec, piece.state
    waste = "kerf not known" if isinstance(kerf, NotKnown) else f"kerf {kerf.mm:.1f} mm, all in the waste"
    side = "beyond" if spec.way > 0 else "short of"
    yield (
        "first cut",
        f"mark {both(piece.mark_mm, show)} from the {spec.mark_from}, saw {side} the mark ({waste}); keep the side "
        f"toward the {spec.read_from}. It leaves {both(piece.first_cut_mm, show)} from the {spec.read_from}",
    )
    yield "trial fit", _trial(piece, show)
    if state.stage == "finished":
        yield "cut", f"as read: {both(state.length_mm, show)}; planned {both(piece.length_mm, show)}"
    else:
        off = state.length_mm - piece.needed.mm
        yield (
            "last cut",
            f"to {both(state.length_mm, show)} from the {spec.read_from}, square to {plan.saw.trim_square_mm:g} mm; "
            f"by the readings {piece.allowed.low_mm:.1f} to {piece.allowed.high_mm:.1f} mm, this is {off:+.2f} mm "
            "from their middle",
        )
    yield "in the unit", f"{_with_spread(piece.inside)} in, {_with_spread(piece.left)} left before the bottom"
    yield "how sure", f"length by readings alone {sure(piece.needed)}: {shares(piece.needed)}"
    if piece.straight_result is not LimitResult.KEEPS and state.stage == "not cut":
        yield "", f"cut straight to length, without the trial fit: {piece.straight_result.value}"


def _trial(piece: Piece, show: words.Show) -> str:
    state = piece.state
    if isinstance(state, Tried):
        step = "" if state.on_step else " (no 1/32 in step keeps the band: trim by caliper)"
        return (
            f"gap read {_with_spread(state.read)}, predicted {_with_spread(state.predicted)}: trim "
            f"{_with_spread(state.trim)}{step}. {state.disagreement or 'The two agree'}"
        )
    if isinstance(state, FirstCut):
        return (
            f"push it in by hand until it stops, never driven; expect the faces {_with_spread(state.predicted)} apart. "
            f"Enter what you read in cuts.done.{piece.spec.key}.mating_gap"
        )
    if state.stage == "finished":
        return f"done; {state.disagreement}" if state.disagreement else "done"
    return (
        f"push it in by hand until it stops, never driven; read the gap left open and trim by it (planned trim "
        f"{both(piece.trim_mm, show)})"
    )


def _with_spread(stack: Stack) -> str:
    return f"{stack.mm:.1f} mm {words.spread(stack.rss_mm)}"


def _in_short(piece: Planned, show: words.Show) -> str:
    if not isinstance(piece, Piece):
        return f"{piece.what}: {piece.reason}"
    first = f"first cut {both(piece.first_cut_mm, show)}, " if piece.state.stage == "not cut" else ""
    return f"{piece.name}: {first}finished {both(piece.state.length_mm, show)} from the {piece.spec.read_from}"


def _limits(plan: CutPlan, show: words.Show, width: int) -> Rows:
    yield "Limits, worst first"
    for limit in plan.limits:
        text = f"{limit.what}: {limit.reason if isinstance(limit, NotKnown) else _value(limit, show)}"
        yield from hung(_label(limit.result), [text], width)


def _value(limit: Found, show: words.Show) -> str:
    if isinstance(limit, NotKnown):
        return limit.reason
    if not limit.band.said:
        return limit.reason
    said = f"{_with_spread(limit.stack)}, to be {_band(limit)} ({limit.band.said})"
    return said if limit.result is LimitResult.KEEPS else f"{said}: {limit.reason}"


def _band(limit: Limit) -> str:
    low, high = limit.band.low_mm, limit.band.high_mm
    if high == float("inf"):
        return f"at least {low:.1f} mm"
    return f"{low:.4g} to {high:.4g} mm"


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
    for place in plan.nearest:
        if not isinstance(place, NearestPlace):
            yield place.reason
        elif place.move_mm:
            way = "rack" if place.move_mm > 0 else "wheel"
            yield (
                f"nearest place that keeps every zone, spreads included: input face {both(place.input_face_mm, show)} "
                f"from the hub seat, {both(abs(place.move_mm), show)} toward the {way}; judge the gaps again there"
            )


def _stocks(plan: CutPlan, show: words.Show) -> Iterator[str]:
    for account in plan.accounts:
        if isinstance(account, Account):
            kept = " + ".join(f"{name} {mm:.1f}" for name, mm in account.kept_mm.items())
            yield (
                f"{account.stock}: {kept} + falls off {account.removed_mm:.1f} + kerfs {account.kerfs_mm:.1f} = "
                f"{account.original.mm:.1f} mm, what it was"
            )
        else:
            yield f"{account.what}: {account.reason}"
    least = [f"{new.piece} {both(new.least_mm, show)}" for new in plan.new_stocks if not isinstance(new, NotKnown)]
    if least:
        yield f"should a piece have to be made new, at least: {', '.join(least)}"


def _holes(plan: CutPlan, show: words.Show) -> Iterator[str]:
    reads = {piece.name: piece.spec.read_from for piece in plan.pieces}
    for hole in plan.holes:
        yield (
            f"{hole.piece}, {hole.what}: {both(hole.mark_mm, show)} from the {reads[hole.piece]}, "
            f"{_with_spread(hole.from_end)} from the cut end; {hole.how}"
        )
    if not isinstance(plan.straight, NotKnown):
        yield f"wheel off straight by at most {degrees(plan.straight.off_rad):.1f} deg: {plan.straight.words}"


def _firewall(plan: CutPlan, show: words.Show) -> Iterator[str]:
    hole = plan.opening
    if not isinstance(hole, Opening):
        return
    yield (
        f"ellipse {_at_least(hole.major.mm, show)} by {_at_least(hole.minor_mm, show)}, {hole.clearance_mm:g} mm all "
        f"round, square to the column; long axis {words.spread(hole.major.rss_mm)}, drawn out to "
        f"{_at_least(hole.long_mm, show)} for the sheet's thickness, and {degrees(hole.turn_rad):.1f} deg clockwise "
        f"from up the sheet, seen from the seat; column {degrees(hole.tilt_rad):.1f} deg off square. Edge guard all "
        "round"
    )
    for number, (up, right) in enumerate(hole.holes_mm, 1):
        sides = (
            f"{abs(up):.1f} mm {'up' if up >= 0 else 'down'}, {abs(right):.1f} mm {'right' if right >= 0 else 'left'}"
        )
        yield f"hole {number}: {sides} of the opening's centre, along the sheet"
    for fold in hole.folded:
        yield (
            f"over the fold: {fold.below_fold_mm:.1f} mm up to it, {fold.beyond_fold_mm:.1f} mm beyond it, "
            f"{fold.width_at_fold_mm:.1f} mm wide there, all along the sheet"
        )


def _closings(plan: CutPlan) -> Iterator[str]:
    for closing in plan.closings:
        before, after = f"{closing.before_mm:.2f} mm", f"{closing.after_mm:.2f} mm"
        yield f"{closing.what}: {before} and {after}, off by {closing.off_mm:+.3f} mm"


def _label(result: LimitResult) -> str:
    return label(MARKS[result], result.value)
