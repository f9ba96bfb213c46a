"""What must stay on the upper end: horn contact, cancel cam, lock collar; and the wheel straight after the cut.

Millimetres along from the hub seat, angles in radians. The upper pieces are read from faces that stay (hub seat, jacket
top), so nothing above the cuts moves against the hub seat as long as it is above the cuts.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf, pi

from fitcheck.cuts import faces
from fitcheck.cuts.chain import Chain
from fitcheck.cuts.limits import Band, Found, judged
from fitcheck.cuts.pieces import Piece
from fitcheck.cuts.place import along
from fitcheck.job.cutting import Bar, Cuts


@dataclass(frozen=True)
class Straight:
    """How the wheel comes out: `step_rad` between the ways the shaft goes in, `off_rad` at most off straight."""

    step_rad: float
    off_rad: float
    words: str


SCRIBE = "before any cut scribe one straight line along jacket and shaft, across both cuts"


def kept_limits(cuts: Cuts, pieces: tuple[Piece, ...], chain: Chain) -> Iterator[Found]:
    """Each thing kept must end above the mouth that its stock goes into."""
    for index, kept in enumerate(cuts.kept):
        upper = next((one for one in pieces if one.spec.stock == kept.on and one.spec.way > 0), None)
        if upper is not None:
            room = along(chain, upper.spec.mouth).plus(along(chain, faces.kept_face(index)), -1.0)
            band = Band(0.0, inf, f"above the unit, on the {upper.name}")
            yield judged(f"{kept.name}: stays where it is against the hub seat", room, band, chain)


def straight(bar: Bar, bores_apart_rad: float | None) -> Straight:
    """What the bar's kind and the turn between the unit's two bores do to the wheel."""
    step = pi if bar.kind == "double-D" else 2 * pi / bar.teeth if bar.teeth is not None else 0.0
    if bar.kind == "round":
        return Straight(0.0, 0.0, f"a round bar goes in at any turn: {SCRIBE}, and bring it together again")
    if bar.kind == "spline":
        return Straight(step, step / 2, f"on a spline the wheel comes out within half a tooth: {SCRIBE}")
    if bores_apart_rad is None:
        words = "a double-D goes in at 0 or 180 only: read the turn between the unit's two bores (cuts.bores_apart)"
        return Straight(step, step / 2, f"{words}; {SCRIBE}")
    off = abs((bores_apart_rad + step / 2) % step - step / 2)
    return Straight(step, off, f"a double-D goes in at 0 or 180 only: {SCRIBE}")
