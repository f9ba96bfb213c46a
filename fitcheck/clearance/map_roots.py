"""What bounds every pair over every region of a map at once: a fixed set of directions, each a plane held throughout.

Extents along the directions are worked out once for each piece: for movers at each clock, for fixtures over their
whole movement. Pairs are first bounded over blocks of regions, then only where they may matter region by region.
"""

from dataclasses import dataclass

import numpy as np

from fitcheck.clearance.map_bodies import Bodies
from fitcheck.clearance.map_bounds import Boxes, Indices, Planes, clocked_back, peaks
from fitcheck.clearance.map_leaves import Found, Leaves
from fitcheck.geometry.frames import EYE, Vector
from fitcheck.geometry.gap import ROUNDING_MM
from fitcheck.geometry.sides import FIXED

CLOCKS_A_BLOCK, PLACES_A_BLOCK = 6, 7
CHUNK = 4096  # pairs of regions and pieces looked at in one go: what stays in a processor's cache


@dataclass(frozen=True, eq=False)
class Regions:
    """A grid of regions: clocks from `clock_low` to `clock_high` (c,), places `place_low` to `place_high` (s,).

    Numbered with the place changing fastest; nodes have no width.
    """

    clock_low: Vector
    clock_high: Vector
    place_low: Vector
    place_high: Vector

    @property
    def shape(self) -> tuple[int, int]:
        return len(self.clock_low), len(self.place_low)

    def boxes(self, region: Indices, pair: Indices, start: Vector, stop: Vector) -> Boxes:
        """Whole regions for pairs, over travels from `start` to `stop` (m, t)."""
        clock, place = np.divmod(region, self.shape[1])
        low = np.column_stack([self.clock_low[clock], self.place_low[place], start])
        high = np.column_stack([self.clock_high[clock], self.place_high[place], stop])
        return Boxes(pair, low, high)


class Roots:
    """The first bounds over a grid of regions."""

    def __init__(self, planes: Planes, throughout: Vector, regions: Regions) -> None:
        bodies = planes.bodies
        self.regions, self.bodies = regions, bodies
        self._lows = throughout[bodies.fixture_of]
        widths = regions.clock_high - regions.clock_low
        self._by_clock = np.array([
            np.maximum(_turned(mover.corners, regions.clock_low), _turned(mover.corners, regions.clock_high))
            + mover.reach * peaks(FIXED[None], widths[:, None])
            for mover in bodies.movers
        ])  # fmt: skip
        rise = FIXED[:, 2]
        self._by_place = np.maximum(np.outer(regions.place_low, rise), np.outer(regions.place_high, rise))
        self._by_pull = _pulls(planes, regions)
        self._blocks = self._block_margins()

    def nearest(self) -> Leaves:
        """For each region the pair that looks nearest from its block, bounded over the whole region and travel."""
        clocks, places = self.regions.shape
        pairs = self._blocks.argmin(axis=2)[self._block_of(np.arange(clocks * places))]
        return self._leaves(np.arange(clocks * places), pairs)

    def leaves(self, limits: Vector, found: Found) -> Leaves:
        """All pairs whose margin over their whole region may be below its limit; the others are settled in `found`."""
        blocks = self._blocks[self._block_of(np.arange(len(limits)))]
        near = blocks < limits[:, None]
        np.minimum(found.floors, np.where(near, np.inf, blocks).min(axis=1), out=found.floors)
        region, pair = np.nonzero(near)
        leaves = self._leaves(region, pair)
        settled = leaves.margins >= limits[region]
        found.settle(leaves[settled])
        return leaves[~settled]

    def _block_of(self, region: Indices) -> tuple[Indices, Indices]:
        clock, place = np.divmod(region, self.regions.shape[1])
        return clock // CLOCKS_A_BLOCK, place // PLACES_A_BLOCK

    def _block_margins(self) -> Vector:
        """Margins (blocks of clocks, blocks of places, pairs) that hold for every region of a block."""
        clocks, places = self.regions.shape
        mover_of, pulled = self.bodies.mover_of, self.bodies.pulled[:, None]
        found = []
        for clock in range(0, clocks, CLOCKS_A_BLOCK):
            by_clock = self._lows - self._by_clock[:, clock : clock + CLOCKS_A_BLOCK].max(axis=1)[mover_of]
            for place in range(0, places, PLACES_A_BLOCK):
                which = slice(place, place + PLACES_A_BLOCK)
                by_pull = np.where(pulled, self._by_pull[:, which].max(axis=1)[mover_of], 0.0)
                found.append((by_clock - self._by_place[which].max(axis=0) - by_pull).max(axis=1))
        margins = np.array(found) - self.bodies.required - ROUNDING_MM
        return margins.reshape(-1, -(-places // PLACES_A_BLOCK), len(self.bodies.required))

    def _leaves(self, region: Indices, pair: Indices) -> Leaves:
        margins, best = np.empty(len(region)), np.empty(len(region), dtype=np.int64)
        for start in range(0, len(region), CHUNK):
            which = slice(start, start + CHUNK)
            heights = self._heights(region[which], pair[which])
            best[which] = heights.argmax(axis=1)
            margins[which] = heights[np.arange(len(heights)), best[which]]
        margins = margins - self.bodies.required[pair] - ROUNDING_MM
        return Leaves(
            region, self.regions.boxes(region, pair, *np.moveaxis(self.bodies.ranges[pair], 2, 0)), FIXED[best], margins
        )

    def _heights(self, region: Indices, pair: Indices) -> Vector:
        clock, place = np.divmod(region, self.regions.shape[1])
        mover = self.bodies.mover_of[pair]
        heights = self._lows[pair] - self._by_clock[mover, clock] - self._by_place[place]
        pulled = self.bodies.pulled[pair]
        heights[pulled] -= self._by_pull[mover[pulled], place[pulled]]
        return np.asarray(heights)


def throughout(bodies: Bodies) -> Vector:
    """Least heights (fixtures, d) along `FIXED` over the whole of each fixture's movement."""
    return np.array([fixture.lowest_throughout(FIXED) for fixture in bodies.fixtures])


def _turned(corners: Vector, clocks: Vector) -> Vector:
    """Extents (c, d) of `corners` (n, 3) along `FIXED` when turned by each of `clocks` (c,)."""
    seen = clocked_back(np.tile(FIXED, (len(clocks), 1)), np.repeat(clocks, len(FIXED)))
    return np.asarray((seen @ corners.T).max(axis=1).reshape(len(clocks), -1))


def _pulls(planes: Planes, regions: Regions) -> Vector:
    """The most a pull can add (movers, s, d) to a height along `FIXED`, whatever the clock.

    Whatever the clock, a mover stays in the cylinder about the axis that its farthest corner reaches.
    """
    added = []
    for low, high in zip(regions.place_low.tolist(), regions.place_high.tolist(), strict=True):
        heave = planes.heave(high)
        gains = FIXED @ (heave.maps - EYE)
        shoves = FIXED @ heave.shoves.T
        across, rise = np.hypot(gains[..., 0], gains[..., 1]), gains[..., 2]
        added.append([
            (across * mover.reach + np.maximum(rise * (mover.corners[:, 2].min() + low),
                                               rise * (mover.corners[:, 2].max() + high)) + shoves.T).max(axis=0)
            for mover in planes.bodies.movers
        ])  # fmt: skip
    return np.swapaxes(np.array(added), 0, 1)
