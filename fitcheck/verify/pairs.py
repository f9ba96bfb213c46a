"""Who has to be judged against whom, and with what gap, as the job's own text says; and what a pair's proof shows.

Required gaps that the job does not state are the trade's: 16 pedal or linkage, 25 boot, 6 fixed, 10 loom or pipe, 3
the unit to its own bracket, mm (common practice, no source). A scan is beyond this form: its pairs stay uncovered.
"""

from dataclasses import dataclass
from itertools import combinations
from typing import Any

from fitcheck.verify.bodies import Part, Phase
from fitcheck.verify.bounds import cover_bound, witness_gap
from fitcheck.verify.carried import against as carried
from fitcheck.verify.form import Refused
from fitcheck.verify.readings import Readings

TRADE_MM = {"boot": 25.0, "pedal": 16.0, "soft": 10.0, "fixed": 6.0}
DRIVEN = {"pedal", "linkage"}
SAME_BRACKET_MM = 3.0
ON_THE_COLUMN = {"column", "unit", "bracket"}
MEET_MM = 1e-6
Table = dict[str, Any]


@dataclass(frozen=True)
class Role:
    """What the job says of a part: its kind, whether this job puts or alters it, and what it may touch.

    `bolted` names pieces of it that do not count against the bracket; `scan` says that it counts by its triangles.
    """

    name: str
    kind: str
    new: bool = False
    soft: bool = False
    keep_out: bool = False
    joined: frozenset[str] = frozenset()
    driven_by: str = ""
    bolted: frozenset[str] = frozenset()
    scan: bool = False


@dataclass(frozen=True)
class Shown:
    """What is shown of a pair: the least the gap is, the most, and the word for it; or why it is not judged."""

    a: str
    b: str
    kind: str
    reason: str = ""
    bound_mm: float = 0.0
    witness_mm: float = 0.0
    required_mm: float = 0.0
    result: str = ""


def roles(job: Table) -> dict[str, Role]:
    """All parts of the job by name. KeyError, TypeError where the text is no job."""
    bolted = frozenset(job.get("bracket", {}).get("bolts_to", []))
    listed = [
        Role("column", "column"),
        Role("unit", "unit", new=True, joined=frozenset({"column"}), bolted=bolted),
    ]
    if "bracket" in job:
        listed.append(Role("bracket", "bracket", new=True, joined=frozenset(_joined(job["bracket"]) | {"column"})))
    listed += [Role(shaft["name"], "pivot shaft") for shaft in job.get("pivot_shafts", [])]
    for pedal in job.get("pedals", []):
        hangs = {pedal["pivot_shaft"]} if "pivot_shaft" in pedal else set()
        joined, altered, name = frozenset(_joined(pedal) | hangs), pedal.get("altered", False), pedal["name"]
        listed.append(Role(name, "pedal", new=altered, joined=joined, driven_by=name))
    for link in job.get("linkages", []):
        joined = frozenset(_joined(link) | {link["driven_by"]})
        listed.append(Role(link["name"], "linkage", joined=joined, driven_by=link["driven_by"]))
    for boot in job.get("driver", {}).get("boots", []):
        listed.append(Role(f"boot on {boot['on']}", "boot", joined=frozenset({boot["on"]}), driven_by=boot["on"]))
    for thing in job.get("obstacles", []):
        flags = {key: thing.get(key, False) for key in ("new", "soft", "keep_out")}
        scan = thing["shape"].get("take_as") == "scan"
        listed.append(Role(thing["name"], "obstacle", **flags, joined=frozenset(_joined(thing)), scan=scan))
    return {role.name: role for role in listed}


def _joined(table: Table) -> set[str]:
    return set(table.get("joined", []))


def treatment(a: Role, b: Role, placed: dict[str, Part]) -> str:
    """How a pair is treated: judged, joined (meant to touch), as before, or not looked at."""
    if a.kind == b.kind == "boot":
        return "not looked at"
    driven = [role for role in (a, b) if role.kind in DRIVEN | {"boot"}]
    touching = any(one.name in placed and other.name in one.joined for one, other in ((a, b), (b, a)))
    together = len(driven) == 2 and a.driven_by == b.driven_by and a.name in placed and b.name in placed
    clamped = "column" in (a.kind, b.kind) and {a.kind, b.kind} <= ON_THE_COLUMN
    if clamped or touching or together:
        return "joined"
    if not (a.new or b.new):
        return "as before" if driven or "column" in (a.kind, b.kind) else "not looked at"
    return "judged"


