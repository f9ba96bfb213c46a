"""Chains of joints, exact: how the far end turns when the near end is turned, in closed form.

Ways are unit vectors along the shafts, each pointing from wheel to rack; turns are right-hand about them (rad). Turn 0
of the first shaft has its yoke in the plane of the first joint; the last shaft's is counted from where it then stands.
Phase: turn of a shaft's second yoke against its first about that shaft; 0 = both in one plane; half a turn is the same.
"""

from dataclasses import dataclass
from enum import Enum
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fitcheck.errors import GeometryError
from fitcheck.geometry.frames import EYE, Vector, cross_each, crossed, frozen, unit

Complexes = NDArray[np.complex128]
STRAIGHT = 1e-9  # rad; a joint under this has no plane of its own
LOCKED = np.radians(89.0)  # a single joint stops turning at 90 degrees


class Passing(Enum):
    """How a joint passes a turn on; `value` is the word of the job file."""

    CARDAN = "single"
    DOUBLE = "double"  # centred: splits its angle in halves, so the turn goes through unchanged
    DISC = "disc"  # flexible disc, at the small angles it may take


@dataclass(frozen=True)
class Unevenness:
    """What is left of a chain's unevenness. Speed is that of the last shaft over the first, mean 1 over its turn.

    `share` k in 0..1: the chain turns as z -> z + k conj(z) on the unit circle. With b the single joint that would
    replace it, k = tan(b/2)^2.
    """

    share: float

    @property
    def lead_rad(self) -> float:
        """Greatest angle by which the far end runs ahead or behind: half the peak to peak of the difference."""
        return float(np.arcsin(self.share))

    @property
    def ripple_pct(self) -> float:
        """Most less least speed, per cent of the mean: sin(b) tan(b) of the single joint that would replace it."""
        return 100 * 4 * self.share / (1 - self.share**2)

    @property
    def fastest(self) -> float:
        """Greatest speed ratio; the least is its inverse."""
        return (1 + self.share) / (1 - self.share)


@dataclass(frozen=True, eq=False)
class Chain:
    """`ways` (n+1, 3) of the shafts, `phases` (n-1,) of those between two joints, and how each of n joints passes."""

    ways: Vector
    phases: Vector
    passing: tuple[Passing, ...]

    def __post_init__(self) -> None:
        ways = np.asarray(self.ways, dtype=float)
        object.__setattr__(self, "ways", frozen([unit(way) for way in ways], (None, 3)))
        object.__setattr__(self, "phases", frozen(self.phases, (None,)))
        joints = len(self.ways) - 1
        if joints < 1 or len(self.passing) != joints or len(self.phases) != joints - 1:
            raise GeometryError(
                f"{len(self.ways)} shafts need {joints} joints and {joints - 1} phases, "
                f"got {len(self.passing)} and {len(self.phases)}"
            )
        for angle, passing in zip(self.angles, self.passing, strict=True):
            if passing is Passing.CARDAN and not angle < LOCKED:
                raise GeometryError(f"a single joint at {np.degrees(angle):.1f} deg does not turn")

    @cached_property
    def angles(self) -> Vector:
        """True angle (n,) of each joint, rad, 0..pi."""
        return joint_angles(self.ways)

    @cached_property
    def normals(self) -> Vector:
        """Unit normal (n, 3) of each joint's plane, way in x way out; a straight joint takes its neighbour's."""
        return plane_normals(self.ways)

    @cached_property
    def planes_apart(self) -> Vector:
        """From one joint's plane to the next (n-1,), right-hand about the shaft between them, rad in -pi/2..pi/2."""
        return np.array(
            [
                half_turn(signed_angle(before, after, way))
                for before, after, way in zip(self.normals, self.normals[1:], self.ways[1:], strict=False)
            ]
        )

    @cached_property
    def unevenness(self) -> Unevenness:
        kept, flipped = passage(self.angles, self.passing, self.phases - self.planes_apart)
        return Unevenness(float(np.abs(flipped) / np.abs(kept)))

    @cached_property
    def slowest_at(self) -> float:
        """A turn of the first shaft at which the far end is slowest, rad in -pi/2..pi/2; fastest a quarter turn on."""
        kept, flipped = passage(self.angles, self.passing, self.phases - self.planes_apart)
        return half_turn(float(np.angle(flipped * np.conj(kept))) / 2) if np.abs(flipped) > 0 else 0.0

    def out(self, turn: ArrayLike) -> Vector:
        """Turn of the last shaft for each `turn` of the first, closed form, rad, same shape."""
        kept, flipped = passage(self.angles, self.passing, self.phases - self.planes_apart)
        turns = np.asarray(turn, dtype=float)
        ahead = np.angle(1 + flipped / kept * np.exp(-2j * turns))
        return np.asarray(turns + ahead - np.angle(1 + flipped / kept))

    def speed(self, turn: ArrayLike) -> Vector:
        """Speed of the last shaft over the first at each `turn`, closed form, same shape."""
        kept, flipped = passage(self.angles, self.passing, self.phases - self.planes_apart)
        circle = np.exp(1j * np.asarray(turn, dtype=float))
        most = np.abs(kept) ** 2 - np.abs(flipped) ** 2
        return np.asarray(most / np.abs(kept * circle + flipped * np.conj(circle)) ** 2)


