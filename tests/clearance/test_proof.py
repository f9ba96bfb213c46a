"""What is written as a proof: of every kind of job, the same bytes each time, not too many, and accepted when read."""

import json
from pathlib import Path

import pytest
import trimesh

from fitcheck.clearance.gaps import gaps
from fitcheck.clearance.proof import proof_bytes
from fitcheck.clearance.witnesses import weights
from fitcheck.errors import GeometryError
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.primitives import box
from fitcheck.job.opening import open_job
from fitcheck.placement.place import place
from fitcheck.verify import Refused, verify
from tests import jobs, proofs
from tests.jobs import at, mm

LARGEST_BYTES = 5_000_000
PEDALS = [jobs.clutch(altered=True), jobs.brake(), jobs.throttle(side_wear="0 mm")]
PLATE = {"outline": [at(20, x, z) for x, z in ((-300, 0), (300, 0), (300, 300), (-300, 300))], "thick": mm(3)}


def obstacle(shape: jobs.Tables, **more: object) -> list[jobs.Tables]:
    return [{"name": "thing", "new": True, "shape": shape, **more}]


PIPE = {"through": [at(-250, 40, -60), at(-20, 10, -10), at(60, -150, -60)], "dia": mm(42)}
ENGINE = {"about": at(-400, 0, -200), "runs": "along the car", "at": at(-400, 300, -100), "lifts": "right",
          "by": "20 mm", "other_way": "5 mm ± 1 mm"}  # fmt: skip
FRAME = {"up_down": mm(4), "sideways": mm(4), "fore_aft": "3 mm"}
AXLE = {"up": mm(70), "down": mm(60), "sideways": mm(3), "fore_aft": mm(5)}
LONG = {**jobs.bare()["column"], "jacket_to": mm(800)}
ADJUSTED = {
    "tilt": {"pivot": at(20, -13, 15), "up": mm(20), "down": mm(25)},
    "reach": {"slides_at": mm(720), "toward_driver": mm(20), "away": mm(15)},
}
MOVED: dict[str, jobs.Tables] = {
    "an engine that rocks on a frame that shifts, past a pedal": jobs.bare(
        pedals=[jobs.clutch(altered=True)],
        groups={"engine": ENGINE, "frame": FRAME},
        obstacles=[*obstacle(PIPE, group="engine"), {**obstacle(PIPE)[0], "name": "rail", "group": "frame"}],
    ),
    "an engine that rocks about a slanting axis": jobs.bare(
        groups={"engine": {**ENGINE, "runs": None, "about_to": at(-100, 30, -260), "lifts": "both", "other_way": None}},
        obstacles=obstacle(PIPE, group="engine"),
    ),
    "an axle that travels": jobs.bare(
        groups={"axle": AXLE, "frame": FRAME},
        obstacles=obstacle({"corner": at(100, -40, -300), "opposite": at(160, 40, -250)}, group="axle"),
    ),
    "a column that tilts and reaches, past a pedal": jobs.bare(
        column=LONG, pedals=[jobs.clutch(), jobs.brake()], groups={"column": ADJUSTED}, obstacles=obstacle(PIPE)
    ),
}
JOBS: dict[str, jobs.Tables] = {
    "column and unit alone": jobs.bare(),
    "two pedals that both swing, and boots": jobs.bare(
        pedals=PEDALS,
        driver={"foot": "men 95", "boots": [{"on": "clutch", "heel": at(430, None, -270)}]},
        require={"boot": "20 mm", "pairs": [{"between": ["unit", "clutch"], "gap": "12 mm", "why": "agreed"}]},
    ),
    "a pedal whose travel is not measured": jobs.bare(pedals=[{**jobs.clutch(), "travel": None}]),
    "a travel by angle, no pull and the wear stated": jobs.bare(
        pedals=[{**jobs.clutch(side_wear="6 mm", pulled_up="4 mm"), "travel": None, "travel_angle": "25.5 deg"}],
        require={"wheel_pull": "0 mm"},
    ),
    "a library unit and a library bracket": jobs.bare(
        unit={"input_face": "16 15/16 in", "clock": "310.5 deg", "library": "unit"},
        bracket={"turns": "with the unit", "library": "bracket"},
        pedals=PEDALS,
    ),
    "a motor beside the column": jobs.bare(
        unit=jobs.unit(
            "12:30",
            hand=None,
            motor={"dia": mm(76), "long": mm(130), "lies": "parallel", "beside": mm(90), "starts": mm(20)},
        )
    ),
    "a bracket bolted to the unit, and room to be kept free": jobs.bare(
        bracket={
            "turns": "with the unit",
            "measured_at": {"clock": "9:00", "input_face": mm(430)},
            "clamp": {"along": mm(380), "wide": mm(30), "thick": mm(5)},
            "solids": {"strap": {"through": [at(280, 20, 200), at(200, 20, 130)], "dia": mm(20)}},
            "bolts_to": ["gear body", "sensor section"],
        },
        pedals=PEDALS,
        obstacles=obstacle({"corner": at(200, 100, 0), "opposite": at(250, 160, 50)}, keep_out=True),
    ),
    "a plate with a hole": jobs.bare(
        obstacles=obstacle({**PLATE, "to": "front", "holes": [{"at": at(20, 0, 100), "dia": mm(57)}]})
    ),
    "a plate measured off its plane": jobs.bare(
        obstacles=obstacle({**PLATE, "outline": [at(24, -300, 0), *PLATE["outline"][1:]], "to": "front"})
    ),
    "a bent soft tube": jobs.bare(
        obstacles=obstacle({"through": [at(300, -400, 60), at(290, 0, 30), at(120, 200, 40)], "dia": mm(22)}, soft=True)
    ),
    "a rod measured to its side, off the column and by another point": jobs.bare(
        points={"mark": at(300, 20, 90), "other": {**at(-20, 10, 5), "from": "mark"}},
        obstacles=obstacle(
            {
                "through": [
                    {"along": "20 in", "out": "5 in", "out_from": "skin", "clock": "3:00", "side": "top"},
                    {**at(10, 300, 0), "from": "other", "side": "underside"},
                ],
                "dia": '7/8"',
            }
        ),
    ),
    "a car that did not sit level": jobs.bare(
        job=jobs.header(sat={"sill_angle": "1.5 deg nose up", "cross_angle": "level"}),
        obstacles=obstacle({"corner": at(300, 100, 0, by="level"), "opposite": at(350, 160, 50, by="level")}),
    ),
    **MOVED,
    "a part of the engine whose rock is not given": jobs.bare(obstacles=obstacle(PIPE, group="engine")),
    "a folded sheet": jobs.bare(
        obstacles=obstacle(
            {"line": [at(300, -200, 0), at(200, -200, -20), at(100, -200, 60)], "width": "1 ft 3 1/2 in",
             "across": "right", "thick": "1.2 mm ± 0.1 mm"}
        )
    ),
}  # fmt: skip


