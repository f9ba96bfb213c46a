"""Skins and their trees: what is refused, that every node holds what lies under it, and heights by brute force."""

import numpy as np
import pytest

from fitcheck.errors import GeometryError
from fitcheck.geometry.frames import Frame
from fitcheck.geometry.scan import Skin
from fitcheck.geometry.scan_inside import nearest, winding
from fitcheck.geometry.scan_reading import mended_skin
from tests.geometry import meshes
from tests.geometry.shapes import any_direction, any_rotation

CORNERS = np.array([[0.0, 0, 0], [10, 0, 0], [0, 10, 0], [0, 0, 10]])
TRIANGLES = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]])
ALL_ONE, CLOSED = np.zeros(4, dtype=np.int64), np.array([True])


def some_skin(count: int) -> Skin:
    """`count` small triangles anywhere."""
    rng = np.random.default_rng(count)
    corners = 200 * rng.normal(size=(count, 1, 3)) + 5 * rng.normal(size=(count, 3, 3))
    return Skin(
        corners.reshape(-1, 3), np.arange(3 * count).reshape(-1, 3), np.zeros(count, np.int64), np.array([False])
    )


@pytest.mark.parametrize(
    ("vertices", "triangles", "bodies", "closed"),
    [
        (np.where(CORNERS > 5, np.nan, CORNERS), TRIANGLES, ALL_ONE, CLOSED),
        (CORNERS * 1e6, TRIANGLES, ALL_ONE, CLOSED),
        (CORNERS, TRIANGLES[:0], ALL_ONE[:0], CLOSED),
        (CORNERS, TRIANGLES + 1, ALL_ONE, CLOSED),
        (CORNERS, TRIANGLES - 1, ALL_ONE, CLOSED),
        (CORNERS, TRIANGLES[:, :2], ALL_ONE, CLOSED),
        (CORNERS, TRIANGLES, ALL_ONE[:2], CLOSED),
        (CORNERS, TRIANGLES, ALL_ONE + 1, CLOSED),
        (CORNERS, TRIANGLES, ALL_ONE - 1, CLOSED),
        (CORNERS[:, :2], TRIANGLES, ALL_ONE, CLOSED),
    ],
)
def test_a_skin_that_is_none_is_refused(
    vertices: np.ndarray, triangles: np.ndarray, bodies: np.ndarray, closed: np.ndarray
) -> None:
    with pytest.raises(GeometryError):
        Skin(vertices, triangles, bodies, closed)


@pytest.mark.parametrize("count", [1, 7, 8, 9, 64, 65, 1000, 4097])
def test_every_node_holds_what_lies_under_it(count: int) -> None:
    skin = some_skin(count)
    seen: set[int] = set()
    waiting = [1]
    while waiting:
        node = waiting.pop()
        if node >= skin.first_triangle:
            seen.add(node - skin.first_triangle)
            continue
        low, high = skin.tree.centres[node] - skin.tree.halves[node], skin.tree.centres[node] + skin.tree.halves[node]
        for child in skin.children(node).tolist():
            if child < skin.first_triangle:
                assert (skin.tree.centres[child] - skin.tree.halves[child] >= low - 1e-9).all()
                assert (skin.tree.centres[child] + skin.tree.halves[child] <= high + 1e-9).all()
            else:
                corners = skin.corners(np.array([child]))[0]
                assert (corners >= low - 1e-9).all()
                assert (corners <= high + 1e-9).all()
            waiting.append(child)
    assert seen == set(range(count))


def test_no_node_reaches_less_far_than_its_triangles() -> None:
    skin, rng = some_skin(500), np.random.default_rng(1)
    normals = np.array([any_direction(rng) for _ in range(20)])
    for node in (1, 5, skin.first_cluster, skin.first_cluster + 3, skin.first_triangle + 17):
        under, waiting = [], [node]
        while waiting:
            at = waiting.pop()
            if at >= skin.first_triangle:
                under.append(at)
            else:
                waiting += skin.children(at).tolist()
        least = (skin.corners(np.array(under)).reshape(-1, 3) @ normals.T).max(axis=0)
        found = skin.highest(np.array([node]), normals[None])[0]
        assert (found >= least - 1e-9).all()
        if node >= skin.first_cluster:
            assert np.allclose(found, least)


