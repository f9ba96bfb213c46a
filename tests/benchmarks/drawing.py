"""10,000 draws of all readings through every gap near its need, beside as many cars placed and searched anew."""

import time
from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from fitcheck.clearance.gaps import Found, found
from fitcheck.confidence.draws import DRAWS, SEED, Drawing
from fitcheck.confidence.first_order import spreads
from fitcheck.confidence.nudged import Nudged
from fitcheck.geometry.gap import GapEngine
from fitcheck.placement.place import place
from fitcheck.placement.scene import Part
from fitcheck.readings.reading import SIGMAS_95
from fitcheck.readings.survey import all_shifted
from tests.benchmarks.sampling import Count
from tests.benchmarks.work import REPEATS, Best, Example, Row, job_pairs

ANEW = 10  # cars that are placed and searched anew


def drawing_rows(example: Example) -> Iterator[Row]:
    """The near places, then the draws alone; the readings are followed between the two, as they are without draws."""
    entries = [found(GapEngine(), pair) for pair in job_pairs(example)]
    seeking, drawing = Best(), Best()
    for _ in range(REPEATS):
        engine = GapEngine()
        with seeking.run():
            made = Drawing.of(engine, entries)
    nudged = Nudged(example.opened.job, partial(place, folder=example.opened.folder, like=example.scene))
    spreads(nudged, entries, drawing=made)
    for _ in range(REPEATS):
        with drawing.run():
            made.drawn(DRAWS, SEED)
    baseline = {"every car searched anew": _anew(example, made, [entries[i] for i in made.near])}
    part = f"{ANEW} cars"
    many = f"{len(made.near)} pairs near their need, {len(made.readings)} readings"
    yield Row(f"{example.name}: places nearly as close, {many}", engine.queries, seeking, baseline, part)
    none = {name: replace(count, queries=0.0) for name, count in baseline.items()}
    yield Row(f"{example.name}: {DRAWS:,} draws alone", 0, drawing, none, part)


def _anew(example: Example, made: Drawing, entries: list[Found]) -> Count:
    """Cars with all readings drawn, placed and searched anew, scaled up to all draws."""
    count, engine, started = Count(samples=DRAWS, run=ANEW), GapEngine(), time.thread_time()
    for row in made.standard(ANEW, SEED).tolist():
        off = zip(made.readings, row, strict=True)
        moves = [(reading.path, z * reading.spread / SIGMAS_95) for reading, z in off]
        scene = place(all_shifted(example.opened.job, moves), example.opened.folder, like=example.scene)
        for entry in entries:
            a, b = (scene.part(part.name) for part in (entry.pair.a, entry.pair.b))
            assert isinstance(a, Part) and isinstance(b, Part)
            found(engine, replace(entry.pair, a=a, b=b))
    count.queries = engine.queries * DRAWS / ANEW
    count.seconds = (time.thread_time() - started) * DRAWS / ANEW
    return count
