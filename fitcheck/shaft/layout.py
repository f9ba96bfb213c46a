"""Where the middle joint goes when two joints do not do: a grid over the room the job allows, then a polish.

The support bearing's middle is what the job gives room for; the middle joint follows from it, as both are on one shaft.
Millimetres, car frame. Order of layouts: largest angle against its limit (in steps of 5 %), ripple (in steps of 1 %),
least margin of a gap; within a step the smaller angle.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice, product

import numpy as np

from fitcheck.errors import GeometryError
from fitcheck.geometry.frames import Vector, unit
from fitcheck.job.shafting import Joint, Support
from fitcheck.shaft.joints import Chain, joint_angles
from fitcheck.shaft.limits import angle_limit_deg
from fitcheck.shaft.line import TURNS_NOT_DEG, Line, passing
from fitcheck.shaft.phases import Choice, Reach, choose

STEPS = 9  # places each way across a room; a coarser side of it has fewer
FINE_ENOUGH_MM = 1.0
LEAST_STEP_MM = 5.0
ANGLE_STEP, RIPPLE_STEP = 0.05, 1.0
RIPPLES_FOR = 60  # layouts whose phases are worked out, those with the smallest angles
GAPS_FOR = 12  # layouts whose gaps are asked for, in order, until one keeps them
LEAST_BAR_MM = 60.0  # between two hubs' inner ends, for a bar to be worth its name


@dataclass(frozen=True, eq=False)
class Layout:
    """Three joints: the line, the bearing's middle (3,), the phases, and the least margin of a gap."""

    line: Line
    bearing: Vector
    choice: Choice
    share_of_limit: float
    margin_mm: float
    looked_at: int


@dataclass(frozen=True, eq=False)
class Question:
    """What a layout is sought for: both ends, the three joints, the support, the rooms, and what the ends reach."""

    ends: Line
    joints: tuple[Joint, ...]
    support: Support
    rooms: tuple[tuple[Vector, Vector], ...]
    reaches: tuple[Reach, ...]
    least_spans_mm: tuple[float, float]

    def middle(self, bearing: Vector) -> Vector:
        """Centre of the middle joint for a bearing's middle: farther along the shaft the bearing holds."""
        start = self.ends.centres[0] if self.support.side == "wheel" else self.ends.centres[-1]
        return bearing + self.support.from_joint.mm * unit(bearing - start)

    def line(self, bearing: Vector) -> Line:
        """The line over the middle joint."""
        centres = np.vstack([self.ends.centres[0], self.middle(bearing), self.ends.centres[-1]])
        return Line.through(centres, self.ends.ways[0], self.ends.ways[-1])


@dataclass(frozen=True, eq=False)
class _Try:
    bearing: Vector
    line: Line
    share: float


def best_layout(question: Question, margin_mm: Callable[[Line, Vector], float]) -> Layout | None:
    """The best layout with a bearing in its room; None where no place there lets all joints turn.

    `margin_mm(line, bearing)` is the least margin of the gaps, infinite where nothing is near.
    """
    tries = [entry for place in _places(question) if (entry := _try(question, place)) is not None]
    if not tries:
        return None
    tries.sort(key=lambda entry: entry.share)
    ranked = sorted(((_ranked(question, entry), entry) for entry in tries[:RIPPLES_FOR]), key=lambda pair: pair[0][:3])
    polished = _polished(question, ranked[0])
    found: list[Layout] = []
    for (_, ripple, _, choice), entry in islice([polished, *ranked], GAPS_FOR):
        assert ripple >= 0
        margin = margin_mm(entry.line, entry.bearing)
        found.append(Layout(entry.line, entry.bearing, choice, entry.share, margin, len(tries)))
        if margin >= 0:
            return found[-1]
    return max(found, key=lambda layout: layout.margin_mm)


_Rank = tuple[int, int, float, Choice]


def _ranked(question: Question, entry: _Try) -> _Rank:
    chain = Chain(entry.line.ways, np.zeros(len(question.reaches)), passing(question.joints))
    choice = choose(chain, question.reaches)
    return int(entry.share / ANGLE_STEP), int(choice.ripple_pct / RIPPLE_STEP), entry.share, choice


def _polished(question: Question, best: tuple[_Rank, _Try]) -> tuple[_Rank, _Try]:
    """The best place with its neighbours tried at ever smaller steps."""
    step = max(float((high - low).max()) for low, high in question.rooms) / (STEPS - 1) / 2
    while step > FINE_ENOUGH_MM:
        for shift in product((-step, 0.0, step), repeat=3):
            place = best[1].bearing + np.array(shift)
            entry = _try(question, place) if _inside(question, place) else None
            if entry is not None and entry.share < best[0][2] + ANGLE_STEP:
                rank = _ranked(question, entry)
                if rank[:3] < best[0][:3]:
                    best = rank, entry
        step /= 2
    return best


def _inside(question: Question, place: Vector) -> bool:
    return any(bool((low <= place).all() and (place <= high).all()) for low, high in question.rooms)


def _places(question: Question) -> Iterator[Vector]:
    for low, high in question.rooms:
        counts = [max(1, min(STEPS, 1 + int(extent / LEAST_STEP_MM))) for extent in high - low]
        sides = [
            np.linspace(a, b, count) if count > 1 else np.array([(a + b) / 2])
            for a, b, count in zip(low, high, counts, strict=True)
        ]
        yield from (np.array(place) for place in product(*sides))


def _try(question: Question, bearing: Vector) -> _Try | None:
    """The place as a layout, where every joint turns and every span has room for its bar."""
    line = question.line(bearing)
    if not (line.spans_mm >= np.array(question.least_spans_mm)).all():
        return None
    bends = np.degrees(joint_angles(line.ways))
    if not bends.max() < TURNS_NOT_DEG:
        return None
    return _Try(bearing, line, share_of_limit(question.joints, bends))


def share_of_limit(joints: Sequence[Joint], bends_deg: Vector) -> float:
    """Largest joint angle against its limit; over 1 where one is over it."""
    return float(max(bend / angle_limit_deg(joint)[0] for joint, bend in zip(joints, bends_deg, strict=True)))


def room(corner: Vector, opposite: Vector) -> tuple[Vector, Vector]:
    """A box as its lowest and its highest corner; flat rooms are allowed, a point is not."""
    low, high = np.minimum(corner, opposite), np.maximum(corner, opposite)
    if not (high - low).max() > 0:
        raise GeometryError("a room for the bearing without any extent")
    return low, high
