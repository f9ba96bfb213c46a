"""The mock-up against the readings, as plain text and as JSON; and what to find on it before the prediction is read."""

from collections.abc import Sequence
from textwrap import wrap
from typing import Any

from fitcheck.confidence.as_built import AsBuilt, AsBuiltEntry
from fitcheck.confidence.mocked_up import lean_words, suspects
from fitcheck.confidence.results import Judged, Result
from fitcheck.readings.points import Points
from fitcheck.report import words

ASKED, CLOSEST = 5, 3
JUDGED = (Result.HITS, Result.UNDER, Result.TOO_CLOSE, Result.CLEAR, Result.NOT_KNOWN)


def seen_rows(found: AsBuilt, show: words.Show, width: int) -> list[str]:
    """Each thing found with its prediction; what disagrees first."""
    rows = ["As built: found on the mock-up, and what the readings predict"]
    for entry in sorted(found.entries, key=lambda entry: (entry.agrees, entry.key)):
        rows += wrap(_line(entry, show), width, initial_indent="  ", subsequent_indent="      ")
    if found.leans:
        rows += wrap(f"[!] {lean_words(found)}", width, initial_indent="  ", subsequent_indent="      ")
    elif len(found.gaps) > 1:
        within = "within" if abs(found.mean_mm) <= found.mean_spread_mm else "more than"
        mean = f"mean difference of {len(found.gaps)} gaps {found.mean_mm:+.1f} mm, {within} the "
        said = f"{mean}{found.mean_spread_mm:.1f} mm it may be off"
        rows += wrap(said, width, initial_indent="  ", subsequent_indent="      ")
    return rows


def _line(entry: AsBuiltEntry, show: words.Show) -> str:
    mark, word = ("+", "agrees") if entry.agrees else ("!", "DISAGREES: the car is right, find the reading")
    found, predicted = words.size(entry.found_mm, show), words.size(entry.predicted_mm, show)
    spread = words.spread(entry.predicted_spread_mm)
    most = "" if entry.agrees else "; first look at " + ", ".join(share.key for share in suspects(entry))
    return f"[{mark}] {entry.key} {entry.words}: found {found}, predicted {predicted} {spread}: {word}{most}"


def to_find(gaps: Sequence[Judged], points: Points | None, seen: AsBuilt | None) -> list[str]:
    """Five things to find: the three closest pairs, one that is easily clear, one distance that no reading holds."""
    known = set() if seen is None else {frozenset(entry.parts) for entry in seen.gaps}
    judged = [entry for entry in gaps if entry.result in JUDGED and entry.found.closest is not None]
    apart = sorted(judged, key=lambda entry: entry.margin_mm)
    chosen = [*apart[:CLOSEST], *apart[CLOSEST:][-1:]]
    asked = [_pair(entry) for entry in chosen if frozenset((entry.pair.a.name, entry.pair.b.name)) not in known]
    untaped = None if points is None else _untaped(points)
    named = "a distance between two places that no reading holds" if untaped is None else untaped
    return [*asked, f"{named}, by tape"] if seen is None or len(seen.entries) == len(seen.gaps) else asked


def _pair(entry: Judged) -> str:
    closest = entry.found.closest
    assert closest is not None
    pedals = " and ".join(closest.at_travel)
    held = f", the {pedals} pedal held at rest, half, and on its stop or the floor" if pedals else ""
    return f"{entry.pair.a.name} - {entry.pair.b.name}{held}, by clay or a block"


def _untaped(points: Points) -> str | None:
    taped = {frozenset(each.blocks) for each in points.all_observations}
    names = [point.name for point in points.found if not point.open]
    pairs = ((one, other) for i, one in enumerate(names) for other in names[i + 1 :])
    return next((f"{one} to {other}" for one, other in pairs if frozenset((one, other)) not in taped), None)


def seen_document(found: AsBuilt) -> dict[str, Any]:
    """What stands under `seen`."""
    return {
        "agrees": found.agrees,
        "mean_mm": round(found.mean_mm, 3) + 0.0,
        "mean_spread_mm": round(found.mean_spread_mm, 3),
        "found": [
            {
                "key": entry.key,
                "what": entry.words,
                "found_mm": round(entry.found_mm, 3),
                "found_spread_mm": round(entry.found_spread_mm, 3),
                "predicted_mm": round(entry.predicted_mm, 3),
                "predicted_spread_mm": round(entry.predicted_spread_mm, 3),
                "agrees": entry.agrees,
            }
            for entry in found.entries
        ],
    }
