"""The search on a car with a closed form (see `clocking_car`): map, windows, best place, what is sure.

Source: plane geometry of circles, a line and a point, written out there.
"""

from functools import cache, partial
from math import tau
from pathlib import Path
from tempfile import mkdtemp

import numpy as np
import pytest

from fitcheck.clearance.clocking_allowed import allowed
from fitcheck.clearance.clocking_chart import chart
from fitcheck.clearance.clocking_spots import sits_from
from fitcheck.clearance.clocking_windows import Box, regions
from fitcheck.confidence.clocking import EYE, ClockingChapter, find
from fitcheck.errors import KeyFault
from fitcheck.geometry.gap import GapEngine
from fitcheck.placement.place import place
from tests import jobs
from tests.confidence import clocking_car as car

WITHIN_MM = 0.5  # of the map
CELL_DEG, CELL_MM = 2.5, 2.5  # no wider are cells near a window's edge


@cache
def folder() -> Path:
    return car.folder(Path(mkdtemp()))


@cache
def found(clocks: str = "any", wall_spread: float = 0.0) -> ClockingChapter:
    tables = car.tables(clocking={"clocks": clocks, "places": "425 mm to 455 mm"})
    if wall_spread:
        near = {"left": f"{13 + car.WALL:g} mm ± {wall_spread:g} mm"}
        corner = {**tables["obstacles"][0]["shape"]["corner"], **near}
        tables = jobs.changed(tables, ("obstacles", 0, "shape", "corner"), corner)
    return find(jobs.job(tables), folder())


