"""Second road to a chain's turns: each yoke's pin carried through space joint by joint, no closed form in it. rad."""

import numpy as np
from numpy.typing import ArrayLike

from fitcheck.geometry.frames import Vector, cross_each, crossed, turned
from fitcheck.shaft.joints import STRAIGHT, Chain, Passing


def single_joints(ways: ArrayLike, phases: ArrayLike = ()) -> Chain:
    """A chain of single joints only, between shafts (n+1, 3) with phases (n-1,)."""
    joints = len(np.asarray(ways)) - 1
    return Chain(np.asarray(ways), np.asarray(phases, dtype=float), (Passing.CARDAN,) * joints)


def out_by_pins(chain: Chain, turn: ArrayLike) -> Vector:
    """As `chain.out`: turn of the last shaft for each turn of the first."""
    turns = np.atleast_1d(np.asarray(turn, dtype=float))
    last = _driven_pins(chain, turns)
    zero = _driven_pins(chain, np.zeros(1))[0]
    way = chain.ways[-1]
    angle = np.arctan2(last @ cross_each(way, zero), last @ zero)
    ahead = (angle - turns + np.pi) % (2 * np.pi) - np.pi
    return np.asarray((turns + ahead).reshape(np.shape(turn)))


def _driven_pins(chain: Chain, turns: Vector) -> Vector:
    """Pin (m, 3) of the last driven yoke for each turn of the first shaft."""
    first = cross_each(chain.normals[0], chain.ways[0])
    pins = np.array([turned(first, chain.ways[0], float(turn)) for turn in turns])
    for joint, passing in enumerate(chain.passing):
        if joint > 0:
            pins = turned(pins, chain.ways[joint], float(chain.phases[joint - 1]))
        pins = _across(pins, chain.ways[joint], chain.ways[joint + 1], passing)
    return pins


def _across(pins: Vector, way_in: Vector, way_out: Vector, passing: Passing) -> Vector:
    """Pins (m, 3) of the driven yoke from those of the driving one.

    In a single joint the cross holds the two square to each other, and the driven one stays square to its own shaft.
    The others carry the pin over by the shortest turn from one shaft to the next.
    """
    if passing is Passing.CARDAN:
        square = crossed(way_out, pins)
        return np.asarray(square / np.sqrt((square**2).sum(axis=1))[:, None])
    normal = crossed(way_in, way_out)
    sine, cosine = float(np.sqrt(normal @ normal)), float(way_in @ way_out)
    return pins if sine < STRAIGHT else turned(pins, normal / sine, float(np.arctan2(sine, cosine)))
