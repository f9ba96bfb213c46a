"""Least squares over all readings at once: the unknowns, how sure they are, and how well each reading is checked.

Readings l with standard deviations s, predictions f(x): x makes sum ((l - f(x)) / s)^2 least, from a start that
outliers cannot pull away. With A the derivative of f(x) / s: covariance (A'A)^-1, redundancy of a reading
r = 1 - [A A+]ii, test of one reading w = v / (s sqrt r), test of the whole: sum of squares against chi-square of the
redundancy (Baarda's data snooping and global test, as in any textbook of adjustment). Units are the readings' own.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import pi, sqrt

import numpy as np

from fitcheck.errors import FitcheckError
from fitcheck.geometry.frames import Vector
from fitcheck.readings.reading import SIGMAS_95, Reading

STEP = 1e-3  # of an unknown, for derivatives by central differences
OUTLYING = 2.0  # standard deviations at which the robust start begins to hold a reading back
FINEST = 1e-12
NEAR = 1e-8  # how far the robust start is driven
MOST_STEPS = 15
AT_REST = 1e-9  # steps smaller than this change nothing
WORSE = 1e-9  # sums of squares that differ by less are the same
LEAST_SINGULAR = 1e-7  # of the largest singular value: below, nothing fixes that direction
CHECKED = 0.01  # redundancy below which no other reading checks one
WHOLE_AT = 0.05  # share of honest jobs that the test of the whole still turns down
NON_CENTRALITY = 4.132  # 3.29 + 0.84: a mistake that data snooping finds in 80 of 100 cars


class NoAgreement(FitcheckError):
    """The readings lead to no solution at all."""


@dataclass(frozen=True, eq=False)
class Observation:
    """One reading and what the unknowns `blocks` say it should be; `turns` where it is an angle that goes round.

    `slopes` gives the derivative of the prediction by each block, where it is known in closed form.
    """

    reading: Reading
    words: str
    blocks: tuple[str, ...]
    predict: Callable[..., float]
    turns: bool = False
    slopes: Callable[..., Sequence[Vector]] | None = None

    @property
    def sigma(self) -> float:
        """Standard deviation, mm or rad."""
        return self.reading.spread / SIGMAS_95

    def off(self, values: Sequence[Vector]) -> float:
        """Reading less prediction."""
        off = self.reading.value - float(self.predict(*values))
        return (off + pi) % (2 * pi) - pi if self.turns else off


@dataclass(frozen=True, eq=False)
class Net:
    """Observations over unknown blocks; `start` gives a value to each, `fixed` those that are known."""

    observations: tuple[Observation, ...]
    start: Mapping[str, Vector]
    fixed: Mapping[str, Vector]

    @cached_property
    def slices(self) -> dict[str, slice]:
        """Where each unknown block stands among the unknowns."""
        ends = np.cumsum([0, *(len(block) for block in self.start.values())]).tolist()
        return {name: slice(ends[i], ends[i + 1]) for i, name in enumerate(self.start)}

    @cached_property
    def x0(self) -> Vector:
        """The start (n,)."""
        return np.concatenate([np.asarray(block, dtype=float) for block in self.start.values()])

    def values(self, observation: Observation, x: Vector) -> list[Vector]:
        """Values of the blocks an observation looks at."""
        return [self.fixed[name] if name in self.fixed else x[self.slices[name]] for name in observation.blocks]

    def residuals(self, x: Vector) -> Vector:
        """(reading - prediction) / standard deviation, (m,)."""
        return np.array([each.off(self.values(each, x)) / each.sigma for each in self.observations])

    def design(self, x: Vector) -> Vector:
        """Derivative (m, n) of prediction / standard deviation by central differences."""
        found = np.zeros((len(self.observations), len(x)))
        for row, each in zip(found, self.observations, strict=True):
            values = self.values(each, x)
            if each.slopes is not None:
                for name, by_block in zip(each.blocks, each.slopes(*values), strict=True):
                    if name not in self.fixed:
                        row[self.slices[name]] += by_block / each.sigma
                continue
            for k, name in enumerate(each.blocks):
                if name in self.fixed:
                    continue
                for i in range(len(values[k])):
                    row[self.slices[name].start + i] += self.slope(each, values, k, i)
        return found

    def slope(self, each: Observation, values: list[Vector], k: int, i: int) -> float:
        """Derivative of an observation's prediction / standard deviation by entry i of its block k."""
        ends = []
        for step in (STEP, -STEP):
            moved = list(values)
            moved[k] = values[k].copy()
            moved[k][i] += step
            ends.append(each.off(moved))
        change = ends[1] - ends[0]
        return ((change + pi) % (2 * pi) - pi if each.turns else change) / (2 * STEP) / each.sigma

    def without(self, left_out: set[int]) -> "Net":
        """The same net without some of its observations."""
        kept = tuple(each for i, each in enumerate(self.observations) if i not in left_out)
        return Net(kept, self.start, self.fixed)


