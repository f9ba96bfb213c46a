"""From job to scene: every part placed, what is missing named, in the order in which things hang together."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cached_property, partial
from pathlib import Path as FilePath

from fitcheck.errors import GeometryError, KeyFault
from fitcheck.job.crosschecks import LEFT_FOOT
from fitcheck.job.model import Job
from fitcheck.job.outlook import crossing
from fitcheck.job.reaching import Room
from fitcheck.job.surroundings import Pedal, PivotShaft
from fitcheck.placement import legs
from fitcheck.placement.adjusted import Adjustment, adjustments
from fitcheck.placement.column import ColumnAxis, column_part
from fitcheck.placement.driver import boot_part
from fitcheck.placement.groups import carry
from fitcheck.placement.leaning import Leaning
from fitcheck.placement.linkages import linkage_part
from fitcheck.placement.pedals import pedal_part
from fitcheck.placement.points import Path, Places
from fitcheck.placement.reaching import AT_REST, at_rest, move_name, moving_unit, room_part
from fitcheck.placement.scene import Kind, Missing, Part, Phase, Scene, Setting, Unplaced
from fitcheck.placement.shapes import shape_pieces
from fitcheck.placement.swing import Swing, pivot_shaft_part, swing
from fitcheck.placement.unit import bracket_part, setting, unit_part

# Whose tables say how a group moves, its own first.
OUTWARD = {
    "body": (),
    "frame": ("frame",),
    "engine": ("engine", "frame"),
    "axle": ("axle", "frame"),
    "column": ("column",),
}
# Keys of a pedal that say nothing of how it swings: what it drives and the boot on it do not move with these.
NOT_OF_THE_SWING = {"arm", "arm_wide", "arm_thick", "boss_dia", "tail", "rides"}


@dataclass(frozen=True)
class _Recipe:
    """How one part is made, under which key it stands, and the pieces of the job it `rests_on`."""

    name: str
    path: Path
    kind: Kind
    new: bool
    make: Callable[[], Part]
    rests_on: tuple[object, ...]


@dataclass(frozen=True)
class _Bench:
    """What all recipes share; swings are worked out once and asked for by linkages and boots, as is what was made."""

    job: Job
    folder: FilePath
    like: Scene | None = None
    swings: dict[str, Swing] = field(default_factory=dict)
    made: dict[str, Part] = field(default_factory=dict)

    def swing_of(self, name: str) -> Swing:
        """The swing of the pedal of that name; raises Missing where it is not measured yet."""
        if name not in self.swings:
            index = next(i for i, pedal in enumerate(self.job.pedals) if pedal.name == name)
            self.swings[name] = swing(self.job, index, self.places)
        return self.swings[name]

    @cached_property
    def leaning(self) -> Leaning:
        """Which pieces of the job a part rests on; what was looked up for the scene before is known."""
        return Leaning(self.job, {} if self.like is None else dict(self.like.needs))

    @cached_property
    def core(self) -> tuple[object, ...]:
        """What the column rests on, and all that sits on it."""
        return (*self.leaning.of(self.job.column), *self.moves_of("column"))

    @cached_property
    def axis(self) -> ColumnAxis:
        """The column's axis, taken over where the column rests on the same; raises Missing where it is not measured."""
        before = None if self.like is None else self.like.axis
        return before if before is not None and _the_same(self.like, "column", self.core) else ColumnAxis(self.job)

    @cached_property
    def places(self) -> Places:
        """Where the job's places are."""
        return Places(self.job, lambda: self.axis.column2car, self.axis.along)

    @cached_property
    def at(self) -> Setting:
        """Where the job puts the unit."""
        return setting(self.job, self.axis)

    @cached_property
    def adjusted(self) -> tuple[Adjustment, ...]:
        """How the column tilts and reaches; raises Missing where that is not measured yet."""
        return adjustments(self.job, self.axis.column2car, self.axis.radius, self.places)

    @cached_property
    def unit(self) -> Part:
        """The unit where the job puts it."""
        return unit_part(self.job, self.axis, self.at, self.folder, self.adjusted)

    def moves_of(self, group: str) -> tuple[object, ...]:
        """The tables that say how a group moves, and what the places in them need."""
        groups, shaft = self.job.groups, self.job.shaft
        listed = [None if groups is None or group == "body" else getattr(groups, name) for name in OUTWARD[group]]
        if group == "engine" and listed[0] is None:
            listed[0] = None if shaft is None else shaft.rock
        return self.leaning.of(*(table for table in listed if table is not None))

    def obstacle(self, index: int) -> Part:
        obstacle = self.job.obstacles[index]
        path = ("obstacles", index, "shape")
        pieces = shape_pieces(obstacle.shape, obstacle.name, path, self.places, self.folder, scans=True)
        return Part(
            obstacle.name,
            Kind.OBSTACLE,
            (Phase(pieces, carry=carry(self.job, obstacle.group, self.places)),),
            new=obstacle.new,
            group=obstacle.group,
            soft=obstacle.soft,
            keep_out=obstacle.keep_out,
            joined=frozenset(obstacle.joined),
        )


