"""From the job's tables to observations: what was read, how good it is, and which points it speaks of.

Every offset of a point under [points] is one observation, every number of [[readings]] another; a plumb line is two, a
point on an axis three, a swing one for each place of its mark but the first.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial

from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Frame, Vector
from fitcheck.job.model import Job
from fitcheck.job.observed import (
    DATUM,
    AlongEdge,
    Axis,
    AxisAngle,
    Height,
    InScan,
    Observed,
    OffColumnOf,
    OffsetsOf,
    OnAxis,
    Plumb,
    Swings,
    Tape,
    ToPlane,
    Tube,
)
from fitcheck.job.places import OPPOSITES, OffColumn, Offsets
from fitcheck.job.tools import TOOLS
from fitcheck.readings import predictions as say
from fitcheck.readings.adjust import Observation
from fitcheck.readings.directions import BACK, RIGHT, TOWARD, UP, level2car
from fitcheck.readings.reading import Path, Reading, measured

WAYS = dict(zip(("back", "right", "up"), (BACK, RIGHT, UP), strict=True))
OFF_AXIS_MM = 1.0  # a point held to a straight edge or a tube; common practice, no source
PIVOT_PLAY_MM = 0.5  # a worn bush, in the radius of a mark; common practice, no source
AT_LEAST_MM = 1e-3  # a spread of nothing would make a reading the only one that counts


@dataclass(frozen=True)
class Column:
    """The column as readings off it need it: names of its two points, the side of the lower one, half the jacket."""

    hub_seat: str
    low: str
    outward: Vector | None
    radius: float
    marks: dict[str, float]


class Observer:
    """Makes observations of a job; `root` leads a point's name to the point it stands for, where that is another."""

    def __init__(self, job: Job, root: Callable[[str], str], column: Column | None) -> None:
        self.job, self.root, self.column = job, root, column
        self._read = {reading.path: reading for reading in measured(job, ("unit", "cuts", "shaft", "obstacles"))}
        self._level = level2car(job.job)

    def like(self, job: Job) -> "Observer":
        """The same for a job that differs in what the readings lean on."""
        column = self.column
        if column is not None:
            column = column_of(job, self.root, {column.hub_seat, column.low})
        return Observer(job, self.root, column)

    def of_points(self, names: list[str]) -> Iterator[Observation]:
        """Observations that stand under [points] itself."""
        for name in names:
            place = self.job.points[name]
            if isinstance(place, Offsets):
                yield from self._offsets(place, ("points", name), name, place.from_)
            elif isinstance(place, OffColumn):
                yield from self._off_column(place, ("points", name), name)

    def of_readings(self) -> Iterator[Observation]:
        """Observations of [[readings]], in their order."""
        for i, each in enumerate(self.job.readings):
            path: Path = ("readings", i)
            match each:
                case OffsetsOf():
                    yield from self._offsets(each, path, each.of, each.from_)
                case OffColumnOf():
                    yield from self._off_column(each, path, each.of)
                case AxisAngle():
                    yield from self._angles(each, path)
                case Plumb():
                    yield from self._plumb(each, path)
                case InScan():
                    yield from self._scan(each, path)
                case Swings():
                    yield from self._swings(each, path)
                case OnAxis():
                    yield from self._on_axis(each, (*path, "along"), each.of, each.on_axis, 1)
                case Tube():
                    yield from self._on_axis(each, (*path, "stub_to_near"), each.stub, each.tube, -1)
                case AlongEdge():
                    yield from self._edge(each, path)
                case Tape() | Height() | ToPlane():
                    yield self._single(each, path)

    def _made(
        self, path: Path, words: str, names: list[str], predict: Callable[..., float], **more: bool
    ) -> Observation:
        return self._as(self._read[path], words, names, predict, **more)

    def _as(
        self, reading: Reading, words: str, names: list[str], predict: Callable[..., float], turns: bool = False
    ) -> Observation:
        if not reading.spread > (0 if reading.is_angle else AT_LEAST_MM):
            raise KeyFault(reading.path, 'no reading is exact; state how good it is, as in "± 1 mm", or leave that out')
        return Observation(reading, words, tuple(map(self.root, names)), predict, turns, _slopes(predict))

    def _offsets(self, place: Offsets, path: Path, name: str, start: str | None) -> Iterator[Observation]:
        for way, other in OPPOSITES.items():
            for key, sign in ((way, 1), (other, -1)):
                if getattr(place, key) is None:
                    continue
                along = sign * WAYS[way]
                if place.by == "level":
                    along = self._level.directions(along)
                words = f"{name}, {key}" + ("" if start is None else f" from {start}")
                yield self._made((*path, key), words, [name, start or DATUM], partial(say.offset, way=along))

    def _off_column(self, place: OffColumn | OffColumnOf, path: Path, name: str) -> Iterator[Observation]:
        column = self._need_column(path)
        names = [name, column.hub_seat, column.low]
        if len(set(map(self.root, names))) < len(names):
            raise KeyFault(path, "a point of the column's own axis cannot be measured off the column")
        for what in ("along", "out", "clock"):
            if getattr(place, what) is None:
                continue
            read = self._read[(*path, what)]
            extra = column.marks[place.along_from] if what == "along" else 0.0
            extra += column.radius if what == "out" and place.out_from == "skin" else 0.0
            predict = partial(say.off_column, what=what, outward=column.outward, radius=column.radius)
            less = partial(_less, predict, extra)
            yield self._as(read, f"{name}, {what} off the column", names, less, turns=what == "clock")

    def _angles(self, each: AxisAngle, path: Path) -> Iterator[Observation]:
        for what, predict in (("down", say.down), ("across", say.across)):
            if getattr(each, what) is not None:
                how = partial(predict, car2level=self._level.inverse, projected=each.seen == "projected")
                words, names, by_axis = self._along(each.axis, [], how, path)
                yield self._made((*path, what), f"{words}, {what}", names, by_axis, turns=True)

    def _plumb(self, each: Plumb, path: Path) -> Iterator[Observation]:
        """Where the bob comes down against the lower point; nothing said means straight above."""
        for key, way in (("behind", BACK), ("right_of", RIGHT)):
            along = self._level.directions(way)
            words = f"{each.plumb[0]} plumb above {each.plumb[1]}, {'fore and aft' if key == 'behind' else 'sideways'}"
            predict = partial(say.offset, way=along)
            if getattr(each, key) is None:
                reading = self._held(each, (*path, "plumb", key), None, "plumb")
                yield self._as(reading, words, list(each.plumb), predict)
            else:
                yield self._made((*path, key), words, list(each.plumb), predict)

    def _held(self, each: Observed, path: Path, own: float | None, tool: str | float) -> Reading:
        """A reading of 0 that stands in no number of the file: what was held to, and how well."""
        if own is not None:
            return Reading(path, 0.0, own, "stated", is_angle=False)
        if isinstance(tool, float):
            return Reading(path, 0.0, tool, "held by hand, default", is_angle=False)
        if each.spread is not None:
            return Reading(path, 0.0, each.spread.mm, "stated for the point", is_angle=False)
        used = TOOLS[each.tool or tool]
        return Reading(path, 0.0, used.spread, used.words + ("" if each.tool else ", default"), is_angle=False)

    def _scan(self, each: InScan, path: Path) -> Iterator[Observation]:
        for which, key in enumerate(WAYS):
            names = [each.of, f"scan {each.in_scan}: shift", f"scan {each.in_scan}: turn"]
            yield self._made(
                (*path, key), f"{each.of}, {key} in {each.in_scan}", names, partial(say.in_scan, which=which)
            )

    def _swings(self, each: Swings, path: Path) -> Iterator[Observation]:
        first, *others = each.swings
        play = None if each.play is None else each.play.mm
        for k, other in enumerate(others, start=1):
            names = [each.about, first, other, *([] if each.axis_to is None else [each.axis_to])]
            reading = self._held(each, (*path, "swings", k), play, PIVOT_PLAY_MM)
            yield self._as(
                reading, f"{first} and {other} as far from {each.about}", names, partial(say.growth, across_car=RIGHT)
            )

    def _on_axis(self, each: OnAxis | Tube, path: Path, point: str, axis: Axis, sign: int) -> Iterator[Observation]:
        words, names, along = self._along(axis, [point], say.along, path[:2])
        yield self._made(path, f"{point} along {words}", names, partial(_signed, along, sign))
        slop = None if each.off is None else each.off.mm
        for which in (0, 1):
            reading = self._held(each, (*path[:2], "off", which), slop, OFF_AXIS_MM)
            _, names, off = self._along(axis, [point], partial(say.off, which=which), path[:2])
            yield self._as(reading, f"{point} on the line of {words}", names, off)

    def _along(
        self, axis: Axis, others: list[str], predict: Callable[..., float], path: Path
    ) -> tuple[str, list[str], Callable[..., float]]:
        """Words, points and prediction of a reading along an axis: two points, or the column's own."""
        if axis != "column":
            for name in axis:
                side = getattr(self.job.points.get(self.root(name)), "side", "middle")
                if side != "middle":
                    why = f"'{name}' was measured to its {side} side, so it lies on no axis"
                    raise KeyFault(path, f'{why}; for the steering column write "column" in place of its two points')
            return " - ".join(axis), [*others, *axis], predict
        column = self._need_column(path)
        if set(map(self.root, others)) & {column.hub_seat, column.low}:
            raise KeyFault(path, "a point that makes the column's axis cannot be measured along it")
        how = partial(say.of_column, predict=predict, outward=column.outward, radius=column.radius)
        return "the column", [*others, column.hub_seat, column.low], how

    def _need_column(self, path: Path) -> Column:
        if self.column is None:
            why = "readings off the column need column.hub_seat and column.low as names of points under [points]"
            raise KeyFault(path, why)
        return self.column

    def _edge(self, each: AlongEdge, path: Path) -> Iterator[Observation]:
        for what, predict in (("along", say.along), ("out", say.out)):
            if getattr(each, what) is not None:
                line, names, how = self._along(each.edge, [each.of], predict, path)
                words = f"{each.of}, {what} {'from ' if what == 'out' else ''}the edge {line}"
                yield self._made((*path, what), words, names, how)

    def _single(self, each: Tape | Height | ToPlane, path: Path) -> Observation:
        path = (*path, "reads")
        if isinstance(each, Height):
            words, names = f"{each.height_of} higher than {each.over}", [each.height_of, each.over]
            return self._made(path, words, names, partial(say.offset, way=self._level.directions(UP)))
        if isinstance(each, ToPlane):
            words, names = f"{each.of} to the plane of {', '.join(each.plane)}", [each.of, *each.plane]
            return self._made(path, words, names, say.to_plane)
        halves = 0.0 if each.sizes is None else (each.sizes[0].mm + each.sizes[1].mm) / 2
        beyond = {"middles": 0.0, "near sides": -halves, "far sides": halves}[each.between]
        return self._made(path, f"tape {' - '.join(each.tape)}", list(each.tape), partial(say.distance, beyond=beyond))