def passage(
    angles: ArrayLike, passing: tuple[Passing, ...], relative: ArrayLike
) -> tuple[Complexes | np.complex128, Complexes | np.complex128]:
    """The chain as z -> kept z + flipped conj(z), z the driving yoke on the unit circle, turn 0 in the joint's plane.

    `angles` (n,); `relative` (..., n-1) is phase less the angle between the planes. A single joint at angle b takes
    (cos t, sin t) to (cos b cos t, sin t) - tan(out) = tan(in) / cos(b) - and its driven yoke runs a quarter turn
    before the driving one; so a chain of any length is a product of such, and works as one single joint.
    """
    bends = np.asarray(angles, dtype=float)
    between = np.asarray(relative, dtype=float)
    kept, flipped = np.complex128(1), np.complex128(0)
    for joint, how in enumerate(passing):
        if joint > 0:
            quarter = np.pi / 2 if passing[joint - 1] is Passing.CARDAN else 0.0
            turn = np.exp(1j * (between[..., joint - 1] + quarter))
            kept, flipped = turn * kept, turn * flipped
        cosine = np.cos(bends[joint]) if how is Passing.CARDAN else 1.0
        same, other = (1 + cosine) / 2, (cosine - 1) / 2
        kept, flipped = same * kept + other * np.conj(flipped), same * flipped + other * np.conj(kept)
    return kept, flipped


def joint_angles(ways: Vector) -> Vector:
    """True angles (n,) between the shafts along `ways` (n+1, 3), rad; near 0 as sharp as elsewhere."""
    sines = np.sqrt((cross_each(ways[:-1], ways[1:]) ** 2).sum(axis=-1))
    return np.asarray(np.arctan2(sines, (ways[:-1] * ways[1:]).sum(axis=-1)))


def plane_normals(ways: Vector) -> Vector:
    """Unit normals (n, 3) of the joints' planes; a straight joint takes the one before, else the one behind it."""
    raw = cross_each(ways[:-1], ways[1:])
    sines = np.sqrt((raw**2).sum(axis=1))
    bent = np.flatnonzero(sines > STRAIGHT)
    if not len(bent):
        hint = EYE[int(np.argmin(np.abs(ways[0])))]
        return np.tile(unit(hint - (hint @ ways[0]) * ways[0]), (len(raw), 1))
    source = bent[np.maximum(np.searchsorted(bent, np.arange(len(raw)), side="right") - 1, 0)]
    return np.asarray(raw[source] / sines[source][:, None])


def signed_angle(start: Vector, end: Vector, axis: Vector) -> float:
    """Turn from `start` to `end` (3,), both square to unit `axis`, right-hand, rad in -pi..pi."""
    return float(np.arctan2(crossed(start, end) @ axis, start @ end))


def half_turn(angle: float) -> float:
    """`angle` less whole half turns, in -pi/2 < a <= pi/2: yokes have no front."""
    return float(np.pi / 2 - (np.pi / 2 - angle) % np.pi)
