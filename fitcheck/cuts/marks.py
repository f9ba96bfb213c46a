"""Lengths and marks on the 1/32 in step: finished lengths toward the middle of their band, first cuts long. mm."""

from fitcheck.cuts.chain import Chain, Stack
from fitcheck.cuts.limits import Band
from fitcheck.cuts.saw import SawUse
from fitcheck.cuts.specs import Spec
from fitcheck.job.lengths import round_down_32, round_to_32, round_up_32

STEP_MM = 25.4 / 32


def rounded_into(allowed: Band) -> float | None:
    """The 1/32 in step nearest the middle of a band, mm; None where that step lies outside."""
    step = round_to_32(allowed.middle_mm)
    return step if allowed.low_mm <= step <= allowed.high_mm else None


def mark_on_stock(spec: Spec, chain: Chain, first_cut_mm: float) -> float:
    """Where the first cut is marked, from the stock's one end, rounded so that the piece comes out long."""
    start = chain.between(spec.mark_from, spec.origin).mm
    if spec.way > 0:
        return round_up_32(start + first_cut_mm)
    return round_down_32(start - first_cut_mm)


def gap_after_cut(spec: Spec, chain: Chain, saw: SawUse, mark_mm: float) -> Stack:
    """From the line scribed on the piece to the unit's face, once it is cut at its mark and pushed in until it stops.

    Below 0 where it comes to its line first. What the mark and the unit's bottom both rest on drops out.
    """
    cut = saw.first_cut(Stack(mark_mm))
    return cut.plus(chain.between(spec.mark_from, spec.stop), -1.0).times(spec.way)
