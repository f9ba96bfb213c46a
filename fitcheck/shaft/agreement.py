"""Readings that say one thing twice, or places that cannot both be: held against each other with their spreads.

Millimetres, car frame. Readings apart by more than both their spreads make what rests on them not known.
"""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from fitcheck.geometry.frames import Vector
from fitcheck.limits import LimitResult, NotKnown, known
from fitcheck.shaft.joints import half_turn
from fitcheck.shaft.limits import SHORT_MM, Held
from fitcheck.shaft.results import Bend, Check, ShaftChapter
from fitcheck.shaft.rows import PAINT_MARK, Spreads, agrees
from fitcheck.shaft.setup import Setup

PLACES = ("dowel", "first_off", "last_off")
HOLDS_ALWAYS = ("support", "float", "joints[")  # what these say rests on no place
SLID_ON = (
    "slide the joint on by hand until the shaft's end is flush with the inner end of its bore or up to {} mm short of "
    "it, never past it; only then mark the dimple"
)
COARSE_MM = 3.0  # of spread beyond the band that a joint slid on by hand may land off
TOO_COARSE = "too coarse to set the joint by: take the shaft's end and the joint's place again, by rule from one mark"
FIND_IT = "disagree by more than both their spreads: find the reading, cut nothing"


def agreement(setup: Setup, spreads: Spreads) -> Iterator[Check]:
    """Every reading that another one of the job can contradict."""
    yield from _dowel(setup, spreads)
    yield from _off_axes(setup, spreads)
    yield from _column_end(setup, spreads)
    yield from _beyond_unit(setup, spreads)
    for i in range(len(setup.shaft.pieces)):
        yield from _paint_mark(setup, i)


def doubted(found: ShaftChapter) -> ShaftChapter:
    """The chapter with whatever rests on places that contradict each other not known; as it is where none do."""
    if not any(check.key in PLACES and check.result is LimitResult.NOT_KNOWN for check in found.checks):
        return found
    joints = tuple(replace(row, bend=_bend_doubted(row.bend)) for row in found.joints)
    checks = tuple(check if _holds_always(check) else _check_doubted(check) for check in found.checks)
    return ShaftChapter(**{**vars(found), "joints": joints, "checks": checks})


def _bend_doubted(bend: Bend | NotKnown) -> Bend | NotKnown:
    return bend if isinstance(bend, NotKnown) else replace(bend, result=LimitResult.NOT_KNOWN)


def _holds_always(check: Check) -> bool:
    return check.key in PLACES or check.missing is not None or check.key.startswith(HOLDS_ALWAYS)


def _check_doubted(check: Check) -> Check:
    return replace(check, result=LimitResult.NOT_KNOWN, note="rests on readings that disagree")


def _dowel(setup: Setup, spreads: Spreads) -> Iterator[Check]:
    spread = spreads.get("dowel less readings")
    if setup.shaft.dowel is None or spread is None:
        return
    first_to_last = float(np.linalg.norm(setup.ends.last_centre() - setup.ends.first_centre()))
    off = setup.shaft.dowel.mm - first_to_last
    same = agrees(setup, spreads)
    note = "" if same else f"dowel and readings {FIND_IT}"
    result = LimitResult.KEEPS if same else LimitResult.NOT_KNOWN
    what = "dowel against the readings, first to last joint"
    yield Check("dowel", what, result, "mm", off, spread.most, -spread.most, spread.most, note)


def _off_axes(setup: Setup, spreads: Spreads) -> Iterator[Check]:
    """The joints' centres where they were measured as places and must lie on the column's axis, on the box's."""
    ends, shaft = setup.ends, setup.shaft
    for key, off, given, what in (
        ("first off", ends.first_off_axis, shaft.upper.joint_at, "first joint's centre off the column's axis"),
        ("last off", ends.last_off_tube, shaft.lower.tube, "last joint's centre off the axis of the tube on the input"),
    ):
        arm = known(what, off)
        if given is not None and not isinstance(arm, NotKnown):
            yield _off(key.replace(" ", "_"), what, arm, np.array([spreads[f"{key} {i}"].most for i in range(3)]))


def _off(key: str, what: str, arm: Vector, spread: Vector) -> Check:
    off = float(np.linalg.norm(arm))
    allowed = float(np.linalg.norm(arm * spread)) / off if off > 0 else float(spread.max())
    same = off <= allowed
    note = "it is taken on the axis" if same else f"the two readings {FIND_IT}"
    return Check(
        key, what, LimitResult.KEEPS if same else LimitResult.NOT_KNOWN, "mm", off, allowed, high=allowed, note=note
    )


def _column_end(setup: Setup, spreads: Spreads) -> Iterator[Check]:
    short = known("column's end", setup.stub_short_mm)
    if not isinstance(short, NotKnown):
        what = "column's shaft in the first joint, short of its bore's inner end"
        yield held_stub("stub", what, setup, short, spreads["stub short"].most)


