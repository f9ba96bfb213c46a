"""Near places: every place of a fine sweep that lies under the limit is bounded by one of its piece pair near by."""

import numpy as np
import pytest

from fitcheck.geometry.cover import Body, least_gap
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.movement import Turn
from fitcheck.geometry.near import TIGHT_MM, near_places
from fitcheck.geometry.primitives import cylinder
from fitcheck.geometry.solids import Piece

SWING = Turn(np.zeros(3), np.array([0.0, 1.0, 0.0]), 0.0, 0.9)


def bar(x: float, y: float) -> Piece:
    return cylinder([x, y, -300], [x, y, 0], 20.0, f"bar {x:g}")


def posts() -> tuple[Piece, ...]:
    return tuple(
        cylinder([150 + 40 * k, 40 + 3 * k, -260], [150 + 40 * k, 90 + 3 * k, -230], 30.0, f"post {k}")
        for k in range(3)
    )


def test_all_places_under_the_limit_are_there() -> None:
    a, b = Body((bar(0, 0), bar(60, 0)), (SWING,)), Body(posts())
    least = least_gap(GapEngine(), a, b)
    below = least.bound_mm + 10.0
    near = near_places(GapEngine(), a, b, below)
    assert min(place.bound_mm for place in near) == pytest.approx(least.gap_mm, abs=TIGHT_MM + 0.05)
    engine, under = GapEngine(), set()
    for value in np.linspace(SWING.start, SWING.stop, 181):
        for i, piece in enumerate(a.pieces):
            for j, other in enumerate(b.pieces):
                gap = engine.gap(Piece(SWING.moved(piece.vertices, float(value))), other).gap_mm
                if gap < below - 0.01:
                    under.add((i, j))
                    bounded = [p.bound_mm for p in near if (p.a_piece, p.b_piece) == (i, j)]
                    assert bounded and min(bounded) <= gap + 1e-6
    assert under == {(p.a_piece, p.b_piece) for p in near if p.bound_mm < below - 0.01 - TIGHT_MM}


def test_two_that_stand_still() -> None:
    near = near_places(GapEngine(), Body((bar(0, 0),)), Body((bar(50, 0), bar(80, 0))), 40.0)
    assert [(p.a_piece, p.b_piece) for p in near] == [(0, 0)]
    assert near[0].bound_mm == pytest.approx(30.0, abs=0.2)
