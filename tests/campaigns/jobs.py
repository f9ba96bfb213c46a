"""Whole random jobs against coal, an independent convex distance library, sampled through every movement.

Each job is an invented car of the examples with everything shifted at random. At `even` places of the movements of
each pair of pieces, and `near` places round where the engine has it closest, no gap may lie below the bound; nor may
the unit stand nearer when truly turned by a pull at the wheel. A bracket is no wider than promised, and its place has
its gap. A place is left out where bounding spheres, or a plane along coal's last normal, hold the two apart.
"""

import argparse
import sys
import time
from collections import Counter
from collections.abc import Iterator
from itertools import product
from typing import Any

import numpy as np
from scipy.spatial.transform import Rotation

from fitcheck.clearance.gaps import Found, gaps
from fitcheck.clearance.map_bodies import turns
from fitcheck.clearance.travel import TOLERANCE_MM, Closest, counts_pulled, phases
from fitcheck.errors import JobError, KeyFault
from fitcheck.geometry.frames import Frame, Vector
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.movement import Movement, Turn
from fitcheck.job.model import Job
from fitcheck.placement.column import ColumnAxis, lower_bearing_mm
from fitcheck.placement.scene import Part, Phase, Scene
from tests import jobs
from tests.geometry.shapes import frame_at
from tests.reference.independent import GAVE_UP, SecondOpinion
from tests.reference.test_coal import SAME_MM

NAMES = ("saloon-10-45", "van-440-along", "saloon-adjustable", "saloon-shaft", "van-shaft")
CHAPTERS = ("cuts", "shaft")  # no gap of pairs is among them
TRIES = 50
TOUCH_MM = 1e-6  # the reference's own accuracy
At = tuple[float, ...]
Poses = tuple[Vector, Vector]  # turns (n, 3, 3) and shifts (n, 3) of one body as seen from another


def options(names: Any) -> None:
    parser = names.add_parser("jobs", help="whole random jobs, sampled through every movement")
    parser.add_argument("--jobs", type=int, default=300, help="random jobs (default 300)")
    parser.add_argument("--even", type=int, default=200, help="even samples of each pair of pieces (default 200)")
    parser.add_argument("--near", type=int, default=50, help="samples round each certified place (default 50)")
    parser.add_argument("--seed", type=int, default=0)
    parser.set_defaults(run=run)


def run(asked: argparse.Namespace) -> int:
    counts: Counter[str] = Counter()
    started = time.perf_counter()
    for number in range(asked.jobs):
        for finding in whole_job(asked.seed + number, asked.even, asked.near, counts):
            counts["findings"] += 1
            sys.stdout.write(f"job {asked.seed + number}: {finding}\n")
            sys.stdout.flush()
    told = ", ".join(f"{count} {name}" for name, count in sorted(counts.items()))
    sys.stdout.write(f"{asked.jobs} jobs in {time.perf_counter() - started:.0f} s: {told}\n")
    return 1 if counts["findings"] else 0


def whole_job(seed: int, even: int, near: int, counts: Counter[str], most: int | None = None) -> Iterator[str]:
    """What is found wrong about one random job, in words; what was done is added to `counts`.

    With `most`, only so many pairs are sampled, the nearest ones.
    """
    rng = np.random.default_rng([seed, 77])
    job, scene = any_job(rng, NAMES[seed % len(NAMES)], counts)
    engine, other = GapEngine(), SecondOpinion()
    entries = [entry for entry in gaps(engine, job, scene) if entry.closest is not None]
    for entry in sorted(entries, key=nearness)[:most]:
        a, b = entry.pair.a, entry.pair.b
        assert isinstance(a, Part) and isinstance(b, Part) and entry.closest is not None
        counts["pairs"] += 1
        counts["hit"] += entry.closest.gap.gap_mm == 0
        wrong = [*at_its_place(entry.closest, a, b, other), *nearer(entry, rng, other, (even, near), counts)]
        wrong += pulled_nearer(entry, rng, other, (job, scene), near)
        yield from (f"{a.name} - {b.name}: {words}" for words in wrong)
    counts.update(queries=engine.queries, second_road=engine.second_road, third_road=engine.third_road)
    counts["coal asked twice"] += other.gave_up


def nearness(entry: Found) -> float:
    """The bound; below 0 for what hits."""
    assert entry.closest is not None
    return entry.closest.gap.bound_mm - entry.closest.gap.depth_mm


