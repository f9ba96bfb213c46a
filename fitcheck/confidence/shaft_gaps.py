"""The shaft's gaps judged like all others: engine at rest, and through its rock; chances near the need by draws."""

from collections.abc import Iterator

from fitcheck.clearance.gaps import Found
from fitcheck.confidence.as_built import AsBuilt
from fitcheck.confidence.draws import SEED, Drawing
from fitcheck.confidence.first_order import spreads
from fitcheck.confidence.mocked_up import held_against
from fitcheck.confidence.nudged import Add, Nudged
from fitcheck.confidence.results import Judged, judged, worst_first
from fitcheck.geometry.gap import GapEngine
from fitcheck.limits import NotKnown
from fitcheck.placement.scene import Scene
from fitcheck.shaft import moved
from fitcheck.shaft.results import ShaftChapter


def shaft_gaps(
    nudged: Nudged,
    scene: Scene,
    found: ShaftChapter | NotKnown | None,
    seen: AsBuilt | None = None,
    draws: int = 0,
    seed: int = SEED,
) -> tuple[Judged, ...]:
    """Every gap of the shaft with its spread, worst first, as the mock-up leaves it; none of an unknown line.

    Chances by `draws` of all readings where a gap is near its need, or the normal ones.
    """
    if found is None or isinstance(found, NotKnown) or isinstance(found.space, NotKnown):
        return ()
    entries = (
        *_judged(nudged, found.space.at_rest, moved.at_rest(found), draws, seed),
        *_judged(nudged, found.space.rocking, moved.rocking(found, scene), draws, seed),
    )
    return tuple(sorted(held_against(entries, seen, of_shaft=True), key=worst_first))


def _judged(nudged: Nudged, found: tuple[Found, ...], add: Add, draws: int, seed: int) -> Iterator[Judged]:
    drawing = Drawing.of(GapEngine(), found) if draws else None
    shares = spreads(nudged, found, add, drawing)
    drawn = {} if drawing is None else drawing.drawn(draws, seed)
    for i, (entry, part) in enumerate(zip(found, shares, strict=True)):
        yield judged(entry, part, drawn.get(i))
