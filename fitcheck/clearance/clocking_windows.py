"""Windows in a map: connected regions of cells that keep, and the roomiest box within them. Radians, mm.

Cells are connected where they share an edge; round a full circle the last column touches the first. A region's clocks
run from `start` to `stop`, clockwise, and may pass 12 o'clock (`stop` above a full turn then).
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import tau

import numpy as np
from numpy.typing import NDArray

from fitcheck.clearance.clocking_chart import ArcMap
from fitcheck.geometry.frames import Vector

Mask = NDArray[np.bool_]
STRAY = 1e-9


@dataclass(frozen=True)
class Box:
    """All clocks from `start` to `stop` (rad, clockwise) and all places from `low_mm` to `high_mm`."""

    start: float
    stop: float
    low_mm: float
    high_mm: float

    @property
    def all_round(self) -> bool:
        return self.stop - self.start >= tau - STRAY

    @property
    def clock(self) -> float:
        """The middle clock."""
        return (self.start + self.stop) / 2

    @property
    def place_mm(self) -> float:
        return (self.low_mm + self.high_mm) / 2

    def holds(self, clock: float, place_mm: float) -> bool:
        """Whether a clock (rad, any turn) and place lie in it."""
        into = (clock - self.start) % tau
        return (into <= self.stop - self.start + STRAY or into >= tau - STRAY) and (
            self.low_mm - STRAY <= place_mm <= self.high_mm + STRAY
        )


@dataclass(frozen=True, eq=False)
class Region:
    """Connected cells of one arc: which (`cells`), what they reach over (`reach`), the roomiest box in them (`box`).

    Not every clock and place within `reach` is in the region; every one within `box` is.
    """

    of: ArcMap
    cells: Mask
    reach: Box
    box: Box

    def holds(self, clock: float, place_mm: float) -> bool:
        """Whether a cell of the region holds this clock and place."""
        return bool((self.cells & cells_at(self.of, clock, place_mm)).any())


def cells_at(of: ArcMap, clock: float, place_mm: float) -> Mask:
    """Which cells (n, s) of a map hold this clock and place, their edges included."""
    edges, places = of.edges, of.map.places_mm
    low = edges[0] + (clock - edges[0] + STRAY) % tau - STRAY
    columns = (edges[:-1] - STRAY <= low) & (low <= edges[1:] + STRAY)
    if of.arc.around:  # the first edge is the last one too
        columns |= (edges[:-1] - STRAY <= low + tau) & (low + tau <= edges[1:] + STRAY)
    rows = (places[:-1] - STRAY <= place_mm) & (place_mm <= places[1:] + STRAY)
    return np.asarray(columns[:, None] & rows[None, :])


def regions(of: ArcMap, keeps: Mask, eye: tuple[float, float]) -> Iterator[Region]:
    """The connected regions of `keeps` (n, s), largest first; `eye` are the clock (rad) and place (mm) that one can
    set to, by which a box is measured."""
    found = [_region(of, cells, eye) for cells in _connected(keeps, of.arc.around)]
    yield from sorted(found, key=lambda region: -_area(region.reach))


def _region(of: ArcMap, cells: Mask, eye: tuple[float, float]) -> Region:
    columns, rows = np.flatnonzero(cells.any(axis=1)), np.flatnonzero(cells.any(axis=0))
    edges, places = of.edges, of.map.places_mm
    held = np.asarray(cells.any(axis=1))
    first, last = column_run(held) if of.arc.around else (int(columns[0]), int(columns[-1]))
    reach = Box(*_clocks(edges, first, last), float(places[rows[0]]), float(places[rows[-1] + 1]))
    return Region(of, cells, reach, roomiest(edges, places, cells, of.arc.around, eye))


def roomiest(edges: Vector, places: Vector, cells: Mask, around: bool, eye: tuple[float, float]) -> Box:
    """The box within `cells` that forgives the most: the largest share of `eye` by which both may be off, then area."""
    best: tuple[tuple[float, float], Box] | None = None
    count = len(places) - 1
    for low in range(count):
        open_ = np.ones(len(cells), dtype=bool)
        for high in range(low, count):
            open_ &= cells[:, high]
            if not open_.any():
                break
            for first, last in _runs(open_, around):
                box = Box(*_clocks(edges, first, last), float(places[low]), float(places[high + 1]))
                score = min((box.stop - box.start) / eye[0], (box.high_mm - box.low_mm) / eye[1]), _area(box)
                if best is None or score > best[0]:
                    best = score, box
    assert best is not None  # a region has at least one cell
    return best[1]


def _area(box: Box) -> float:
    return (box.stop - box.start) * (box.high_mm - box.low_mm)


def _clocks(edges: Vector, first: int, last: int) -> tuple[float, float]:
    """Edges of the columns from `first` to `last`, clockwise; `last` below `first` where they pass the seam."""
    return float(edges[first]), float(edges[last + 1]) + (tau if last < first else 0.0)


def _runs(open_: Mask, around: bool) -> Iterator[tuple[int, int]]:
    """First and last column of each stretch of open ones; round a circle one may pass the seam."""
    count = len(open_)
    if open_.all():
        yield 0, count - 1
        return
    change = np.flatnonzero(np.diff(np.concatenate([[False], open_, [False]])))
    runs = list(zip(change[::2].tolist(), (change[1::2] - 1).tolist(), strict=True))
    if around and len(runs) > 1 and runs[0][0] == 0 and runs[-1][1] == count - 1:
        runs = [(runs[-1][0], runs[0][1]), *runs[1:-1]]
    yield from runs


def column_run(columns: Mask) -> tuple[int, int]:
    """The one stretch that holds all columns: it begins after the widest stretch without any."""
    if columns.all():
        return 0, len(columns) - 1
    gaps = list(_runs(~columns, around=True))
    first, last = max(gaps, key=lambda gap: (gap[1] - gap[0]) % len(columns))
    return (last + 1) % len(columns), (first - 1) % len(columns)


def _connected(keeps: Mask, around: bool) -> Iterator[Mask]:
    """Each connected set of cells as a mask of its own."""
    left = keeps.copy()
    while left.any():
        grown = np.zeros_like(left)
        grown[tuple(np.argwhere(left)[0])] = True
        size = 0
        while size < (size := int(grown.sum())):
            grown = _spread(grown, around) & left
        left &= ~grown
        yield grown


def _spread(cells: Mask, around: bool) -> Mask:
    """`cells` and their neighbours."""
    wide = cells.copy()
    wide[1:] |= cells[:-1]
    wide[:-1] |= cells[1:]
    wide[:, 1:] |= cells[:, :-1]
    wide[:, :-1] |= cells[:, 1:]
    if around:
        wide[0] |= cells[-1]
        wide[-1] |= cells[0]
    return wide
