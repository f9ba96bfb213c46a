"""Every measured number of a job, with the key it stands under and its spread (half-width of 95 %).

The spread is the reading's own (`± 3 mm`), else its table's (`spread = "3 mm"`), else its table's tool's, else the
default of the way such a number is usually taken (common practice, no source).
"""

from collections.abc import Iterable, Iterator

from fitcheck.job.lengths import Length
from fitcheck.job.model import Job
from fitcheck.job.tools import Tool
from fitcheck.readings.changed import moved_by
from fitcheck.readings.reading import RADIANS_A_DEGREE, Path, Reading, measured
from fitcheck.readings.settled import Settled

__all__ = [
    "Path",
    "Reading",
    "all_shifted",
    "defaults_in_use",
    "ends_a_movement",
    "give_or_take",
    "readings",
    "shifted",
]


def readings(job: Job) -> tuple[Reading, ...]:
    """All measured numbers of the job, in the order of the model; wanted figures (spread 0) are left out."""
    written = (reading for reading in measured(job, ("readings", "seen")) if reading.spread > 0)
    if not isinstance(job, Settled):
        return tuple(written)
    return (*job.basis.readings, *(reading for reading in written if not job.basis.holds(reading.path)))


def defaults_in_use(job: Job) -> Iterator[str]:
    """One sentence on the spreads that the job does not state, with how many readings lean on each kind."""
    leaning: dict[tuple[str, str], int] = {}
    for reading in readings(job):
        if reading.spread_from.endswith("default"):
            size = f"{reading.spread / RADIANS_A_DEGREE:.2g} deg" if reading.is_angle else f"{reading.spread:.2g} mm"
            leaning[reading.spread_from, size] = leaning.get((reading.spread_from, size), 0) + 1
    said = [
        f"{size} for {count} reading{'s' if count > 1 else ''} ({words.removesuffix(', default')})"
        for (words, size), count in leaning.items()
    ]
    if said:
        yield f"spreads not stated, so taken by default, common practice, no source: give or take {', '.join(said)}"


# Readings that say how far something goes, by their keys, the numbers of lists left out.
ENDS = {
    *(("pedals", key) for key in ("travel", "travel_angle", "over_travel", "pulled_up")),
    ("linkages", "lever_travel"),
    *(("groups", "engine", key) for key in ("by", "other_way")),
    *(("groups", "frame", key) for key in ("up_down", "sideways", "fore_aft")),
    *(("groups", "axle", key) for key in ("up", "down", "sideways", "fore_aft")),
    *(("groups", "column", "tilt", key) for key in ("up", "down")),
    *(("groups", "column", "reach", key) for key in ("toward_driver", "away")),
}


def ends_a_movement(path: Path) -> bool:
    """Whether the reading says how far something goes: the movement is covered beyond it by its spread already."""
    return tuple(step for step in path if isinstance(step, str)) in ENDS


def give_or_take(length: Length, tool: Tool) -> float:
    """Spread of one length, mm: its own where it states one, else that of the way it is usually taken."""
    return tool.spread if length.spread_mm is None else length.spread_mm


def shifted(job: Job, path: Path, by: float) -> Job:
    """The job with the one number at `path` moved by `by` (mm or rad), all else untouched."""
    return all_shifted(job, [(path, by)])


def all_shifted(job: Job, moves: Iterable[tuple[Path, float]]) -> Job:
    """The job with each number at a path moved by what stands beside it (mm or rad), all else untouched."""
    moves = list(moves)
    if not isinstance(job, Settled):
        return moved_by(job, moves)
    used_up = [(path, by) for path, by in moves if job.basis.holds(path)]
    as_written = [(path, by) for path, by in moves if not job.basis.holds(path)]
    there = job.shifted(used_up)
    return there.leaned(moved_by(there, as_written), [path for path, _ in as_written]) if as_written else there