def any_job(rng: np.random.Generator, name: str, counts: Counter[str]) -> tuple[Job, Scene]:
    """An example with its clock, places and sizes drawn anew; drawn again where they are refused."""
    for _ in range(TRIES):
        tables = jobs.example(name)
        for chapter in CHAPTERS:
            tables.pop(chapter, None)
        if rng.random() < 0.5:
            tables = jobs.mirrored(tables)
        tables["unit"]["clock"] = jobs.deg(round(rng.uniform(0, 360), 1))
        if "hand" in tables["unit"]:
            tables["unit"]["hand"] = str(rng.choice(["over", "under"]))
        tables = shaken(tables, rng, float(rng.choice([3.0, 12.0, 30.0])))
        try:
            job = jobs.job(tables)
            return job, jobs.scene(tables)
        except (KeyFault, JobError):
            counts["drawn again"] += 1
    raise ValueError(f"{name}: nothing drawn in {TRIES} tries can be placed")


def shaken(value: Any, rng: np.random.Generator, by_mm: float, key: str = "") -> Any:
    """Every length in millimetres up to `by_mm` off; what is small stays within a tenth of itself."""
    if isinstance(value, dict):
        return {name: shaken(item, rng, by_mm, name) for name, item in value.items()}
    if isinstance(value, list):
        return [shaken(item, rng, by_mm, key) for item in value]
    if not (isinstance(value, str) and value.endswith(" mm") and value.count(" ") == 1) or key == "spread":
        return value
    length = float(value.removesuffix(" mm"))
    return jobs.mm(round(length + rng.uniform(-1, 1) * min(by_mm, 0.1 * length), 3))


def at_its_place(closest: Closest, a: Part, b: Part, other: SecondOpinion) -> Iterator[str]:
    """The bracket's width, and whether the two pieces have the told gap where they are told to have it."""
    gap = closest.gap
    if gap.bracketed and gap.gap_mm > 0 and not gap.gap_mm - gap.bound_mm <= TOLERANCE_MM:
        yield f"a bracket of {gap.bound_mm} to {gap.gap_mm}"
    one, two = phases(a, b)[closest.a_phase], phases(b, a)[closest.b_phase]
    between = frame_at(one.chain, gap.a_at).inverse @ frame_at(two.chain, gap.b_at)
    there = other.distance(one.pieces[gap.a_piece], two.pieces[gap.b_piece], between)
    if there > GAVE_UP and not (there <= TOUCH_MM if gap.gap_mm == 0 else abs(there - gap.gap_mm) <= SAME_MM):
        yield f"told to be {gap.gap_mm}, and {there} at its place"


def nearer(
    entry: Found, rng: np.random.Generator, other: SecondOpinion, many: tuple[int, int], counts: Counter[str]
) -> Iterator[str]:
    """Sampled places of the scene's own pieces and movements that lie below the bound."""
    a, b, closest = entry.pair.a, entry.pair.b, entry.closest
    assert isinstance(a, Part) and isinstance(b, Part) and closest is not None
    bound = closest.gap.bound_mm
    if closest.gap.gap_mm == 0:
        return
    least = np.inf
    for (i, one), (j, two) in product(enumerate(phases(a, b)), enumerate(phases(b, a))):
        poses = [evenly(one, two, many[0])]
        if (i, j) == (closest.a_phase, closest.b_phase):
            poses.append(round_about(one, two, (*closest.gap.a_at, *closest.gap.b_at), many[1], rng))
        least = min([least, *(apart(one, two, each, other, bound + 1.0, counts) for each in poses)])
    if not bound <= least + SAME_MM:
        yield f"a bound of {bound}, and {least} sampled"
    counts["sampled within 1 mm of the bound"] += least < bound + 1.0


def evenly(one: Phase, two: Phase, many: int) -> Poses:
    """A grid of about so many places over all movements of both."""
    moves = (*one.chain, *two.chain)
    each = int(np.ceil(many ** (1 / max(1, len(moves)))))
    places = list(product(*(np.linspace(move.start, move.stop, each) for move in moves)))
    return seen(one, two, np.array(places).reshape(len(places), len(moves)))


def round_about(one: Phase, two: Phase, at: At, many: int, rng: np.random.Generator) -> Poses:
    """Places round `at`, a hundredth of each range off."""
    moves = (*one.chain, *two.chain)
    low, high = (np.array([getattr(move, end) for move in moves]) for end in ("start", "stop"))
    off = rng.normal(size=(many if moves else 1, len(moves))) * (high - low) / 100
    return seen(one, two, np.clip(np.array(at) + off, low, high))


def seen(one: Phase, two: Phase, at: Vector) -> Poses:
    """The second phase as seen from the first, with the movements of both at each row of `at` (n, k)."""
    count = len(one.chain)
    return between(stand(one.chain, at[:, :count]), stand(two.chain, at[:, count:]))


