"""The work that is measured: a whole job, the nodes of its map, the floors of its cells; each beside its baseline."""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from math import ceil

import numpy as np

from fitcheck.clearance.gaps import AMPLE_MM, WORTH_LISTING_MM, found
from fitcheck.clearance.map import MapMaker, Margins
from fitcheck.clearance.map_bodies import turns
from fitcheck.clearance.pairs import Pair, Treatment, need, pairs
from fitcheck.clearance.travel import TOLERANCE_MM, phases
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.opening import OpenJob, open_job
from fitcheck.placement.column import ColumnAxis
from fitcheck.placement.place import place
from fitcheck.placement.scene import Part, Scene
from tests.benchmarks.sampling import Count, Distance, Sampler
from tests.jobs import EXAMPLES

REPEATS = 5
CLOCKS, PLACES = np.radians(np.arange(72) * 5.0), np.linspace(-50.0, 50.0, 21)
WITHIN_MM, CAP_MM = 0.5, 60.0
NODES_RUN, CELLS_RUN, PLACED_A_CELL = 24, 8, 2
JOB_SAMPLES, MAP_SAMPLES = 300, 40  # of each pair of phases, at most


class Best:
    """Best of several runs: `seconds` by the clock, and `own` of the one thread, which other work does not lengthen."""

    def __init__(self) -> None:
        self.seconds = self.own = np.inf

    @contextmanager
    def run(self) -> Iterator[None]:
        clock, thread = time.perf_counter(), time.thread_time()
        yield
        self.seconds = min(self.seconds, time.perf_counter() - clock)
        self.own = min(self.own, time.thread_time() - thread)


@dataclass(frozen=True)
class Row:
    """One line of the table: our queries and best time, and what each baseline costs."""

    work: str
    queries: int
    best: Best
    baseline: dict[str, Count]
    part: str


