"""Simple solids as convex pieces: boxes, prisms, round parts, rings, tubes, flat bars and folded sheets; millimetres.

Every solid contains the true shape. A round part is a polygon whose flats touch the circle, its corners at most
`PROUD_MM` outside; a bore is a polygon inside the circle. All come in the frame of the points given.
"""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from fitcheck.errors import GeometryError
from fitcheck.geometry.exact import Balls, Cuboid, Round
from fitcheck.geometry.frames import Frame, Vector, cross_each, frozen, unit
from fitcheck.geometry.geodesic import geodesic
from fitcheck.geometry.outlines import (
    THINNEST_MM,
    bore_outline,
    convex_parts,
    facets,
    inward_by,
    is_convex,
    positive,
    regular,
)
from fitcheck.geometry.solids import Piece

BALL_PROUD_MM = 0.3  # how far a corner of a ball may stand outside; 0.1 would take too many corners
SHARPEST_BEND_COSINE = -np.sqrt(3.0) / 2  # 150 degrees: a mitre beyond that reaches absurdly far
ABOUT = 0.05  # of a length
STEEP_SINE = 0.1  # a stretch nearer the side direction than this has no width direction of its own
Places = tuple[str, ...]
ENDS: Places = ("near end", "far end")


def box(low: ArrayLike, high: ArrayLike, name: str = "") -> Piece:
    """The box between two opposite corners (3,), given in any order, its edges along the axes."""
    one, other = frozen(low, (3,)), frozen(high, (3,))
    return block(Frame(np.eye(3), (one + other) / 2), np.abs(other - one), name)


def block(frame: Frame, size: ArrayLike, name: str = "") -> Piece:
    """A box of `size` (3,) along the axes of `frame`, centred on its origin."""
    half = frozen(size, (3,)) / 2
    for letter, extent in zip("xyz", 2 * half, strict=True):
        positive(float(extent), f"its size along {letter}", name)
    face = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]) * half[:2]
    return replace(_upright(face, -half[2], half[2], frame, name), exact=Cuboid(frame, 2 * half))


def prism(outline: ArrayLike, bottom: float, top: float, frame: Frame, name: str = "") -> Piece:
    """A convex `outline` (n, 2) in the x-y plane of `frame`, either way round, from z `bottom` to z `top`."""
    corners = frozen(outline, (None, 2))
    positive(top - bottom, "the height from bottom to top", name)
    if np.abs(inward_by(corners)).max(initial=0.0) < THINNEST_MM:
        raise GeometryError(f"{name or 'a prism'}: the outline's corners lie in one line")
    if not is_convex(corners):
        raise GeometryError(f"{name or 'a prism'}: the outline is not convex; a plate takes any outline")
    return _upright(corners, bottom, top, frame, name)


def _upright(convex: Vector, bottom: float, top: float, frame: Frame, name: str) -> Piece:
    return Piece(frame.points(np.vstack([_raised(convex, bottom), _raised(convex, top)])), name)


def plate(
    outline: ArrayLike, thick: float, frame: Frame, name: str = "", holes: Sequence[ArrayLike] = ()
) -> tuple[Piece, ...]:
    """A plate on the x-y plane of `frame`, from z 0 to `thick`; `outline` (n, 2) is any that does not cross itself.

    Each hole is an outline (k, 2), or a round one (3,): x, y and diameter. Pieces meet face to face and fill the
    outline exactly; a round hole is the polygon of `bore_outline`, which errs inward.
    """
    loops = [np.asarray(hole, dtype=float) for hole in holes]
    rims = [bore_outline(loop[:2], float(loop[2])) if loop.shape == (3,) else loop for loop in loops]
    positive(thick, "its thickness", name)
    parts = convex_parts(outline, rims, name)
    made = prism if len(parts) == 1 else _upright
    return tuple(made(part, 0.0, thick, frame, name) for part in parts)


def cylinder(start: ArrayLike, end: ArrayLike, diameter: float, name: str = "", places: Places = ENDS) -> Piece:
    """A round bar from `start` to `end` (3,), points on its axis; `places` names its two ends, or () for none."""
    return cone(start, end, diameter, diameter, name, places)


def cone(
    start: ArrayLike, end: ArrayLike, start_diameter: float, end_diameter: float, name: str = "", places: Places = ENDS
) -> Piece:
    """A cone, whole or cut off square, from `start` to `end` (3,) on its axis; one diameter may be 0."""
    first, last = frozen(start, (3,)), frozen(end, (3,))
    positive(max(start_diameter, end_diameter), "its larger diameter", name)
    if not (start_diameter >= 0 and end_diameter >= 0):
        raise GeometryError(f"{name or 'a cone'}: a diameter is under 0")
    frame, length = _along(first, last, name)
    count = facets(max(start_diameter, end_diameter) / 2)
    rims = [
        _raised(regular(count if size > 0 else 1, size / 2 / np.cos(np.pi / count)), height)
        for size, height in ((start_diameter, 0.0), (end_diameter, length))
    ]
    exact = Round(first, last, float(start_diameter), float(end_diameter))
    return Piece(frame.points(np.vstack(rims)), name, tuple(zip(places, (first, last), strict=False)), exact)


