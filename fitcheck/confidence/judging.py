"""The gaps of a placed job with how sure each is: every reading moved a little, then judged, worst first."""

from collections.abc import Sequence
from functools import partial
from pathlib import Path

from fitcheck.clearance.gaps import Found
from fitcheck.clearance.pairs import Treatment
from fitcheck.confidence.first_order import Step, spreads, stepped
from fitcheck.confidence.results import Judged, judged, worst_first
from fitcheck.job.model import Job
from fitcheck.placement.place import place
from fitcheck.placement.scene import Scene


def judged_gaps(
    job: Job, folder: Path, scene: Scene, found: Sequence[Found], step_by: Step = stepped
) -> tuple[Judged, ...]:
    """Each entry that is looked at with its spread and result; mesh files are looked for in `folder`."""
    looked = [entry for entry in found if entry.pair.need.treatment is not Treatment.NOT_LOOKED_AT]
    shares = spreads(job, looked, partial(place, folder=folder, like=scene), step_by)
    return tuple(sorted(map(judged, looked, shares), key=worst_first))
