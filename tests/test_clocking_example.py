"""The example in which nothing fits: what `fitcheck clocking` says, and the change it names, made and run again."""

import json
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from tests import jobs
from tests.command import Said, written

FOLDER = jobs.EXAMPLES / "saloon-three-holes"


@cache
def search() -> tuple[int, dict[str, Any]]:
    done = Said("clocking", str(FOLDER / "job.toml"), "--json")
    return done.code, json.loads(done.out)["clocking"]


def test_the_example_says_what_it_must() -> None:
    must = tomllib.loads((FOLDER / "expect.toml").read_text(encoding="utf-8"))["clocking"]
    code, found = search()
    assert (code, found["result"]) == (must["exit"], must["result"])
    assert found["windows"] == []
    assert found["least_bad"]["decides"]["b"] == must["in_the_way"]
    assert found["least_bad"]["decides"]["result"] == "hits"
    first, wanted = found["changes"][0], must["helps_most"]
    assert (first["change"], first["obstacle"]) == (wanted["change"], wanted["obstacle"])
    assert first["margin_mm"] == pytest.approx(wanted["margin_mm"], abs=0.3)
    assert first["buys_mm"] == pytest.approx(wanted["buys_mm"], abs=0.6)
    kinds = {(each["change"], each.get("toward_rack_mm")) for each in (*found["changes"], *found["no_use"])}
    assert kinds >= {("bracket", -20.0), ("bracket", -10.0), ("motor", 5.0), ("motor", 10.0), ("hand", None)}


def test_the_change_that_helps_most_made_by_hand_fits(tmp_path: Path) -> None:
    first = search()[1]["changes"][0]
    tables = tomllib.loads((FOLDER / "job.toml").read_text(encoding="utf-8"))
    tables["obstacles"] = [each for each in tables["obstacles"] if each["name"] != first["obstacle"]]
    tables["unit"] |= {"clock": jobs.deg(first["clock_deg"]), "input_face": jobs.mm(first["from_mark_mm"])}
    done = Said("check", written(tmp_path, tables), "--json")
    verdict = json.loads(done.out)
    assert (done.code, verdict["result"]) == (0, "fits")
    margin = min(row["bound_mm"] - row["required_mm"] for row in verdict["gaps"] if row["result"] == "clear")
    assert margin == pytest.approx(first["margin_mm"], abs=0.06)
