"""The swing bound: a lower bound of the gap over a whole box of movements from certified heights at its corners.

Between the corners the direction n is mixed multilinearly, so along one movement at a time n is a straight line. A
corner x of the moving piece, reach L, then has a height n.x whose second derivative is at most L (|n| + 2 |n'|) for a
turn and 2 L |n'| for a slide (L = 1), with |n| <= 1 and n' at most D / h: D the largest difference of n along an edge,
h the width. A function whose second derivative is at most M lies at most M u (1-u) h^2 / 2 below the straight line
between its ends. Doing this one movement after another costs one such term each, as mixing has weights of sum 1; a
piece that a movement leaves alone costs nothing. Least height of b and greatest of a then mix the right way (min is
concave, max convex), so the height of the pair is at least the mixture of the corners' heights less those terms.
"""

import math

import numpy as np

from fitcheck.geometry.frames import Vector


def bulges(normals: Vector, widths: Vector, reaches: Vector, turns: Vector) -> Vector:
    """For each of k movements the most (k,) a height can sag below the mixture of its ends, mm.

    normals (2,)*k + (3,): unit directions at the corners of the box; widths, reaches (k,); turns (k,): 1 for a turn,
    else 0.
    """
    edges = [_longest(normals.take([1], axis) - normals.take([0], axis)) for axis in range(len(widths))]
    return reaches * widths * (turns * widths / 8 + np.array(edges) / 4)


def _longest(vectors: Vector) -> float:
    flat = vectors.reshape(-1, 3)
    return math.sqrt(float((flat * flat).sum(axis=1).max()))


def swing_bound(heights: Vector, normals: Vector, bulge: Vector) -> float:
    """The bound in mm from certified `heights` (2,)*k, `normals` (2,)*k + (3,) at the corners; -inf where none holds.

    A direction mixed of unit ones is shorter than 1: that only helps while the bound is positive; a negative one is
    divided by the least length that can occur.
    """
    least: list[float] = heights.ravel().tolist()
    for sag in bulge.tolist():
        half = len(least) // 2
        least = [_least_along(start, stop, sag) for start, stop in zip(least[:half], least[half:], strict=True)]
    (value,) = least
    if value >= 0:
        return value
    directions = normals.reshape(-1, 3)
    middle = directions.sum(axis=0)
    size = float(np.sqrt(middle @ middle))
    if not size > 1e-6:
        return -np.inf
    # Every mixture reaches at least as far along the middle direction as the worst corner does.
    shortest = float((directions @ middle).min()) / size
    return value / shortest if shortest > 1e-6 else -np.inf


def _least_along(start: float, stop: float, sag: float) -> float:
    """Least value of `start (1-u) + stop u - 4 sag u (1-u)` over 0 <= u <= 1."""
    low, rise = min(start, stop), abs(stop - start)
    if not (rise < math.inf and sag >= 0):
        return -math.inf
    if not 4 * sag > rise:
        return low
    return low - (4 * sag - rise) ** 2 / (16 * sag)
