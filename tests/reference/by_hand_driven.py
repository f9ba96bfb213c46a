"""What moves with the pedals of the example cars, placed a second time; nothing of fitcheck is imported.

Car frame, mm; solids, poses and distances as in `by_hand`. Each of them has solids at rest (a boot: in its own frame)
and a pose for every share of the pedal's travel; shares are of the swing's angle, 0 at rest, 1 at full travel.
"""

import math
from collections.abc import Iterable, Iterator
from functools import cached_property
from itertools import pairwise, product

import coal
import numpy as np
from scipy.optimize import brentq

from tests.reference.by_hand import (
    AZIMUTHS,
    PULL_MM,
    RIGHT,
    Pose,
    Solid,
    Table,
    Vector,
    about,
    bar,
    bars,
    block,
    hull,
    mm,
    nearest,
    spot,
    standing,
    unit,
)

PULLED_UP_MM, SIDE_MM = 10.0, 4.0  # lifted by hand at the pad; pad to each side; common practice, no source
UNSURE_MM = 4.0  # of each chord at the pad or lever by tape in a footwell; common practice, no source
# ANSUR II (NATICK/TR-15/007), men, 95th percentile: foot length, breadth, ball 293, 111, 218. A work boot adds 30 and
# 19, its heel 2 behind the foot's; toe box 65 high, counter 110, heel 3/4 of the breadth: common practice, no source.
BOOT_LONG, BOOT_WIDE, BALL, TOE_HIGH, HEEL_HIGH = 323.0, 130.0, 220.0, 65.0, 110.0

SAMPLES, FINER = 48, 9  # of a whole travel, and about the place found


class Pedal:
    """A chord c at the pad, r from the pivot's axis, is a swing of 2 asin(c / 2r); shares are of the angle."""

    def __init__(self, job: Table, name: str) -> None:
        self.figures = next(pedal for pedal in job["pedals"] if pedal["name"] == name)
        self.pivot, axis = spot(self.figures.get("pivot", {})), RIGHT
        if "pivot_shaft" in self.figures:
            shaft = next(shaft for shaft in job["pivot_shafts"] if shaft["name"] == self.figures["pivot_shaft"])
            self.pivot, axis = spot(shaft["at"]), unit(spot(shaft["other_end"]) - spot(shaft["at"]))
        self.pad = spot(self.figures["pad"]["at"])
        arm = self.pad - self.beside(self.pad, axis)
        self.axis = axis if np.cross(axis, arm)[0] < 0 else -axis  # pressed, the pad goes forward
        self.arm, self.radius = unit(arm), float(np.linalg.norm(arm))
        self.looks = -np.cross(self.axis, self.arm)  # the pad's face, square to its path
        self.full = self._angle(mm(self.figures["travel"]))
        self.lowest = -self._angle(PULLED_UP_MM) / self.full
        over = self._angle(mm(self.figures["over_travel"]))
        # Both are read: what they may be off by adds as squares, and the movement is covered that much farther.
        unsure = math.hypot(*(self._farther(mm(self.figures[key])) for key in ("travel", "over_travel")))
        self.highest = 1 + (over + unsure) / self.full
        self.bush = self.beside(spot(self.figures["arm"][0]["at"]), self.axis)

    def beside(self, place: Vector, axis: Vector) -> Vector:
        """The point of the pivot's axis square beside a place."""
        return np.asarray(self.pivot + ((place - self.pivot) @ axis) * axis)

    def _angle(self, chord: float) -> float:
        return float(2 * np.arcsin(chord / (2 * self.radius)))

    def _farther(self, chord: float) -> float:
        return self._angle(chord + UNSURE_MM) - self._angle(chord)

    def at(self, share: float, side: float = 0.0) -> Pose:
        """Swung to a share of its travel; leaning in its worn bush by `side` (-1 to 1) of what the pad gives."""
        lean = about(self.bush, np.cross(self.arm, self.axis), side * np.arctan2(SIDE_MM, self.radius))
        return about(self.pivot, self.axis, share * self.full) @ lean

    @cached_property
    def solids(self) -> list[Solid]:
        """Arm from the pivot to the pad's back, tail, pad, and what rides on them, at rest."""
        pad = self.figures["pad"]
        thick = mm(pad["thick"])
        arm, tail = ([spot(point["at"]) for point in self.figures.get(key, ())] for key in ("arm", "tail"))
        solids = [*self._flat(arm, self.pad - thick * self.looks), *self._flat(tail)]
        for ridden in self.figures.get("rides", {}).values():
            solids += bars(map(spot, ridden["through"]), mm(ridden["dia"]))
        along = np.cross(self.looks, self.axis)
        size = [mm(pad["wide"]), mm(pad["high"]), thick]
        return [*solids, block(self.pad - thick / 2 * self.looks, [self.axis, along, self.looks], size)]

    def _flat(self, points: list[Vector], end: Vector | None = None) -> Iterator[Solid]:
        """Flat bar through the points: wide in the plane of the swing, thick across it."""
        line = [self.beside(points[0], self.axis), *points] if points else []
        if end is not None and np.linalg.norm(end - line[-1]) > 3:  # nearer, it meets the pad already
            line.append(end)
        for start, stop in pairwise(line):
            z = unit(stop - start)
            wide = unit(np.cross(self.axis, z))
            size = [mm(self.figures["arm_wide"]), mm(self.figures["arm_thick"]), float(np.linalg.norm(stop - start))]
            yield block((start + stop) / 2, [wide, np.cross(z, wide), z], size)


