"""Readings that are possible but odd: outside what cars have (common practice, no source, unless a line names one).

A job does not fit while one stands: more often than not a sign, a side or a digit is wrong.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from fitcheck.geometry.frames import Vector
from fitcheck.job.angles import degrees
from fitcheck.job.lengths import both_units
from fitcheck.job.model import Job
from fitcheck.placement.column import ColumnAxis
from fitcheck.placement.points import RIGHT, UP, Places
from fitcheck.placement.scene import Kind, Part, Scene
from fitcheck.readings.points import Points
from fitcheck.readings.reading import Path
from fitcheck.readings.settled import points_in
from fitcheck.readings.survey import readings

HOT = ("exhaust", "manifold", "header", "downpipe", "silencer", "muffler")
JACKET_MM = (25.0, 90.0)
SLOPE_DEG = (5.0, 80.0)
ACROSS_DEG = 7.0  # they lean 0 to 5
ARM_ASIDE_MM = 100.0  # an arm's place from its pad, across the car
TRAVEL_MM = (20.0, 220.0)
WIDEST_SPREAD_MM = 20.0
HEELS_APART_MM = 100.0  # boots stand on one floor
PADS_APART_MM = 50.0  # clutch and brake pad at rest, one above the other
KERF_MM = (0.3, 5.0)  # hacksaw to cut-off machine
BEYOND_JACKET_MM = 20.0  # ends of the jacket are read roughly
WAYS = ("back", "right", "up")
WIDEST_SPREAD_DEG = 10.0
# Order of the pedals from the left: Swiss vehicle technical ordinance, Art. 108, as quoted in a collection of rules.
ORDER = (("clutch",), ("brake",), ("throttle", "accelerator"))


@dataclass(frozen=True)
class Odd:
    """A key whose reading looks odd, and why, in words."""

    key: str
    why: str

    @property
    def told(self) -> str:
        """As one line for a person."""
        return f"LOOKS ODD, measure again: {self.key}: {self.why}{'' if self.why.endswith('?') else '.'}"


def oddities(job: Job, scene: Scene, guessed: frozenset[Path] = frozenset()) -> Iterator[Odd]:
    """All that looks odd about the job's readings; those at the paths `guessed` are said to be guesses."""
    yield from _column(job)
    yield from _pedals(job, scene)
    yield from _heels(job, scene)
    yield from _kerf(job)
    yield from _hot(job)
    rests_on = points_in(job)
    of_points = set() if rests_on is None else {each.reading.path for each in rests_on.all_observations}
    for reading in readings(job):
        if reading.path in of_points or reading.path in guessed:
            continue  # a rough reading among better ones does no harm, and a guess is one by its own word
        widest = np.radians(WIDEST_SPREAD_DEG) if reading.is_angle else WIDEST_SPREAD_MM
        if reading.spread > widest:
            said = f"{degrees(reading.spread):.0f} deg" if reading.is_angle else both_units(reading.spread)
            yield Odd(reading.key, f"a reading good to give or take {said} is a guess")


def _hot(job: Job) -> Iterator[Odd]:
    """Exhausts, by their names, that the shaft's chapter does not know to be hot."""
    for i, obstacle in enumerate(job.obstacles, start=1):
        named = next((word for word in HOT if word in obstacle.name.lower()), None)
        if named is not None and job.shaft is not None and job.shaft.joints and obstacle.name not in job.shaft.hot:
            why = f"its name says {named}, yet shaft.hot does not list it; if it never gets hot, name it otherwise"
            yield Odd(f"obstacles[{i}].name", why)


def doubts(points: Points | None) -> Iterator[Odd]:
    """Readings that the others contradict, and points that all of them together leave too loose."""
    for doubt in () if points is None else points.doubtful:
        each = doubt.observation
        read, other = (_amount(value, each.reading.is_angle) for value in (each.reading.value, doubt.would_be))
        why = f"{each.words}: {read}, by the others it would have to be {other}"
        others = ", ".join(other.observation.reading.key for other in doubt.or_else)
        yield Odd(each.reading.key, f"{why}; left out till then" if doubt.left_out else f"{why}; or {others} is wrong")
    for point in () if points is None else points.found:
        worst = max((mm for way, mm in zip(WAYS, point.spread, strict=True) if way not in point.open), default=0.0)
        if worst > WIDEST_SPREAD_MM:
            yield Odd(f"points.{point.name}", f"known only to give or take {worst:.0f} mm; measure it another way too")


def _amount(value: float, is_angle: bool) -> str:
    return f"{degrees(value):.1f} deg" if is_angle else f"{value:.1f} mm"


def _column(job: Job) -> Iterator[Odd]:
    od = job.column.jacket_od.mm
    if not JACKET_MM[0] <= od <= JACKET_MM[1]:
        usual = " to ".join(map(both_units, JACKET_MM))
        yield Odd("column.jacket_od", f"a jacket of {both_units(od, 1)}; they are {usual}")
    axis = ColumnAxis(job)
    yield from _low(job, axis)
    down = axis.column2car.rotation[:, 2]
    slope = degrees(float(np.arctan2(-down[2], -down[0])))
    if not SLOPE_DEG[0] <= slope <= SLOPE_DEG[1]:
        yield Odd("column", f"its lower end does not lie ahead of and below the hub seat ({slope:.0f} degrees down)")
    across = degrees(float(np.arcsin(down[1])))
    if abs(across) > ACROSS_DEG:
        side = "right" if across > 0 else "left"
        yield Odd("column", f"its lower end leans {abs(across):.0f} degrees to the driver's {side}; left for right?")