def inside(chapter: ClockingChapter) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Clocks and places (n, s, 36) spread over each cell of the first arc, edges among them, and its floors (n, s)."""
    (arc,) = chapter.arcs
    share = np.linspace(0, 1, 6)
    clock = arc.edges[:-1, None] + np.diff(arc.edges)[:, None] * share
    place = arc.map.places_mm[:-1, None] + np.diff(arc.map.places_mm)[:, None] * share
    shape = (len(clock), len(place), 6, 6)
    clocks = np.broadcast_to(clock[:, None, :, None], shape).reshape(*shape[:2], -1)
    places = np.broadcast_to(place[None, :, None, :], shape).reshape(*shape[:2], -1)
    return clocks, places, arc.map.cells.mm


def test_cells_keep_where_the_closed_form_does_and_nowhere_else() -> None:
    clocks, places, floors = inside(found())
    exact = car.least(clocks, places).min(axis=2)
    assert (floors <= exact + car.SHORT_MM).all()
    roomy = exact >= car.PROUD_MM + WITHIN_MM
    assert (floors[roomy] >= 0).all()
    assert roomy.sum() > 400
    assert (exact < 0).sum() > 400


def test_windows_end_where_the_closed_form_crosses_nothing() -> None:
    """Wall: 80 + 58 sin c = 26 at c = 270 -+ acos(54 / 58). Pipe: the chord of 90 and 58 is 36. Ball: 442 along."""
    wall = np.degrees(np.arccos((car.WALL - car.CAN_DIA / 2 - car.FIXED_MM) / car.BESIDE))
    reach = car.CAN_DIA / 2 + car.PIPE_DIA / 2 + car.FIXED_MM
    cosine = (car.PIPE_OUT**2 + car.BESIDE**2 - reach**2) / (2 * car.PIPE_OUT * car.BESIDE)
    pipe = np.degrees(np.arccos(cosine))
    windows = {round(np.degrees(window.keeps.reach.start)): window.keeps.reach for window in found().windows}
    assert len(windows) == 2
    for reach_, (start, stop) in zip(
        sorted(windows.values(), key=lambda box: box.start),
        [(60 + pipe, 270 - wall), (270 + wall, 420 - pipe)],
        strict=True,
    ):
        assert start <= np.degrees(reach_.start) <= start + 2 * CELL_DEG
        assert stop - 2 * CELL_DEG <= np.degrees(reach_.stop) <= stop
        assert (reach_.low_mm, reach_.high_mm) == (425.0, 455.0)
    ball = next(window for window in found().windows if window.keeps.reach.holds(np.pi, 430.0)).keeps
    at_six = [place for place in np.arange(425.0, 455.1, 0.25) if ball.holds(np.pi, float(place))]
    assert 442.0 - 2 * CELL_MM <= max(at_six) <= 442.0


def test_best_place_and_most_forgiving_box() -> None:
    chapter = found()
    clock, place = np.meshgrid(np.radians(np.arange(0, 360, 0.25)), np.arange(425.0, 455.1, 0.25), indexing="ij")
    most = car.least(clock, place).max()
    assert most - WITHIN_MM - car.PROUD_MM <= chapter.best.margin_mm <= most + car.SHORT_MM
    at = car.least(np.array(chapter.best.spot.clock), np.array(chapter.best.spot.place_mm))
    assert at >= most - WITHIN_MM - car.PROUD_MM
    box = chapter.box
    assert box is not None
    rng = np.random.default_rng(2)
    assert car.least(rng.uniform(box.start, box.stop, 500), rng.uniform(box.low_mm, box.high_mm, 500)).min() >= 0
    assert chapter.forgiving is not None
    assert chapter.forgiving.spot.place_mm == pytest.approx(box.place_mm)
    # From 10:00 clockwise past 12 to the pipe nothing depends on the place: the box takes the whole stretch along.
    assert (box.low_mm, box.high_mm) == (425.0, 455.0)


def test_what_decides_is_named() -> None:
    (arc,) = found().arcs
    nodes, seen = arc.map.nodes, set()
    for clock in range(0, len(arc.map.clocks), 3):
        for along in range(0, len(arc.map.places_mm), 3):
            exact = car.margins(arc.map.clocks[clock], arc.map.places_mm[along])
            order = sorted(exact.values())
            decides = nodes.decides(clock, along)
            if order[0] > 0 and order[1] - order[0] > 2 and order[0] < 40:
                assert decides is not None
                assert exact[decides.b] == order[0]
                seen.add(decides.b)
    assert seen == {"wall", "pipe", "ball"}


def test_sure_is_what_keeps_the_spread_as_well() -> None:
    """Only the wall is uncertain, to 4 mm, square to the can: sure where 80 + 58 sin c >= 26 + 4."""
    chapter = found(wall_spread=4.0)
    clocks, places, _ = inside(chapter)
    exact = car.margins(clocks, places)
    kept = np.min([exact["gear body"] - 4.0, exact["wall"] - 4.0, exact["pipe"], exact["ball"]], axis=0).min(axis=2)
    (arc,) = chapter.arcs
    sure = np.zeros(arc.map.cells.mm.shape, dtype=bool)
    for window in chapter.windows:
        for region in window.sure:
            sure |= region.cells
    assert (kept[sure] >= -car.SHORT_MM).all()
    # A pair that was near at none of the places looked at is asked for the wall's 4 mm too: nothing is less sure.
    careful = np.min([entry - 4.0 for entry in exact.values()], axis=0).min(axis=2)
    assert sure[careful >= car.PROUD_MM + WITHIN_MM].all()
    assert (arc.keeps() & ~sure).sum() > 20
    wall = next(each for each in chapter.taken if each.b == "wall")
    assert wall.spread_mm == pytest.approx(4.0, abs=0.01)


def test_free_a_stretch_and_steps_of_holes_agree() -> None:
    free = found()
    stretch = found("10:00 to 1:00")
    (only,) = stretch.windows
    assert np.degrees(only.keeps.reach.start) == pytest.approx(300.0)
    assert np.degrees(only.keeps.reach.stop) <= 390.0
    steps = found("3 holes, one at 9:15")  # 9:15 at the wall, 1:15 near the pipe, 5:15 by the ball
    assert len(steps.chart.arcs) == 3
    for arc in steps.chart.arcs:
        clock = (arc.arc.start + arc.arc.stop) / 2
        exact = car.least(np.full(3, clock), np.array([425.0, 440.0, 455.0]))
        keeps = [bool(arc.keeps()[:, k].all()) for k in (0, 6, -1)]
        assert [bool(value >= 0.5) for value in exact] == keeps
    for window in (*steps.windows, *stretch.windows):
        cells = window.keeps
        for clock, along in np.argwhere(cells.cells)[::7].tolist():
            at = cells.of.edges[clock : clock + 2].mean(), cells.of.map.places_mm[along : along + 2].mean()
            assert car.least(*map(np.array, at)) >= 0
            near = any(other.keeps.reach.holds(*map(float, at)) for other in free.windows)
            assert near
    # The steps leave the one at 5:15 and the one at 1:15; the best is what the closed form says.
    best = max(car.least(np.radians([37.5, 157.5]), np.array([425.0, 425.0])))
    assert steps.best.margin_mm == pytest.approx(best, abs=0.8)


def test_places_the_unit_cannot_have_are_refused_at_their_key() -> None:
    job = jobs.job(car.tables(clocking={"places": "425 mm to 690 mm"}))
    with pytest.raises(KeyFault, match="the unit cannot sit at all of these") as error:
        find(job, folder())
    assert error.value.path == ("clocking", "places")
    for key in ("bracket_may_move", "motor_may_move"):
        job = jobs.job(car.tables(clocking={key: {"toward_wheel": "5 mm", "toward_rack": "5 mm"}}))
        with pytest.raises(KeyFault, match=r"leave (it|this) out") as error:
            find(job, folder())
        assert error.value.path == ("clocking", key)


def test_without_places_it_goes_as_far_as_the_column_allows_and_says_so() -> None:
    tables = jobs.changed(car.tables(), ("clocking",), None)
    job = jobs.job(jobs.changed(tables, ("unit", "input_face"), "580 mm ± 0 mm"))
    possible = partial(sits_from, GapEngine(), job, folder(), place(job, folder()))
    there = allowed(job, 580.0, 0.0, possible)
    assert (there.low_mm, there.high_mm) == (555.0, 600.0)  # the can would leave the jacket at 605
    assert there.any_clock
    assert any("25 mm toward the wheel and 20 mm toward the rack" in said for said in there.assumed)


def test_a_right_hand_car_is_its_left_hand_twin_mirrored() -> None:
    twin = jobs.job(car.exact(jobs.mirrored(car.plain())))
    assert twin.job.drive == "right"
    scene = place(twin, folder())
    mirrored = chart(GapEngine(), twin, scene, found().allowed)
    (arc,), (own,) = mirrored.arcs, found().chart.arcs
    reaches = [sorted((box.start % tau, box.stop % tau) for box in each) for each in (
        [region.reach for region in regions(arc, arc.keeps(), EYE)],
        [Box(-w.keeps.reach.stop, -w.keeps.reach.start, 0, 1) for w in found().windows],
    )]  # fmt: skip
    assert np.degrees(reaches[0]) == pytest.approx(np.degrees(reaches[1]), abs=CELL_DEG)
    apart = ~arc.map.cells.meets
    assert arc.map.cells.mm[apart] == pytest.approx(own.map.cells.mm[::-1][apart], abs=WITHIN_MM)
