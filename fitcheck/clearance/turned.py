"""A job's unit turned and slid at will, with the pair nearest to its limit wherever it stands.

Clock in rad, clockwise from 12; place of the input face in mm from the hub seat; travel as a share, 0 rest, 1 full.
"""

from collections.abc import Mapping
from functools import cached_property, partial
from math import tau
from pathlib import Path

from fitcheck.clearance.at_travel import Nearest, nearest_at
from fitcheck.clearance.clocking_allowed import Allowed, allowed
from fitcheck.clearance.clocking_spots import at_spot, mark_mm, sits_from
from fitcheck.clearance.pairs import Pair, pairs
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.model import Job
from fitcheck.placement.scene import Scene


class Turned:
    """Asked again and again; what was made for one clock and place is kept until the next."""

    def __init__(self, engine: GapEngine, job: Job, folder: Path, scene: Scene) -> None:
        self._engine, self._job, self._folder, self._own = engine, job, folder, scene
        self._at: tuple[float, float] = scene.setting.clock, scene.setting.input_face_mm
        self._there: tuple[Scene, list[Pair]] = scene, list(pairs(job, (*scene.parts, *scene.unplaced)))

    @cached_property
    def allowed(self) -> Allowed:
        """Which clocks and places the search over clock and place may try; raises as it does."""
        own = self._own.setting
        possible = partial(sits_from, self._engine, self._job, self._folder, self._own)
        return allowed(self._job, own.input_face_mm, mark_mm(own), possible)

    def allows(self, clock: float) -> bool:
        """Whether the job allows the clock; the one it has now it does."""
        arcs = self.allowed.arcs
        inside = any(arc.around or (clock - arc.start) % tau <= arc.stop - arc.start for arc in arcs)
        return inside or clock == self._own.setting.clock

    def scene(self, clock: float, place_mm: float) -> Scene:
        """The car with the unit there; raises KeyFault where it cannot sit there."""
        if (clock, place_mm) != self._at:
            job, scene = at_spot(self._job, self._folder, self._own, clock, place_mm)
            self._there = scene, list(pairs(job, (*scene.parts, *scene.unplaced)))
            self._at = clock, place_mm
        return self._there[0]

    def nearest(self, clock: float, place_mm: float, shares: Mapping[str, float]) -> Nearest | None:
        """The judged pair nearest to its limit there, pedals held at `shares`, all others through their whole travel.

        Certified for this very place. None where no pair can be looked at. Raises as `scene` does.
        """
        self.scene(clock, place_mm)
        return nearest_at(self._engine, self._there[1], shares)
