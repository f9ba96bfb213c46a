"""Flat outlines (n, 2): polygons round and inside circles, and cutting any outline into convex parts; millimetres."""

from collections import deque
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from fitcheck.errors import GeometryError
from fitcheck.geometry.frames import Vector, frozen

PROUD_MM = 0.1  # how far a corner of a round part may stand outside the true circle
THINNEST_MM = 0.001
OUTLINE_WITHIN_MM = 1e-6
MOST_CUTS = 16

Loop = tuple[int, ...]


def positive(value: float, what: str, name: str) -> float:
    """`value` where it is a size over a micrometre; NaN, 0 and less are refused in the words `what` of `name`."""
    if not value >= THINNEST_MM:
        raise GeometryError(f"{name or 'a solid'}: {what} must be at least {THINNEST_MM:g} mm, got {value:g} mm")
    return float(value)


def is_convex(outline: Vector) -> bool:
    """Whether no corner of `outline` (n, 2), either way round, lies over 1e-6 mm outside the line of an edge."""
    inward = inward_by(outline)
    return bool(inward.min(initial=0.0) >= -OUTLINE_WITHIN_MM or inward.max(initial=0.0) <= OUTLINE_WITHIN_MM)


def inward_by(outline: Vector) -> Vector:
    """How far each corner (n, 2) lies left of the line of each edge (m, n), mm; edges of no length left out."""
    edges = np.roll(outline, -1, axis=0) - outline
    lengths = np.sqrt((edges**2).sum(axis=1))
    ways, starts = edges[lengths > 0] / lengths[lengths > 0, None], outline[lengths > 0]
    arms = outline[None] - starts[:, None]
    return np.asarray(ways[:, None, 0] * arms[..., 1] - ways[:, None, 1] * arms[..., 0])


def facets(radius_mm: float) -> int:
    """Sides of a polygon round a circle of `radius_mm`, corners at most `PROUD_MM` outside; a multiple of 4, from 12.

    A corner stands r (1 / cos(pi / n) - 1) outside a circle that n flats touch.
    """
    return max(12, 4 * int(np.ceil(np.pi / np.arccos(radius_mm / (radius_mm + PROUD_MM)) / 4)))


def bore_outline(centre: ArrayLike, diameter: float, sides: int | None = None) -> Vector:
    """Polygon (n, 2) inside a circle about `centre` (2,), its corners on it: a round hole that errs inward.

    A side lies r (1 - cos(pi / sides)) inside the circle; `sides` None: as many as keep that under `PROUD_MM`.
    """
    radius = positive(diameter, "its diameter", "a bore") / 2
    if sides is not None and sides < 3:
        raise GeometryError(f"a bore: at least 3 sides, got {sides}")
    return frozen(centre, (2,)) + regular(sides or facets(radius), radius)


def regular(count: int, reach: float, corner_at: float | None = None) -> Vector:
    """`count` corners (count, 2) at `reach` from the origin, the first at `corner_at`, else a flat square to x."""
    first = np.pi / count if corner_at is None else corner_at
    angles = first + 2 * np.pi / count * np.arange(count)
    return reach * np.column_stack([np.cos(angles), np.sin(angles)])


def convex_parts(outline: ArrayLike, holes: Sequence[ArrayLike] = (), name: str = "") -> tuple[Vector, ...]:
    """`outline` (n, 2) less `holes`, cut into convex polygons: triangles, then joined over each cut that allows it.

    An outline that differs but little from one cut before is cut along the same corners, so that a measured corner
    moved by a hair moves the parts by a hair and does not deal them anew.
    """
    edge = frozen(outline, (None, 2))
    if not len(holes) and is_convex(edge):
        return (edge,)
    rims = [frozen(hole, (None, 2)) for hole in holes]
    corners = np.vstack([edge, *rims])
    sizes = tuple(len(loop) for loop in (edge, *rims))
    known = _CUTS.setdefault(sizes, deque(maxlen=MOST_CUTS))
    loops = next((loops for loops in known if _still_fits(loops, corners, sizes)), None)
    if loops is None:
        loops = _joined(corners, _triangles(edge, rims, corners, name or "a plate"))
        known.append(loops)
    return tuple(corners[list(loop)] for loop in loops)


_CUTS: dict[tuple[int, ...], deque[list[Loop]]] = {}  # the last cuts of outlines and holes of so many corners


def _still_fits(loops: list[Loop], corners: Vector, sizes: tuple[int, ...]) -> bool:
    """Whether the loops, all convex and the same way round, still fill the outline: then they tile it, as before."""
    areas = [_area(corners[list(loop)]) for loop in loops]
    bounds = np.split(corners, np.cumsum(sizes)[:-1])
    whole = abs(_area(bounds[0])) - sum(abs(_area(hole)) for hole in bounds[1:])
    if not (min(areas) > 0 and abs(sum(areas) - whole) <= OUTLINE_WITHIN_MM * max(1.0, whole)):
        return False
    return all(is_convex(corners[list(loop)]) for loop in loops)


def _area(loop: Vector) -> float:
    x, y = loop.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2


def _triangles(edge: Vector, holes: list[Vector], corners: Vector, name: str) -> list[Loop]:
    """Triangles as numbers of `corners` (n, 2), outline first and then the holes."""
    import shapely  # only where a plate is not convex

    if min(len(loop) for loop in (edge, *holes)) < 3:
        raise GeometryError(f"{name}: an outline or a hole needs at least three corners")
    polygon = shapely.Polygon(edge, holes)
    if not polygon.is_valid:
        reason = shapely.is_valid_reason(polygon)
        raise GeometryError(f"{name}: the outline crosses or touches itself, or a hole leaves it ({reason})")
    cut = shapely.orient_polygons(shapely.get_parts(shapely.constrained_delaunay_triangles(polygon)))
    number = {(x, y): i for i, (x, y) in enumerate(corners.tolist())}
    found = [number[x, y] for x, y in shapely.get_coordinates(cut).tolist()]
    return [(a, b, c) for a, b, c, _ in zip(*[iter(found)] * 4, strict=True)]


def _edges(loop: Loop) -> list[tuple[int, int]]:
    return list(pairwise((*loop, loop[0])))


def _joined(corners: Vector, loops: list[Loop]) -> list[Loop]:
    """The loops after joining two over each inner edge, longest first, wherever what results is convex.

    One pass will do: an edge that has to stay has to stay for good, as joining elsewhere only opens its corners.
    """
    owner = {edge: k for k, loop in enumerate(loops) for edge in _edges(loop)}
    inner = [(a, b) for a, b in owner if a < b and (b, a) in owner]
    inner.sort(key=lambda edge: -float(((corners[edge[0]] - corners[edge[1]]) ** 2).sum()))
    parts = dict(enumerate(loops))
    for a, b in inner:
        one, other = owner[a, b], owner[b, a]
        both = _around(parts[one], parts[other]) if one != other else None
        if both is None or not is_convex(corners[list(both)]):
            continue
        owner.update(dict.fromkeys(_edges(parts.pop(other)), one))
        parts[one] = both
    return list(parts.values())


def _around(one: Loop, other: Loop) -> Loop | None:
    """The loop round two loops that share edges; None where they meet elsewhere too and leave more than one loop."""
    edges = set(_edges(one) + _edges(other))
    follow = {a: b for a, b in edges if (b, a) not in edges}
    start = min(follow)
    loop = [start]
    while follow[loop[-1]] != start:
        loop.append(follow[loop[-1]])
    return tuple(loop) if len(loop) == sum((b, a) not in edges for a, b in edges) else None
