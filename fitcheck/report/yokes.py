"""A shaft's two yokes as every drawing shows them: seen from its wheel end, the shaft still, its paint mark upright.

Turns in rad, clockwise from upright. Each yoke carries a dot of paint that stands at the shaft's mark before anything
is moved, so that the teeth between mark and dot are the teeth of the words. Knows no paper.
"""

from dataclasses import dataclass
from math import degrees, pi
from typing import Literal

from fitcheck.job.shaft_ends import End
from fitcheck.job.shafting import ShaftPiece
from fitcheck.shaft.results import PhaseRow, ShaftChapter

COUNTED_ONE_BY_ONE = 9  # teeth; of more, every third is numbered


@dataclass(frozen=True)
class Yoke:
    """One yoke: where its ears stand at the paint mark, how many teeth it is then moved on, and one tooth."""

    end: Literal["wheel-end", "rack-end"]
    at_mark: float
    teeth: int
    tooth: float

    @property
    def turned(self) -> float:
        """How far it is moved on from the paint mark: where its dot of paint then stands."""
        return self.teeth * self.tooth

    @property
    def as_set(self) -> float:
        """Where its ears stand in the end."""
        return self.at_mark + self.turned

    @property
    def counted(self) -> tuple[tuple[float, str], ...]:
        """A tick for every tooth from the mark to the dot, with its number where it has room for one."""
        many, way = abs(self.teeth), 1 if self.teeth > 0 else -1
        every = 1 if many <= COUNTED_ONE_BY_ONE else 3
        return tuple(
            (way * count * self.tooth, str(count) if count in (0, many) or count % every == 0 < many - count else "")
            for count in range(many + 1)
            if many
        )

    @property
    def words(self) -> str:
        """What is done with it, in short, as seen from the wheel end; empty where it stays."""
        if self.teeth == 0:
            return ""
        many, way = abs(self.teeth), "clockwise" if self.teeth > 0 else "anticlockwise"
        step = "half a turn" if abs(degrees(self.tooth) - 180) < 1 else f"{many} {'tooth' if many == 1 else 'teeth'}"
        return f"{step} {way}"


def piece_of(found: ShaftChapter, row: PhaseRow) -> ShaftPiece:
    """The shaft that a row of phases is about."""
    return next(piece for piece in found.shaft.pieces if piece.name == row.piece)


def yokes(found: ShaftChapter, row: PhaseRow) -> tuple[Yoke, Yoke]:
    """Wheel-end and rack-end yoke; a weld-on shaft has no teeth, its rack-end yoke stands where it is to be welded."""
    piece, step = piece_of(found, row), row.chosen
    if row.any_phase:
        return Yoke("wheel-end", 0.0, 0, 0.0), Yoke("rack-end", row.base, 0, 0.0)
    if row.reach.free:
        return Yoke("wheel-end", 0.0, 0, 0.0), Yoke("rack-end", step.phase, 0, 0.0)
    return (
        Yoke("wheel-end", 0.0, step.wheel_teeth, _tooth(piece.wheel_end)),
        Yoke("rack-end", row.base, step.rack_teeth, _tooth(piece.rack_end)),
    )


def _tooth(end: End | None) -> float:
    """One step of an end: a tooth of its spline, half a turn of a double-D."""
    return pi if end is None or end.teeth is None else 2 * pi / end.teeth
