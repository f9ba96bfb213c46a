"""Spread of each gap by first order at its closest place: each reading moved a little, the gap looked at again.

At a least gap the movement's value, the direction and the witnesses are stationary, so the gap changes as its two
witnesses, fixed to their pieces at the same share of the movement, go along the direction (envelope theorem). Spreads
of independent readings add as squares (JCGM 100:2008, 5.1.2). Where the closest place jumps this understates; of a
reading with a wide spread that moves the whole unit the pair is searched anew.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import erf, sqrt

import numpy as np
from numpy.typing import NDArray

from fitcheck.clearance.gaps import Found
from fitcheck.clearance.travel import phases
from fitcheck.confidence import wide
from fitcheck.confidence.nudged import Add, Nudged, just_the_scene
from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.gap import Gap, GapEngine, by_difference
from fitcheck.geometry.minkowski import nearest_weights
from fitcheck.geometry.movement import Movement
from fitcheck.geometry.scan_piece import ScanPiece
from fitcheck.geometry.solids import Piece
from fitcheck.job.model import Job
from fitcheck.placement.scene import Kind, Part, Scene
from fitcheck.readings.steps import SIGMAS_95, step_of
from fitcheck.readings.survey import Reading, ends_a_movement, readings

FOREMOST_MM = 0.02  # corners this near the foremost one belong to the face that lies foremost
LIMITS = (
    "spreads are first order at the closest place; where a reading could shift the closest place elsewhere they "
    "understate"
)
ANOTHER_MM = 5.0  # no corner goes this far for so small a step: it is another corner, the piece was made up anew


@dataclass(frozen=True)
class Share:
    """How much of a gap's spread one reading causes: its own part, mm (half-width of 95 %), with its sign."""

    key: str
    part_mm: float


@dataclass(frozen=True, eq=False)
class _Side:
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
            (standing,) = _standing(self.part, now, self.against, self.phase, self.at, self.piece)
            return [standing[self.corners]]
        return _standing(self.part, now, self.against, self.phase, self.at)

    def advance(self, parts: dict[str, Part]) -> float | None:
        """How far the witness comes toward the other part, mm; None where its piece can no longer be told."""
        if parts.get(self.part.name, self.part) is self.part:
            return 0.0
        now = parts[self.part.name]
        standing = _standing(self.part, now, self.against, self.phase, self.at, self.piece)
        if len(standing) != 1 or len(standing[0]) != len(self.standing):
            return None
        shifts = standing[0] - self.standing
        if np.abs(shifts).max() > ANOTHER_MM:
            return None
        return float(self.weights @ shifts[self.corners] @ self.outward)


def spreads(nudged: Nudged, found: Sequence[Found], add: Add = just_the_scene) -> list[tuple[Share, ...]]:
    """For each entry of `found`, the readings that move its gap, largest part first.

    Empty where it has no gap, or one known only to be ample: no reading that counts as one moves a part so far. A
    reading that ends a movement is not among them: the movement is covered beyond it by its spread.
    `add` puts into the scene of a moved job what `found` has besides; parts that stay the same are not looked at again.
    """
    shares: list[list[Share]] = [[] for _ in found]
    sides = [_sides(entry) for entry in found]
    with_part = _entries_with(found)
    was = {part.name: part for entry in found for part in (entry.pair.a, entry.pair.b)}
    for reading in readings(nudged.job):
        if ends_a_movement(reading.path) or _moves_nothing_seen(nudged.job, reading, with_part):
            continue
        scene, step = _stepped(nudged, reading, add)
        parts = {part.name: part for part in scene.parts}
        moved = [name for name, part in parts.items() if name in was and was[name] is not part]
        unit_moves = any(parts[name].kind is Kind.UNIT for name in moved)
        elsewhere = wide.elsewhere(nudged, reading, add) if unit_moves and wide.is_wide(reading) else ()
        for i in sorted({i for name in moved for i in with_part.get(name, ())}):
            part_mm = _change(sides[i], parts) / step * reading.spread
            _add(shares[i], reading, wide.larger(part_mm, found[i], elsewhere))
    return [tuple(sorted(of_entry, key=lambda share: -abs(share.part_mm))) for of_entry in shares]


def _moves_nothing_seen(job: Job, reading: Reading, with_part: dict[str, list[int]]) -> bool:
    """Whether the reading moves no part that any gap is followed of: the bench's, or a far obstacle's."""
    where, *which = reading.path
    if where == "obstacles" and isinstance(which[0], int):
        return job.obstacles[which[0]].name not in with_part
    return where == "cuts"


def _stepped(nudged: Nudged, reading: Reading, add: Add) -> tuple[Scene, float]:
    """The scene with the reading moved a step, and the step: the other way where the job stands just inside a limit."""
    step = step_of(reading)
    try:
        return add(*nudged.moved(reading.path, step)), step
    except KeyFault:
        return add(*nudged.moved(reading.path, -step)), -step


def _change(sides: tuple[_Side, ...], parts: dict[str, Part]) -> float:
    """How far the gap opens, mm, with the parts as placed anew: by its witnesses, else by measuring it again."""
    advances = [side.advance(parts) for side in sides]
    known = [advance for advance in advances if advance is not None]
    return -sum(known) if len(known) == len(advances) else _measured(sides, parts) - _measured(sides, {})