def stand(chain: tuple[Movement, ...], at: Vector) -> Poses:
    """Where movements put a body, the first one first, by scipy's rotations."""
    facing, shifts = np.tile(np.eye(3), (len(at), 1, 1)), np.zeros((len(at), 3))
    for move, values in zip(chain, at.T, strict=True):
        if isinstance(move, Turn):
            turn = Rotation.from_rotvec(values[:, None] * move.axis).as_matrix()
            facing, shifts = turn @ facing, np.einsum("nij,nj->ni", turn, shifts - move.point) + move.point
        else:
            shifts = shifts + values[:, None] * move.direction
    return facing, shifts


def between(one: Poses, two: Poses) -> Poses:
    back = one[0].transpose(0, 2, 1)
    return back @ two[0], np.einsum("nij,nj->ni", back, two[1] - one[1])


def apart(one: Phase, two: Phase, poses: Poses, other: SecondOpinion, enough: float, counts: Counter[str]) -> float:
    """Least distance by coal of all pieces in all poses; infinite where they are `enough` apart in all of them."""
    facing, shifts = poses
    least = np.inf
    for a, b in product(one.pieces, two.pieces):
        middles = np.linalg.norm(facing @ b.centre + shifts - a.centre, axis=1) - a.radius - b.radius
        left = np.argsort(middles)[: np.count_nonzero(middles < enough)]
        counts["samples"] += len(facing)
        while len(left):
            answer = other.distance(a, b, Frame(facing[left[0]], shifts[left[0]]))
            counts["coal queries"] += 1
            least = min(least, answer) if answer > GAVE_UP else least
            left = left[1:]
            heights = (facing[left].transpose(0, 2, 1) @ other.normal @ b.corners.T).min(axis=1)
            heights += shifts[left] @ other.normal - (a.corners @ other.normal).max()
            left = left[heights < enough]
    return float(least)


def pulled_nearer(
    entry: Found, rng: np.random.Generator, other: SecondOpinion, placed: tuple[Job, Scene], many: int
) -> Iterator[str]:
    """The unswept pieces, truly turned about the lower bearing by a pull any way, through the other's movements."""
    a, b, closest = entry.pair.a, entry.pair.b, entry.closest
    assert isinstance(a, Part) and isinstance(b, Part) and closest is not None
    sides = [(a, b), (b, a)] if closest.gap.gap_mm > 0 else []
    for mover, against in sides:
        if not (turns(placed[0], mover) and counts_pulled(mover, against)):
            continue
        (own,), (chain,) = mover.phases, [phase.chain for phase in phases(mover, against)]
        for phase in phases(against, mover):
            turn, shift = heaves(rng, *placed, many)
            facing, shifts = stand(chain, drawn(chain, rng, many))
            pulled = facing @ turn, np.einsum("nij,nj->ni", facing, shift) + shifts
            poses = between(pulled, stand(phase.chain, drawn(phase.chain, rng, many)))
            least = apart(own, phase, poses, other, closest.gap.bound_mm + 1.0, Counter())
            if not closest.gap.bound_mm <= least + SAME_MM:
                yield f"a bound of {closest.gap.bound_mm}, and {least} with the wheel pulled"


def drawn(chain: tuple[Movement, ...], rng: np.random.Generator, many: int) -> Vector:
    """Places (many, k) of the movements, at their ends now and then."""
    shares = np.clip(rng.uniform(-0.3, 1.3, (many, len(chain))), 0, 1)
    low, high = (np.array([getattr(move, end) for move in chain]) for end in ("start", "stop"))
    return np.asarray(low + shares * (high - low))


def heaves(rng: np.random.Generator, job: Job, scene: Scene, many: int) -> Poses:
    """True turns about the lower bearing, any way round, by which the input face moves by up to the job's pull."""
    stated = job.require.wheel_pull
    pull = 3.0 if stated is None else stated.mm  # common practice, no source
    column2car, bearing_mm = ColumnAxis(job).column2car, lower_bearing_mm(job)
    ways, share = rng.uniform(0, 2 * np.pi, many), np.clip(rng.uniform(0, 1.4, many), 0, 1)
    axes = column2car.directions(np.column_stack([np.cos(ways), np.sin(ways), np.zeros(many)]))
    angles = np.arcsin(share * pull / (bearing_mm - scene.setting.input_face_mm))
    bearing, turns_ = column2car.points([0, 0, bearing_mm]), Rotation.from_rotvec(angles[:, None] * axes).as_matrix()
    return turns_, bearing - turns_ @ bearing
