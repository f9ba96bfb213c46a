"""One piece of the cut list, step by step: first cut, line and trial fit, last cut, how it sits in the unit."""

from collections.abc import Iterator

from fitcheck.cuts.chain import Stack
from fitcheck.cuts.limits import LimitResult, NotKnown
from fitcheck.cuts.pieces import Piece
from fitcheck.cuts.plan import CutPlan
from fitcheck.cuts.trial import FirstCut, Tried
from fitcheck.report.cuts_words import as_read, both, finished, place_of_mark, shares, sure, with_spread
from fitcheck.report.tape import at_least, at_most, near
from fitcheck.report.words import Show, spread

Step = tuple[str, str]
FACES = {
    "upper jacket": "the unit's input face",
    "upper shaft": "the unit's input face",
    "lower jacket": "the mouth of the unit's lower collar",
    "lower shaft": "the unit's output face",
}
A_TENTH_MM = 0.1
# Whichever of the two is longer stops first: tried together, the gap of one says nothing about the other.
ORDER = {
    "shaft": "Try it first, with the jacket out of the way",
    "jacket": "Try it after the shaft, with the shaft out",
}


def steps(piece: Piece, plan: CutPlan, show: Show) -> Iterator[Step]:
    """What is done to the piece, in order; a cut that is made has no mark any more."""
    state = piece.state
    odd = piece.first_cut_in_doubt
    yield "first cut", _first_cut(piece, plan, show) + (f". {odd[0].upper()}{odd[1:]}" if odd else "")
    if odd:
        return
    if state.stage == "not cut":
        yield "line", _line(piece, plan, show)
    yield "trial fit", _trial(piece, plan, show)
    if state.stage == "finished":
        yield "cut", f"as read: {as_read(state.length_mm, show)}; planned {near(piece.length_mm, show)}"
    elif state.at_its_end:
        short = piece.length_mm - state.length_mm
        than = f", {both(short, show)} less than planned" if short > 0 else ""
        yield "last cut", f"none: it is {as_read(state.length_mm, show)} long{than}; nothing more may come off"
    else:
        yield "last cut", _last_cut(piece, plan, show)
    yield "in the unit", f"{with_spread(piece.inside, show)} in, {with_spread(piece.left, show)} left before the bottom"
    if state.at_its_end:
        return
    yield "how sure", f"length by readings alone {sure(piece.needed)}: {shares(piece.needed)}"
    if piece.straight_result is not LimitResult.KEEPS and state.stage == "not cut":
        yield "", f"do not cut it straight to length, without the trial fit: {piece.straight_result.value}"


def _first_cut(piece: Piece, plan: CutPlan, show: Show) -> str:
    kerf, spec, now = plan.saw.kerf, piece.spec, piece.state.now
    if now is not None:
        read = f": {as_read(now.mm, show)} from the {spec.read_from}, as read"
        return "made" if piece.state.stage == "finished" else f"made{read}"
    waste = "kerf not known" if isinstance(kerf, NotKnown) else f"kerf {kerf.mm:.1f} mm, all in the waste"
    gone = plan.its_mark_is_gone(piece)
    side = "beyond" if spec.way > 0 or gone else "short of"
    leaves = "" if gone else f". It leaves {at_least(piece.first_cut_mm, show)} from the {spec.read_from}"
    return (
        f"mark {place_of_mark(piece, plan, show)}, saw {side} the mark ({waste}); keep the side toward the "
        f"{spec.read_from}{leaves}"
    )


def _line(piece: Piece, plan: CutPlan, show: Show) -> str:
    line = piece.spec.line(plan.chain).mm
    return f"scribe one round it, {near(line, show)} from the {piece.spec.read_from}: there {FACES[piece.name]} belongs"


def _trial(piece: Piece, plan: CutPlan, show: Show) -> str:
    state, face, done = piece.state, FACES[piece.name], f"cuts.done.{piece.spec.key}"
    if isinstance(state, Tried):
        return f"{_found(state, show)}. {state.disagreement or 'The two agree'}"
    if state.stage == "finished":
        return f"done; {state.disagreement}" if state.disagreement else "done"
    if state.at_its_end and piece.result is LimitResult.OUTSIDE:
        return "not now: as it was read it is too short for its bands; what can still be done is told below"
    if state.at_its_end:
        return (
            f"set {face} on the line and read with clay what is left before the bottom; enter it in {done}.end_gap "
            '(and mating_gap = "0 mm")'
        )
    push = f"{ORDER[piece.spec.stock]}; push it in by hand until it stops, never driven. Read from the line to {face}"
    if isinstance(state, FirstCut):
        return f"{push}; {_expected(state.predicted, show)}. {_enter(done)}"
    return f"{push}; {_expected(piece.expected, show)}. {_trim_by_it(piece, show)}"


def _expected(gap: Stack, show: Show) -> str:
    """What the tape should read at the trial fit."""
    return f"expect {with_spread(gap, show)}" if gap.mm > 0 else "expect it to come to its line before it stops"


def _trim_by_it(piece: Piece, show: Show) -> str:
    enter = f"enter cuts.done.{piece.spec.key}.first_cut and .mating_gap, and fitcheck cuts tells the trim"
    if not piece.expected.mm > 0:
        return enter[0].upper() + enter[1:]
    by_plan, expected = at_most(piece.trim_mm, show), both(piece.expected.mm, show)
    return f"The trim is {by_plan}, plus what you read, less {expected}; {enter}"


def _enter(done: str) -> str:
    return (
        f'Enter what you read in {done}.mating_gap; where it comes to its line before it stops, "0 mm" there and, by '
        "clay, what is left before the bottom in end_gap"
    )


def _found(state: Tried, show: Show) -> str:
    step = "" if state.on_step else " (no 1/32 in step keeps the band: trim by caliper)"
    trim = f"trim {with_spread(state.trim, show)}{step}" if state.trim.mm > 0 else "nothing more may come off"
    found = f"{as_read(state.read.mm, show)} {spread(state.read.rss_mm)}"
    if state.by_clay:
        predicted = state.predicted.times(-1.0)
        read = f"it comes to its line; left before the bottom by clay {found}"
        return f"{read}, predicted {with_spread(predicted, show)}: {trim}"
    return f"gap read {found}, predicted {with_spread(state.predicted, show)}: {trim}"


def _last_cut(piece: Piece, plan: CutPlan, show: Show) -> str:
    state = piece.state
    off = state.length_mm - piece.needed.mm
    return (
        f"to {finished(piece, show)} from the {piece.spec.read_from}, square to {plan.saw.trim_square_mm:.1g} mm; "
        f"by the readings {piece.allowed.low_mm:.1f} to {piece.allowed.high_mm:.1f} mm, this is {_off_middle(off)} "
        f"their middle. Then enter cuts.done.{piece.spec.key}.cut, and end_gap by clay"
    )


def _off_middle(off_mm: float) -> str:
    if abs(off_mm) < A_TENTH_MM / 2:
        return "at"
    return f"{abs(off_mm):.1f} mm {'over' if off_mm > 0 else 'under'}"
