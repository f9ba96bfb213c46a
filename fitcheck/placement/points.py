"""Places of the job file as points of the car frame (back, right, up; mm from the datum)."""

from collections.abc import Callable
from difflib import get_close_matches
from functools import cached_property

import numpy as np

from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Frame, Vector
from fitcheck.job.model import Job
from fitcheck.job.places import OPPOSITES, OffColumn, Offsets, Place
from fitcheck.job.remedies import spelled
from fitcheck.placement.scene import Missing
from fitcheck.readings.directions import BACK, RIGHT, TOWARD, UP, level2car, square_to

__all__ = ["BACK", "RIGHT", "TOWARD", "UP", "Path", "Places", "level2car"]
Path = tuple[str | int, ...]
ENDWAYS = 0.95  # cosine: a side nearer to a part's own direction than 18 degrees is its end, not a side of it
ALL_THREE = ("back", "right", "up")
HOW_TO_MEASURE = {
    "back": "how far behind or ahead of the datum it is",
    "right": "how far to the driver's right or left of the datum it is",
    "up": "how far above or below the datum it is",
}


class Places:
    """Resolves places to points. `column2car` is asked for only by places that are given off the column."""

    def __init__(self, job: Job, column2car: Callable[[], Frame], along: Callable[[str, Path], float]) -> None:
        self._points = job.points
        self._header = job.job
        self._column2car = column2car
        self._along = along
        self._skin = job.column.jacket_od.mm / 2
        self.notes: dict[str, None] = {}

    @cached_property
    def level2car(self) -> Frame:
        """The frame of readings by level and plumb, for directions."""
        return level2car(self._header)

    def point(
        self,
        place: Place,
        path: Path,
        need: tuple[str, ...] = ALL_THREE,
        half: float | None = None,
        axis: Vector | None = None,
    ) -> Vector:
        """The point (3,) meant by `place`, which stands under `path`.

        `half` is half the size of what was measured, so that a reading to its side leads to its middle; `axis` its
        long direction, square to which half the size is laid off. Without `half` a side makes no sense and is a
        fault. Offsets not in `need` may be absent and count as 0. Raises Missing for those in `need`.
        """
        if isinstance(place, str):
            return self._named(place, path, need, half, axis)
        measured = self._off_column(place) if isinstance(place, OffColumn) else self._offsets(place, path, need)
        if place.side == "middle":
            return measured
        if half is None:
            raise KeyFault(path, "'side' says nothing here: measure to the middle, or to the face that is asked for")
        outward = TOWARD[place.side]
        if axis is not None:
            if abs(outward @ axis) > ENDWAYS:
                raise KeyFault(path, f"it runs that way, so '{place.side}' is no side of it; measure to another side")
            outward = square_to(outward, axis)
        if half > 0:
            said = f"{spelled(path)} was measured to its {place.side} side: half its size, {half:.1f} mm, was added"
            self.notes[said] = None
        return measured - half * outward

    def _named(self, name: str, path: Path, need: tuple[str, ...], half: float | None, axis: Vector | None) -> Vector:
        if name not in self._points:
            near = get_close_matches(name, self._points, n=1)
            hint = f"; did you mean '{near[0]}'?" if near else "; name one that is there, or write offsets in its place"
            raise KeyFault(path, f"there is no point named '{name}' under [points]{hint}")
        return self.point(self._points[name], ("points", name), need, half, axis)

    def _off_column(self, place: OffColumn) -> Vector:
        out = place.out.mm + (self._skin if place.out_from == "skin" else 0.0)
        along = self._along(place.along_from, ()) + place.along.mm
        clock = place.clock.rad
        return self._column2car().points([out * np.cos(clock), out * np.sin(clock), along])

    def _offsets(self, place: Offsets, path: Path, need: tuple[str, ...]) -> Vector:
        missing = [way for way in need if getattr(place, way) is None and getattr(place, OPPOSITES[way]) is None]
        if missing:
            keys = [f"{spelled(path)}.{way}" for way in missing]
            raise Missing(keys, f"{spelled(path)}: " + "; ".join(HOW_TO_MEASURE[way] for way in missing))
        offset = np.array([_signed(place, way) for way in OPPOSITES])
        if place.by == "level":
            offset = self.level2car.directions(offset)
        start = np.zeros(3) if place.from_ is None else self._named(place.from_, path, need, None, None)
        return np.asarray(start + offset)


def _signed(place: Offsets, way: str) -> float:
    there, back = getattr(place, way), getattr(place, OPPOSITES[way])
    return float(there.mm) if there is not None else -float(back.mm) if back is not None else 0.0
