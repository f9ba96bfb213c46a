"""Before anything is measured: which readings decide every pair with the least work. mm; chances 0..1.

A guess moves a gap by its slope, so what a reading would take off the square of a place's spread is known beforehand
(JCGM 100:2008, 5.1.2). `plan_choice` finds the readings that decide every place in the fewest minutes; where draws or
the whole job judged again still leave a pair a chance over 2.5 % to be wrong, more is asked for there.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path as Folder

import numpy as np
from numpy.typing import NDArray

from fitcheck.clearance.gaps import gaps
from fitcheck.confidence.draws import Draws
from fitcheck.confidence.judging import judged_gaps
from fitcheck.confidence.nudged import Nudged
from fitcheck.confidence.on_guesses import AS_FAR_OFF
from fitcheck.confidence.plan_choice import (
    AT_GUESS,
    LEAST_MM2,
    best_way,
    chances,
    choice,
    firsts,
    guesses_decide,
    matters,
    saved,
    spreads_of,
    squares,
)
from fitcheck.confidence.plan_places import NOT_MOVED, Guess, Places, places_of
from fitcheck.confidence.results import LARGEST_CHANCE, Judged
from fitcheck.errors import FitcheckError
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.model import Job
from fitcheck.placement.place import place
from fitcheck.readings.changed import respread
from fitcheck.readings.guesses import guesses
from fitcheck.readings.survey import ends_a_movement
from fitcheck.readings.ways import STATIONS, Way, station, ways

LARGE_SHARE = 1 / AS_FAR_OFF - 0.01  # of the margin: a spread that even guesses three times as far off would keep
TIGHTER, TRIES = 0.93, 20  # how much more is asked for where a pair is left open, and how often
DOZEN = 12
NOTHING_GUESSED = (
    "nothing in this job is a guess, so there is nothing to plan; before you measure, write under [job] for example "
    'guessed = { places = "30 mm", sizes = "6 mm", angles = "5 deg" }: how far your figures may be off. A figure that '
    "states a spread or a tool counts as measured"
)
CROSS_CHECKED = (
    "a plan is made before there are [[readings]]; take them out, and once the dozen is taken put them in again"
)
Checked = Callable[[tuple[int, ...]], Vector]  # of chosen ways, the chance of each pair to be wrong


@dataclass(frozen=True)
class Taken:
    """A reading to take: which, where one stands, and with what."""

    guess: Guess
    way: Way

    @property
    def key(self) -> str:
        """Its key in the job file."""
        return self.guess.reading.key


@dataclass(frozen=True)
class Planned:
    """A pair as guessed: how far from its need, its spread before and after, the chance (0..1) to be wrong after."""

    a: str
    b: str
    margin_mm: float
    spread_before_mm: float
    spread_after_mm: float
    chance_wrong: float

    @property
    def decided(self) -> bool:
        """Whether the readings of the plan decide it."""
        return self.chance_wrong <= LARGEST_CHANCE

    @property
    def no_room(self) -> bool:
        """Whether it is under its need for sure, however the guesses are off: no reading helps."""
        return self.margin_mm < 0 and -self.margin_mm >= self.spread_before_mm


@dataclass(frozen=True)
class Plan:
    """What to take, in the order one walks; what that makes of each pair; what would be next; what stands at its guess.

    `left` are the guesses not taken, each with the most it may move any pair, mm; `far` pairs are not looked at;
    `missing` are the keys that are not even guessed.
    """

    taken: tuple[Taken, ...]
    pairs: tuple[Planned, ...]
    next: tuple[Taken, ...]
    left: tuple[tuple[Guess, float], ...]
    far: int
    missing: tuple[str, ...]

    @property
    def minutes(self) -> float:
        """How long the readings of the plan take."""
        return sum(each.way.minutes for each in self.taken)

    @property
    def decides(self) -> bool:
        """Whether it decides every pair."""
        return not self.missing and all(pair.decided for pair in self.pairs)

    @property
    def no_room(self) -> tuple[Planned, ...]:
        """Pairs that have no room as guessed, whatever is read: something has to move first."""
        return tuple(pair for pair in self.pairs if pair.no_room)


def can_be_planned(job: Job) -> bool:
    """Whether the job holds guesses, and no [[readings]] yet."""
    return not job.readings and any(ways(reading) for reading, _ in guesses(job))


def plan(job: Job, folder: Folder) -> Plan:
    """The readings to take of a job that holds guesses. Raises KeyFault, and FitcheckError where nothing is guessed."""
    if job.readings:
        raise FitcheckError(CROSS_CHECKED)
    each = (Guess(reading, spread, station(job, reading), ways(reading)) for reading, spread in guesses(job))
    guessed = tuple(guess for guess in each if guess.ways)
    if not guessed:
        raise FitcheckError(NOTHING_GUESSED)
    places = places_of(job, folder, guessed)
    judge = cache(partial(judged_again, job, folder, guessed, places))
    chosen = sure_choice(places, guessed, lambda chosen: wrong(places, judge(chosen)))
    taken = (Taken(guess, guess.ways[k]) for guess, k in zip(guessed, chosen, strict=True) if k != AT_GUESS)
    return Plan(
        taken=tuple(sorted(taken, key=walk)),
        pairs=planned(places, guessed, judge(tuple(chosen))),
        next=further(places, guessed, chosen, DOZEN - sum(k != AT_GUESS for k in chosen)),
        left=tuple((guess, _most(places, guessed, g)) for g, guess in enumerate(guessed) if chosen[g] == AT_GUESS),
        far=places.far,
        missing=places.missing,
    )


def sure_choice(places: Places, guessed: Sequence[Guess], checked: Checked) -> list[int]:
    """The readings that leave each pair a chance of 2.5 %, where any do: first by draws, then by judging the whole job.

    Where a pair is left with more, more is asked for at its places, and all is chosen anew.
    """
    can = chances(places, guessed, [best_way(guess) for guess in guessed]) <= LARGEST_CHANCE
    share, seen = np.ones(len(places.names)), dict[tuple[int, ...], NDArray[np.bool_]]()
    for _ in range(TRIES):
        chosen = choice(places, guessed, share)
        alone = guesses_decide(places, guessed, chosen) & (share > LARGE_SHARE)
        if alone.any():
            share = np.where(alone, LARGE_SHARE, share)
            continue
        if tuple(chosen) not in seen:
            drawn = chances(places, guessed, chosen)
            sure = drawn <= LARGEST_CHANCE
            seen[tuple(chosen)] = can & ~(checked(tuple(chosen)) <= LARGEST_CHANCE if (sure | ~can).all() else sure)
        short = seen[tuple(chosen)]
        if not short.any():
            break
        share = np.where(short, share * TIGHTER, share)
    return _without_idle_ends(chosen, guessed, checked)


def _without_idle_ends(chosen: list[int], guessed: Sequence[Guess], checked: Checked) -> list[int]:
    """The same without each end of a movement that the pairs decided do without."""
    for g, guess in enumerate(guessed):
        if chosen[g] == AT_GUESS or not ends_a_movement(guess.reading.path):
            continue
        fewer = [AT_GUESS if of == g else k for of, k in enumerate(chosen)]
        decided = checked(tuple(chosen)) <= LARGEST_CHANCE
        if (checked(tuple(fewer))[decided] <= LARGEST_CHANCE).all():
            chosen = fewer
    return chosen


def judged_again(
    job: Job, folder: Folder, guessed: Sequence[Guess], places: Places, chosen: Sequence[int]
) -> list[Judged]:
    """What the whole job says of each pair with the chosen readings taken and found as guessed, the rest guesses."""
    spreads = spreads_of(guessed, chosen).tolist()
    stands = respread(job, {guess.reading.path: spread for guess, spread in zip(guessed, spreads, strict=True)})
    scene = place(stands, folder)
    whole = place(stands, folder, scene, whole=True)
    nudged = Nudged(stands, partial(place, folder=folder, like=whole, whole=True))
    entries = judged_gaps(nudged, list(gaps(GapEngine(), stands, scene)), Draws())
    by_name = {(entry.pair.a.name, entry.pair.b.name): entry for entry in entries}
    return [by_name[names] for names in places.names]


def wrong(places: Places, entries: Sequence[Judged]) -> Vector:
    """Chance (pairs,) that each pair is on the other side of its need than the guessed car has it."""
    under = places.margins[firsts(places)] < 0
    chance = np.array([entry.chance_under for entry in entries])
    return np.where(under, 1 - chance, chance)


def planned(places: Places, guessed: Sequence[Guess], entries: Sequence[Judged]) -> tuple[Planned, ...]:
    """Each pair before and after, those that stay open first."""
    first = firsts(places)
    margins, before = places.margins[first], squares(places, guessed, [AT_GUESS] * len(guessed))[first] ** 0.5
    rows = (
        Planned(*names, float(margin), float(was), entry.spread_mm, float(chance))
        for names, margin, was, entry, chance in zip(
            places.names, margins, before, entries, wrong(places, entries), strict=True
        )
    )
    return tuple(sorted(rows, key=lambda row: (row.decided, -row.chance_wrong, abs(row.margin_mm))))


def further(places: Places, guessed: Sequence[Guess], chosen: Sequence[int], most: int) -> tuple[Taken, ...]:
    """What to take besides: ends of movements, then each time what takes most off the place nearest to being open."""
    now, ends = list(chosen), places.ends.max(axis=0, initial=NOT_MOVED) >= 0
    found = [Taken(guess, guess.ways[0]) for g, guess in enumerate(guessed) if ends[g] and now[g] == AT_GUESS][:most]
    while len(found) < most and len(places.margins):
        left = np.where(matters(places), squares(places, guessed, now), 0.0)
        worst = int(np.argmax(left / np.maximum(places.margins**2, LEAST_MM2)))
        gains = [
            places.slopes[worst, g] ** 2 * saved(guess, 0) if now[g] == AT_GUESS else 0.0
            for g, guess in enumerate(guessed)
        ]
        g = int(np.argmax(gains))
        if not gains[g] > 1e-3 * left[worst]:
            break
        now[g] = 0
        found.append(Taken(guessed[g], guessed[g].ways[0]))
    return tuple(found)


def _most(places: Places, guessed: Sequence[Guess], g: int) -> float:
    return float(np.abs(places.slopes[:, g]).max(initial=0.0)) * guessed[g].spread


def walk(taken: Taken) -> int:
    """Where one stands for a reading, in the order one walks."""
    return STATIONS.index(taken.guess.station)
