"""A pedal's swing against a scan of 330,000 triangles, beside even sampling; the scan is an invented rippled panel."""

import tempfile
import time
from collections.abc import Callable
from math import ceil
from pathlib import Path
from typing import Any

import coal
import fcl
import numpy as np
import trimesh

from fitcheck.clearance.travel import TOLERANCE_MM
from fitcheck.geometry.frames import Frame, Vector
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.scan import Scan, Skin
from fitcheck.geometry.scan_cover import ScanBody, scan_least_gap
from fitcheck.geometry.scan_reading import read_scan
from fitcheck.geometry.solids import Piece
from tests.benchmarks.sampling import Count
from tests.benchmarks.work import REPEATS, Best, Example, Row

SIDE = 407  # corners along each side of the panel
SAMPLES = 150
ToScan = Callable[[Piece, Frame], float]


def panel() -> tuple[Vector, Vector]:
    """Corners (n, 3) and triangles (k, 3) of a panel across the car just ahead of its datum, rippled by 6 mm."""
    right, up = np.meshgrid(np.linspace(-350, 350, SIDE), np.linspace(-300, 400, SIDE), indexing="ij")
    back = -30 + 6 * np.sin(right / 23) * np.cos(up / 31)
    corner = np.arange(SIDE * SIDE).reshape(SIDE, SIDE)
    one, two, three, four = (corner[:-1, :-1], corner[1:, :-1], corner[1:, 1:], corner[:-1, 1:])
    triangles = np.concatenate([np.stack([one, two, three], -1), np.stack([one, three, four], -1)]).reshape(-1, 3)
    return np.stack([back, right, up], axis=-1).reshape(-1, 3), triangles


def scan_rows(example: Example) -> list[Row]:
    """The clutch against the panel; reading the file is timed apart, in the name of the row."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "panel.stl"
        trimesh.Trimesh(*panel(), process=False).export(path)
        started = time.perf_counter()
        skin = read_scan(path, "mm").skin
        skin.tree  # noqa: B018  asked for once here, so that the swing finds it ready
        ready = time.perf_counter() - started
    pedal = example.scene.part("clutch")
    assert pedal is not None
    (phase,) = pedal.phases
    best, engine = Best(), GapEngine()
    for _ in range(REPEATS):
        engine = GapEngine()
        with best.run():
            scan_least_gap(engine, ScanBody(Scan("panel", skin, Frame.identity())), phase.body, TOLERANCE_MM)
    baseline = {}
    for name, library in {"coal": _by_coal, "python-fcl": _by_fcl}.items():
        baseline[name] = _sampled(example, skin, library(skin))
    work = f"scan of {len(skin.triangles):,} triangles, ready in {ready:.1f} s; the clutch's swing to {TOLERANCE_MM} mm"
    return [Row(work, engine.queries, best, baseline, f"{SAMPLES} samples of the swing")]


def _sampled(example: Example, skin: Skin, distance: ToScan) -> Count:
    """Steps as in `sampling`; a piece whose sphere is farther from the scan's box than the least so far is left out."""
    pedal = example.scene.part("clutch")
    assert pedal is not None
    (phase,) = pedal.phases
    assert phase.moves is not None
    reach = max(phase.moves.reach(piece.vertices) for piece in phase.pieces)
    steps = ceil(reach * (phase.moves.stop - phase.moves.start) / (2 * TOLERANCE_MM))
    shares = (np.arange(SAMPLES) + 0.5) / SAMPLES
    frames = [phase.moves.frame(float(phase.moves.start + s * (phase.moves.stop - phase.moves.start))) for s in shares]
    low, high = skin.vertices.min(axis=0), skin.vertices.max(axis=0)
    count, least = Count(samples=steps, run=SAMPLES), np.inf
    for counted in (False, True):
        started, queries = time.perf_counter(), 0
        for frame in frames:
            for piece in phase.pieces:
                middle = frame.points(piece.centre)
                off = np.maximum(np.maximum(low - middle, middle - high), 0.0)
                if np.sqrt(off @ off) - piece.radius < least:
                    least = min(least, distance(piece, frame))
                    queries += 1
        if counted:
            count.queries = queries * steps / SAMPLES
            count.seconds = (time.perf_counter() - started) * steps / SAMPLES
    return count


def _by_coal(skin: Skin) -> ToScan:
    points, faces = coal.StdVec_Vec3s(), coal.StdVec_Triangle()
    points.extend(list(np.array(skin.vertices)))
    faces.extend([coal.Triangle(*face) for face in skin.triangles.tolist()])
    mesh = coal.BVHModelOBBRSS()
    mesh.beginModel(len(faces), len(points))
    mesh.addSubModel(points, faces)
    mesh.endModel()
    shapes: dict[Piece, Any] = {}
    request = coal.DistanceRequest()

    def distance(piece: Piece, frame: Frame) -> float:
        if piece not in shapes:
            corners, triangles = coal.StdVec_Vec3s(), coal.StdVec_Triangle()
            corners.extend([np.array(corner) for corner in piece.corners])
            triangles.extend([coal.Triangle(*face) for face in piece.faces.tolist()])
            shapes[piece] = coal.Convex(corners, triangles)
        pose = coal.Transform3s(np.array(frame.rotation), np.array(frame.origin))
        still = coal.Transform3s.Identity()
        return max(0.0, float(coal.distance(mesh, still, shapes[piece], pose, request, coal.DistanceResult())))

    return distance


def _by_fcl(skin: Skin) -> ToScan:
    mesh = fcl.BVHModel()
    mesh.beginModel(len(skin.triangles), len(skin.vertices))
    mesh.addSubModel(np.array(skin.vertices), np.array(skin.triangles))
    mesh.endModel()
    still = fcl.CollisionObject(mesh)
    shapes: dict[Piece, Any] = {}
    request = fcl.DistanceRequest(enable_nearest_points=True, enable_signed_distance=False)

    def distance(piece: Piece, frame: Frame) -> float:
        if piece not in shapes:
            shapes[piece] = fcl.CollisionObject(fcl.Convex(np.array(piece.corners), 0, []))
        shapes[piece].setTransform(fcl.Transform(np.array(frame.rotation), np.array(frame.origin)))
        return max(0.0, float(fcl.distance(still, shapes[piece], request, fcl.DistanceResult())))

    return distance