def place(job: Job, folder: FilePath, like: Scene | None = None, whole: bool = False) -> Scene:
    """The scene of a job; mesh files are looked for in `folder`. Raises KeyFault for what cannot be as written.

    Parts of `like` that rest on the very same pieces of the job are taken over from it. With `whole` it
    holds what feet and legs do off the pedals as well, and what belongs to reaching in.
    """
    bench = _Bench(job, folder, like)
    try:
        axis = bench.axis
    except Missing as missing:
        raise KeyFault(("column",), f"{missing}; without the column nothing has its place") from missing
    parts: list[Part] = []
    unplaced: list[Unplaced] = []
    rests_on: dict[str, tuple[object, ...]] = {}
    for recipe in (*_recipes(bench), *([*_leg_recipes(bench), *_reach_recipes(bench)] if whole else [])):
        rests_on[recipe.name] = recipe.rests_on
        made = None if like is None else _made_already(recipe, like)
        try:
            bench.made[recipe.name] = recipe.make() if made is None else made
            parts.append(bench.made[recipe.name])
        except Missing as missing:
            unplaced.append(Unplaced(recipe.name, recipe.kind, recipe.new, missing.keys, missing.measure))
        except GeometryError as error:
            raise KeyFault(recipe.path, str(error)) from error
    notes = dict.fromkeys([*axis.notes, *bench.places.notes, *(note for part in parts for note in part.notes)])
    return Scene(tuple(parts), tuple(unplaced), bench.at, tuple(notes), rests_on, bench.leaning.needs, axis)


def _made_already(recipe: _Recipe, like: Scene) -> Part | None:
    return like.part(recipe.name) if _the_same(like, recipe.name, recipe.rests_on) else None


def _the_same(like: Scene | None, name: str, rests_on: tuple[object, ...]) -> bool:
    """Whether the part of that name rested on the very same pieces in `like`."""
    before = () if like is None else like.rests_on.get(name, ())
    return len(before) == len(rests_on) and all(a is b for a, b in zip(before, rests_on, strict=True))


def _recipes(bench: _Bench) -> Iterator[_Recipe]:
    job, axis, places, at, folder = bench.job, bench.axis, bench.places, bench.at, bench.folder
    core, pull = bench.core, job.require.wheel_pull
    yield _Recipe("column", ("column",), Kind.COLUMN, False, lambda: column_part(job, axis, bench.adjusted), core)
    rests_on = (*core, *bench.leaning.of(job.unit), pull)
    yield _Recipe("unit", ("unit",), Kind.UNIT, True, lambda: bench.unit, rests_on)
    if job.bracket is not None:
        bracket = job.bracket
        make = lambda: bracket_part(bracket, job, axis, places, at, folder, bench.adjusted)  # noqa: E731
        goes_along = bracket.turns == "with the unit" or bracket.library is not None
        rests_on = (*core, *bench.leaning.of(bracket, *([job.unit] if goes_along else [])), pull)
        yield _Recipe("bracket", ("bracket",), Kind.BRACKET, True, make, rests_on)
    for i, shaft in enumerate(job.pivot_shafts):
        make = partial(pivot_shaft_part, shaft, i, places)
        yield _Recipe(shaft.name, ("pivot_shafts", i), Kind.PIVOT_SHAFT, False, make, bench.leaning.of(shaft))
    yield from _moving_recipes(bench)
    for i, obstacle in enumerate(job.obstacles):
        make = partial(bench.obstacle, i)
        rests_on = (*bench.leaning.of(obstacle), *bench.moves_of(obstacle.group))
        yield _Recipe(obstacle.name, ("obstacles", i), Kind.OBSTACLE, obstacle.new, make, rests_on)


def _moving_recipes(bench: _Bench) -> Iterator[_Recipe]:
    job, places, folder = bench.job, bench.places, bench.folder
    of_swing = {pedal.name: _of_swing(bench, pedal) for pedal in job.pedals}
    for i, pedal in enumerate(job.pedals):
        shafts = _shafts(bench, pedal)
        make = partial(pedal_part, pedal, i, bench.swing_of, places, folder)
        yield _Recipe(pedal.name, ("pedals", i), Kind.PEDAL, pedal.altered, make, bench.leaning.of(pedal, *shafts))
    for i, linkage in enumerate(job.linkages):
        make = partial(linkage_part, linkage, i, bench.swing_of, places, folder)
        rests_on = (*of_swing[linkage.driven_by], *bench.leaning.of(linkage))
        yield _Recipe(linkage.name, ("linkages", i), Kind.LINKAGE, False, make, rests_on)
    if job.driver is None:
        return
    for i, boot in enumerate(job.driver.boots):
        make = partial(boot_part, job.driver, i, bench.swing_of, places)
        rests_on = (*of_swing[boot.on], *bench.leaning.of(job.driver))
        yield _Recipe(f"boot on {boot.on}", ("driver", "boots", i), Kind.BOOT, False, make, rests_on)


