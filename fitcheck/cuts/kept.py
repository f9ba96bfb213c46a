"""What must stay on the upper end: horn contact, cancel cam, lock collar; and the wheel straight after the cut.

Millimetres along from the hub seat, angles in radians. The upper pieces are read from faces that stay (hub seat, jacket
top), so nothing above the cuts moves against the hub seat as long as it is above the cuts.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, degrees, inf, pi, radians

from fitcheck.cuts import faces
from fitcheck.cuts.chain import Chain, Stack
from fitcheck.cuts.limits import Band, Found, Limit, LimitResult, NotKnown, judged
from fitcheck.cuts.pieces import Piece
from fitcheck.cuts.place import along
from fitcheck.job.cutting import Bar, Cuts


@dataclass(frozen=True)
class Straight:
    """How the wheel comes out: `step_rad` between the ways the shaft goes in, `off_rad` at most off straight."""

    step_rad: float
    off_rad: float
    words: str


STRAIGHT = "wheel straight"
OFF_MOST = radians(5.0)  # a wheel farther off than this is not trued at the rack; common practice, no source
SCRIBE = "before any cut scribe one straight line along jacket and shaft, across both cuts"


def kept_limits(cuts: Cuts, pieces: tuple[Piece, ...], chain: Chain) -> Iterator[Found]:
    """Each thing kept must end above the mouth that its stock goes into."""
    for index, kept in enumerate(cuts.kept):
        upper = next((one for one in pieces if one.spec.stock == kept.on and one.spec.way > 0), None)
        if upper is not None:
            room = along(chain, upper.spec.mouth).plus(along(chain, faces.kept_face(index)), -1.0)
            band = Band(0.0, inf, f"above the unit, on the {upper.name}")
            yield judged(f"{kept.name}: stays where it is against the hub seat", room, band, chain)


def straight(bar: Bar, bores_apart_rad: float | None) -> Straight | NotKnown:
    """What the bar's kind and the turn between the unit's two bores do to the wheel."""
    if bar.kind == "round":
        return Straight(0.0, 0.0, f"a round bar goes in at any turn: {SCRIBE}, and bring it together again")
    if bar.teeth is not None:
        step = 2 * pi / bar.teeth
        return Straight(step, step / 2, f"on a spline the wheel comes out within half a tooth: {SCRIBE}")
    if bores_apart_rad is None:
        measure = "the turn between the flats of the unit's two bores; a double-D goes in at 0 or 180 deg only"
        return NotKnown(STRAIGHT, ("cuts.bores_apart",), measure)
    off = abs((bores_apart_rad + pi / 2) % pi - pi / 2)
    return Straight(pi, off, f"a double-D goes in at 0 or 180 only: {SCRIBE}")


def straight_limits(found: Straight | NotKnown) -> Iterator[Found]:
    """The wheel may come out off straight only by what can be trued; a spline's half tooth may be more, or not."""
    if isinstance(found, NotKnown):
        if "cuts.bores_apart" in found.keys:
            yield found
        return
    off, most = ceil(degrees(found.off_rad) * 10 - 1e-9) / 10, degrees(OFF_MOST)
    band = Band(0.0, 0.0, "")
    if found.off_rad <= OFF_MOST + 1e-9:
        yield Limit(STRAIGHT, Stack(0.0), band, LimitResult.KEEPS, f"within {off:g} deg, {most:g} deg at most")
    elif found.step_rad < pi:
        reason = f"it may come out {off:g} deg off, {most:g} deg is the most; set it by the splines of wheel or joint"
        yield Limit(STRAIGHT, Stack(0.0), band, LimitResult.TOO_CLOSE, reason)
    else:
        reason = (
            f"the two bores put it {off:g} deg off, where {most:g} deg is the most; it needs a lower end or a unit "
            "whose flats stand in line"
        )
        yield Limit(STRAIGHT, Stack(0.0), band, LimitResult.OUTSIDE, reason)
