"""Lengths, bands and limits of the cut list in words: in the job's own unit first, the other beside it."""

from math import ceil, inf, pi

from fitcheck.cuts.chain import Stack
from fitcheck.cuts.firewall import Opening
from fitcheck.cuts.limits import Found, Limit, LimitResult, NotKnown
from fitcheck.cuts.pieces import Piece
from fitcheck.cuts.plan import CutPlan
from fitcheck.job.angles import degrees
from fitcheck.job.lengths import MM_PER_INCH, inches_text, round_down_32, round_up_32
from fitcheck.report import tape, words
from fitcheck.report.rows import label

MARKS = {LimitResult.OUTSIDE: "X", LimitResult.NOT_KNOWN: "?", LimitResult.TOO_CLOSE: "~", LimitResult.KEEPS: "+"}
SHARES_SHOWN = 3
ROUND_MM = 0.5  # what the tape shows: an opening longer than wide by less is round
EVEN = 1e-6


def both(mm: float, show: words.Show) -> str:
    """A length that is read or worked out, in mm and to 1/32 in, the job's own first; what is cut: `report.tape`."""
    inches, plain = inches_text(mm), f"{mm:.1f} mm"
    return f"{inches} ({plain})" if show == "in" else f"{plain} ({inches})"


def as_read(mm: float, show: words.Show) -> str:
    """A length that was read, in the unit in which it comes out even: as it was typed, so that it has one figure.

    Where it is even in both, or in neither, in both.
    """
    in_mm, in_inches = (abs(mm / step - round(mm / step)) < EVEN for step in (0.1, float(MM_PER_INCH / 64)))
    if in_mm == in_inches:
        return both(mm, show)
    return f"{mm:.1f} mm".replace(".0 mm", " mm") if in_mm else inches_text(mm, 64)


def finished(piece: Piece, show: words.Show) -> str:
    """How long a piece is to be in the end: by tape where its band leaves room for that, else by caliper."""
    if piece.state.stage != "not cut":
        return tape.at_least(piece.state.length_mm, show)
    return tape.finished(piece.state.length_mm, piece.allowed.low_mm, piece.allowed.high_mm, show)


def place_of_mark(piece: Piece, plan: CutPlan, show: words.Show) -> str:
    """Where the first cut is marked: from the one end of the uncut stock; once that is sawn off, from its own end."""
    spec = piece.spec
    if plan.its_mark_is_gone(piece):
        return f"{tape.at_least(piece.first_cut_mm, show)} from the {spec.read_from}"
    return f"{tape.mark(piece.mark_mm, spec.way, show)} from the {spec.mark_from}"


def with_spread(stack: Stack, show: words.Show) -> str:
    """A length with its give or take."""
    return f"{both(stack.mm, show)} {words.spread(stack.rss_mm)}"


def sure(stack: Stack) -> str:
    """Spread and worst case, rounded up to a tenth."""
    return f"{words.spread(stack.rss_mm)}, worst case {ceil(stack.worst_mm * 10 - 1e-9) / 10:g} mm"


def shares(stack: Stack) -> str:
    """The largest shares of the spread; what is under one in a hundred is not named."""
    named = [share for share in stack.shares[:SHARES_SHOWN] if share.share >= 0.005]
    return ", ".join(f"{share.key} {share.share:.0%}" for share in named)


def value(limit: Found, show: words.Show) -> str:
    """A limit's value beside its band, and why where it does not keep."""
    if isinstance(limit, NotKnown) or not limit.band.said:
        return limit.reason
    said = f"{with_spread(limit.stack, show)}, to be {band(limit, show)} ({limit.band.said})"
    return said if limit.result is LimitResult.KEEPS else f"{said}: {limit.reason}"


def band(limit: Limit, show: words.Show) -> str:
    """The band's ends, as they were asked for; in inches rounded into it, so that what is shown keeps it."""
    low, high = limit.band.low_mm, limit.band.high_mm
    if high == inf:
        inches, plain = inches_text(round_up_32(low)), f"{ceil(low * 10 - 1e-9) / 10:.1f} mm"
        return f"at least {f'{inches} ({plain})' if show == 'in' else f'{plain} ({inches})'}"
    inside = round_up_32(low), round_down_32(high)
    plain = f"{low:.1f} to {high:.1f} mm"
    if not inside[0] < inside[1]:
        return f"{low:.2f} to {high:.2f} mm"
    inches = " to ".join(map(inches_text, inside))
    return f"{inches} ({plain})" if show == "in" else f"{plain} ({inches})"


def told(plan: CutPlan) -> str:
    """The result of the cuts in words; while something has to be settled first, that no cut is allowed."""
    return "no cut allowed yet" if plan.holds else plan.result.value


def turned(turn_rad: float) -> str:
    """How far the opening's long axis is turned off up the sheet, the short way: half a turn on it is the same one."""
    off = degrees((turn_rad + pi / 2) % pi - pi / 2)
    return f"{abs(off):.1f} deg {'clockwise' if off >= 0 else 'anticlockwise'} from"


def opening_words(hole: Opening, show: words.Show) -> str:
    """The opening's shape, size and lie; where its tilt does not show on the tape it is round and has no long axis."""
    major, minor, long = (tape.at_least(mm, show) for mm in (hole.major.mm, hole.minor_mm, hole.long_mm))
    if hole.long_mm - hole.minor_mm < ROUND_MM:
        return f"round, {long} across: its tilt draws it out by less than the tape shows"
    shape = f"round, {major} across" if hole.major.mm - hole.minor_mm < ROUND_MM else f"ellipse {major} by {minor}"
    lies = f"{turned(hole.turn_rad)} up the sheet, seen from the seat"
    return f"{shape}, drawn out to {long} for the sheet's thickness; long axis {lies}"


def labelled(result: LimitResult) -> str:
    """Mark and word."""
    return label(MARKS[result], result.value)
