"""All that is wrong with a file comes in one go: of type, of names and sizes, of places; and nothing that is not wrong.

The second road: each fault alone in the file. Together they must say what they say one by one.
"""

import copy
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from fitcheck.errors import JobError, KeyFault
from fitcheck.job.opening import open_job
from fitcheck.verdict import try_out
from tests.jobs import EXAMPLES, Tables, example, text

Break = Callable[[Any], object]
SAME = {"back": "120 mm", "right": "168 mm", "up": "210 mm"}


def saloon() -> Tables:
    return tomllib.loads((EXAMPLES / "saloon-10-45" / "job.toml").read_text(encoding="utf-8"))


def one_point(job: Any) -> None:
    shape = job["obstacles"][1]["shape"]
    shape["opposite"] = shape["corner"]


FAULTS: dict[str, Break] = {
    "pedals[1].travel": lambda job: job["pedals"][0].update(travel="15 3/5 in"),
    "pedals[1].wide": lambda job: job["pedals"][0].update(wide="1 in"),
    "pedals[2].joined[1]": lambda job: job["pedals"][1].update(joined=["firewal"]),
    "pedals[3].pivot_to": lambda job: job["pedals"][2].update(pivot=SAME, pivot_to=SAME),
    "bracket.turns": lambda job: job["bracket"].update(turns="never"),
    "obstacles[2].shape.opposite": one_point,
    "obstacles[3].shape.corner.back": lambda job: job["obstacles"][2]["shape"]["corner"].update(back=5),
    "obstacles[5].name": lambda job: job["obstacles"][4].update(name="handbrake"),
    "obstacles[8].group": lambda job: job["obstacles"][7].update(group="moon"),
    "driver.boots[1].on": lambda job: job["driver"]["boots"][0].update(on="clutchh"),
    "cuts.unit.input_mouth": lambda job: job["cuts"]["unit"].update(input_mouth="40 mm"),
    "cuts.zones[1].ends": lambda job: job["cuts"]["zones"][0].update(ends="x"),
    "require.pedal": lambda job: job.update(require={"pedal": 3}),
    "seen[1].between[2]": lambda job: job.update(seen=[{"between": ["unit", "cluch"], "gap": "3 mm"}]),
    "unit.along_from": lambda job: job["unit"].update(along_from="nowhere"),
}
MEANT_ELSEWHERE = {"obstacles[5].name": "obstacles[7].name"}  # of two parts of one name the later one is told


def said(folder: Path, tables: Tables | str) -> list[str]:
    """What is wrong, without file, line and column."""
    path = folder / "job.toml"
    path.write_text(tables if isinstance(tables, str) else text(tables), encoding="utf-8")
    try:
        opened = open_job(path, try_out)
    except JobError as error:
        return [f"{fault.key}: {fault.message}" for fault in error.faults]
    try:
        try_out(opened.job, folder)
    except KeyFault as error:
        return [f"{fault.key}: {fault.message}" for fault in opened.fault(error, try_out).faults]
    return []


def broken(*names: str) -> Tables:
    job = copy.deepcopy(saloon())
    for name in names:
        FAULTS[name](job)
    return job


def test_fifteen_faults_say_together_what_each_says_alone(tmp_path: Path) -> None:
    alone = [said(tmp_path, broken(name)) for name in FAULTS]
    for name, lines in zip(FAULTS, alone, strict=True):
        assert [line.split(": ")[0] for line in lines] == [MEANT_ELSEWHERE.get(name, name)], lines
    without_lists = {line.split("; there are:")[0] for lines in alone for line in lines}
    together = {line.split("; there are:")[0] for line in said(tmp_path, broken(*FAULTS))}
    assert together == without_lists