@dataclass(frozen=True, eq=False)
class Adjusted:
    """The unknowns `x` (n,) that fit the readings of `net` best; all else follows from them."""

    net: Net
    x: Vector

    @cached_property
    def _svd(self) -> tuple[Vector, Vector, Vector, Vector]:
        """u, s, v' of the design that are fixed by something, and v' of what nothing fixes."""
        design = self.net.design(self.x)
        many, unknown = design.shape
        padded = np.vstack([design, np.zeros((max(0, unknown - many), unknown))])  # so that all of v comes back
        u, s, vt = np.linalg.svd(padded, full_matrices=False)
        rank = int((s > LEAST_SINGULAR * s[0]).sum()) if len(s) else 0
        return u[:many, :rank], s[:rank], vt[:rank], vt[rank:]

    @cached_property
    def covariance(self) -> Vector:
        """Of the unknowns (n, n), from the readings' stated spreads; along directions that nothing fixes it is 0."""
        _, s, vt, _ = self._svd
        return np.asarray((vt.T / s**2) @ vt)

    @property
    def free(self) -> Vector:
        """Directions (k, n) of the unknowns that no reading fixes."""
        return self._svd[3]

    @cached_property
    def gain(self) -> Vector:
        """How the unknowns go (n, m) with each reading."""
        u, s, vt, _ = self._svd
        sigmas = np.array([each.sigma for each in self.net.observations])
        return np.asarray((vt.T / s) @ u.T / sigmas)

    @cached_property
    def residuals(self) -> Vector:
        """(reading - adjusted) / standard deviation, (m,)."""
        return self.net.residuals(self.x)

    @cached_property
    def shared(self) -> Vector:
        """I - A A+ (m, m): how residuals go with mistakes in readings; its diagonal is the redundancy of each."""
        u = self._svd[0]
        return np.asarray(np.eye(len(u)) - u @ u.T)

    @cached_property
    def redundancy(self) -> Vector:
        """Of each reading (m,), 0 where no other checks it, near 1 where many do."""
        return np.clip(np.diag(self.shared), 0.0, 1.0)

    @cached_property
    def w(self) -> Vector:
        """Normalised residual (m,) of each reading, standard normal where nothing is wrong; 0 where unchecked."""
        checked = self.redundancy > CHECKED
        return np.asarray(np.where(checked, self.residuals / np.sqrt(np.where(checked, self.redundancy, 1.0)), 0.0))

    @property
    def degrees(self) -> int:
        """How many more readings there are than it takes."""
        return len(self.net.observations) - len(self._svd[1])

    @property
    def squares(self) -> float:
        """Sum of squares of the residuals, each over its standard deviation."""
        return float(self.residuals @ self.residuals)

    @property
    def limit(self) -> float:
        """What `squares` stays under in 95 of 100 honest jobs."""
        from scipy.special import chdtri  # costs 0.1 s to import: only where used

        return float(chdtri(self.degrees, WHOLE_AT)) if self.degrees > 0 else 0.0

    @property
    def agrees(self) -> bool:
        """Whether the readings agree as a whole as well as their spreads say."""
        return self.degrees == 0 or self.squares <= self.limit

    @property
    def factor(self) -> float:
        """m0: by how much the readings agree worse (over 1) or better than their spreads say."""
        return sqrt(self.squares / self.degrees) if self.degrees > 0 else 1.0

    def unseen(self, at: int) -> float:
        """The least mistake in reading `at` that the others would find in 80 of 100 cars; infinite where unchecked."""
        if self.redundancy[at] <= CHECKED:
            return float("inf")
        return NON_CENTRALITY * self.net.observations[at].sigma / sqrt(float(self.redundancy[at]))

    def block(self, name: str) -> Vector:
        """The adjusted value of an unknown."""
        return np.asarray(self.x[self.net.slices[name]])


def adjust(net: Net, robust: bool = True) -> Adjusted:
    """The best unknowns for a net. Raises NoAgreement where there are none to be found.

    `robust`: from a start that readings far off cannot pull away; without it from the net's own start as it is. Where
    the readings then do not agree as a whole, that start is tried as well, and the better of the two taken.
    """
    if not net.observations:
        return Adjusted(net, net.x0)
    found = _adjusted(net, robust)
    if not robust or found.agrees:
        return found
    try:
        plain = _adjusted(net, robust=False)
    except NoAgreement:
        return found
    return plain if plain.squares < found.squares - WORSE else found


def _adjusted(net: Net, robust: bool) -> Adjusted:
    from scipy.optimize import least_squares  # costs 0.3 s to import: only where used

    slopes = lambda x: -net.design(x)  # noqa: E731
    x = net.x0
    if robust:
        x = least_squares(
            net.residuals, x, slopes, loss="soft_l1", f_scale=OUTLYING, x_scale="jac", xtol=NEAR, ftol=NEAR
        ).x
    x, settled = _stepped(net, np.asarray(x, dtype=float))
    if not settled:
        found = least_squares(net.residuals, x, slopes, x_scale="jac", xtol=FINEST, ftol=FINEST, gtol=FINEST)
        x, settled = np.asarray(found.x, dtype=float), bool(found.status > 0)
    if not (settled and np.isfinite(x).all()):
        raise NoAgreement("the readings lead to no place for their points; one of them must be far off")
    return Adjusted(net, x)


def heedless(net: Net, x: Vector) -> Vector:
    """A fit (n,) that hardly heeds readings far off (Cauchy's loss), from a first one by absolute values about."""
    from scipy.optimize import least_squares  # costs 0.3 s to import: only where used

    slopes = lambda x: -net.design(x)  # noqa: E731
    x = least_squares(net.residuals, x, slopes, loss="soft_l1", f_scale=0.3, xtol=NEAR, ftol=NEAR).x
    x = least_squares(net.residuals, x, slopes, loss="cauchy", f_scale=1.0, xtol=NEAR, ftol=NEAR).x
    return np.asarray(x, dtype=float)


def _stepped(net: Net, x: Vector) -> tuple[Vector, bool]:
    """Gauss-Newton from x, and whether it came to rest; where a step makes things worse, the place before it."""
    off = net.residuals(x)
    for _ in range(MOST_STEPS):
        step = np.linalg.lstsq(net.design(x), off, rcond=LEAST_SINGULAR)[0]
        after = net.residuals(x + step)
        if not after @ after <= off @ off + WORSE:
            return x, False
        x, off = x + step, after
        if np.abs(step).max() < AT_REST:
            return x, True
    return x, False
