"""Planes held over boxes of clock, place and travel: lower bounds of gaps for many piece pairs at once.

A box is low and high of clock (rad), place (mm) and travel (a value for each movement of the fixture); a height along a
direction n is the least of the fixture less the most of the unit. Column frame.

Turned by c a corner's height is a sinusoid of c with amplitude r |n across|. Over a stretch h, under half a turn, its
most is at an end, or at a peak between them; the higher end is then at most h / 2 from the peak, so no more than
r |n across| (1 - cos(h / 2)) below it.
"""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from fitcheck.clearance.map_bodies import Bodies, Heave
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.gap import ROUNDING_MM

Indices = NDArray[np.int64]


def groups(keys: Indices) -> Iterator[tuple[int, Indices]]:
    """Each value in `keys` with where it stands."""
    if not len(keys):
        return
    order = np.argsort(keys, kind="stable")
    values, starts = np.unique(keys[order], return_index=True)
    yield from zip(values.tolist(), np.split(order, starts[1:]), strict=True)


def clocked_back(normals: Vector, clocks: Vector) -> Vector:
    """Directions (m, 3) as the unit sees them when it is turned by `clocks` (m,)."""
    cosine, sine = np.cos(clocks), np.sin(clocks)
    x, y, z = normals.T
    return np.column_stack([cosine * x + sine * y, cosine * y - sine * x, z])


class Boxes:
    """Boxes of clock, place and travel for pairs: `pair` (m,), `low` and `high` (m, 2 + t)."""

    def __init__(self, pair: Indices, low: Vector, high: Vector) -> None:
        self.pair, self.low, self.high = pair, low, high

    def __len__(self) -> int:
        return len(self.pair)

    def __getitem__(self, which: NDArray[np.int64] | NDArray[np.bool_]) -> "Boxes":
        return Boxes(self.pair[which], self.low[which], self.high[which])

    @classmethod
    def places(cls, pair: Indices, at: Vector) -> "Boxes":
        """Boxes of no width: pairs at clock, place and travel `at` (m, 2 + t)."""
        return cls(pair, at, at)

    @classmethod
    def joined(cls, *parts: "Boxes") -> "Boxes":
        return cls(
            np.concatenate([part.pair for part in parts]),
            np.concatenate([part.low for part in parts]),
            np.concatenate([part.high for part in parts]),
        )


