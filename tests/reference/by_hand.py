"""Example cars placed a second time, from the figures in their job files alone; nothing of fitcheck is imported.

Car frame: x back, y right, z up, as the driver sees it; mm. Solids are the exact primitives of coal 3 (the convex
distances of the pinocchio project), round where the part is round. Movements are true rigid turns, sampled: what is
least among samples can only be more than the least gap.
"""

import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise, product
from pathlib import Path
from typing import Any

import coal
import numpy as np
import trimesh
from numpy.typing import ArrayLike, NDArray
from scipy.spatial import ConvexHull

ROOT = Path(__file__).resolve().parents[2]
Vector = NDArray[np.float64]
Table = dict[str, Any]
BACK, RIGHT, UP = np.eye(3)
AZIMUTHS = 16  # directions of the heave on the wheel
PULL_MM = 3.0  # heave at the unit's face, every way; common practice, no source
CLOSE_MM = 1e-4  # coal's own accuracy on round parts
GAVE_UP = -1e6  # coal answers minus the largest number where its own search fails


def read(example: str) -> Table:
    """The job file as tables."""
    return tomllib.loads((ROOT / "examples" / example / "job.toml").read_text(encoding="utf-8"))


def mm(text: str) -> float:
    """Such lengths as the examples hold: "700 mm", "2 in", "3/4 in", "16 15/16 in"."""
    *amounts, unit = text.split()
    return float(sum(map(Fraction, amounts)) * {"mm": Fraction(1), "in": Fraction(254, 10)}[unit])


def degrees(text: str) -> float:
    """ "49.7 deg ± 0.2 deg" and "0.3 deg nose up"; "level" is 0."""
    return 0.0 if text == "level" else float(text.split()[0])


def spot(offsets: Table) -> Vector:
    """A place from its offsets in words; other keys (spread, side, remark) are passed over."""
    ways = {"back": BACK, "forward": -BACK, "right": RIGHT, "left": -RIGHT, "up": UP, "down": -UP}
    return np.asarray(sum((mm(offsets[word]) * way for word, way in ways.items() if word in offsets), np.zeros(3)))


def unit(vector: Vector) -> Vector:
    """The vector at length 1."""
    return np.asarray(vector / np.linalg.norm(vector))


@dataclass(frozen=True)
class Pose:
    """x goes to turn x + shift."""

    turn: Vector
    shift: Vector

    def __matmul__(self, first: "Pose") -> "Pose":
        return Pose(self.turn @ first.turn, self.turn @ first.shift + self.shift)

    def point(self, place: Vector) -> Vector:
        """Where `place` (3,) goes."""
        return np.asarray(self.turn @ place + self.shift)

    @property
    def back(self) -> "Pose":
        """The way back."""
        return Pose(self.turn.T, -self.turn.T @ self.shift)


STILL = Pose(np.eye(3), np.zeros(3))


def about(point: Vector, axis: Vector, angle: float) -> Pose:
    """A turn by the right hand: R = 1 + sin(a) K + (1 - cos(a)) K K with K y = axis x y (Rodrigues)."""
    k = np.cross(np.eye(3), axis)
    turn = np.eye(3) + np.sin(angle) * k + (1 - np.cos(angle)) * k @ k
    return Pose(turn, point - turn @ point)


Solid = tuple[Any, Pose]  # coal's shape about its own origin, and where it stands


def bar(start: Vector, end: Vector, dia: float) -> Solid:
    """A round bar with flat ends."""
    z = unit(end - start)
    x = unit(np.cross(z, np.eye(3)[np.abs(z).argmin()]))
    turn = np.column_stack([x, np.cross(z, x), z])
    return coal.Cylinder(dia / 2, float(np.linalg.norm(end - start))), Pose(turn, (start + end) / 2)


def bars(line: Iterable[Vector], dia: float) -> list[Solid]:
    """A round bar for each stretch of a line."""
    return [bar(start, end, dia) for start, end in pairwise(line)]


def block(centre: Vector, axes: list[Vector], size: ArrayLike) -> Solid:
    """A box of `size` along three axes square to each other."""
    return coal.Box(*map(float, np.asarray(size))), Pose(np.column_stack(axes), centre)


def box(one: ArrayLike, other: ArrayLike) -> Solid:
    """The box between two opposite corners, along the car."""
    one, other = np.asarray(one), np.asarray(other)
    return block((one + other) / 2, [BACK, RIGHT, UP], np.abs(other - one))


