"""The saw and the trial fit: kerf, squareness, allowance, and the defaults in use where the job does not state them.

Millimetres. Every default is common practice, no source; where practice gives a range, its cautious end stands here.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from fitcheck.cuts.chain import Stack
from fitcheck.cuts.limits import NotKnown
from fitcheck.job.cutting import Saw
from fitcheck.job.lengths import Length
from fitcheck.job.tools import TOOLS

KERFS_MM = {"cut-off wheel": 1.1, "hacksaw": 1.0, "bandsaw": 1.3, "chop saw": 3.2}
SQUARE_MM = 1.0
ALLOWANCE_MM = 6.0
MARK_MM = TOOLS["open tape"].spread
CLAY_MM = TOOLS["clay"].spread
KERF_MISSING = NotKnown("kerf", ("cuts.saw.kerf",), "the kerf of the saw in a piece of scrap")


@dataclass(frozen=True)
class SawUse:
    """What the cuts are planned with, mm: squareness of first cut and final face, and how much is left on."""

    kerf: Stack | NotKnown
    square_mm: float
    trim_square_mm: float
    allowance_mm: float
    defaults: tuple[str, ...]

    def first_cut(self, needed: Stack) -> Stack:
        """The needed length with what pulling the mark and cutting by hand may put it off."""
        marked = needed.plus(Stack.of("the mark pulled by tape", 0.0, MARK_MM))
        return marked.plus(Stack.of("squareness of the first cut", 0.0, self.square_mm))

    def straight_to_length(self, left: Stack) -> Stack:
        """What is left before the bottom if the piece is cut straight to length, with no trial fit."""
        marked = left.plus(Stack.of("the mark pulled by tape", 0.0, MARK_MM))
        return marked.plus(Stack.of("squareness of the final face", 0.0, self.trim_square_mm))

    def after_trial_fit(self, left_mm: float, gap: Stack | None = None) -> Stack:
        """What is left before the bottom if the piece is trimmed by the gap read at the trial fit.

        The unit's own place drops out: it goes back to the line it was tried at.
        """
        read = Stack.of("the mating gap, by clay at the trial fit", 0.0, CLAY_MM) if gap is None else gap
        trimmed = read.plus(Stack.of("squareness of the final face", 0.0, self.trim_square_mm))
        return Stack(left_mm, trimmed.terms)


def saw_use(saw: Saw, kerf_spread_mm: float) -> SawUse:
    """The job's saw, with defaults where it states nothing."""
    return SawUse(
        kerf=_kerf(saw, kerf_spread_mm),
        square_mm=_or(saw.square, SQUARE_MM),
        trim_square_mm=_or(saw.trim_square, SQUARE_MM),
        allowance_mm=_or(saw.allowance, ALLOWANCE_MM),
        defaults=tuple(_defaults(saw)),
    )


def _or(length: Length | None, default_mm: float) -> float:
    return default_mm if length is None else length.mm


def _kerf(saw: Saw, spread_mm: float) -> Stack | NotKnown:
    if saw.kerf is not None:
        return Stack.of("cuts.saw.kerf", saw.kerf.mm, spread_mm)
    if saw.kind is not None:
        return Stack.of(f"kerf of a {saw.kind}", KERFS_MM[saw.kind], 0.0)
    return KERF_MISSING


def _defaults(saw: Saw) -> Iterator[str]:
    if saw.kerf is None and saw.kind is not None:
        yield f"cuts.saw.kerf not given: {KERFS_MM[saw.kind]:g} mm for a {saw.kind}; measure it in scrap"
    if saw.square is None:
        yield f"cuts.saw.square not given: a first cut by hand may be {SQUARE_MM:g} mm out of square"
    if saw.trim_square is None:
        yield f"cuts.saw.trim_square not given: a final face may be {SQUARE_MM:g} mm out of square"
    if saw.allowance is None:
        yield f"cuts.saw.allowance not given: the first cut leaves a piece {ALLOWANCE_MM:g} mm longer, and its spread"
