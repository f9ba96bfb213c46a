"""What the mock-up does to the results: disagreement makes them not known, agreement makes them surer. mm.

A gap found on the car is one more reading of the same parts (Kalman's update): it takes (sum of p q / S)^2 from the
spread squared, p and q the readings' parts in the gap judged and in the one predicted, S the root of both squared
spreads. Found farther apart than predicted it adds no room; found closer it takes some.
"""

from dataclasses import replace

from fitcheck.confidence.as_built import AsBuilt, AsBuiltEntry
from fitcheck.confidence.first_order import Share, chance_under, total
from fitcheck.confidence.results import LARGEST_CHANCE, Judged, Result

LEANS = "the mock-up disagrees: all gaps of the unit lean to one side (see As built)"
SAYS_LITTLE = 0.9  # of the spread left: what was found changes nothing about how sure the gap is
STAND = (Result.JOINED, Result.AS_BEFORE)
COLUMN = (
    "the gaps found are {all}{closer} by {mean:.1f} mm on the mean, more than the {spread:.1f} mm that may be off: "
    "what they share is the column's axis and the unit's place; measure the hub seat, the low place and the input face "
    "again"
)


def held_against(results: tuple[Judged, ...], found: AsBuilt) -> tuple[Judged, ...]:
    """Every result as it stands once the mock-up has had its say."""
    return tuple(_said(entry, found) for entry in results)


def lean_words(found: AsBuilt) -> str:
    """What it means that all gaps differ to one side."""
    closer = "closer" if found.mean_mm < 0 else "wider"
    one_sided = len({entry.off_mm > 0 for entry in found.gaps}) == 1
    return COLUMN.format(
        all="all " if one_sided else "", closer=closer, mean=abs(found.mean_mm), spread=found.mean_spread_mm
    )


def _said(entry: Judged, found: AsBuilt) -> Judged:
    if entry.result in STAND or entry.found.closest is None:
        return entry
    names = {entry.pair.a.name, entry.pair.b.name}
    about = [each for each in found.gaps if set(each.parts) == names]
    against = next((each for each in about if not each.agrees), None)
    if against is not None:
        why = (
            f"the mock-up disagrees: found {against.found_mm:.1f} mm ({against.words}) where "
            f"{against.predicted_mm:.1f} mm was predicted, and only {against.allowed_mm:.1f} mm apart can be chance: "
            "the car is right, find the reading"
        )
        return replace(entry, result=Result.NOT_KNOWN, reason=why)
    if found.leans and "unit" in names:
        return replace(entry, result=Result.NOT_KNOWN, reason=LEANS)
    return _surer(entry, about) if about and entry.result in (Result.CLEAR, Result.TOO_CLOSE) else entry


def _surer(entry: Judged, about: list[AsBuiltEntry]) -> Judged:
    """With the spread that is left once gaps of the pair are known, by the one that says most.

    A gap found at one place of the movement is never less than the least of all: no more room is left than was found.
    """
    left = [_left(entry, each) for each in about]
    shares, _, by = min(left, key=lambda each: total(each[0]))
    closest, required = entry.found.closest, entry.pair.need.required_mm
    assert closest is not None
    least = min(about, key=lambda each: each.found_mm)
    bound = min(closest.gap.bound_mm + min(0.0, *(shift for _, shift, _ in left)), least.found_mm)
    spread, says_little = total(shares), total(shares) > SAYS_LITTLE * entry.spread_mm
    chance = max(chance_under(bound, required, spread), entry.chance_under if says_little else 0.0)
    told = f"the mock-up agrees (found {by.found_mm:.1f} mm, {by.words})"
    if bound < required:
        result, why = Result.UNDER, f"under its need; found {least.found_mm:.1f} mm on the mock-up ({least.words})"
    elif chance <= LARGEST_CHANCE:
        result, why = Result.CLEAR, f"kept; {told}"
    else:
        result, why = Result.TOO_CLOSE, f"kept, but not surely; {told}"
    told_mm = min(closest.gap.bound_mm, least.found_mm)
    found = replace(entry.found, closest=replace(closest, gap=replace(closest.gap, bound_mm=told_mm)))
    changed = replace(entry, found=found, result=result, reason=why, spread_mm=spread, chance_under=chance)
    return changed if says_little else replace(changed, drawn=None, shares=shares)


def _left(entry: Judged, seen: AsBuiltEntry) -> tuple[tuple[Share, ...], float, AsBuiltEntry]:
    """What each reading still causes of a gap's spread once one was found, and by how much its middle goes.

    With gain g a reading's part p becomes p - g q, and what was found brings in g times its own spread.
    """
    parts = {share.key: share.part_mm for share in seen.shares}
    mine = {share.key: share.part_mm for share in entry.shares}
    gain = sum(part * parts.get(key, 0.0) for key, part in mine.items()) / seen.allowed_mm**2
    left = {key: mine.get(key, 0.0) - gain * parts.get(key, 0.0) for key in (*mine, *parts)}
    left[seen.key] = gain * seen.found_spread_mm
    told = (Share(key, part) for key, part in left.items() if abs(part) > 1e-6)
    return tuple(sorted(told, key=lambda share: -abs(share.part_mm))), gain * seen.off_mm, seen
