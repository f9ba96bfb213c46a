"""Regions of keeping cells and the roomiest box in them, against plain enumeration."""

from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from fitcheck.clearance.clocking_allowed import Arc
from fitcheck.clearance.clocking_chart import ArcMap
from fitcheck.clearance.clocking_windows import Box, regions, roomiest

EYE = (np.radians(2.0), 2.0)


def grid(rng: np.random.Generator, around: bool, count: int = 9, deep: int = 5) -> tuple[ArcMap, np.ndarray]:
    """A map of uneven steps with no margins of its own, and which of its cells keep."""
    steps = rng.uniform(0.5, 1.5, count)
    edges = np.concatenate([[0.0], np.cumsum(steps)]) * (2 * np.pi if around else 2.0) / steps.sum()
    places = np.cumsum(rng.uniform(1, 9, deep + 1))
    clocks = edges[:-1] if around else edges
    arc = Arc(float(edges[0]), float(edges[-1]), around)
    known = cast(Any, SimpleNamespace(clocks=clocks, places_mm=places))
    return ArcMap(arc, known), rng.random((count, deep)) < 0.55


@pytest.mark.parametrize("around", [False, True])
def test_every_keeping_cell_is_in_one_region_and_neighbours_share_theirs(around: bool) -> None:
    for seed in range(40):
        of, keeps = grid(np.random.default_rng(seed), around)
        found = list(regions(of, keeps, EYE))
        assert (np.sum([region.cells for region in found], axis=0) == keeps).all()
        for region in found:
            for clock, place in np.argwhere(region.cells).tolist():
                for i, k in ((clock + 1, place), (clock - 1, place), (clock, place + 1), (clock, place - 1)):
                    if around:
                        i %= len(keeps)
                    if 0 <= i < keeps.shape[0] and 0 <= k < keeps.shape[1] and keeps[i, k]:
                        assert region.cells[i, k]
            assert connected(region.cells, around)


def connected(cells: np.ndarray, around: bool) -> bool:
    """By walking from one cell to the next."""
    todo, seen = [tuple(np.argwhere(cells)[0].tolist())], set()
    while todo:
        clock, place = todo.pop()
        if (clock, place) in seen:
            continue
        seen.add((clock, place))
        for i, k in ((clock + 1, place), (clock - 1, place), (clock, place + 1), (clock, place - 1)):
            at = (i % len(cells) if around else i, k)
            if 0 <= at[0] < cells.shape[0] and 0 <= k < cells.shape[1] and cells[at]:
                todo.append(at)
    return len(seen) == int(cells.sum())


@pytest.mark.parametrize("around", [False, True])
def test_the_roomiest_box_is_that_of_all_boxes(around: bool) -> None:
    for seed in range(40):
        of, keeps = grid(np.random.default_rng(seed), around)
        if keeps.any() and not keeps.all():
            best = max(every_box(of, keeps), key=score)
            found = roomiest(of.edges, of.map.places_mm, keeps, around, EYE)
            assert score(found) == pytest.approx(score(best), abs=1e-9)
            assert holds_only(of, keeps, found)


def score(box: Box) -> tuple[float, float]:
    wide, deep = box.stop - box.start, box.high_mm - box.low_mm
    return min(wide / EYE[0], deep / EYE[1]), wide * deep


def every_box(of: ArcMap, keeps: np.ndarray) -> list[Box]:
    """All boxes of cells that keep, by trying each."""
    count, deep = keeps.shape
    edges, places = of.edges, of.map.places_mm
    found = []
    for first in range(count):
        for length in range(1, count + 1):
            if not of.arc.around and first + length > count:
                break
            columns = [(first + i) % count for i in range(length)]
            wide = sum(edges[i + 1] - edges[i] for i in columns)
            for low in range(deep):
                for high in range(low, deep):
                    if keeps[np.ix_(columns, range(low, high + 1))].all():
                        start = float(edges[first])
                        found.append(Box(start, start + float(wide), float(places[low]), float(places[high + 1])))
    return found


def holds_only(of: ArcMap, keeps: np.ndarray, box: Box) -> bool:
    """Whether random clocks and places in the box lie in cells that keep."""
    rng = np.random.default_rng(1)
    for _ in range(30):
        clock = (rng.uniform(box.start, box.stop)) % (2 * np.pi)
        column = int(np.searchsorted(of.edges, clock, side="right")) - 1
        row = int(np.searchsorted(of.map.places_mm, rng.uniform(box.low_mm, box.high_mm), side="right")) - 1
        if not keeps[column, row]:
            return False
    return True


def test_a_region_across_the_seam_is_one_and_reads_clockwise() -> None:
    edges = np.radians(np.arange(0.0, 361.0, 30.0))
    of = ArcMap(Arc(0.0, 2 * np.pi, True), cast(Any, SimpleNamespace(clocks=edges[:-1], places_mm=np.arange(4.0))))
    keeps = np.zeros((12, 3), dtype=bool)
    keeps[[10, 11, 0, 1], 1] = True  # 10:00 to 2:00
    (region,) = regions(of, keeps, EYE)
    assert np.degrees([region.reach.start, region.reach.stop]) == pytest.approx([300, 420])
    assert (region.reach.low_mm, region.reach.high_mm) == (1.0, 2.0)
    assert region.holds(np.radians(359.0), 1.5)
    assert region.holds(np.radians(30.0), 1.5)
    assert not region.holds(np.radians(90.0), 1.5)
    assert not region.holds(np.radians(330.0), 0.5)
    assert region.box.holds(0.0, 1.5)
    keeps[:, 1] = True
    (whole,) = regions(of, keeps, EYE)
    assert whole.reach.all_round
    assert whole.box.all_round
