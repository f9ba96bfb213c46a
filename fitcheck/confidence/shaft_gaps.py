"""The shaft's gaps judged like all others: engine at rest, and through its rock."""

from fitcheck.confidence.first_order import spreads
from fitcheck.confidence.nudged import Nudged
from fitcheck.confidence.results import Judged, judged, worst_first
from fitcheck.limits import NotKnown
from fitcheck.placement.scene import Scene
from fitcheck.shaft import moved
from fitcheck.shaft.results import ShaftChapter


def shaft_gaps(nudged: Nudged, scene: Scene, found: ShaftChapter | NotKnown | None) -> tuple[Judged, ...]:
    """Every gap of the shaft with its spread, worst first; none where its line is not known yet."""
    if found is None or isinstance(found, NotKnown) or isinstance(found.space, NotKnown):
        return ()
    rest = spreads(nudged, found.space.at_rest, moved.at_rest(found))
    rock = spreads(nudged, found.space.rocking, moved.rocking(found, scene))
    entries = [*map(judged, found.space.at_rest, rest), *map(judged, found.space.rocking, rock)]
    return tuple(sorted(entries, key=worst_first))
