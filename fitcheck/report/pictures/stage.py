"""What a picture shows of a verdict: parts at the travel of the worst pairs, ghosts at rest, the pairs' own pieces.

Car frame, mm: back, right, up. Hulls are moved, never made anew.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fitcheck.clearance.travel import Closest, counts_pulled, phases
from fitcheck.confidence.results import Judged, Result, worst_first
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.movement import Movement
from fitcheck.geometry.scan_piece import ScanPiece
from fitcheck.geometry.solids import Piece
from fitcheck.placement.scene import Kind, Part, Phase, Scene
from fitcheck.verdict import Verdict

MOST_MARKS = 3
MARKED = (Result.HITS, Result.UNDER, Result.TOO_CLOSE, Result.CLEAR)
SHARP_COSINE = float(np.cos(np.radians(25.0)))  # facets of round parts meet at less
SAME_PLACE_MM = 1e-3
MOST_FACES = 1000  # of a convex piece; a scan has more
LEAST = 1e-12  # a length not divided by
SAME_SHARE = 1e-3  # of travel: no ghost where the part itself stands
AT_REST, FULL, OVER = "at rest", "full travel", "over-travel"
SHEET_THIN_MM, SHEET_WIDE_MM, SHEET_LONG_MM = 17.0, 100.0, 300.0


@dataclass(frozen=True, eq=False)
class Shell:
    """A piece's hull where it stands: points (n, 3) and triangles (k, 3), wound outward."""

    points: Vector
    faces: NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Shown:
    """A part as drawn; `ghost`: only to remind of where it rests or goes, `at` that travel in words."""

    part: Part
    shells: tuple[Shell, ...]
    ghost: bool = False
    at: str = ""

    @property
    def is_sheet(self) -> bool:
        """Whether it is large and thin all over, so that it would hide everything behind it."""
        corners = np.vstack([shell.points for shell in self.shells])
        _, wide, long = np.sort(np.ptp(corners, axis=0))
        large = bool(wide > SHEET_WIDE_MM and long > SHEET_LONG_MM)
        return self.part.kind is Kind.OBSTACLE and large and max(map(_thickness, self.shells)) < SHEET_THIN_MM

    @property
    def seen(self) -> tuple[Shell, ...]:
        """The shells to shade: of a sheet only its two broad faces, since its pieces' seams would show through."""
        if not self.is_sheet:
            return self.shells
        return tuple(Shell(shell.points, _broad(shell)) for shell in self.shells)


def _broad(shell: Shell) -> NDArray[np.int64]:
    """The faces (k, 3) that lie square to a thin piece's thickness."""
    normals = _normals(shell)
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), LEAST)
    return np.asarray(shell.faces[np.abs(normals @ _across(shell)) > 0.7])


def _thickness(shell: Shell) -> float:
    return float(np.ptp(shell.points @ _across(shell)))


def _across(shell: Shell) -> Vector:
    """Direction (3,) of a piece's thickness: square to its largest face."""
    normals = _normals(shell)
    largest = normals[int(np.argmax(np.linalg.norm(normals, axis=1)))]
    return np.asarray(largest / max(float(np.linalg.norm(largest)), LEAST))


@dataclass(frozen=True, eq=False)
class Side:
    """One part of a marked pair where the two come closest: its shells there, and the one the gap was found on.

    `still` is that piece without what someone pulling the wheel sweeps; `near` itself where that does not count.
    """

    part: Part
    shells: tuple[Shell, ...]
    near: Shell
    still: Shell

    @property
    def is_pulled(self) -> bool:
        """Whether the piece is taken as swept by someone pulling the wheel."""
        return self.still is not self.near


@dataclass(frozen=True, eq=False)
class Mark:
    """One of the worst pairs: its number in the picture, and its two parts where they come closest."""

    number: int
    entry: Judged
    closest: Closest
    sides: tuple[Side, Side]

    @property
    def spots(self) -> Vector:
        """The nearest points, (2, 3)."""
        return np.vstack([self.closest.gap.on_a, self.closest.gap.on_b])

    @property
    def is_pulled(self) -> bool:
        """Whether someone pulls the wheel where the two come closest."""
        return any(side.is_pulled for side in self.sides)


def marks(verdict: Verdict) -> tuple[Mark, ...]:
    """The worst pairs that have a place to mark, the intermediate shaft's among them, worst first, at most three."""
    everything = sorted((*verdict.gaps, *verdict.shaft_gaps), key=worst_first)
    entries = [entry for entry in everything if entry.result in MARKED]
    return tuple(_mark(number, entry) for number, entry in enumerate(entries[:MOST_MARKS], start=1))


def _mark(number: int, entry: Judged) -> Mark:
    a, b, closest = entry.pair.a, entry.pair.b, entry.found.closest
    assert isinstance(a, Part) and isinstance(b, Part) and closest is not None  # a judged pair has been placed
    gap = closest.gap
    a_side = _side(a, b, closest.a_phase, gap.a_piece, gap.a_at)
    return Mark(number, entry, closest, (a_side, _side(b, a, closest.b_phase, gap.b_piece, gap.b_at)))


