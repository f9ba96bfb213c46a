"""Driven in a child process by `test_scan_door.py`: flat, tiny and broken hulls against a piece, in contact and apart.

What is broken must raise GeometryError; whatever else, however flat, must be answered. Says so on its last line.
"""

import sys
from collections.abc import Callable

import numpy as np

from fitcheck.errors import GeometryError
from fitcheck.geometry.door import AT_REST, Shape, claimed_to_hulls
from tests.geometry.shapes import SIGNS, box, rod

NAN, INF = float("nan"), float("inf")
QUERIES = 20_000
CUBE = box((20, 20, 20))
SHAPE = Shape(CUBE.corners, CUBE.faces, "cube")
FLAT = np.array([[[30.0, 0, 0], [40, 0, 0], [30, 10, 0]]])


def asked(sets: np.ndarray, rotation: np.ndarray | None = None, origin: np.ndarray | None = None) -> None:
    pose = AT_REST if rotation is None or origin is None else (rotation, origin)
    claimed_to_hulls(SHAPE, pose, sets)


HOSTILE: list[Callable[[], object]] = [
    lambda: asked(np.where(FLAT > 35, NAN, FLAT)),
    lambda: asked(np.where(FLAT > 35, INF, FLAT)),
    lambda: asked(FLAT * 1e6),
    lambda: asked(FLAT[:, :2]),
    lambda: asked(FLAT[:, :, :2]),
    lambda: asked(FLAT[0]),
    lambda: asked(np.zeros((4, 0, 3))),
    lambda: asked(FLAT, np.eye(3) * NAN, np.zeros(3)),
    lambda: asked(FLAT, np.eye(3), np.array([1e9, 0, 0])),
    lambda: asked(FLAT, np.eye(2), np.zeros(3)),
]


def any_hull(rng: np.random.Generator) -> np.ndarray:
    """A triangle or a cluster, on a grid now and then, with equal corners, all in a line, or all in one place."""
    corners = rng.normal(size=(int(rng.choice([3, 24])), 3)) * rng.choice([0.5, 5, 50])
    kind = rng.integers(7)
    if kind == 1:
        corners = np.round(corners / 10) * 10
    elif kind == 2:
        corners[1] = corners[0]
    elif kind == 3:
        corners[:, 2] = 0
    elif kind == 4:
        corners[:, 1:] = 0
    elif kind == 5:
        corners[:] = 0
    elif kind == 6:
        corners[:3] = 20 * SIGNS[rng.permutation(8)[:3]]  # on the cube's own corners
    return np.asarray(corners + np.round(rng.normal(size=3) * rng.choice([0, 6])) * 10)


def queries() -> None:
    rng = np.random.default_rng(4)
    bar = rod(10, 60, 24)
    shapes = [SHAPE, Shape(bar.corners, bar.faces, "bar")]
    for turn in range(QUERIES):
        points, apart = claimed_to_hulls(shapes[turn % 2], AT_REST, any_hull(rng)[None])
        if apart[0] and not np.isfinite(points).all():
            raise SystemExit(f"query {turn}: {points}")


def main() -> None:
    for index, attack in enumerate(HOSTILE):
        try:
            attack()
        except GeometryError:
            continue
        raise SystemExit(f"hostile hull {index} was let through")
    queries()
    sys.stdout.write(f"refused {len(HOSTILE)}, lived through {QUERIES} queries\n")


if __name__ == "__main__":
    main()
