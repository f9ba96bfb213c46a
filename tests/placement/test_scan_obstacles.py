"""Scans in a job: placed by points or by their origin, judged like the same shape in solids, in doubt where open.

Sources: the same job with the shape written as a box; geometry by hand.
"""

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fitcheck.clearance.map_bodies import bodies
from fitcheck.clearance.proof import proof
from fitcheck.confidence.results import Judged, Result
from fitcheck.errors import JobError, KeyFault
from fitcheck.geometry.frames import Frame
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.scan_piece import ScanPiece
from fitcheck.job.opening import open_job
from fitcheck.report.document import check_document
from fitcheck.report.text import check_text
from fitcheck.verdict import Verdict, judge
from tests import jobs
from tests.geometry import meshes
from tests.geometry.shapes import any_rotation
from tests.jobs import Tables, at, mm

CORNER, OPPOSITE = np.array([150.0, -220, 60]), np.array([260.0, -140, 160])
POINTS = {"lid": (150, -220, 160), "foot": (260, -140, 60), "edge": (150, -140, 60), "tip": (260, -220, 160)}
TOLERANCE_MM = 0.11  # both gaps are found to 0.05


def with_box(**changes: Any) -> Tables:
    """A column, a unit and a clutch pedal with a box beside it."""
    return with_shape({"corner": at(*CORNER), "opposite": at(*OPPOSITE)}, **changes)


def with_shape(shape: Tables, **changes: Any) -> Tables:
    return jobs.bare(pedals=[jobs.clutch()], obstacles=[{"name": "heater", "shape": shape, "new": True, **changes}])


def box_mesh(frame: Frame | None = None) -> np.ndarray:
    """The same box as a mesh, in its file's own frame."""
    corners = meshes.block(OPPOSITE - CORNER, (CORNER + OPPOSITE) / 2, cuts=4)
    return corners if frame is None else frame.inverse.points(corners)


def fit_points(frame: Frame, off: tuple[float, float, float] = (0, 0, 0)) -> list[Tables]:
    """The named points as found in the scan, the last one `off` by so much."""
    found = [frame.inverse.points(np.array(point, dtype=float)) for point in POINTS.values()]
    found[-1] = found[-1] + off
    return [
        {"point": name, **{axis: mm(float(value)) for axis, value in zip("xyz", point, strict=True)}}
        for name, point in zip(POINTS, found, strict=True)
    ]


def with_fitted(folder: Path, frame: Frame, **keys: Any) -> Tables:
    meshes.stl(folder / "heater.stl", box_mesh(frame))
    shape = {"mesh": "heater.stl", "mesh_unit": "mm", "take_as": "scan", "fit": fit_points(frame), **keys}
    tables = with_shape(shape)
    tables["points"] = {**tables.get("points", {}), **{name: at(*point) for name, point in POINTS.items()}}
    return tables


def judged(folder: Path, tables: Tables) -> Verdict:
    (folder / "job.toml").write_text(jobs.text(tables), encoding="utf-8")
    return judge(open_job(folder / "job.toml"))


def entry(verdict: Verdict, other: str) -> Judged:
    (found,) = [each for each in verdict.gaps if {each.pair.a.name, each.pair.b.name} == {"heater", other}]
    return found


def any_frame() -> Frame:
    return Frame(any_rotation(np.random.default_rng(5)), np.array([700.0, -200, 90]))


def test_a_scan_of_a_box_placed_by_its_points_is_the_box(tmp_path: Path) -> None:
    as_box, as_scan = judged(tmp_path, with_box()), judged(tmp_path, with_fitted(tmp_path, any_frame()))
    compared = 0
    for found in as_box.gaps:
        names = {found.pair.a.name, found.pair.b.name}
        if "heater" not in names or found.found.closest is None or not found.found.closest.gap.bracketed:
            continue
        same = entry(as_scan, (names - {"heater"}).pop())
        assert same.found.closest is not None
        assert same.found.closest.gap.gap_mm == pytest.approx(found.found.closest.gap.gap_mm, abs=TOLERANCE_MM)
        assert same.found.closest.at_travel.keys() == found.found.closest.at_travel.keys()
        if found.result is not Result.TOO_CLOSE and same.result is not Result.TOO_CLOSE:
            assert same.result is found.result
        compared += 1
    assert compared >= 2
    said = [words for words in as_scan.remarks if words.startswith("heater")]
    assert any(words.startswith("heater is placed by 4 points that miss by 0.0 mm") for words in said)
    assert not any("is not used" in words and "points." in words for words in as_scan.remarks)


