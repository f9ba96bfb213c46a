"""The shaft's chapter as plain text: angles, phase in teeth, lengths, limits, room; and why two joints do not do."""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from math import inf, isfinite
from textwrap import wrap

from fitcheck.confidence.results import Judged, Result
from fitcheck.limits import LimitResult, NotKnown
from fitcheck.report import words
from fitcheck.report.rows import WIDTH, bulleted, hung, label, paragraph
from fitcheck.report.shaft_parts_text import length_lines, strength_lines
from fitcheck.report.shaft_words import (
    GRADES,
    GRADES_SAID,
    MARKS,
    cure_lines,
    deg,
    give_or_take,
    how_far_off,
    lacking,
    pct,
    phase_words,
    set_on_car,
    stands_short,
    stands_words,
    straight_ahead,
    tooth_by_tooth,
)
from fitcheck.shaft.limits import ripple_word
from fitcheck.shaft.results import Check, Evenness, JointRow, PhaseRow, ShaftChapter

CLEAR_SHOWN = 5
PHASE, LENGTHS = TO_MAKE = "Phase and ripple", "Lengths, wheel to rack"
NARROW_MM = 6.0  # of a band: an eighth each side
SET_BY_HAND = "To be set on the car, not judged: by the readings it is right, but the tape is too coarse to prove it"
Rounded = Callable[[float, words.Show], str]
_JUDGED = (Result.HITS, Result.UNDER, Result.NOT_KNOWN, Result.TOO_CLOSE, Result.CLEAR)
CAUTIONS = (
    "Positive retention on every joint: a screw in its dimple with lock nut and threadlocker, or a bolt; "
    "never friction alone.",
    "Welding on steering parts only where the law and the part allow it, and by a qualified welder.",
    "Turn it lock to lock by hand with the wheels up and down, the engine rocked, before the car moves.",
)


def shaft_text(
    found: ShaftChapter,
    gaps: Sequence[Judged],
    head: list[str],
    show: words.Show,
    proposal_gaps: Sequence[Judged] = (),
    width: int = WIDTH,
) -> str:
    """The whole chapter under `head`, lines that say whose job it is. `gaps`: the shaft's own, judged."""
    blocks = [head, *_blocks(found, gaps, show, width)]
    if found.why_not:
        blocks.append(bulleted("Two joints do not do", found.why_not, width))
    if isinstance(found.proposal, NotKnown):
        blocks.append(bulleted("Three joints and a support bearing", [lacking(found.proposal)], width))
    elif found.proposal is not None:
        blocks.append([line for text in _proposed(found.proposal, show) for line in paragraph(text, width)])
        blocks += _blocks(found.proposal, proposal_gaps, show, width)
    blocks.append(bulleted("Worked with", found.remarks, width))
    blocks.append(bulleted("Cautions", [*words.CAUTIONS[:3], *CAUTIONS], width))
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def shaft_rows(found: ShaftChapter, show: words.Show, width: int = WIDTH) -> list[str]:
    """The chapter in short, for the whole verdict: angles, ripple, and every limit that does not keep."""
    rows = wrap(
        f"Intermediate shaft: {found.result.value}; all of it is in: fitcheck shaft", width, subsequent_indent="  "
    )
    for joint in found.joints:
        rows += hung(*_joint(joint), width)
    if not isinstance(found.evenness, NotKnown) and not isinstance(found.phases, NotKnown):
        for row in found.phases:
            rows += hung("", [f"{row.piece}: {phase_words(found, row)}"], width)
    for check in worst_first(found.judged):
        if check.result is not LimitResult.KEEPS:
            rows += hung(_label(check.result), [_check(check, show)], width)
    rows += [] if not found.set_on_car else hung("", [set_on_car(found)], width)
    for lack in found.no_room_known:
        rows += hung(_label(lack.result), [f"{lack.what}: {lacking(lack)}"], width)
    return rows


def _blocks(found: ShaftChapter, gaps: Sequence[Judged], show: words.Show, width: int) -> list[list[str]]:
    return [
        paragraph(headline(found, gaps), width),
        _joints(found, width),
        _phases(found, width),
        bulleted(LENGTHS, list(length_lines(found, show)), width),
        _limits(found, show, width),
        bulleted(SET_BY_HAND, [_check(check, show) for check in found.set_on_car], width),
        _room(found, gaps, show, width),
        bulleted("Strength: a check, not an approval", list(strength_lines(found.strength)), width),
    ]


