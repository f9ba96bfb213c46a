"""What of a window is sure: the cells that keep each pair's required gap and its spread on top.

A pair is clear where its certified margin is at least its spread (a chance of 2.5 % of being under, by first order).
The spread is worked out at some places of the window; a cell is asked for the most that any of the `NEAREST` places
nearest to it has, pair by pair, by a map made anew with that much more required.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import pi, tau

import numpy as np
from numpy.typing import NDArray

from fitcheck.clearance.clocking_chart import surer
from fitcheck.clearance.clocking_spots import SET_CLOCK, SET_MM, Spot
from fitcheck.clearance.clocking_windows import Mask, Region, cells_at, column_run
from fitcheck.confidence.clocking_judged import Judgement
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.model import Job
from fitcheck.placement.scene import Scene

NEAREST = 3


@dataclass(frozen=True)
class Taken:
    """The most that a pair's gap may be off at any place that was looked at, mm; not `near` where it was nowhere near:
    then it is the most of any pair."""

    a: str
    b: str
    spread_mm: float
    near: bool


def places_to_look(keeps: Sequence[Region], have: Sequence[Spot], count: int) -> Iterator[Spot]:
    """Corners of keeping cells, each as far as can be from all places before it."""
    corners = np.concatenate([_corners(region) for region in keeps])
    known = np.array([[spot.clock, spot.place_mm] for spot in have])
    for _ in range(count):
        clock, place_mm = corners[int(_steps(corners, known).min(axis=1).argmax())].tolist()
        known = np.append(known, [[clock, place_mm]], axis=0)
        yield Spot(clock % tau, place_mm, 0.0)


def widest(samples: Sequence[Judgement]) -> tuple[Taken, ...]:
    """Every pair's largest spread at any of the places, largest first."""
    most: dict[tuple[str, str], float] = {}
    for entry in (entry for sample in samples for entry in sample.known):
        names = entry.pair.a.name, entry.pair.b.name
        most[names] = max(most.get(names, 0.0), entry.spread_mm)
    largest = max(most.values())
    taken = [Taken(a, b, spread or largest, near=spread > 0) for (a, b), spread in most.items()]
    return tuple(sorted(taken, key=lambda each: (not each.near, -each.spread_mm)))


def edges_to_look(parts: Sequence[Region], have: Sequence[Spot], count: int) -> list[Spot]:
    """Corners of the roomiest box of each part, and `count` corners of its cells far from all places before."""
    boxes = [part.box for part in parts]
    corners = [
        Spot(clock % tau, place_mm, 0.0)
        for box in boxes
        for clock in ((box.clock,) if box.all_round else (box.start, box.stop))
        for place_mm in (box.low_mm, box.high_mm)
    ]
    return [*corners, *places_to_look(parts, [*have, *corners], count)]


def touching(region: Region, spots: Sequence[Spot]) -> Mask:
    """Cells (n, s) of a region's map that hold any of the spots, or have one on their edge."""
    return np.asarray(np.any([cells_at(region.of, spot.clock, spot.place_mm) for spot in spots], axis=0))


def sure_cells(
    engine: GapEngine, job: Job, scene: Scene, region: Region, samples: Sequence[Judgement], overall: Sequence[Taken]
) -> Mask:
    """Which cells (n, s) of a region keep every gap surely. A pair near at none of the places takes `overall`'s."""
    sure = np.zeros_like(region.cells)
    spots = np.array([[sample.spot.clock, sample.spot.place_mm] for sample in samples])
    owner = _owners(region, spots)
    for i in np.unique(owner[region.cells]).tolist():
        nearest = np.argsort(_steps(spots[i : i + 1], spots)[0], kind="stable")[:NEAREST]
        near = widest([samples[k] for k in nearest.tolist()])
        more = {frozenset((each.a, each.b)): each.spread_mm for each in overall}
        more |= {frozenset((each.a, each.b)): each.spread_mm for each in near if each.near}
        block = region.cells & (owner == i)
        columns, clocks = _columns(region, block)
        rows = np.flatnonzero(block.any(axis=0))
        places = region.of.map.places_mm[rows[0] : rows[-1] + 2]
        floors = surer(engine, job, scene, clocks, places, more).cells.mm
        kept = np.zeros_like(block)
        kept[np.ix_(columns, np.arange(rows[0], rows[-1] + 1))] = floors >= 0
        sure |= kept & block
    return sure


def _columns(region: Region, block: Mask) -> tuple[NDArray[np.int64], Vector]:
    """The columns of cells that hold a block, in order, and the clocks (one more) between which they lie."""
    edges, held = region.of.edges, np.asarray(block.any(axis=1))
    if not region.of.arc.around:
        which = np.flatnonzero(held)
        columns = np.arange(which[0], which[-1] + 1)
        return columns, edges[columns[0] : columns[-1] + 2]
    first, last = column_run(held)
    columns = np.arange(first, last + 1 if last >= first else last + 1 + len(held)) % len(held)
    return columns, edges[columns[0]] + np.concatenate([[0.0], np.cumsum(np.diff(edges)[columns])])


def _owners(region: Region, spots: Vector) -> NDArray[np.int64]:
    """For each cell the place nearest to its middle."""
    edges, places = region.of.edges, region.of.map.places_mm
    middles = np.stack(
        np.meshgrid((edges[:-1] + edges[1:]) / 2, (places[:-1] + places[1:]) / 2, indexing="ij"), axis=-1
    )
    return np.asarray(_steps(middles.reshape(-1, 2), spots).argmin(axis=1).reshape(region.cells.shape))


def _steps(of: Vector, to: Vector) -> Vector:
    """How many setting steps (m, n) clocks and places `of` (m, 2) are from those in `to` (n, 2)."""
    turned = (of[:, None, 0] - to[None, :, 0] + pi) % tau - pi
    return np.asarray(np.hypot(turned / SET_CLOCK, (of[:, None, 1] - to[None, :, 1]) / SET_MM))


def _corners(region: Region) -> Vector:
    clock, along = np.nonzero(region.cells)
    return np.stack([region.of.edges[clock], region.of.map.places_mm[along]], axis=1)