def hull(points: ArrayLike) -> Solid:
    """The convex hull of points (n, 3)."""
    corners = np.asarray(points, dtype=float)
    around = ConvexHull(corners)
    number = {corner: i for i, corner in enumerate(around.vertices)}
    places, faces = coal.StdVec_Vec3s(), coal.StdVec_Triangle()
    places.extend(list(corners[around.vertices]))
    for (a, b, c), plane in zip(around.simplices, around.equations, strict=True):
        outward = np.cross(corners[b] - corners[a], corners[c] - corners[a]) @ plane[:3] > 0
        faces.append(coal.Triangle(number[a], *((number[b], number[c]) if outward else (number[c], number[b]))))
    return coal.Convex(places, faces), STILL


def standing(solids: list[Solid], goes: Pose = STILL) -> list[tuple[Any, Any]]:
    """The solids where a pose takes them, for coal."""
    places = [goes @ at for _, at in solids]
    return [(shape, coal.Transform3s(at.turn, at.shift)) for (shape, _), at in zip(solids, places, strict=True)]


def nearest(one: list[tuple[Any, Any]], other: list[tuple[Any, Any]]) -> float:
    """Least distance of two parts standing still; where they meet, minus the way to get the deepest pair apart."""
    request = coal.DistanceRequest()
    found = min(coal.distance(*a, *b, request, coal.DistanceResult()) for a, b in product(one, other))
    assert found > GAVE_UP, "coal has no answer"
    return float(found)


class Column:
    """Origin at the hub seat; `down` along the axis, `twelve` as nearly up as is square to it, `three` on its right."""

    def __init__(self, job: Table) -> None:
        column = job["column"]
        given = column["hub_seat"]
        self.seat = spot(job["points"][given] if isinstance(given, str) else given)
        self.radius = mm(column["jacket_od"]) / 2
        self.bearing = mm(column["lower_bearing"])
        self.down = self._to(spot(column["low"])) if "low" in column else self._by_gauge(job)
        self.twelve = unit(UP - (UP @ self.down) * self.down)
        self.three = np.cross(self.down, self.twelve)

    def _to(self, low: Vector) -> Vector:
        """Toward a place on the underside: the axis passes it by the jacket's radius; settled in a few rounds."""
        down = unit(low - self.seat)
        for _ in range(9):
            down = unit(low + self.radius * unit(UP - (UP @ down) * down) - self.seat)
        return down

    def _by_gauge(self, job: Table) -> Vector:
        """Against gravity (-cos d cos c, cos d sin c, -sin d), then turned back by how far the nose stood up."""
        down, across = (np.radians(degrees(job["column"][key])) for key in ("down", "across"))
        level = np.array([-np.cos(down) * np.cos(across), np.cos(down) * np.sin(across), -np.sin(down)])
        sill = np.radians(degrees(job["job"]["sat"]["sill_angle"]))
        # With the nose up the car's own forward is cos forward + sin up of the level, its up cos up - sin forward.
        forward, up = -level[0], level[2]
        return np.array(
            [np.sin(sill) * -up - np.cos(sill) * forward, level[1], np.cos(sill) * up - np.sin(sill) * forward]
        )

    def at(self, along: float) -> Vector:
        """The place that far down the axis."""
        return np.asarray(self.seat + along * self.down)

    def heaves(self, face: float) -> Iterator[Pose]:
        """Not pulled, then turned about the lower bearing until the unit's face has moved by the pull, all ways."""
        yield STILL
        for way in np.arange(AZIMUTHS) * 2 * np.pi / AZIMUTHS:
            axis = np.cos(way) * self.twelve + np.sin(way) * self.three
            yield about(self.at(self.bearing), axis, np.arcsin(PULL_MM / (self.bearing - face)))


