"""The search over many regions of clock and place at once, nodes or whole cells: rounds of one question a region.

A region's margin is its least gap less what is required, over all pairs and the whole travel. Each round takes every
region's box of lowest bound, asks where its plane stands lowest, and takes the answer's plane for the box, or splits
it. A box is settled once its bound is within `within_mm` of the region's least witness, or beyond `cap_mm`.
"""

import numpy as np
from numpy.typing import NDArray

from fitcheck.clearance.map_ask import Answers, Asker
from fitcheck.clearance.map_before import Before
from fitcheck.clearance.map_bounds import Boxes, Indices, Planes
from fitcheck.clearance.map_leaves import Found, Leaves, lowest_of_each, with_better
from fitcheck.clearance.map_roots import Roots
from fitcheck.geometry.frames import Vector

EDGE_SHARE = 0.05  # no split nearer to an end than this share of the width
LOOKS = 5  # values of a travel at which a plane's height is compared
MOST_ROUNDS = 400  # a typical map takes some thirty
AT_ONCE = 300  # boxes asked about in a round, where there are fewer regions than that


class MapSearch:
    """One search; `run` may be called for nodes, then for cells."""

    def __init__(self, planes: Planes, asker: Asker, within_mm: float, cap_mm: float) -> None:
        self.planes, self.asker = planes, asker
        self.bodies = planes.bodies
        self.within_mm, self.cap_mm = within_mm, cap_mm

    def run(self, roots: Roots, found: Found, before: Before | None = None) -> Leaves:
        """Drives `found` until every box of every region is settled; hands back those boxes that cost questions."""
        pending = self._started(roots, found, before)
        kept: list[Leaves] = []
        for _ in range(MOST_ROUNDS):
            unsettled = self._unsettled(pending, found)
            settled = pending[~unsettled]
            found.settle(settled)
            kept.append(settled if kept else settled[settled.boxes.pair == found.pair[settled.region]])
            pending = pending[unsettled]
            if not len(pending):
                break
            chosen = lowest_of_each(pending, AT_ONCE)
            pending = Leaves.joined(pending[~chosen], self._refined(pending[chosen], found))
        found.cut_short[pending.region] = True
        found.settle(pending)
        return Leaves.joined(*kept)

    def limits(self, found: Found) -> Vector:
        """From which margin on a region's box is settled."""
        return np.where(found.meets, -np.inf, np.minimum(found.witnessed - self.within_mm, self.cap_mm))

    def _started(self, roots: Roots, found: Found, before: Before | None) -> Leaves:
        """The first boxes: all pairs over whole regions that may matter, after one question a region.

        It is asked where things were nearest before, else of the pair that looks nearest.
        """
        first = roots.nearest() if before is None else before.witnesses(roots.regions)
        looked = first.margins < self.limits(found)[first.region]
        self._ask(first[looked], found)
        leaves = roots.leaves(self.limits(found), found)
        if before is not None:
            leaves = self._as_before(leaves, before.leaves(roots.regions))
        same = np.flatnonzero(leaves.boxes.pair == found.pair[leaves.region])
        return self._bettered(leaves, same, found.normals[leaves.region[same]])

    def _as_before(self, leaves: Leaves, before: Leaves) -> Leaves:
        """`leaves` split as they were in the end `before`, with the planes that held there tried."""
        if not len(leaves):
            return leaves
        count = len(self.bodies.required)
        keys, known = leaves.region * count + leaves.boxes.pair, before.region * count + before.boxes.pair
        order = np.argsort(keys)
        at = np.minimum(np.searchsorted(keys[order], known), len(keys) - 1)
        still = keys[order][at] == known
        of, split = order[at][still], before[still]
        finer = Leaves(split.region, split.boxes, leaves.normals[of], leaves.margins[of])
        finer = self._bettered(finer, np.arange(len(finer)), split.normals)
        return Leaves.joined(leaves[~np.isin(keys, known)], finer)

    def _held(self, region: Indices, boxes: Boxes, normals: Vector) -> Leaves:
        return Leaves(region, boxes, normals, self.planes.bounds(boxes, normals) - self.bodies.required[boxes.pair])

    def _ask(self, leaves: Leaves, found: Found) -> tuple[Answers, Vector]:
        """One question a leaf, where its plane stands lowest; the answers, and where (m, 2 + t)."""
        at = self._lowest_place(leaves)
        answers = self.asker.ask(leaves.boxes.pair, at, leaves.normals)
        self._saw(leaves, at, answers, found)
        return answers, at

    def _saw(self, leaves: Leaves, at: Vector, answers: Answers, found: Found) -> None:
        margins = answers.gaps - self.bodies.required[leaves.boxes.pair]
        hit = answers.gaps == 0
        found.met_at(leaves.region[hit], leaves.boxes.pair[hit], at[hit], answers.normals[hit])
        found.saw(leaves.region, leaves.boxes.pair, at, margins, answers.normals)

    def _lowest_place(self, leaves: Leaves) -> Vector:
        """Where in each box (m, 2 + t) its plane stands lowest, one axis after the other; a good guess is enough."""
        boxes, normals = leaves.boxes, leaves.normals
        at = (boxes.low + boxes.high) / 2
        at[:, 1] = np.where(normals[:, 2] > 0, boxes.high[:, 1], boxes.low[:, 1])
        for axis in (0, *range(2, at.shape[1])):
            heights, looks = (self._minus_highs, 3) if axis == 0 else (self.planes.lows, LOOKS)
            wide = np.flatnonzero(boxes.low[:, axis] < boxes.high[:, axis])
            if not len(wide):
                continue
            low, high = boxes.low[wide, axis], boxes.high[wide, axis]
            values = low + np.linspace(0.0, 1.0, looks)[:, None] * (high - low)
            tried = np.repeat(at[wide][None], looks, axis=0)
            tried[:, :, axis] = values
            places = Boxes.places(np.tile(boxes.pair[wide], looks), tried.reshape(-1, at.shape[1]))
            best = heights(places, np.tile(normals[wide], (looks, 1))).reshape(looks, -1).argmin(axis=0)
            at[wide, axis] = values[best, np.arange(len(wide))]
        return at

    def _minus_highs(self, boxes: Boxes, normals: Vector) -> Vector:
        return -self.planes.highs(boxes, normals)

    def _refined(self, leaves: Leaves, found: Found) -> Leaves:
        """Each leaf with a better bound that settles it, or its two halves."""
        answers, at = self._ask(leaves, found)
        normals = answers.normals
        better = self._bettered(leaves, np.arange(len(leaves)), normals)
        open_ = np.flatnonzero(self._unsettled(better, found))
        which, again = self.asker.between_pulls(leaves.boxes.pair[open_], at[open_],
                                                Answers(normals[open_], answers.gaps[open_]))  # fmt: skip
        if len(which):
            which = open_[which]
            self._saw(leaves[which], at[which], again, found)
            normals[which] = again.normals
            better = self._bettered(better, which, again.normals)
        split = self._unsettled(better, found)
        halves = self._halves(better[split], leaves.normals[split], normals[split], at[split])
        return Leaves.joined(better[~split], halves)

    def _bettered(self, leaves: Leaves, which: Indices, normals: Vector) -> Leaves:
        tried = leaves[which]
        return with_better(leaves, which, self._held(tried.region, tried.boxes, normals))

    def _unsettled(self, leaves: Leaves, found: Found) -> NDArray[np.bool_]:
        return np.asarray(leaves.margins < self.limits(found)[leaves.region])

    def _halves(self, leaves: Leaves, old: Vector, new: Vector, at: Vector) -> Leaves:
        axis, value = self._cut(leaves.boxes, new, at)
        each = np.arange(len(leaves))
        first_high, last_low = leaves.boxes.high.copy(), leaves.boxes.low.copy()
        first_high[each, axis] = last_low[each, axis] = value
        boxes = Boxes.joined(
            Boxes(leaves.boxes.pair, leaves.boxes.low, first_high),
            Boxes(leaves.boxes.pair, last_low, leaves.boxes.high),
        )
        region = np.tile(leaves.region, 2)
        halves = Leaves(region, boxes, np.tile(leaves.normals, (2, 1)), np.tile(leaves.margins, 2))
        for normals in (old, new):
            halves = with_better(halves, np.arange(len(halves)), self._held(region, boxes, np.tile(normals, (2, 1))))
        return halves

    def _cut(self, boxes: Boxes, normals: Vector, at: Vector) -> tuple[Indices, Vector]:
        """Which axis costs the plane most, and where to cut it: a travel where it was asked, others in the middle."""
        cost = np.zeros(boxes.low.shape)
        here = Boxes.places(boxes.pair, at)
        if (boxes.low[:, 0] < boxes.high[:, 0]).any():
            cost[:, 0] = self.planes.highs(_along(boxes, at, 0), normals) - self.planes.highs(here, normals)
            rise = normals[:, 2]
            cost[:, 1] = np.maximum(rise * boxes.low[:, 1], rise * boxes.high[:, 1]) - rise * at[:, 1]
        low_here = self.planes.lows(here, normals)
        for axis in range(2, at.shape[1]):
            cost[:, axis] = low_here - self.planes.lows(_along(boxes, at, axis), normals)
        cost[boxes.low >= boxes.high] = -np.inf
        worst, each = cost.argmax(axis=1), np.arange(len(boxes))
        low, high, asked = boxes.low[each, worst], boxes.high[each, worst], at[each, worst]
        inner = (worst >= 2) & (np.minimum(asked - low, high - asked) > EDGE_SHARE * (high - low))
        return worst, np.where(inner, asked, (low + high) / 2)


def _along(boxes: Boxes, at: Vector, axis: int) -> Boxes:
    """The boxes as wide as they are along one axis, elsewhere at `at` only."""
    low, high = at.copy(), at.copy()
    low[:, axis], high[:, axis] = boxes.low[:, axis], boxes.high[:, axis]
    return Boxes(boxes.pair, low, high)
