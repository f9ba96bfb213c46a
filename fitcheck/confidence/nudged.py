"""A job with one of its readings moved, and its scene: made once, for however many results ask for them.

Moves are in mm, or rad for angles.
"""

from collections.abc import Callable

from fitcheck.job.model import Job
from fitcheck.placement.scene import Scene
from fitcheck.readings.survey import Path, shifted

Add = Callable[[Job, Scene], Scene]


def just_the_scene(job: Job, scene: Scene) -> Scene:
    """Nothing added."""
    return scene


class Nudged:
    """Makes and keeps the job and the scene for each move of a reading of `job`; `place` makes the scene of a job.

    `place` hands back unchanged the parts that a reading does not move: those are not looked at again.
    """

    def __init__(self, job: Job, place: Callable[[Job], Scene]) -> None:
        self.job = job
        self._place = place
        self._known: dict[tuple[Path, float], tuple[Job, Scene]] = {}

    def moved(self, path: Path, by: float) -> tuple[Job, Scene]:
        """The job with the reading at `path` moved `by`, and its scene; KeyFault where the job cannot be so."""
        if (path, by) not in self._known:
            job = shifted(self.job, path, by)
            self._known[path, by] = job, self._place(job)
        return self._known[path, by]