def headline(found: ShaftChapter, gaps: Sequence[Judged]) -> str:
    """The result of the limits, what is left to be set on the car, and how the gaps stand."""
    counted = Counter(entry.result for entry in gaps if entry.result in _JUDGED)
    counts = ", ".join(f"{counted[result]} {result.value}" for result in Result if counted[result])
    own = [f"its gaps: {counts}"] if counts else []
    by_hand = set_on_car(found)
    return f"SHAFT: {'; '.join([found.result.value, *([by_hand] if by_hand else []), *own])}."


def _proposed(found: ShaftChapter, show: words.Show) -> Iterator[str]:
    keeps = found.result is not LimitResult.OUTSIDE
    yield (
        "PROPOSED: three joints and a support bearing, checked the same way"
        if keeps
        else "NOTHING PROPOSED: no three joints with a bearing in the room given keep their limits; the best fails:"
    )
    if isinstance(found.line, NotKnown) or found.bearing is None:
        yield "  no place in the room given lets all three joints turn; give more room for the bearing, or move it"
        return
    yield f"  middle joint's centre {_place(found.line.centres[1].tolist(), show)}"
    yield f"  support bearing's middle {_place(found.bearing.tolist(), show)}"


def _place(point: Sequence[float], show: words.Show) -> str:
    ways = (("back", "forward"), ("right", "left"), ("up", "down"))
    said = [
        f"{words.size(abs(at), show)} {way if at >= 0 else other}" for (way, other), at in zip(ways, point, strict=True)
    ]
    return ", ".join(said)


def _joints(found: ShaftChapter, width: int) -> list[str]:
    rows = bulleted("Joints: true angles", [GRADES_SAID], width)
    for joint in found.joints:
        rows += hung(*_joint(joint), width)
    return rows


def _joint(row: JointRow) -> tuple[str, list[str]]:
    bend = row.bend
    if isinstance(bend, NotKnown):
        return _label(LimitResult.NOT_KNOWN), [f"{row.joint.name}: {lacking(bend)}"]
    more = "" if bend.largest <= bend.angle else f"; largest {deg(bend.largest)}, {bend.largest_when}"
    said = (
        f"{row.joint.name}: {deg(bend.angle)}, {give_or_take(bend.spread.most)}{more}; {GRADES[bend.grade]}; "
        f"{bend.limit_deg:g} deg allowed ({bend.limit_from})"
    )
    return _label(bend.result), [said]


def _phases(found: ShaftChapter, width: int) -> list[str]:
    even, rows = found.evenness, found.phases
    if isinstance(even, NotKnown) or isinstance(rows, NotKnown):
        waits = even if isinstance(even, NotKnown) else rows
        assert isinstance(waits, NotKnown)
        return bulleted(PHASE, [lacking(waits)], width)
    said = [text for row in rows for text in _phase(found, row)]
    return bulleted(PHASE, [*said, *_even(even), *cure_lines(found, rows, even)], width)


def _phase(found: ShaftChapter, row: PhaseRow) -> Iterator[str]:
    if row.any_phase:
        yield f"{row.piece}: any phase; a straight joint has no plane, so it makes no difference"
        return
    off = deg(abs(how_far_off(row)))
    yield f"{row.piece}: {phase_words(found, row)}"
    yield (
        f"{row.piece}: then {stands_words(row.chosen.phase, row)}; the best, {stands_short(row.best, row)}, "
        f"{give_or_take(row.best_spread.most)} by the readings, is {off} from that"
    )
    if len(row.neighbours) != 1:
        mark = "a weld" if row.reach.free else "a paint mark"
        yield f"{row.piece}: {mark} {deg(row.mark_error)} off leaves up to {pct(row.mark_ripple_pct)} of ripple"
    if len(row.neighbours) > 1:
        yield f"{row.piece}: {tooth_by_tooth(row)}"


def _even(even: Evenness) -> Iterator[str]:
    yield (
        f"ripple {pct(even.ripple_pct)} of speed, most less least, twice a turn ({ripple_word(even.ripple_pct)}), "
        f"give or take {pct(even.spread.most)}; all yokes in line {pct(even.in_line_pct)}, at the best phase "
        f"{pct(even.least_pct)}"
    )
    yield f"lead/lag: the far end runs up to {deg(even.lead)} ahead and behind, a different thing from ripple"
    if even.worst_pct > even.ripple_pct + 0.05:
        yield f"at its worst {pct(even.worst_pct)}, {even.worst_when}"
    yield straight_ahead(even)


