"""The three roads of one query: lies that do not get through, plain places, and the third road by itself."""

from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import settings

from fitcheck.errors import GeometryError
from fitcheck.geometry.door import Shape
from fitcheck.geometry.frames import Frame
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.minkowski import difference, nearest_weights
from fitcheck.geometry.solids import Piece
from tests.geometry.shapes import Posed, box, hard_pairs, rod
from tests.geometry.test_gap import gap_of, inside_both

SAME_MM = 0.0011  # one certified query: 0.001, and rounding
MIRROR = np.diag([-1.0, 1.0, 1.0])
STEADY = settings(derandomize=True, deadline=None, max_examples=80)


@dataclass
class _Liar:
    """Stands where the library's answer is taken in and says what it is told to."""

    answers: list[tuple[np.ndarray, np.ndarray] | None]

    def __call__(self, *_: object, **__: object) -> tuple[np.ndarray, np.ndarray] | None:
        return self.answers.pop(0)


@pytest.mark.parametrize(
    "lies",
    [
        [None],  # an overlap that is none
        [(np.array([9.0, 0, 0]), np.array([20.0, 0, 0])), None],  # points off the nearest, then an overlap
        [(np.array([10.0, 0, 0]), np.array([19.99, 0, 0]))] * 2,  # a point outside its piece
        [(np.array([10.0, 9, 0]), np.array([20.0, -9, 0]))] * 2,  # too far
        [(np.array([10.0, 0, 0]), np.array([10.0, 0, 0]))] * 2,  # no direction
        [(np.full(3, np.nan), np.array([20.0, 0, 0]))] * 2,
        [(np.array([10.0, 0, 0]), np.array([1e30, 0, 0]))] * 2,
    ],
)
def test_no_lie_of_the_library_gets_through(
    lies: list[tuple[np.ndarray, np.ndarray] | None], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Cubes of 20 with faces 10 apart, whatever the library underneath claims."""
    monkeypatch.setattr("fitcheck.geometry.gap.claimed_nearest", _Liar(list(lies)))
    engine = GapEngine()
    gap = engine.gap(box((20, 20, 20)), box((20, 20, 20), (30, 0, 0)))
    assert (gap.road, engine.third_road, engine.second_road) == (3, 1, len(lies) - 1)
    assert gap.gap_mm == pytest.approx(10, abs=1e-9)
    assert gap.bound_mm == pytest.approx(10, abs=1e-8)


@pytest.mark.parametrize(("a_size", "b_size"), [(20, 60), (60, 20)])
def test_a_witness_beside_its_piece_is_not_believed(
    a_size: float, b_size: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The right length in the right direction, but beside the smaller of two cubes 10 apart."""
    lie = (np.array([a_size / 2, 15.0, 0]), np.array([a_size / 2 + 10, 15.0, 0]))
    monkeypatch.setattr("fitcheck.geometry.gap.claimed_nearest", _Liar([lie, lie]))
    pair = Posed(box([a_size] * 3), box([b_size] * 3), Frame(np.eye(3), np.array([(a_size + b_size) / 2 + 10, 0, 0])))
    gap = gap_of(pair)
    assert gap.road == 3
    assert inside_both(gap, pair) <= 1e-6


def test_the_third_road_alone_agrees_with_the_first(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two independent roads: the library's nearest points, and the facets of the Minkowski difference by Qhull."""
    first = [gap_of(pair) for pair in hard_pairs(8, 300)]
    monkeypatch.setattr("fitcheck.geometry.gap.claimed_nearest", lambda *_, **__: None)
    for pair, gap in zip(hard_pairs(8, 300), first, strict=True):
        again = gap_of(pair)
        assert again.road == 3
        assert again.gap_mm == pytest.approx(gap.gap_mm, abs=SAME_MM)
        assert again.depth_mm == pytest.approx(gap.depth_mm, abs=SAME_MM)
    assert sum(gap.road == 1 for gap in first) > 200


def test_the_second_road_is_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    truth = (np.array([10.0, 0, 0]), np.array([20.0, 0, 0]))
    monkeypatch.setattr("fitcheck.geometry.gap.claimed_nearest", _Liar([(truth[0], truth[1] + [0, 9, 9]), truth]))
    engine = GapEngine()
    gap = engine.gap(box((20, 20, 20)), box((20, 20, 20), (30, 0, 0)))
    assert (gap.road, engine.queries, engine.second_road, engine.third_road) == (2, 1, 1, 0)


@pytest.mark.parametrize(
    ("shift", "gap_mm", "depth_mm"),
    [((0, 0, 0), 0, 20), ((20, 0, 0), 0, 0), ((20, 20, 20), 0, 0), ((20, 5, 0), 0, 0), ((5000, 0, 0), 4980, 0)],
)
def test_cubes_in_plain_places(shift: tuple[float, float, float], gap_mm: float, depth_mm: float) -> None:
    """Cubes of 20: identical, face on face, corner on corner, and 5 m off."""
    cube = box((20, 20, 20))
    gap = GapEngine().gap(cube, cube, None, Frame(np.eye(3), np.array(shift)))
    assert gap.gap_mm == pytest.approx(gap_mm, abs=1e-9)
    assert gap.depth_mm == pytest.approx(depth_mm, abs=1e-9)
    assert gap.bound_mm == pytest.approx(gap_mm - depth_mm, abs=1e-8)


def test_a_piece_inside_another_is_no_gap() -> None:
    """A speck of 2 at the middle of a cube of 100 comes out after 51, at the nearest face."""
    gap = GapEngine().gap(box((100, 100, 100)), box((2, 2, 2), (30, 0, 0)))
    assert gap.gap_mm == 0
    assert gap.depth_mm == pytest.approx(50 - 30 + 1, abs=1e-9)
    assert gap.normal == pytest.approx([1, 0, 0], abs=1e-9)


def test_pieces_are_kept_ready_only_while_they_live() -> None:
    engine = GapEngine()
    keep = box((20, 20, 20))
    first = engine.shape(keep)
    engine.gap(keep, rod(10, 30, 12), None, Frame(np.eye(3), np.array([90.0, 0, 0])))
    assert engine.shape(keep) is first
    assert len(engine._shapes) == 1


def test_a_difference_that_cannot_be_built_is_said() -> None:
    with pytest.raises(GeometryError, match="too thin"):
        difference(np.zeros((4, 3)), np.zeros((4, 3)))


def test_nearest_weights_against_sampling() -> None:
    """No mixture of a fine grid of convex weights comes nearer the origin than the closed form's."""
    rng = np.random.default_rng(3)
    triangles = rng.normal(size=(300, 3, 3)) + rng.normal(size=(300, 1, 3))
    triangles[::10, 2] = triangles[::10, 1]  # no area
    weights = nearest_weights(triangles)
    assert (weights >= 0).all()
    assert weights.sum(axis=1) == pytest.approx(np.ones(300), abs=1e-12)
    near = np.linalg.norm(np.einsum("ij,ijk->ik", weights, triangles), axis=1)
    steps = np.array([(i, j, 40 - i - j) for i in range(41) for j in range(41 - i)]) / 40
    sampled = np.linalg.norm(np.einsum("mj,ijk->imk", steps, triangles), axis=2).min(axis=1)
    assert (near <= sampled + 1e-12).all()
    assert (sampled - near < 0.2).all()


def test_the_shape_of_a_piece_uses_extreme_corners_only() -> None:
    inner = np.concatenate([box((20, 20, 20)).vertices, np.zeros((5, 3))])
    piece = Piece(inner)
    assert len(Shape(piece.corners, piece.faces, "").corners) == 8
