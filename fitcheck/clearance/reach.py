"""Reaching in: room for hands and tools, the way out through every straight move, and how low things hang.

The way in is the way out backwards. Car frame, mm; every gap is the certified one of all other pairs.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.clearance.boots import everyone
from fitcheck.clearance.gaps import Found
from fitcheck.clearance.pairs import Need, Pair, Treatment
from fitcheck.clearance.travel import closest
from fitcheck.geometry.bodies import first_touch
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.model import Job
from fitcheck.placement.column import ColumnAxis
from fitcheck.placement.points import UP, Places
from fitcheck.placement.reaching import AT_REST, move_name
from fitcheck.placement.scene import Kind, Missing, Part, Scene, Unplaced

PASSES = Need(Treatment.JUDGED, "", 0.0, "it only has to pass")
FREE = Need(Treatment.JUDGED, "", 0.0, "keep-out room")
AMPLE_MM = 100.0  # room enough not to be looked at more closely
TOUCH_WITHIN_MM = 0.5


@dataclass(frozen=True)
class Hang:
    """The lowest point of a part, and how far it hangs below the dash edge and square below the jacket's underside.

    Negative where it stays above; `below_dash_mm` is None where the job names no dash edge.
    """

    part: str
    piece: str
    at: Vector
    below_dash_mm: float | None
    below_column_mm: float


@dataclass(frozen=True)
class MoveFound:
    """One move of the way out: the name of the unit on it, how far it goes, mm, and its gaps.

    `free_mm` says of each part that is hit how far the unit certainly goes before it touches.
    """

    name: str
    far_mm: float
    gaps: tuple[Found, ...]
    free_mm: dict[str, float]


@dataclass(frozen=True)
class ReachFound:
    """Gaps of the rooms, every move of the way out, and what hangs."""

    rooms: tuple[Found, ...]
    moves: tuple[MoveFound, ...]
    hang: tuple[Hang, ...]

    @property
    def gaps(self) -> tuple[Found, ...]:
        """All of them: rooms first, then move by move."""
        return (*self.rooms, *(entry for move in self.moves for entry in move.gaps))


def reach_in(engine: GapEngine, job: Job, scene: Scene) -> ReachFound | None:
    """All of it, where the job speaks of reaching in; `scene` is the whole one. Raises KeyFault."""
    if job.reach is None:
        return None
    way = job.reach.way_out
    rooms = tuple(found for room in job.reach.rooms for found in _room(engine, scene, room.name))
    moves = tuple(_move(engine, job, scene, move_name(i)) for i in range(0 if way is None else len(way.moves)))
    return ReachFound(rooms, moves, tuple(hangs(job, scene)))


def _room(engine: GapEngine, scene: Scene, name: str) -> Iterator[Found]:
    """A room against all that stands still, pedals at rest."""
    room = _named(scene, name)
    touches = room.joined if isinstance(room, Part) else frozenset()
    for other in _standing(scene):
        if other.name.removesuffix(AT_REST) not in touches and not _keep_out(other):
            yield _found(engine, Pair(room, other, FREE))


def _move(engine: GapEngine, job: Job, scene: Scene, name: str) -> MoveFound:
    gaps = tuple(_passes(engine, job, scene, name))
    hit = [entry for entry in gaps if entry.closest is not None and entry.closest.gap.gap_mm == 0]
    part = _named(scene, name)
    far = part.phases[0].sways[0].move.stop if isinstance(part, Part) else 0.0
    return MoveFound(name, far, gaps, {entry.pair.b.name: _free_mm(engine, entry) for entry in hit})


def _passes(engine: GapEngine, job: Job, scene: Scene, name: str) -> Iterator[Found]:
    """One move against all that stands still but for the column, which is out, and what goes along or was taken off."""
    assert job.reach is not None and job.reach.way_out is not None
    way = job.reach.way_out
    aside = {"unit", "column", *way.off, *(["bracket"] if way.bracket == "goes along" else [])}
    for other in _standing(scene):
        if other.name.removesuffix(AT_REST) not in aside and not _keep_out(other):
            yield _found(engine, Pair(_named(scene, name), other, PASSES))


def _standing(scene: Scene) -> Iterator[Part | Unplaced]:
    """What is in the car while nobody sits in it: pedals and linkages at rest, no boots, no moves, no rooms."""
    for part in everyone(scene):
        driven = part.kind in (Kind.PEDAL, Kind.LINKAGE)
        on_its_way = part.kind is Kind.UNIT and part.name != "unit"
        if part.kind is not Kind.BOOT and not on_its_way and driven == part.name.endswith(AT_REST):
            yield part


def _keep_out(part: Part | Unplaced) -> bool:
    return isinstance(part, Part) and part.keep_out


def _named(scene: Scene, name: str) -> Part | Unplaced:
    return next(part for part in everyone(scene) if part.name == name)


def _found(engine: GapEngine, pair: Pair) -> Found:
    if isinstance(pair.a, Unplaced) or isinstance(pair.b, Unplaced):
        return Found(pair, None, None)
    return Found(pair, closest(engine, pair.a, pair.b, AMPLE_MM), None)


def _free_mm(engine: GapEngine, entry: Found) -> float:
    """How far along its move the unit is certainly free of the other part."""
    a, b = entry.pair.a, entry.pair.b
    assert isinstance(a, Part) and isinstance(b, Part)
    touches = [
        first_touch(engine, phase.body, still.body, "a", TOUCH_WITHIN_MM) for phase in a.phases for still in b.phases
    ]
    return min((touch[0] for touch in touches if touch is not None), default=0.0)


def hangs(job: Job, scene: Scene) -> Iterator[Hang]:
    """How low the unit, its connector and the bracket hang."""
    axis = ColumnAxis(job)
    edge = _dash_edge(job, axis)
    for part in scene.parts:
        if part.kind in (Kind.UNIT, Kind.BRACKET) and part.name in ("unit", "bracket"):
            yield _hang(part.name, part, range(len(part.phases[0].pieces)), edge, axis)
        if part.name == "unit":
            plugs = [i for i, piece in enumerate(part.phases[0].pieces) if piece.name == "plug"]
            if plugs:
                yield _hang("connector", part, plugs, edge, axis)


def _dash_edge(job: Job, axis: ColumnAxis) -> float | None:
    """Height of the dash's lower edge, mm above the datum."""
    assert job.reach is not None
    if job.reach.dash_edge is None:
        return None
    places = Places(job, lambda: axis.column2car, axis.along)
    try:
        return float(places.point(job.reach.dash_edge, ("reach", "dash_edge"), need=("up",), half=0.0) @ UP)
    except Missing:
        return None


def _hang(name: str, part: Part, which: Sequence[int], edge: float | None, axis: ColumnAxis) -> Hang:
    pieces = [part.phases[0].pieces[i] for i in which]
    lowest = min(pieces, key=lambda piece: float((piece.vertices @ UP).min()))
    at = lowest.vertices[int((lowest.vertices @ UP).argmin())]
    twelve = axis.column2car.rotation[:, 0]
    under = max(float(((axis.column2car.origin - piece.vertices) @ twelve).max()) for piece in pieces) - axis.radius
    return Hang(name, lowest.name, np.asarray(at), None if edge is None else edge - float(at @ UP), under)
