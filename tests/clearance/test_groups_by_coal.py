"""Two and three movements at once, sampled: a column that tilts and reaches, an engine that rocks, pedals in travel.

A sampled gap can only be more than the least one, by no more than half a step times the speed of what moves. The
samples turn and slide the pieces at rest by scipy, from the figures of the job; distances are those of coal 3.
Millimetres; every figure is invented.
"""

from collections.abc import Callable
from dataclasses import replace
from itertools import product
from math import asin
from typing import Any

import coal
import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from fitcheck.clearance.travel import TOLERANCE_MM, phases
from fitcheck.geometry.cover import MOST_MOVEMENTS
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.solids import Piece
from fitcheck.placement.scene import Part
from tests import jobs
from tests.clearance.moving_saloon import CHORD, HUB, PIVOT, found, saloon

Places = Callable[[float], tuple[Rotation, Vector]]  # share 0..1 of a movement -> turn and shift in the car


def about(point: Vector, axis: Vector, low: float, high: float) -> Places:
    way, point = np.asarray(axis) / np.linalg.norm(axis), np.array(point)

    def at_share(share: float) -> tuple[Rotation, Vector]:
        turn = Rotation.from_rotvec((low + share * (high - low)) * way)
        return turn, point - turn.apply(point)

    return at_share


def by_hand(tables: jobs.Tables, name: str) -> list[Places]:
    """The movements of the unit, the pipe or a pedal from the job's figures, the first to act at the head."""
    scene = jobs.scene(tables)
    column = scene.part("column")
    assert column is not None
    places = dict(column.phases[0].pieces[0].places)
    down = places["lower end"] - places["upper end"]
    down /= np.linalg.norm(down)
    across = np.cross([0, 0, 1.0], down)  # level and square to the column: what is above the pivot rises about it
    if name == "unit":
        given = tables["groups"]["column"] if "column" in tables.get("groups", {}) else {}
        off = HUB - PIVOT - ((HUB - PIVOT) @ across) * across / (across @ across)
        up, low = (2 * asin(CHORD[way] / 2 / np.linalg.norm(off)) for way in ("up", "down"))
        slide: Places = lambda share: (Rotation.identity(), -(-15 + 35 * share) * down)  # noqa: E731
        return [*([slide] if "reach" in given else []), *([about(PIVOT, across, -low, up)] if "tilt" in given else [])]
    if name == "pipe":
        if "engine" not in tables.get("groups", {}):
            return []
        start, axis = np.array([-300.0, 60, -330]), np.array([500.0, 10, -20])
        arm = np.array([-100.0, 60, -20]) - start
        radius = np.linalg.norm(np.cross(arm, axis)) / np.linalg.norm(axis)
        far, back = (2 * asin(chord / 2 / radius) for chord in (15, 5))
        return [about(start, axis, -back, far)]
    part = scene.part(name)
    assert part is not None and part.phases[0].moves is not None
    move: Any = part.phases[0].moves
    return [about(move.point, move.axis, move.start, move.stop)]


def sampled(tables: jobs.Tables, names: tuple[str, str], counts: dict[int, int]) -> tuple[float, float]:
    """Least gap over a grid of all movements, and the most that may have been missed between two places of it."""
    scene, pair = jobs.scene(tables), []
    for name, other in (names, names[::-1]):
        part, against = scene.part(name), scene.part(other)
        assert part is not None and against is not None
        pair.append((rest(part, against), by_hand(tables, name)))
    steps = counts[sum(len(moves) for _, moves in pair)]
    grids, missed = [], 0.0
    for pieces, moves in pair:
        clouds = [np.array(piece.corners) for piece in pieces]
        grids.append([placed(pieces, moves, at_) for at_ in product(np.linspace(0, 1, steps), repeat=len(moves))])
        for k in range(len(moves)):
            ends = [
                moved_all(clouds, moves, tuple(share if i == k else 0.5 for i in range(len(moves)))) for share in (0, 1)
            ]
            speed = max(np.linalg.norm(one - other, axis=1).max() for one, other in zip(*ends, strict=True))
            missed += 1.2 * speed / (steps - 1) / 2  # an arc is a little longer than its chord
    request = coal.DistanceRequest()
    least = min(
        coal.distance(*one, *other, request, coal.DistanceResult())
        for here, there in product(*grids)
        for one, other in product(here, there)
    )
    return float(least), missed


