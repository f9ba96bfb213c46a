"""What to check by hand on the car: the three pairs, where the pedals have to be, the block, and what is predicted."""

from collections.abc import Iterator

from fitcheck.clearance.travel import Closest
from fitcheck.confidence.results import Judged, Result
from fitcheck.cuts.pieces import Piece
from fitcheck.limits import NotKnown
from fitcheck.report import words
from fitcheck.report.cuts_words import finished, place_of_mark
from fitcheck.report.shaft_words import step_words
from fitcheck.report.tape import at_least, at_most, near
from fitcheck.verdict import Outcome, Verdict

THREE = 3
ON_THE_LINE_MM = 0.25  # less than the tape shows
BRAKE = "brake"  # in the name of the pedal that a sound circuit holds off its stop
BLEEDER = "bleeder open"
CHECKED = (Result.HITS, Result.UNDER, Result.TOO_CLOSE, Result.CLEAR)


def to_check(verdict: Verdict, most: int = THREE) -> list[Judged]:
    """The worst pairs that a pedal takes part in, then the worst others, each with one place to look at."""
    placed = [entry for entry in verdict.gaps if entry.result in CHECKED and _is_one_place(entry.found.closest)]
    return sorted(placed, key=lambda entry: not _closest(entry).at_travel)[:most]


def between(entry: Judged) -> str:
    """The two places: "motor can, near end - clutch arm"."""
    return f"{_closest(entry).a_where} - {_closest(entry).b_where}"


def pedals(entry: Judged, verdict: Verdict) -> str:
    """Where the pedals have to be, by tape at the pad, and how far a group has moved."""
    show = verdict.opened.job.job.show
    said = [_pedal(name, share, verdict, show) for name, share in _closest(entry).at_travel.items()]
    swayed = words.sways(_closest(entry).at_movement)
    return " and ".join([*said, *filter(None, [swayed])]) or "nothing moves"


def is_brake(pedal: str) -> bool:
    """Whether it is a brake by its name: as far as it goes only with a bleeder open."""
    return BRAKE in pedal.lower()


def presses_brake(entry: Judged) -> bool:
    """Whether the pair is looked at with the brake pressed."""
    return any(is_brake(name) and share > words.A_HAIR for name, share in _closest(entry).at_travel.items())


def block(entry: Judged, verdict: Verdict) -> str:
    """The block that must pass: the required gap, rounded up."""
    return at_least(entry.pair.need.required_mm, verdict.opened.job.job.show)


def predicted(entry: Judged, verdict: Verdict) -> str:
    """What the numbers say is there."""
    gap, show = _closest(entry).gap, verdict.opened.job.job.show
    if gap.gap_mm == 0:
        deep = f", in by at least {at_most(gap.depth_mm, show)}" if gap.depth_mm >= 1 else ""
        return f"they meet{deep}: {entry.result.value}"
    return f"{at_most(gap.bound_mm, show)}, give or take {at_least(entry.spread_mm, show)}: {entry.result.value}"


def round_the_jacket(verdict: Verdict) -> str:
    """Tape round the jacket from its scribed top line to the line the motor points along."""
    mm = verdict.scene.setting.round_jacket_mm
    if abs(mm) < ON_THE_LINE_MM:
        return "on the jacket's top line"
    way = "clockwise" if mm > 0 else "anticlockwise"
    return f"{near(abs(mm), verdict.opened.job.job.show)} {way}, seen from the seat, round the jacket from the top line"


def _pedal(name: str, share: float, verdict: Verdict, show: words.Show) -> str:
    if abs(share) < words.A_HAIR:
        return f"{name} at rest"
    travel = words.travel_of(name, verdict.scene)
    pad, way = near(abs(travel.chord_mm(share)), show), "pressed" if share > 0 else "pulled up"
    bled = f", {BLEEDER}" if is_brake(name) and share > 0 else ""
    if travel.read[0] - words.A_HAIR <= share <= travel.read[1] + words.A_HAIR:
        return f"{name} {way} {pad} at the pad{bled}"
    return f"{name} {way} as far as it goes{bled}: {pad} at the pad, more than was read"


def _is_one_place(closest: Closest | None) -> bool:
    return closest is not None and closest.gap.bracketed


def _closest(entry: Judged) -> Closest:
    assert entry.found.closest is not None
    return entry.found.closest


def cut_rows(verdict: Verdict) -> Iterator[tuple[str, str]]:
    """Letter and name of each piece, and what to do in words; nothing while the job as a whole does not fit."""
    plan, show = verdict.cuts, verdict.opened.job.job.show
    if plan is None or verdict.outcome is not Outcome.FITS:
        return
    for letter, piece in zip("ABCD", plan.planned, strict=False):
        if not isinstance(piece, Piece):
            yield f"{letter} {piece.what}", f"DO NOT CUT: {piece.reason}"
        elif plan.stop(piece):
            yield f"{letter} {piece.name}", f"DO NOT CUT: {plan.stop(piece)}"
        elif piece.state.at_its_end:
            yield f"{letter} {piece.name}", "cut, nothing more to take off"
        elif piece.state.stage == "not cut":
            yield f"{letter} {piece.name}", f"mark {place_of_mark(piece, plan, show)}"
        else:
            yield (
                f"{letter} {piece.name}",
                f"finish to {finished(piece, show)} from the {piece.spec.read_from}, by the trial fit",
            )


def teeth_rows(verdict: Verdict) -> Iterator[str]:
    """Each shaft's phase from its paint mark, both ends told; nothing while the job as a whole does not fit."""
    found = verdict.shaft
    if found is None or isinstance(found.phases, NotKnown) or verdict.outcome is not Outcome.FITS:
        return
    for row in found.phases:
        piece = next(piece for piece in found.shaft.pieces if piece.name == row.piece)
        if row.any_phase:
            yield f"{row.piece}: any phase"
        elif len(row.reach.steps) == 1:
            yield f"{row.piece}: its ends allow one phase only"
        else:
            yield f"{row.piece}: {step_words(row.chosen, piece, row.reach.free)}"
