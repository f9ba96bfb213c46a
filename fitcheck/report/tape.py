"""What is marked, cut or drilled by tape: to 1/32 in and half a mm, each rounded by itself, one rule for every page.

A mark is rounded so that the piece comes out long, an opening or a block so that it is never smaller than needed, a gap
so that it is never more than there is. Tenths of a millimetre stand only beside what is worked out or read by caliper.
"""

from math import ceil, floor

from fitcheck.job.lengths import HALF_MM, Show, inches_text, round_down_32, round_up_32

A_HAIR = 1e-6


def near(mm: float, show: Show) -> str:
    """A place to set something to: the nearest step of either tape."""
    return _both(inches_text(mm), _near(mm), show)


def set_at(mm: float, show: Show) -> str:
    """The same on a screen: a job shown in mm has mm alone."""
    return near(mm, show) if show == "in" else f"{_near(mm):g} mm"


def at_least(mm: float, show: Show) -> str:
    """Rounded up in both: an opening, a block, a piece that may be longer."""
    return _both(inches_text(round_up_32(mm)), _up(mm), show)


def at_most(mm: float, show: Show) -> str:
    """Rounded down in both: a gap that is there, a trim that must not take off more."""
    return _both(inches_text(round_down_32(mm)), _down(mm), show)


def mark(mm: float, way: int, show: Show) -> str:
    """A mark to saw at, rounded so that the piece comes out long: up where it grows away from the zero, else down."""
    return at_least(mm, show) if way > 0 else at_most(mm, show)


def finished(mm: float, low_mm: float, high_mm: float, show: Show) -> str:
    """A length that lies in a band, to each tape's nearest step in the band; a tape with none is left out.

    Without a half mm it is the tenth, or the hundredth where the band is narrower, to be set by caliper.
    """
    inside = _nearest_in((_up(mm), _down(mm)), mm, low_mm, high_mm)
    in_32 = _nearest_in((round_up_32(mm), round_down_32(mm)), mm, low_mm, high_mm)
    tenth = round(mm, 1)
    digits = 1 if low_mm <= tenth <= high_mm else 2
    metric = f"{inside:g} mm" if inside is not None else f"{mm:.{digits}f} mm by caliper"
    if in_32 is None:
        return metric
    inches = inches_text(in_32)
    return f"{inches} ({metric})" if show == "in" else f"{metric} ({inches})"


def _nearest_in(steps: tuple[float, float], mm: float, low_mm: float, high_mm: float) -> float | None:
    inside = [step for step in steps if low_mm - A_HAIR <= step <= high_mm + A_HAIR]
    return min(inside, key=lambda step: (abs(step - mm), -step)) if inside else None


def between(low_mm: float, high_mm: float, show: Show) -> str:
    """What a length may be, from to, both rounded inward; to the tenth where no two steps lie between."""
    if round_up_32(low_mm) >= round_down_32(high_mm) or _up(low_mm) >= _down(high_mm):
        return f"{ceil(low_mm * 10 - A_HAIR) / 10:.1f} to {floor(high_mm * 10 + A_HAIR) / 10:.1f} mm"
    return f"{at_least(low_mm, show)} to {at_most(high_mm, show)}"


def _near(mm: float) -> float:
    return floor(mm / HALF_MM + 0.5) * HALF_MM


def _up(mm: float) -> float:
    return ceil(mm / HALF_MM - A_HAIR) * HALF_MM


def _down(mm: float) -> float:
    return floor(mm / HALF_MM + A_HAIR) * HALF_MM


def _both(inches: str, mm: float, show: Show) -> str:
    return f"{inches} ({mm:g} mm)" if show == "in" else f"{mm:g} mm ({inches})"