def ball(centre: ArrayLike, diameter: float, name: str = "") -> Piece:
    """A polytope that holds the ball about `centre` (3,); corners at most 0.3 mm outside, 3 % of the radius if less.

    92 corners up to a diameter of 20 mm, growing with the diameter from there (492 at 100 mm).
    """
    radius = positive(diameter, "its diameter", name) / 2
    split = 3
    while radius * (geodesic(split)[1] - 1) > BALL_PROUD_MM:
        split += 1
    directions, reach = geodesic(split)
    middle = frozen(centre, (3,))
    return Piece(middle + radius * reach * directions, name, exact=Balls(middle[None], float(diameter)))


def balls(centres: Sequence[Vector], diameter: float, name: str = "") -> Piece:
    """The hull of equal balls about `centres`, each (3,)."""
    about = np.array(centres)
    corners = (about[:, None] + ball(np.zeros(3), diameter, name).vertices).reshape(-1, 3)
    return Piece(corners, name, exact=Balls(about, float(diameter)))


def ring(
    start: ArrayLike, end: ArrayLike, inner: float, outer: float, name: str = "", sectors: int = 12
) -> tuple[Piece, ...]:
    """A ring about the axis from `start` to `end` (3,), diameters `inner` and `outer`, as `sectors` wedges, at least 3.

    Each wedge closes the bore with one chord, which lies inner / 2 (1 - cos(pi / sectors)) inside the true bore: 0.9 mm
    at 12 sectors and 50 mm. Outside at most `PROUD_MM`.
    """
    first, last = frozen(start, (3,)), frozen(end, (3,))
    positive(inner, "its inner diameter", name)
    positive(outer - inner, "its outer less its inner diameter", name)
    if sectors < 3:
        raise GeometryError(f"{name or 'a ring'}: at least 3 sectors, got {sectors}")
    frame, length = _along(first, last, name)
    flats = -(-facets(outer / 2) // sectors)
    rim = regular(flats * sectors, outer / 2 / np.cos(np.pi / (flats * sectors)), corner_at=np.pi / sectors)
    bore = regular(sectors, inner / 2, corner_at=np.pi / sectors)
    wedges = []
    for k in range(sectors):
        arc = rim[np.arange(k * flats, (k + 1) * flats + 1) % len(rim)]
        wedges.append(_upright(np.vstack([arc, bore[[(k + 1) % sectors, k]]]), 0.0, length, frame, name))
    return tuple(wedges)


def tube(points: ArrayLike, diameter: float, name: str = "") -> tuple[Piece, ...]:
    """All that lies within diameter / 2 of the line through `points` (n, 3), with flat ends at the first and the last.

    A cylinder a stretch. A bend by b leaves open what a ball there would fill; running both cylinders on by
    r sin(b / 2) covers it, as no point of the ball lies farther past both ends. Where the corner of that would stand
    over `BALL_PROUD_MM` outside the ball, the ball itself is added instead.
    """
    line, ways = _polyline(points, name)
    radius = positive(diameter, "its diameter", name) / 2
    half_sines = np.sqrt(((ways[1:] - ways[:-1]) ** 2).sum(axis=1)) / 2
    balled = radius * (np.sqrt(1 + half_sines**2) - 1) > BALL_PROUD_MM
    runs_on = np.concatenate([[0.0], np.where(balled, 0.0, radius * half_sines), [0.0]])
    stretches = [
        cylinder(line[k] - runs_on[k] * way, line[k + 1] + runs_on[k + 1] * way, diameter, name, ())
        for k, way in enumerate(ways)
    ]
    return (*stretches, *(ball(at, diameter, name) for at in line[1:-1][balled]))


def flat_bar(points: ArrayLike, side: ArrayLike, wide: float, thick: float, name: str = "") -> tuple[Piece, ...]:
    """A bar of flat section along the line through `points` (n, 3), such as a pedal arm; a box a stretch.

    `thick` is measured along `side` (3,), the pivot's axis, and `wide` square to both; a stretch may jog sideways.
    Boxes run on past each bend as far as the outer corner of a mitre; a stretch that jogs also runs on by what
    measuring `thick` along `side` (not square to the bar) may add, at its free ends as well. Bends over 150 degrees
    are refused.
    """
    line, ways = _polyline(points, name)
    half_wide, half_thick = positive(wide, "its width", name) / 2, positive(thick, "its thickness", name) / 2
    axis = unit(frozen(side, (3,)))
    across = _widths(ways, axis, name)
    through = cross_each(ways, across)
    pieces = []
    for k, way in enumerate(ways):
        jog = half_thick * abs(float(way @ axis))
        past = [jog, jog]
        for end, beside in ((0, k - 1), (1, k + 1)):
            if 0 <= beside < len(ways):
                square = _mitre(way, ways[beside], half_wide * across[k], half_thick * through[k], name)
                past[end] = max(square, _mitre_in_view(way, ways[beside], axis, half_wide, name) + jog)
        middle = (line[k] - past[0] * way + line[k + 1] + past[1] * way) / 2
        size = (2 * half_wide, 2 * half_thick, _length(line[k + 1] - line[k]) + past[0] + past[1])
        pieces.append(block(Frame(np.column_stack([across[k], through[k], way]), middle), size, name))
    return tuple(pieces)


def sheet(line: ArrayLike, thick: float, wide: float, frame: Frame, name: str = "") -> tuple[Piece, ...]:
    """A folded sheet: `line` (n, 2) in the x-y plane of `frame`, `thick` half to each side, from z 0 to `wide`."""
    flat = frozen(line, (None, 2))
    return flat_bar(frame.points(_raised(flat, wide / 2)), frame.rotation[:, 2], thick, wide, name)


def _length(vector: Vector) -> float:
    return float(np.sqrt(vector @ vector))


def _raised(outline: Vector, height: float) -> Vector:
    return np.column_stack([outline, np.full(len(outline), height)])


def _along(start: Vector, end: Vector, name: str) -> tuple[Frame, float]:
    """Frame at `start` with z toward `end`, x near an axis little along z: a mirrored part has mirrored facets.

    Of axes about as little along z the first is taken, so that a hair's tilt does not turn the facets round.
    """
    length = positive(_length(end - start), "the distance between its ends", name)
    along_each = np.abs(end - start) / length
    return Frame.from_axes(start, end - start, np.eye(3)[np.argmax(along_each < along_each.min() + ABOUT)]), length


def _polyline(points: ArrayLike, name: str) -> tuple[Vector, Vector]:
    """The points (n, 3) and the unit directions (n - 1, 3) of the stretches between them."""
    line = frozen(points, (None, 3))
    if len(line) < 2:
        raise GeometryError(f"{name or 'a line'}: at least two points, got {len(line)}")
    lengths = [
        positive(_length(b - a), f"from point {k} to {k + 1}", name) for k, (a, b) in enumerate(pairwise(line), 1)
    ]
    return line, (line[1:] - line[:-1]) / np.array(lengths)[:, None]


def _widths(ways: Vector, side: Vector, name: str) -> Vector:
    """Unit width direction (m, 3) of each stretch; one that runs along `side` takes its neighbour's."""
    raw = cross_each(side, ways)
    clear = np.flatnonzero(np.sqrt((raw**2).sum(axis=1)) >= STEEP_SINE)
    if not len(clear):
        raise GeometryError(
            f"{name or 'a flat bar'}: every stretch runs along the side direction; its width is unknown"
        )
    source = clear[np.maximum(np.searchsorted(clear, np.arange(len(ways)), side="right") - 1, 0)]
    squared = raw[source] - np.einsum("ij,ij->i", raw[source], ways)[:, None] * ways
    return np.array([unit(row) for row in squared])


def _mitre(way: Vector, other: Vector, half_across: Vector, half_through: Vector, name: str) -> float:
    """How far past a bend into `other` the outer corner of a mitred bar of that half section lies along `way`, mm.

    The mitre plane is square to `way + other`; a corner c of the section meets it at -(c . other) / (1 + way . other).
    """
    turn = float(way @ other)
    if turn < SHARPEST_BEND_COSINE:
        raise GeometryError(f"{name or 'a bar'}: it bends by over 150 degrees at one point; give it as two bars")
    return (abs(float(half_across @ other)) + abs(float(half_through @ other))) / (1 + turn)


def _mitre_in_view(way: Vector, other: Vector, side: Vector, half_wide: float, name: str) -> float:
    """The same for a bar mitred as seen along `side`, whose stretches climb sideways; 0 where one runs along `side`."""
    seen, seen_other = way - (way @ side) * side, other - (other @ side) * side
    if min(_length(seen), _length(seen_other)) < STEEP_SINE:
        return 0.0
    flat = unit(seen)
    return _mitre(flat, unit(seen_other), half_wide * cross_each(side, flat), np.zeros(3), name) / _length(seen)
