"""Makers of convex test pieces, poses and movements; all random ones from a seeded generator. Millimetres, radians."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.spatial import ConvexHull

from fitcheck.geometry.cover import Body
from fitcheck.geometry.frames import Frame
from fitcheck.geometry.movement import Movement, Slide, Turn
from fitcheck.geometry.solids import Piece

Points = NDArray[np.float64]
SIGNS = np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)]) / 2.0


def box(size: ArrayLike, centre: ArrayLike = (0, 0, 0)) -> Piece:
    return Piece(SIGNS * np.asarray(size, dtype=float) + np.asarray(centre, dtype=float))


def rod(radius: float, length: float, sides: int, frame: Frame | None = None) -> Piece:
    """A cylinder about its middle and z, from the outside: its flats touch the circle."""
    turns = np.arange(sides) * 2 * np.pi / sides
    ring = radius / np.cos(np.pi / sides) * np.column_stack([np.cos(turns), np.sin(turns)])
    ends = [np.column_stack([ring, np.full(sides, z)]) for z in (-length / 2, length / 2)]
    points = np.concatenate(ends)
    return Piece(points if frame is None else frame.points(points))


def rod_proud_mm(radius: float, sides: int) -> float:
    """How far a rod's edges stand out of its circle."""
    return float(radius / np.cos(np.pi / sides) - radius)


def ball(radius: float, corners: int, centre: ArrayLike = (0, 0, 0)) -> tuple[Piece, float]:
    """A polytope that holds the ball, corners on a spiral, and how far they stand out of it."""
    height = 1 - (2 * np.arange(corners) + 1) / corners
    around = np.pi * (1 + np.sqrt(5)) * np.arange(corners)
    wide = np.sqrt(1 - height**2)
    sphere = np.column_stack([wide * np.cos(around), wide * np.sin(around), height])
    touching = float(-ConvexHull(sphere).equations[:, 3].max())
    outer = radius / touching
    return Piece(outer * sphere + np.asarray(centre, dtype=float)), outer - radius


def speck(at: ArrayLike, size: float) -> Piece:
    """A small cube about a point."""
    return box((size, size, size), at)


def any_rotation(rng: np.random.Generator) -> Points:
    """A rotation matrix, evenly spread (QR of a normal matrix, signs put right)."""
    square, upper = np.linalg.qr(rng.normal(size=(3, 3)))
    square = square * np.sign(np.diag(upper))
    return np.asarray(square if np.linalg.det(square) > 0 else square[:, ::-1])


def any_direction(rng: np.random.Generator) -> Points:
    vector = rng.normal(size=3)
    return np.asarray(vector / np.linalg.norm(vector))


def any_piece(rng: np.random.Generator) -> Piece:
    """A plate, a needle bar, a rod, a block on a grid, or a lump."""
    kind = rng.integers(6)
    if kind == 0:
        return box([rng.uniform(50, 400), rng.uniform(50, 300), rng.uniform(0.5, 3)])
    if kind == 1:
        return box([rng.uniform(100, 500), rng.uniform(0.5, 3), rng.uniform(0.5, 3)])
    if kind == 2:
        return rod(rng.uniform(5, 60), rng.uniform(5, 150), int(rng.integers(8, 40)))
    if kind == 3:
        return box(20.0 * rng.integers(1, 5, 3))
    return Piece(rng.normal(size=(int(rng.integers(8, 40)), 3)) * rng.uniform(5, 80, 3))


def any_part(rng: np.random.Generator, centre: ArrayLike = (0, 0, 0)) -> Piece:
    """A piece the size of a pedal arm or a motor can, turned any way."""
    kind = rng.integers(4)
    if kind == 0:
        piece = box([rng.uniform(50, 200), rng.uniform(20, 60), rng.uniform(5, 10)])
    elif kind == 1:
        piece = box(rng.uniform(20, 100, 3))
    elif kind == 2:
        piece = rod(rng.uniform(5, 50), rng.uniform(20, 150), 24)
    else:
        piece = Piece(rng.normal(size=(16, 3)) * rng.uniform(5, 40, 3))
    return piece.placed(Frame(any_rotation(rng), np.asarray(centre, dtype=float) + 40 * rng.normal(size=3)))