CLOSED_FORMS: dict[object, Callable[..., tuple[Vector, Vector]]] = {
    say.offset: say.offset_slopes,
    say.distance: say.distance_slopes,
}


def _slopes(predict: Callable[..., float]) -> Callable[..., tuple[Vector, Vector]] | None:
    """The derivative of a prediction, where it has a closed form here."""
    known = CLOSED_FORMS.get(predict.func) if isinstance(predict, partial) else None
    return None if known is None or not isinstance(predict, partial) else partial(known, **predict.keywords)


def _less(predict: Callable[..., float], extra: float, *points: Vector) -> float:
    return predict(*points) - extra


def _signed(predict: Callable[..., float], sign: int, *points: Vector) -> float:
    return sign * predict(*points)


def column_of(job: Job, root: Callable[[str], str], names: set[str]) -> Column | None:
    """The column, where both its places are points that the net adjusts; else None."""
    hub_seat, low = job.column.hub_seat, job.column.low
    if not (isinstance(hub_seat, str) and isinstance(low, str) and {root(hub_seat), root(low)} <= names):
        return None
    place = job.points[root(low)]
    side = getattr(place, "side", "middle")
    marks = {"hub_seat": 0.0, **{name: mark.along.mm for name, mark in job.column.marks.items()}}
    outward = None if side == "middle" else TOWARD[side]
    return Column(root(hub_seat), root(low), outward, job.column.jacket_od.mm / 2, marks)


def zero() -> dict[str, Vector]:
    """What is known before any reading: the datum."""
    return {DATUM: Frame.identity().origin}
