"""Where readings and placed geometry meet: what ties them, within 0.01 mm, and the small measures all ties share.

Points are the car's (back, right, up), mm. What cannot be worked out from plain offsets is said to be not tied.
"""

from collections.abc import Callable
from typing import Any

import numpy as np

from fitcheck.verify.form import Refused, Vector
from fitcheck.verify.readings import Readings, spelled

TIED_MM = 0.01
WIDENED_MM = 30.0  # how far a movement may go beyond its readings
A_METRE = 1000.0  # where a direction's deviation is measured, mm
Table = dict[str, Any]


class Ties:
    """Collects what was tied and what was not; `tied` refuses where anything is off."""

    def __init__(self, readings: Readings) -> None:
        self.readings = readings
        self.done: list[str] = []
        self.loose: list[str] = []

    def tied(self, what: str, off_mm: float) -> None:
        """Note that `what` agrees; Refused where it is off by more than 0.01 mm."""
        if not off_mm <= TIED_MM:
            raise Refused(f"{what}: {off_mm:.3f} mm from where the readings put it")
        self.done.append(what)

    def at_least(self, what: str, short_mm: float, beyond_mm: float) -> None:
        """Note that a movement goes as far as was read, or a little beyond, as one widened by its spread does.

        Of a job that says how far its figures are guessed, by as much more.
        """
        if not beyond_mm <= WIDENED_MM + (self.readings.mm("job", "guessed", "places") or 0.0):
            raise Refused(f"{what}: it goes {beyond_mm:.1f} mm beyond what the readings say")
        self.tied(what, max(0.0, short_mm))

    def point(self, what: str, path: tuple[str | int, ...], off: Callable[[Vector], float]) -> None:
        """Tie the place at `path`, `off` saying how far it is from the geometry; or say that it is not plain."""
        place = self.readings.place(*path) if self.readings.at(*path) is not None else None
        if place is None:
            self.loose.append(f"{what} ({spelled(path)})")
        else:
            self.tied(what, off(place))


def toward(direction: Vector, axis: Vector) -> Vector:
    """The unit direction (3,) square to unit `axis` that is nearest to `direction`."""
    square = direction - (direction @ axis) * axis
    return np.asarray(square / max(float(np.sqrt(square @ square)), 1e-12))


def beside(place: Vector, start: Vector, along: Vector) -> float:
    """Distance of `place` from the line through `start` along unit `along`."""
    off = np.cross(along, place - start)
    return float(np.sqrt(off @ off))


def apart(one: Vector, other: Vector) -> float:
    """Distance of two points, or of two directions."""
    return float(np.sqrt(((one - other) ** 2).sum()))


def rounds(pieces: list[Table]) -> list[Table]:
    """The round solids the pieces stand for; Refused where there are none."""
    found = [piece["exact"] for piece in pieces if piece.get("exact", {}).get("kind") == "round"]
    if not found:
        raise Refused("a round part without the round solid it stands for")
    return found


def thinner(bar: Table, diameter: float) -> float:
    """How far a round solid's diameters are from `diameter`, mm."""
    return float(max(abs(bar["start_diameter_mm"] - diameter), abs(bar["end_diameter_mm"] - diameter)))


def turn_of_chord(chord: float, radius: float, name: str) -> float:
    """The turn (rad) that takes a point at `radius` from its axis a straight `chord` (mm): 2 asin(c / 2r)."""
    if not 0 <= chord <= 2 * radius:
        raise Refused(f"{name}: {chord:g} mm is no chord at {radius:.1f} mm")
    return float(2 * np.arcsin(chord / (2 * radius)))
