"""One clock and place of the unit: the job and its scene there, the gaps of what turns, and the finest best place.

Clocks in rad, places in mm from the hub seat.
"""

from dataclasses import dataclass
from math import pi, radians, tau
from pathlib import Path

import numpy as np

from fitcheck.clearance.clocking_allowed import Allowed, Arc, between
from fitcheck.clearance.clocking_chart import CAP_MM, ArcMap, Chart
from fitcheck.clearance.gaps import Found, found
from fitcheck.clearance.map import Map, MapMaker
from fitcheck.clearance.map_bodies import turns
from fitcheck.clearance.pairs import Pair, Treatment, pairs
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.model import Job
from fitcheck.job.variants import with_unit_at
from fitcheck.placement.place import place
from fitcheck.placement.scene import Part, Scene, Setting

FINE_CLOCK = radians(0.5)  # a minute of the clock face
FINE_MM = {"mm": 0.5, "in": 25.4 / 32}  # what one can set to by the tape that is used
ABOUT_CLOCK, ABOUT_MM = radians(2.5), 3.0  # how far about a node of the map the best place is looked for
FINE_WITHIN_MM = 0.1
SET_CLOCK, SET_MM = radians(2.0), 2.0  # how well a unit is set by eye and tape; common practice, no source
CANDIDATES = 3  # nodes of the map about which the best place is looked for
SAME_MM = 0.5  # margins of the map this near are the same


@dataclass(frozen=True)
class Spot:
    """A clock and place, and the margin certified for it and all round it (as far as one can set)."""

    clock: float
    place_mm: float
    margin_mm: float


def at_spot(job: Job, folder: Path, like: Scene, clock: float, place_mm: float) -> tuple[Job, Scene]:
    """The job with its unit there, placed; raises KeyFault where it cannot sit there."""
    there = with_unit_at(job, clock, place_mm - mark_mm(like.setting))
    return there, place(there, folder, like=like)


def sits_from(engine: GapEngine, job: Job, folder: Path, like: Scene, low: float, high: float) -> None:
    """Raises KeyFault where the unit cannot sit anywhere from `low` to `high`."""
    for place_mm in (low, high):
        at_spot(job, folder, like, like.setting.clock, place_mm)
    MapMaker(engine, job, like, [0.0, FINE_CLOCK], [low, high])


def turning_gaps(engine: GapEngine, job: Job, scene: Scene) -> list[Found]:
    """The judged pairs of what turns with the unit, with their gaps."""
    return [found(engine, pair) for pair in pairs(job, (*scene.parts, *scene.unplaced)) if changes(job, pair)]


def changes(job: Job, pair: Pair) -> bool:
    """Whether the pair is judged and its gap depends on the unit's clock and place."""
    known = [part for part in (pair.a, pair.b) if isinstance(part, Part)]
    return pair.need.treatment is Treatment.JUDGED and sum(turns(job, part) for part in known) == 1


def margin_of(entry: Found) -> float:
    """The margin of a pair with a gap, certified; of parts that meet, less than nothing by their depth and the need."""
    assert entry.closest is not None
    gap = entry.closest.gap
    return (gap.bound_mm if gap.gap_mm > 0 else -gap.depth_mm) - entry.pair.need.required_mm


def promising(known: Chart, own: Spot) -> list[tuple[Spot, Arc]]:
    """The best node of the map, and others as good to half a millimetre: the one nearest to `own`, and some far away.

    None where all of them hit.
    """
    found = [(arc, margins_about(arc)) for arc in known.arcs]
    most = max(float(margins.max()) for _, margins in found)
    if not np.isfinite(most):
        return []
    same = [
        (Spot(float(each.map.clocks[i]), float(each.map.places_mm[k]), float(margins[i, k])), each.arc)
        for each, margins in found
        for i, k in np.argwhere(margins >= most - SAME_MM).tolist()
    ]
    chosen = [max(same, key=lambda entry: entry[0].margin_mm), min(same, key=lambda entry: apart(entry[0], own))]
    while len(chosen) < min(CANDIDATES, len(same)):
        chosen.append(max(same, key=lambda entry: min(apart(entry[0], spot) for spot, _ in chosen)))
    return chosen


def apart(one: Spot, other: Spot) -> float:
    """How many setting steps of clock and place two spots are apart."""
    turned = (one.clock - other.clock + pi) % tau - pi
    return float(np.hypot(turned / SET_CLOCK, (one.place_mm - other.place_mm) / SET_MM))


def fine_map(engine: GapEngine, job: Job, scene: Scene, there: Allowed, arc: Arc, spot: Spot) -> ArcMap:
    """The map within a few degrees and millimetres of `spot`, on the steps that one can set to."""
    clocks = arc.clocks()
    if not arc.step:
        start, stop = spot.clock - ABOUT_CLOCK, spot.clock + ABOUT_CLOCK
        inside = (start, stop) if arc.around else (max(start, arc.start), min(stop, arc.stop))
        clocks = between(*inside, FINE_CLOCK)
    mark = mark_mm(scene.setting)
    low, high = max(spot.place_mm - ABOUT_MM, there.low_mm), min(spot.place_mm + ABOUT_MM, there.high_mm)
    places = mark + between(low - mark, high - mark, FINE_MM[job.job.show])
    maker = MapMaker(engine, job, scene, clocks, places, within_mm=FINE_WITHIN_MM, cap_mm=CAP_MM)
    nodes = maker.nodes()
    fine = Map(maker.clocks, maker.places_mm, CAP_MM, nodes, maker.cells(nodes))
    return ArcMap(Arc(float(clocks[0]), float(clocks[-1]), step=arc.step), fine)


def best_of(fine: ArcMap, own: Spot) -> Spot | None:
    """The best place of a fine map, of those as good the one nearest to `own`; None where all of it hits."""
    margins = margins_about(fine)
    if not np.isfinite(margins).any():
        return None
    spots = [
        Spot(float(fine.map.clocks[i]) % tau, float(fine.map.places_mm[k]), float(margins[i, k]))
        for i, k in np.argwhere(margins >= margins.max() - FINE_WITHIN_MM).tolist()
    ]
    return min(spots, key=lambda spot: apart(spot, own))


def margins_about(of: ArcMap) -> Vector:
    """Margins (c, s) of the nodes with the cells about them where any of those keeps; else of the nodes alone.

    Nodes that hit are -inf then; the ends of a mounting step's play are no places to choose.
    """
    margins = of.around_mm()
    if margins.max() < 0:
        margins = np.where(of.map.nodes.meets, -np.inf, of.map.nodes.mm)
    if of.arc.step:
        margins[[0, -1]] = -np.inf
    return margins


def mark_mm(own: Setting) -> float:
    """Where the mark that the unit's place is measured from is, mm from the hub seat."""
    return own.input_face_mm - own.from_mark_mm
