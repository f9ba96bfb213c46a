"""Exported parts read back by trimesh: names, boxes, watertight; and their gap by coal equals the verdict's."""

from io import BytesIO
from pathlib import Path

import coal
import numpy as np
import pytest
import trimesh

from fitcheck.confidence.results import Result
from fitcheck.geometry.frames import Vector
from fitcheck.job.opening import open_job
from fitcheck.placement.scene import Kind
from fitcheck.report.export import CAR2GLTF, file_name, glb, solids, stls
from fitcheck.verdict import judge
from tests import jobs
from tests.command import Said, written
from tests.verdicts import judged_example

CAR = "saloon-shaft"


def read_glb(content: bytes) -> dict[str, Vector]:
    """Corners (n, 3) of each node, back in the car's frame, mm."""
    scene = trimesh.load_scene(BytesIO(content), file_type="glb", process=False)
    found = {}
    for node in scene.graph.nodes_geometry:
        place, name = scene.graph[node]
        mesh = scene.geometry[name].copy()
        mesh.apply_transform(place)
        found[node] = np.asarray(mesh.vertices) @ np.linalg.inv(CAR2GLTF).T
    return found


def test_glb_holds_every_part_by_name_and_size() -> None:
    verdict = judged_example(CAR)
    made = glb(verdict)
    assert made == glb(verdict)
    nodes = read_glb(made)
    for part in verdict.scene.parts:
        corners = np.vstack([piece.corners for phase in part.phases for piece in phase.pieces])
        if part.driven_by is None:
            assert nodes[part.name].min(axis=0) == pytest.approx(corners.min(axis=0), abs=1e-3)
            assert nodes[part.name].max(axis=0) == pytest.approx(corners.max(axis=0), abs=1e-3)
    assert {"clutch, swept", "boot on brake, swept", "intermediate shaft"} <= set(nodes)
    assert verdict.opened.digest[:12].encode() in made


def test_car_is_not_mirrored_on_the_way() -> None:
    """Right, up and back of the car make a right hand, as x, y and z of glTF do."""
    assert np.linalg.det(CAR2GLTF * 1000) == pytest.approx(1.0)
    assert pytest.approx([1, 0, 0]) == CAR2GLTF @ [0, 1000, 0]
    assert pytest.approx([0, 1, 0]) == CAR2GLTF @ [0, 0, 1000]


def hulls(points: Vector, faces: Vector) -> list[coal.ConvexBase]:
    """The convex pieces of a part, told apart by what hangs together."""
    bodies = trimesh.Trimesh(points, faces, process=False).split(only_watertight=False, repair=False)
    return [coal.ConvexBase.convexHull(_points(body.vertices), False, "Qt") for body in bodies]


def _points(vertices: Vector) -> coal.StdVec_Vec3s:
    found = coal.StdVec_Vec3s()
    found.extend(np.asarray(vertices, dtype=float))
    return found


def test_gap_of_exported_parts_is_the_verdict_s() -> None:
    verdict = judged_example(CAR)
    made = {solid.name: solid for solid in solids(verdict)}
    still = [
        entry
        for entry in verdict.gaps
        if entry.result is Result.CLEAR and {entry.pair.a.kind, entry.pair.b.kind} == {Kind.UNIT, Kind.OBSTACLE}
    ]
    assert len(still) >= 4
    for entry in still[:4]:
        a, b = (hulls(made[part.name].points, made[part.name].faces) for part in (entry.pair.a, entry.pair.b))
        ask, rest = coal.DistanceRequest(), coal.Transform3s()
        apart = min(coal.distance(one, rest, other, rest, ask, coal.DistanceResult()) for one in a for other in b)
        assert entry.found.closest is not None
        assert apart == pytest.approx(entry.found.closest.gap.gap_mm, abs=0.06)


def test_swept_solid_holds_the_pedal_wherever_it_is() -> None:
    """Every corner of the clutch, at places between its stops, lies in one of the swept hulls or 0.06 mm outside."""
    verdict = judged_example(CAR)
    part = verdict.scene.part("clutch")
    assert part is not None
    swept = next(solid for solid in solids(verdict) if solid.name == "clutch, swept")
    bodies = trimesh.Trimesh(swept.points, swept.faces, process=False).split(only_watertight=False, repair=False)
    planes = [(body.face_normals, (body.face_normals * body.triangles[:, 0]).sum(axis=1)) for body in bodies]
    (phase,) = part.phases
    assert phase.moves is not None
    for value in np.linspace(phase.moves.start, phase.moves.stop, 7):
        for piece in phase.pieces:
            corners = phase.moves.moved(piece.corners, float(value))
            out = np.min([(corners @ normals.T - offsets).max(axis=1) for normals, offsets in planes], axis=0)
            assert not (out.max() > 0.06)


def test_stl_of_every_part_is_closed_and_in_millimetres() -> None:
    verdict = judged_example(CAR)
    made = dict(stls(verdict))
    assert len(made) == len(solids(verdict))
    for (name, content), solid in zip(made.items(), solids(verdict), strict=True):
        mesh = trimesh.load_mesh(BytesIO(content), file_type="stl")
        used = solid.points[solid.faces].reshape(-1, 3)
        assert mesh.bounds == pytest.approx(np.array([used.min(axis=0), used.max(axis=0)]), abs=1e-3)
        assert mesh.volume > 0, name
        assert verdict.opened.digest[:12].encode() in content[:80]


@pytest.mark.parametrize(
    ("name", "file"), [("../../etc/passwd", "etc-passwd"), ("<b>", "b"), ("...", "part"), ("x" * 99, "x" * 60)]
)
def test_names_of_parts_cannot_lead_out_of_the_folder(name: str, file: str) -> None:
    assert file_name(name) == file


def test_command_writes_a_folder_or_one_file(tmp_path: Path) -> None:
    tables = jobs.changed(jobs.bare(), ("pedals",), [jobs.clutch(name="../clutch\n<b>")])
    job = written(tmp_path, tables)
    assert Said("export", job, "-o", str(tmp_path / "out")).code == 0
    names = sorted(path.name for path in (tmp_path / "out").iterdir())
    assert "car.glb" in names
    assert len([name for name in names if name.endswith(".stl")]) == len(solids(judge(open_job(Path(job)))))
    assert Said("export", job, "-o", str(tmp_path / "one.glb")).code == 0
    wrong = Said("export", job, "-o", str(tmp_path / "one.obj"))
    assert (wrong.code, ".glb" in wrong.err) == (2, True)