def test_the_readings_that_place_a_scan_count_in_the_spread(tmp_path: Path) -> None:
    """5 mm on each number read in the scan and 3 mm on each in the car: four points halve it, turning adds to it."""
    found = entry(judged(tmp_path, with_fitted(tmp_path, any_frame())), "clutch")
    keys = {share.key for share in found.shares}
    assert any(key.startswith("points.") for key in keys)
    assert any(".shape.fit[" in key and key.endswith(".x") for key in keys)
    of_scan = [share.part_mm for share in found.shares if ".fit[" in share.key or share.key.startswith("points.")]
    assert np.hypot(5, 3) / 2 * 0.9 < float(np.sqrt(np.square(of_scan).sum())) < 15


def test_the_blunder_of_one_point_is_told(tmp_path: Path) -> None:
    tables = with_fitted(tmp_path, any_frame(), fit=fit_points(any_frame(), (40, 0, 0)))
    (said,) = [words for words in judged(tmp_path, tables).remarks if "take it again, in car and scan" in words]
    assert said.startswith("heater: ")


def test_a_place_that_is_not_on_the_scan_is_told(tmp_path: Path) -> None:
    points = fit_points(any_frame())
    points[0]["x"], points[0]["y"] = mm(float(points[0]["x"][:-3]) + 30), points[0]["y"]
    remarks = judged(tmp_path, with_fitted(tmp_path, any_frame(), fit=points)).remarks
    assert any(words.startswith("heater: lid lies ") and "mm off the scan" in words for words in remarks)


def test_a_scan_with_its_origin_given_is_not_turned(tmp_path: Path) -> None:
    meshes.stl(tmp_path / "heater.stl", box_mesh() - CORNER)
    shape = {"mesh": "heater.stl", "mesh_unit": "mm", "take_as": "scan", "at": at(*CORNER)}
    found = entry(judged(tmp_path, with_shape(shape)), "clutch").found.closest
    same = entry(judged(tmp_path, with_box()), "clutch").found.closest
    assert found is not None
    assert same is not None
    assert found.gap.gap_mm == pytest.approx(same.gap.gap_mm, abs=TOLERANCE_MM)


def round_the_unit(folder: Path, corners: np.ndarray, **keys: Any) -> Tables:
    """A scan about the unit's motor."""
    meshes.stl(folder / "heater.stl", corners)
    shape = {"mesh": "heater.stl", "mesh_unit": "mm", "take_as": "scan", "at": at(300, 0, 250), **keys}
    return with_shape(shape, new=False)


def test_a_unit_wholly_inside_a_closed_scan_hits(tmp_path: Path) -> None:
    found = entry(judged(tmp_path, round_the_unit(tmp_path, meshes.sphere(1500, 3))), "unit")
    assert found.result is Result.HITS
    assert found.found.closest is not None
    assert found.found.closest.gap.depth_mm > 500


def test_a_unit_inside_an_open_shell_is_not_known_and_the_reason_says_what_to_write(tmp_path: Path) -> None:
    shell = meshes.bowl(1500, 4, 900)
    verdict = judged(tmp_path, round_the_unit(tmp_path, shell))
    found = entry(verdict, "unit")
    assert found.result is Result.NOT_KNOWN
    assert "heater is an open scan, and the part may be inside it or behind it" in found.reason
    assert "free_side" in found.reason
    assert verdict.outcome.exit_code != 0
    (row,) = [row for row in check_document(verdict)["gaps"] if {row["a"], row["b"]} == {"heater", "unit"}]
    assert row["result"] == "not known"
    assert "bound_mm" not in row
    said = " ".join(check_text(verdict).split())
    assert 'write free_side = "front", "back" or "both"; between their surfaces: gap at least' in said
    assert (
        entry(judged(tmp_path, round_the_unit(tmp_path, shell, free_side="front")), "unit").result is Result.NOT_KNOWN
    )
    assert entry(judged(tmp_path, round_the_unit(tmp_path, shell, free_side="back")), "unit").result is Result.CLEAR


def test_where_a_pedal_first_touches_a_scan(tmp_path: Path) -> None:
    """The same first touch as of the box."""
    place = {"corner": at(330, -200, -90), "opposite": at(420, -40, -60)}
    low, high = np.array([330.0, -200, -90]), np.array([420.0, -40, -60])
    as_box = entry(judged(tmp_path, with_shape(place)), "clutch")
    meshes.stl(tmp_path / "heater.stl", meshes.block(high - low, (low + high) / 2, cuts=4))
    shape = {"mesh": "heater.stl", "mesh_unit": "mm", "take_as": "scan"}
    as_scan = entry(judged(tmp_path, with_shape(shape)), "clutch")
    assert as_box.result is as_scan.result is Result.HITS
    assert as_box.found.first_touch is not None
    assert as_scan.found.first_touch == pytest.approx(as_box.found.first_touch, abs=0.005)


def test_the_map_takes_boxes_for_a_scan(tmp_path: Path) -> None:
    verdict = judged(tmp_path, with_fitted(tmp_path, any_frame()))
    taken = bodies(GapEngine(), verdict.opened.job, verdict.scene)
    of_scan = [fixture for fixture in taken.fixtures if fixture.part.name == "heater"]
    assert len(of_scan) == 64
    assert not any(isinstance(fixture.piece, ScanPiece) for fixture in of_scan)


