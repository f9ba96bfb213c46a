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

from fitcheck.clearance.gaps import Found
from fitcheck.confidence import wide
from fitcheck.confidence.draws import Drawing
from fitcheck.confidence.nudged import Add, Nudged, just_the_scene
from fitcheck.confidence.standing import Side, side
from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.gap import Gap, GapEngine, by_difference
from fitcheck.geometry.solids import Piece
from fitcheck.job.model import Job
from fitcheck.job.remedies import spelled
from fitcheck.placement.scans import of_surface
from fitcheck.placement.scene import Kind, Part, Scene
from fitcheck.readings.steps import SIGMAS_95, step_of
from fitcheck.readings.survey import Reading, ends_a_movement, readings

LIMITS = (
    "how far each gap may be off is worked out where its parts come closest; where a reading could move that place "
    "elsewhere, it may be off by more"
)


@dataclass(frozen=True)
class Share:
    """How much of a gap's spread one reading causes: its own part, mm (half-width of 95 %), with its sign.

    `reading` is the reading itself; None for what is none, as a scan's own surface.
    """

    key: str
    part_mm: float
    reading: Reading | None = None


def spreads(
    nudged: Nudged, found: Sequence[Found], add: Add = just_the_scene, drawing: Drawing | None = None
) -> list[tuple[Share, ...]]:
    """For each entry of `found`, the readings that move its gap, largest part first.

    Empty where it has no gap, or one known only to be ample: no reading that counts as one moves a part so far. A
    reading that ends a movement is not among them: the movement is covered beyond it by its spread.
    `add` puts into the scene of a moved job what `found` has besides; parts that stay the same are not looked at again.
    A `drawing` takes note of each scene as well.
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
            by = _change(found[i], sides[i], parts) / step
            if not elsewhere and wide.may_bend(found[i], parts, reading.spread / abs(step)):
                ends = wide.elsewhere(nudged, reading, add, wide.BOTH_ENDS)  # made once, kept by `nudged`
                part_mm = wide.bent(found[i], sides[i], ends, by * reading.spread)
            else:
                part_mm = wide.larger(by * reading.spread, found[i], elsewhere)
            _add(shares[i], reading, part_mm)
            if drawing is not None:
                drawing.note(reading, step, parts, i, part_mm / reading.spread, by)
    _of_scans(nudged.job, with_part, shares)
    return [tuple(sorted(of_entry, key=lambda share: -abs(share.part_mm))) for of_entry in shares]


def _of_scans(job: Job, with_part: dict[str, list[int]], shares: list[list[Share]]) -> None:
    """Adds what a scan's own surface may be off by: as much along the gap as along any direction."""
    for index, obstacle in enumerate(job.obstacles):
        scanned = of_surface(obstacle)
        if scanned is None:
            continue
        for i in with_part.get(obstacle.name, ()):
            shares[i].append(Share(f"{spelled(('obstacles', index, 'shape'))}, the scan's own", scanned[0]))


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


def _change(entry: Found, sides: tuple[Side, ...], parts: dict[str, Part]) -> float:
    """How far the gap opens, mm, with the parts as placed anew: by its witnesses, else by measuring it again.

    0 where a step takes a boot over the edge between lifting late and throughout: no slope holds there, and where it
    matters the pair is searched anew at both ends of the spread.
    """
    advances = [side.advance(parts) for side in sides]
    known = [advance for advance in advances if advance is not None]
    if len(known) == len(advances):
        return -sum(known)
    if wide.lifts(entry):
        return 0.0
    return _measured(sides, parts) - _measured(sides, {})


def _measured(sides: tuple[Side, ...], parts: dict[str, Part]) -> float:
    """The gap of all pieces of both phases standing as they do at the closest place, mm; negative inside."""
    a, b = ([_hull(points) for points in side.pieces(parts)] for side in sides)
    engine = GapEngine()
    found = [_gap(engine, one, other) for one in a for other in b]
    return min(gap.gap_mm - gap.depth_mm for gap in found)


def _hull(points: Vector) -> Piece | Vector:
    """A piece, made once for all it is measured against; the one triangle of a scan stays as it is."""
    return points if len(points) < 4 else Piece(points)


def _gap(engine: GapEngine, one: Piece | Vector, other: Piece | Vector) -> Gap:
    """The gap of two hulls; one of them may be the one triangle of a scan."""
    if isinstance(one, Piece) and isinstance(other, Piece):
        return engine.gap(one, other)
    a, b = (each.vertices if isinstance(each, Piece) else each for each in (one, other))
    return by_difference(a, b)


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
        shares.append(Share(reading.key, part_mm, reading))


def _sides(entry: Found) -> tuple[Side, ...]:
    """Both witnesses of an entry; none where it has no gap."""
    closest, a, b = entry.closest, entry.pair.a, entry.pair.b
    if closest is None or not closest.gap.bracketed or not isinstance(a, Part) or not isinstance(b, Part):
        return ()
    gap, meet = closest.gap, closest.gap.gap_mm == 0
    return (
        side(a, b, closest.a_phase, gap.a_piece, gap.a_at, gap.normal, gap.on_a, meet),
        side(b, a, closest.b_phase, gap.b_piece, gap.b_at, -gap.normal, gap.on_b, meet),
    )


def total(shares: Sequence[Share]) -> float:
    """Spread of the gap, mm: root of the sum of squares."""
    return float(np.sqrt(sum(share.part_mm**2 for share in shares)))


def chance_under(bound_mm: float, required_mm: float, spread_mm: float) -> float:
    """Chance (0..1) that the true gap is under the required one: normal about the bound."""
    if spread_mm == 0:
        return float(bound_mm < required_mm)
    return 0.5 * (1 + erf((required_mm - bound_mm) / (spread_mm / SIGMAS_95) / sqrt(2)))
