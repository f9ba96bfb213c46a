"""Driven in a child process by `test_door.py`: geometry that would end the collision library's process.

Every entry must raise GeometryError; what is merely extreme must raise that or answer. Says so on its last line.
"""

import sys
from collections.abc import Callable

import numpy as np

from fitcheck.errors import GeometryError
from fitcheck.geometry.door import Shape, claimed_nearest
from fitcheck.geometry.frames import Frame
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.solids import Piece
from tests.geometry.shapes import SIGNS, any_square_turn, box

NAN, INF = float("nan"), float("inf")
CUBE = box((20, 20, 20))
CORNERS, FACES = CUBE.corners, CUBE.faces
HERE = (np.eye(3), np.zeros(3))
CONTACTS = 3000


def spoilt(array: np.ndarray, value: float) -> np.ndarray:
    other = np.array(array)
    other[3, 1] = value
    return other


def shape(corners: np.ndarray = CORNERS, faces: np.ndarray = FACES) -> Shape:
    return Shape(corners, faces, "hostile")


def asked(rotation: np.ndarray, origin: np.ndarray, as_mesh: bool = False) -> None:
    claimed_nearest(shape(), shape(), HERE, (rotation, origin), as_mesh)


HOSTILE: list[Callable[[], object]] = [
    lambda: shape(corners=spoilt(CORNERS, NAN)),
    lambda: shape(corners=spoilt(CORNERS, INF)),
    lambda: shape(corners=spoilt(CORNERS, 1e9)),
    lambda: shape(corners=np.zeros((0, 3))),
    lambda: shape(corners=CORNERS[:3]),
    lambda: shape(corners=CORNERS[:, :2]),
    lambda: shape(corners=CORNERS.ravel()),
    lambda: shape(corners=CORNERS * [1, 1, 0]),
    lambda: shape(corners=CORNERS * [1, 1, 1e-9]),
    lambda: shape(corners=CORNERS * [1, 0, 0]),
    lambda: shape(corners=np.ones((8, 3))),
    lambda: shape(faces=np.zeros((0, 3), dtype=int)),
    lambda: shape(faces=FACES[:3]),
    lambda: shape(faces=FACES + 1),
    lambda: shape(faces=FACES - 1),
    lambda: shape(faces=FACES * 1_000_000_000),
    lambda: shape(faces=FACES.astype(float)),
    lambda: shape(faces=FACES[:, :2]),
    lambda: asked(np.eye(3) * NAN, np.zeros(3)),
    lambda: asked(np.eye(3), np.array([NAN, 0, 0])),
    lambda: asked(np.eye(3), np.array([INF, 0, 0])),
    lambda: asked(np.eye(3), np.array([1e9, 0, 0]), as_mesh=True),
    lambda: asked(np.eye(2), np.zeros(3)),
    lambda: asked(np.eye(3), np.zeros(2), as_mesh=True),
    lambda: Piece(spoilt(CORNERS, NAN)),
    lambda: Piece(np.zeros((0, 3))),
    lambda: Piece(CORNERS[:3]),
    lambda: Piece(1e9 * CORNERS),
    lambda: GapEngine().gap(Piece(CORNERS * [1, 1, 0]), CUBE),
    lambda: GapEngine().gap(CUBE, Piece(np.ones((8, 3)))),
    lambda: GapEngine().gap(CUBE, CUBE, None, Frame(np.eye(3), np.array([1e9, 0, 0]))),
]

# Allowed, however silly: an answer or a GeometryError, nothing else.
EXTREME: list[Callable[[], object]] = [
    lambda: GapEngine().gap(CUBE, CUBE),
    lambda: GapEngine().gap(CUBE, box((1e-5, 1e-5, 1e-5), (3, 0, 0))),
    lambda: GapEngine().gap(CUBE, box((90_000, 1e-4, 1e-4), (0, 12, 0))),
    lambda: GapEngine().gap(box((90_000, 90_000, 1e-5)), box((1e-5, 90_000, 90_000), (1e-5, 0, 0))),
    lambda: GapEngine().gap(CUBE, box((20, 20, 20), (90_000, 90_000, 90_000))),
    lambda: GapEngine().gap(CUBE, Piece(np.concatenate([CORNERS, CORNERS, CORNERS + 1e-12]))),
    lambda: GapEngine().gap(Piece(np.random.default_rng(0).normal(size=(3000, 3)) * 30), CUBE),
]


def contacts() -> None:
    """Faces, edges and corners in exact contact, as convex pieces and as triangles."""
    rng = np.random.default_rng(5)
    engine = GapEngine()
    one, other = shape(), shape(SIGNS * [40, 20, 60], box((40, 20, 60)).faces)
    big = box((40, 20, 60))
    for turn in range(CONTACTS):
        frame = Frame(any_square_turn(rng), np.array(rng.integers(-4, 5, 3) * 10.0, dtype=float))
        claimed_nearest(one, other, HERE, (frame.rotation, frame.origin), as_mesh=bool(turn % 2))
        gap = engine.gap(CUBE, big, None, frame)
        if not gap.bound_mm <= gap.gap_mm:
            raise SystemExit(f"contact {turn}: {gap}")


def main() -> None:
    for index, attack in enumerate(HOSTILE):
        try:
            attack()
        except GeometryError:
            continue
        raise SystemExit(f"hostile geometry {index} was let through")
    for attack in EXTREME:
        try:
            attack()
        except GeometryError as error:
            sys.stderr.write(f"refused: {error}\n")
    contacts()
    sys.stdout.write(f"refused {len(HOSTILE)}, lived through {CONTACTS} contacts\n")


if __name__ == "__main__":
    main()