def _low(job: Job, axis: ColumnAxis) -> Iterator[Odd]:
    """A low place read to the jacket's side where there is no jacket."""
    if job.column.low is None:
        return
    places, path = Places(job, lambda: axis.column2car, axis.along), ("column", "low")
    down = axis.column2car.rotation[:, 2]
    middle = places.point(job.column.low, path, half=axis.radius, axis=down)
    if (middle == places.point(job.column.low, path, half=0.0)).all():
        return  # read to the middle, so maybe on the bare shaft
    along = float((middle - axis.column2car.origin) @ down)
    start, end = job.column.jacket_from.mm, job.column.jacket_to.mm
    if not start - BEYOND_JACKET_MM <= along <= end + BEYOND_JACKET_MM:
        ends = f"the jacket goes from {both_units(start)} to {both_units(end)}"
        yield Odd("column.low", f"it lies {both_units(along)} down from the hub seat, {ends}; forward for back?")


def _heels(job: Job, scene: Scene) -> Iterator[Odd]:
    """A heel far above or below the others."""
    driver = job.driver
    if driver is None:
        return
    axis = ColumnAxis(job)
    places = Places(job, lambda: axis.column2car, axis.along)
    heels = sorted(
        (float(places.point(boot.heel, ("driver", "boots", i, "heel"), need=("back", "up")) @ UP), i)
        for i, boot in enumerate(driver.boots)
        if scene.part(f"boot on {boot.on}") is not None
    )
    if len(heels) < 2:
        return
    (lowest, low), (highest, high) = heels[0], heels[-1]
    for away, i, way in ((highest - heels[-2][0], high, "above"), (heels[1][0] - lowest, low, "below")):
        if away > HEELS_APART_MM:
            why = f"it stands {both_units(away)} {way} the next heel, and both on one floor; up for down?"
            yield Odd(f"driver.boots[{i + 1}].heel", why)
            return


def _kerf(job: Job) -> Iterator[Odd]:
    kerf = None if job.cuts is None else job.cuts.saw.kerf
    if kerf is not None and not KERF_MM[0] <= kerf.mm <= KERF_MM[1]:
        usual = " to ".join(f"{mm:g} mm" for mm in KERF_MM)
        yield Odd("cuts.saw.kerf", f"a kerf of {kerf.text}; saws leave {usual}")


def _pedals(job: Job, scene: Scene) -> Iterator[Odd]:
    placed = {part.name: part for part in scene.parts if part.kind is Kind.PEDAL}
    pads: list[tuple[int, Vector, str, int]] = []
    for i, pedal in enumerate(job.pedals, start=1):
        part = placed.get(pedal.name)
        if part is None or part.phases[0].travel is None:
            continue
        travel = part.phases[0].travel
        chord = travel.chord_mm(1.0)
        if not TRAVEL_MM[0] <= chord <= TRAVEL_MM[1]:
            key = f"pedals[{i}].travel" if pedal.travel is not None else f"pedals[{i}].travel_angle"
            yield Odd(key, f"{both_units(chord)} of travel at the {pedal.name} pad")
        yield from _aside(i, pedal.name, part)
        rank = next((k for k, names in enumerate(ORDER) if any(name in pedal.name.lower() for name in names)), None)
        if rank is not None:
            pad = np.mean([each.centre for each in part.phases[0].pieces if each.name.endswith("pad")], axis=0)
            pads.append((rank, pad, pedal.name, i))
    pads.sort(key=lambda pad: pad[0])
    for (rank, left, one, i), (_, right, other, k) in pairwise(pads):
        if left @ RIGHT >= right @ RIGHT:
            yield Odd("pedals", f"the {one} pad lies right of the {other} pad; left for right?")
        above = float((left - right) @ UP)
        if rank == 0 and abs(above) > PADS_APART_MM:
            way = "above" if above > 0 else "below"
            why = f"at rest the {one} pad lies {both_units(abs(above))} {way} the {other} pad (pedals[{k}].pad.at)"
            yield Odd(f"pedals[{i}].pad.at", f"{why}; up for down?")


def _aside(number: int, name: str, part: Part) -> Iterator[Odd]:
    """An arm on the other side of the car than its pad: more often than not left for right."""
    middles = {kind: [piece.centre[1] for piece in part.phases[0].pieces if piece.name == f"{name} {kind}"]
               for kind in ("arm", "pad")}  # fmt: skip
    off = max((abs(float(arm - middles["pad"][0])) for arm in middles["arm"]), default=0.0)
    if off > ARM_ASIDE_MM:
        yield Odd(f"pedals[{number}].arm", f"the {name} arm runs {both_units(off)} beside its pad; left for right?")
