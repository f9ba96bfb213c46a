"""The mock-up against the readings, as plain text and as JSON; and what to find on it before the prediction is read."""

from collections.abc import Sequence
from textwrap import wrap
from typing import Any

from fitcheck.confidence.as_built import AsBuilt, AsBuiltEntry
from fitcheck.confidence.mocked_up import lean_words, sideways_words, suspects
from fitcheck.confidence.results import Judged, Result
from fitcheck.job.model import Job
from fitcheck.readings.points import Points
from fitcheck.report import words
from fitcheck.report.key_words import key_told
from fitcheck.verdict import Verdict

CLOSEST = 3
REACH_MM = 60.0  # what a hand with clay or a block bridges
HELD = {"rest": "at rest", "half": "half way", "full": "on its stop or the floor"}
JUDGED = (Result.HITS, Result.UNDER, Result.TOO_CLOSE, Result.CLEAR, Result.NOT_KNOWN)


def seen_rows(found: AsBuilt, job: Job, width: int) -> list[str]:
    """Each thing found with its prediction; what disagrees first."""
    rows = ["As built: found on the mock-up, and what the readings predict"]
    for entry in sorted(found.entries, key=lambda entry: (entry.agrees, entry.key)):
        rows += wrap(_line(entry, job), width, initial_indent="  ", subsequent_indent="      ")
    if found.leans:
        rows += wrap(f"[!] {lean_words(found)}", width, initial_indent="  ", subsequent_indent="      ")
    elif found.sideways_mm:
        rows += wrap(f"[!] {sideways_words(found)}", width, initial_indent="  ", subsequent_indent="      ")
    elif len(found.gaps) > 1:
        within = "within" if abs(found.mean_mm) <= found.mean_spread_mm else "more than"
        mean = f"mean difference of {len(found.gaps)} gaps {found.mean_mm:+.1f} mm, {within} the "
        said = f"{mean}{found.mean_spread_mm:.1f} mm it may be off"
        rows += wrap(said, width, initial_indent="  ", subsequent_indent="      ")
    return rows


def _line(entry: AsBuiltEntry, job: Job) -> str:
    show = job.job.show
    mark, word = ("+", "agrees") if entry.agrees else ("!", "DISAGREES: the car is right, find the reading")
    found, predicted = words.size(entry.found_mm, show), words.size(entry.predicted_mm, show)
    spread = words.spread(entry.predicted_spread_mm)
    most = "" if entry.agrees else "; first look at " + ", ".join(key_told(job, share.key) for share in suspects(entry))
    return f"[{mark}] {entry.key} {entry.words}: found {found}, predicted {predicted} {spread}: {word}{most}"


def to_find(verdict: Verdict) -> list[str]:
    """Five things to find: the three closest pairs, one that is easily clear, one distance that no reading holds.

    Pairs within a hand's reach of each other alone: there is no clay for more. What was found is not asked again.
    """
    found = () if verdict.seen is None else verdict.seen.entries
    judged = [entry for entry in verdict.gaps if entry.result in JUDGED and _within_reach(entry)]
    apart = sorted(judged, key=lambda entry: entry.margin_mm)
    asked = [_pair(entry, _held(entry, found)) for entry in (*apart[:CLOSEST], *apart[CLOSEST:][-1:])]
    taped = any(not each.parts for each in found)
    return [each for each in asked if each] + ([] if taped else [_distance(verdict)])


def _within_reach(entry: Judged) -> bool:
    closest = entry.found.closest
    return closest is not None and closest.gap.gap_mm <= REACH_MM


def _held(entry: Judged, found: Sequence[AsBuiltEntry]) -> set[str]:
    """Where the pedal of the pair was held when its gaps were found; one empty text for a pair without a pedal."""
    pair = {entry.pair.a.name, entry.pair.b.name}
    return {each.held for each in found if set(each.parts) == pair}


def _pair(entry: Judged, found: set[str]) -> str:
    """The pair, where to look and how to hold its pedal; empty where all of it was found."""
    closest = entry.found.closest
    assert closest is not None
    pedals = " and ".join(closest.at_travel)
    wanted = [words_ for held, words_ in HELD.items() if held not in found]
    if (pedals and not wanted) or (found and not pedals):
        return ""
    held = f", the {pedals} pedal held {', then '.join(wanted)}" if pedals else ""
    where = f" (look at {closest.a_where} and {closest.b_where})"
    return f"{entry.pair.a.name} - {entry.pair.b.name}{where}{held}, by clay or a block"


def _distance(verdict: Verdict) -> str:
    """A distance that no reading holds, with both its ends."""
    untaped = None if verdict.readings is None else _untaped(verdict.readings)
    if untaped is not None:
        return f"{untaped}, by tape"
    pedal = next((pedal.name for pedal in verdict.opened.job.pedals), None)
    end = "the middle of the jacket's lower end" if pedal is None else f"the middle of the {pedal} pad's face, at rest"
    return f"the middle of the hub seat to {end}, by tape; give both a name under [points]"


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
