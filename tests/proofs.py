"""Proofs of the examples, written once a run, as bytes and as tables to be tampered with."""

import json
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import Any

from fitcheck.clearance.gaps import gaps
from fitcheck.clearance.proof import proof_bytes
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.opening import OpenJob, open_job
from fitcheck.placement.place import place
from fitcheck.readings.settled import settle
from tests.jobs import EXAMPLES

NAMES = sorted(path.parent.name for path in EXAMPLES.glob("*/job.toml"))
Table = dict[str, Any]


def settled(name: str) -> OpenJob:
    """The example of that name, its points resting on all their readings."""
    opened = open_job(EXAMPLES / name / "job.toml")
    return replace(opened, job=settle(opened.job))


@cache
def written(name: str) -> bytes:
    """The proof of the example of that name."""
    opened = settled(name)
    scene = place(opened.job, opened.folder)
    return proof_bytes(opened, scene, gaps(GapEngine(), opened.job, scene))


def table(name: str) -> Table:
    """The same as a table of its own."""
    read: Table = json.loads(written(name))
    return read


def content(proof: Table) -> bytes:
    """A table back as bytes; NaN as JSON's readers and writers usually spell it."""
    return json.dumps(proof, allow_nan=True).encode()


def part(proof: Table, name: str) -> Table:
    return next(entry for entry in proof["parts"] if entry["name"] == name)


def piece(proof: Table, name: str) -> Table:
    """The first piece of that name in any part."""
    return next(piece for entry in proof["parts"] for piece in pieces(entry) if piece["name"] == name)


def pieces(entry: Table) -> Iterator[Table]:
    return (piece for phase in entry["phases"] for piece in phase["pieces"])


def pair(proof: Table, a: str, b: str) -> Table:
    return next(entry for entry in proof["pairs"] if (entry["a"], entry["b"]) == (a, b))


def key(proof: Table, *path: str | int) -> Table:
    return next(entry for entry in proof["keys"] if entry["path"] == list(path))
