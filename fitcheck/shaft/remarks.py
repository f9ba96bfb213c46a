"""What is said beside the shaft's results: defaults in use, what counts instead of what was written, what is left out.

Millimetres, rad.
"""

from collections.abc import Iterator

import numpy as np

from fitcheck.limits import NotKnown
from fitcheck.placement.adjusted import REACH, TILT
from fitcheck.shaft import solids
from fitcheck.shaft.limits import TRADE
from fitcheck.shaft.line import tables
from fitcheck.shaft.setup import Setup, frame_reach_mm

WITHIN = {
    TILT: "the column has a joint of its own at the pivot; that joint's angle and ripple are not counted here",
    REACH: "it slides above the first joint, where the column's own shaft has to slide within it",
}
IN_LINE = np.radians(0.05)


def remarks(setup: Setup) -> Iterator[str]:
    """Each as one sentence."""
    for joint in setup.shaft.joints:
        if joint.ear is None and joint.swing is not None:
            ear = solids.EAR_SHARE * joint.swing.mm
            yield f"{joint.name}: ear not given: its yokes reach {ear:.1f} mm past its centre ({TRADE})"
    yield from _marks(setup)
    yield from _column(setup)
    yield from _given_twice(setup)
    yield from _box(setup)


def _marks(setup: Setup) -> Iterator[str]:
    """What teeth are counted from where no paint mark is given."""
    for i, piece in enumerate(setup.shaft.pieces):
        ends = [end.kind for end in (piece.wheel_end, piece.rack_end) if end is not None]
        if piece.at_mark is None and len(ends) == 2 and "spline" in ends:
            at = setup.mark(i)
            turn = f"rack-end yoke {abs(np.degrees(at)):.0f} deg {'clockwise' if at > 0 else 'anticlockwise'} of it"
            how = (
                "in line"
                if abs(at) < IN_LINE
                else f"as near in line as the teeth let them ({turn}, from the wheel end)"
            )
            yield f"{piece.name}: at_mark not given: teeth are counted from a paint mark made with both yokes {how}"


def _column(setup: Setup) -> Iterator[str]:
    """Which movements of the column as a group the shaft feels."""
    if isinstance(setup.adjusted, NotKnown) or isinstance(setup.carrying, NotKnown):
        return
    for each in setup.adjusted:
        if each in setup.carrying:
            yield f"{each.sway.name} ([groups.column]): the first joint goes along, to both its ends"
        else:
            why = WITHIN[each.sway.name]
            yield f"{each.sway.name} ([groups.column]): the intermediate shaft does not feel it: {why}"


def _given_twice(setup: Setup) -> Iterator[str]:
    groups = None if setup.job.groups is None else setup.job.groups.column
    own = setup.shaft.upper
    if groups is not None and groups.tilt is not None and own.tilt is not None:
        yield "the column's tilt is given twice: shaft.upper.tilt counts for the shaft, groups.column for all else"
    if groups is not None and groups.reach is not None and (own.slides_out is not None or own.slides_in is not None):
        yield "the column's reach and a slide in shaft.upper are both given: the slide counts for the shaft"


def _box(setup: Setup) -> Iterator[str]:
    own = tables(setup.job)
    written, frame = None if own is None else own.lower.moves, frame_reach_mm(setup.job)
    if frame > (0.0 if written is None else written.mm):
        instead = "shaft.lower.moves, not given" if written is None else f"the {written.text} of shaft.lower.moves"
        yield (
            f"[groups.frame] lets the frame go {frame:.1f} mm against the body; the box is taken to go with it, the "
            f"column with the body: that counts instead of {instead}"
        )
    elif written is None:
        yield "shaft.lower.moves not given: the box is taken to stand still against the column"
