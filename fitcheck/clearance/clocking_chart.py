"""The map over all that is allowed, finer where the unit may fit: an `ArcMap` for each stretch of clocks.

Clocks in rad, places in mm from the hub seat. A cell lies between two following clocks and two following places.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from fitcheck.clearance.clocking_allowed import Allowed, Arc
from fitcheck.clearance.map import Decides, Map, MapMaker
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.model import Job
from fitcheck.placement.scene import Scene

PROMISING_MM = -6.0  # between two coarse nodes up to so much more room may be found; ours
MOST_NODES = 5000
FINEST = 4  # parts of a coarse step
WITHIN_MM, CAP_MM = 0.5, 60.0
FINE_NODE_MM = 0.1  # of a map to be looked at
SAME_LINE, SLIVER = 1e-9, 0.1  # of a step: no two lines of a grid stand nearer than that
FULL_TURN = 2 * np.pi
More = Mapping[frozenset[str], float]  # by the names of a pair: how much more than required it is to keep, mm


@dataclass(frozen=True, eq=False)
class ArcMap:
    """The map over one arc. `edges` (n + 1,) are the clocks between which its n columns of cells lie."""

    arc: Arc
    map: Map

    @property
    def edges(self) -> Vector:
        clocks = self.map.clocks
        return np.append(clocks, clocks[0] + 2 * np.pi) if self.arc.around else clocks

    def keeps(self) -> NDArray[np.bool_]:
        """Which cells (n, s) keep every required gap throughout."""
        return np.asarray(self.map.cells.mm >= 0)

    def around_mm(self) -> Vector:
        """For each node (c, s) the least floor of the cells it is a corner of: what holds all round it."""
        floors = self.map.cells.mm
        ends = (1, 1)
        by_clock = np.concatenate([floors[-1:], floors, floors[:1]]) if self.arc.around else np.pad(
            floors, (ends, (0, 0)), constant_values=np.inf)  # fmt: skip
        wide = np.pad(by_clock, ((0, 0), ends), constant_values=np.inf)
        around = np.stack([wide[:-1, :-1], wide[:-1, 1:], wide[1:, :-1], wide[1:, 1:]]).min(axis=0)
        return np.asarray(around[: len(self.map.clocks)])


@dataclass(frozen=True, eq=False)
class Chart:
    """Maps over all that is allowed, and how many questions they cost."""

    allowed: Allowed
    arcs: tuple[ArcMap, ...]
    queries: int


def chart(engine: GapEngine, job: Job, scene: Scene, allowed: Allowed) -> Chart:
    """The whole map; finer between coarse nodes that come near to keeping every gap."""
    before = engine.queries
    arcs = []
    for arc in allowed.arcs:
        clocks, places = _finer(engine, job, scene, arc, allowed.places(), MOST_NODES // len(allowed.arcs))
        arcs.append(ArcMap(arc, _made(engine, job, scene, arc, clocks, places)))
    return Chart(allowed, tuple(arcs), engine.queries - before)


def plain_chart(
    engine: GapEngine, job: Job, scene: Scene, allowed: Allowed, also: Sequence[tuple[float, float]] = ()
) -> Chart:
    """The map on its coarse grid, every step whole, nodes known finely: to be looked at, not searched.

    Clocks (rad) and places (mm) of `also` are lines of the grid as well, so far as they are allowed.
    """
    before = engine.queries
    places = allowed.places()
    for _, place in also:
        places = _with(places, place)
    arcs = []
    for arc in allowed.arcs:
        clocks = arc.clocks()
        for clock, _ in [] if arc.step else also:
            clocks = _with(clocks, clock % FULL_TURN, arc.stop if arc.around else -np.inf)
        maker = MapMaker(
            engine, job, scene, clocks, places, arc.around, WITHIN_MM, CAP_MM, nodes_within_mm=FINE_NODE_MM
        )
        nodes = maker.nodes()
        arcs.append(ArcMap(arc, Map(maker.clocks, maker.places_mm, CAP_MM, nodes, maker.cells(nodes))))
    return Chart(allowed, tuple(arcs), engine.queries - before)


def _with(lines: Vector, value: float, beyond: float = -np.inf) -> Vector:
    """The lines of a grid with `value` among them, in place of an inner line very near; unchanged where it is outside.

    Values up to `beyond` count as inside, on a circle that closes there.
    """
    if not lines[0] <= value <= max(lines[-1], beyond) or np.abs(lines - value).min() < SAME_LINE:
        return lines
    near = SLIVER * (lines[1] - lines[0] if len(lines) < 3 else np.diff(lines).max())
    inner = np.ones(len(lines), dtype=bool)
    inner[1:-1] = np.abs(lines[1:-1] - value) > near
    return np.sort(np.append(lines[inner], value))


def surer(engine: GapEngine, job: Job, scene: Scene, clocks: Vector, places: Vector, more: More) -> Map:
    """Part of a map once more, each pair to keep so much more than is required of it."""
    return _made(engine, job, scene, Arc(float(clocks[0]), float(clocks[-1])), clocks, places, more)


def coarse_best(engine: GapEngine, job: Job, scene: Scene, allowed: Allowed) -> "Node":
    """The node of a coarse map with the largest margin: quick, for comparing one job with another."""
    found = []
    for arc in allowed.arcs:
        maker = MapMaker(engine, job, scene, arc.clocks(), allowed.places(), arc.around, WITHIN_MM, CAP_MM)
        nodes = maker.nodes()
        at = np.unravel_index(int(nodes.mm.argmax()), nodes.mm.shape)
        clock, place = int(at[0]), int(at[1])
        found.append(
            Node(arc, float(maker.clocks[clock]), float(maker.places_mm[place]), float(nodes.mm[clock, place]),
                 bool(nodes.meets[clock, place]), nodes.decides(clock, place))
        )  # fmt: skip
    return max(found, key=lambda node: (not node.meets, node.margin_mm))


@dataclass(frozen=True)
class Node:
    """One clock and place with its certified margin, whether anything is known to hit there, and what decides."""

    arc: Arc
    clock: float
    place_mm: float
    margin_mm: float
    meets: bool
    decides: Decides | None


def _made(
    engine: GapEngine, job: Job, scene: Scene, arc: Arc, clocks: Vector, places: Vector, more: More | None = None
) -> Map:
    maker = MapMaker(engine, job, scene, clocks, places, arc.around, WITHIN_MM, CAP_MM, more or {})
    nodes = maker.nodes()
    return Map(maker.clocks, maker.places_mm, CAP_MM, nodes, maker.cells(nodes))


def _finer(engine: GapEngine, job: Job, scene: Scene, arc: Arc, places: Vector, most: int) -> tuple[Vector, Vector]:
    """Clocks and places, the coarse steps that look promising cut into as many parts as `most` nodes allow."""
    clocks = arc.clocks()
    nodes = MapMaker(engine, job, scene, clocks, places, arc.around, WITHIN_MM, CAP_MM).nodes()
    near = np.asarray(nodes.mm >= PROMISING_MM)
    by_clock, by_place = np.asarray(near.any(axis=1)), np.asarray(near.any(axis=0))
    edges = np.append(clocks, arc.stop) if arc.around else clocks
    clock_near = np.append(by_clock, by_clock[0]) if arc.around else by_clock
    for parts in range(FINEST, 0, -1):
        fine_clocks = edges if arc.step else _cut(edges, clock_near, parts)
        fine_places = _cut(places, by_place, parts)
        if len(fine_clocks) * len(fine_places) <= most or parts == 1:
            break
    return fine_clocks[:-1] if arc.around else fine_clocks, fine_places


def _cut(edges: Vector, near: NDArray[np.bool_], parts: int) -> Vector:
    """Each step between two `edges` of which one is `near` cut into so many parts, the others left whole."""
    steps = [
        np.linspace(one, following, parts + 1 if near[i] or near[i + 1] else 2)[:-1]
        for i, (one, following) in enumerate(pairwise(edges.tolist()))
    ]
    return np.concatenate([*steps, edges[-1:]])