class Boot:
    """Heel on the floor and sole on the pad's centre while the ball reaches it; from there the pad carries the boot."""

    def __init__(self, job: Table, pedal: Pedal) -> None:
        boot = next(boot for boot in job["driver"]["boots"] if boot["on"] == pedal.figures["name"])
        self.heel = spot(boot["heel"]) * [1, 0, 1] + pedal.pad * RIGHT
        self.pedal = pedal
        self.lowest, self.highest = pedal.lowest, pedal.highest
        if self._short(self.highest) <= 0:
            self.lifts = self.highest
        elif self._short(self.lowest) >= 0:
            self.lifts = self.lowest
        else:
            self.lifts = float(brentq(self._short, self.lowest, self.highest))

    def _pad(self, share: float) -> Vector:
        return self.pedal.at(share).point(self.pedal.pad)

    def _short(self, share: float) -> float:
        return float(np.linalg.norm(self._pad(share) - self.heel) - BALL)

    def at(self, share: float, side: float = 0.0) -> Pose:
        """From the boot's frame (x along the sole from the heel, z up off it) to the car."""
        if share > self.lifts:
            return self.pedal.at(share) @ self.pedal.at(self.lifts).back @ self._reaching(self.lifts)
        return self._reaching(share)

    def _reaching(self, share: float) -> Pose:
        """Sole on the pad's centre; the heel on the floor, or behind by the ball's reach where that is too far."""
        pad = self._pad(share)
        toe = unit(pad - self.heel)
        heel = self.heel if self._short(share) <= 0 else pad - BALL * toe
        return Pose(np.column_stack([toe, -RIGHT, np.cross(toe, -RIGHT)]), heel)

    @cached_property
    def solids(self) -> list[Solid]:
        """Toe box, and heel with instep, each the hull of its corners."""
        half = BOOT_WIDE / 2
        outline = [(0.45, 1.0), (0.80, 1.0), (0.93, 0.75), (1.0, 0.4)]
        toe = [(x * BOOT_LONG, side * y * half, z) for x, y in outline for side in (1, -1) for z in (0.0, TOE_HIGH)]
        heel = [
            (0.0, 0.75, 0.0),
            (0.5, 1.0, 0.0),
            (0.0, 0.75, HEEL_HIGH),
            (0.32, 0.75, HEEL_HIGH),
            (0.55, 1.0, TOE_HIGH),
        ]
        return [hull(toe), hull([(x * BOOT_LONG, side * y * half, z) for x, y, z in heel for side in (1, -1)])]


class Rod:
    """Pin to pin, round at both: the pin goes with the pedal, the far end slides along the rod's line at rest.

    With q from the pin to the far end at rest, s the line and L the length kept, |q + t s| = L gives
    t = -q.s + sqrt((q.s)^2 - q.q + L^2): the far end stays ahead of the pin.
    """

    def __init__(self, linkage: Table, pedal: Pedal) -> None:
        self.pedal = pedal
        self.lowest, self.highest = pedal.lowest, pedal.highest
        self.pin, self.far = spot(linkage["pin"]), spot(linkage["to"])
        self.line, self.long = unit(self.far - self.pin), float(np.linalg.norm(self.far - self.pin))
        flat, at = bar(self.pin, self.far, mm(linkage["dia"]))
        self.solids = [(coal.Capsule(flat.radius, self.long), at)]

    def at(self, share: float, side: float = 0.0) -> Pose:
        """Turned the short way from where it lay at rest; rolling about its own length would change nothing."""
        pin = self.pedal.at(share, side).point(self.pin)
        between = self.far - pin
        along = between @ self.line
        slid = -along + np.sqrt(along**2 - between @ between + self.long**2)
        across = np.cross(self.line, between + slid * self.line) / self.long
        angle = np.arcsin(np.linalg.norm(across))
        turn = about(np.zeros(3), unit(across), angle).turn if angle > 0 else np.eye(3)
        return Pose(turn, pin - turn @ self.pin)


