"""The readings that decide every place in the fewest minutes, by the squares each takes off. mm; chances 0..1.

A small whole-number programme, solved to its proven least (scipy, HiGHS). A place is decided once its spread is no more
than it is away from its need: a chance of 2.5 % to be wrong.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from fitcheck.confidence.draws import DRAWS, SEED
from fitcheck.confidence.on_guesses import AS_FAR_OFF, MOST
from fitcheck.confidence.plan_places import Guess, Places
from fitcheck.confidence.results import LARGEST_CHANCE
from fitcheck.errors import FitcheckError
from fitcheck.geometry.frames import Vector
from fitcheck.readings.reading import SIGMAS_95

BEST_BY = 1.1  # a place that no reading decides is brought to within this of the least spread there is
COUNTS_MM = 0.05  # an end of a movement that brings a gap down by more has to be measured
A_READING = 0.01  # minutes: of sets that take as long, the one of fewer readings
LEAST_MM2 = 1e-6
AT_GUESS = -1
NEARLY = 0.9  # the whole job judged again may find a little more of the guesses


def squares(places: Places, guessed: Sequence[Guess], chosen: Sequence[int]) -> Vector:
    """Square of the spread at each place (p,), the guesses taken the way `chosen` (g) says, or standing as guessed."""
    return np.asarray((places.known**2).sum(axis=1) + places.slopes**2 @ np.square(spreads_of(guessed, chosen)))


def asked(places: Places, guessed: Sequence[Guess], share: Vector) -> Vector:
    """The square of the spread (p,) each place has to come down to: a share of what decides it, else near the least."""
    least = squares(places, guessed, [best_way(guess) for guess in guessed])
    wanted = (share[places.of] * places.margins) ** 2
    return np.where(least <= wanted, wanted, least * BEST_BY**2)


def choice(places: Places, guessed: Sequence[Guess], share: Vector) -> list[int]:
    """Which way to take each guess so that every place comes down to what is asked of it, in the fewest minutes."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    options = [(g, k) for g, guess in enumerate(guessed) for k in range(len(guess.ways))]
    target = asked(places, guessed, share)
    lacking = squares(places, guessed, [AT_GUESS] * len(guessed)) - target
    rows = np.flatnonzero(np.logical_and(lacking > 0, matters(places)))
    scale = np.maximum(target[rows], LEAST_MM2)
    off = np.stack([places.slopes[rows, g] ** 2 * saved(guessed[g], k) / scale for g, k in options], axis=1)
    once = np.array([[float(of == g) for of, _ in options] for g in range(len(guessed))])
    must = _has_to_be_taken(places, guessed).astype(float)
    found = milp(
        [guessed[g].ways[k].minutes + A_READING for g, k in options],
        constraints=[
            LinearConstraint(once, must, np.ones(len(guessed))),
            *([LinearConstraint(off, lacking[rows] / scale, np.inf)] if len(rows) else []),
        ],
        bounds=Bounds(0, 1),
        integrality=[1] * len(options),
        options={"mip_rel_gap": 0},
    )
    if found.x is None:
        raise FitcheckError(f"no set of readings could be found: {found.message}")
    chosen = [AT_GUESS] * len(guessed)
    for (g, k), part in zip(options, found.x, strict=True):
        chosen[g] = k if part > 0.5 else chosen[g]
    return chosen


def _has_to_be_taken(places: Places, guessed: Sequence[Guess]) -> NDArray[np.bool_]:
    """Which guesses (g,) end a movement of a pair open as guessed, or bring its gap down: no slope tells of those."""
    is_open = chances(places, guessed, [AT_GUESS] * len(guessed)) > LARGEST_CHANCE
    counts = np.logical_and(places.ends >= 0, np.logical_or(places.ends > COUNTS_MM, is_open[:, None]))
    return np.asarray(counts.any(axis=0), dtype=np.bool_)


def matters(places: Places) -> NDArray[np.bool_]:
    """Which places count (p,): of a pair under its need the closest alone, as one place under settles it."""
    first = np.zeros(len(places.of), dtype=np.bool_)
    first[firsts(places)] = True
    under = places.margins[firsts(places)] < 0
    return np.asarray(np.logical_or(first, ~under[places.of]), dtype=np.bool_)


def chances(places: Places, guessed: Sequence[Guess], chosen: Sequence[int]) -> Vector:
    """Chance (pairs,) that a pair is on the other side of its need: the least over its places, by draws."""
    draw = np.random.default_rng(SEED).standard_normal
    parts = np.hstack([places.known, places.slopes * spreads_of(guessed, chosen)]) / SIGMAS_95
    normal = draw((DRAWS, parts.shape[1]))
    found = []
    for pair in range(len(places.names)):
        here = places.of == pair
        under = (places.margins[here] + normal @ parts[here].T).min(axis=1) < 0
        found.append(1 - under.mean() if places.margins[here].min() < 0 else under.mean())
    return np.array(found)


def guesses_decide(places: Places, guessed: Sequence[Guess], chosen: Sequence[int]) -> NDArray[np.bool_]:
    """Which pairs (pairs,) would be clear by the guesses left more than by what is read: `on_guesses` lets none fit."""
    first, left = firsts(places), np.array([k == AT_GUESS for k in chosen])
    spread = np.where(left, spreads_of(guessed, chosen), 0.0)
    of_guesses = places.slopes[first] ** 2 @ np.square(spread)
    most = of_guesses > NEARLY * MOST * squares(places, guessed, chosen)[first]
    margins = places.margins[first]
    return np.asarray((margins > 0) & most & (margins**2 < AS_FAR_OFF**2 * of_guesses))


def firsts(places: Places) -> NDArray[np.int64]:
    """Where each pair's closest place stands (pairs,)."""
    return np.searchsorted(places.of, np.arange(len(places.names)))


def spreads_of(guessed: Sequence[Guess], chosen: Sequence[int]) -> Vector:
    each = zip(guessed, chosen, strict=True)
    return np.array([guess.spread if k == AT_GUESS else guess.ways[k].spread for guess, k in each])


def saved(guess: Guess, k: int) -> float:
    return float(guess.spread**2 - guess.ways[k].spread ** 2)


def best_way(guess: Guess) -> int:
    """Which way leaves the smallest spread; at its guess where none is better."""
    k = min(range(len(guess.ways)), key=lambda k: guess.ways[k].spread)
    return k if guess.ways[k].spread < guess.spread else AT_GUESS