def _measured(sides: tuple[_Side, ...], parts: dict[str, Part]) -> float:
    """The gap of all pieces of both phases standing as they do at the closest place, mm; negative inside."""
    a, b = (side.pieces(parts) for side in sides)
    engine = GapEngine()
    found = [_gap(engine, one, other) for one in a for other in b]
    return min(gap.gap_mm - gap.depth_mm for gap in found)


def _gap(engine: GapEngine, one: Vector, other: Vector) -> Gap:
    """The gap of two hulls; one of them may be the one triangle of a scan."""
    if min(len(one), len(other)) < 4:
        return by_difference(one, other)
    return engine.gap(Piece(one), Piece(other))


def _entries_with(found: Sequence[Found]) -> dict[str, list[int]]:
    """Which entries each part is in: most readings move one part, and the others need no second look."""
    with_part: dict[str, list[int]] = {}
    for i, entry in enumerate(found):
        if entry.closest is None or not entry.closest.gap.bracketed:
            continue
        for part in (entry.pair.a, entry.pair.b):
            with_part.setdefault(part.name, []).append(i)
    return with_part


def _add(shares: list[Share], reading: Reading, part_mm: float) -> None:
    if abs(part_mm) > 1e-6:
        shares.append(Share(reading.key, part_mm))


def _sides(entry: Found) -> tuple[_Side, ...]:
    """Both witnesses of an entry; none where it has no gap."""
    closest, a, b = entry.closest, entry.pair.a, entry.pair.b
    if closest is None or not closest.gap.bracketed or not isinstance(a, Part) or not isinstance(b, Part):
        return ()
    gap, meet = closest.gap, closest.gap.gap_mm == 0
    return (
        _side(a, b, closest.a_phase, gap.a_piece, gap.a_at, gap.normal, gap.on_a, meet),
        _side(b, a, closest.b_phase, gap.b_piece, gap.b_at, -gap.normal, gap.on_b, meet),
    )


def _side(
    part: Part,
    against: Part,
    phase: int,
    piece: int,
    at: tuple[float, ...],
    outward: Vector,
    witness: Vector,
    meet: bool,
) -> _Side:
    """The side with its witness as a mixture of corners; of pieces that meet, the middle of the foremost face.

    A scan's foremost face may be far away, so of a scan it is the triangle that was found to meet.
    """
    (standing,) = _standing(part, part, against, phase, at, piece)
    if meet and not isinstance(phases(part, against)[phase].pieces[piece], ScanPiece):
        heights = standing @ outward
        corners = np.flatnonzero(heights >= heights.max() - FOREMOST_MM)
        weights = np.full(len(corners), 1 / len(corners))
    else:
        there = phases(part, against)[phase]
        (rest,) = there.at_rest(witness[None], at)
        corners, weights = _mixture(there.pieces[piece], rest)
    return _Side(part, against, phase, piece, at, outward, standing, corners, weights)


def _mixture(piece: Piece, point: Vector) -> tuple[NDArray[np.int64], Vector]:
    """Three of the piece's vertices and weights that make the point of its surface nearest to `point`."""
    if isinstance(piece, ScanPiece):
        corners = piece.scan.skin.triangles[piece.triangle_near(point)]
        return corners, nearest_weights(piece.scan.vertices[corners][None] - point)[0]
    triangles = piece.corners[piece.faces] - point
    weights = nearest_weights(triangles)
    off = (np.einsum("ij,ijk->ik", weights, triangles) ** 2).sum(axis=1)
    best = int(off.argmin())
    same = (piece.vertices[None] == piece.corners[piece.faces[best]][:, None]).all(axis=2)
    return same.argmax(axis=1), weights[best]


def _standing(
    was: Part, now: Part, against: Part, phase: int, at: tuple[float, ...], only: int | None = None
) -> list[Vector]:
    """Vertices of each piece of the phase (or of `only` one) at the same share of its movements' ranges as before."""
    old = phases(was, against)[phase]
    moved = phases(now, against)
    new = moved[phase] if phase < len(moved) else old  # a boot's lift may leave the range by a hair
    pieces = new.pieces if only is None else new.pieces[only : only + 1]
    if len(old.chain) != len(new.chain):
        return [_points(piece) for piece in pieces]
    there = tuple(_same_share(*moved_by) for moved_by in zip(old.chain, new.chain, at, strict=True))
    return [new.moved(_points(piece), there) for piece in pieces]


def _points(piece: Piece) -> Vector:
    return piece.scan.vertices if isinstance(piece, ScanPiece) else piece.vertices


def _same_share(old: Movement, new: Movement, value: float) -> float:
    """The value of the new movement at the same share of its range as `value` is of the old one's."""
    width = old.stop - old.start
    share = (value - old.start) / width if width > 0 else 0.0
    return new.start + share * (new.stop - new.start)


def total(shares: Sequence[Share]) -> float:
    """Spread of the gap, mm: root of the sum of squares."""
    return float(np.sqrt(sum(share.part_mm**2 for share in shares)))


def chance_under(bound_mm: float, required_mm: float, spread_mm: float) -> float:
    """Chance (0..1) that the true gap is under the required one: normal about the bound."""
    if spread_mm == 0:
        return float(bound_mm < required_mm)
    return 0.5 * (1 + erf((required_mm - bound_mm) / (spread_mm / SIGMAS_95) / sqrt(2)))
