"""Words for the shaft: phases as teeth from a paint mark, which way and seen from which end; angles with their spread.

A positive phase is clockwise seen from the wheel end, looking toward the rack.
"""

import math
from collections.abc import Iterator, Sequence

from fitcheck.job.angles import clock_text, degrees
from fitcheck.job.shaft_ends import End
from fitcheck.job.shafting import ShaftPiece
from fitcheck.limits import LimitResult, NotKnown, to_do
from fitcheck.shaft.checks import NEARER
from fitcheck.shaft.limits import FINE_DEG, GOOD_DEG, MOST_DEG, WARN_DEG, Grade
from fitcheck.shaft.phases import Step
from fitcheck.shaft.results import Bend, Evenness, PhaseRow, ShaftChapter

MARKS = {
    LimitResult.OUTSIDE: "X",
    LimitResult.NOT_KNOWN: "?",
    LimitResult.TOO_CLOSE: "~",
    LimitResult.KEEPS: "+",
}
GRADES = {Grade.GOOD: "good", Grade.FINE: "usable", Grade.WARN: "steep", Grade.NO: "too steep"}
GRADES_SAID = (
    f"good to {GOOD_DEG:g} deg, usable to {FINE_DEG:g}, steep to {WARN_DEG:g}; steeper, to {MOST_DEG:g}, only by the "
    "joint's own data, never beyond; a double joint twice that; common practice"
)
SAID_PCT = 10.0  # of ripple that no phase takes away: strong, so that the angles are worth changing
EVEN_PCT = 1.0  # under this of ripple nobody feels which way the first yoke stands


def deg(rad: float) -> str:
    """An angle to a tenth of a degree."""
    return f"{degrees(rad):.1f} deg"


def give_or_take(rad: float) -> str:
    """Give or take of an angle, rounded up to a tenth of a degree."""
    return f"give or take {math.ceil(degrees(rad) * 10 - 1e-9) / 10:g} deg"


def lacking(missing: NotKnown) -> str:
    """What a result waits for, and under which key it is written."""
    return f"not known: {to_do(missing.measure)} (key: {', '.join(missing.keys)})"


def pct(share: float) -> str:
    """Ripple to a tenth of a per cent."""
    return f"{share:.1f} %"


def set_on_car(found: ShaftChapter) -> str:
    """How many lengths the work settles by hand, not the readings; empty where none."""
    many = len({check.key.removesuffix("_cut") for check in found.set_on_car})
    return f"{many} {'length' if many == 1 else 'lengths'} to set on the car" if many else ""


def turn_words(rad: float) -> str:
    """A turn with its way, both ends told: "30 deg anticlockwise seen from the wheel end"."""
    if abs(degrees(rad)) < 0.05:
        return "in line"
    way = "clockwise" if rad > 0 else "anticlockwise"
    return f"{abs(degrees(rad)):.1f} deg {way} seen from the wheel end"


def stands_words(rad: float, row: PhaseRow) -> str:
    """How the yokes of a shaft stand, told of the one that is moved, so that teeth and degrees go the same way."""
    if abs(degrees(rad)) < 0.05:
        return "both yokes in line"
    mover, other = ("wheel", "rack") if moves_wheel_end(row) else ("rack", "wheel")
    return f"the {mover}-end yoke {stands_short(rad, row)} of the {other}-end yoke, seen from the wheel end"


def stands_short(rad: float, row: PhaseRow) -> str:
    """The same where the yokes were named before."""
    turn = -rad if moves_wheel_end(row) else rad
    if abs(degrees(turn)) < 0.05:
        return "in line"
    return f"{abs(degrees(turn)):.1f} deg {'clockwise' if turn > 0 else 'anticlockwise'}"


def moves_wheel_end(row: PhaseRow) -> bool:
    """Whether the wheel-end yoke alone is moved from the paint mark, or by its neighbours would be."""
    steps = (row.chosen, *(step for step, _ in row.neighbours))
    return any(step.wheel_teeth for step in steps) and not any(step.rack_teeth for step in steps)


def step_words(step: Step, piece: ShaftPiece, free: bool) -> str:
    """What to do with the yokes of a shaft from the paint mark, in words a person under the car can follow."""
    if free:
        return f"weld-on, by a qualified welder: rack-end yoke {turn_words(step.phase)} of the wheel-end yoke"
    moves = [
        f"move the {end} yoke {_count(teeth, kind)} {_way(teeth)}"
        for end, teeth, kind in (
            ("rack-end", step.rack_teeth, piece.rack_end),
            ("wheel-end", step.wheel_teeth, piece.wheel_end),
        )
        if teeth != 0
    ]
    return " and ".join(moves) or "leave both yokes as the paint mark has them"


