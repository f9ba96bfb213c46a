"""The example saloon with a column that tilts and reaches and an engine that rocks, all of it invented. Millimetres."""

from typing import Any

import numpy as np

from fitcheck.clearance.gaps import Found, gaps
from fitcheck.geometry.gap import GapEngine
from tests import jobs
from tests.jobs import at

HUB = np.array([636.0, -13.0, 398.0])
PIVOT = np.array([40.0, -1.0, 81.0])
CHORD = {"up": 24.0, "down": 16.0}
ENGINE = {"about": at(-300, 60, -330), "about_to": at(200, 70, -350), "at": at(-100, 60, -20), "by": "15 mm ± 0 mm",
          "lifts": "right", "other_way": "5 mm ± 0 mm"}  # fmt: skip


def saloon(*moving: str, pipe: tuple[Any, Any] = (at(-250, -25, 5), at(260, -40, 35)), **groups: Any) -> jobs.Tables:
    """Car A with what is `moving`, of tilt, reach and rock; a pipe of the engine's passes under the unit."""
    tables = jobs.saloon()
    for chapter in ("cuts", "linkages"):
        del tables[chapter]
    column: jobs.Tables = {}
    if "tilt" in moving:
        chords = {way: f"{chord:g} mm ± 0 mm" for way, chord in CHORD.items()}
        column["tilt"] = {"pivot": at(*PIVOT), **chords}
    if "reach" in moving:
        column["reach"] = {"slides_at": "655 mm", "toward_driver": "20 mm ± 0 mm", "away": "15 mm ± 0 mm"}
    given = {**({"column": column} if column else {}), **({"engine": ENGINE} if "rock" in moving else {}), **groups}
    tables["obstacles"] = [
        {"name": "pipe", "group": "engine", "shape": {"through": list(pipe), "dia": "34 mm"}, "new": True}
    ]
    return {**tables, **({"groups": given} if given else {})}


def found(tables: jobs.Tables, a: str, b: str) -> Found:
    """The pair of those names, either first."""
    entries = gaps(GapEngine(), jobs.job(tables), jobs.scene(tables))
    return next(entry for entry in entries if {entry.pair.a.name, entry.pair.b.name} == {a, b})
