"""Where the first joint lands when it is slid on the column's shaft by hand, and what that adds to the other spreads.

Millimetres, rad. Its centre then follows the shaft's end, so that how far that end may be off moves spans and angles.
"""

from collections.abc import Iterator

import numpy as np

from fitcheck.geometry.frames import Vector
from fitcheck.limits import LimitResult, NotKnown, known
from fitcheck.shaft.agreement import held_stub
from fitcheck.shaft.rows import NO_SPREAD, Spreads
from fitcheck.shaft.setup import Setup, figures
from fitcheck.shaft.spread import NEGLIGIBLE, Share, Spread
from fitcheck.shaft.stands import Stand

FOLLOWS = (LimitResult.SET_ON_CAR, LimitResult.TOO_CLOSE)
ALONG = "hub beyond unit"  # moves as far as the centre does
BY_DOWEL, BY_READINGS = "dowel bar", "bar 0"


def with_landing(setup: Setup, spreads: Spreads, moved_on: Vector | None) -> dict[str, Spread]:
    """The spreads with what the place of the column's shaft's end adds, as squares; as they are where none is set."""
    key, off = max(_landings(setup, spreads), key=lambda pair: pair[1], default=("", 0.0))
    if off == 0:
        return dict(spreads)
    still = figures(setup, moved_on)
    parts = dict.fromkeys(still, 0.0) | {ALONG: off}
    for way in (off, -off):
        moved = figures(setup, moved_on, Stand("", slid_mm=way))
        for name, value in still.items():
            change = moved[name] - value
            if name.startswith("phase"):
                change = (change + np.pi / 2) % np.pi - np.pi / 2
            parts[name] = max(parts[name], abs(change), key=abs)
    parts[BY_DOWEL] = parts.get(BY_READINGS, 0.0)
    return {name: _wider(spread, Share(key, parts.get(name, 0.0))) for name, spread in spreads.items()}


def _landings(setup: Setup, spreads: Spreads) -> Iterator[tuple[str, float]]:
    """By whose word the shaft's end is known, and how far it may be off, where the joint is set to it by hand."""
    short = known("column's end", setup.stub_short_mm)
    along = spreads.get("first along", NO_SPREAD).most
    if not isinstance(short, NotKnown):
        spread = spreads["stub short"].most
        if held_stub("stub", "", setup, short, spread).result in FOLLOWS:
            yield "column.shaft_to", float(np.sqrt(max(0.0, spread**2 - along**2)))
    inner = known("column's end", setup.stub_ends_mm)
    if setup.cut_end is not None and not isinstance(inner, NotKnown):
        end, off = setup.cut_end
        if held_stub("stub_cut", "", setup, inner[1] - end, float(np.hypot(along, off))).result in FOLLOWS:
            yield "end of the cut list's shaft", off


def _wider(spread: Spread, share: Share) -> Spread:
    if not abs(share.part) > NEGLIGIBLE:
        return spread
    shares = tuple(sorted((*spread.shares, share), key=lambda each: -abs(each.part)))
    return Spread(float(np.hypot(spread.first_order, share.part)), float(np.hypot(spread.by_draws, share.part)), shares)
