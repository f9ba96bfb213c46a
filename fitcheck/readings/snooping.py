"""Which reading is wrong: the fewest that must be left out for no other to stand out any more (data snooping, Baarda).

A reading stands out with a normalised residual over 3.29: 1 of 1,000 honest ones does (two-sided). Where leaving out
another reading instead makes the rest agree about as well, no arithmetic can tell which is wrong: all are named, none
is left out.
"""

from dataclasses import dataclass

import numpy as np

from fitcheck.readings.adjust import CHECKED, Adjusted, Net, Observation, adjust, heedless

STANDS_OUT = 3.2905
AS_GOOD = 3.84  # more squares than the best explanation leaves: it cannot be told from the best at 95 % (chi-square, 1)
BY_FAR = 30.0  # to leave out i takes about w_i^2 from the squares: one that takes so much less is not the best
MOST_TRIED = 12  # readings tried at each step, those that stand out most first


@dataclass(frozen=True)
class Doubtful:
    """A reading that disagrees with the others: `off` by how much (mm, rad), and what it `would_be` by them.

    `left_out` says whether the points rest on the others alone; `or_else` are readings that may be wrong instead.
    """

    observation: Observation
    off: float
    would_be: float
    w: float
    left_out: bool
    or_else: tuple["Doubtful", ...] = ()


@dataclass(frozen=True, eq=False)
class Snooped:
    """The adjustment by all readings that can be believed, and those that cannot."""

    adjusted: Adjusted
    doubtful: tuple[Doubtful, ...]


def snoop(net: Net) -> Snooped:
    """Adjusts by as many readings as agree. Two roads to those that do not, and the shorter list is taken."""
    found = adjust(net)
    if _clean(found):
        return Snooped(found, ())
    roads = [_one_by_one(net, found)]
    if len(roads[0][0]) > 1:
        roads.append(_all_at_once(net, found))
    out, found = min(
        (_taken_back(net, *road) for road in roads),
        key=lambda road: (not _clean(road[1]), len(road[0]), road[1].squares),
    )
    return _told(net, out, found)


def _one_by_one(net: Net, found: Adjusted) -> tuple[list[int], Adjusted]:
    """Left out one after the other: each time the one without which the rest agree best."""
    out: list[int] = []
    while not _clean(found) and found.degrees > 0:
        trials = _trials(net, out, found)
        clean = {i: trial for i, trial in trials.items() if _clean(trial)}
        best = min(clean or trials, key=lambda i: (clean or trials)[i].squares)
        out.append(best)
        found = trials[best]
    return out, found


def _all_at_once(net: Net, found: Adjusted) -> tuple[list[int], Adjusted]:
    """What stands out from a fit that hardly heeds readings far off, then what still does without those."""
    out: list[int] = []
    x = heedless(net, found.x)
    off = np.abs(net.residuals(x)) / np.sqrt(np.maximum(found.redundancy, CHECKED))
    while not _clean(found) and found.degrees > 0:
        new = [i for i in np.flatnonzero(off > STANDS_OUT).tolist() if i not in out]
        if not new:
            new = list(_trials(net, out, found))[:1]
        out += new
        found = adjust(_from(net, Adjusted(net, x)).without(set(out)), robust=False)
    return out, found


def _taken_back(net: Net, out: list[int], found: Adjusted) -> tuple[list[int], Adjusted]:
    """Without those of `out` that fit again now, the best fitting first."""
    for i in sorted(out, key=lambda i: abs(_doubt(net, i, found, left_out=True).w)):
        again = adjust(_from(net, found).without(set(out) - {i}), robust=False)
        if _clean(again):
            out = [k for k in out if k != i]
            found = again
    return out, found


def _told(net: Net, out: list[int], found: Adjusted) -> Snooped:
    """Each reading left out, unless another explains as much: then it comes back in, and both are named."""
    doubtful: list[Doubtful] = []
    kept_in: set[int] = set()
    for i in sorted(out):
        rest = [k for k in out if k != i]
        with_it = adjust(_from(net, found).without(set(rest)), robust=False)
        others = {
            k: trial
            for k, trial in _trials(net, rest, with_it).items()
            if k != i and _clean(trial) and trial.squares < found.squares + AS_GOOD
        }
        instead = tuple(_doubt(net, k, trial, left_out=False) for k, trial in others.items())
        if instead:
            kept_in.add(i)
        doubtful.append(_doubt(net, i, found, not instead, instead))
    believed = adjust(_from(net, found).without(set(out) - kept_in), robust=False) if kept_in else found
    return Snooped(believed, tuple(doubtful))


def _from(net: Net, found: Adjusted) -> Net:
    """The net, started where `found` is."""
    return Net(net.observations, {name: found.block(name).copy() for name in net.slices}, net.fixed)


def _trials(net: Net, out: list[int], found: Adjusted) -> dict[int, Adjusted]:
    """The net without `out` and, one at a time, each further reading that stands out in `found`."""
    kept = [i for i in range(len(net.observations)) if i not in out]
    by_size = np.argsort(-np.abs(found.w)).tolist()
    least = max(STANDS_OUT, float(np.sqrt(max(0.0, np.abs(found.w).max() ** 2 - BY_FAR))))
    worst = [kept[k] for k in by_size[:MOST_TRIED] if abs(found.w[k]) >= least]
    return {i: adjust(_from(net, found).without({*out, i}), robust=False) for i in worst}


def _clean(found: Adjusted) -> bool:
    """Whether no reading stands out."""
    return not (np.abs(found.w) > STANDS_OUT).any()


def _doubt(net: Net, at: int, found: Adjusted, left_out: bool, or_else: tuple[Doubtful, ...] = ()) -> Doubtful:
    """A reading against `found`, which does without it: how far off, and its test against both their spreads."""
    each = net.observations[at]
    off = each.off(net.values(each, found.x))
    row = Net((each,), net.start, net.fixed).design(found.x)[0] * each.sigma
    by_others = float(row @ found.covariance @ row)
    w = off / float(np.sqrt(each.sigma**2 + by_others))
    return Doubtful(each, off, each.reading.value - off, w, left_out, or_else)
