"""Spread of each gap by draws: all readings moved at once, each place where the two come nearly as close looked at.

The closest place jumps, so one place alone understates the chance of a hit. Every place within 4 standard deviations of
the least is kept; each reading moves its bound by how far the two foremost faces go along its direction; the least over
all places is the gap of that draw (propagation of distributions, JCGM 101:2008, clause 7). mm.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from fitcheck.clearance.gaps import Found
from fitcheck.clearance.pairs import Treatment
from fitcheck.clearance.travel import Closest, phases
from fitcheck.confidence.standing import Side, side
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.near import near_places
from fitcheck.geometry.scan_piece import ScanPiece
from fitcheck.placement.scene import Part
from fitcheck.readings.reading import SIGMAS_95, Reading

DRAWS = 10_000
SEED = 1
KEPT_SIGMAS = 4.0
LIKELY_MM = 8.0  # give or take expected of a gap before anything is known of it: decides how far places are kept
GUESSED_MM = 30.0  # the same where figures are guesses: places up to 61 mm farther than the closest are kept
ELSEWHERE = 0.1  # of a movement's whole range: a place farther away is another one
NOTHING_MM = 1e-6
MIDDLE_95 = (2.5, 97.5)
EVEN_HALF_WIDTH = 3.0**0.5  # of an even distribution, in its standard deviations (JCGM 101:2008, 6.4.2)


@dataclass(frozen=True)
class Draws:
    """How many draws are made of each gap near its need, and their seed."""

    many: int = DRAWS
    seed: int = SEED


NO_DRAWS = Draws(0)


@dataclass(frozen=True)
class Drawn:
    """A gap over many draws: half-width of the middle 95 %, chance (0..1) of being under the required gap.

    `place_changed`: in what share of the draws the closest place was another one; `places` how many were looked at.
    """

    draws: int
    spread_mm: float
    chance_under: float
    place_changed: float
    places: int


@dataclass(frozen=True, eq=False)
class _Place:
    bound_mm: float
    sides: tuple[Side, Side]
    pieces: tuple[int, int, int, int]
    share: Vector


@dataclass(eq=False)
class Drawing:
    """Collects, pair by pair, how each reading moves the bound of every near place."""

    found: Sequence[Found]
    near: dict[int, list[_Place]] = field(default_factory=dict)
    slopes: dict[int, dict[Reading, Vector]] = field(default_factory=dict)

    @classmethod
    def of(cls, engine: GapEngine, found: Sequence[Found], likely_mm: float = LIKELY_MM) -> "Drawing":
        """Ready for the pairs that are judged, apart, and near enough to their need for it to matter.

        `likely_mm` is the give or take that is expected of a gap.
        """
        drawing, far_mm = cls(found), KEPT_SIGMAS * likely_mm / SIGMAS_95
        for i, entry in enumerate(found):
            if _matters(entry, far_mm):
                drawing.near[i] = _near(engine, entry, far_mm)
                drawing.slopes[i] = {}
        return drawing

    def note(
        self, reading: Reading, step: float, parts: dict[str, Part], i: int, slope: float, first_order: float
    ) -> None:
        """Takes in the parts as placed with a reading moved by `step`.

        `slope` is how the gap of pair i goes with it, larger than by `first_order` for a loose reading; it stands in
        where a piece is not told, and where it is larger every place's own goes up with it.
        """
        if i not in self.near:
            return
        more = slope / first_order if abs(first_order) * reading.spread > NOTHING_MM else 1.0
        changes = [_change(place, parts) for place in self.near[i]]
        slopes = np.array([slope if change is None else more * change / step for change in changes])
        if np.abs(slopes).max() * reading.spread > NOTHING_MM:
            self.slopes[i][reading] = slopes

    def drawn(self, draws: int, seed: int) -> dict[int, Drawn]:
        """Each pair's gap over the draws, a seed always giving the same; a reading is drawn once for all pairs."""
        standard = self.standard(draws, seed)
        return {i: self._pair(i, standard) for i in self.near}

    def standard(self, draws: int, seed: int) -> Vector:
        """How far each of `readings` is off, in its own standard deviations (draws, readings): normal, or even."""
        rng = np.random.default_rng(seed)
        off = rng.standard_normal((draws, len(self.readings)))
        for k, reading in enumerate(self.readings):
            if reading.even:
                off[:, k] = rng.uniform(-EVEN_HALF_WIDTH, EVEN_HALF_WIDTH, draws)
        return off

    @property
    def readings(self) -> list[Reading]:
        """The readings that move any near place, in the order of the columns of the draws."""
        return list(dict.fromkeys(reading for slopes in self.slopes.values() for reading in slopes))

    def gaps(self, i: int, standard: Vector) -> Vector:
        """Bounds (draws, places) of a pair at all its near places, for draws of `readings` as `standard` makes them."""
        bounds, slopes = np.array([place.bound_mm for place in self.near[i]]), self.slopes[i]
        if not slopes:
            return np.broadcast_to(bounds, (len(standard), len(bounds)))
        column = {reading: k for k, reading in enumerate(self.readings)}
        each = np.array([by * reading.spread / SIGMAS_95 for reading, by in slopes.items()])
        return np.asarray(bounds + standard[:, [column[reading] for reading in slopes]] @ each)

    def bounds(self, i: int) -> Vector:
        """Bounds (places,) of a pair at all its near places, mm."""
        return np.array([place.bound_mm for place in self.near[i]])

    def _pair(self, i: int, standard: Vector) -> Drawn:
        places, gaps = self.near[i], self.gaps(i, standard)
        bounds = np.array([place.bound_mm for place in places])
        least = gaps.min(axis=1)
        first = int(bounds.argmin())
        elsewhere = np.array([_elsewhere(place, places[first]) for place in places])
        low, high = np.percentile(least, MIDDLE_95)
        required = self.found[i].pair.need.required_mm
        return Drawn(
            draws=len(standard),
            spread_mm=float(high - low) / 2,
            chance_under=float((least < required).mean()),
            place_changed=float(elsewhere[gaps.argmin(axis=1)].mean()),
            places=len(places),
        )


