"""What a plan rests on: the places where the guessed car is near its needs, and how each guess moves them. mm.

Figures are as if all were measured the usual way. A guess may move the closest place elsewhere, so every place within
reach of the guesses is followed, not the closest alone (first order at each: the envelope theorem).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path as Folder

import numpy as np
from numpy.typing import NDArray

from fitcheck.clearance.clocking_spots import margin_of
from fitcheck.clearance.gaps import Found, gaps
from fitcheck.clearance.pairs import Treatment
from fitcheck.confidence.draws import Drawing
from fitcheck.confidence.first_order import Share, spreads
from fitcheck.confidence.judging import likely_mm
from fitcheck.confidence.nudged import Nudged
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.model import Job
from fitcheck.placement.place import place
from fitcheck.placement.scene import Part
from fitcheck.readings.changed import respread
from fitcheck.readings.reading import Reading
from fitcheck.readings.survey import ends_a_movement
from fitcheck.readings.ways import Way

NOT_MOVED = -1.0


@dataclass(frozen=True)
class Guess:
    """A figure not measured yet: its usual reading, how far the guess may be off, and the ways to take it."""

    reading: Reading
    spread: float
    station: str
    ways: tuple[Way, ...]


@dataclass(frozen=True, eq=False)
class Places:
    """Places (p) where two parts come near each other: `of` (p,) says of which pair of `names`, closest first in each.

    `margins` (p,): how far each is from its need, mm; negative where under. `known` (p, k): what each measured reading
    causes of the spread there; `slopes` (p, g): how it goes with each guess. `ends` (pairs, g): by how much the guessed
    end of a movement brings a pair's gap down; -1 where it ends none of that pair's. `far`: pairs too far apart to be
    looked at; `missing`: keys that parts wait for, so that they are in no pair.
    """

    names: tuple[tuple[str, str], ...]
    of: NDArray[np.int64]
    margins: Vector
    known: Vector
    slopes: Vector
    ends: Vector
    far: int
    missing: tuple[str, ...] = ()


def places_of(job: Job, folder: Folder, guessed: Sequence[Guess]) -> Places:
    """The near places of every judged pair of the guessed car. Raises KeyFault."""
    scene = place(job, folder)
    found = [entry for entry in gaps(GapEngine(), job, scene) if _is_judged(entry)]
    near = [entry for entry in found if entry.closest is not None and entry.closest.gap.bracketed]
    drawing = Drawing.of(GapEngine(), near, likely_mm(job))
    whole = place(job, folder, scene, whole=True)
    nudged = Nudged(job, partial(place, folder=folder, like=whole, whole=True))
    shares = spreads(nudged, near, drawing=drawing)
    rows = [_rows(drawing, i, entry, shares[i]) for i, entry in enumerate(near)]
    taken = {guess.reading.path: guess for guess in guessed}
    known = list(dict.fromkeys(path for _, slopes in rows for path in slopes if path not in taken))
    return Places(
        names=tuple((entry.pair.a.name, entry.pair.b.name) for entry in near),
        of=np.repeat(np.arange(len(near)), [len(margins) for margins, _ in rows]),
        margins=np.concatenate([np.zeros(0), *(margins for margins, _ in rows)]),
        known=_columns(rows, known),
        slopes=_columns(rows, list(taken)) / np.array([guess.reading.spread for guess in guessed]),
        ends=np.stack([_brings_down(job, folder, guess, near) for guess in guessed], axis=1),
        far=len(found) - len(near),
        missing=tuple(dict.fromkeys(key for part in scene.unplaced for key in part.keys)),
    )


Row = tuple[Vector, dict[object, Vector]]


def _rows(drawing: Drawing, i: int, entry: Found, shares: Sequence[Share]) -> Row:
    """Margins (places,) of one pair, and what each reading, by its path, causes of the spread at each."""
    if i not in drawing.near or not len(drawing.near[i]):
        parts: dict[object, Vector] = {
            share.key if share.reading is None else share.reading.path: np.array([share.part_mm]) for share in shares
        }
        return np.array([margin_of(entry)]), parts
    margins = drawing.bounds(i) - entry.pair.need.required_mm
    order = np.argsort(margins, kind="stable")
    return margins[order], {
        reading.path: slopes[order] * reading.spread for reading, slopes in drawing.slopes[i].items()
    }


def _columns(rows: Sequence[Row], paths: Sequence[object]) -> Vector:
    """What stands under each of `paths`, all places below each other: (places, paths)."""
    blocks = [
        np.stack([slopes.get(path, np.zeros(len(margins))) for path in paths], axis=1) if paths
        else np.zeros((len(margins), 0))
        for margins, slopes in rows
    ]  # fmt: skip
    return np.concatenate([np.zeros((0, len(paths))), *blocks])


def _brings_down(job: Job, folder: Folder, guess: Guess, near: Sequence[Found]) -> Vector:
    """By how much the end of a movement, standing at its guess, brings down each gap (pairs,): it is covered beyond.

    -1 for the pairs that it does not move.
    """
    if not ends_a_movement(guess.reading.path):
        return np.full(len(near), NOT_MOVED)
    loose = respread(job, {guess.reading.path: guess.spread})
    found = {_names(entry): entry for entry in gaps(GapEngine(), loose, place(loose, folder)) if _is_judged(entry)}
    return np.array([_lower(guess, job, entry, found[_names(entry)]) for entry in near])


def _lower(guess: Guess, job: Job, entry: Found, loose: Found) -> float:
    where, *which = guess.reading.path
    if where == "pedals" and isinstance(which[0], int):
        driven = [part.driven_by for part in (entry.pair.a, entry.pair.b) if isinstance(part, Part)]
        if job.pedals[which[0]].name not in driven:
            return NOT_MOVED
    return max(0.0, margin_of(entry) - margin_of(loose))


def _is_judged(entry: Found) -> bool:
    return entry.pair.need.treatment is Treatment.JUDGED and entry.closest is not None


def _names(entry: Found) -> tuple[str, str]:
    return entry.pair.a.name, entry.pair.b.name