def _limits(found: ShaftChapter, show: words.Show, width: int) -> list[str]:
    rows = ["Limits"] if found.judged else []
    for check in worst_first(found.judged):
        rows += hung(_label(check.result), [_check(check, show)], width)
    return rows


def _check(check: Check, show: words.Show) -> str:
    if check.missing is not None:
        return f"{check.what}: {lacking(check.missing)}"
    parts = [check.what]
    if isfinite(check.low) or isfinite(check.high):
        least = f"at least {_value(check.low, check, show, words.need)}" if isfinite(check.low) else ""
        most = f"at most {_value(check.high, check, show, words.room)}" if isfinite(check.high) else ""
        allowed = ", ".join(text for text in (least, most) if text)
        value = _value(check.value, check, show, _cautious(check))
        parts = [f"{check.what}: {value}, {_spread(check)}; {allowed}"]
    return "; ".join([*parts, check.note]) if check.note else parts[0]


def worst_first(checks: Sequence[Check]) -> list[Check]:
    """The limits with what stands in the way at the head."""
    return sorted(checks, key=lambda check: list(LimitResult).index(check.result))


def _cautious(check: Check) -> Rounded:
    """A figure that must be more is rounded down, one that must be less up, one between two ends to the nearest."""
    if isfinite(check.low) and isfinite(check.high):
        return words.size
    return words.room if isfinite(check.low) else words.need


def _value(value: float, check: Check, show: words.Show, rounded: Rounded = words.size) -> str:
    """A figure of a limit; the ends of a band are rounded into it, and one too narrow for the tape is told in mm."""
    if check.unit != "mm":
        return f"{value:.1f} {check.unit}"
    return rounded(value, "mm" if abs(check.high - check.low) < NARROW_MM else show)


def _spread(check: Check) -> str:
    return words.spread(check.spread) if check.unit == "mm" else f"give or take {check.spread:.1f} {check.unit}"


def _room(found: ShaftChapter, gaps: Sequence[Judged], show: words.Show, width: int) -> list[str]:
    judged = [entry for entry in gaps if entry.result not in (Result.JOINED, Result.AS_BEFORE)]
    rows = ["Room round it, worst first"] if judged or found.no_room_known else []
    for lack in found.no_room_known:
        rows += hung(_label(lack.result), [f"{lack.what}: {lacking(lack)}"], width)
    clear = [entry for entry in judged if entry.result is Result.CLEAR]
    far = sorted(clear, key=_nearness)[CLEAR_SHOWN:]
    for entry in judged:
        if entry not in far:
            rows += hung(label(words.MARKS[entry.result], entry.result.value), [_gap(entry, show)], width)
    if far:
        rows.append(f"  and {len(far)} more, all clear and farther off")
    joined = [f"{words.names(entry)} ({entry.reason})" for entry in gaps if entry.result is Result.JOINED]
    said = f"  Meant to touch, not judged: {'; '.join(joined)}."
    return [*rows, *wrap(said, width, subsequent_indent="    ")] if joined else rows


def _nearness(entry: Judged) -> float:
    return inf if entry.found.closest is None else entry.found.closest.gap.bound_mm


def _gap(entry: Judged, show: words.Show) -> str:
    closest, need = entry.found.closest, entry.pair.need
    if closest is None:
        return f"{words.names(entry)}: {entry.reason}"
    when = f", {need.reason}" if need.reason else ""
    if closest.gap.gap_mm == 0:
        return f"{closest.a_where} - {entry.pair.b.name}{when}: in by at least {words.room(closest.gap.depth_mm, show)}"
    gap = f"gap {words.room(closest.gap.bound_mm, show)}, {words.spread(entry.spread_mm)}"
    shield = "; a heat shield" if need.reason and closest.gap.bound_mm < 40.0 else ""
    return (
        f"{closest.a_where} - {entry.pair.b.name}{when}: {gap}; required {words.need(need.required_mm, show)} "
        f"({need.required_from}){shield}{_chance(entry)}"
    )


def _chance(entry: Judged) -> str:
    """How likely it is to be less than required, and how that was got; nothing where it is clear."""
    if entry.result not in (Result.UNDER, Result.TOO_CLOSE):
        return ""
    how = "its give or take alone" if entry.drawn is None else f"{entry.drawn.draws:,} draws of all readings"
    return f"; chance of less: {words.chance(entry.chance_under)}, by {how}"


def _label(result: LimitResult) -> str:
    return label(MARKS[result], result.value)