@pytest.mark.parametrize("name", ["pedals[2].joined[1]", "obstacles[2].shape.opposite", "unit.along_from"])
def test_a_column_that_cannot_be_read_hides_nothing_of_the_rest(tmp_path: Path, name: str) -> None:
    job = broken(name)
    job["column"]["jacket_od"] = "2 inch tube"
    assert [line.split(": ")[0] for line in said(tmp_path, job)] == ["column.jacket_od", name]
    del job["column"]["jacket_od"]
    assert [line.split(": ")[0] for line in said(tmp_path, job)] == ["column.jacket_od", name]


@pytest.mark.parametrize(
    ("change", "keys"),
    [
        (lambda job: job["pedals"][0].update(name=""), ["pedals[1].name"]),
        (lambda job: job["pedals"][0].pop("name"), ["pedals[1].name"]),
        (lambda job: job["obstacles"][2].pop("shape"), ["obstacles[3].shape"]),
        (lambda job: job["column"].pop("hub_seat"), ["column.hub_seat"]),
        (lambda job: job["column"]["low"].update(back="25 1/16 mm"), ["column.low.back"]),
        (lambda job: job["points"]["hub_seat"].update(back="25 1/16 mm"), ["points.hub_seat.back"]),
        (lambda job: job["job"].pop("sat"), ["job.sat"]),
        (lambda job: job.pop("unit"), ["unit"]),
    ],
)
def test_what_rests_on_a_fault_is_not_called_wrong_itself(tmp_path: Path, change: Break, keys: list[str]) -> None:
    """Boots, pushrods and pairs that name the part that cannot be read; cuts and gaps that rest on the column."""
    job = saloon()
    job["require"] = {"pairs": [{"between": ["unit", "fuse panel"], "gap": "9 mm", "why": "heat"}]}
    change(job)
    assert [line.split(": ")[0] for line in said(tmp_path, job)] == keys


def test_points_and_readings_that_cannot_be_read_are_missed_by_nobody(tmp_path: Path) -> None:
    job = saloon()
    away = {"back": "1 in", "up": "2 in", "left": "1 in"}
    job["points"] |= {"a": {**away, "from": "b"}, "b": {**away, "left": "3"}, "c": "by readings", "d": "by readings"}
    job["readings"] = [{"tape": ["a", "c"], "is": "10 inn"}]
    keys = [line.split(": ")[0] for line in said(tmp_path, job)]
    assert keys == ["points.b.left", "points.d", "readings[1].is"]


@pytest.mark.parametrize("nothing", ["job = 3\ncolumn = 4\nunit = 5\n", "", "[[pedals]]\n", "pedals = 'none'\n"])
def test_a_file_that_is_hardly_a_job_is_told_in_plain_faults(tmp_path: Path, nothing: str) -> None:
    assert {"job", "column", "unit"} <= {line.split(": ")[0] for line in said(tmp_path, nothing)}


def test_a_part_that_the_shaft_names_is_missed_beside_a_length_without_its_unit(tmp_path: Path) -> None:
    job = example("saloon-shaft")
    job["points"]["hub_seat"]["back"], job["shaft"]["hot"] = "636", ["exhaust"]
    assert [line.split(": ")[0] for line in said(tmp_path, job)] == ["points.hub_seat.back", "shaft.hot[1]"]


def test_a_connector_of_the_unit_s_own_plug_hides_no_missing_face(tmp_path: Path) -> None:
    job = example("saloon-way-in")
    del job["unit"]["input_face"]
    assert [line.split(": ")[0] for line in said(tmp_path, job)] == ["unit.input_face"]


def test_two_faults_of_the_unit_hide_no_name_that_leads_nowhere(tmp_path: Path) -> None:
    """Without its clock and its hand the unit contradicts itself: all of it stands in."""
    tables = saloon()
    tables["unit"].update(clock="9 oclock", hand="above")
    tables["driver"]["boots"][1]["on"] = "break"
    path = tmp_path / "job.toml"
    path.write_text(text(tables), encoding="utf-8")
    with pytest.raises(JobError) as told:
        open_job(path, try_out)
    assert [fault.key for fault in told.value.faults] == ["unit.clock", "unit.hand", "driver.boots[2].on"]
