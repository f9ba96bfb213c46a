"""Phases of the shafts between the joints: the best there are, those the ends allow, and what each leaves of ripple.

A phase is the turn of a shaft's rack-end yoke against its wheel-end yoke, right-hand from wheel to rack, which is
clockwise seen from the wheel end; rad, half a turn makes no difference. Relative phase: phase less the planes' angle.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from math import gcd, lcm

import numpy as np
from numpy.typing import ArrayLike

from fitcheck.errors import GeometryError
from fitcheck.geometry.frames import Vector
from fitcheck.shaft.joints import Chain, Passing, half_turn, passage

ROUNDING = 1e-14  # of a side of under 5
NO_DIFFERENCE_PCT = 0.1  # a phase that changes the ripple by less than this over its whole circle is "any"
COARSE = np.radians(np.arange(0.0, 180.0, 2.0))
MOST_COMBINATIONS = 2_000_000


@dataclass(frozen=True)
class Step:
    """One phase a shaft can have: how many teeth its yoke is moved on at the rack end and at the wheel end.

    Each yoke is turned against the shaft from where the paint mark has it, clockwise positive seen from the wheel end.
    """

    phase: float
    rack_teeth: int
    wheel_teeth: int


@dataclass(frozen=True)
class Reach:
    """The phases one shaft can have: a list of steps, or `free` (a weld-on end: any)."""

    steps: tuple[Step, ...]
    free: bool = False


@dataclass(frozen=True)
class Choice:
    """One reachable phase for every shaft, with the ripple it leaves, per cent."""

    steps: tuple[Step, ...]
    ripple_pct: float

    @property
    def phases(self) -> Vector:
        return np.array([step.phase for step in self.steps])


def reach(wheel_teeth: int, rack_teeth: int, base: float = 0.0) -> Reach:
    """Phases of a shaft with so many places round at either end: n for a spline of n teeth, 2 for a double-D.

    `base` is the phase at the paint mark. Moving the rack-end yoke a tooth adds 360 / n deg, the wheel-end yoke takes
    it away: a vernier in steps of 360 deg over the least common multiple. Fewest teeth first, the rack end preferred.
    """
    circle = lcm(wheel_teeth, rack_teeth)
    half = circle // gcd(2, circle)  # steps of 2 pi / circle after which the phase repeats, half a turn being none
    best: dict[int, tuple[int, int, Step]] = {}
    for wheel, rack in product(_counts(wheel_teeth), _counts(rack_teeth)):
        steps = rack * (circle // rack_teeth) - wheel * (circle // wheel_teeth)
        phase = half_turn(base + 2 * np.pi * steps / circle)
        found = (abs(wheel) + abs(rack), abs(wheel), Step(phase, rack, wheel))
        key = steps % half
        if key not in best or found[:2] < best[key][:2]:
            best[key] = found
    return Reach(tuple(entry[2] for _, entry in sorted(best.items())))


def _counts(teeth: int) -> range:
    return range(-((teeth - 1) // 2), teeth // 2 + 1)


def anything() -> Reach:
    """A weld-on end: any phase."""
    return Reach((), free=True)


def ripple_pct(angles: ArrayLike, passing: tuple[Passing, ...], relative: ArrayLike) -> Vector:
    """Ripple (...) in per cent for relative phases (..., n-1), closed form."""
    kept, flipped = passage(angles, passing, relative)
    share = np.abs(flipped) / np.abs(kept)
    return np.asarray(400 * share / (1 - share**2))


def least_ripple_pct(angles: ArrayLike, passing: tuple[Passing, ...]) -> float:
    """The least ripple any phases leave, per cent, closed form.

    With L = -ln cos b a chain adds up like a polygon of sides L in the hyperbolic plane (each joint stretches the
    circle by e^L along its own direction). What cannot be closed is the longest side less all the others, and a chain
    of length L has ripple 2 sinh L. Two joints: cos(equivalent) = cos(larger) / cos(smaller).
    """
    sides = _sides(angles, passing)
    return float(200 * np.sinh(_shortest(sides)))


def best_phases(chain: Chain) -> Vector:
    """Phases (n-1,) that leave the least ripple, rad in -pi/2..pi/2; where many do, one of them."""
    sides = _sides(chain.angles, chain.passing)
    targets = _targets(sides)
    relative = np.zeros(len(sides) - 1)
    for joint in range(1, len(sides)):
        kept, flipped = passage(chain.angles[:joint], chain.passing[:joint], relative[: joint - 1])
        quarter = np.pi / 2 if chain.passing[joint - 1] is Passing.CARDAN else 0.0
        opposed = -(np.angle(kept) + np.angle(flipped)) / 2 - quarter if np.abs(flipped) > 0 else 0.0
        relative[joint - 1] = opposed + _opened(targets[joint - 1], float(sides[joint]), targets[joint])
    return np.array([half_turn(phase) for phase in relative + chain.planes_apart])


def _sides(angles: ArrayLike, passing: tuple[Passing, ...]) -> Vector:
    bends = np.asarray(angles, dtype=float)
    single = np.array([how is Passing.CARDAN for how in passing])
    return np.where(single, -np.log(np.cos(np.where(single, bends, 0.0))), 0.0)


def _shortest(sides: Vector) -> float:
    return max(0.0, 2 * float(sides.max()) - float(sides.sum()))


def _targets(sides: Vector) -> list[float]:
    """How long the first joint, the first two, ... must come out so that the whole is as short as can be."""
    targets = [_shortest(sides)]
    for joint in range(len(sides) - 1, 0, -1):
        before, after = sides[:joint], float(sides[joint])
        low = max(_shortest(before), abs(targets[0] - after))
        high = min(float(before.sum()), targets[0] + after)
        targets.insert(0, min(low, high))
    return targets


def _opened(one: float, other: float, third: float) -> float:
    """How far two sides are turned out of opposition for a third side: hyperbolic law of cosines, in half angles."""
    scale = np.sinh(one) * np.sinh(other)
    if not scale > 0 or third <= abs(one - other) + ROUNDING:
        return 0.0
    sine2 = np.sinh((third + one - other) / 2) * np.sinh((third - one + other) / 2) / scale
    return float(np.arcsin(np.sqrt(np.clip(sine2, 0.0, 1.0))))  # only rounding leaves 0..1: the targets close


def choose(chain: Chain, reaches: Sequence[Reach]) -> Choice:
    """The reachable phases that leave the least ripple; of equals, the fewest teeth."""
    if all(entry.free for entry in reaches):
        phases = best_phases(chain)
        return _choice(chain, [Step(float(phase), 0, 0) for phase in phases])
    last_free = max((i for i, entry in enumerate(reaches) if entry.free), default=None)
    lists = [_steps(entry, i == last_free, chain, i) for i, entry in enumerate(reaches)]
    sizes = [len(steps) for steps in lists]
    if np.prod([float(size) for size in sizes]) > MOST_COMBINATIONS:
        raise GeometryError("the ends allow too many phases between them to try them all")
    grids = np.meshgrid(*[[step.phase for step in steps] for steps in lists], indexing="ij")
    relative = np.stack([grid.ravel() for grid in grids], axis=-1) - chain.planes_apart
    if last_free is not None:
        relative[:, last_free] = _best_alone(chain, relative, last_free)
    ripples = ripple_pct(chain.angles, chain.passing, relative)
    near = np.flatnonzero(ripples <= ripples.min() + 1e-9)
    picks = [_picked(lists, np.unravel_index(index, sizes)) for index in near]
    index, steps = min(zip(near, picks, strict=True), key=lambda entry: _teeth(entry[1]))
    if last_free is not None:
        free = half_turn(float(relative[index, last_free] + chain.planes_apart[last_free]))
        steps = [*steps[:last_free], Step(free, 0, 0), *steps[last_free + 1 :]]
    return _choice(chain, steps)


def _picked(lists: list[tuple[Step, ...]], at: Sequence[np.intp]) -> list[Step]:
    return [steps[int(index)] for steps, index in zip(lists, at, strict=True)]


def _teeth(steps: Sequence[Step]) -> tuple[int, float]:
    return sum(abs(s.rack_teeth) + abs(s.wheel_teeth) for s in steps), sum(abs(s.phase) for s in steps)


def _steps(entry: Reach, solved: bool, chain: Chain, shaft: int) -> tuple[Step, ...]:
    if not entry.free:
        return entry.steps
    if solved:
        return (Step(0.0, 0, 0),)
    return tuple(Step(half_turn(float(phase + chain.planes_apart[shaft])), 0, 0) for phase in COARSE)


def _best_alone(chain: Chain, relative: Vector, shaft: int) -> Vector:
    """Best relative phase (m,) of one shaft, the others held: cosh L is a constant and one wave of twice the phase."""
    waves = np.zeros(len(relative), dtype=np.complex128)
    for third in range(3):
        tried = relative.copy()
        tried[:, shaft] = third * np.pi / 3
        share = np.divide(*np.abs(passage(chain.angles, chain.passing, tried))[::-1])
        waves += (1 + share**2) / (1 - share**2) * np.exp(2j * np.pi * third / 3)
    return np.asarray(np.angle(-waves) / 2)


def _choice(chain: Chain, steps: Sequence[Step]) -> Choice:
    relative = np.array([step.phase for step in steps]) - chain.planes_apart
    return Choice(tuple(steps), float(ripple_pct(chain.angles, chain.passing, relative)))


def is_any(chain: Chain, shaft: int) -> bool:
    """Whether this shaft's phase makes no difference, the others as they are: then it has no best phase."""
    relative = np.tile(chain.phases - chain.planes_apart, (len(COARSE), 1))
    relative[:, shaft] = COARSE
    ripples = ripple_pct(chain.angles, chain.passing, relative)
    return bool(ripples.max() - ripples.min() < NO_DIFFERENCE_PCT)


def ripple_at(chain: Chain, shaft: int, phase: float) -> float:
    """Ripple, per cent, with one shaft at another phase."""
    relative = chain.phases - chain.planes_apart
    relative[shaft] = phase - chain.planes_apart[shaft]
    return float(ripple_pct(chain.angles, chain.passing, relative))


def tooth_by_tooth(chain: Chain, entry: Reach, shaft: int, most: int = 5) -> tuple[tuple[Step, float], ...]:
    """The steps nearest to the chain's own phase of that shaft, in order of phase, each with the ripple it leaves."""
    here = float(chain.phases[shaft])
    near = sorted(entry.steps, key=lambda step: abs(half_turn(step.phase - here)))[:most]
    rows = sorted(near, key=lambda step: half_turn(step.phase - here))
    return tuple((step, ripple_at(chain, shaft, step.phase)) for step in rows)