def without_nothing(value: object) -> object:
    """The tables without the keys whose value is None."""
    if isinstance(value, dict):
        return {key: without_nothing(item) for key, item in value.items() if item is not None}
    return [without_nothing(item) for item in value] if isinstance(value, list) else value


def written(tables: jobs.Tables, folder: Path) -> bytes:
    path = folder / "job.toml"
    kept = without_nothing(tables)
    assert isinstance(kept, dict)
    path.write_text(jobs.text(kept), encoding="utf-8")
    opened = open_job(path)
    scene = place(opened.job, opened.folder)
    return proof_bytes(opened, scene, gaps(GapEngine(), opened.job, scene))


@pytest.mark.parametrize("name", JOBS)
def test_proofs_of_all_kinds_of_jobs_are_accepted(name: str, tmp_path: Path) -> None:
    content = written(JOBS[name], tmp_path)
    lines = verify(content, lambda file: (tmp_path / file).read_bytes())
    assert "the same as the file at hand" in lines[0]
    assert any("hits" in line or "keeps" in line or "under" in line for line in lines) or name in (
        "column and unit alone",
        "a motor beside the column",
        "a pedal whose travel is not measured",
    )


@pytest.mark.parametrize("name", MOVED)
def test_movements_of_groups_cannot_be_left_out_or_narrowed(name: str, tmp_path: Path) -> None:
    content = written(MOVED[name], tmp_path)
    tampered = 0
    for part in json.loads(content)["parts"]:
        for k in range(len(part["phases"][0]["carry"])):
            for how in ("dropped", "narrowed"):
                proof = json.loads(content)
                carry = proofs.part(proof, part["name"])["phases"][0]["carry"]
                if how == "dropped":
                    carry.pop(k)
                elif "shift" in carry[k]:
                    carry[k]["shift"]["high"][2] = 1.0
                else:
                    move = carry[k]["moves"][0]
                    move["stop"] = (move["start"] + 2 * move["stop"]) / 3
                with pytest.raises(Refused, match=r".{10}"):
                    verify(proofs.content(proof))
                tampered += 1
    assert tampered >= 2


