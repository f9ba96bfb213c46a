"""Where the pieces of a part stand once it is placed anew, at the same share of its movements as before; mm, rad."""

from fitcheck.clearance.travel import phases
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.movement import Movement
from fitcheck.geometry.scan_piece import ScanPiece
from fitcheck.geometry.solids import Piece
from fitcheck.placement.scene import Part

FOREMOST_MM = 0.02  # corners this near the foremost one belong to the face that lies foremost


def stands_at(
    was: Part, now: Part, against: Part, phase: int, at: tuple[float, ...], only: int | None = None
) -> list[Vector]:
    """Vertices of each piece of the phase (or of `only` one) at the same share of its movements' ranges as before."""
    old = phases(was, against)[phase]
    moved = phases(now, against)
    new = moved[phase] if phase < len(moved) else old  # a boot's lift may leave the range by a hair
    pieces = new.pieces if only is None else new.pieces[only : only + 1]
    if len(old.chain) != len(new.chain):
        return [points_of(piece) for piece in pieces]
    there = tuple(_same_share(*moved_by) for moved_by in zip(old.chain, new.chain, at, strict=True))
    return [new.moved(points_of(piece), there) for piece in pieces]


def points_of(piece: Piece) -> Vector:
    return piece.scan.vertices if isinstance(piece, ScanPiece) else piece.vertices


def _same_share(old: Movement, new: Movement, value: float) -> float:
    """The value of the new movement at the same share of its range as `value` is of the old one's."""
    width = old.stop - old.start
    share = (value - old.start) / width if width > 0 else 0.0
    return new.start + share * (new.stop - new.start)
