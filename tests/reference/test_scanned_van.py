"""The example `van-scanned` on roads of its own: scipy puts the heater in place, manifold3d measures it.

The scan's bytes are read here by themselves; the places of the job put it in the car by scipy's
`Rotation.align_vectors` (Kabsch's algorithm), with the scale that least squares give for that turn; the gap is
manifold3d's `min_gap`. Millimetres.
"""

import tomllib

import numpy as np
import pytest
from manifold3d import Manifold, Mesh
from scipy.spatial import cKDTree
from scipy.spatial.transform import Rotation

from fitcheck.confidence.results import Judged, Result
from fitcheck.geometry.scan_piece import ScanPiece
from fitcheck.placement.scene import Part
from tests import scanned_van
from tests.scanned_van import FOLDER
from tests.verdicts import judged_example

TOLERANCE_MM = 0.05
SINGLE_MM = 1e-3  # manifold3d works in single precision


def triangles(name: str) -> np.ndarray:
    """The corners (k, 3, 3) of a binary STL as its file has them."""
    raw = (FOLDER / name).read_bytes()
    rows = np.frombuffer(raw, dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")], offset=84)
    assert len(rows) == int.from_bytes(raw[80:84], "little")
    return rows["corners"].astype(float)


def entry(a: str, b: str) -> Judged:
    return next(each for each in judged_example("van-scanned").gaps if {each.pair.a.name, each.pair.b.name} == {a, b})


def placed_heater() -> np.ndarray:
    """The heater's triangles in the car, put there without any code of ours."""
    job = tomllib.loads((FOLDER / "job.toml").read_text(encoding="utf-8"))
    (shape,) = [thing["shape"] for thing in job["obstacles"] if thing["name"] == "heater"]
    ways = {"back": (0, 1), "forward": (0, -1), "right": (1, 1), "left": (1, -1), "up": (2, 1), "down": (2, -1)}
    in_scan, in_car = [], []
    for place in shape["fit"]:
        in_scan.append([float(place[axis].split()[0]) for axis in "xyz"])
        car = np.zeros(3)
        for word, (axis, sign) in ways.items():
            if word in job["points"][place["point"]]:
                car[axis] = sign * float(job["points"][place["point"]][word].split()[0])
        in_car.append(car)
    arms, wanted = np.array(in_scan) - np.mean(in_scan, axis=0), np.array(in_car) - np.mean(in_car, axis=0)
    turn = Rotation.align_vectors(wanted, arms)[0].as_matrix()
    size = (wanted * (arms @ turn.T)).sum() / (arms**2).sum()
    assert size == pytest.approx(1 / scanned_van.TOO_SMALL, abs=0.002)
    cm = 10.0
    placed: np.ndarray = (
        np.mean(in_car, axis=0) + size * (cm * triangles("heater.stl") - np.mean(in_scan, axis=0)) @ turn.T
    )
    return placed


def test_the_files_are_those_that_the_maker_writes() -> None:
    for name, made in scanned_van.meshes().items():
        there = triangles(name)
        if name == "unit.stl":  # Qhull may number the triangles of a prism otherwise on another machine
            assert {tuple(at) for at in there.reshape(-1, 3)} == {tuple(at) for at in made.astype("<f4").reshape(-1, 3)}
        else:
            assert (there == made.astype("<f4")).all()
    assert sum(path.stat().st_size for path in FOLDER.glob("*.stl")) < 200_000


def test_the_scan_stands_where_an_independent_fit_puts_it() -> None:
    """As sets of corners, and near what the scan was made from: readings rounded to the millimetre put it there."""
    part = entry("unit", "heater").pair.b
    assert isinstance(part, Part)
    (piece,) = part.phases[0].pieces
    assert isinstance(piece, ScanPiece)
    expected = placed_heater().reshape(-1, 3)
    for one, other in ((piece.scan.vertices, expected), (expected, piece.scan.vertices)):
        assert np.max(cKDTree(one).query(other)[0]) < 1e-3
    made = scanned_van.heater(np.array(list(scanned_van.CORNERS.values()), dtype=float))
    assert np.max(cKDTree(expected).query(made)[0]) < 1.5


def test_the_gap_to_the_heater_is_that_of_an_independent_library() -> None:
    found = entry("unit", "heater")
    assert found.result is Result.CLEAR
    assert found.found.closest is not None and isinstance(found.pair.a, Part)
    corners = placed_heater().reshape(-1, 3)
    vertices, numbers = np.unique(corners.round(5), axis=0, return_inverse=True)
    heater = Manifold(Mesh(vertices.astype(np.float32), numbers.reshape(-1, 3).astype(np.uint32)))
    assert heater.volume() > 0
    least = min(
        Manifold(Mesh(piece.corners.astype(np.float32), piece.faces.astype(np.uint32))).min_gap(heater, 500.0)
        for piece in found.pair.a.phases[0].pieces
    )
    gap = found.found.closest.gap
    assert gap.bound_mm <= least + SINGLE_MM
    assert gap.gap_mm >= least - SINGLE_MM
    assert gap.gap_mm - gap.bound_mm <= TOLERANCE_MM
