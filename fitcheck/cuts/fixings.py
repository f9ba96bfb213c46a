"""Dimples, cross-bolts and pinch bolts: where they come on the fitted end, and what the bar's kind allows. Millimetres.

Common practice, no source: dimples after the trial fit, to the screw's full cone, 1.5 to 3 mm, in a solid bar; a hollow
bar takes a through-bolt (never past half its wall); a plain round bar is never held by friction; a hole keeps 1.5
diameters from its centre to the bar's end.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf

from fitcheck.cuts.chain import Stack
from fitcheck.cuts.limits import Band, Found, Limit, LimitResult, NotKnown, judged
from fitcheck.cuts.pieces import Piece, in_doubt
from fitcheck.job.cutting import Bar, Cuts, Fixing

END_DISTANCE = 1.5  # hole diameters from a hole's centre to the end of the bar; common practice, no source
DIMPLE_MM = (1.5, 3.0)


@dataclass(frozen=True)
class Hole:
    """One dimple or hole: `from_end_mm` from the finished end, `mark_mm` from the face the piece is read from."""

    piece: str
    what: str
    from_end: Stack
    mark_mm: float
    how: str
    limits: tuple[Found, ...]

    @property
    def may_be_made(self) -> bool:
        """Whether nothing forbids it: a place on the bar, and a bar of that kind."""
        return all(limit.result not in (LimitResult.OUTSIDE, LimitResult.NOT_KNOWN) for limit in self.limits)


def holes(cuts: Cuts, pieces: tuple[Piece, ...], spreads: tuple[float, ...]) -> Iterator[Hole]:
    """Every fixing of a planned piece; `spreads` of their `from_mouth` readings, in the job's order."""
    for index, (fixing, spread) in enumerate(zip(cuts.fixings, spreads, strict=True)):
        piece = next((one for one in pieces if one.name == fixing.piece), None)
        if piece is not None:
            from_mouth = Stack.of(f"cuts.fixings[{index + 1}].from_mouth", fixing.from_mouth.mm, spread)
            yield _hole(fixing, piece, from_mouth, cuts.bar)


def _hole(fixing: Fixing, piece: Piece, from_mouth: Stack, bar: Bar | None) -> Hole:
    from_end = piece.inside.plus(from_mouth, -1.0)
    what = f"{piece.name}: {fixing.what}"
    least = Band(END_DISTANCE * fixing.dia.mm, inf, f"{END_DISTANCE:g} diameters, common practice, no source")
    end = f"{what}, to the end of the bar"
    limits: list[Found] = [NotKnown(end, (), in_doubt(piece.name)) if piece.doubt else judged(end, from_end, least)]
    if piece.spec.stock == "shaft":
        limits += _kind_limits(what, fixing, bar)
    return Hole(
        piece.name, fixing.what, from_end, piece.state.length_mm - from_end.mm, _how(fixing, piece, bar), tuple(limits)
    )


def _kind_limits(what: str, fixing: Fixing, bar: Bar | None) -> Iterator[Limit]:
    """What the bar's kind forbids."""
    if bar is None or fixing.what != "set screw":
        return
    band = Band(0.0, 0.0)
    if bar.bore is not None:
        reason = "no dimple in a hollow bar: a through-bolt, and never past half its wall"
        yield Limit(f"{what} in a hollow bar", Stack(0.0), band, LimitResult.OUTSIDE, reason)
    if bar.kind == "round":
        reason = "a plain round bar is not held by a screw's friction: a cross-bolt through it"
        yield Limit(f"{what} on a plain round bar", Stack(0.0), band, LimitResult.OUTSIDE, reason)


def _how(fixing: Fixing, piece: Piece, bar: Bar | None) -> str:
    if piece.spec.stock == "jacket":
        return "drill after the trial fit, clear of the shaft"
    if fixing.what == "cross-bolt":
        return "drill through both after the trial fit; a bolt with its plain shank in the hole, lock nut"
    if fixing.what == "pinch bolt":
        return "the bolt must pass in the bar's groove or across its flat, so that it cannot be drawn off"
    flat = " on its flat" if bar is not None and bar.kind == "double-D" else ""
    low, high = DIMPLE_MM
    depth = f"{low:g} to {high:g} mm deep"
    return (
        f"dimple{flat} after the trial fit, the screw's full cone, {depth}; lock nut and threadlocker; a shaft "
        "shortened later needs a new one"
    )