class CrossBar:
    """A bar turning about its own axis with its lever's pin, in proportion to the pedal's angle."""

    def __init__(self, linkage: Table, pedal: Pedal) -> None:
        self.start, end, pin = (spot(linkage[key]) for key in ("to", "other_end", "pin"))
        self.axis = unit(end - self.start)
        arm = pin - self.start - ((pin - self.start) @ self.axis) * self.axis
        onward = spot({linkage["lever_moves"]: "1 mm"}) @ np.cross(self.axis, arm)
        chords = mm(linkage["lever_travel"]) + np.array([0, UNSURE_MM])
        full, farther = 2 * np.arcsin(chords / (2 * np.linalg.norm(arm)))
        self.full = np.sign(onward) * full
        self.lowest, self.highest = pedal.lowest, pedal.highest + float(farther / full) - 1
        self.solids = [bar(self.start, end, mm(linkage["dia"]))]
        for lever in linkage["levers"].values():
            self.solids += bars(map(spot, lever["through"]), mm(lever["dia"]))

    def at(self, share: float, side: float = 0.0) -> Pose:
        """Turned by its share of the whole."""
        return about(self.start, self.axis, share * self.full)


Driven = Pedal | Boot | Rod | CrossBar


def driven(job: Table) -> dict[str, Driven]:
    """All that moves with a pedal, by name."""
    found: dict[str, Driven] = {}
    pedals = {pedal["name"]: Pedal(job, pedal["name"]) for pedal in job["pedals"]}
    for linkage in job["linkages"]:
        kind = Rod if linkage["kind"] == "pushrod" else CrossBar
        found[linkage["name"]] = kind(linkage, pedals[linkage["driven_by"]])
    for boot in job["driver"]["boots"]:
        found[f"boot on {boot['on']}"] = Boot(job, pedals[boot["on"]])
    return found | pedals


def slack_mm(moving: Driven | None, heaves: int) -> float:
    """How far under the distance by hand a bracketed bound may lie, each part explained.

    A round part's facets stand up to 0.1 outside it, on both sides; a search stops within 0.05. A lean taken straight
    leaves out wear^2 / 2r; a rod's balls and slices stand up to 0.3 outside. A heave taken as an octagon round the
    circle of pulls is 1 / cos(22.5 deg) of it, these samples at worst cos(11.25 deg); places on unit and bracket lie
    up to 1.25 times as far from the bearing as the face. The hull of its arcs holds 0.03 more.
    """
    slack = 0.2 + 0.05
    if moving is not None and heaves > 1:
        slack += 1.25 * PULL_MM * (1 / np.cos(np.pi / 8) - np.cos(np.pi / AZIMUTHS)) + 0.03
    if isinstance(moving, Pedal | Rod):
        slack += 0.03
    return float(slack + 0.3 if isinstance(moving, Rod) else slack)


def sides(moving: Driven) -> tuple[float, ...]:
    """Which ways it leans: a pedal and the pin it carries each way, the rest not."""
    return (-1.0, 1.0) if isinstance(moving, Pedal | Rod) else (0.0,)


def least_in_travel(still: list[Solid], heaves: list[Pose], moving: Driven) -> float:
    """Least sampled distance over travel, lean and heave: once over, then more finely there."""
    step = (moving.highest - moving.lowest) / SAMPLES
    shares = np.linspace(moving.lowest, moving.highest, SAMPLES + 1)
    once_over = _sampled(still, heaves, moving, shares, sides(moving))
    return _sampled(still, heaves, moving, _near(moving, once_over[1], step, FINER), sides(moving))[0]


def _near(moving: Driven, share: float, within: float, many: int) -> Vector:
    """Shares on both sides of one, kept to the travel; the one itself and both ends of the stretch among them."""
    shares = share + np.linspace(-within, within, many)
    return np.unique(np.minimum(np.maximum(shares, moving.lowest), moving.highest))


def _sampled(
    still: list[Solid], heaves: list[Pose], moving: Driven, shares: Vector, leans: Iterable[float]
) -> tuple[float, float]:
    pulled = [standing(still, heave) for heave in heaves]
    swung = ((share, standing(moving.solids, moving.at(share, lean))) for share, lean in product(shares, leans))
    return min((min(nearest(one, there) for one in pulled), float(share)) for share, there in swung)


def least_at(share: float, still: list[Solid], heaves: list[Pose], moving: Driven) -> float:
    """Least sampled distance over lean and heave with the pedal held at a share of its travel."""
    return _sampled(still, heaves, moving, np.array([share]), sides(moving))[0]


def first_touch(still: list[Solid], heaves: list[Pose], moving: Driven) -> float:
    """The first share of travel from rest on at which a sampled lean and heave meet; halved down to 0.0001."""

    def apart(share: float) -> bool:
        return least_at(share, still, heaves, moving) > 0

    shares = np.linspace(0.0, moving.highest, SAMPLES + 1)
    met = next(i for i, share in enumerate(shares) if not apart(share))
    low, high = shares[met - 1], shares[met]
    while high - low > 1e-4:
        half = (low + high) / 2
        low, high = (half, high) if apart(half) else (low, half)
    return float(high)