def _shafts(bench: _Bench, pedal: Pedal) -> list[PivotShaft]:
    return [shaft for shaft in bench.job.pivot_shafts if shaft.name == pedal.pivot_shaft]


def _of_swing(bench: _Bench, pedal: Pedal) -> tuple[object, ...]:
    """What the pedal's swing rests on."""
    swinging = (getattr(pedal, key) for key in type(pedal).model_fields if key not in NOT_OF_THE_SWING)
    return bench.leaning.of(*swinging, *_shafts(bench, pedal))


def _leg_recipes(bench: _Bench) -> Iterator[_Recipe]:
    """Boots lifted off and crossing, the left foot at rest and the shins, as far as the job speaks of them."""
    driver, places, swing_of = bench.job.driver, bench.places, bench.swing_of
    if driver is None:
        return
    of_swing = {pedal.name: _of_swing(bench, pedal) for pedal in bench.job.pedals}
    of_boot = [(*of_swing[boot.on], *bench.leaning.of(driver)) for boot in driver.boots]
    for i, boot in enumerate(driver.boots):
        path: Path = ("driver", "boots", i)
        make = partial(legs.lifted_part, driver, i, swing_of, places)
        yield _Recipe(legs.lifted_name(boot.on), path, Kind.BOOT, False, make, of_boot[i])
        if boot.knee is not None:
            make = partial(legs.shin_part, driver, i, swing_of, places)
            yield _Recipe(legs.shin_name(boot.on), path, Kind.BOOT, False, make, of_boot[i])
    ends = crossing(bench.job)
    if ends is not None:
        name = legs.crossing_name(*(driver.boots[i].on for i in ends))
        make = partial(legs.crossing_part, driver, ends, swing_of, places)
        rests_on = tuple(rest for i in ends for rest in of_boot[i])
        yield _Recipe(name, ("driver", "boots"), Kind.BOOT, False, make, rests_on)
    if driver.left_foot is not None:
        make = partial(legs.left_foot_part, driver, places)
        yield _Recipe(LEFT_FOOT, ("driver", "left_foot"), Kind.BOOT, False, make, bench.leaning.of(driver))


def _reach_recipes(bench: _Bench) -> Iterator[_Recipe]:
    """Rooms for hands and tools; the unit on its way out, and what is at rest meanwhile."""
    job = bench.job
    if job.reach is None:
        return
    core = (*bench.leaning.of(job.column, job.unit), *bench.moves_of("column"))
    for i, room in enumerate(job.reach.rooms):
        path: Path = ("reach", "rooms", i)
        make = partial(_room, bench, room, path)
        yield _Recipe(room.name, path, Kind.OBSTACLE, True, make, (*core, *bench.leaning.of(room)))
    way = job.reach.way_out
    for i in range(0 if way is None else len(way.moves)):
        make = partial(_on_its_way, bench, i)
        rests_on = (*core, way, *bench.leaning.of(*([] if job.bracket is None else [job.bracket])))
        yield _Recipe(move_name(i), ("reach", "way_out", "moves", i), Kind.UNIT, True, make, rests_on)
    for recipe in _moving_recipes(bench):
        if recipe.kind in (Kind.PEDAL, Kind.LINKAGE):
            make = partial(_at_rest, bench, recipe)
            yield _Recipe(recipe.name + AT_REST, recipe.path, recipe.kind, recipe.new, make, recipe.rests_on)


def _room(bench: _Bench, room: Room, path: Path) -> Part:
    return room_part(room, path, bench.places, bench.folder, bench.unit.phases[0].pieces)


def _at_rest(bench: _Bench, recipe: _Recipe) -> Part:
    return at_rest(bench.made[recipe.name] if recipe.name in bench.made else recipe.make())


def _on_its_way(bench: _Bench, index: int) -> Part:
    reach, bracket = bench.job.reach, bench.job.bracket
    assert reach is not None and reach.way_out is not None
    pieces = list(bench.unit.phases[0].pieces)
    if reach.way_out.bracket == "goes along" and bracket is not None:
        args = (bracket, bench.job, bench.axis, bench.places, bench.at, bench.folder, bench.adjusted)
        pieces += bracket_part(*args).phases[0].pieces
    return moving_unit(index, reach.way_out.moves, pieces, bench.axis.column2car)