def any_movement(rng: np.random.Generator, kind: str, centre: ArrayLike = (0, 0, 0)) -> Movement:
    """`T`: a turn of up to 46 degrees about an axis within reach; `S`: a slide of up to 120 mm."""
    if kind == "T":
        start = rng.uniform(-0.5, 0)
        point = np.asarray(centre, dtype=float) + 80 * rng.normal(size=3)
        return Turn(point, any_direction(rng), start, start + rng.uniform(0.1, 0.8))
    start = rng.uniform(-50, 0)
    return Slide(any_direction(rng), start, start + rng.uniform(5, 120))


def any_body(rng: np.random.Generator, kinds: str, centre: ArrayLike, pieces: int) -> Body:
    """`pieces` parts about `centre`, moving by one movement a letter of `kinds`."""
    parts = tuple(any_part(rng, centre) for _ in range(pieces))
    return Body(parts, tuple(any_movement(rng, kind, centre) for kind in kinds))


def any_pair(rng: np.random.Generator, kinds: tuple[str, str], near: float, far: float) -> tuple[Body, Body]:
    """Two bodies of one to three parts, their middles `near` to `far` apart."""
    away = any_direction(rng) * rng.uniform(near, far)
    return (
        any_body(rng, kinds[0], np.zeros(3), int(rng.integers(1, 4))),
        any_body(rng, kinds[1], away, int(rng.integers(1, 4))),
    )


def frame_at(moves: tuple[Movement, ...], at: ArrayLike) -> Frame:
    """Where `moves`, each at its value, put a body: first entry first."""
    frame = Frame.identity()
    for move, value in zip(moves, np.asarray(at, dtype=float).tolist(), strict=True):
        frame = move.frame(value) @ frame
    return frame


def any_place(rng: np.random.Generator, moves: tuple[Movement, ...]) -> tuple[float, ...]:
    """A value a movement, an end of its range now and then."""
    return tuple(
        float(rng.choice([move.start, move.stop]) if rng.random() < 0.2 else rng.uniform(move.start, move.stop))
        for move in moves
    )


@dataclass(frozen=True, eq=False)
class Posed:
    """Two pieces, b in a pose."""

    a: Piece
    b: Piece
    b_frame: Frame


def hard_pairs(seed: int, count: int, stock: int = 150) -> Iterator[Posed]:
    """`count` pairs of a stock of pieces: anywhere, square to each other, all but touching, and face on face."""
    rng = np.random.default_rng(seed)
    pieces = [any_piece(rng) for _ in range(stock)]
    planes = [ConvexHull(piece.vertices).equations[:, :3] for piece in pieces]
    for turn in range(count):
        first, second = rng.integers(stock, size=2)
        yield _posed(rng, turn % 4, pieces[first], planes[first], pieces[second])


def _posed(rng: np.random.Generator, kind: int, a: Piece, a_planes: Points, b: Piece) -> Posed:
    square = kind in (1, 3)
    rotation = np.round(any_square_turn(rng)) if square else any_rotation(rng)
    origin = rng.normal(size=3) * rng.choice([60, 200])
    if kind < 2:
        return Posed(a, b, Frame(rotation, origin))
    if kind == 3:
        origin = np.round(origin / 20) * 20
    along = a_planes[rng.integers(len(a_planes))] if kind == 3 else any_direction(rng)
    b_at = b.vertices @ rotation.T + origin
    apart = float((b_at @ along).min() - (a.vertices @ along).max())
    wanted = float(rng.choice([0, 0, 1e-6, 1e-3, 0.01, 0.1, 5]))
    return Posed(a, b, Frame(rotation, origin + along * (wanted - apart)))


def any_square_turn(rng: np.random.Generator) -> Points:
    """One of the 24 turns that take the axes to axes."""
    while True:
        turn = np.eye(3)[rng.permutation(3)] * rng.choice([-1.0, 1.0], size=3)
        if np.linalg.det(turn) > 0:
            return np.asarray(turn)
