"""What the stated directions prove: a lower bound of the gap over every place of two bodies, and the witness above it.

For any unit direction n the gap is at least (least n.x over b) less (greatest n.x over a), apart or overlapping. mm.
"""

from itertools import pairwise, product
from typing import Any

import numpy as np

from fitcheck.verify.bodies import Phase, moved
from fitcheck.verify.form import Refused, Vector

ROUNDING_MM = 1e-9
DIRECTION_WITHIN = 1e-6
UNSURE = 1e-9  # rad; a bottom this near an end counts as inside
PLACES = 9  # at which a turn is looked at, to bound the reach of those after it
MOST_MOVEMENTS = 3  # of a pair
Table = dict[str, Any]
Box = list[tuple[float, float]]


def whole_box(a: Phase, b: Phase) -> Box:
    """The whole range of each movement, a's first."""
    return [(move["start"], move["stop"]) for move in (*a[0], *b[0])]


def cover_bound(a: Phase, b: Phase, leaves: list[Table], where: str) -> float:
    """The bound over all piece pairs and places; Refused where the leaves leave any of them out."""
    whole, boxes, lowest = whole_box(a, b), dict[tuple[int, int], list[Box]](), np.inf
    for at, leaf in enumerate(leaves):
        here = f"{where}.leaves[{at}]"
        box = [(float(low), float(high)) for low, high in leaf["box"]]
        if not (0 <= leaf["a"] < len(a[1]) and 0 <= leaf["b"] < len(b[1])):
            raise Refused(f"{here}: there is no such piece")
        within = len(box) == len(whole) <= MOST_MOVEMENTS and all(
            start <= low <= high <= stop for (low, high), (start, stop) in zip(box, whole, strict=True)
        )
        if not within:
            raise Refused(f"{here}: its box is not within the movements' ranges")
        boxes.setdefault((leaf["a"], leaf["b"]), []).append(box)
        lowest = min(lowest, leaf_bound(a, b, leaf, box, here))
    for pair in product(range(len(a[1])), range(len(b[1]))):
        if not covered(whole, boxes.get(pair, [])):
            raise Refused(f"{where}: the leaves leave a hole for pieces {pair[0]} and {pair[1]}")
    return lowest


def covered(whole: Box, boxes: list[Box]) -> bool:
    """Whether `boxes` leave no place of `whole` out: every cell between their ends lies in one of them."""
    cells = []
    for k, ends in enumerate(whole):
        cuts = sorted({*ends, *(end for box in boxes for end in box[k])})
        cells.append([ends] if len(cuts) == 1 else list(pairwise(cuts)))
    return bool(boxes) and all(
        any(all(low <= lo and hi <= high for (low, high), (lo, hi) in zip(box, cell, strict=True)) for box in boxes)
        for cell in product(*cells)
    )


def leaf_bound(a: Phase, b: Phase, leaf: Table, box: Box, where: str) -> float:
    """The bound of one leaf: one direction held over its box, or one for each corner of it, turned in between."""
    normals = leaf["directions"]
    lengths = np.sqrt((normals**2).sum(axis=1))
    if not (len(normals) and np.abs(lengths - 1).max() <= DIRECTION_WITHIN):
        raise Refused(f"{where}: directions are of length 1")
    normals = normals / lengths[:, None]
    a_box, b_box = box[: len(a[0])], box[len(a[0]) :]
    a_points, b_points = a[1][leaf["a"]], b[1][leaf["b"]]
    if len(normals) == 1:
        return least(b_points, b[0], b_box, normals[0]) + least(a_points, a[0], a_box, -normals[0]) - ROUNDING_MM
    moving = [k for k, (low, high) in enumerate(box) if low < high]
    if len(normals) != 2 ** len(moving):
        raise Refused(f"{where}: one direction, or one for each corner of its box")
    heights = []
    for corner, normal in zip(
        product(*(ends if ends[0] < ends[1] else ends[:1] for ends in box)), normals, strict=True
    ):
        a_at, b_at = np.array(corner[: len(a[0])]), np.array(corner[len(a[0]) :])
        heights.append(
            (moved(b_points, b[0], b_at) @ normal).min() - (moved(a_points, a[0], a_at) @ normal).max() - ROUNDING_MM
        )
    sags = np.array([0.0] * len(moving))
    for i, k in enumerate(moving):
        on_a = k < len(a[0])
        side = (a_points, a[0], a_box, k) if on_a else (b_points, b[0], b_box, k - len(a[0]))
        sags[i] = _sag(*side, _longest_edge(normals, i, len(moving)))
    return _swing(np.array(heights), normals, sags)


def least(points: Vector, moves: list[Table], box: Box, normal: Vector) -> float:
    """The least height n.x of `points` (n, 3) over all of `box`: exact for one movement, from below for a chain.

    Slides at the end add on their own. Movements before the last turn are taken at their ends: in between a height is
    a straight line of a slide, and of a turn of reach L and width w at most L w^2 / 8 below one.
    """
    extra, last = 0.0, len(moves)
    while last and moves[last - 1]["kind"] == "slide":
        last -= 1
        rise = float(normal @ moves[last]["direction"])
        extra += min(rise * box[last][0], rise * box[last][1])
    if last == 0:
        return extra + float((points @ normal).min())
    for k, (low, high) in enumerate(box[: last - 1]):
        if moves[k]["kind"] == "turn":
            extra -= reach(points, moves, box, k) * (high - low) ** 2 / 8
    return extra + min(
        _turn_least(moved(points, moves[: last - 1], np.array(ends)), moves[last - 1], box[last - 1], normal)
        for ends in product(*box[: last - 1])
    )


