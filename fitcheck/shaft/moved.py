"""The shaft's parts placed anew for a job whose readings have been moved a little, for the spread of its gaps.

Parts that rest on the very same pieces of the job are handed back as they are. Car frame, mm.
"""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from fitcheck.job.model import Job
from fitcheck.limits import NotKnown, known
from fitcheck.placement.scene import Part, Scene
from fitcheck.shaft import solids, space
from fitcheck.shaft.chapter import rock
from fitcheck.shaft.line import tables
from fitcheck.shaft.results import ShaftChapter, Space
from fitcheck.shaft.setup import MIDDLE_CENTRE, Setup

Add = Callable[[Job, Scene], Scene]


def at_rest(found: ShaftChapter) -> Add:
    """Puts the shaft into the scene of a moved job, the engine at rest."""

    def moved(job: Job, around: Scene) -> Scene:
        return replace(around, parts=(*_shaft(found, job), *around.parts))

    return moved


def rocking(found: ShaftChapter, scene: Scene) -> Add:
    """The same with the engine's parts as they rock, and nothing where nobody has said how it rocks.

    `scene` is that of the job as measured.
    """
    if _space_of(found).turn is None:
        return lambda job, around: around
    asked = {entry.pair.b.name: entry.pair.b for entry in _space_of(found).rocking if isinstance(entry.pair.b, Part)}

    def moved(job: Job, around: Scene) -> Scene:
        engine = [part for part in around.parts if part.name in asked]
        if _same(found, job) and all(scene.part(part.name) is part for part in engine):
            return replace(around, parts=(*_shaft(found, job), *asked.values()))
        turn = rock(_setup(found, job))
        assert turn is not None  # it was there for the job as measured
        return replace(around, parts=(*_shaft(found, job), *(space.rocked(part, turn) for part in engine)))

    return moved


def _space_of(found: ShaftChapter) -> Space:
    assert not isinstance(found.space, NotKnown)  # asked only where there are gaps
    return found.space


def _same(found: ShaftChapter, job: Job) -> bool:
    was = found.setup.job
    return tables(was) is tables(job) and all(
        getattr(was, key) is getattr(job, key) for key in ("job", "points", "column", "groups")
    )


def _setup(found: ShaftChapter, job: Job) -> Setup:
    fixed = isinstance(known(MIDDLE_CENTRE, found.setup.ends.fixed_between), NotKnown) or len(found.shaft.joints) == 2
    return Setup.of(job, found.adapt, found.setup.between if fixed else None)


def _shaft(found: ShaftChapter, job: Job) -> tuple[Part, ...]:
    if _same(found, job):
        return _space_of(found).parts
    setup = _setup(found, job)
    lines = [setup.line(stand) for stand in setup.stands]
    return solids.shaft_parts(setup.shaft, lines, None if found.bearing is None else np.asarray(found.bearing))