def phase_words(found: ShaftChapter, row: PhaseRow) -> str:
    """What to do about one shaft's phase: which yoke, how many teeth, which way, seen from which end."""
    piece = next(piece for piece in found.shaft.pieces if piece.name == row.piece)
    if row.any_phase:
        return "any phase"
    if len(row.reach.steps) == 1:
        return f"its ends allow no other phase than {stands_words(row.chosen.phase, row)}"
    lead = "" if row.reach.free else "from the paint mark, "
    return f"{lead}{step_words(row.chosen, piece, row.reach.free)}"


def cure_lines(found: ShaftChapter, rows: Sequence[PhaseRow], even: Evenness) -> Iterator[str]:
    """One plain statement of ripple that these ends, or these angles, cannot be rid of, and what would."""
    held = [row for row in rows if len(row.reach.steps) == 1 and not row.any_phase]
    if even.remedies:
        ways = "; or ".join(f"{words}: {pct(left)} left" for words, left in even.remedies)
        why = "; ".join(
            f"the ends of the {row.piece} hold {stands_words(row.chosen.phase, row)}, and it wants "
            f"{stands_words(row.best, row)}"
            for row in held
        )
        because = why or "no tooth of these ends comes near the best phase"
        yield f"the {pct(even.ripple_pct)} cannot be taken away as the ends are: {because}. What would: {ways}"
    if even.least_pct > SAID_PCT:
        named = " and ".join(
            f"{row.joint.name} {deg(row.bend.angle)}" for row in found.joints if isinstance(row.bend, Bend)
        )
        yield f"{pct(even.least_pct)} stays whatever the phase, by the angles themselves ({named}): {NEARER}"


def _count(teeth: int, end: End | None) -> str:
    if end is None or end.kind != "spline":
        return "half a turn"
    return f"{abs(teeth)} {'tooth' if abs(teeth) == 1 else 'teeth'} of {end.teeth}"


def _way(teeth: int) -> str:
    one, other = ("clockwise", "anticlockwise") if teeth > 0 else ("anticlockwise", "clockwise")
    return f"{one} seen from the wheel end ({other} seen from the rack end)"


def tooth_by_tooth(row: PhaseRow) -> str:
    """The ripple that the chosen tooth and its neighbours leave: in teeth where one yoke alone moves, else by phase."""
    wheel = [step.wheel_teeth for step, _ in row.neighbours]
    rack = [step.rack_teeth for step, _ in row.neighbours]
    if any(wheel) and any(rack):
        steps = ", ".join(f"{turn_words(step.phase)} {pct(left)}" for step, left in row.neighbours)
        return f"phase by phase, the ripple it leaves: {steps}"
    end, counts = ("wheel-end", wheel) if any(wheel) else ("rack-end", rack)
    lefts = sorted(zip(counts, (left for _, left in row.neighbours), strict=True))
    steps = ", ".join(f"{_moved_by(count)} {pct(left)}" for count, left in lefts)
    return f"tooth by tooth, the ripple it leaves ({end} yoke, seen from the wheel end): {steps}"


def _moved_by(count: int) -> str:
    if count == 0:
        return "as marked"
    teeth = f"{abs(count)} {'tooth' if abs(count) == 1 else 'teeth'}"
    return f"{teeth} {'clockwise' if count > 0 else 'anticlockwise'}"


def how_far_off(row: PhaseRow) -> float:
    """How far the chosen phase is from the best, rad, the short way."""
    return float((row.chosen.phase - row.best + math.pi / 2) % math.pi - math.pi / 2)


def straight_ahead(even: Evenness) -> str:
    """Where the first yoke belongs with the road wheels straight ahead."""
    if even.ripple_pct < EVEN_PCT:
        return "straight ahead: any tooth on the column; there is no ripple left to place"
    one, other = clock_text(even.light_clock), clock_text(even.light_clock + math.pi)
    heavy = f"{clock_text(even.light_clock + math.pi / 2)} and {clock_text(even.light_clock - math.pi / 2)}"
    return (
        f"straight ahead: the upper joint's wheel-side yoke with its arms at {one} and {other} seen from the seat "
        f"feels the same to both sides and lightest in the middle; at {heavy} heaviest in the middle"
    )
