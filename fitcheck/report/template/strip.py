"""Strips to wrap round a tube, printed side out: cut line square or mitred, clock marks, ticks along. mm.

x runs round the tube with the clock, 12 o'clock in the middle and the join at 6; y runs along it, away from the wheel.
Round a tube of diameter d a paper t thick has the length pi (d + t): it is bent about its own middle.
"""

from dataclasses import dataclass, replace
from math import cos, pi, tan
from textwrap import wrap
from typing import Literal

from fitcheck.cuts.firewall import Opening
from fitcheck.cuts.pieces import Piece
from fitcheck.cuts.plan import CutPlan
from fitcheck.job.angles import clock_text, degrees
from fitcheck.job.lengths import Show
from fitcheck.job.model import Job
from fitcheck.job.sheet_metal import Firewall
from fitcheck.limits import NotKnown
from fitcheck.placement.scene import Setting
from fitcheck.report.cuts_words import both, finished, place_of_mark
from fitcheck.report.tape import at_most, near
from fitcheck.report.template.drawing import Item, Line, Panel, Point, Polyline, Words, hatched

HALF_MM = 38.1  # along the tube, to each side of the cut line
LEAST_HALF_MM = 26.0
NAMED_MM = 4.5  # nearer than this the motor's line and the top line share one name
TAB_MM = 10.0  # glued under
STEP_DEG, HOUR_DEG, TICK_MM, TENTH_MM = 5, 30, 5, 10
ROUND = "Wrap it round, printed side out, 12 on the scribed top line, arrow toward the wheel, join at 6."


@dataclass(frozen=True)
class Tube:
    """What a strip goes round: diameter, how thick the paper is, and how lengths are told."""

    dia_mm: float
    paper_mm: float
    show: Show

    @property
    def around_mm(self) -> float:
        """How long the strip is from join to join."""
        return round_mm(self.dia_mm, self.paper_mm)

    @property
    def said(self) -> str:
        """Its diameter in words."""
        return both(self.dia_mm, self.show)

    @property
    def made(self) -> str:
        """What the strip was made for."""
        return f"Made for paper {self.paper_mm:g} mm thick: the two edges of the join must just meet."


def strips(job: Job, plan: CutPlan | None, at: Setting, paper_mm: float) -> list[Panel]:
    """A strip for each jacket piece still to be cut, else one with the unit's clock place; one for a mitred end."""
    jacket = Tube(job.column.jacket_od.mm, paper_mm, job.job.show)
    if plan is None:
        return [_clock_strip(jacket, at)]
    pieces = [piece for piece in plan.pieces if piece.spec.stock == "jacket" and not piece.state.at_its_end]
    found = [_piece_strip(piece, plan, jacket, at) for piece in pieces]
    firewall = None if job.cuts is None else job.cuts.firewall
    if firewall is not None and not isinstance(plan.opening, NotKnown) and plan.opening.tilt_rad > 1e-3:
        found.append(_mitre_strip(firewall, plan.opening, replace(jacket, dia_mm=firewall.passes_dia.mm)))
    return found or [_clock_strip(jacket, at)]


def round_mm(dia: float, paper_mm: float) -> float:
    """How long the strip is from join to join."""
    return pi * (dia + paper_mm)


def across_mm(clock: float, around: float) -> float:
    """Where on the strip a clock place (rad) is: 12 o'clock at 0, 3 o'clock a quarter to the right."""
    return ((clock + pi) % (2 * pi) - pi) / (2 * pi) * around


def _piece_strip(piece: Piece, plan: CutPlan, tube: Tube, at: Setting) -> Panel:
    title = f"{piece.name}: wrap-around strip for {tube.said} outside diameter"
    stop = plan.stop(piece)
    if stop:
        return Panel(title, (), (Words((0, 0), "DO NOT CUT", 5.0), *_lines_of(stop)))
    around, way, show = tube.around_mm, piece.spec.way, tube.show
    first = piece.state.stage == "not cut"
    where = (
        f"Cut line: {place_of_mark(piece, plan, show)}"
        if first
        else f"Cut line: the finished end, {finished(piece, show)} from the {piece.spec.read_from}"
    )
    edge = f"the strip's wheel edge is {both(HALF_MM, show)} nearer the wheel"
    saw = f"Saw in the hatched side; keep the side toward the {piece.spec.read_from}."
    finish = (
        f"Dashed: finished end by plan, {at_most(piece.trim_mm, show)} inside; trim by the trial fit, not by this line."
    )
    items: list[Item] = [*_frame(around, at), *_clock(around, at), Line("CUT", (-around / 2, 0), (around / 2, 0))]
    low, high = (0.0, HALF_MM - 8) if way > 0 else (8 - HALF_MM, 0.0)
    items += hatched((-around / 2, low), (around / 2, high))
    if first:
        y = -way * piece.trim_mm
        items.append(Line("FINISH", (-around / 2, y), (around / 2, y)))
    return Panel(title, (f"{where}; {edge}.", f"{saw} {finish if first else ''}", ROUND, tube.made), tuple(items))


def _clock_strip(tube: Tube, at: Setting) -> Panel:
    around = tube.around_mm
    where = (
        f"Middle line: the unit's input face, {near(at.from_mark_mm, tube.show)} from {at.from_mark.replace('_', ' ')}."
    )
    items = (*_frame(around, at), *_clock(around, at), Line("OUTLINE", (-around / 2, 0), (around / 2, 0)))
    title = f"Jacket: wrap-around strip for {tube.said} outside diameter"
    return Panel(title, (where, "No line to cut by: the job holds no [cuts] yet.", ROUND, tube.made), items)


