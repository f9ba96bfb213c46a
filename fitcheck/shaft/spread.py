"""How far the readings may have put the shaft's figures off: by first order, and by draws of all readings at once.

Spreads are half-widths of a 95 % interval. First order adds the readings' own parts as squares (JCGM 100:2008, 5.1.2);
draws move every reading at once and work the whole line out again (JCGM 101:2008, clause 7).
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from fitcheck.geometry.frames import Vector
from fitcheck.job.model import Job
from fitcheck.readings.steps import SIGMAS_95, step_of
from fitcheck.readings.survey import Reading, all_shifted, readings, shifted

Figures = Mapping[str, float]
DRAWS = 400
SEED = 1
NEGLIGIBLE = 1e-9
MIDDLE_95 = (2.5, 97.5)


@dataclass(frozen=True)
class Share:
    """One reading's own part in a spread, with its sign."""

    key: str
    part: float


@dataclass(frozen=True)
class Spread:
    """Half-width of 95 % by first order and by draws, and the readings behind it, largest first."""

    first_order: float
    by_draws: float
    shares: tuple[Share, ...]

    @property
    def most(self) -> float:
        """The larger of the two: what is judged with."""
        return max(self.first_order, self.by_draws)


def spreads(job: Job, figures: Callable[[Job], Figures], draws: int = DRAWS) -> dict[str, Spread]:
    """The spread of every figure; `figures` works them all out for a job whose readings have been moved."""
    slim = _slim(job)
    before = figures(slim)
    names = list(before)
    moving: list[tuple[Reading, Vector]] = []
    for reading in readings(slim):
        step = step_of(reading)
        change = _change(figures(shifted(slim, reading.path, step)), before, names) / step
        if (np.abs(change) * reading.spread > NEGLIGIBLE).any():
            moving.append((reading, change * reading.spread))
    drawn = _drawn(slim, [reading for reading, _ in moving], figures, before, names, draws)
    return {name: _spread(moving, drawn[:, i], i) for i, name in enumerate(names)}


def _spread(moving: list[tuple[Reading, Vector]], drawn: Vector, at: int) -> Spread:
    shares = [Share(reading.key, float(parts[at])) for reading, parts in moving if abs(parts[at]) > NEGLIGIBLE]
    total = float(np.sqrt(sum(share.part**2 for share in shares)))
    low, high = np.percentile(drawn, MIDDLE_95) if len(drawn) else (0.0, 0.0)
    return Spread(total, float(high - low) / 2, tuple(sorted(shares, key=lambda share: -abs(share.part))))


def _slim(job: Job) -> Job:
    """The job without what the shaft does not rest on: fewer readings to move."""
    gone: dict[str, object] = {"pedals": [], "linkages": [], "pivot_shafts": [], "obstacles": [], "driver": None}
    return job.model_copy(update={**gone, "bracket": None})


def _drawn(
    job: Job, moving: list[Reading], figures: Callable[[Job], Figures], before: Figures, names: list[str], draws: int
) -> Vector:
    """Changes (draws, figures) with all readings moved at once, each by a normal draw of its spread."""
    if not moving or draws == 0:
        return np.zeros((0, len(names)))
    normal = np.random.default_rng(SEED).standard_normal((draws, len(moving)))
    paths = [reading.path for reading in moving]
    moves = (normal * [reading.spread for reading in moving] / SIGMAS_95).tolist()
    drawn = (all_shifted(job, zip(paths, by, strict=True)) for by in moves)
    return np.array([_change(figures(moved), before, names) for moved in drawn])


def _change(after: Figures, before: Figures, names: list[str]) -> Vector:
    """Change of every figure; a phase (named so) by the short way round its half turn."""
    raw = np.array([after[name] - before[name] for name in names])
    phases = np.array([name.startswith("phase") for name in names])
    return np.asarray(np.where(phases, (raw + np.pi / 2) % np.pi - np.pi / 2, raw))