class Example:
    """An example job, placed."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.opened: OpenJob = open_job(EXAMPLES / name / "job.toml")
        self.scene = place(self.opened.job, self.opened.folder)
        self.places = self.scene.setting.input_face_mm + PLACES

    def at(self, clock: float, place_mm: float) -> Scene:
        """The same with its unit elsewhere."""
        job = self.opened.job
        face = replace(job.unit.input_face, mm=job.unit.input_face.mm + place_mm - self.scene.setting.input_face_mm)
        unit = job.unit.model_copy(update={"clock": replace(job.unit.clock, rad=clock), "input_face": face})
        return place(job.model_copy(update={"unit": unit}), self.opened.folder, like=self.scene)


def job_rows(example: Example, libraries: dict[str, Callable[[], Distance]]) -> Iterator[Row]:
    """All pairs, and those of which one part moves at most: sampled evenly, two movements at once cost without end."""
    part = f"at most {JOB_SAMPLES} samples of each pair of phases"
    for words, most in (("all", 2), ("one part moving at most", 1)):
        wanted = [pair for pair in job_pairs(example) if len(_moving(pair)) <= most]
        best, engine = Best(), GapEngine()
        for _ in range(REPEATS):
            engine = GapEngine()
            with best.run():
                looked = [found(engine, pair) for pair in wanted]
        baseline = {name: _job_sampled(wanted, library()) for name, library in libraries.items()}
        work = f"{example.name}: whole job to {TOLERANCE_MM} mm, {len(looked)} pairs, {words}"
        yield Row(work, engine.queries, best, baseline, part)


def _moving(pair: Pair) -> list[Part]:
    return [part for part in (pair.a, pair.b) if isinstance(part, Part) and part.driven_by is not None]


def job_pairs(example: Example) -> Iterator[Pair]:
    """The pairs that have a gap."""
    for pair in pairs(example.opened.job, example.scene.parts):
        if pair.need.treatment in (Treatment.JUDGED, Treatment.AS_BEFORE):
            yield pair


def _job_sampled(wanted: list[Pair], distance: Distance) -> Count:
    sampler = Sampler(distance, TOLERANCE_MM, JOB_SAMPLES)
    for pair in wanted:
        a, b, least = pair.a, pair.b, np.inf
        assert isinstance(a, Part) and isinstance(b, Part)
        judged = pair.need.treatment is Treatment.JUDGED
        enough = pair.need.required_mm + AMPLE_MM if judged else WORTH_LISTING_MM
        for one in phases(a, b):
            for other in phases(b, a):
                least = sampler.least(one, other, enough, least)
    return sampler.count


def map_rows(example: Example, libraries: dict[str, Callable[[], Distance]]) -> Iterator[Row]:
    """Nodes, then cells."""
    best = Best(), Best()
    for _ in range(REPEATS):
        engine = GapEngine()
        with best[0].run():
            maker = MapMaker(engine, example.opened.job, example.scene, CLOCKS, example.places, True, WITHIN_MM, CAP_MM)
            nodes = maker.nodes()
        with best[1].run():
            cells = maker.cells(nodes)
    size = f"{len(CLOCKS)} x {len(PLACES)}"
    rest = f"at most {MAP_SAMPLES} travels of each pair of phases; a place that hits costs one query"
    baseline = {name: _nodes_sampled(example, nodes, library()) for name, library in libraries.items()}
    work = f"{example.name}: map {size}, nodes to {WITHIN_MM} mm, {nodes.meets.mean():.0%} hit"
    yield Row(work, nodes.queries, best[0], baseline, f"{NODES_RUN} nodes, {rest}")
    baseline = {name: _cells_sampled(example, cells, library()) for name, library in libraries.items()}
    work = f"{example.name}: map {size}, floors of whole cells, {cells.meets.mean():.0%} hit"
    yield Row(work, cells.queries, best[1], baseline, f"{CELLS_RUN} cells, {PLACED_A_CELL} places in each, {rest}")


def _nodes_sampled(example: Example, nodes: Margins, distance: Distance) -> Count:
    sampler = Sampler(distance, WITHIN_MM, MAP_SAMPLES)
    chosen, times = _chosen(nodes, NODES_RUN, sampler.count)
    for clock, along in chosen:
        scene = example.at(float(CLOCKS[clock]), float(example.places[along]))
        _unit_sampled(example, scene, sampler, 0, [times])
    return sampler.count


def _chosen(margins: Margins, most: int, count: Count) -> tuple[list[list[int]], float]:
    """Some of the nodes or cells that do not hit, and how many each stands for; the others are counted at once."""
    open_ = np.argwhere(~margins.meets)
    count.queries += float(margins.meets.sum())
    run = min(most, len(open_))
    picked = np.random.default_rng(1).choice(len(open_), run, replace=False)
    return open_[picked].tolist(), len(open_) / run


def _cells_sampled(example: Example, cells: Margins, distance: Distance) -> Count:
    """Within a cell clock and place move too and share the width with the travels."""
    sampler, rng = Sampler(distance, WITHIN_MM, MAP_SAMPLES), np.random.default_rng(2)
    step, rise, reach = float(CLOCKS[1]), float(PLACES[1] - PLACES[0]), _reach(example)
    places = [ceil(reach * step / (2 * WITHIN_MM / n)) * ceil(rise / (2 * WITHIN_MM / n)) for n in (2, 3)]
    chosen, times = _chosen(cells, CELLS_RUN, sampler.count)
    for clock, along in chosen:
        for share in rng.uniform(0, 1, (PLACED_A_CELL, 2)):
            scene = example.at(float(CLOCKS[clock] + share[0] * step), float(example.places[along] + share[1] * rise))
            _unit_sampled(example, scene, sampler, 2, [times * many / PLACED_A_CELL for many in places])
    return sampler.count


def _reach(example: Example) -> float:
    """Farthest corner of what turns with the unit from the column's axis, mm."""
    car2column = ColumnAxis(example.opened.job).column2car.inverse
    turning = [part for part in example.scene.parts if turns(example.opened.job, part)]
    corners = car2column.points(np.vstack([piece.vertices for part in turning for piece in part.phases[0].pieces]))
    return float(np.hypot(corners[:, 0], corners[:, 1]).max())


def _unit_sampled(example: Example, scene: Scene, sampler: Sampler, others: int, times: list[float]) -> None:
    """One clock and place, the least margin shared by all pairs; `times` for what stands still, then what moves."""
    job = example.opened.job
    turning = [part for part in scene.parts if turns(job, part)]
    margin = CAP_MM
    for mover in turning:
        for part in [part for part in scene.parts if part not in turning]:
            what = need(job, mover, part)
            if what.treatment is not Treatment.JUDGED:
                continue
            for one in phases(mover, part):
                for other in phases(part, mover):
                    many = times[0] if other.moves is None else times[-1]
                    enough = margin + what.required_mm
                    margin = sampler.least(one, other, enough, enough, others, many) - what.required_mm
