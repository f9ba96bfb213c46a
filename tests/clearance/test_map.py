"""The map of clock and place: its nodes against units placed afresh there, its cells against their own insides.

Sources: the single gaps, checked elsewhere against closed forms and an independent library; symmetry; dense sampling.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from fitcheck.clearance.map import Decides, Map, MapMaker
from fitcheck.clearance.pairs import Treatment, need
from fitcheck.clearance.travel import closest, phases
from fitcheck.errors import GeometryError, KeyFault
from fitcheck.geometry.gap import GapEngine
from tests import jobs
from tests.clearance.mapped import PULL_MM, at_unit, box, car, mapped, moving_car, placed

WITHIN_MM, CAP_MM = 0.5, 60.0
BRACKET_MM = 0.05  # of a single gap
CLOCKS, PLACES = np.arange(0.0, 360.0, 15.0), np.linspace(380.0, 480.0, 6)
ROUNDING_MM = 1e-6


@cache
def example() -> Map:
    return mapped(car(), CLOCKS, PLACES, around=True)


def afresh(tables: jobs.Tables, clock_deg: float, place_mm: float) -> tuple[float, float, str]:
    """Lower and upper margin of the unit placed anew, with the part that decides."""
    job, scene = placed(at_unit(tables, clock_deg, place_mm))
    engine, unit = GapEngine(), scene.part("unit")
    assert unit is not None
    found = []
    for part in scene.parts:
        what = need(job, unit, part)
        if part is not unit and what.treatment is Treatment.JUDGED:
            near = closest(engine, unit, part)
            found.append((near.gap.bound_mm - what.required_mm, near.gap.gap_mm - what.required_mm, part.name))
    return min(found, key=lambda entry: entry[1])


def test_nodes_are_the_margins_of_a_unit_placed_afresh_there() -> None:
    nodes, rng = example().nodes, np.random.default_rng(3)
    known = np.argwhere(~nodes.meets)
    assert len(known) >= 30
    told = set()
    for clock, along in [*rng.permutation(known)[:10].tolist(), *np.argwhere(nodes.meets)[:2].tolist()]:
        low, high, name = afresh(car(), float(CLOCKS[clock]), float(PLACES[along]))
        told.add(name)
        if nodes.meets[clock, along]:
            assert nodes.mm[clock, along] <= high
            continue
        assert low - WITHIN_MM <= nodes.mm[clock, along] <= high + ROUNDING_MM
        assert low - ROUNDING_MM <= nodes.witnessed_mm[clock, along] <= nodes.mm[clock, along] + WITHIN_MM
        decides = nodes.decides(clock, along)
        assert decides is not None
        assert there(clock, along, decides) == pytest.approx(nodes.witnessed_mm[clock, along], abs=0.2)
    assert len(told) >= 2


def test_nodes_where_column_engine_and_frame_move_are_those_of_a_unit_placed_afresh() -> None:
    """Up to three movements at once: pedal, tilt and reach; a car of its own for each node."""
    clocks, places = np.array([330.0, 345.0, 360.0]), np.array([380.0, 420.0, 460.0])
    map_ = mapped(moving_car(), clocks, places)
    assert not map_.nodes.cut_short.any()
    moved, tight = set(), 0
    for clock, along in np.ndindex(3, 3):
        low, high, _ = afresh(moving_car(), float(clocks[clock]) % 360, float(places[along]))
        if map_.nodes.meets[clock, along]:
            assert map_.nodes.mm[clock, along] <= high
            continue
        tight += 1
        assert low - WITHIN_MM <= map_.nodes.mm[clock, along] <= high + ROUNDING_MM
        decides = map_.nodes.decides(clock, along)
        assert decides is not None
        moved |= set(decides.at_movement)
    assert tight >= 5
    assert {"column tilt", "column reach"} <= moved


def test_a_unit_over_a_joint_of_the_column_makes_no_map() -> None:
    job, scene = placed(moving_car())
    with pytest.raises(KeyFault, match="within the unit at all places of the map"):
        MapMaker(GapEngine(), job, scene, np.radians(CLOCKS), np.array([430.0, 500.0]))


def there(clock: int, along: int, decides: Decides) -> float:
    """Margin of the two pieces that are said to decide, at the travel said."""
    _, scene = placed(at_unit(car(), float(CLOCKS[clock]), float(PLACES[along])))
    mover, part = scene.part(decides.a), scene.part(decides.b)
    assert mover is not None and part is not None
    (swept,) = phases(mover, part)
    own = next(piece for piece in swept.pieces if piece.name == decides.a_piece)
    least = np.inf
    for phase in phases(part, mover):
        frame = None
        if phase.moves is not None and phase.travel is not None:
            share = decides.at_travel[phase.travel.pedal]
            if not min(phase.travel.shares) - 1e-9 <= share <= max(phase.travel.shares) + 1e-9:
                continue
            order = np.argsort(phase.travel.shares)
            values = np.array(phase.travel.values)[order]
            frame = phase.moves.frame(float(np.interp(share, np.array(phase.travel.shares)[order], values)))
        for piece in [piece for piece in phase.pieces if piece.name == decides.b_piece]:
            least = min(least, GapEngine().gap(own, piece, None, frame).gap_mm)
    return float(least - decides.required_mm)


def test_every_node_and_cell_is_known_to_the_promised_width() -> None:
    for margins in (example().nodes, example().cells):
        plain = ~margins.meets & ~margins.at_least
        assert plain.sum() >= 30
        assert (margins.witnessed_mm - margins.mm)[plain].max() <= WITHIN_MM
        assert (margins.witnessed_mm - margins.mm)[plain].min() >= -ROUNDING_MM
        assert margins.mm.max() <= CAP_MM


def test_a_floor_is_never_above_its_corners_nor_above_any_node_inside() -> None:
    floors, nodes = example().cells.mm, example().nodes.mm
    following = np.roll(nodes, -1, axis=0)
    assert floors.shape == (len(CLOCKS), len(PLACES) - 1)
    for corner in (nodes[:, :-1], nodes[:, 1:], following[:, :-1], following[:, 1:]):
        assert (floors <= corner).all()
    fine = mapped(car(), np.arange(0.0, 360.0, 5.0), np.linspace(380.0, 480.0, 21), around=True).nodes
    for clock, along in np.ndindex(*floors.shape):
        inside = fine.witnessed_mm[3 * clock : 3 * clock + 4, 4 * along : 4 * along + 5]
        assert floors[clock, along] <= inside.min() + ROUNDING_MM


def test_the_mirrored_car_gives_the_mirrored_map() -> None:
    clocks = np.arange(-165.0, 180.0, 15.0)
    map_, mirror = (mapped(tables, clocks, PLACES) for tables in (car(), jobs.mirrored(car())))
    assert same(map_.nodes.mm, mirror.nodes.mm[::-1], map_.nodes.meets) >= 30
    assert same(map_.cells.mm, mirror.cells.mm[::-1], map_.cells.meets) >= 20


def test_a_symmetric_car_gives_a_symmetric_map() -> None:
    """A can along the column is its own mirror image, and so is a car with the same on both sides."""
    motor = {"dia": "40 mm", "long": "80 mm", "lies": "parallel", "beside": "58 mm", "starts": "20 mm"}
    left, right = jobs.clutch(), {**jobs.mirrored(jobs.clutch()), "name": "other"}
    tables = car(
        column={**car()["column"], "hub_seat": jobs.at(636, 0, 338)},
        unit={**car()["unit"], "clock": "12:00", "motor": motor},
        pedals=[left, right],
        obstacles=[box("left", (60, -210, 150), (170, -120, 240)), box("right", (60, 120, 150), (170, 210, 240))],
    )
    del tables["driver"], tables["unit"]["hand"], tables["unit"]["plug"]
    map_ = mapped(tables, np.arange(-165.0, 180.0, 15.0), PLACES)
    assert same(map_.nodes.mm, map_.nodes.mm[::-1], map_.nodes.meets) >= 30
    assert same(map_.cells.mm, map_.cells.mm[::-1], map_.cells.meets) >= 20


def same(one: np.ndarray, other: np.ndarray, meets: np.ndarray) -> int:
    """How many margins were compared; each is known to half a millimetre."""
    assert np.abs(one - other)[~meets].max() <= WITHIN_MM + 0.01
    return int((~meets).sum())


def test_a_typical_map_costs_few_questions_and_the_same_ones_again() -> None:
    """Counts, not seconds: 72 clocks by 21 places, nodes within 12,000 queries."""
    clocks, places = np.arange(0.0, 360.0, 5.0), np.linspace(380.0, 480.0, 21)
    first, again = (mapped(car(), clocks, places, around=True) for _ in range(2))
    assert first.nodes.queries <= 12_000
    assert 0 < first.cells.queries <= 12_000
    assert first.nodes.queries == again.nodes.queries
    assert (first.nodes.mm == again.nodes.mm).all()
    assert (first.cells.mm == again.cells.mm).all()


def test_beyond_the_cap_it_says_at_least() -> None:
    tables = jobs.bare(obstacles=[box("far", (0, 500, 0), (20, 520, 20)), box("near", (60, 150, 100), (80, 170, 120))])
    job, scene = placed(tables)
    maker = MapMaker(GapEngine(), job, scene, np.radians(CLOCKS), PLACES, cap_mm=30.0)
    nodes = maker.nodes()
    assert nodes.at_least.any()
    assert (nodes.mm[nodes.at_least] == 30.0).all()
    assert (nodes.mm[~nodes.at_least] < 30.0).all()
    for clock, along in np.argwhere(nodes.at_least)[:3].tolist():
        assert afresh(tables, float(CLOCKS[clock]), float(PLACES[along]))[1] >= 30.0


def test_what_makes_no_map_is_refused() -> None:
    job, scene = placed(car())
    good = np.radians(CLOCKS)
    for clocks, places, around, said in [
        (good[:1], PLACES, False, "two clocks and two places"),
        (good[::-1], PLACES, False, "clocks of a map rise"),
        (np.array([0.0, 3.2]), PLACES, False, "less than half a turn"),
        (np.append(good, 2 * np.pi), PLACES, True, "clocks of a map rise"),
        (good, PLACES[::-1], False, "places of a map rise"),
    ]:
        with pytest.raises(GeometryError, match=said):
            MapMaker(GapEngine(), job, scene, clocks, places, around)
    with pytest.raises(GeometryError, match=r"0\.05 mm at best"):
        MapMaker(GapEngine(), job, scene, good, PLACES, within_mm=0.01)
    with pytest.raises(KeyFault, match="lower bearing must lie"):
        MapMaker(GapEngine(), job, scene, good, np.array([400.0, 620.0])).nodes()
    with pytest.raises(GeometryError, match="nothing yet that the unit has to clear"):
        MapMaker(GapEngine(), *placed(jobs.bare()), good, PLACES)
    with pytest.raises(GeometryError, match="no unit yet"):
        MapMaker(GapEngine(), job, replace(scene, parts=scene.parts[:1]), good, PLACES)
    maker = MapMaker(GapEngine(), job, scene, good, PLACES)
    with pytest.raises(GeometryError, match="make those first"):
        maker.cells(example().nodes)
    assert PULL_MM > 0
