"""Numbers and places in words, as people on the floor read them. Gaps are rounded down, needs up."""

import math
from typing import Literal

from fitcheck.confidence.results import Judged, Result
from fitcheck.job.angles import clock_text
from fitcheck.job.lengths import inches_text, round_down_32, round_up_32
from fitcheck.limits import LimitResult
from fitcheck.placement.scene import Scene, Travel
from fitcheck.report.tape import set_at
from fitcheck.verdict import Outcome, Verdict

Show = Literal["in", "mm"]
MARKS = {
    Result.HITS: "X",
    Result.UNDER: "!",
    Result.NOT_KNOWN: "?",
    Result.TOO_CLOSE: "~",
    Result.CLEAR: "+",
    Result.AS_BEFORE: "=",
    Result.JOINED: "o",
}


def down_mm(mm: float) -> float:
    """Rounded down to a tenth of a millimetre."""
    return math.floor(mm * 10) / 10


def size(mm: float, show: Show) -> str:
    """A length, nearest: "5/8 in (16 mm)" or "16 mm"."""
    plain = f"{round(mm, 1):g} mm"
    return plain if show == "mm" else f"{inches_text(mm)} ({plain})"


def room(mm: float, show: Show) -> str:
    """A gap, rounded down in both units."""
    plain = f"{down_mm(mm):g} mm"
    return plain if show == "mm" else f"{inches_text(round_down_32(mm))} ({plain})"


def need(mm: float, show: Show) -> str:
    """A length that must be there at least, rounded up in both units: "1 in (25 mm)"."""
    plain = f"{math.ceil(mm * 10 - 1e-9) / 10:g} mm"
    return plain if show == "mm" else f"{inches_text(round_up_32(mm))} ({plain})"


def outcome(verdict: Verdict) -> str:
    """Result of the job: what fits, fits as far as it was looked at."""
    said = verdict.outcome.value
    return f"{said}, as far as looked at" if verdict.outcome is Outcome.FITS and verdict.not_yet else said


def spread(mm: float) -> str:
    """Give or take, rounded up to a tenth."""
    return f"give or take {math.ceil(mm * 10 - 1e-9) / 10:g} mm"


def chance(share: float) -> str:
    """A chance in per cent; the ends are never called certain."""
    if share < 0.001:
        return "under 0.1 %"
    return "over 99.9 %" if share > 0.999 else f"{100 * share:.1f} %"


BEYOND = ", farther than measured"  # there because the readings may be off
A_HAIR = 0.005  # of travel: too little to tell from none


def travel(shares: dict[str, float], scene: Scene, show: Show) -> str:
    """At which travel: "at 72 % of clutch travel (4 1/8 in at the pad)"; empty where nothing moves."""
    return " and ".join(f"at {one_travel(pedal, share, scene, show)}" for pedal, share in shares.items())


def one_travel(pedal: str, share: float, scene: Scene, show: Show) -> str:
    """One pedal's travel with the tape's chord at its pad, and whether it is farther than was measured."""
    told = travel_of(pedal, scene)
    if -A_HAIR <= share < A_HAIR:
        return f"{pedal} at rest"
    beyond = not told.read[0] - A_HAIR <= share <= told.read[1] + A_HAIR
    pad = f"{set_at(abs(told.chord_mm(share)), show)} at the pad{BEYOND if beyond else ''}"
    return f"{pedal} pulled up by hand ({pad})" if share < 0 else f"{share:.0%} of {pedal} travel ({pad})"


SWAYS = {
    "engine rock": ("the engine", "rocked {}, right side up", "rocked {}, left side up"),
    "column tilt": ("the column", "tilted {} up", "tilted {} down"),
    "column reach": ("the column", "pulled {} out", "pushed {} in"),
    "boot lifted": ("the boot", "lifted {}", ""),
    "boot crossing": ("the boot", "{} across", ""),
    "way out": ("the unit", "{} along its move", ""),
}
NOT_MOVED = {
    "boot lifted": "on its pad",
    "boot crossing": "setting out",
    "way out": "where its move begins",
}  # other than "as measured"


def sways(at: dict[str, float]) -> str:
    """How far whole groups have moved: "with the engine rocked 80%, right side up"; empty where none moves."""
    said: dict[str, list[str]] = {}
    for name, share in at.items():
        what, one_way, other_way = SWAYS[name]
        way = one_way if share > 0 else other_way
        far = "fully" if abs(abs(share) - 1) < A_HAIR else f"{abs(share):.0%}"
        moved = way.format(far) if abs(share) >= A_HAIR else NOT_MOVED.get(name)
        said.setdefault(what, []).extend([] if moved is None else [moved])
    return " and ".join(f"with {what} {' and '.join(ways) or 'as measured'}" for what, ways in said.items())


def not_judged(scene: Scene) -> str:
    """Which parts nobody has looked at, as a reading of theirs is missing; empty where there is none."""
    parts = scene.unplaced
    keys = dict.fromkeys(key for part in parts for key in part.keys)
    return f"{', '.join(part.name for part in parts)} not judged: {', '.join(keys)} missing" if parts else ""


def open_still(verdict: Verdict) -> str:
    """What gaps at one place alone would hide: parts nobody has measured, odd readings, a shaft that does not keep."""
    shaft, unjudged = verdict.shaft, not_judged(verdict.scene)
    said = [f"as far as measured; {unjudged}"] if unjudged else []
    said += [f"{odd.key} looks odd, measure it again" for odd in verdict.odd]
    if shaft is not None and shaft.result is not LimitResult.KEEPS:
        said.append(f"intermediate shaft from the job's own place: {shaft.result.value}")
    return f"NOT SETTLED: {'; '.join(said)}." if said else ""


def travel_of(pedal: str, scene: Scene) -> Travel:
    """How a pedal's movement reads as travel."""
    travels = (phase.travel for part in scene.parts for phase in part.phases)
    return next(travel for travel in travels if travel is not None and travel.pedal == pedal)


def clock_both(clock: float) -> str:
    """A clock angle as seen from the seat, and as seen lying under the column looking up it."""
    return f"{clock_text(clock)} seen from the seat ({clock_text(-clock)} seen lying under it)"


def mark(name: str) -> str:
    """A mark's name as words: "hub seat"."""
    return name.replace("_", " ")


def names(entry: Judged) -> str:
    """Names of the pair."""
    return f"{entry.pair.a.name} - {entry.pair.b.name}"


CAUTIONS = (
    "This is a geometric aid, not an approval. It knows only what was measured; it cannot see flex, castings or play.",
    "Measure again before cutting, with a second pair of eyes. Metal is cut once.",
    "Whoever does the work decides, with the local inspection or a licensed engineer; local law comes first.",
    "Welding on steering parts only where the law and the part allow it, and by a qualified welder.",
    "An energy-absorbing column that is cut or clamped in its collapsing zone no longer protects.",
    "Every joint needs positive retention; friction alone is none.",
    "On the car, before it moves: lock to lock; every pedal through full travel, boots on; the brake on the floor with "
    "a circuit open; someone heaving on the wheel; and all of it again with the assist off.",
)
