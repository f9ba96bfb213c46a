"""How a pedal swings: pivot, radius and angles, from pulled up by hand to over-travel.

A swing's angle is 0 at rest and positive as the pad goes forward. A chord c at the pad, r from the pivot's axis, is
an angle of 2 asin(c / 2r). Either end of the movement is taken farther by the spread of the readings that give it.
"""

from dataclasses import dataclass

import numpy as np

from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Vector, crossed, unit
from fitcheck.geometry.movement import Turn
from fitcheck.geometry.primitives import cylinder
from fitcheck.job.lengths import Length, both_units
from fitcheck.job.model import Job
from fitcheck.job.surroundings import Pedal, PivotShaft
from fitcheck.job.tools import ANGLE_GAUGE_DEG, PAD_CHORD
from fitcheck.placement.points import BACK, RIGHT, UP, Path, Places
from fitcheck.placement.scene import Kind, Missing, Part, Phase, Travel
from fitcheck.readings.survey import give_or_take

OVER_TRAVEL_MM = 10.0  # beyond full travel, at the pad, where not measured; common practice, no source
SIDE_WEAR_MM = 4.0  # each way at the pad; common practice, no source
PULLED_UP_MM = 10.0  # beyond rest, at the pad, where not measured; common practice, no source


@dataclass(frozen=True, eq=False)
class Swing:
    """A pedal's pivot `point` and `axis` (turning it moves the pad forward), pad centre at rest, range, side play."""

    pedal: str
    point: Vector
    axis: Vector
    pad: Vector
    radius_mm: float
    full: float
    pulled_up: float
    over_travel: float
    wear_mm: float
    unsure: tuple[float, float] = (0.0, 0.0)

    def turn(self) -> Turn:
        """The whole movement, from pulled up by hand to over-travel."""
        return Turn(self.point, self.axis, -self.pulled_up, self.full + self.over_travel)

    def travel(self) -> Travel:
        """How the swing's angle reads as travel."""
        turn = self.turn()
        up, over = self.pulled_up - self.unsure[0], self.over_travel - self.unsure[1]
        read = -up / self.full, 1 + over / self.full
        return Travel(self.pedal, (turn.start, turn.stop), self.shares, self.radius_mm, self.full, read)

    @property
    def shares(self) -> tuple[float, float]:
        """Shares of travel at both ends of the movement: below 0 pulled up, above 1 over-travel."""
        return -self.pulled_up / self.full, 1 + self.over_travel / self.full

    def beside(self, place: Vector) -> Vector:
        """The point of the pivot's axis square beside `place`."""
        return self.point + ((place - self.point) @ self.axis) * self.axis

    def side_play(self, place: Vector) -> float:
        """How far a worn bush lets `place` (3,), at rest, go sideways along the axis, each way, mm."""
        _, out, _ = self.circle
        return self.wear_mm * float((place - self.point) @ out) / self.radius_mm**2

    @property
    def circle(self) -> tuple[Vector, Vector, Vector]:
        """Centre of the pad's circle, and u and v: at angle t the pad's centre is centre + cos(t) u + sin(t) v."""
        centre = self.beside(self.pad)
        u = self.pad - centre
        return centre, u, crossed(self.axis, u)

    def pads(self, shares: Vector) -> Vector:
        """The pad's centre (n, 3) at shares (n,) of travel."""
        centre, u, v = self.circle
        angles = np.asarray(shares)[:, None] * self.full
        return np.asarray(centre + np.cos(angles) * u + np.sin(angles) * v)


def pivot_shaft_part(shaft: PivotShaft, index: int, places: Places) -> Part:
    """A pivot shaft across the car; it was there before."""
    start, end = _shaft_ends(shaft, index, places)
    return Part(shaft.name, Kind.PIVOT_SHAFT, (Phase((cylinder(start, end, shaft.dia.mm, shaft.name),)),), new=False)


def _shaft_ends(shaft: PivotShaft, index: int, places: Places) -> tuple[Vector, Vector]:
    half = shaft.dia.mm / 2
    path: Path = ("pivot_shafts", index)
    start = places.point(shaft.at, (*path, "at"), half=half, axis=RIGHT)
    end = places.point(shaft.other_end, (*path, "other_end"), half=half, axis=RIGHT)
    if not np.linalg.norm(end - start) > 1.0:
        raise KeyFault((*path, "other_end"), "both ends of the shaft are the same place")
    return start, end


