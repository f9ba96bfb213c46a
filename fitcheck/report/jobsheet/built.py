"""As built: boxes to fill in on the car, the prediction on a fold of its own; and the hold points to sign."""

from collections.abc import Iterator

from fitcheck.job.angles import clock_text
from fitcheck.limits import NotKnown
from fitcheck.report import words
from fitcheck.report.cuts_words import finished
from fitcheck.report.jobsheet.checks import between, pedals, predicted, round_the_jacket, teeth_rows, to_check
from fitcheck.report.paper.flow import Flow
from fitcheck.report.shaft_words import deg
from fitcheck.report.tape import near
from fitcheck.shaft.results import Bend
from fitcheck.verdict import Verdict

CHECKED = 8
ROW_MM, BUILT_MM = 9.5, 8.0
WIDTHS = (42.0, 11.0, 11.0, 10.0, 26.0)
# Common practice, no source. "twice": a second pair of eyes signs as well.
HOLD_POINTS = (
    ("Clocking settled: pedals worked by hand through full travel, boots and carpet on", False),
    ("Mocked up before anything is cut or drilled: finds agree with the numbers", False),
    ("Before the jacket is cut: every mark measured again from its one end", True),
    ("Before the shaft is cut: every mark measured again from its one end", True),
    ("Before the bracket is welded: clocking and place settled on the car", False),
    ("Trial fit: before any last cut, and before any hole or dimple is drilled", False),
    ("Dimples and bolts: after the trial fit, full cone, lock nut, threadlocker", False),
    ("Lock to lock, wheels up and wheels down, engine rocked", False),
    ("Brake on the floor with a bleeder open, a helper watching the hose end", False),
    ("Bleeder closed, brakes bled and tested, before the car moves", False),
    ("Assist off: lock to lock, all of it again", False),
    ("Someone heaving on the wheel, pedals worked meanwhile", False),
    ("Torqued again after the first 100 miles (160 km)", False),
)


def as_built(flow: Flow, verdict: Verdict) -> None:
    """What was found against what was predicted; the predictions stand right of a line to fold back."""
    flow.new_page()  # what folds back must not cover a signature
    flow.heading("As built")
    flow.text(
        "Fold the right-hand column back along its dashed edge before this goes to the car. A find that is off by more "
        "than both spreads, or finds that are all off the same way: stop. The car is right; look for the reading that "
        "is wrong, never average it away."
    )
    head = ("what", "found", "by another hand", "tool, who", "predicted")
    flow.table(WIDTHS, head, list(_rows(verdict)), BUILT_MM, fold=True)


def _rows(verdict: Verdict) -> Iterator[tuple[str, ...]]:
    at, show = verdict.scene.setting, verdict.opened.job.job.show
    yield _row("motor's clock place, from the seat", clock_text(at.clock))
    yield _row("motor's line round the jacket", round_the_jacket(verdict))
    yield _row(f"input face, down from {words.mark(at.from_mark)}", near(at.from_mark_mm, show))
    for entry in to_check(verdict, CHECKED):
        yield _row(f"{between(entry)}; {pedals(entry, verdict)}", predicted(entry, verdict))
    for piece in () if verdict.cuts is None else verdict.cuts.pieces:
        if verdict.cuts is not None and verdict.cuts.stop(piece):
            continue
        yield _row(f"{piece.name}, finished, from the {piece.spec.read_from}", finished(piece, show))
        yield _row(f"{piece.name}: left before the bottom, by clay", near(piece.left.mm, show))
    if verdict.shaft is not None:
        for row in verdict.shaft.joints:
            if isinstance(row.bend, Bend):
                yield _row(f"{row.joint.name}: true angle", deg(row.bend.angle))
        for told in teeth_rows(verdict):
            shaft, _, said = told.partition(": ")
            yield _row(f"{shaft}: tooth used, which yoke, which way, from the paint mark", said)
        for piece_row in verdict.shaft.pieces:
            if not isinstance(piece_row, NotKnown):
                yield _row(f"{piece_row.name}: joint centre to joint centre", near(piece_row.span_mm, show))


def _row(what: str, said: str) -> tuple[str, ...]:
    return what, "", "", "", said


def hold_points(flow: Flow, verdict: Verdict) -> None:
    """Signed one by one; the two cuts by two people."""
    flow.heading("Hold points: stop at each, sign, go on", keep=ROW_MM * (len(HOLD_POINTS) + 1) + 12)
    rows = [
        (str(number), point, "", "" if twice else "one will do") for number, (point, twice) in enumerate(HOLD_POINTS, 1)
    ]
    flow.table((5, 55, 22, 22), ("", "hold point", "signed, date", "second pair of eyes, date"), rows, ROW_MM)
    flow.text(
        "Not welded, not cut, not driven before the point is signed. Welding by a qualified welder only, where the law "
        "and the part allow it.",
        bold=True,
    )
