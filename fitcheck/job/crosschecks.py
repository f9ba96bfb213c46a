"""Names in a job that must lead somewhere: points, pedals, shafts and parts, each named once and found."""

from collections.abc import Iterable, Iterator
from difflib import get_close_matches
from math import radians
from typing import Any

from pydantic import BaseModel

from fitcheck.job.cutting_checks import cutting_checks
from fitcheck.job.model import Job
from fitcheck.job.observed import BY_READINGS, DATUM
from fitcheck.job.outlook import crossing
from fitcheck.job.places import OffColumn, Offsets
from fitcheck.job.seen import SeenGap

Path = tuple[str | int, ...]
Complaint = tuple[Path, str]
ALWAYS_THERE = ("column", "unit")
LEFT_FOOT = "left foot at rest"


def crosschecks(job: Job) -> Iterator[Complaint]:
    """Every name that is used twice or leads nowhere, with its path."""
    yield from _twice(job)
    yield from _places(job, job, ())
    yield from _point_circles(job)
    yield from _readings(job)
    yield from _seen(job)
    yield from _pedals(job)
    yield from _parts(job)
    yield from cutting_checks(job)
    yield from _reach(job)
    yield from _shaft(job)
    yield from _guessed(job)


def part_names(job: Job) -> list[str]:
    """Names of all parts the job describes."""
    boots = [] if job.driver is None else [f"boot on {boot.on}" for boot in job.driver.boots]
    bracket = [] if job.bracket is None else ["bracket"]
    listed = (job.pivot_shafts, job.pedals, job.linkages, job.obstacles)
    return [*ALWAYS_THERE, *bracket, *(part.name for parts in listed for part in parts), *boots, *leg_names(job)]


def leg_names(job: Job) -> list[str]:
    """Names of what feet and legs do off the pedals."""
    boots = [] if job.driver is None else job.driver.boots
    lifted = [f"boot lifted off {boot.on}" for boot in boots]
    shins = [f"shin, foot on {boot.on}" for boot in boots if boot.knee is not None]
    ends = crossing(job)
    over = [] if ends is None else [f"boot crossing from {boots[ends[0]].on} to {boots[ends[1]].on}"]
    return [*lifted, *shins, *over, *([] if job.driver is None or job.driver.left_foot is None else [LEFT_FOOT])]


def _twice(job: Job) -> Iterator[Complaint]:
    seen = {
        *ALWAYS_THERE,
        "bracket",
        *(f"boot on {boot.on}" for boot in ([] if job.driver is None else job.driver.boots)),
        *leg_names(job),
    }
    for kind in ("pivot_shafts", "pedals", "linkages", "obstacles"):
        for i, part in enumerate(getattr(job, kind)):
            if part.name in seen:
                yield (kind, i, "name"), f"'{part.name}' is another part's name too; every part needs its own"
            seen.add(part.name)
    on: set[str] = set()
    for i, boot in enumerate([] if job.driver is None else job.driver.boots):
        if boot.on in on:
            yield ("driver", "boots", i, "on"), f"there is already a boot on '{boot.on}'"
        on.add(boot.on)


def _places(job: Job, value: Any, path: Path) -> Iterator[Complaint]:
    """Points and marks that places are taken from."""
    if isinstance(value, Offsets) and value.from_ is not None:
        yield from _known(value.from_, job.points, (*path, "from"), "point", "[points]")
    elif isinstance(value, OffColumn):
        yield from _known(value.along_from, _marks(job), (*path, "along_from"), "mark", "[column.marks]")
    elif isinstance(value, BaseModel):
        for name, field in type(value).model_fields.items():
            yield from _places(job, getattr(value, name), (*path, field.alias or name))
    elif isinstance(value, dict):
        for name, item in value.items():
            yield from _places(job, item, (*path, name))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from _places(job, item, (*path, index))


def _marks(job: Job) -> list[str]:
    return ["hub_seat", *job.column.marks]


def _point_circles(job: Job) -> Iterator[Complaint]:
    for name in job.points:
        trail, at = [name], job.points[name]
        while True:
            onward = at if isinstance(at, str) else at.from_ if isinstance(at, Offsets) else None
            if onward is None or onward not in job.points:
                break
            if onward in trail:
                circle = " from ".join([*trail, onward])
                yield ("points", name), f"measured in a circle: {circle}; one of them needs offsets from the datum"
                break
            trail.append(onward)
            at = job.points[onward]


def _readings(job: Job) -> Iterator[Complaint]:
    """Points that readings name, points that only readings could place, and a point that takes the datum's name."""
    named: set[str] = set()
    for i, reading in enumerate(job.readings):
        here = dict(reading.named())
        if len(set(here.values())) < len(here):
            yield ("readings", i), "one reading names a point twice; name two different ones"
        for key, name in here.items():
            named.add(name)
            yield from _known(name, [*job.points, DATUM], ("readings", i, *key), "point", "[points]")
    for name, place in job.points.items():
        if name == DATUM:
            yield ("points", name), f"'{DATUM}' is the mark all offsets start from; give the point another name"
        if place == BY_READINGS and name not in named:
            yield ("points", name), f"it is to be placed by readings, yet none of [[readings]] names '{name}'"