def _matters(entry: Found, far_mm: float) -> bool:
    closest = entry.closest
    if closest is None or entry.pair.need.treatment is not Treatment.JUDGED or not closest.gap.bracketed:
        return False
    if closest.gap.gap_mm == 0 or closest.gap.doubt or _scanned(closest, entry):
        return False
    return abs(closest.gap.bound_mm - entry.pair.need.required_mm) < far_mm


def _scanned(closest: Closest, entry: Found) -> bool:
    """Whether a scan is concerned: its triangles are too many to be looked at one by one."""
    a, b = entry.pair.a, entry.pair.b
    assert isinstance(a, Part) and isinstance(b, Part)
    each = (*phases(a, b), *phases(b, a))
    return any(isinstance(piece, ScanPiece) for phase in each for piece in phase.pieces)


def _near(engine: GapEngine, entry: Found, far_mm: float) -> list[_Place]:
    a, b, closest = entry.pair.a, entry.pair.b, entry.closest
    assert isinstance(a, Part) and isinstance(b, Part) and closest is not None
    below = closest.gap.bound_mm + far_mm
    found = []
    for i, a_phase in enumerate(phases(a, b)):
        for j, b_phase in enumerate(phases(b, a)):
            for near in near_places(engine, a_phase.body, b_phase.body, below):
                sides = (
                    side(a, b, i, near.a_piece, near.a_at, near.normal, near.on_a, False),
                    side(b, a, j, near.b_piece, near.b_at, -near.normal, near.on_b, False),
                )
                moves = (*a_phase.chain, *b_phase.chain)
                values = (*near.a_at, *near.b_at)
                shares = [(v - m.start) / max(m.stop - m.start, 1e-12) for m, v in zip(moves, values, strict=True)]
                found.append(_Place(near.bound_mm, sides, (i, near.a_piece, j, near.b_piece), np.array(shares)))
    return found


def _change(place: _Place, parts: dict[str, Part]) -> float | None:
    """How far the bound of a near place opens, mm; None where a piece was made up anew."""
    advances = [each.advance(parts) for each in place.sides]
    known = [advance for advance in advances if advance is not None]
    return -sum(known) if len(known) == len(advances) else None


def _elsewhere(place: _Place, first: _Place) -> bool:
    """Whether it is another place than the closest one: other pieces, or well away in a movement."""
    return place.pieces != first.pieces or bool((np.abs(place.share - first.share) > ELSEWHERE).any())


def by_draws(drawn: Sequence[Drawn], seed: int) -> Iterator[str]:
    """In words, which chances are by draws; nothing where none is."""
    if drawn:
        many = len(drawn)
        which = f"chances of {many} pairs near their need are" if many > 1 else "chance of the pair near its need is"
        yield f"{which} by {drawn[0].draws:,} draws of all readings at once (seed {seed})"
