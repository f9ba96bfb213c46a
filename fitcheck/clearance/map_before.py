"""What one search hands on to the next: how neighbouring regions were split, and where they came closest.

Only a guess to start from; every bound is worked out anew for the new regions.
"""

from dataclasses import dataclass

import numpy as np

from fitcheck.clearance.map_bounds import Indices
from fitcheck.clearance.map_leaves import Found, Leaves
from fitcheck.clearance.map_roots import Regions


@dataclass(frozen=True, eq=False)
class Before:
    """A search's `found` and the boxes it `kept`; `parent` (m,) is for each new region the old one to learn from."""

    found: Found
    kept: Leaves
    parent: Indices

    def witnesses(self, regions: Regions) -> Leaves:
        """For each new region the place of its parent's least witness, with nothing said about its margin."""
        known = np.flatnonzero(self.found.pair[self.parent] >= 0)
        of = self.parent[known]
        travel = self.found.at[of, 2:]
        boxes = regions.boxes(known, self.found.pair[of], travel, travel)
        return Leaves(known, boxes, self.found.normals[of], np.full(len(known), -np.inf))

    def leaves(self, regions: Regions) -> Leaves:
        """The parents' boxes as boxes of the new regions: the same stretch of travel over the whole of each."""
        kept = self.kept[np.argsort(self.kept.region, kind="stable")]
        start, stop = (np.searchsorted(kept.region, self.parent, side) for side in ("left", "right"))
        region = np.repeat(np.arange(len(self.parent)), stop - start)
        at = np.arange(len(region)) - np.repeat(np.cumsum(stop - start) - (stop - start), stop - start)
        which = np.repeat(start, stop - start) + at
        low, high = kept.boxes.low[which, 2:], kept.boxes.high[which, 2:]
        boxes = regions.boxes(region, kept.boxes.pair[which], low, high)
        return Leaves(region, boxes, kept.normals[which], kept.margins[which])
