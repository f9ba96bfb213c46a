"""The limits of the shaft, each held against its value and spread: lengths, overlap, collapse, draw-off, holding on.

Millimetres. A check that lacks a reading is not known, with the key.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.job.tools import TOOLS
from fitcheck.limits import LimitResult, NotKnown, known
from fitcheck.readings.survey import give_or_take
from fitcheck.shaft import lengths
from fitcheck.shaft.agreement import agreement
from fitcheck.shaft.holding import retention
from fitcheck.shaft.lengths import BarLength
from fitcheck.shaft.limits import COLLAPSE_MM, RIPPLE_MOST_PCT, Held
from fitcheck.shaft.results import Check, Evenness, PieceRow
from fitcheck.shaft.rows import Spreads, moves_mm
from fitcheck.shaft.setup import Setup
from fitcheck.shaft.stands import own_joint_rad

OWN_JOINT = (
    "nothing, but the column's own joint at its tilt's pivot bends {:.0f} deg and makes {:.1f} % by itself, {:.1f} % "
    "with the shaft's where their yokes stand badly, and no reading says how they stand: feel the wheel round at both "
    "ends of the tilt, or tilt it less (up, down); say straight_through = true only where the pivot has no joint"
)
NEARER = (
    "one joint's angle outweighs the others; bring the angles nearer to each other: set the first joint elsewhere "
    "along the column, move or turn the box, or put in a third joint with a support bearing"
)


def checks(
    setup: Setup, pieces: tuple[PieceRow | NotKnown, ...], even: Evenness | NotKnown, spreads: Spreads
) -> Iterator[Check]:
    """Every limit of the shaft but the joints' angles and the gaps."""
    yield from agreement(setup, spreads)
    if isinstance(setup.carrying, NotKnown):
        yield Check.waiting("column_moves", setup.carrying.what, setup.carrying)
    yield _ripple(setup, even)
    for i, row in enumerate(pieces):
        yield from _piece(setup, i, row)
    yield _collapse(setup, pieces)
    yield _draw_off(setup, pieces)
    yield from _box_input(setup)
    yield from _support(setup)
    yield from retention(setup)


def _ripple(setup: Setup, even: Evenness | NotKnown) -> Check:
    what = "ripple as phased, at the worst stand of column and box"
    if isinstance(even, NotKnown):
        return Check.waiting("ripple", what, even)
    held = Held(even.worst_pct, even.spread.most, high=RIPPLE_MOST_PCT)
    if held.result is LimitResult.OUTSIDE:
        return Check.of("ripple", what, held, "%", _cure(even))
    if isinstance(setup.carrying, NotKnown):
        return Check.waiting("ripple", what, setup.carrying)
    own = 0.0 if isinstance(setup.adjusted, NotKnown) else own_joint_rad(setup.adjusted, setup.carrying)
    if own > 0:
        return _with_own_joint(what, even, own)
    return Check.of("ripple", what, held, "%", "" if held.result is LimitResult.KEEPS else _cure(even))


def _with_own_joint(what: str, even: Evenness, own: float) -> Check:
    """With a joint of the column's own at its tilt's pivot, whose yokes may stand anyhow against those of the shaft.

    The speeds of two in a row multiply, so that the fastest is at most the product of both; the slowest is its inverse.
    """
    share = even.worst_pct / 100
    fastest = (share + np.sqrt(share**2 + 4)) / 2 / np.cos(own)
    held = Held(float(100 * (fastest - 1 / fastest)), even.spread.most, high=RIPPLE_MOST_PCT)
    if held.result is LimitResult.KEEPS:
        return Check.of("ripple", what, held, "%", "with the column's own joint at its tilt, however its yokes stand")
    alone = 100 * np.sin(own) * np.tan(own)
    measure = OWN_JOINT.format(np.degrees(own), alone, held.value)
    return Check.waiting(
        "ripple", what, NotKnown(what, ("shaft.upper.straight_through", "groups.column.tilt"), measure)
    )


def _cure(even: Evenness) -> str:
    """What takes the ripple down, in words to act on; the ends first, for that is the smaller work."""
    if even.remedies:
        words, left = even.remedies[0]
        return f"it takes {words}; that leaves {left:.1f} %"
    if even.least_pct > RIPPLE_MOST_PCT:
        return f"no phase leaves less than {even.least_pct:.1f} %: {NEARER}"
    return "no other tooth is better; set the yokes by a finer paint mark, and measure the joints' places again"


def _piece(setup: Setup, index: int, row: PieceRow | NotKnown) -> Iterator[Check]:
    key = f"pieces[{index + 1}]"
    if isinstance(row, NotKnown):
        yield Check.waiting(f"{key}.length", f"{row.what}: length", row)
        return
    part = setup.shaft.pieces[index]
    yield from _stays(setup, index, row)
    if row.halves is not None:
        yield from _halves(key, part.name, row)
    elif part.long is not None:
        yield _made(key, part.name, part.long.mm, row)
    else:
        length = row.length
        held = Held(length.finished, row.spread.most, length.low, length.high)
        check = Check.of(f"{key}.length", f"{part.name}: finished length within its band", held)
        yield _trimmed(check, length) if check.result is LimitResult.TOO_CLOSE else check


def _trimmed(check: Check, length: BarLength) -> Check:
    """A bar not cut yet, its readings too coarse: the first cut is long by all they may be off, so it is trimmed."""
    note = (
        f"cut it long first ({length.first:.1f} mm), hang both joints, and take its last length off the car, from the "
        "inner end of one bore to that of the other: last trim to that length or up to "
        f"{length.high - length.low:.1f} mm less, never more"
    )
    return replace(check, result=LimitResult.SET_ON_CAR, note=note)