def against_cuts(
    found: ShaftChapter | None, end: tuple[float, float] | None, doubt: NotKnown | None = None
) -> ShaftChapter | None:
    """The chapter with the end of the cut list's shaft held against it too. `end`: mm along from the hub seat, spread.

    `doubt`: readings behind that end that contradict each other; it is not known then. As it is where there is no
    shaft, no cut list, or either is not known so far.
    """
    if found is None or end is None or isinstance(found.stub, NotKnown):
        return found
    what = "column's shaft as the cut list leaves it, short of the first joint's bore's inner end"
    if doubt is not None:
        return ShaftChapter(**{**vars(found), "checks": (*found.checks, Check.waiting("stub_cut", what, doubt))})
    own = found.spreads["first along"].most
    spread = float(np.hypot(own, end[1]))
    check = held_stub("stub_cut", what, found.setup, found.stub[1] - end[0], spread)
    if check.result is LimitResult.SET_ON_CAR and any(other.key == "stub" for other in found.set_on_car):
        check = replace(check, note="set by hand in the same way")
    return doubted(ShaftChapter(**{**vars(found), "checks": (*found.checks, check)}))


def held_stub(key: str, what: str, setup: Setup, short: float, spread: float) -> Check:
    """How far short of the inner end the shaft stays, against what it may.

    Inside its band by less than the spread it is set on the car: the joint is slid on by hand until it is right, and
    the spread says only where its centre then lands, which angles and lengths count. Outside by less than the spread,
    or the spread so wide that the joint may land nowhere near its place: too close.
    """
    hub = setup.shaft.joints[0].wheel_hub
    assert hub is not None  # its inner end was asked for already
    most = SHORT_MM if hub.short_by is None else hub.short_by.mm
    held = Held(short, spread, low=0.0, high=most)
    off = max(-short, short - most)
    result = held.result if off <= 0 or off > spread else LimitResult.TOO_CLOSE
    note = ""
    if result is LimitResult.TOO_CLOSE and off <= 0:
        coarse = spread > most + COARSE_MM
        result, note = (result, TOO_COARSE) if coarse else (LimitResult.SET_ON_CAR, SLID_ON.format(f"{most:g}"))
    elif off > 0 and short < 0:
        note = f"it would stand {-short:.1f} mm proud and strike the cross: end it sooner, or set the joint lower"
    elif off > 0:
        left = max(0.0, hub.bore.mm - short)
        note = f"only {left:.1f} mm of it in the bore: no spacer, no weld; set the joint {off:.1f} mm nearer the wheel"
    return Check(key, what, result, "mm", short, spread, held.low, held.high, note)


def _beyond_unit(setup: Setup, spreads: Spreads) -> Iterator[Check]:
    beyond = known("first joint", setup.hub_beyond_unit_mm)
    if isinstance(beyond, NotKnown):
        return
    held = Held(beyond, spreads["hub beyond unit"].most, low=0.0)
    note = "" if held.result is LimitResult.KEEPS else "the joint would sit in the unit: measure its place again"
    yield Check.of("beyond_unit", "first joint's hub beyond the unit's output face", held, "mm", note)


def _paint_mark(setup: Setup, piece: int) -> Iterator[Check]:
    """The paint mark against what the parts' own figures and the teeth allow."""
    part, made = setup.shaft.pieces[piece], setup.as_made(piece)
    reach = known(part.name, lambda: setup.reach(piece))
    if part.at_mark is None or made is None or isinstance(reach, NotKnown) or reach.free:
        return
    allowed_phases = [half_turn(made + step.phase - setup.mark(piece)) for step in reach.steps]
    off = min(abs(half_turn(part.at_mark.rad - phase)) for phase in allowed_phases)
    spread = float(np.degrees(PAINT_MARK if part.at_mark.spread_rad is None else part.at_mark.spread_rad))
    both = float(np.hypot(spread, np.degrees(_own_spread(setup, piece))))
    off_deg = float(np.degrees(off))
    same = off_deg <= both
    note = "" if same else f"paint mark and the parts' figures {FIND_IT}"
    what = f"{part.name}: paint mark against what its teeth and its parts' figures allow"
    result = LimitResult.KEEPS if same else LimitResult.NOT_KNOWN
    yield Check(f"pieces[{piece + 1}].at_mark", what, result, "deg", off_deg, both, high=both, note=note)


def _own_spread(setup: Setup, piece: int) -> float:
    hubs = setup.shaft.joints[piece].rack_hub, setup.shaft.joints[piece + 1].wheel_hub
    turns = [setup.shaft.pieces[piece].ends_turned, *(None if hub is None else hub.turned for hub in hubs)]
    spreads = [PAINT_MARK if turn.spread_rad is None else turn.spread_rad for turn in turns if turn is not None]
    return float(np.sqrt(sum(spread**2 for spread in spreads)))
