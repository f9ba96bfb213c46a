"""The shaft's gaps judged like all others: engine at rest, and through its rock."""

from fitcheck.confidence.as_built import AsBuilt
from fitcheck.confidence.draws import NO_DRAWS, Draws
from fitcheck.confidence.judging import judged_gaps
from fitcheck.confidence.mocked_up import held_against
from fitcheck.confidence.nudged import Nudged
from fitcheck.confidence.results import Judged, worst_first
from fitcheck.limits import NotKnown
from fitcheck.placement.scene import Scene
from fitcheck.shaft import moved
from fitcheck.shaft.results import ShaftChapter


def shaft_gaps(
    nudged: Nudged,
    scene: Scene,
    found: ShaftChapter | NotKnown | None,
    seen: AsBuilt | None = None,
    draws: Draws = NO_DRAWS,
) -> tuple[Judged, ...]:
    """Every gap of the shaft with its spread, worst first, as the mock-up leaves it; none of an unknown line."""
    if found is None or isinstance(found, NotKnown) or isinstance(found.space, NotKnown):
        return ()
    rest = judged_gaps(nudged, found.space.at_rest, draws, moved.at_rest(found))
    rock = judged_gaps(nudged, found.space.rocking, draws, moved.rocking(found, scene))
    return tuple(sorted(held_against((*rest, *rock), seen, of_shaft=True), key=worst_first))