def _turn_least(points: Vector, move: Table, over: tuple[float, float], normal: Vector) -> float:
    """The same over one turn: each height is a sinusoid; exact."""
    axis, arms = move["axis"], points - move["point"]
    level = (arms @ axis) * (normal @ axis) + move["point"] @ normal
    cosine = arms @ normal - (arms @ axis) * (normal @ axis)
    sine = arms @ np.cross(normal, axis)  # (axis x arm) . n
    ends = [cosine * np.cos(at) + sine * np.sin(at) for at in over]
    bottom = np.arctan2(sine, cosine) + np.pi
    bottom += 2 * np.pi * np.ceil((over[0] - UNSURE - bottom) / (2 * np.pi))  # the first at or after the start
    swing = np.where(bottom <= over[1] + UNSURE, -np.hypot(cosine, sine), np.minimum(*ends))
    return float((level + swing).min())


def reach(points: Vector, moves: list[Table], box: Box, which: int) -> float:
    """The most that any of `points` (n, 3) is from the axis of turn `which`, wherever those before it stand; 1 a slide.

    Turns before it are looked at in a few places, between which a point strays by half a step times its own reach;
    along a slide a distance from an axis is convex, so its ends are enough.
    """
    if moves[which]["kind"] == "slide":
        return 1.0
    stray = 0.0
    for k, (low, high) in enumerate(box[:which]):
        turning = moves[k]["kind"] == "turn"
        if turning:
            stray += (_off_axis(points, moves[k]) + stray) * (high - low) / (PLACES - 1) / 2
        at = np.linspace(low, high, PLACES if turning else 2)
        points = np.concatenate([moved(points, [moves[k]], np.array([value])) for value in at])
    return _off_axis(points, moves[which]) + stray


def _off_axis(points: Vector, move: Table) -> float:
    arms = points - move["point"]
    across = arms - np.outer(arms @ move["axis"], move["axis"])
    return float(np.sqrt((across**2).sum(axis=1).max()))


def _sag(points: Vector, moves: list[Table], box: Box, which: int, edge: float) -> float:
    """How far a height can lie below the mixture of its ends: reach x width x (width / 8 + change of direction / 4)."""
    width = box[which][1] - box[which][0]
    bend = width / 8 if moves[which]["kind"] == "turn" else 0.0
    return reach(points, moves, box, which) * width * (bend + edge / 4)


def _longest_edge(normals: Vector, which: int, count: int) -> float:
    grid = normals.reshape((2,) * count + (3,))
    return float(np.sqrt((np.diff(grid, axis=which) ** 2).sum(axis=-1).max()))


def _swing(heights: Vector, normals: Vector, sags: Vector) -> float:
    """Least of the mixture of the corners' heights less 4 sag u (1 - u) a movement; a mixed n is shorter than 1."""
    for sag in sags:
        first, last = np.split(heights, 2)
        u = np.clip(0.5 - (last - first) / (8 * sag), 0, 1) if sag > 0 else (last < first).astype(float)
        heights = first * (1 - u) + last * u - 4 * sag * u * (1 - u)
    value = float(heights[0])
    if value >= 0:
        return value
    middle = normals.sum(axis=0)
    shortest = float((normals @ middle).min()) / max(float(np.sqrt(middle @ middle)), ROUNDING_MM)
    return value / shortest if shortest > DIRECTION_WITHIN else -np.inf


def witness_gap(a: list[Phase], b: list[Phase], witness: Table, where: str) -> float:
    """The distance of the two witnesses, each a mixture of its piece's vertices, at the stated place."""
    ends = []
    for side, phases in (("a", a), ("b", b)):
        phase, piece, at = witness[f"{side}_phase"], witness[f"{side}_piece"], witness[f"{side}_at"]
        if not (0 <= phase < len(phases) and 0 <= piece < len(phases[phase][1])):
            raise Refused(f"{where}: there is no such phase or piece")
        moves, sets = phases[phase]
        if len(at) != len(moves) or any(not m["start"] <= v <= m["stop"] for m, v in zip(moves, at, strict=True)):
            raise Refused(f"{where}: the place is not within the movements' ranges")
        ends.append(moved(_mixture(sets[piece], witness[f"{side}_on"], where)[None], moves, at)[0])
    return float(np.sqrt(((ends[1] - ends[0]) ** 2).sum()))


def _mixture(vertices: Vector, weights: Vector, where: str) -> Vector:
    which, share = weights[:, 0].astype(np.int64), weights[:, 1]
    if not (len(which) and (which == weights[:, 0]).all() and which.min() >= 0 and which.max() < len(vertices)):
        raise Refused(f"{where}: a weight on a vertex that is not there")
    if not (share.min() >= 0 and abs(share.sum() - 1) <= 1e-9 and len(set(which.tolist())) == len(which)):
        raise Refused(f"{where}: the weights are not those of a mixture: none below 0, their sum 1, each vertex once")
    return np.asarray(share @ vertices[which])
