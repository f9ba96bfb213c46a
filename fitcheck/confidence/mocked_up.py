"""What the mock-up does to the results: disagreement makes them not known, agreement makes them surer. mm.

A gap found on the car is one more reading of the same parts (Kalman's update): it takes (sum of p q / S)^2 from the
spread squared, p and q the readings' parts in the gap judged and in the one predicted, S the root of both squared
spreads. Found farther apart than predicted it adds no room; found closer it takes some.
"""

from dataclasses import replace

from fitcheck.confidence.as_built import ON_THE_COLUMN, AsBuilt, AsBuiltEntry
from fitcheck.confidence.first_order import Share, chance_under, total
from fitcheck.confidence.results import LARGEST_CHANCE, Judged, Result
from fitcheck.placement.reaching import AT_REST
from fitcheck.placement.scene import Kind, Part, Unplaced

LEANS = "the mock-up disagrees: the gaps found lean to one side (see As built), and this one hangs on the column too"
SAYS_LITTLE = 0.9  # of the spread left: what was found changes nothing about how sure the gap is
STAND = (Result.JOINED, Result.AS_BEFORE)
SUSPECTS = 3  # readings named as those to look at first
LOOK = "measure the hub seat, the low place and the input face again"


def held_against(results: tuple[Judged, ...], found: AsBuilt | None, of_shaft: bool = False) -> tuple[Judged, ...]:
    """Every result as it stands once the mock-up, where there is one, has had its say.

    `of_shaft`: gaps of the shaft, which starts where the unit ends.
    """
    return results if found is None else tuple(_said(entry, found, of_shaft) for entry in results)


def suspects(entry: AsBuiltEntry) -> tuple[Share, ...]:
    """The readings to look at first where what was found disagrees."""
    return entry.shares[:SUSPECTS]


def lean_words(found: AsBuilt) -> str:
    """What it means that the gaps differ to one side, and what to measure again."""
    closer = "closer" if found.mean_mm < 0 else "wider"
    all_ = "all " if found.one_sided else ""
    others = {name for entry in found.gaps for name in entry.parts} - {"unit"}
    only = f"the {next(iter(others))}" if len(others) == 1 else ""
    keys = [{share.key for share in entry.shares} for entry in found.gaps]
    behind = [share.key for share in found.together if all(share.key in each for each in keys)][:SUSPECTS]
    too = f", and {only}" if only else ""
    hangs = f" (every one hangs on {', '.join(behind)})" if behind else ""
    return (
        f"the gaps found are {all_}{closer} by {abs(found.mean_mm):.1f} mm on the mean, more than the "
        f"{found.mean_spread_mm:.1f} mm that may be off: what they share is the column's axis and the unit's place"
        f"{too}; {LOOK}{too}{hangs}"
    )


def sideways_words(found: AsBuilt) -> str:
    """What it means that gaps on one side are closer and on the other wider, and what to measure again."""
    side, other = ("right", "left") if found.sideways_mm > 0 else ("left", "right")
    return (
        f"the gaps found are closer on the driver's {side} and wider on his {other}: as if the column sat "
        f"{abs(found.sideways_mm):.1f} mm farther {side} than it was read; measure again how far left or right the hub "
        "seat and the low place are"
    )


def _said(entry: Judged, found: AsBuilt, of_shaft: bool) -> Judged:
    if entry.result in STAND or entry.found.closest is None:
        return entry
    names = {entry.pair.a.name, entry.pair.b.name}
    about = [each for each in found.gaps if set(each.parts) == names]
    why = _against(entry, found, about)
    if not why and found.leans and (of_shaft or any(each.kind in ON_THE_COLUMN for each in _two(entry))):
        why = LEANS
    if why:
        return replace(entry, result=Result.NOT_KNOWN, reason=why)
    return _surer(entry, about) if about and entry.result in (Result.CLEAR, Result.TOO_CLOSE) else entry


def _against(entry: Judged, found: AsBuilt, about: list[AsBuiltEntry]) -> str:
    """Why what was found leaves this gap open; empty where nothing does.

    It is the gap that was found off, or one of what moves with the two; or a reading to look at first, were it the one
    that is wrong, would give this gap another result. A gap found as predicted is let alone.
    """
    off = [each for each in found.entries if not each.agrees]
    own = next((each for each in off if each in about), None)
    if own is not None:
        return (
            f"the mock-up disagrees: found {own.found_mm:.1f} mm ({own.words}) where "
            f"{own.predicted_mm:.1f} mm was predicted, and only {own.allowed_mm:.1f} mm apart can be chance: "
            "the car is right, find the reading"
        )
    if about:
        return ""
    same = next((each for each in off if set(each.parts) == {_stands_for(part) for part in _two(entry)}), None)
    if same is not None:
        return f"the mock-up disagrees on {same.words}, and this gap goes with that one: find the reading that is wrong"
    for each in off:
        keys = _would_change(entry, each)
        if keys:
            return f"the mock-up disagrees on {each.words}, and this gap hangs on what may be wrong: {', '.join(keys)}"
    return ""


def _two(entry: Judged) -> tuple[Part | Unplaced, Part | Unplaced]:
    return entry.pair.a, entry.pair.b


def _stands_for(part: Part | Unplaced) -> str:
    """The part of the mock-up it goes with: a boot with its pedal, the unit on its way out with the unit."""
    if part.kind is Kind.UNIT:
        return "unit"
    return (part.driven_by if isinstance(part, Part) else None) or part.name.removesuffix(AT_REST)


def _would_change(entry: Judged, seen: AsBuiltEntry) -> list[str]:
    """Suspects that, each alone made to account for what was found, would give this gap another result."""
    mine = {share.key: share.part_mm for share in entry.shares}
    shifts = {share.key: mine.get(share.key, 0.0) / share.part_mm * seen.off_mm for share in suspects(seen)}
    return [key for key, shift in shifts.items() if _kept(entry, shift) != _kept(entry, 0.0)]


def _kept(entry: Judged, shift_mm: float) -> bool:
    """Whether the gap, more by `shift_mm`, keeps its need; one that is clear has to keep it as surely as that."""
    closest, required = entry.found.closest, entry.pair.need.required_mm
    assert closest is not None
    there = closest.gap.bound_mm - closest.gap.depth_mm + shift_mm
    if entry.result is not Result.CLEAR or shift_mm == 0:
        return there >= required
    return chance_under(there, required, entry.spread_mm) <= LARGEST_CHANCE


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
