"""Before anything is measured: which readings decide every pair with the least work. mm; chances 0..1.

A guess moves a gap by its slope, so what a reading would take off the square of a place's spread is known beforehand
(JCGM 100:2008, 5.1.2). A place is decided once its spread is no more than it is away from its need: a chance of 2.5 %
to be wrong. Which readings do that in the fewest minutes is a small whole-number programme, solved to its proven least
(scipy, HiGHS); where draws or the whole job judged again leave a pair more than 2.5 %, more is asked for there.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path as Folder

import numpy as np
from numpy.typing import NDArray

from fitcheck.clearance.gaps import gaps
from fitcheck.confidence.draws import DRAWS, SEED, Draws
from fitcheck.confidence.judging import judged_gaps
from fitcheck.confidence.nudged import Nudged
from fitcheck.confidence.plan_places import NOT_MOVED, Guess, Places, places_of
from fitcheck.confidence.results import LARGEST_CHANCE, Judged
from fitcheck.errors import FitcheckError
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.model import Job
from fitcheck.placement.place import place
from fitcheck.readings.changed import respread
from fitcheck.readings.guesses import guesses
from fitcheck.readings.reading import SIGMAS_95
from fitcheck.readings.survey import ends_a_movement
from fitcheck.readings.ways import STATIONS, Way, station, ways

BEST_BY = 1.1  # a place that no reading decides is brought to within this of the least spread there is
COUNTS_MM = 0.05  # an end of a movement that brings a gap down by more has to be measured
A_READING = 0.01  # minutes: of sets that take as long, the one of fewer readings
TIGHTER, TRIES = 0.93, 20  # how much more is asked for where a pair is left open, and how often
LEAST_MM2 = 1e-6
DOZEN = 12
AT_GUESS = -1
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
        taken=tuple(sorted(taken, key=_walk)),
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
    can = chances(places, guessed, [_best(guess) for guess in guessed]) <= LARGEST_CHANCE
    share, seen = np.ones(len(places.names)), dict[tuple[int, ...], NDArray[np.bool_]]()
    for _ in range(TRIES):
        chosen = choice(places, guessed, share)
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


def squares(places: Places, guessed: Sequence[Guess], chosen: Sequence[int]) -> Vector:
    """Square of the spread at each place (p,), the guesses taken the way `chosen` (g) says, or standing as guessed."""
    return np.asarray((places.known**2).sum(axis=1) + places.slopes**2 @ np.square(_spreads(guessed, chosen)))


def asked(places: Places, guessed: Sequence[Guess], share: Vector) -> Vector:
    """The square of the spread (p,) each place has to come down to: a share of what decides it, else near the least."""
    least = squares(places, guessed, [_best(guess) for guess in guessed])
    wanted = (share[places.of] * places.margins) ** 2
    return np.where(least <= wanted, wanted, least * BEST_BY**2)


def choice(places: Places, guessed: Sequence[Guess], share: Vector) -> list[int]:
    """Which way to take each guess so that every place comes down to what is asked of it, in the fewest minutes."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    options = [(g, k) for g, guess in enumerate(guessed) for k in range(len(guess.ways))]
    target = asked(places, guessed, share)
    lacking = squares(places, guessed, [AT_GUESS] * len(guessed)) - target
    rows = np.flatnonzero(np.logical_and(lacking > 0, _matters(places)))
    scale = np.maximum(target[rows], LEAST_MM2)
    saved = np.stack([places.slopes[rows, g] ** 2 * _saved(guessed[g], k) / scale for g, k in options], axis=1)
    once = np.array([[float(of == g) for of, _ in options] for g in range(len(guessed))])
    must = _has_to_be_taken(places, guessed).astype(float)
    found = milp(
        [guessed[g].ways[k].minutes + A_READING for g, k in options],
        constraints=[
            LinearConstraint(once, must, np.ones(len(guessed))),
            *([LinearConstraint(saved, lacking[rows] / scale, np.inf)] if len(rows) else []),
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


def _matters(places: Places) -> NDArray[np.bool_]:
    """Which places count (p,): of a pair under its need the closest alone, as one place under settles it."""
    first = np.zeros(len(places.of), dtype=np.bool_)
    first[_firsts(places)] = True
    under = places.margins[_firsts(places)] < 0
    return np.asarray(np.logical_or(first, ~under[places.of]), dtype=np.bool_)


def _has_to_be_taken(places: Places, guessed: Sequence[Guess]) -> NDArray[np.bool_]:
    """Which guesses (g,) end a movement of a pair open as guessed, or bring its gap down: no slope tells of those."""
    is_open = chances(places, guessed, [AT_GUESS] * len(guessed)) > LARGEST_CHANCE
    counts = np.logical_and(places.ends >= 0, np.logical_or(places.ends > COUNTS_MM, is_open[:, None]))
    return np.asarray(counts.any(axis=0), dtype=np.bool_)


def chances(places: Places, guessed: Sequence[Guess], chosen: Sequence[int]) -> Vector:
    """Chance (pairs,) that a pair is on the other side of its need: the least over its places, by draws."""
    draw = np.random.default_rng(SEED).standard_normal
    parts = np.hstack([places.known, places.slopes * _spreads(guessed, chosen)]) / SIGMAS_95
    normal = draw((DRAWS, parts.shape[1]))
    found = []
    for pair in range(len(places.names)):
        here = places.of == pair
        under = (places.margins[here] + normal @ parts[here].T).min(axis=1) < 0
        found.append(1 - under.mean() if places.margins[here].min() < 0 else under.mean())
    return np.array(found)


def judged_again(
    job: Job, folder: Folder, guessed: Sequence[Guess], places: Places, chosen: Sequence[int]
) -> list[Judged]:
    """What the whole job says of each pair with the chosen readings taken and found as guessed, the rest guesses."""
    spreads = _spreads(guessed, chosen).tolist()
    stands = respread(job, {guess.reading.path: spread for guess, spread in zip(guessed, spreads, strict=True)})
    scene = place(stands, folder)
    whole = place(stands, folder, scene, whole=True)
    nudged = Nudged(stands, partial(place, folder=folder, like=whole, whole=True))
    entries = judged_gaps(nudged, list(gaps(GapEngine(), stands, scene)), Draws())
    by_name = {(entry.pair.a.name, entry.pair.b.name): entry for entry in entries}
    return [by_name[names] for names in places.names]


def wrong(places: Places, entries: Sequence[Judged]) -> Vector:
    """Chance (pairs,) that each pair is on the other side of its need than the guessed car has it."""
    under = places.margins[_firsts(places)] < 0
    chance = np.array([entry.chance_under for entry in entries])
    return np.where(under, 1 - chance, chance)


def planned(places: Places, guessed: Sequence[Guess], entries: Sequence[Judged]) -> tuple[Planned, ...]:
    """Each pair before and after, those that stay open first."""
    first = _firsts(places)
    margins, before = places.margins[first], squares(places, guessed, [AT_GUESS] * len(guessed))[first] ** 0.5
    rows = (
        Planned(*names, float(margin), float(was), entry.spread_mm, float(chance))
        for names, margin, was, entry, chance in zip(
            places.names, margins, before, entries, wrong(places, entries), strict=True
        )
    )
    return tuple(sorted(rows, key=lambda row: (row.decided, -row.chance_wrong, abs(row.margin_mm))))


def _firsts(places: Places) -> NDArray[np.int64]:
    """Where each pair's closest place stands (pairs,)."""
    return np.searchsorted(places.of, np.arange(len(places.names)))


def further(places: Places, guessed: Sequence[Guess], chosen: Sequence[int], most: int) -> tuple[Taken, ...]:
    """What to take besides: ends of movements, then each time what takes most off the place nearest to being open."""
    now, ends = list(chosen), places.ends.max(axis=0, initial=NOT_MOVED) >= 0
    found = [Taken(guess, guess.ways[0]) for g, guess in enumerate(guessed) if ends[g] and now[g] == AT_GUESS][:most]
    while len(found) < most and len(places.margins):
        left = np.where(_matters(places), squares(places, guessed, now), 0.0)
        worst = int(np.argmax(left / np.maximum(places.margins**2, LEAST_MM2)))
        gains = [
            places.slopes[worst, g] ** 2 * _saved(guess, 0) if now[g] == AT_GUESS else 0.0
            for g, guess in enumerate(guessed)
        ]
        g = int(np.argmax(gains))
        if not gains[g] > 1e-3 * left[worst]:
            break
        now[g] = 0
        found.append(Taken(guessed[g], guessed[g].ways[0]))
    return tuple(found)


def _spreads(guessed: Sequence[Guess], chosen: Sequence[int]) -> Vector:
    each = zip(guessed, chosen, strict=True)
    return np.array([guess.spread if k == AT_GUESS else guess.ways[k].spread for guess, k in each])


def _saved(guess: Guess, k: int) -> float:
    return float(guess.spread**2 - guess.ways[k].spread ** 2)


def _best(guess: Guess) -> int:
    """Which way leaves the smallest spread; at its guess where none is better."""
    k = min(range(len(guess.ways)), key=lambda k: guess.ways[k].spread)
    return k if guess.ways[k].spread < guess.spread else AT_GUESS


def _most(places: Places, guessed: Sequence[Guess], g: int) -> float:
    return float(np.abs(places.slopes[:, g]).max(initial=0.0)) * guessed[g].spread


def _walk(taken: Taken) -> int:
    return STATIONS.index(taken.guess.station)