def swing(job: Job, index: int, places: Places) -> Swing:
    """How pedal `index` moves. Raises Missing for a pivot, pad or travel not measured yet."""
    pedal = job.pedals[index]
    path: Path = ("pedals", index)
    point, axis = _pivot(job, pedal, path, places)
    pad = _pad_centre(pedal, path, places)
    arm = pad - point - ((pad - point) @ axis) * axis
    radius = float(np.linalg.norm(arm))
    if radius < 50.0:
        raise KeyFault(
            (*path, "pad", "at"), f"the pad lies {both_units(radius)} from its pivot's axis; one of the two is wrong"
        )
    onward = crossed(axis, arm)
    if abs(onward @ BACK) < 0.05 * radius:
        raise KeyFault((*path, "pad", "at"), "the pad would not go forward when pressed; pivot or pad is wrong")
    if (arm @ UP > 0) != (pedal.kind == "floor-hinged"):
        lies = "above" if arm @ UP > 0 else "below"
        raise KeyFault(
            (*path, "kind"), f"a {pedal.kind} pedal, yet its pad lies {lies} its pivot; swapped? check 'up' of both"
        )
    if onward @ BACK > 0:
        axis = -axis
    full = _full(pedal, path, radius)
    pulled, over = (
        _angle(_or_default(length, default), radius, (*path, key))
        for key, length, default in (
            ("pulled_up", pedal.pulled_up, PULLED_UP_MM),
            ("over_travel", pedal.over_travel, OVER_TRAVEL_MM),
        )
    )
    unsure = _unsure(pedal, path, radius)
    wear = _or_default(pedal.side_wear, SIDE_WEAR_MM)
    return Swing(pedal.name, point, axis, pad, radius, full, pulled + unsure[0], over + unsure[1], wear, unsure)


def _unsure(pedal: Pedal, path: Path, radius: float) -> tuple[float, float]:
    """How far the readings may put off the end pulled up and the end of over-travel, rad.

    Full travel and over-travel are read one by one: their spreads add as squares (JCGM 100:2008, 5.1.2).
    """
    up, over, travel = (
        0.0 if length is None else _farther(length, radius, (*path, key))
        for key, length in (
            ("pulled_up", pedal.pulled_up),
            ("over_travel", pedal.over_travel),
            ("travel", pedal.travel),
        )
    )
    if pedal.travel_angle is not None:
        own = pedal.travel_angle.spread_rad
        travel = np.radians(ANGLE_GAUGE_DEG.spread) if own is None else own
    return up, float(np.hypot(travel, over))


def _farther(chord: Length, radius: float, path: Path) -> float:
    """By how much the turn to a chord grows where the chord is longer by its spread, rad."""
    spread = give_or_take(chord, PAD_CHORD)
    return _angle(chord.mm + spread, radius, path) - _angle(chord.mm, radius, path)


def _pivot(job: Job, pedal: Pedal, path: Path, places: Places) -> tuple[Vector, Vector]:
    if pedal.pivot_shaft is not None:
        index = next((i for i, shaft in enumerate(job.pivot_shafts) if shaft.name == pedal.pivot_shaft), None)
        if index is None:
            raise KeyFault((*path, "pivot_shaft"), f"there is no pivot shaft named '{pedal.pivot_shaft}'")
        start, end = _shaft_ends(job.pivot_shafts[index], index, places)
        return start, unit(end - start)
    if pedal.pivot is None:
        raise Missing(
            [f"pedals[{int(path[1]) + 1}].pivot"], f"the {pedal.name} pedal's pivot: how far back and up it is"
        )
    if pedal.pivot_to is None:
        return places.point(pedal.pivot, (*path, "pivot"), need=("back", "up")), RIGHT
    start = places.point(pedal.pivot, (*path, "pivot"))
    end = places.point(pedal.pivot_to, (*path, "pivot_to"))
    if not np.linalg.norm(end - start) > 1.0:
        raise KeyFault((*path, "pivot_to"), "both places on the pivot's axis are the same place")
    return start, unit(end - start)


def _pad_centre(pedal: Pedal, path: Path, places: Places) -> Vector:
    if pedal.pad is None or pedal.pad.at is None:
        key = f"pedals[{int(path[1]) + 1}].pad" + ("" if pedal.pad is None else ".at")
        raise Missing([key], f"the {pedal.name} pad at rest: back, right or left, and up to the centre of its face")
    return places.point(pedal.pad.at, (*path, "pad", "at"))


def _or_default(length: Length | None, default_mm: float) -> float:
    return default_mm if length is None else length.mm


def _full(pedal: Pedal, path: Path, radius: float) -> float:
    if pedal.travel_angle is not None:
        full, key = pedal.travel_angle.rad, "travel_angle"
    elif pedal.travel is not None:
        full, key = _angle(pedal.travel.mm, radius, (*path, "travel")), "travel"
    else:
        raise Missing(
            [f"pedals[{int(path[1]) + 1}].travel"],
            f"the {pedal.name} pad's centre from rest to full travel, in a straight line (on its stop or on the floor)",
        )
    if not 0 < full < np.radians(120):
        raise KeyFault((*path, key), f"a swing of {np.degrees(full):.0f} degrees is no pedal's; check it")
    return full


def _angle(chord: float, radius: float, path: Path) -> float:
    if not 0 <= chord <= 1.7 * radius:
        said = f"{both_units(chord)} is no travel for a pad {both_units(radius)} from its pivot; check both"
        raise KeyFault(path, said)
    return float(2 * np.arcsin(chord / (2 * radius)))