def _side(part: Part, against: Part, phase: int, piece: int, at: tuple[float, ...]) -> Side:
    of = phases(part, against)
    shells = _there(of[phase], piece, at)
    near = shells[0 if of[phase].shares else piece]
    if not counts_pulled(part, against) or part.pulled == part.phases:
        return Side(part, shells, near, near)
    own = part.phases[phase].pieces[piece]
    return Side(part, shells, near, Shell(of[phase].moved(own.corners, at), own.faces))


def _there(phase: Phase, piece: int, at: tuple[float, ...]) -> tuple[Shell, ...]:
    """The phase's pieces at the movement's value, or the one slice of travel concerned."""
    if phase.shares:
        return (Shell(phase.moved(phase.pieces[piece].corners, at), phase.pieces[piece].faces),)
    return tuple(Shell(phase.moved(each.corners, at), each.faces) for each in phase.pieces)


def all_parts(verdict: Verdict, scene: Scene | None = None) -> tuple[Part, ...]:
    """Every part to draw: the car's, and the intermediate shaft's as they stand with the column as measured.

    A `scene` with the unit elsewhere stands for the verdict's own.
    """
    own = {entry.pair.a.name: entry.pair.a for entry in verdict.shaft_gaps}
    of_shaft = (replace(part, phases=part.phases[:1]) for part in own.values() if isinstance(part, Part))
    return (*(verdict.scene if scene is None else scene).parts, *of_shaft)


def drawn_shares(chosen: Iterable[Mark]) -> dict[str, float]:
    """Share of travel at which each pedal is drawn: the worst mark's that says one. Pedals not named are at rest."""
    shares: dict[str, float] = {}
    for mark in chosen:
        for pedal, share in mark.closest.at_travel.items():
            shares.setdefault(pedal, share)
    return shares


def shown(parts: Iterable[Part], shares: Mapping[str, float], ends: bool = False) -> Iterator[Shown]:
    """Every part as it stands with the pedals at `shares`, and a ghost of those that are not at rest there.

    With `ends` pedals and what they drive have ghosts at full travel and as far as they go beyond it, too.
    """
    for part in parts:
        share = 0.0 if part.driven_by is None else shares.get(part.driven_by, 0.0)
        yield Shown(part, _standing(part, share))
        for at, words in _ghosts(part, ends):
            if abs(at - share) > SAME_SHARE:
                yield Shown(part, _standing(part, at), ghost=True, at=words)


def _ghosts(part: Part, ends: bool) -> Iterator[tuple[float, str]]:
    """Shares of travel, with their words, at which a part that a pedal drives may have a ghost."""
    if part.driven_by is None:
        return
    yield 0.0, AT_REST
    if ends and part.kind in (Kind.PEDAL, Kind.LINKAGE):
        yield 1.0, FULL
        over = max(phase.span[1] for phase in part.phases)
        if over > 1.0:
            yield over, OVER


def _standing(part: Part, share: float) -> tuple[Shell, ...]:
    if part.driven_by is None:
        return tuple(_shell(piece, None, 0.0) for phase in part.phases for piece in phase.pieces)
    phase = min(part.phases, key=lambda each: _outside(each.span, share))
    if phase.shares:
        slices = zip(phase.pieces, phase.shares, strict=True)
        return (_shell(min(slices, key=lambda each: _outside(each[1], share))[0], None, 0.0),)
    at = 0.0 if phase.travel is None else phase.travel.value(share)
    return tuple(_shell(piece, phase.moves, at) for piece in phase.pieces)


def _outside(span: tuple[float, float], share: float) -> float:
    return max(span[0] - share, share - span[1], 0.0)


def _shell(piece: Piece, moves: Movement | None, at: float) -> Shell:
    if isinstance(piece, ScanPiece):
        points = piece.scan.vertices
        return Shell(points if moves is None else moves.moved(points, at), piece.scan.skin.triangles)
    return Shell(piece.corners if moves is None else moves.moved(piece.corners, at), piece.faces)


def outline(shells: Iterable[Shell]) -> Vector:
    """Sharp edges (k, 2, 3) of a part; those that two of its pieces share are seams inside it and left out."""
    edges = [edge for shell in shells for edge in _sharp(shell)]
    keys = [frozenset(map(tuple, np.round(edge / SAME_PLACE_MM).astype(int).tolist())) for edge in edges]
    times = Counter(keys)
    return np.array([edge for edge, key in zip(edges, keys, strict=True) if times[key] == 1]).reshape(-1, 2, 3)


def _sharp(shell: Shell) -> Iterator[Vector]:
    """Edges (2, 3) at which the hull turns by more than 25 degrees; a scan has none worth drawing."""
    if len(shell.faces) > MOST_FACES:
        return
    normals = _normals(shell)
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), LEAST)
    beside: dict[tuple[int, int], list[int]] = {}
    for face, (i, j, k) in enumerate(shell.faces.tolist()):
        for edge in ((i, j), (j, k), (k, i)):
            beside.setdefault((min(edge), max(edge)), []).append(face)
    for (i, j), both in beside.items():
        if len(both) == 2 and normals[both[0]] @ normals[both[1]] < SHARP_COSINE:
            yield shell.points[[i, j]]


def _normals(shell: Shell) -> Vector:
    """Outward normals (k, 3) of the faces, as long as twice their areas."""
    corners = shell.points[shell.faces]
    return np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