def _mitre_strip(firewall: Firewall, opening: Opening, tube: Tube) -> Panel:
    """Where a sheet crosses the tube: y = r tan(i) cos(clock - farthest), the section of a cylinder by a plane."""
    around = tube.around_mm
    line = mitre_line(tube.dia_mm, opening.tilt_rad, opening.farthest_rad, around)
    half = max(max(abs(y) for _, y in line) + 13, LEAST_HALF_MM)
    title = f"What passes the firewall, {tube.said}: where the sheet crosses it, or a mitred end"
    at = "" if firewall.along is None else f", {near(firewall.along.mm, tube.show)} from the hub seat by the job"
    where = (
        f"Mitre {degrees(opening.tilt_rad):.1f} deg, farthest from the wheel at {clock_text(opening.farthest_rad)}. "
        f"The ticks marked 0 lie where the column's axis passes the sheet{at}."
    )
    items = (*_frame(around, None, half), *_clock(around, None, half), Polyline("CUT", line, closed=False))
    return Panel(title, (where, ROUND, tube.made), items)


def mitre_line(dia: float, tilt: float, farthest: float, around: float) -> tuple[Point, ...]:
    """The cut line, a point every degree from 6 o'clock round to 6 o'clock."""
    turns = [pi * (i / 180 - 1) for i in range(361)]
    high = dia / 2 * tan(tilt)
    return tuple((turn / (2 * pi) * around, high * cos(turn - farthest)) for turn in turns)


def _frame(around: float, at: Setting | None, half: float = HALF_MM) -> list[Item]:
    """Edges, join, tab, ticks along it from the middle line, and the way to the wheel, clear of the motor's line."""
    left, right = -around / 2, around / 2
    edges = [((left, -half), (right, -half)), ((left, half), (right, half)), ((left, -half), (left, half))]
    items: list[Item] = [Line("OUTLINE", start, end) for start, end in edges]
    items.append(Line("OUTLINE", (right, -half), (right, half)))
    tab = ((right, -half), (right + TAB_MM, 3 - half), (right + TAB_MM, half - 3), (right, half))
    items.append(Polyline("GUIDE", tab, closed=False))
    items.append(Words((right + TAB_MM / 2 + 1, 0), "glue under", 2.0, "middle", 90))
    for k in range(-int(half // TICK_MM), int(half // TICK_MM) + 1):
        y, long = float(k * TICK_MM), 3.0 if k * TICK_MM % TENTH_MM == 0 else 1.8
        items += [Line("GUIDE", (left, y), (left + long, y)), Line("GUIDE", (right - long, y), (right, y))]
        if k * TICK_MM % TENTH_MM == 0 and y < half - 9:
            items.append(Words((left + 4.4, y - 0.8), f"{k * TICK_MM:+d}" if k else "0", 1.6))
    right_half = at is None or across_mm(at.clock, around) < 0
    x = left + (0.66 if right_half else 0.27) * around
    items += [Line("WORDS", (x, 12 - half), (x, 5 - half)), *_head((x, 3 - half))]
    items.append(Words((x + 2.5, 6 - half), "to the wheel", 2.2))
    return items


def _head(tip: Point) -> tuple[Line, ...]:
    x, y = tip
    return (
        Line("WORDS", (x - 1.2, y + 2.5), (x, y)),
        Line("WORDS", (x + 1.2, y + 2.5), (x, y)),
        Line("WORDS", (x, y), (x, y + 2.5)),
    )


def _clock(around: float, at: Setting | None, half: float = HALF_MM) -> list[Item]:
    """Clock marks every 5 degrees at both edges, hours labelled, 12 o'clock and the unit's place right across."""
    items: list[Item] = []
    for turn in range(-180, 181, STEP_DEG):
        x, hour = turn / 360 * around, turn % HOUR_DEG == 0
        long = 4.5 if hour else 2.2
        items += [Line("CLOCK", (x, half - long), (x, half)), Line("CLOCK", (x, -half), (x, long - half))]
        if hour:
            label, tight = str((turn // HOUR_DEG) % 12 or 12), around < 110
            nudge = {-180: 0.9, 180: -0.9}.get(turn, 0.0)
            items.append(Words((x + nudge, half - 7.6), label, 1.8 if tight else 2.4, _label_side(turn)))
    items.append(Line("CLOCK", (0, -half), (0, half)))
    x = 0.0 if at is None else across_mm(at.clock, around)
    motor = "" if at is None else f"motor {clock_text(at.clock)}"
    if at is not None:
        items.append(Line("OUTLINE", (x, -half), (x, half)))
    beside = bool(motor) and abs(x) > NAMED_MM
    if beside:
        items.append(Words((x - 1.2, -half + 8), motor, 2.2, "left", 90))
    top_line = "12, top line" if beside or not motor else "top line, motor"
    items.append(Words((-1.2, -half + 8), top_line, 2.2, "left", 90))
    return items


def _label_side(turn: int) -> Literal["left", "middle", "right"]:
    return "left" if turn == -180 else "right" if turn == 180 else "middle"


def _lines_of(text: str) -> tuple[Words, ...]:
    return tuple(Words((0, -6.0 * i - 7), line, 2.5) for i, line in enumerate(wrap(text, 80)))
