"""What people write in the wrong place or leave out: told with all that may be written there."""

import json
from pathlib import Path

import pytest

from tests import jobs
from tests.command import Said

GO = str(jobs.EXAMPLES / "dozen-go" / "job.toml")
MINIMAL = Path(GO).read_text(encoding="utf-8")


def test_of_a_folder_its_job_is_taken() -> None:
    there = Said("check", str(Path(GO).parent), "--json")
    assert (there.code, there.err) == (0, "")
    assert json.loads(there.out)["job"] == json.loads(Said("check", GO, "--json").out)["job"]


def test_a_name_without_its_ending_is_found_and_a_folder_without_a_job_says_so(tmp_path: Path) -> None:
    (tmp_path / "my-car.toml").write_text(MINIMAL, encoding="utf-8")
    assert Said("check", str(tmp_path / "my-car")).code == 0
    bare = Said("check", str(tmp_path))
    assert (bare.code, bare.out) == (2, "")
    assert bare.err.endswith("a folder without a job.toml; name the job file in it, or start one with: fitcheck new\n")
    (tmp_path / "my-car").mkdir()
    (tmp_path / "my-car" / "job.toml").write_text("[job", encoding="utf-8")
    assert Said("check", str(tmp_path / "my-car")).code == 2, "the folder's own job stands before the file beside it"


@pytest.mark.parametrize(
    ("shape", "said"),
    [
        (None, "obstacles[1].shape: missing: its simplified solid; write one of: a box { corner = "),
        ("{}", "obstacles[1].shape: no shape known here; write one of: a box { corner = "),
        ("{ size = '4 in' }", "obstacles[1].shape: no shape known here; write one of: a box { corner = "),
        (
            "{ from = { up = '1 in' }, dia = '2 in' }",
            "obstacles[1].shape.through: missing: two or more places on the centre line; write through = [{ back",
        ),
    ],
)
def test_an_obstacle_s_shape_that_cannot_be_told_is_asked_for_with_all_there_are(
    tmp_path: Path, shape: str | None, said: str
) -> None:
    line = "" if shape is None else f"shape = {shape}\n"
    path = tmp_path / "job.toml"
    path.write_text(f"\n[[obstacles]]\nname = 'rail'\nnew = true\n{line}" + MINIMAL, encoding="utf-8")
    first = Said("check", str(path)).err.splitlines()
    (told,) = [row for row in first if "obstacles[1].shape" in row and "unknown key" not in row]
    assert said in told
    if "one of" in said:
        for key in ("corner", "opposite", "through", "dia", "outline", "line", "width", "mesh"):
            assert f"{key} = " in told


def test_a_part_of_one_s_own_name_in_the_wrong_place_is_told_where_it_goes(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    legs = "[bracket]\nturns = 'stays with the car'\nlegs = [{ through = [], dia = '1 in' }]\n"
    path.write_text(legs + MINIMAL, encoding="utf-8")
    assert (
        "3:1: bracket.legs: unknown key; a part by a name of yours stands under solids, as in "
        "solids = { legs = { ... } }; allowed here: "
    ) in Said("check", str(path)).err
    path.write_text("[driver]\nfoot = 'men 95'\nboots = 2\n" + MINIMAL, encoding="utf-8")
    assert (
        "driver.boots: a list belongs here, not the bare number 2; write boots = "
        '[{ on = "clutch", heel = { back = "16 in", down = "9 in" } }]'
    ) in Said("check", str(path)).err
