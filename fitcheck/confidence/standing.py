"""The witness of a gap on one part, and where it goes once the part is placed anew; mm, rad.

A witness is a mixture of corners of its piece; it goes with them at the same share of the movements as before.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitcheck.clearance.travel import phases
from fitcheck.geometry.frames import Vector, cross_each
from fitcheck.geometry.minkowski import nearest_weights
from fitcheck.geometry.movement import Movement
from fitcheck.geometry.scan_piece import ScanPiece
from fitcheck.geometry.solids import Piece
from fitcheck.placement.scene import Part

FOREMOST_MM = 0.02  # corners this near the foremost one belong to the face that lies foremost
IN_PLANE_MM = 0.02
ANOTHER_MM = 5.0  # no corner goes this far for so small a step: it is another corner, the piece was made up anew


@dataclass(frozen=True, eq=False)
class Side:
    """One part's witness of a gap: its piece as it stands there, and the corners and weights that make the witness.

    `outward` (3,) points to the other part; phase, piece and at say where in the part's movement.
    """

    part: Part
    against: Part
    phase: int
    piece: int
    at: tuple[float, ...]
    outward: Vector
    standing: Vector
    corners: NDArray[np.int64]
    weights: Vector

    def pieces(self, parts: dict[str, Part]) -> list[Vector]:
        """Vertices of all pieces of the phase, with the parts as placed anew, at the same share of the movement.

        Of a scan the triangle the witness lies on, as far as the gap is followed.
        """
        now = parts.get(self.part.name, self.part)
        if isinstance(phases(self.part, self.against)[self.phase].pieces[self.piece], ScanPiece):
            (standing,) = stands_at(self.part, now, self.against, self.phase, self.at, self.piece)
            return [standing[self.corners]]
        return stands_at(self.part, now, self.against, self.phase, self.at)

    def advance(self, parts: dict[str, Part]) -> float | None:
        """How far the witness comes toward the other part, mm; None where its piece or phase can no longer be told."""
        if parts.get(self.part.name, self.part) is self.part:
            return 0.0
        now = parts[self.part.name]
        if len(phases(now, self.against)) != len(phases(self.part, self.against)):
            return None
        standing = stands_at(self.part, now, self.against, self.phase, self.at, self.piece)
        if len(standing) != 1 or len(standing[0]) != len(self.standing):
            return None
        shifts = standing[0] - self.standing
        if np.abs(shifts).max() > ANOTHER_MM:
            return None
        return float(self.weights @ shifts[self.corners] @ self.outward)


def side(
    part: Part,
    against: Part,
    phase: int,
    piece: int,
    at: tuple[float, ...],
    outward: Vector,
    witness: Vector,
    meet: bool,
) -> Side:
    """The side with its witness as a mixture of corners; of pieces that meet, the middle of the foremost face.

    A scan's foremost face may be far away, so of a scan it is the triangle that was found to meet.
    """
    (standing,) = stands_at(part, part, against, phase, at, piece)
    if meet and not isinstance(phases(part, against)[phase].pieces[piece], ScanPiece):
        heights = standing @ outward
        corners = np.flatnonzero(heights >= heights.max() - FOREMOST_MM)
        weights = np.full(len(corners), 1 / len(corners))
    else:
        there = phases(part, against)[phase]
        (rest,) = there.at_rest(witness[None], at)
        corners, weights = _mixture(there.pieces[piece], rest)
    return Side(part, against, phase, piece, at, outward, standing, corners, weights)


def _mixture(piece: Piece, point: Vector) -> tuple[NDArray[np.int64], Vector]:
    """Three of the piece's vertices and weights that make the point of its surface nearest to `point`."""
    if isinstance(piece, ScanPiece):
        corners = piece.scan.skin.triangles[piece.triangle_near(point)]
        return corners, nearest_weights(piece.scan.vertices[corners][None] - point)[0]
    faces = piece.faces[_in_plane(piece, point)]
    triangles = piece.corners[faces] - point
    weights = nearest_weights(triangles)
    off = (np.einsum("ij,ijk->ik", weights, triangles) ** 2).sum(axis=1)
    best = int(off.argmin())
    same = (piece.vertices[None] == piece.corners[faces[best]][:, None]).all(axis=2)
    return same.argmax(axis=1), weights[best]


def _in_plane(piece: Piece, point: Vector) -> NDArray[np.int64]:
    """Which faces of the piece lie in a plane that a `point` of its surface is in: one of them holds it."""
    first, second, third = (piece.corners[piece.faces[:, corner]] for corner in range(3))
    outward = cross_each(second - first, third - first)
    heights = ((first - point) * outward).sum(axis=1) / np.sqrt((outward**2).sum(axis=1))
    return np.flatnonzero(np.abs(heights) <= np.abs(heights).min() + IN_PLANE_MM)


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
