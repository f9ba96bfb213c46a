"""Boots and legs: every gap of what feet do off the pedals, how far apart the pads are, and the room beside each boot.

Boots on their pedals are pairs like all others (`gaps`); here is what comes besides. Car frame, mm.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from fitcheck.clearance.gaps import Found, found
from fitcheck.clearance.pairs import Need, Pair, Treatment, pair_of
from fitcheck.geometry.bodies import first_touch
from fitcheck.geometry.cover import Body
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.movement import Slide
from fitcheck.job.model import Job
from fitcheck.placement.points import BACK, RIGHT, UP
from fitcheck.placement.scene import Kind, Part, Phase, Scene, Unplaced

USUAL_SPACING_MM = 50.0  # between neighbouring pads, sideways; common practice, no source
STAND = Need(Treatment.JOINED, "boots stand on it")
ON_PEDAL = "boot on "
ROOM_LOOKED_FOR_MM = 100.0  # beside a boot
ROOM_WITHIN_MM = 0.5  # how near a first touch is bracketed


@dataclass(frozen=True)
class Spacing:
    """Clear distance sideways between two neighbouring pads at rest, mm; negative where they overlap."""

    left: str
    right: str
    sideways_mm: float


@dataclass(frozen=True)
class SideRoom:
    """Free room beside a boot through its pedal's whole travel: at least `at_least_mm`, then `to` is met.

    `to` is None where nothing is met within the 100 mm looked at.
    """

    boot: str
    side: str
    at_least_mm: float
    to: str | None


@dataclass(frozen=True)
class Beside:
    """What feet and legs meet off the pedals, and what is only reported.

    `scene` holds the boots on their pedals, `off_pedals` are the names of the others, `notes` what was assumed of them.
    `heel_lifts` are the shares of travel from which the heel of a boot on its pedal is off the floor, None of those
    whose heel stays, for all that could be placed.
    """

    scene: Scene
    off_pedals: tuple[str, ...]
    gaps: tuple[Found, ...]
    notes: tuple[str, ...]
    heel_lifts: Mapping[str, float | None]
    spacing: tuple[Spacing, ...]

    @cached_property
    def rooms(self) -> tuple[SideRoom, ...]:
        """Beside every boot on its pedal; decides nothing, so worked out only where somebody asks."""
        return tuple(side_rooms(GapEngine(), self.scene))


def beside(engine: GapEngine, job: Job, scene: Scene, whole: Scene) -> Beside | None:
    """All of it, where the job speaks of boots; `scene` is without what `whole` holds besides."""
    if job.driver is None or not (job.driver.boots or job.driver.left_foot):
        return None
    off = [part for part in everyone(whole) if is_off_pedals(part)]
    return Beside(
        scene=scene,
        off_pedals=tuple(part.name for part in off),
        gaps=tuple(_gaps(engine, job, scene, off)),
        notes=tuple(note for note in whole.remarks if note not in scene.remarks and note.startswith("shin")),
        heel_lifts=dict(_heel_lifts(scene)),
        spacing=tuple(spacing(scene)),
    )


def everyone(scene: Scene) -> tuple[Part | Unplaced, ...]:
    """All parts of the scene, those that wait for a reading too."""
    return (*scene.parts, *scene.unplaced)


def is_off_pedals(part: Part | Unplaced) -> bool:
    """Whether the part is a leg, or a boot that is not on its pedal."""
    return part.kind is Kind.BOOT and not on_pedal(part)


def on_pedal(part: Part | Unplaced) -> bool:
    """Whether the part is a boot on its pedal."""
    return part.kind is Kind.BOOT and part.name.startswith(ON_PEDAL)


def _heel_lifts(scene: Scene) -> Iterator[tuple[str, float | None]]:
    """The travel at which the phase begins in which the pad carries the boot; a boot whose heel stays has no note."""
    for part in filter(on_pedal, scene.parts):
        carried = part.phases[-1]
        assert carried.travel is not None and carried.moves is not None
        yield part.name, carried.travel.share(carried.moves.start) if part.notes else None


def _gaps(engine: GapEngine, job: Job, scene: Scene, off: list[Part | Unplaced]) -> Iterator[Found]:
    around = [part for part in everyone(scene) if part.kind is not Kind.BOOT]
    for leg in off:
        for other in around:
            pair = Pair(leg, other, STAND) if _stands_on(leg, other) else pair_of(job, leg, other)
            if pair.need.treatment is not Treatment.NOT_LOOKED_AT:
                yield found(engine, pair)


def _stands_on(leg: Part | Unplaced, other: Part | Unplaced) -> bool:
    """Whether the other is a floor: a boot on a pedal is meant to touch it."""
    if leg.name.startswith("shin") or not isinstance(other, Part):
        return False
    return any(name.startswith(ON_PEDAL) for name in other.joined)


def spacing(scene: Scene) -> Iterator[Spacing]:
    """Neighbouring pads from left to right, as they stand at rest, without side play."""
    across = []
    for part in scene.parts:
        if part.kind is Kind.PEDAL:
            pad = next(piece for piece in part.phases[0].pieces if piece.name == f"{part.name} pad")
            true = pad if pad.swept_from is None else pad.swept_from[0]
            sideways = true.vertices @ RIGHT
            across.append((float(sideways.min()), float(sideways.max()), part.name))
    for (_, end, left), (start, _, right) in pairwise(sorted(across)):
        yield Spacing(left, right, start - end)


def side_rooms(engine: GapEngine, scene: Scene) -> Iterator[SideRoom]:
    """The room to the driver's left and right of every boot on its pedal, through the whole of its travel."""
    for boot in scene.parts:
        if on_pedal(boot):
            others = [part for part in scene.parts if _may_be_beside(part, boot)]
            for side, way in (("left", -RIGHT), ("right", RIGHT)):
                yield _side_room(engine, boot, side, way, others)


def _may_be_beside(part: Part, boot: Part) -> bool:
    if part.kind is Kind.BOOT or part.driven_by == boot.driven_by or part.name in boot.joined:
        return False
    return boot.name not in part.joined


def _side_room(engine: GapEngine, boot: Part, side: str, way: Vector, others: list[Part]) -> SideRoom:
    nearest, to = ROOM_LOOKED_FOR_MM, None
    for other in others:
        for phase in boot.phases:
            for still in other.phases:
                if not _in_line(phase, still, way, nearest):
                    continue
                moving = Body(phase.pieces, (Slide(way, 0.0, nearest), *phase.chain))
                touch = first_touch(engine, moving, still.body, "a", ROOM_WITHIN_MM)
                if touch is not None and touch[0] < nearest:
                    nearest, to = touch[0], other.name
    return SideRoom(boot.name, side, nearest, to)


def _in_line(phase: Phase, still: Phase, way: Vector, far: float) -> bool:
    """Whether the phase can meet the other within `far` mm along `way`: it is not above it, behind it or past it."""
    past = _least(phase, way) + _least(still, -way) > 0
    short = _least(still, way) + _least(phase, -way) > far
    return not (past or short or any(_least(phase, n) + _least(still, -n) > 0 for n in (BACK, -BACK, UP, -UP)))


def _least(phase: Phase, normal: Vector) -> float:
    """Least height along `normal` (3,) of the phase through its movement; minus infinity of what moves two ways."""
    points = np.vstack([piece.vertices for piece in phase.pieces])
    if not phase.chain:
        return float((points @ normal).min())
    if len(phase.chain) > 1:
        return -np.inf
    (move,) = phase.chain
    return float(move.least_heights(points, normal, move.start, move.stop).min())
