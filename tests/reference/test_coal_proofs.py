"""What a proof proves against coal 3 (the convex distances of the pinocchio project), sampled through every movement.

The solids are built from the proof's own vertices and sweeps, not from the scene: a sampled gap below a bound the
verifier accepted would show the verifier, or the proof's geometry, to be wrong.
"""

from functools import cache
from itertools import product
from typing import Any

import coal
import numpy as np
import pytest
from scipy.spatial import ConvexHull

from fitcheck.verify.bodies import Part, moved
from fitcheck.verify.form import Vector, read
from fitcheck.verify.pairs import counted, every_pair, roles
from fitcheck.verify.readings import Readings
from tests import proofs

SAMPLES, SAMPLES_EACH = 120, 14  # of one movement, of each of two
CLOSE_MM = 1e-6  # the reference's own accuracy
WORST = 8
Phase = tuple[list[dict[str, Any]], list[Vector]]


@cache
def opened(name: str) -> tuple[dict[str, Any], dict[str, Part]]:
    proof = read(proofs.written(name))
    parts = [Part(part, part["name"]) for part in proof["parts"]]
    return proof, {part.name: part for part in parts}


def convex(points: Vector) -> coal.Convex:
    hull = ConvexHull(points)
    corners, faces = coal.StdVec_Vec3s(), coal.StdVec_Triangle()
    corners.extend(list(points[hull.vertices]))
    number = {int(vertex): at for at, vertex in enumerate(hull.vertices)}
    faces.extend([coal.Triangle(*(number[int(vertex)] for vertex in face)) for face in hull.simplices])
    return coal.Convex(corners, faces)


def places(phase: Phase, samples: int) -> list[coal.Transform3s]:
    """Poses spread evenly over all of the phase's movements; one where it stands still."""
    each = int(np.ceil(samples ** (1 / max(1, len(phase[0])))))
    poses = []
    for at in product(*(np.linspace(move["start"], move["stop"], each) for move in phase[0])):
        origin, *axes = moved(np.vstack([np.zeros(3), np.eye(3)]), phase[0], np.array(at))
        poses.append(coal.Transform3s(np.column_stack([axis - origin for axis in axes]), origin))
    return poses


def sampled(a: Phase, b: Phase) -> float:
    samples = SAMPLES_EACH if a[0] and b[0] else SAMPLES
    solids = [[convex(points) for points in phase[1]] for phase in (a, b)]
    request = coal.DistanceRequest()
    distances = (
        coal.distance(one, one_at, other, other_at, request, coal.DistanceResult())
        for one, other in product(*solids)
        for one_at, other_at in product(places(a, samples), places(b, samples))
    )
    return float(min(distances))


@pytest.mark.parametrize("name", proofs.NAMES)
def test_no_proven_bound_is_above_a_sampled_gap(name: str) -> None:
    proof, parts = opened(name)
    readings = Readings(proof["job"], proof["keys"])
    known = roles(readings.job)
    shown = every_pair(proof["pairs"], known, parts, readings)
    judged = sorted((entry for entry in shown if entry.kind == "judged"), key=lambda entry: entry.bound_mm)[:WORST]
    assert judged
    for entry in judged:
        one, other = parts[entry.a], parts[entry.b]
        a_phases = counted(one, known[entry.a], other, known[entry.b])
        b_phases = counted(other, known[entry.b], one, known[entry.a])
        least = min(sampled(a, b) for a, b in product(a_phases, b_phases))
        assert entry.bound_mm <= max(least, 0) + CLOSE_MM, f"{entry.a} - {entry.b}"
        assert entry.result != "hits" or least <= 1.0, f"{entry.a} - {entry.b}"
