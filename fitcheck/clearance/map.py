"""The map of clock and place: how much room the unit keeps at each node, and in each whole cell between nodes.

A margin is the least gap less what is required, over every judged pair, the whole travel of everything that moves and
every pull at the wheel. Clocks in rad (clockwise from 12), places of the input face in mm from the hub seat.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fitcheck.clearance.map_ask import Asker
from fitcheck.clearance.map_before import Before
from fitcheck.clearance.map_bodies import Bodies, bodies, refuse_joints
from fitcheck.clearance.map_bounds import Indices, Planes
from fitcheck.clearance.map_leaves import Found, Leaves
from fitcheck.clearance.map_roots import Regions, Roots, throughout
from fitcheck.clearance.map_search import MapSearch
from fitcheck.errors import GeometryError
from fitcheck.geometry.frames import Vector, frozen
from fitcheck.geometry.gap import Gap, GapEngine
from fitcheck.job.model import Job
from fitcheck.placement.column import ColumnAxis
from fitcheck.placement.scene import Scene

STRIDE = 3  # every third clock and place is looked at first, the others start from what was found there
FINEST_MM = 0.05
FULL_TURN = 2 * np.pi
ROUND_WITHIN = 1e-9


@dataclass(frozen=True)
class Decides:
    """What is nearest to its limit at a node or in a cell: two parts, their pieces, what is required of them and why.

    `at_travel` is how far each pedal is pressed there, `at_movement` how far each group (engine, column) has moved, as
    shares; empty where the pair stands still.
    """

    a: str
    a_piece: str
    b: str
    b_piece: str
    required_mm: float
    required_from: str
    at_travel: dict[str, float]
    at_movement: dict[str, float]


@dataclass(frozen=True, eq=False)
class Margins:
    """Certified margins (c, s) and the least that a witness shows; the true one lies between, and they are near.

    `mm` never exceeds the cap; where it reaches it, that is "at least". `witnessed_mm` is inf where nothing came near
    enough to be asked about. `meets` where something is known to hit: there `mm` is certified but may lie far below;
    `cut_short` where the search ended early, and the two are not near.
    """

    mm: Vector
    witnessed_mm: Vector
    meets: NDArray[np.bool_]
    at_least: NDArray[np.bool_]
    cut_short: NDArray[np.bool_]
    queries: int
    _found: Found
    _asker: Asker

    @property
    def _bodies(self) -> Bodies:
        return self._asker.bodies

    def decides(self, clock: int, place: int) -> Decides | None:
        """The pair that decides at an index of clock and of place; None where nothing came near enough to be asked."""
        region = clock * self.mm.shape[1] + place
        pair = int(self._found.pair[region])
        return None if pair < 0 else self._said(pair, self._found.at[region])

    def strikes(self, clock: int, place: int) -> Decides | None:
        """A pair that meets there, where one is known to."""
        region = clock * self.mm.shape[1] + place
        known = self._found.nearest(region) if self._found.meets[region] else None
        return None if known is None else self._said(known[0], known[1])

    def nearest(self, clock: int, place: int) -> tuple[Decides, Gap] | None:
        """A pair that meets there, where one is known to, else the pair that decides; and where it comes closest.

        In the car's frame, the column as measured. Of a pair that someone pulling the wheel brings nearer, for the pull
        that brings it nearest. Of two that meet, at one place where they do, which need not be the deepest.
        """
        known = self._found.nearest(clock * self.mm.shape[1] + place)
        if known is None:
            return None
        gap, column2car = self._asker.nearest(*known), ColumnAxis(self._bodies.job).column2car
        on_a, on_b = column2car.points(gap.on_a), column2car.points(gap.on_b)
        moved = replace(gap, normal=column2car.directions(gap.normal), on_a=on_a, on_b=on_b)
        return self._said(known[0], known[1]), moved

    def _said(self, pair: int, at: Vector) -> Decides:
        mover = self._bodies.movers[int(self._bodies.mover_of[pair])]
        fixture = self._bodies.fixtures[int(self._bodies.fixture_of[pair])]
        need = self._bodies.needs[pair]
        pressed, moved = fixture.travel(at[2:])
        return Decides(
            mover.part.name, mover.piece.name, fixture.part.name, fixture.piece.name,
            need.required_mm, need.required_from, pressed, moved,
        )  # fmt: skip


@dataclass(frozen=True, eq=False)
class Map:
    """Margins of the `nodes` at `clocks` (c,) and `places_mm` (s,), and `floors` of the whole `cells` between them.

    Cells are (c - 1, s - 1), or (c, s - 1) where the clocks go all the way round and the last cell closes the circle.
    A cell's margin holds for every clock and place in it and is never above those of its corners.
    """

    clocks: Vector
    places_mm: Vector
    cap_mm: float
    nodes: Margins
    cells: Margins


class MapMaker:
    """Makes the nodes of a map, then the cells. Raises GeometryError for clocks and places that make no grid.

    `around`: the clocks go all the way round, so that from the last to the first is a cell too. `more` says by the
    names of a pair how much more than required it is to keep (mm): margins are then less what is required and that.
    Nodes may be asked for to a finer width than cells, which cost more (`nodes_within_mm`).
    """

    def __init__(
        self,
        engine: GapEngine,
        job: Job,
        scene: Scene,
        clocks: ArrayLike,
        places_mm: ArrayLike,
        around: bool = False,
        within_mm: float = 0.5,
        cap_mm: float = 60.0,
        more: Mapping[frozenset[str], float] | None = None,
        nodes_within_mm: float | None = None,
    ) -> None:
        self.clocks, self.places_mm = frozen(clocks, (None,)), frozen(places_mm, (None,))
        self._around, self.cap_mm = around, cap_mm
        _checked(self.clocks, self.places_mm, around, within_mm, cap_mm)
        self._engine = engine
        self._bodies = _asking(bodies(engine, job, scene), more or {})
        refuse_joints(job, self._bodies, float(self.places_mm[0]), float(self.places_mm[-1]))
        self._movements = self._bodies.ranges.shape[1]
        self._planes = Planes(self._bodies)
        self._throughout = throughout(self._bodies)
        finer = within_mm if nodes_within_mm is None else nodes_within_mm
        _checked(self.clocks, self.places_mm, around, finer, cap_mm)
        self._asker = Asker(engine, self._planes, min(within_mm, finer))
        self._search = MapSearch(self._planes, self._asker, within_mm, cap_mm)
        self._fine = MapSearch(self._planes, self._asker, finer, cap_mm)
        self._kept: Leaves | None = None

    def nodes(self) -> Margins:
        """Every node to within the promised width, up to the cap."""
        before = self._engine.queries
        clocks, places = self.clocks[::STRIDE], self.places_mm[::STRIDE]
        coarse = Found(len(clocks) * len(places), self._movements)
        kept = self._fine.run(self._roots(Regions(clocks, clocks, places, places)), coarse)
        parent = _nearest(len(self.clocks))[:, None] * len(places) + _nearest(len(self.places_mm))
        found = Found(parent.size, self._movements)
        regions = Regions(self.clocks, self.clocks, self.places_mm, self.places_mm)
        self._kept = self._fine.run(self._roots(regions), found, Before(coarse, kept, parent.ravel()))
        return self._margins(found, regions, before)

    def cells(self, nodes: Margins) -> Margins:
        """Every cell to within the promised width of the least place found in it; `nodes` as `nodes` made them."""
        if self._kept is None:
            raise GeometryError("the cells of a map start from its nodes: make those first")
        before, known = self._engine.queries, nodes._found
        regions, corners = self._cell_grid()
        found, each = Found(corners.shape[1], self._movements), np.arange(corners.shape[1])
        for corner in corners:
            hit = known.meets[corner]
            found.meets[hit], found.met[hit] = True, known.met[corner[hit]]
            seen = np.flatnonzero(known.pair[corner] >= 0)
            of = corner[seen]
            found.saw(each[seen], known.pair[of], known.at[of], known.witnessed[of], known.normals[of])
        parent = corners[known.witnessed[corners].argmin(axis=0), each]
        self._search.run(self._roots(regions), found, Before(known, self._kept, parent))
        found.floors = np.minimum(found.floors, known.floors[corners].min(axis=0))
        return self._margins(found, regions, before)

    def _cell_grid(self) -> tuple[Regions, Indices]:
        """The cells as regions, and the nodes (4, cells) at their corners."""
        node = np.arange(len(self.clocks) * len(self.places_mm)).reshape(len(self.clocks), -1)
        following = np.roll(node, -1, axis=0)
        last = len(self.clocks) if self._around else len(self.clocks) - 1
        ends = np.append(self.clocks[1:], self.clocks[0] + FULL_TURN)[:last]
        corners = [grid[:last, side].ravel() for grid in (node, following) for side in (slice(-1), slice(1, None))]
        return Regions(self.clocks[:last], ends, self.places_mm[:-1], self.places_mm[1:]), np.stack(corners)

    def _roots(self, regions: Regions) -> Roots:
        return Roots(self._planes, self._throughout, regions)

    def _margins(self, found: Found, regions: Regions, queries: int) -> Margins:
        floors = found.floors.reshape(regions.shape)
        return Margins(
            mm=frozen(np.minimum(floors, self.cap_mm), (None, None)),
            witnessed_mm=found.witnessed.reshape(regions.shape),
            meets=found.meets.reshape(regions.shape),
            at_least=floors >= self.cap_mm,
            cut_short=found.cut_short.reshape(regions.shape),
            queries=self._engine.queries - queries,
            _found=found,
            _asker=self._asker,
        )


def _asking(known: Bodies, more: Mapping[frozenset[str], float]) -> Bodies:
    """The same bodies, each pair to keep `more` than is required of it."""
    pairs = zip(known.mover_of.tolist(), known.fixture_of.tolist(), strict=True)
    names = (frozenset((known.movers[i].part.name, known.fixtures[k].part.name)) for i, k in pairs)
    return replace(known, required=known.required + np.array([more.get(pair, 0.0) for pair in names]))


def _nearest(count: int) -> Indices:
    """For each of `count` the nearest of every `STRIDE`th, by its number among those."""
    return np.minimum((np.arange(count) + STRIDE // 2) // STRIDE, (count - 1) // STRIDE)


def _checked(clocks: Vector, places: Vector, around: bool, within_mm: float, cap_mm: float) -> None:
    if len(clocks) < 2 or len(places) < 2:
        raise GeometryError("a map needs two clocks and two places at least")
    steps = np.diff(np.append(clocks, clocks[0] + FULL_TURN)) if around else np.diff(clocks)
    if not ((steps > 0).all() and (steps < np.pi).all() and np.ptp(clocks) <= FULL_TURN + ROUND_WITHIN):
        raise GeometryError("the clocks of a map rise by less than half a turn at a time, once round at most")
    if not (np.diff(places) > 0).all():
        raise GeometryError("the places of a map rise")
    if not (within_mm >= FINEST_MM and cap_mm > 0):
        raise GeometryError(f"a map is known to {FINEST_MM} mm at best, and up to a cap above 0")
