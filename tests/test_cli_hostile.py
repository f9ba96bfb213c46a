"""The command under bad conditions: readers that go away, full disks, old terminals, names and sizes that are none."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
import trimesh

from tests import jobs
from tests.command import Said, run, written

GO, NO_GO = (str(jobs.EXAMPLES / name / "job.toml") for name in ("dozen-go", "dozen-no-go"))


@pytest.mark.skipif(sys.platform == "win32", reason="pipes of another kind")
def test_reader_that_goes_away_hears_nothing_and_the_result_stands() -> None:
    reader, writer = os.pipe()
    os.close(reader)
    command = [sys.executable, "-m", "fitcheck", "check", NO_GO]
    with subprocess.Popen(command, stdout=writer, stderr=subprocess.PIPE) as process:
        os.close(writer)
        _, said = process.communicate(timeout=60)
    assert (process.returncode, said) == (1, b"")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full")
def test_full_disk_is_said_and_is_no_bug_of_ours() -> None:
    with open("/dev/full", "wb") as full:
        done = subprocess.run(
            [sys.executable, "-m", "fitcheck", "check", GO], stdout=full, stderr=subprocess.PIPE, check=False
        )
    assert done.returncode == 2
    assert done.stderr.startswith(b"the result cannot be written: ")


def test_names_that_a_terminal_of_old_cannot_show_do_not_end_the_command(tmp_path: Path) -> None:
    tables = jobs.changed(jobs.saloon(), ("obstacles", 1, "name"), "Ω <script> \U0001f527")
    done = run("check", written(tmp_path, tables), env={"PYTHONIOENCODING": "cp1252:strict", "PYTHONUTF8": "0"})
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"? <script> ?" in done.stdout


def test_control_characters_of_a_name_do_not_reach_the_terminal(tmp_path: Path) -> None:
    name = "duct\n\x1b[31mred\x07\u202e"
    tables = jobs.changed(jobs.saloon(), ("obstacles", 1, "name"), name)
    told = Said("check", written(tmp_path, tables))
    assert told.code == 0
    assert not {"\x1b", "\x07", "\u202e"} & set(told.out)
    assert "duct \\u001B[31mred\\u0007\\u202E" in " ".join(told.out.split())
    rows = json.loads(Said("check", written(tmp_path, tables), "--json").out)["gaps"]
    assert name in {row["b"] for row in rows}


def test_names_of_eighty_characters_are_shown_whole_and_longer_ones_refused(tmp_path: Path) -> None:
    longest = "n" * 80
    told = Said("check", written(tmp_path, jobs.changed(jobs.saloon(), ("obstacles", 1, "name"), longest)))
    assert longest in told.out
    assert max(map(len, told.out.splitlines())) <= 110
    refused = Said("check", written(tmp_path, jobs.changed(jobs.saloon(), ("obstacles", 1, "name"), longest + "n")))
    assert refused.code == 2
    assert "has 81 characters; at most 80 are allowed" in refused.err


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("0 mm", "must be at least 0.001 mm, got 0 mm"),
        ("1.234,5 mm", "a point for its fraction and no other sign, as in 1234.5"),
        ("nan mm", "there is no number in it"),
        ("inf", "there is no number in it"),
        ("1e5 mm", "write the number out, without an exponent"),
        ("100000001 mm", "is over 100 m; nothing on a car is, so check number and unit"),
        ("-76 mm", '"-76 mm": this cannot be less than 0; write it without the minus'),
    ],
)
def test_sizes_that_are_none(tmp_path: Path, value: str, said: str) -> None:
    told = Said("check", written(tmp_path, jobs.changed(jobs.saloon(), ("unit", "motor", "dia"), value)))
    assert (told.code, told.out) == (2, "")
    assert said in told.err


def test_more_obstacles_than_can_be_looked_at_are_refused(tmp_path: Path) -> None:
    tables = jobs.saloon()
    tables["obstacles"] = [{**tables["obstacles"][1], "name": f"thing {i}"} for i in range(501)]
    del tables["linkages"]
    told = Said("check", written(tmp_path, tables))
    assert told.code == 2
    assert "obstacles: has 501 items; at most 500 are allowed" in told.err


def with_mesh(folder: Path, scale: float, unit: str) -> jobs.Tables:
    """The saloon with the library's unit as a mesh beside the job, its numbers multiplied by `scale`."""
    mesh = trimesh.load_mesh(jobs.EXAMPLES.parent / "meshes" / "unit.stl")
    mesh.apply_scale(scale)  # type: ignore[no-untyped-call]
    mesh.export(folder / "mine.stl")
    own = {"input_face": "425 mm", "clock": "10:45", "mesh": {"mesh": "mine.stl", "mesh_unit": unit}}
    return {**jobs.saloon(), "unit": own}


@pytest.mark.parametrize(("scale", "unit"), [(1.0, "mm"), (1 / 25.4, "in"), (0.1, "cm")])
def test_mesh_in_its_own_unit_is_told_with_its_size(tmp_path: Path, scale: float, unit: str) -> None:
    told = Said("check", written(tmp_path, with_mesh(tmp_path, scale, unit)))
    # By hand (`tests/reference/by_hand.py`) the mesh's gear body is 1.8 mm from the pedal shaft there; 6 are needed.
    assert told.code == 1
    assert "(unit - pedal shaft) gap 1/16 in (1.8 mm)" in " ".join(told.out.split())
    said = f'unit: mine.stl read in "{unit}" is 250 x 147 x 208 mm; check that against the part'
    assert said in " ".join(told.out.split())


@pytest.mark.parametrize(
    ("scale", "unit", "said"),
    [
        (
            1 / 25.4,
            "mm",
            'unit: mine.stl read in "mm" is 10 x 6 x 8 mm; check that against the part: it is smaller than',
        ),
        (1.0, "in", 'mine.stl: 6350 mm across when read in "in" is no part of a car; are its numbers in "mm"?'),
    ],
)
def test_mesh_in_another_unit_than_it_says_is_refused(tmp_path: Path, scale: float, unit: str, said: str) -> None:
    told = Said("check", written(tmp_path, with_mesh(tmp_path, scale, unit)))
    assert (told.code, told.out) == (2, "")
    assert said in told.err
