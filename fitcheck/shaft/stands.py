"""How the column may stand, and where that puts the shaft's first joint: slid, tilted, adjusted by [groups.column].

Car frame, mm, rad. Tilt and slide of the shaft's own tables ([shaft.upper]) come before those of the column as a group.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import reduce
from itertools import product

import numpy as np

from fitcheck.errors import Missing
from fitcheck.geometry.frames import Frame
from fitcheck.job.angles import Angle
from fitcheck.job.shaft_ends import STUB_GAUGE_DEG, UpperEnd
from fitcheck.placement.adjusted import REACH, TILT, Adjustment

AT_PIVOT_MM = 20.0  # a first joint no farther below the pivot than this sits at it, and tilts with the column
STUB_GAUGE_RAD, ROUNDING = float(np.radians(STUB_GAUGE_DEG.spread)), 1e-9
PARTS = 16  # of each tilt, for how far apart the joints are on the way: half a degree and less
GROUP_WORDS = {
    TILT: ("column tilted fully up", "column tilted fully down"),
    REACH: ("column pulled fully out", "column pushed fully in"),
}
STRAIGHT_THROUGH = (
    "nothing, but the column tilts about a pivot above the first joint: say straight_through = true where its shaft "
    "runs straight through the pivot (its lower end then swings the other way), false where it has a joint of its own "
    "there"
)


@dataclass(frozen=True, eq=False)
class Stand:
    """How the column stands.

    `slid_mm`: its shaft toward the rack; `tilted` (rad): wheel up, by [shaft.upper]; `carried`: where the column's end
    is taken by [groups.column], None where it stays.
    """

    words: str = "as measured"
    slid_mm: float = 0.0
    tilted: float = 0.0
    carried: Frame | None = None


AS_MEASURED = Stand()
Option = tuple[str, Frame]


def counted(found: tuple[Adjustment, ...], upper: UpperEnd) -> tuple[Adjustment, ...]:
    """Those movements of the column as a group that [shaft.upper] does not tell of itself."""
    own = {TILT} if upper.tilt is not None else set()
    own |= {REACH} if upper.slides_out is not None or upper.slides_in is not None else set()
    return tuple(each for each in found if each.sway.name not in own)


def takes_along(found: tuple[Adjustment, ...], upper: UpperEnd, first_along_mm: float) -> tuple[Adjustment, ...]:
    """Those that carry the first joint, in the order they act; Missing where it is not said how the shaft tilts.

    A slide whose joint lies above the first joint leaves it: the column's own shaft slides within. A tilt about a pivot
    above it takes the end of a shaft that runs straight through, and leaves that of one with a joint at the pivot.
    """
    along = []
    for each in found:
        above = each.joint_mm < first_along_mm - AT_PIVOT_MM
        if above and each.sway.name == TILT and upper.straight_through is None:
            raise Missing(["shaft.upper.straight_through"], STRAIGHT_THROUGH)
        if not above or (each.sway.name == TILT and upper.straight_through):
            along.append(each)
    return tuple(along)


def stands(upper: UpperEnd, carrying: tuple[Adjustment, ...], parts: int = 1) -> tuple[Stand, ...]:
    """As measured, and every way the column may stand otherwise: each movement at either end, and all together.

    With `parts` each tilt stands in as many steps as well, from either end to where it was measured.
    """
    found = [
        Stand(", ".join(text for text in (slide, tilt, group) if text), slid, tilted, carried)
        for slide, slid in _slides(upper)
        for tilt, tilted in _tilts(upper, parts)
        for group, carried in _carried(carrying, parts)
    ]
    return (AS_MEASURED, *found[1:])


def _slides(upper: UpperEnd) -> Iterator[tuple[str, float]]:
    yield "", 0.0
    if upper.slides_out is not None and upper.slides_out.mm > 0:
        yield f"shaft slid {upper.slides_out.mm:g} mm toward the rack", upper.slides_out.mm
    if upper.slides_in is not None and upper.slides_in.mm > 0:
        yield f"shaft slid {upper.slides_in.mm:g} mm toward the wheel", -upper.slides_in.mm


def _tilts(upper: UpperEnd, parts: int) -> Iterator[tuple[str, float]]:
    yield "", 0.0
    if upper.tilt is not None:
        for words, end in (("wheel tilted up", upper.tilt.up.rad), ("wheel tilted down", -upper.tilt.down.rad)):
            yield from _steps(words, end, parts)


def _steps(words: str, end: float, parts: int) -> Iterator[tuple[str, float]]:
    """One end of a movement, then the steps on the way to it."""
    yield words, end
    for step in range(1, parts):
        yield f"{words.replace('fully ', '')} part of the way", end * step / parts


def _carried(carrying: tuple[Adjustment, ...], parts: int) -> Iterator[tuple[str, Frame | None]]:
    """Every mix of the group's movements; the one whose joint lies farther from the wheel carries the other."""
    for mix in product(*(tuple(_ends(each, parts)) for each in carrying)):
        frames = [frame for _, frame in mix if frame is not None]
        words = ", ".join(text for text, _ in mix if text)
        yield words, reduce(lambda inner, outer: outer @ inner, frames) if frames else None


def _ends(each: Adjustment, parts: int) -> Iterator[tuple[str, Frame | None]]:
    """As measured, and both ends of one movement with the spread of its reading; of a tilt the steps between, too."""
    yield "", None
    move = each.sway.move
    for words, at in zip(GROUP_WORDS[each.sway.name], (move.stop, move.start), strict=True):
        if at != 0:
            steps = _steps(words, at, parts if each.sway.name == TILT else 1)
            yield from ((text, move.frame(value)) for text, value in steps)


def own_joint_rad(found: tuple[Adjustment, ...], carrying: tuple[Adjustment, ...]) -> float:
    """Largest angle of a joint that the column has of its own at its tilt's pivot, straight as measured; 0: none."""
    tilts = [each.sway.move for each in found if each.sway.name == TILT and each not in carrying]
    return max((max(move.stop, -move.start) for move in tilts), default=0.0)


def contradiction(found: tuple[Adjustment, ...], upper: UpperEnd) -> str:
    """How the tilt of [shaft.upper] differs from that of [groups.column] by more than both may be off; "" if not."""
    own = upper.tilt
    for each in found:
        if own is None or each.sway.name != TILT:
            continue
        down, up = each.sway.stated
        move = each.sway.move
        for way, angle, other, beyond in (
            ("up", own.up, up, move.stop - up),
            ("down", own.down, -down, -move.start + down),
        ):
            both = float(np.hypot(_spread(angle), beyond)) + ROUNDING
            if not abs(angle.rad - other) <= both:
                return f"the wheel {way} by {np.degrees(angle.rad):.1f} deg and by {np.degrees(other):.1f} deg"
        if not abs(own.pivot_along.mm - each.joint_mm) <= AT_PIVOT_MM:
            return f"the pivot {own.pivot_along.mm:.0f} mm and {each.joint_mm:.0f} mm along"
    return ""


def _spread(angle: Angle) -> float:
    return STUB_GAUGE_RAD if angle.spread_rad is None else angle.spread_rad
