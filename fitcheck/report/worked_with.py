"""What a verdict worked with, in short: defaults by their keys, what was added to readings; the rest stands in full."""

from collections.abc import Iterable, Iterator

from fitcheck.confidence.first_order import LIMITS
from fitcheck.placement.assumed import assumed
from fitcheck.verdict import Verdict

NOT_GIVEN = " not given: "
SPREADS, CHANCES = "spreads not stated, ", ("chance of ", "chances of ")
TOLD_BY_BOOTS = ": the heel is off the floor beyond "


def in_short(verdict: Verdict) -> Iterator[str]:
    """The remarks that are acted on as they are; of each default its key, so that none is in use unsaid."""
    defaults = [text for text in assumed(verdict.opened.job) if NOT_GIVEN in text]
    for text in verdict.remarks:
        statistics = text == LIMITS or text.startswith((SPREADS, *CHANCES))
        if not (statistics or text in defaults or (verdict.boots is not None and TOLD_BY_BOOTS in text)):
            yield text
    spreads = ["the spreads of readings that state none"] if any(t.startswith(SPREADS) for t in verdict.remarks) else []
    if defaults or spreads:
        said = "; ".join([*_by_owner(text.split(NOT_GIVEN)[0] for text in defaults), *spreads])
        yield f"taken by default, common practice, as not given: {said}. fitcheck check --all says what each is"


def _by_owner(defaults: Iterable[str]) -> Iterator[str]:
    """Keys of the same parts together: "clutch, brake: pulled_up, side_wear"."""
    keys: dict[str, list[str]] = {}
    for text in defaults:
        owner, _, key = text.rpartition(": ")
        keys.setdefault(owner, []).append(key)
    return (f"{owner}: {', '.join(listed)}" if owner else ", ".join(listed) for owner, listed in keys.items())