def rest(part: Part, against: Part) -> tuple[Piece, ...]:
    """The pieces as they count at rest: pulled at the wheel against a pedal, carried by no group."""
    still = replace(part, phases=tuple(replace(phase, carry=()) for phase in part.phases),
                    pulled=tuple(replace(phase, carry=()) for phase in part.pulled))  # fmt: skip
    return phases(still, against)[0].pieces


def moved_all(clouds: list[Vector], moves: list[Places], at_: tuple[float, ...]) -> list[Vector]:
    for move, share in zip(moves, at_, strict=True):
        turn, shift = move(share)
        clouds = [turn.apply(cloud) + shift for cloud in clouds]
    return clouds


def placed(pieces: tuple[Piece, ...], moves: list[Places], at_: tuple[float, ...]) -> list[tuple[Any, Any]]:
    turn, shift = Rotation.identity(), np.zeros(3)
    for move, share in zip(moves, at_, strict=True):
        onward, by = move(share)
        turn, shift = onward * turn, onward.apply(shift) + by
    return [(solid(piece), coal.Transform3s(turn.as_matrix(), shift)) for piece in pieces]


def solid(piece: Piece) -> Any:
    points, faces = coal.StdVec_Vec3s(), coal.StdVec_Triangle()
    points.extend(list(piece.corners))
    faces.extend([coal.Triangle(*map(int, face)) for face in piece.faces])
    return coal.Convex(points, faces)


TOGETHER = [
    (("rock",), ("unit", "pipe")),
    (("tilt",), ("unit", "pipe")),
    (("tilt", "rock"), ("unit", "pipe")),
    (("reach", "rock"), ("unit", "pipe")),
    (("tilt", "reach"), ("unit", "pipe")),
    (("tilt", "reach", "rock"), ("unit", "pipe")),
    (("rock",), ("clutch", "pipe")),
    (("tilt", "reach"), ("unit", "clutch")),
    (("tilt",), ("unit", "brake")),
]
COUNTS = {1: 81, 2: 21, 3: 9}


@pytest.mark.parametrize(("moving", "names"), TOGETHER, ids=lambda value: " ".join(value))
def test_no_bound_is_above_a_sampled_gap_and_none_farther_below_than_sampling_can_miss(
    moving: tuple[str, ...], names: tuple[str, str]
) -> None:
    tables = saloon(*moving)
    entry = found(tables, *names)
    assert entry.closest is not None
    gap, (least, missed) = entry.closest.gap, sampled(tables, names, COUNTS)
    assert gap.bracketed and gap.gap_mm - gap.bound_mm <= TOLERANCE_MM
    assert 0 < gap.bound_mm <= least + 1e-6
    assert gap.gap_mm >= least - missed
    many = {("unit", "pipe"): len(moving), ("clutch", "pipe"): 2}.get(names, len(moving) + 1)
    assert len(gap.a_at) + len(gap.b_at) == many <= MOST_MOVEMENTS


def test_the_place_that_is_told_has_the_gap_that_is_told() -> None:
    """The shares of movement told, taken by hand: the parts stand so far apart there."""
    tables = saloon("tilt", "reach", "rock")
    entry = found(tables, "unit", "pipe")
    assert entry.closest is not None
    told = entry.closest.at_movement
    stated = {"column tilt": (CHORD["down"], CHORD["up"]), "column reach": (15, 20), "engine rock": (5, 15)}
    shares = {  # of the whole range, from its lower end
        name: (told[name] * (high if told[name] > 0 else low) + low) / (low + high)
        for name, (low, high) in stated.items()
    }
    scene = jobs.scene(tables)
    unit, pipe = scene.part("unit"), scene.part("pipe")
    assert unit is not None and pipe is not None
    here = placed(rest(unit, pipe), by_hand(tables, "unit"), (shares["column reach"], shares["column tilt"]))
    there = placed(rest(pipe, unit), by_hand(tables, "pipe"), (shares["engine rock"],))
    request = coal.DistanceRequest()
    apart = min(coal.distance(*a, *b, request, coal.DistanceResult()) for a, b in product(here, there))
    # A chord's share is not quite its angle's: for 15 and 5 of 310 they differ by 1e-5 of the turn.
    assert apart == pytest.approx(entry.closest.gap.gap_mm, abs=0.02)