class Assist:
    """The unit: x to where the can's end points, z down the column, y = z x x: up when at 9:00; the can passes over."""

    def __init__(self, job: Table, column: Column) -> None:
        self.figures = job["unit"]
        self.face = mm(self.figures["input_face"])
        hours, minutes = map(int, self.figures["clock"].split(":"))
        clock = 2 * np.pi * (hours + minutes / 60) / 12
        self.z = column.down
        self.x = np.cos(clock) * column.twelve + np.sin(clock) * column.three
        self.y = np.cross(self.z, self.x)
        self.origin = column.at(self.face)
        self.gear_from = mm(self.figures["sensor"]["long"])
        self.gear_to = self.gear_from + mm(self.figures["gear_body"]["long"])

    def place(self, x: float, y: float, z: float) -> Vector:
        """A place of the unit's in the car."""
        return np.asarray(self.origin + x * self.x + y * self.y + z * self.z)

    @property
    def middle(self) -> float:
        """How far below the face the can's axis lies: at half the gear body."""
        return (self.gear_from + self.gear_to) / 2

    def solids(self) -> list[Solid]:
        """Sensor, gear body and output on the axis; worm, can and plug on the can's own axis beside it."""
        unit_, motor, middle = self.figures, self.figures["motor"], self.middle
        ends = [0.0, self.gear_from, self.gear_to, self.gear_to + mm(unit_["output"]["long"])]
        dias = [mm(unit_[key]["dia"]) for key in ("sensor", "gear_body", "output")]
        beside, start = mm(motor["beside"]), mm(motor["starts"])
        end = start + mm(motor["long"])
        plug, plug_at = unit_["plug"], end - mm(unit_["plug"]["from_far_end"])
        stands = mm(motor["dia"]) / 2 + mm(plug["stands"])  # toward the wheel: up the column
        can_from, can_to = self.place(start, beside, middle), self.place(end, beside, middle)
        return [
            *(
                bar(self.place(0, 0, a), self.place(0, 0, b), dia)
                for (a, b), dia in zip(pairwise(ends), dias, strict=True)
            ),
            bar(can_from, can_to, mm(motor["dia"])),
            bar(self.place(-mm(unit_["worm"]["behind"]), beside, middle), can_from, mm(unit_["worm"]["dia"])),
            bar(self.place(plug_at, beside, middle), self.place(plug_at, beside, middle - stands), mm(plug["dia"])),
        ]

    def carried(self, mesh: str) -> list[Solid]:
        """The convex parts of one of the project's meshes, which stands in the unit's frame."""
        loaded = trimesh.load(ROOT / "meshes" / mesh)
        assert isinstance(loaded, trimesh.Trimesh)
        parts = loaded.split(only_watertight=False)
        at = Pose(np.column_stack([self.x, self.y, self.z]), self.origin)
        return [(hull(part.vertices)[0], at) for part in parts]


def clamped(job: Table, column: Column) -> list[Solid]:
    """A bracket that stays with the car: its clamp as a full round (only the jacket is inside), and its legs."""
    clamp = job["bracket"]["clamp"]
    start, dia = mm(clamp["along"]), 2 * (column.radius + mm(clamp["thick"]))
    solids = [bar(column.at(start), column.at(start + mm(clamp["wide"])), dia)]
    for leg in job["bracket"]["solids"].values():
        solids += bars(map(spot, leg["through"]), mm(leg["dia"]))
    return solids


def still_parts(job: Table) -> dict[str, list[Solid]]:
    """What stands still in the car; no solid reaches beyond the real part, whose bends are fuller."""
    found = {obstacle["name"]: list(_obstacle(obstacle["shape"])) for obstacle in job["obstacles"]}
    for shaft in job["pivot_shafts"]:
        found[shaft["name"]] = [bar(spot(shaft["at"]), spot(shaft["other_end"]), mm(shaft["dia"]))]
    return found


def _obstacle(shape: Table) -> Iterator[Solid]:
    if "corner" in shape:
        yield box(spot(shape["corner"]), spot(shape["opposite"]))
    elif "through" in shape:
        yield from bars(map(spot, shape["through"]), mm(shape["dia"]))
    elif "outline" in shape:
        yield from _pierced(shape)
    else:  # a sheet along a line on its left edge, its thickness to both sides
        for start, end in pairwise(map(spot, shape["line"])):
            z = unit(end - start)
            size = [mm(shape["width"]), mm(shape["thick"]), float(np.linalg.norm(end - start))]
            yield block((start + end + size[0] * RIGHT) / 2, [RIGHT, np.cross(z, RIGHT), z], size)


def _pierced(shape: Table) -> Iterator[Solid]:
    """An upright plate with one hole: what is below, above, left and right of the square about the hole."""
    low, high = np.min([spot(p) for p in shape["outline"]], axis=0), np.max([spot(p) for p in shape["outline"]], axis=0)
    low = low - mm(shape["thick"]) * BACK  # "to the front"
    hole, half = spot(shape["holes"][0]["at"]), mm(shape["holes"][0]["dia"]) / 2
    for way in (RIGHT, UP):
        yield box(low, np.where(way > 0, hole - half, high))
        yield box(np.where(way > 0, hole + half, low), high)


def complaint(bound_mm: float, bracketed: bool, by_hand_mm: float, slack_mm: float) -> str:
    """What is wrong with a bound beside the least distance by hand; empty when nothing is. NaN is wrong."""
    if not bound_mm <= by_hand_mm + CLOSE_MM:
        return f"bound {bound_mm:.4f} is over the {by_hand_mm:.4f} found by hand"
    if bracketed and not bound_mm >= by_hand_mm - slack_mm:
        return f"bound {bound_mm:.4f} is more than {slack_mm:.2f} under the {by_hand_mm:.4f} found by hand"
    return ""