def required_mm(a: Role, b: Role, placed: dict[str, Part], readings: Readings) -> float:
    """The gap the pair must keep: the job's for the pair, 0 to keep-out room, the job's for its kind, the trade's."""
    for i, entry in enumerate(readings.at("require", "pairs") or []):
        if set(entry["between"]) == {a.name, b.name}:
            return readings.need("require", "pairs", i, "gap")
    kinds = {a.kind, b.kind}
    if any(role.keep_out and role.name in placed for role in (a, b)):
        return 0.0
    if kinds == {"unit", "bracket"}:
        return SAME_BRACKET_MM
    soft = any(role.soft and role.name in placed for role in (a, b))
    kind = "boot" if "boot" in kinds else "pedal" if kinds & DRIVEN else "soft" if soft else "fixed"
    stated = readings.mm("require", kind)
    return TRADE_MM[kind] if stated is None else stated


def every_pair(pairs: list[Table], known: dict[str, Role], placed: dict[str, Part], readings: Readings) -> list[Shown]:
    """What is shown of each unordered pair of parts; Refused where one is left out, there twice, or shown wrongly."""
    shown: dict[frozenset[str], Shown] = {}
    for i, pair in enumerate(pairs):
        where, names = f"pairs[{i}] {pair['a']} - {pair['b']}", frozenset((pair["a"], pair["b"]))
        if len(names) != 2 or not names <= set(known) or names in shown:
            raise Refused(f"{where}: no pair of two parts of the job, or there twice")
        shown[names] = _one_pair(pair, known, placed, readings, where)
    for names in map(frozenset, combinations(known, 2)):
        if names not in shown:
            raise Refused(f"pairs: {' - '.join(sorted(names))} is not there")
    return list(shown.values())


def _one_pair(pair: Table, known: dict[str, Role], placed: dict[str, Part], readings: Readings, where: str) -> Shown:
    a, b = known[pair["a"]], known[pair["b"]]
    kind = treatment(a, b, placed)
    if kind == "judged" and not {a.name, b.name} <= set(placed):
        kind = "not known"
    if kind == "judged" and (a.scan or b.scan):
        kind = "not covered"
    if pair["kind"] != kind:
        raise Refused(f"{where}: by the job it is {kind}, not {pair['kind']}")
    if kind not in ("judged", "not known", "not covered"):
        return Shown(a.name, b.name, kind, pair["reason"])
    required = required_mm(a, b, placed, readings)
    if not abs(required - pair["required_mm"]) <= 1e-9:
        raise Refused(f"{where}: {required:g} mm are required, not {pair['required_mm']:g}")
    if kind != "judged":
        return Shown(a.name, b.name, kind, pair["reason"], required_mm=required)
    return _judged(pair, (a, b), placed, required, where)


def _judged(pair: Table, roles: tuple[Role, Role], placed: dict[str, Part], required: float, where: str) -> Shown:
    (a, b), (one, other) = roles, (placed[roles[0].name], placed[roles[1].name])
    a_phases, b_phases = counted(one, a, other, b), counted(other, b, one, a)
    witness = witness_gap(a_phases, b_phases, pair["witness"], f"{where}: witness")
    if witness <= MEET_MM:
        bound, result = 0.0, "hits"
        if pair["covers"]:
            raise Refused(f"{where}: parts that meet need no leaves")
    else:
        bound = _bound(pair["covers"], a_phases, b_phases, where)
        result = "keeps" if bound >= required else "under"
        if not witness >= bound:
            raise Refused(f"{where}: the witness is nearer than the bound; one of the two is wrong")
    if result != pair["result"]:
        raise Refused(f"{where}: what is shown is {result!r}, not {pair['result']!r}")
    return Shown(a.name, b.name, "judged", "", bound, witness, required, result)


def counted(part: Part, role: Role, other: Part, against: Role) -> list[Phase]:
    """The part's phases as they count against another part.

    Pulled with the wheel against what feet move, carried by its groups, less what the bracket is bolted to.
    """
    phases = carried(part, other, part.pulled if against.kind in DRIVEN | {"boot"} else part.phases)
    if not (role.bolted and against.kind == "bracket"):
        return phases
    kept = []
    for table, (moves, sets) in zip(part.table["phases"], phases, strict=True):
        names = [piece["name"] for piece in table["pieces"]]
        kept.append((moves, [points for name, points in zip(names, sets, strict=True) if name not in role.bolted]))
    return [phase for phase in kept if phase[1]]


def _bound(covers: list[Table], a_phases: list[Phase], b_phases: list[Phase], where: str) -> float:
    bounds: dict[tuple[int, int], float] = {}
    for i, cover in enumerate(covers):
        here, phases = f"{where}: covers[{i}]", (cover["a_phase"], cover["b_phase"])
        if not (0 <= phases[0] < len(a_phases) and 0 <= phases[1] < len(b_phases)) or phases in bounds:
            raise Refused(f"{here}: no such phases, or there twice")
        bounds[phases] = cover_bound(a_phases[phases[0]], b_phases[phases[1]], cover["leaves"], here)
    if len(bounds) < len(a_phases) * len(b_phases):
        raise Refused(f"{where}: a phase of one part is not covered against one of the other")
    return min(bounds.values())