class Planes:
    """Heights of held planes for the pairs of `bodies`."""

    def __init__(self, bodies: Bodies) -> None:
        self.bodies = bodies
        self._heaves: dict[float, Heave] = {}

    def bounds(self, boxes: Boxes, normals: Vector) -> Vector:
        """Lower bounds (m,) of the gaps over whole `boxes` from one unit direction each (m, 3), unit toward fixture."""
        return self.lows(boxes, normals) - self.highs(boxes, normals) - ROUNDING_MM

    def lows(self, boxes: Boxes, normals: Vector) -> Vector:
        """Least heights (m,) of the fixtures over the travel of the boxes."""
        found = np.empty(len(boxes))
        for fixture, which in groups(self.bodies.fixture_of[boxes.pair]):
            low, high = boxes.low[which, 2:], boxes.high[which, 2:]
            found[which] = self.bodies.fixtures[fixture].lowest(normals[which], low, high)
        return found

    def highs(self, boxes: Boxes, normals: Vector) -> Vector:
        """Greatest heights (m,) of the movers over the clocks and places of the boxes, pulled where that counts."""
        found = np.empty(len(boxes))
        pulled = self.bodies.pulled[boxes.pair]
        plain = np.flatnonzero(~pulled)
        found[plain] = self._plain(boxes[plain], normals[plain])
        which = np.flatnonzero(pulled)
        if len(which):
            found[which] = self._pulled(boxes[which], normals[which]).max(axis=1)
        return found

    def attitudes(self, boxes: Boxes, normals: Vector) -> tuple[Vector, Vector]:
        """Of the ways a pull really makes the unit stand, the one that reaches highest along `normals`.

        Maps (m, 3, 3) and shoves (m, 3); as it is, for pairs that no pull matters to.
        """
        maps, shoves = np.broadcast_to(np.eye(3), (len(boxes), 3, 3)).copy(), np.zeros((len(boxes), 3))
        which = np.flatnonzero(self.bodies.pulled[boxes.pair])
        if len(which):
            all_maps, all_shoves, rigid = self._maps(boxes.high[which, 1])
            highs = np.where(rigid, self._pulled(boxes[which], normals[which]), -np.inf)
            best = highs.argmax(axis=1)
            each = np.arange(len(which))
            maps[which], shoves[which] = all_maps[each, best], all_shoves[each, best]
        return maps, shoves

    def standing(self, pair: int, at: Vector) -> Vector:
        """Corners (n, 3) of a mover at clock, place and travel `at` (2 + t,), wherever each map of a pull puts them."""
        corners = self.bodies.movers[int(self.bodies.mover_of[pair])].corners
        turned = clocked_back(corners, np.full(len(corners), -at[0])) + np.array([0.0, 0.0, at[1]])
        heave = self.heave(float(at[1]))
        return np.asarray(turned @ np.swapaxes(heave.maps, 1, 2) + heave.shoves[:, None]).reshape(-1, 3)

    def heave(self, place: float) -> Heave:
        """What a pull does at a place; worked out once."""
        if place not in self._heaves:
            self._heaves[place] = self.bodies.heave(place)
        return self._heaves[place]

    def _maps(self, places: Vector) -> tuple[Vector, Vector, NDArray[np.bool_]]:
        """Maps (m, k, 3, 3), shoves (m, k, 3), and (k,) which are rigid, for units at `places` (m,)."""
        known, which = np.unique(places, return_inverse=True)
        heaves = [self.heave(place) for place in known.tolist()]
        rigid = np.zeros(len(heaves[0].maps), dtype=bool)
        rigid[heaves[0].rigid] = True
        return np.array([h.maps for h in heaves])[which], np.array([h.shoves for h in heaves])[which], rigid

    def _pulled(self, boxes: Boxes, normals: Vector) -> Vector:
        """Greatest heights (m, k) under each map of a pull.

        The pull taken is that at the far end of the places: there the lever is shortest, and the hull over the angles
        up to a larger one holds that over those up to a smaller one.
        """
        maps, shoves, _ = self._maps(boxes.high[:, 1])
        count = maps.shape[1]
        seen = np.einsum("mkij,mi->mkj", maps, normals).reshape(-1, 3)
        each = boxes[np.repeat(np.arange(len(boxes)), count)]
        return np.asarray(self._plain(each, seen).reshape(-1, count) + np.einsum("mki,mi->mk", shoves, normals))

    def _plain(self, boxes: Boxes, normals: Vector) -> Vector:
        """Greatest heights (m,) of the movers along `normals` (m, 3) of any length, no pull."""
        found = np.empty(len(boxes))
        start, stop = boxes.low[:, 0], boxes.high[:, 0]
        wide = bool((start < stop).any())
        seen = clocked_back(normals, start)
        seen_last = clocked_back(normals, stop) if wide else seen
        for mover, which in groups(self.bodies.mover_of[boxes.pair]):
            corners = self.bodies.movers[mover].corners.T
            high = (seen[which] @ corners).max(axis=1)
            if wide:
                last = (seen_last[which] @ corners).max(axis=1)
                peak = self.bodies.movers[mover].reach * peaks(normals[which], stop[which] - start[which])
                high = np.maximum(high, last) + peak
            found[which] = high
        rise = normals[:, 2]
        return np.asarray(found + np.maximum(rise * boxes.low[:, 1], rise * boxes.high[:, 1]))


def peaks(normals: Vector, widths: Vector | float) -> Vector:
    """How far, per mm of reach, a height can rise above both ends of a turn of `widths` (m,), under half a turn."""
    return np.asarray(np.hypot(normals[..., 0], normals[..., 1]) * (1 - np.cos(np.asarray(widths) / 2)))
