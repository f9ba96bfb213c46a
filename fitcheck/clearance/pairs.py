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
SOFT_MM = 10.0  # a fixed part to a loom, hose or brake pipe; common practice, no source
TRADE = "common practice"
DRIVEN = (Kind.PEDAL, Kind.LINKAGE)


class Treatment(Enum):
    """What is done with a pair."""

    JUDGED = "judged"
    JOINED = "joined"
    AS_BEFORE = "as before"
    NOT_LOOKED_AT = "not looked at"


@dataclass(frozen=True)
class Need:
    """How a pair is treated and why; `required_mm` and where it is from count where it is judged."""

    treatment: Treatment
    reason: str
    required_mm: float = 0.0
    required_from: str = ""


@dataclass(frozen=True)
class Pair:
    """Two parts, or what is still missing of them, and what they need."""

    a: Part | Unplaced
    b: Part | Unplaced
    need: Need


def pairs(job: Job, parts: tuple[Part | Unplaced, ...]) -> Iterator[Pair]:
    """Every unordered pair, the newer part first."""
    for one, other in combinations(parts, 2):
        a, b = (other, one) if other.new and not one.new else (one, other)
        yield Pair(a, b, need(job, a, b))


def need(job: Job, a: Part | Unplaced, b: Part | Unplaced) -> Need:
    """How the pair is treated, in the order: meant to touch, nothing new about it, required gap."""
    if a.kind is b.kind is Kind.BOOT:
        return Need(Treatment.NOT_LOOKED_AT, "two boots of one driver, who minds his own feet")
    reason = _joined(a, b)
    if reason is not None:
        return Need(Treatment.JOINED, reason)
    if not (a.new or b.new):
        if _driven(a) or _driven(b):
            return Need(Treatment.AS_BEFORE, "both were there before and stay where they were")
        return Need(Treatment.NOT_LOOKED_AT, "both were there before and neither moves")
    required, source = _required(job, a, b)
    return Need(Treatment.JUDGED, "", required, source)


def unused(job: Job, pairs: Iterable[Pair]) -> Iterator[str]:
    """One sentence for each required gap of a single pair that nothing is judged by."""
    treated = {frozenset((pair.a.name, pair.b.name)): pair.need for pair in pairs}
    for i, pair in enumerate(job.require.pairs, start=1):
        need = treated[frozenset(pair.between)]
        if need.treatment is not Treatment.JUDGED:
            yield f"require.pairs[{i}], {' - '.join(pair.between)}, is not used: {need.reason}"


def _driven(part: Part | Unplaced) -> bool:
    return part.kind in (*DRIVEN, Kind.BOOT)


def _joined(a: Part | Unplaced, b: Part | Unplaced) -> str | None:
    kinds = {a.kind, b.kind}
    if kinds <= {Kind.COLUMN, Kind.UNIT, Kind.BRACKET}:
        return "clamped together on the column"
    for one, other in ((a, b), (b, a)):
        if isinstance(one, Part) and other.name in one.joined:
            return f"'{one.name}' is meant to touch '{other.name}'"
    drivers = {part.driven_by for part in (a, b) if isinstance(part, Part) and part.driven_by is not None}
    if len(drivers) == 1 and _driven(a) and _driven(b) and isinstance(a, Part) and isinstance(b, Part):
        return f"both go with the {drivers.pop()} pedal"
    return None


def _required(job: Job, a: Part | Unplaced, b: Part | Unplaced) -> tuple[float, str]:
    for i, pair in enumerate(job.require.pairs, start=1):
        if set(pair.between) == {a.name, b.name}:
            return pair.gap.mm, f"job, require.pairs[{i}]: {pair.why}"
    kinds = (a.kind, b.kind)
    soft = any(isinstance(part, Part) and part.soft for part in (a, b))
    if Kind.BOOT in kinds:
        key, trade = "boot", BOOT_MM
    elif any(kind in DRIVEN for kind in kinds):
        key, trade = "pedal", PEDAL_MM
    elif soft:
        key, trade = "soft", SOFT_MM
    else:
        key, trade = "fixed", FIXED_MM
    stated = getattr(job.require, key)
    return (trade, TRADE) if stated is None else (stated.mm, f"job, require.{key}")