def _seen(job: Job) -> Iterator[Complaint]:
    """Parts and points that were seen on the mock-up."""
    names = part_names(job)
    for i, seen in enumerate(job.seen):
        pair, kind, known = (
            ("between", "part", names) if isinstance(seen, SeenGap) else ("points", "point", [*job.points])
        )
        two = seen.between if isinstance(seen, SeenGap) else seen.points
        for k, name in enumerate(two):
            where = "the job" if kind == "part" else "[points]"
            yield from _known(name, known, ("seen", i, pair, k), kind, where)
        if two[0] == two[1]:
            yield ("seen", i, pair), f"'{two[0]}' stands here twice; name two different ones"


def _pedals(job: Job) -> Iterator[Complaint]:
    pedals = [pedal.name for pedal in job.pedals]
    shafts = [shaft.name for shaft in job.pivot_shafts]
    yield from _known(job.unit.along_from, _marks(job), ("unit", "along_from"), "mark", "[column.marks]")
    for i, pedal in enumerate(job.pedals):
        if pedal.pivot_shaft is not None:
            yield from _known(pedal.pivot_shaft, shafts, ("pedals", i, "pivot_shaft"), "shaft", "[[pivot_shafts]]")
    for i, linkage in enumerate(job.linkages):
        yield from _known(linkage.driven_by, pedals, ("linkages", i, "driven_by"), "pedal", "[[pedals]]")
    for i, boot in enumerate([] if job.driver is None else job.driver.boots):
        yield from _known(boot.on, pedals, ("driver", "boots", i, "on"), "pedal", "[[pedals]]")


def _parts(job: Job) -> Iterator[Complaint]:
    names = part_names(job)
    moving = [*(pedal.name for pedal in job.pedals), *(linkage.name for linkage in job.linkages)]
    for kind in ("pedals", "linkages", "obstacles"):
        for i, part in enumerate(getattr(job, kind)):
            for k, other in enumerate(part.joined):
                yield from _known(other, names, (kind, i, "joined", k), "part", "the job")
                if kind != "obstacles" and other in ("unit", "bracket"):
                    yield (
                        (kind, i, "joined", k),
                        f"what a pedal moves is never meant to touch the {other}; leave it out",
                    )
    for k, other in enumerate([] if job.bracket is None else job.bracket.joined):
        yield from _known(other, names, ("bracket", "joined", k), "part", "the job")
        if other in moving:
            yield ("bracket", "joined", k), f"the bracket is never meant to touch '{other}', which moves; leave it out"
    yield from _required_pairs(job, names)


def _reach(job: Job) -> Iterator[Complaint]:
    if job.reach is None:
        return
    names, seen = part_names(job), set(part_names(job))
    for i, room in enumerate(job.reach.rooms):
        if room.name in seen:
            yield ("reach", "rooms", i, "name"), f"'{room.name}' is another part's name too; every part needs its own"
        seen.add(room.name)
        for k, other in enumerate(room.may_touch):
            yield from _known(other, names, ("reach", "rooms", i, "may_touch", k), "part", "the job")
    for k, other in enumerate([] if job.reach.way_out is None else job.reach.way_out.off):
        yield from _known(other, names, ("reach", "way_out", "off", k), "part", "the job")


def _guessed(job: Job) -> Iterator[Complaint]:
    """Guesses so wide that they say nothing: what nobody can guess better is left out, and its pairs wait for it."""
    said = job.job.guessed
    if said is None:
        return
    for key, off, most, told in (
        ("places", said.places.mm, 100.0, "100 mm"),
        ("sizes", said.sizes.mm, 50.0, "50 mm"),
        ("angles", said.angles.rad, radians(30.0), "30 deg"),
    ):
        if off > most:
            why = f"a guess that may be off by more than {told} says nothing"
            yield ("job", "guessed", key), f"{why}; write {told} at most, and leave out what you cannot guess so well"


def _shaft(job: Job) -> Iterator[Complaint]:
    names = part_names(job)
    for key in ("hot", "joined"):
        for i, other in enumerate([] if job.shaft is None else getattr(job.shaft, key)):
            yield from _known(other, names, ("shaft", key, i), "part", "the job")


def _required_pairs(job: Job, names: list[str]) -> Iterator[Complaint]:
    seen: dict[frozenset[str], int] = {}
    for i, pair in enumerate(job.require.pairs):
        path: Path = ("require", "pairs", i, "between")
        for k, other in enumerate(pair.between):
            yield from _known(other, names, (*path, k), "part", "the job")
        both = frozenset(pair.between)
        if len(both) == 1:
            yield path, f"'{pair.between[0]}' stands here twice; name the two parts of the pair"
        elif both in seen:
            yield path, f"this pair has its gap already, in require.pairs[{seen[both]}]; keep one of the two"
        seen.setdefault(both, i + 1)


def _known(name: str, names: Iterable[str], path: Path, kind: str, where: str) -> Iterator[Complaint]:
    listed = list(names)
    if name in listed:
        return
    near = get_close_matches(name, listed, n=1)
    hint = f"; did you mean '{near[0]}'?" if near else f"; there are: {', '.join(listed)}" if listed else ""
    yield path, f"there is no {kind} named '{name}' in {where}{hint}"
