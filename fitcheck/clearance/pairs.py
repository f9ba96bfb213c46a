"""Who is judged against whom, and the gap a pair must keep: from the job, else common practice (no source).

Every unordered pair is judged, `joined` (meant to touch), `as before` (two parts that were there before and
stay where they were), or not looked at because neither of the two moves or is new.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import Enum
from itertools import combinations

from fitcheck.job.model import Job
from fitcheck.placement.scene import Kind, Part, Unplaced

PEDAL_MM = 16.0  # a moving pedal or its linkage to anything new; common practice, no source
BOOT_MM = 25.0  # a boot to anything new; common practice, no source
FIXED_MM = 6.0  # a fixed part to a fixed part; common practice, no source
SAME_BRACKET_MM = 3.0  # the unit to its own bracket, where they are not bolted together; common practice, no source
SOFT_MM = 10.0  # a fixed part to a loom, hose or brake pipe; common practice, no source
TRADE = "common practice"
SOURCES = {"keep_out": "keep-out room", "same_bracket": f"{TRADE}: 3 mm from the unit to its own bracket"}
DRIVEN = (Kind.PEDAL, Kind.LINKAGE)


class Treatment(Enum):
    """What is done with a pair."""

    JUDGED = "judged"
    JOINED = "joined"
    AS_BEFORE = "as before"
    NOT_LOOKED_AT = "not looked at"


@dataclass(frozen=True)
class Need:
    """How a pair is treated and why; `required_mm`, where it is from and whether the job `lowered` it, where judged."""

    treatment: Treatment
    reason: str
    required_mm: float = 0.0
    required_from: str = ""
    lowered: bool = False


TWO_LEGS = Need(Treatment.NOT_LOOKED_AT, "two boots of one driver, who minds his own feet")


@dataclass(frozen=True)
class Pair:
    """Two parts, or what is still missing of them, and what they need."""

    a: Part | Unplaced
    b: Part | Unplaced
    need: Need


def pairs(job: Job, parts: tuple[Part | Unplaced, ...]) -> Iterator[Pair]:
    """Every unordered pair, the newer part first."""
    for one, other in combinations(parts, 2):
        yield pair_of(job, one, other)


def pair_of(job: Job, one: Part | Unplaced, other: Part | Unplaced) -> Pair:
    """The pair of two parts, the newer part first."""
    a, b = (other, one) if other.new and not one.new else (one, other)
    return Pair(a, b, need(job, a, b))


def need(job: Job, a: Part | Unplaced, b: Part | Unplaced) -> Need:
    """How the pair is treated, in the order: meant to touch, nothing new about it, required gap."""
    if a.kind is b.kind is Kind.BOOT:
        return TWO_LEGS
    reason = _joined(a, b)
    if reason is not None:
        return Need(Treatment.JOINED, reason)
    if not (a.new or b.new):
        if _driven(a) or _driven(b) or Kind.COLUMN in (a.kind, b.kind):
            return Need(Treatment.AS_BEFORE, "both were there before and stay where they were")
        return Need(Treatment.NOT_LOOKED_AT, "both were there before and the job changes neither")
    return _required(job, a, b)


def unused(job: Job, pairs: Iterable[Pair]) -> Iterator[str]:
    """One sentence for each required gap of a single pair that nothing is judged by."""
    treated = {frozenset((pair.a.name, pair.b.name)): pair.need for pair in pairs}
    for i, pair in enumerate(job.require.pairs, start=1):
        need = treated.get(frozenset(pair.between), TWO_LEGS)
        if need.treatment is not Treatment.JUDGED:
            yield f"require.pairs[{i}], {' - '.join(pair.between)}, is not used: {need.reason}"


def _driven(part: Part | Unplaced) -> bool:
    return part.kind in (*DRIVEN, Kind.BOOT)


def _joined(a: Part | Unplaced, b: Part | Unplaced) -> str | None:
    kinds = {a.kind, b.kind}
    if Kind.COLUMN in kinds and kinds <= {Kind.COLUMN, Kind.UNIT, Kind.BRACKET}:
        return "clamped together on the column"
    for one, other in ((a, b), (b, a)):
        if isinstance(one, Part) and other.name in one.joined:
            return f"'{one.name}' is meant to touch '{other.name}'"
    drivers = {part.driven_by for part in (a, b) if isinstance(part, Part) and part.driven_by is not None}
    if len(drivers) == 1 and _driven(a) and _driven(b) and isinstance(a, Part) and isinstance(b, Part):
        return f"both go with the {drivers.pop()} pedal"
    return None


def _required(job: Job, a: Part | Unplaced, b: Part | Unplaced) -> Need:
    """The need of a judged pair: of this very pair, else of its kind from the job, else of its kind in the trade."""
    key, trade = _kind_of_need(a, b)
    for i, pair in enumerate(job.require.pairs, start=1):
        if set(pair.between) == {a.name, b.name}:
            said = f"job, require.pairs[{i}]: {pair.why}"
            return Need(Treatment.JUDGED, "", pair.gap.mm, said, lowered=pair.gap.mm < trade)
    stated = getattr(job.require, key, None)
    if stated is None:
        return Need(Treatment.JUDGED, "", trade, SOURCES.get(key, TRADE))
    return Need(Treatment.JUDGED, "", stated.mm, f"job, require.{key}", lowered=stated.mm < trade)


def _kind_of_need(a: Part | Unplaced, b: Part | Unplaced) -> tuple[str, float]:
    """The key of [require] that speaks of such a pair, and the trade's figure."""
    kinds = {a.kind, b.kind}
    parts = [part for part in (a, b) if isinstance(part, Part)]
    if any(part.keep_out for part in parts):
        return "keep_out", 0.0
    if kinds == {Kind.UNIT, Kind.BRACKET}:
        return "same_bracket", SAME_BRACKET_MM
    if Kind.BOOT in kinds:
        return "boot", BOOT_MM
    if kinds & set(DRIVEN):
        return "pedal", PEDAL_MM
    return ("soft", SOFT_MM) if any(part.soft for part in parts) else ("fixed", FIXED_MM)