def _stays(setup: Setup, index: int, row: PieceRow) -> Iterator[Check]:
    """Where nothing slides in it, a piece must not be asked to change its length."""
    if row.halves is not None:
        return
    shorter, longer = moves_mm(setup, index, row.at_stands)
    if longer - shorter > 0:
        held = Held(max(longer, -shorter), 0.0, high=0.0)
        what = f"{row.name}: how far the distance between its joints changes, and nothing slides in it"
        note = "it needs a telescoping shaft here, or what moves held: it would be pulled off, or driven into a cross"
        yield Check.of(f"pieces[{index + 1}].stays", what, held, "mm", note)


def _made(key: str, name: str, long: float, row: PieceRow) -> Check:
    held = Held(long, row.spread.most, row.length.low, row.length.high)
    note = ""
    if long > row.length.high:
        note = f"stands proud by {long - row.length.high:.1f} mm: it strikes the cross and binds at part of a turn"
    elif long < row.length.low:
        note = f"short by {row.length.low - long:.1f} mm: too little engagement; no spacer, no stretch, no weld"
    return Check.of(f"{key}.length", f"{name}: length as made", held, "mm", note)


def _halves(key: str, name: str, row: PieceRow) -> Iterator[Check]:
    slide = row.halves
    assert slide is not None  # the caller has looked
    held = Held(slide.overlap_longest_mm, row.spread.most, low=slide.overlap_needed_mm)
    note = "" if held.result is not LimitResult.OUTSIDE else "the halves come apart too soon"
    yield Check.of(f"{key}.overlap", f"{name}: overlap at its longest", held, "mm", note)


def _collapse(setup: Setup, pieces: tuple[PieceRow | NotKnown, ...]) -> Check:
    what = "collapse left in the shaft at its shortest (the column's own stroke is not counted)"
    stated = setup.shaft.collapse
    wanted = COLLAPSE_MM if stated is None else stated.mm
    waiting = next((row for row in pieces if isinstance(row, NotKnown)), None)
    if waiting is not None:
        return Check.waiting("collapse", what, waiting)
    slides = [row for row in pieces if isinstance(row, PieceRow) and row.halves is not None]
    left = float(sum(row.halves.collapse_mm for row in slides if row.halves is not None))
    spread = float(np.sqrt(sum(row.spread.most**2 for row in slides)))
    note = "nothing telescopes" if not slides else f"until {'; '.join(r.halves.stops for r in slides if r.halves)}"
    return Check.of("collapse", what, Held(left, spread, low=wanted), "mm", note)


@dataclass(frozen=True)
class Way:
    """One way to draw the shaft off: how far it goes, what comes off by then, how sure, and how in words."""

    goes_mm: float
    needed_mm: float
    spread_mm: float
    how: str = ""


def _draw_off(setup: Setup, pieces: tuple[PieceRow | NotKnown, ...]) -> Check:
    what = "draw-off: how far it shuts to come off a joint"
    waiting = next((row for row in pieces if isinstance(row, NotKnown)), None)
    if waiting is not None:
        return Check.waiting("draw_off", what, waiting)
    ways = list(_ways_off(setup, [row for row in pieces if isinstance(row, PieceRow)]))
    if not ways:
        needed = min(lengths.draw_off_needed_mm(setup.shaft, i) for i in range(len(pieces)))
        ways = [Way(0.0, needed, 0.0)]
    best = max(ways, key=lambda way: way.goes_mm - way.needed_mm)
    held = Held(best.goes_mm, best.spread_mm, low=best.needed_mm)
    stuck = "as it is the shaft cannot be drawn off any joint for service"
    return Check.of("draw_off", what, held, "mm", stuck if held.result is LimitResult.OUTSIDE else best.how)


def _ways_off(setup: Setup, rows: list[PieceRow]) -> Iterator[Way]:
    for i, (part, row) in enumerate(zip(setup.shaft.pieces, rows, strict=True)):
        needed = lengths.draw_off_needed_mm(setup.shaft, i)
        if row.halves is not None:
            yield Way(row.halves.shuts_mm, needed, row.spread.most)
        if part.drawn_off is not None:
            yield Way(part.drawn_off.mm, needed, 0.0, part.drawn_off_by or "")


def _box_input(setup: Setup) -> Iterator[Check]:
    """Whether the box's input fills the last joint's bore, but for what it may stay short."""
    given, last = setup.shaft.lower.sticks_out, len(setup.shaft.joints) - 1
    if given is None:
        return
    what = "box input: how much of it sticks out for the last joint's bore"
    place = known(what, lambda: lengths.seat(setup.shaft.joints[last], last, "rack"))
    if isinstance(place, NotKnown):
        yield Check.waiting("input", what, place)
        return
    held = Held(given.mm, give_or_take(given, TOOLS["caliper"]), low=place.hub.bore.mm - place.short_mm)
    left = place.hub.bore.mm - given.mm
    note = f"{left:.1f} mm of the bore stay empty: another joint or another input; no spacer, no weld"
    yield Check.of("input", what, held, "mm", note if held.result is LimitResult.OUTSIDE else "")


def _support(setup: Setup) -> Iterator[Check]:
    counted = sum(2 if joint.counts_as == "two" else 1 for joint in setup.shaft.joints)
    support, what = setup.shaft.support, "support bearing: the shaft through it kept from floating"
    if counted > 2 and len(setup.shaft.joints) == 2:
        note = "its makers count these as three joints or more; they need a bearing between them"
        yield Check("support", "joints without a support bearing", LimitResult.OUTSIDE, note=note)
    if len(setup.shaft.joints) == 3 and support is not None:
        result = LimitResult.KEEPS if support.float_held else LimitResult.OUTSIDE
        note = "" if support.float_held else "hold its end float with collars or rings, then say float_held = true"
        yield Check("float", what, result, note=note)