def test_a_proof_says_that_it_does_not_cover_a_scan(tmp_path: Path) -> None:
    verdict = judged(tmp_path, with_fitted(tmp_path, any_frame()))
    written = proof(verdict.opened, verdict.scene, [each.found for each in verdict.gaps])
    (row,) = [row for row in written["pairs"] if {row["a"], row["b"]} == {"heater", "unit"}]
    assert row["kind"] == "not covered"
    assert "scan" in row["reason"]


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ({"fit": fit_points(any_frame())[:2]}, "heater: 2 points place no scan; give three or more, well apart"),
        ({"fit": [*fit_points(any_frame()), fit_points(any_frame())[0]]}, "a point is named twice; each place once"),
        ({"mesh_unit": "in"}, "mm off the scan; is mesh_unit right, and x, y, z?"),
        ({"mesh": "nothing.stl"}, "there is no such file"),
    ],
)
def test_a_scan_that_cannot_be_placed_is_a_fault_of_its_key(tmp_path: Path, keys: Tables, said: str) -> None:
    with pytest.raises((KeyFault, JobError)) as fault:
        judged(tmp_path, with_fitted(tmp_path, any_frame(), **keys))
    assert said in str(fault.value)


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ({"at": at(1, 2, 3)}, "give either 'at' or 'fit'"),
        ({"take_as": "hull"}, 'fit is for scans; write take_as = "scan" as well'),
        ({"fit": [], "scale": "fit"}, "needs the places of 'fit'"),
    ],
)
def test_keys_that_do_not_go_together_are_a_fault(tmp_path: Path, keys: Tables, said: str) -> None:
    with pytest.raises(JobError) as fault:
        judged(tmp_path, with_fitted(tmp_path, any_frame(), **keys))
    assert said in str(fault.value)


def test_only_an_obstacle_can_be_a_scan(tmp_path: Path) -> None:
    meshes.stl(tmp_path / "plate.stl", meshes.block((20, 20, 5)))
    tables = with_box()
    tables["pedals"][0]["rides"] = {"plate": {"mesh": "plate.stl", "mesh_unit": "mm", "take_as": "scan"}}
    with pytest.raises(KeyFault, match='only an obstacle can be a scan; write "pieces", or "hull"'):
        judged(tmp_path, tables)


def test_the_free_side_of_a_closed_scan_is_not_used_and_said_so(tmp_path: Path) -> None:
    tables = with_fitted(tmp_path, any_frame(), free_side="front")
    assert any("free_side is not used: the scan is closed" in words for words in judged(tmp_path, tables).remarks)


@pytest.mark.parametrize(("side", "said"), [("front", "the side its triangles face"), ("both", "both sides")])
def test_which_side_of_an_open_scan_is_taken_as_room_is_told(tmp_path: Path, side: str, said: str) -> None:
    remarks = judged(tmp_path, round_the_unit(tmp_path, meshes.bowl(1500, 4, 900), free_side=side)).remarks
    assert any(f"heater: taken to be room on {said}, as free_side says" in words for words in remarks)


@pytest.mark.parametrize(
    ("said", "own_mm", "told"), [({}, 5.0, 1), ({"spread": "2 mm"}, 2.0, 0), ({"take_as": "pieces"}, 0.0, 0)]
)
def test_a_scan_without_places_of_its_own_is_good_to_a_phone_scan_s_five_millimetres(
    tmp_path: Path, said: dict[str, str], own_mm: float, told: int
) -> None:
    """The same box in solids has the spread of all else; the scan's own adds as squares (JCGM 100:2008, 5.1.2)."""
    meshes.stl(tmp_path / "heater.stl", box_mesh())
    origin = {"at": at(0, 0, 0)}
    as_pieces = with_shape({"mesh": "heater.stl", "mesh_unit": "mm", "take_as": "pieces", **origin})
    scanned = with_shape({"mesh": "heater.stl", "mesh_unit": "mm", "take_as": "scan", **origin, **said})
    solid, verdict = judged(tmp_path, as_pieces), judged(tmp_path, scanned)
    for other in ("unit", "clutch"):
        without, found = entry(solid, other).spread_mm, entry(verdict, other)
        assert found.spread_mm == pytest.approx(np.hypot(without, own_mm), abs=0.05)
        own = [share for share in found.shares if share.key == "obstacles[1].shape, the scan's own"]
        assert [share.part_mm for share in own] == ([own_mm] if own_mm else [])
    worked_with = " ".join(check_text(verdict).split())
    line = "heater: spread of the scan not stated: give or take 5 mm (phone scan, default; common practice, no source)"
    assert worked_with.count(line) == told
