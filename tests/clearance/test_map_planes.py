"""The planes a map is made of: never above what the pieces reach, whatever clock, place, pull and travel.

Source: corners put into place by frames and by the movements themselves, densely. Millimetres, column frame.
"""

import numpy as np
import pytest

from fitcheck.clearance.map_bodies import bodies
from fitcheck.clearance.map_bounds import Boxes, Planes
from fitcheck.clearance.map_fixture import Fixture
from fitcheck.clearance.travel import phases
from fitcheck.geometry.frames import Vector, unit
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.movement import Turn
from fitcheck.placement.column import ColumnAxis, heaved
from tests.clearance.mapped import car, moving_car, placed, standing
from tests.geometry.shapes import any_direction

ROUNDING_MM = 1e-6


@pytest.mark.parametrize("turns", [True, False])
def test_a_plane_held_over_a_box_is_never_above_what_the_pieces_reach_in_it(turns: bool) -> None:
    """Against corners put into place by frames and swept as placement sweeps them; at one place just as far."""
    bracket = {"turns": "with the unit" if turns else "stays with the car",
               "clamp": {"along": "400 mm", "wide": "30 mm", "thick": "12 mm"}}  # fmt: skip
    job, scene = placed(car(bracket=bracket))
    axis, rng = ColumnAxis(job), np.random.default_rng(11)
    held = Planes(bodies(GapEngine(), job, scene))
    assert any(mover.part.name == "bracket" for mover in held.bodies.movers) == turns
    for _ in range(60):
        pair = int(rng.integers(len(held.bodies.required)))
        mover = held.bodies.movers[held.bodies.mover_of[pair]]
        low = np.array([rng.uniform(0, 6), rng.uniform(380, 460), 0.0])
        wide = rng.choice([0.0, 1.0]) * np.array([rng.uniform(0, 1.0), rng.uniform(0, 20), 0.0])
        normal = any_direction(rng)
        reach = float(held.highs(Boxes(np.array([pair]), low[None], (low + wide)[None]), normal[None])[0])
        highest = -np.inf
        for share in rng.uniform(0, 1, (12, 2)) if wide.any() else [np.zeros(2)]:
            clock, along = low[:2] + share * wide[:2]
            piece = mover.piece.placed(standing(job, scene, clock, along))
            if held.bodies.pulled[pair]:
                piece = heaved((piece,), job, axis, along)[0]
            highest = max(highest, float((axis.column2car.inverse.points(piece.vertices) @ normal).max()))
        assert highest <= reach + ROUNDING_MM
        if not wide.any():
            assert highest == pytest.approx(reach, abs=ROUNDING_MM)


def test_a_fixture_is_never_lower_than_its_plane_over_a_stretch_of_travel() -> None:
    """Against corners moved by the movement itself in 300 steps; exact but for those."""
    job, scene = placed(car())
    known, rng, column2car = bodies(GapEngine(), job, scene), np.random.default_rng(13), ColumnAxis(job).column2car
    moving = [fixture for fixture in known.fixtures if fixture.moves]
    assert len(moving) >= 10
    assert {len(fixture.moves) for fixture in moving} == {1}
    troughs = 0
    for turn in range(80):
        fixture, normal = moving[int(rng.integers(len(moving)))], any_direction(rng)
        if turn % 2:  # away from the pivot: there a corner is lowest on its way, not at an end
            outward = column2car.inverse.directions(from_pivot(fixture))
            normal = unit(0.2 * normal - unit(outward))
        start, stop = np.sort(rng.uniform(fixture.ranges[0, 0], fixture.ranges[0, 1], 2))
        low = float(fixture.lowest(normal[None], np.array([[start]]), np.array([[stop]]))[0])
        moves = fixture.phase.moves
        assert moves is not None
        places = [moves.moved(fixture.piece.vertices, float(at)) for at in np.linspace(start, stop, 301)]
        heights = np.array([(column2car.inverse.points(place) @ normal).min() for place in places])
        assert low <= heights.min() + ROUNDING_MM
        assert low == pytest.approx(heights.min(), abs=0.05)
        troughs += low < min(heights[0], heights[-1]) - 0.05
    assert troughs >= 5


def test_a_fixture_of_several_movements_is_never_lower_than_its_plane_over_a_stretch() -> None:
    """Against corners put by the scene's own movements at many travels in the stretch; the unit's sways undone."""
    job, scene = placed(moving_car())
    known, rng, column2car = bodies(GapEngine(), job, scene), np.random.default_rng(17), ColumnAxis(job).column2car
    unit_ = scene.part("unit")
    assert unit_ is not None
    several = [fixture for fixture in known.fixtures if len(fixture.moves) > 1]
    assert {len(fixture.moves) for fixture in several} == {2, 3}
    for _ in range(60):
        fixture, normal = several[int(rng.integers(len(several)))], any_direction(rng)
        (own,) = phases(unit_, fixture.part)
        low, high = np.sort(rng.uniform(fixture.ranges[:, 0], fixture.ranges[:, 1], (2, len(fixture.moves))), axis=0)
        bound = float(fixture.lowest(normal[None], low[None], high[None])[0])
        least = np.inf
        for share in [*rng.uniform(0, 1, (40, len(low))), np.zeros(len(low)), np.ones(len(low))]:
            at = low + share * (high - low)
            count = len(fixture.phase.chain)
            corners = fixture.phase.moved(fixture.piece.vertices, tuple(at[:count]))
            corners = own.at_rest(corners, tuple(at[count:][::-1]))
            least = min(least, float((column2car.inverse.points(corners) @ normal).min()))
            placed_ = fixture.frame(at).points(fixture.shape.corners)
            assert (placed_ @ normal).min() == pytest.approx(
                (column2car.inverse.points(corners) @ normal).min(), abs=1e-6
            )
        assert bound <= least + ROUNDING_MM


def from_pivot(fixture: Fixture) -> Vector:
    """From the pivot to one of the fixture's corners, half way through its movement."""
    moves = fixture.phase.moves
    assert isinstance(moves, Turn)
    return np.asarray(moves.moved(fixture.piece.vertices[:1], float(np.mean(fixture.ranges)))[0] - moves.point)
