"""The gaps of a placed job with how sure each is: every reading moved a little, then judged, worst first."""

from collections.abc import Sequence

from fitcheck.clearance.gaps import Found
from fitcheck.clearance.pairs import Treatment
from fitcheck.confidence.draws import GUESSED_MM, LIKELY_MM, NO_DRAWS, Drawing, Draws
from fitcheck.confidence.first_order import spreads
from fitcheck.confidence.nudged import Add, Nudged, just_the_scene
from fitcheck.confidence.results import Judged, judged, worst_first
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.model import Job


def likely_mm(job: Job) -> float:
    """The give or take that is expected of a gap before anything is known of it, mm."""
    said = job.job.guessed
    return LIKELY_MM if said is None else max(GUESSED_MM, said.places.mm)


def judged_gaps(
    nudged: Nudged, found: Sequence[Found], draws: Draws = NO_DRAWS, add: Add = just_the_scene
) -> tuple[Judged, ...]:
    """Each entry that is looked at with its spread and result; chances by `draws`, or the normal ones without any.

    `add` puts into the scene of a moved job what `found` has besides.
    """
    looked = [entry for entry in found if entry.pair.need.treatment is not Treatment.NOT_LOOKED_AT]
    drawing = Drawing.of(GapEngine(), looked, likely_mm(nudged.job)) if draws.many else None
    shares = spreads(nudged, looked, add, drawing)
    drawn = {} if drawing is None else drawing.drawn(draws.many, draws.seed)
    entries = (judged(each, part, drawn.get(i)) for i, (each, part) in enumerate(zip(looked, shares, strict=True)))
    return tuple(sorted(entries, key=worst_first))
