"""The gaps of a placed job with how sure each is: every reading moved a little, then judged, worst first."""

from collections.abc import Sequence

from fitcheck.clearance.gaps import Found
from fitcheck.clearance.pairs import Treatment
from fitcheck.confidence.first_order import spreads
from fitcheck.confidence.nudged import Nudged
from fitcheck.confidence.results import Judged, judged, worst_first


def judged_gaps(nudged: Nudged, found: Sequence[Found]) -> tuple[Judged, ...]:
    """Each entry that is looked at with its spread and result."""
    looked = [entry for entry in found if entry.pair.need.treatment is not Treatment.NOT_LOOKED_AT]
    return tuple(sorted(map(judged, looked, spreads(nudged, looked)), key=worst_first))