def test_mesh_files_are_named_with_their_digest_and_held_to_it(tmp_path: Path) -> None:
    trimesh.creation.box(extents=(40, 50, 60)).export(tmp_path / "duct.stl")
    shape = {"mesh": "duct.stl", "mesh_unit": "mm", "at": at(300, 150, 0)}
    content = written(jobs.bare(obstacles=obstacle(shape)), tmp_path)
    assert "the same as the file at hand" in verify(content, lambda file: (tmp_path / file).read_bytes())[0]
    (tmp_path / "duct.stl").write_bytes(b"another")
    with pytest.raises(Refused, match=r"duct\.stl: it is not the file"):
        verify(content, lambda file: (tmp_path / file).read_bytes())


def test_two_parts_that_move_are_covered_by_boxes_of_both_movements(tmp_path: Path) -> None:
    proof = json.loads(written(JOBS["two pedals that both swing, and boots"], tmp_path))
    covers = [cover for entry in proof["pairs"] if entry["kind"] == "judged" for cover in entry["covers"]]
    leaves = [leaf for cover in covers for leaf in cover["leaves"]]
    assert {len(leaf["box"]) for leaf in leaves} == {1, 2}
    assert {len(leaf["directions"]) for leaf in leaves} >= {1, 2}


def test_pairs_with_a_scan_are_said_not_to_be_covered_and_no_others_may_be(tmp_path: Path) -> None:
    trimesh.creation.icosphere(subdivisions=2, radius=30).export(tmp_path / "duct.stl")
    shape = {"mesh": "duct.stl", "mesh_unit": "mm", "take_as": "scan", "at": at(300, 150, 0)}
    content = written(jobs.bare(obstacles=obstacle(shape), pedals=[jobs.clutch()]), tmp_path)
    lines = verify(content)
    assert any(line.startswith("  unit - thing: not covered: a scan") for line in lines)
    assert lines[-2] == "a gap is required, and none is proven here: thing - column, unit - thing, thing - clutch"
    proof = json.loads(content)
    covered = proofs.pair(proof, "unit", "clutch")
    covered.update(kind="not covered", reason="so")
    for key in ("result", "witness", "covers"):
        covered.pop(key)
    with pytest.raises(Refused, match="by the job it is judged, not not covered"):
        verify(proofs.content(proof))


@pytest.mark.parametrize("name", proofs.NAMES)
def test_the_same_job_gives_the_same_bytes_and_not_too_many(name: str) -> None:
    first = proofs.written(name)
    assert first == proofs.written.__wrapped__(name)
    assert len(first) < LARGEST_BYTES


@pytest.mark.parametrize("name", proofs.NAMES)
def test_what_is_proven_is_what_is_reported(name: str) -> None:
    """The verifier's own bound against the search's: as much room at least, and no more than the reported gap."""
    opened = proofs.settled(name)
    scene = place(opened.job, opened.folder)
    lines = verify(proofs.written(name))
    for entry in gaps(GapEngine(), opened.job, scene):
        if entry.closest is None or entry.pair.need.treatment.value != "judged":
            continue
        told = next(line for line in lines if line.startswith(f"  {entry.pair.a.name} - {entry.pair.b.name}: "))
        if "not covered: a scan" in told:
            continue
        if entry.closest.gap.gap_mm == 0:
            assert "hits" in told
            continue
        least = float(told.split("at least ")[1].split(" mm")[0])
        assert least >= entry.closest.gap.bound_mm - 0.01
        assert least <= entry.closest.gap.gap_mm


def test_a_witness_is_a_mixture_of_corners_and_one_outside_is_refused() -> None:
    corners = box([0, 0, 0], [10, 20, 30]).corners
    shares = weights(corners, corners.mean(axis=0) * 0.5, "a box")
    assert sum(share for _, share in shares) == pytest.approx(1, abs=1e-12)
    assert min(share for _, share in shares) >= 0
    with pytest.raises(GeometryError, match="the point shown is not in it"):
        weights(corners, corners[0] - 0.001, "a box")
