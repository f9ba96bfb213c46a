"""Every example says what its expect.toml says it must, as text, as JSON and by exit code.

Gaps are compared within what the search leaves open (0.05 mm) and the last digit printed; travels within 2 % of travel,
which is what a first touch is bracketed to and more.
"""

import json
import subprocess
import sys
import tomllib
from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any, get_args

import pytest
from pydantic import BaseModel
from typer.testing import CliRunner

from fitcheck import cli
from fitcheck.confidence.draws import DRAWS
from fitcheck.job.model import Job
from fitcheck.job.opening import open_job
from fitcheck.report.text import CLEAR_SHOWN
from tests.jobs import EXAMPLES
from tests.verdicts import NAMES, judged_example

GAP_WITHIN_MM, SPREAD_WITHIN, TRAVEL_WITHIN = 0.06, 0.1, 0.02
OF_GAPS = ("model", "assembly", "shapes", "places", "movements", "surroundings")
ELSEWHERE = {"Job.seen", "Driver.shin_dia", "Driver.shoe_size"}  # shown by the mock-up's and the legs' tests
BY_NUMBER = {
    "bound_mm": GAP_WITHIN_MM, "depth_at_least_mm": 0.5, "spread_mm": SPREAD_WITHIN, "first_touch_travel": TRAVEL_WITHIN
}  # fmt: skip


def expected(name: str) -> dict[str, Any]:
    return tomllib.loads((EXAMPLES / name / "expect.toml").read_text(encoding="utf-8"))


@cache
def told(name: str, *options: str) -> tuple[int, str]:
    """What the command says of the verdict that all tests of this example share."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("fitcheck.verdict.judge", lambda _, draws: {DRAWS: judged_example}[draws](name))
        done = CliRunner().invoke(cli.app, ["check", str(EXAMPLES / name / "job.toml"), *options])
    assert done.stderr == ""
    return done.exit_code, done.stdout


@cache
def document(name: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(told(name, "--json")[1])
    return found


def test_every_example_has_its_expectations_and_says_it_is_invented() -> None:
    assert len(NAMES) >= 6
    for name in NAMES:
        assert (EXAMPLES / name / "expect.toml").is_file(), name
        assert "invented" in (EXAMPLES / name / "job.toml").read_text(encoding="utf-8").splitlines()[0], name


@pytest.mark.parametrize("name", NAMES)
def test_exit_code_and_result(name: str) -> None:
    must = expected(name)
    code, text = told(name)
    assert (code, document(name)["result"]) == (must["exit"], must["result"])
    said = {"fits": "FITS, AS FAR AS LOOKED AT"}.get(must["result"], must["result"].upper())
    assert f"\n{said}: " in text
    assert told(name, "--json")[0] == must["exit"]


@pytest.mark.parametrize("name", NAMES)
def test_cuts_and_shaft(name: str) -> None:
    must = expected(name)
    assert document(name).get("cuts_result") == must.get("cuts")
    found = document(name).get("shaft")
    assert (found is None) == ("shaft" not in must)
    if found is None:
        return
    wanted = must["shaft"]
    assert found["result"] == wanted["result"]
    assert [joint["angle_deg"] for joint in found["joints"]] == pytest.approx(wanted["angles_deg"], abs=0.01)
    assert found["ripple_pct"] == pytest.approx(wanted["ripple_pct"], abs=0.02)
    if "nearest" in wanted:
        judged = [row for row in found["gaps"] if "required_mm" in row]
        least = min(judged, key=lambda row: row["bound_mm"] - row["required_mm"])
        assert wanted["nearest"] in (least["a"], least["b"])
        assert least["result"] == wanted["nearest_result"]
        assert least["bound_mm"] == pytest.approx(wanted["nearest_mm"], abs=GAP_WITHIN_MM)


@pytest.mark.parametrize("name", NAMES)
def test_how_many_pairs_have_which_result(name: str) -> None:
    counts = Counter(row["result"] for row in document(name)["gaps"])
    assert dict(counts) == expected(name)["counts"]
    assert counts["clear"] > 0 or document(name)["result"] != "fits"


@pytest.mark.parametrize("name", NAMES)
def test_worst_pairs_in_order_with_their_figures(name: str) -> None:
    worst = expected(name).get("worst", [])
    rows = document(name)["gaps"]
    for must, row in zip(worst, rows, strict=False):
        assert (row["a"], row["b"], row["result"]) == (must["a"], must["b"], must["result"])
        for key, within in BY_NUMBER.items():
            assert (key in row) >= (key in must), key
            if key in must:
                assert row[key] == pytest.approx(must[key], abs=within), f"{row['a']} - {row['b']}: {key}"
        assert row.get("at_travel", {}) == pytest.approx(must.get("at_travel", {}), abs=TRAVEL_WITHIN)
        moved = {name: row["at_movement"][name] for name in must.get("at_movement", {})}
        assert moved == pytest.approx(must.get("at_movement", {}), abs=TRAVEL_WITHIN)


@pytest.mark.parametrize("name", NAMES)
def test_text_names_the_worst_pairs_as_the_document_does(name: str) -> None:
    flat = " ".join(told(name)[1].split())
    rows = document(name)["gaps"][: len(expected(name).get("worst", []))]
    clear = [row for row in rows if row["result"] == "clear"]
    for row in [*(row for row in rows if row not in clear), *clear[:CLEAR_SHOWN]]:
        assert row["where_a"] in flat and row["where_b"] in flat


def test_every_key_of_what_gaps_are_judged_by_is_used_by_an_example() -> None:
    """Car, unit, pedals, obstacles, groups: each key is shown at work; other chapters have tests of their own."""
    known = {(table, key) for table in tables_of(Job) for key in table.model_fields}
    known = {(table, key) for table, key in known if table.__module__.rsplit(".")[-1] in OF_GAPS}
    used: set[tuple[type[BaseModel], str]] = set()
    for name in NAMES:
        used |= keys_used(open_job(EXAMPLES / name / "job.toml").job)
    missing = {f"{table.__name__}.{key}" for table, key in known - used}
    assert missing <= ELSEWHERE, sorted(missing - ELSEWHERE)
    assert len(known) > 150


def tables_of(kind: Any) -> set[type[BaseModel]]:
    """All tables that a table of the job's model is made of, itself among them."""
    found, waiting = set(), [kind]
    while waiting:
        each = waiting.pop()
        if isinstance(each, type) and issubclass(each, BaseModel):
            if each not in found:
                found.add(each)
                waiting += [entry.annotation for entry in each.model_fields.values()]
        else:
            waiting += get_args(each)
    return found


def keys_used(value: Any) -> set[tuple[type[BaseModel], str]]:
    """Each table's kind and key that a job's file states."""
    if isinstance(value, BaseModel):
        own = {(type(value), key) for key in value.model_fields_set}
        return own.union(*(keys_used(getattr(value, key)) for key in value.model_fields_set))
    inner = value.values() if isinstance(value, dict) else value if isinstance(value, list | tuple) else ()
    return set().union(*map(keys_used, inner))


def test_by_the_command_itself() -> None:
    path = Path("examples") / "saloon-9-00" / "job.toml"
    done = subprocess.run(
        [sys.executable, "-m", "fitcheck", "check", str(path), "--json"],
        capture_output=True,
        check=False,
        cwd=EXAMPLES.parent,
    )
    assert done.returncode == expected("saloon-9-00")["exit"]
    assert done.stderr == b""
    ours = {**document("saloon-9-00"), "job": {}}
    assert {**json.loads(done.stdout), "job": {}} == ours
    assert json.loads(done.stdout)["job"]["file"] == str(path)