def test_scaling_keeps_everything_but_the_size() -> None:
    skin = some_skin(50)
    assert np.allclose(skin.scaled(2.5).vertices, 2.5 * skin.vertices)
    for factor in (0, -1, np.inf, np.nan):
        with pytest.raises(GeometryError, match="times as large"):
            skin.scaled(factor)


def test_the_winding_number_of_a_closed_mesh_is_whole() -> None:
    """1 inside, 0 outside, and -1 inside a mesh turned inside out."""
    skin = mended_skin(meshes.ring(80, 20))[0]
    rng = np.random.default_rng(2)
    for _ in range(20):
        around, across = rng.uniform(0, 2 * np.pi, 2)
        inside = rng.uniform(0, 18)
        away = rng.uniform(22, 50)
        for far, turns in ((inside, 1.0), (away, 0.0)):
            wide = 80 + far * np.cos(across)
            point = np.array([wide * np.cos(around), wide * np.sin(around), far * np.sin(across)])
            assert winding(skin, point)[0] == pytest.approx(turns, abs=1e-9)
            turned = Skin(skin.vertices, skin.triangles[:, ::-1], skin.bodies, skin.closed)
            assert winding(turned, point)[0] == pytest.approx(-turns, abs=1e-9)


def test_the_winding_number_of_a_square_is_its_solid_angle() -> None:
    """A square of side 2 a seen from h above its middle: 4 arctan(a^2 / (h sqrt(2 a^2 + h^2))); handbook formula."""
    side = meshes.block((40, 40, 2), cuts=2)
    top = side[(side[:, :, 2] > 0.9).all(axis=1)] - [0, 0, 1]
    skin = Skin(top.reshape(-1, 3), np.arange(3 * len(top)).reshape(-1, 3), np.zeros(len(top), int), np.array([False]))
    for height in (1.0, 7.0, 40.0):
        share = 4 * np.arctan(20**2 / (height * np.sqrt(2 * 20**2 + height**2))) / (4 * np.pi)
        assert winding(skin, np.array([0, 0, height])) == pytest.approx((0, -share))
        assert winding(skin, np.array([0, 0, -height])) == pytest.approx((0, share))


def test_the_nearest_point_by_brute_force() -> None:
    """Against every triangle sampled finely: never nearer than found, and found to the sampling's own step."""
    skin, rng = some_skin(300), np.random.default_rng(6)
    shares = rng.dirichlet([0.6] * 3, size=400)
    cloud = np.einsum("sj,kjl->ksl", shares, skin.vertices[skin.triangles])
    for _ in range(20):
        point = 250 * rng.normal(size=3)
        number, at = nearest(skin, point)
        sampled = np.linalg.norm(cloud - point, axis=2)
        found = float(np.linalg.norm(at - point))
        assert found <= sampled.min() + 1e-9
        assert found >= sampled.min() - 1.0
        assert found >= sampled[number].min() - 1.0


def test_a_placed_scan_is_where_its_frame_leads() -> None:
    rng = np.random.default_rng(9)
    frame, second = (Frame(any_rotation(rng), rng.normal(size=3)) for _ in range(2))
    scan = meshes.scan(meshes.ring(80, 20), frame)
    moved = scan.placed(second)
    assert np.allclose(moved.vertices, second.points(frame.points(scan.skin.vertices)))
    assert np.allclose(moved.triangle(3), moved.vertices[scan.skin.triangles[3]])
    assert scan.closed
    assert not meshes.scan(meshes.bowl(50, 2, 10)).closed
