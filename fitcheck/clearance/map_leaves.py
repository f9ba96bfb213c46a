"""What is still open in a map and what is known of it: boxes with a plane each, and the least witness of each region.

A margin is a gap less what is required of the pair; millimetres, column frame.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitcheck.clearance.map_bounds import Boxes, Indices
from fitcheck.geometry.frames import Vector


@dataclass(frozen=True, eq=False)
class Leaves:
    """Boxes with the region each is part of, a direction that bounds it, and that bound less the required gap."""

    region: Indices
    boxes: Boxes
    normals: Vector
    margins: Vector

    def __len__(self) -> int:
        return len(self.region)

    def __getitem__(self, which: NDArray[np.int64] | NDArray[np.bool_]) -> "Leaves":
        return Leaves(self.region[which], self.boxes[which], self.normals[which], self.margins[which])

    @classmethod
    def joined(cls, *parts: "Leaves") -> "Leaves":
        return cls(
            np.concatenate([part.region for part in parts]),
            Boxes.joined(*(part.boxes for part in parts)),
            np.concatenate([part.normals for part in parts]),
            np.concatenate([part.margins for part in parts]),
        )


class Found:
    """What is known of each region: its certified margin `floors`, its least witness, and where that is.

    `witnessed` is inf, `pair` -1 where nothing was asked; `at` holds clock, place and travel, `normals` the witness's
    direction. `meets` where something hits: then the floor was not driven up, and `met` (m, 6 + t) holds a pair that
    does, its place and direction likewise; `cut_short` where the search ran out of rounds before it was.
    """

    def __init__(self, count: int, movements: int) -> None:
        self.floors = np.full(count, np.inf)
        self.witnessed = np.full(count, np.inf)
        self.meets = np.zeros(count, dtype=bool)
        self.met = np.full((count, 6 + movements), -1.0)
        self.cut_short = np.zeros(count, dtype=bool)
        self.pair = np.full(count, -1)
        self.at = np.zeros((count, 2 + movements))
        self.normals = np.zeros((count, 3))

    def saw(self, region: Indices, pair: Indices, at: Vector, margins: Vector, normals: Vector) -> None:
        """Take in witnesses; several may be of one region, and there may be none."""
        if not len(region):
            return
        order = np.lexsort((margins, region))
        first = order[np.r_[True, np.diff(region[order]) > 0]]
        better = first[margins[first] < self.witnessed[region[first]]]
        where = region[better]
        self.witnessed[where], self.pair[where] = margins[better], pair[better]
        self.at[where], self.normals[where] = at[better], normals[better]

    def met_at(self, region: Indices, pair: Indices, at: Vector, normals: Vector) -> None:
        """Take in places at which pairs meet; of several in one region any."""
        self.meets[region] = True
        self.met[region] = np.column_stack([pair, at, normals])

    def nearest(self, region: int) -> tuple[int, Vector, Vector] | None:
        """Pair, place and direction of what is known to meet there, else of the least witness; None without one."""
        if self.meets[region]:
            met = self.met[region]
            return int(met[0]), met[1:-3], met[-3:]
        pair = int(self.pair[region])
        return None if pair < 0 else (pair, self.at[region], self.normals[region])

    def settle(self, leaves: Leaves) -> None:
        np.minimum.at(self.floors, leaves.region, leaves.margins)


def with_better(leaves: Leaves, which: Indices, other: Leaves) -> Leaves:
    """`leaves`, those at `which` with the direction and margin of `other` where that is better."""
    better = other.margins > leaves.margins[which]
    normals, margins = leaves.normals.copy(), leaves.margins.copy()
    normals[which[better]], margins[which[better]] = other.normals[better], other.margins[better]
    return Leaves(leaves.region, leaves.boxes, normals, margins)


def lowest_of_each(leaves: Leaves, at_once: int) -> NDArray[np.bool_]:
    """Which leaves (m,) are the lowest of their regions: one each, or more where that makes no more than `at_once`."""
    order = np.lexsort((leaves.margins, leaves.region))
    first = np.flatnonzero(np.r_[True, np.diff(leaves.region[order]) > 0])
    rank = np.arange(len(order)) - np.repeat(first, np.diff(np.append(first, len(order))))
    chosen = np.zeros(len(order), dtype=bool)
    chosen[order[rank < max(1, at_once // len(first))]] = True
    return chosen
