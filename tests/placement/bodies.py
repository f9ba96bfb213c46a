"""Looking at placed parts from outside: pieces by name, corners at a share of travel, reach in fixed directions; mm."""

from collections.abc import Iterable

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.spatial.transform import Rotation

from fitcheck.geometry.movement import Turn
from fitcheck.geometry.solids import Piece
from fitcheck.placement.scene import Part, Phase, Scene

Points = NDArray[np.float64]
WAYS = np.random.default_rng(11).normal(size=(300, 3))
WAYS /= np.linalg.norm(WAYS, axis=1)[:, None]


def part(scene: Scene, name: str) -> Part:
    """The part of that name, which must have been placed."""
    found = scene.part(name)
    assert found is not None, f"{name} was not placed: {scene.unplaced}"
    return found


def piece(owner: Part, name: str, phase: int = 0) -> Piece:
    """The one piece of that name."""
    (only,) = [each for each in owner.phases[phase].pieces if each.name == name]
    return only


def spot(of: Piece, word: str) -> Points:
    """The place on a piece that `word` names."""
    return np.asarray(dict(of.places)[word])


def corners(pieces: Iterable[Piece]) -> Points:
    """All corners (n, 3) of the pieces."""
    return np.vstack([each.vertices for each in pieces])


def turned(points: ArrayLike, about: ArrayLike, axis: ArrayLike, angle: float) -> Points:
    """Points turned right-handed about an axis through a point, by scipy."""
    way, centre = np.array(axis, dtype=float), np.array(about, dtype=float)
    by = Rotation.from_rotvec(angle * way / np.linalg.norm(way))
    return np.asarray(by.apply(np.array(points, dtype=float) - centre) + centre)


def moved(points: ArrayLike, phase: Phase, share: float) -> Points:
    """Points that go with a phase, at a share of its pedal's travel (two ends of the turn known, linear between)."""
    turn, travel = phase.moves, phase.travel
    assert isinstance(turn, Turn) and travel is not None
    rising = np.argsort(travel.shares)
    value = float(np.interp(share, np.array(travel.shares)[rising], np.array(travel.values)[rising]))
    return turned(points, turn.point, turn.axis, value)


def reach(points: Points) -> Points:
    """How far the hull of the points reaches in each of the fixed directions."""
    return np.asarray((points @ WAYS.T).max(axis=0))


def angle_deg(one: ArrayLike, other: ArrayLike) -> float:
    """The angle between two directions, by the half-angle formula of Kahan (well behaved near 0 and 180)."""
    a, b = np.asarray(one) / np.linalg.norm(one), np.asarray(other) / np.linalg.norm(other)
    return float(np.degrees(2 * np.arctan2(np.linalg.norm(a - b), np.linalg.norm(a + b))))
