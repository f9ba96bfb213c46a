"""`fitcheck readings` on the cross-checked example: the planted blunder found and named; verdicts before and after."""

import json
import re
import tomllib
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from fitcheck.job.opening import open_job
from fitcheck.readings.settled import settle
from fitcheck.report.clocking_text import in_doubt, verdict_word
from fitcheck.report.plan_text import plan_text
from tests import jobs
from tests.command import Said
from tests.verdicts import planned_example

EXAMPLE = jobs.EXAMPLES / "saloon-readings" / "job.toml"
PLANTED = ("points", "hub_seat", "back")


def tables() -> jobs.Tables:
    return tomllib.loads(EXAMPLE.read_text(encoding="utf-8"))


def told(made: jobs.Tables, folder: Path, command: str = "check") -> tuple[int, dict[str, Any]]:
    path = folder / "job.toml"
    path.write_text(jobs.text(made), encoding="utf-8")
    said = Said(command, str(path), "--json")
    return said.code, json.loads(said.out)


def test_the_planted_blunder_is_found_and_named() -> None:
    """24 1/16 in was written for 25 1/16 in: 25.4 mm, within what all other readings (good to 1 to 3 mm) can say."""
    said = Said("readings", str(EXAMPLE), "--json")
    assert (said.code, said.err) == (3, "")
    found = json.loads(said.out)["readings"]
    assert len(found["residuals"]) >= 30
    (doubt,) = found["doubtful"]
    assert doubt["key"] == "points.hub_seat.back" and doubt["left_out"]
    assert doubt["would_be_mm"] == pytest.approx(25.0625 * 25.4, abs=3.0)
    assert doubt["off_mm"] == pytest.approx(-25.4, abs=3.0)
    hub = next(point for point in found["points"] if point["name"] == "hub_seat")
    assert hub["back_mm"] == pytest.approx(636.0, abs=2.0), "where the invented car has it"
    assert hub["spread"]["back_mm"] < 2.0


def test_the_text_says_what_to_do() -> None:
    said = Said("readings", str(EXAMPLE))
    flat = " ".join(said.out.split())
    assert "READINGS: 70 readings of 16 points, 22 more than it takes; 1 in doubt; 10 checked by no other." in flat
    assert (
        "[!] in doubt points.hub_seat.back: hub_seat, back It reads 24 1/16 in (611.2 mm); by the others it would have "
        "to be 25 in (634.8 mm): 15/16 in (23.6 mm) more. It is left out of everything until it is taken again; look "
        "at both its ends."
    ) in flat
    assert "clutch_toe, up" in flat.partition("Checked by no other reading")[2]
    assert max(map(len, said.out.splitlines())) <= 110


def test_believed_it_fits_and_found_out_it_does_not(tmp_path: Path) -> None:
    """Without the tapes the wrong reading passes for right; with them it does not; taken again, the same, no doubt."""
    believed = jobs.changed(tables(), ("readings",), None)
    believed = jobs.changed(believed, ("points", "brake_toe"), jobs.at(272, 68, 52))
    believed = jobs.changed(believed, ("points", "clutch_pivot"), None)
    code, before = told(believed, tmp_path)
    assert (code, before["result"]) == (0, "fits")
    code, found_out = told(tables(), tmp_path)
    assert (code, found_out["result"]) == (1, "does not fit")
    assert [row["key"] for row in found_out["readings"]["doubtful"]] == ["points.hub_seat.back"]
    code, after = told(jobs.changed(tables(), PLANTED, "25 1/16 in"), tmp_path)
    assert (code, after["result"]) == (1, "does not fit")
    assert after["readings"]["doubtful"] == []
    gaps = [next(row for row in each["gaps"] if row["b"] == "clutch") for each in (before, found_out, after)]
    assert gaps[0]["bound_mm"] > 16 + 5 and gaps[1]["bound_mm"] == pytest.approx(gaps[2]["bound_mm"], abs=1.0)
    assert gaps[2]["bound_mm"] < 12


def test_a_doubt_that_nothing_settles_lets_no_job_fit(tmp_path: Path) -> None:
    """At 11:00 there is room enough; a contradicted reading still has to be taken again first."""
    made = jobs.changed(tables(), ("unit", "clock"), "11:00")
    code, found = told(made, tmp_path)
    assert {row["result"] for row in found["gaps"]} <= {"clear", "as before", "joined"}
    assert (code, found["result"]) == (3, "cannot decide")
    code, found = told(jobs.changed(made, PLANTED, "25 1/16 in"), tmp_path)
    assert (code, found["result"]) == (0, "fits")


def test_too_few_readings_say_what_to_take_and_following_it_suffices(tmp_path: Path) -> None:
    """The clutch pad's height taken by nothing: the rest is judged, exit 3; with the height named the job is whole."""
    few = jobs.changed(tables(), PLANTED, "25 1/16 in")
    few = jobs.changed(few, ("points", "clutch_pad"), {"left": "91 mm", "back": "318 mm"})
    few["readings"] = [each for each in few["readings"] if "clutch_pad" not in str(each)]
    few = jobs.changed(few, ("unit", "clock"), "11:00")
    code, found = told(few, tmp_path)
    assert code == 3
    results = {row["b"]: row["result"] for row in found["gaps"] if row["a"] == "unit"}
    assert results["clutch"] == "not known" and results["brake"] == "clear"
    (missing,) = found["readings"]["missing"]
    assert missing.startswith("clutch_pad: height is fixed by nothing; take an up or down offset")
    whole = jobs.changed(few, ("points", "clutch_pad", "down"), None) if "down" in few["points"]["clutch_pad"] else few
    whole["readings"].append({"of": "clutch_pad", "down": "37 mm", "spread": "2 mm"})
    assert told(whole, tmp_path)[0] == 0


def test_a_job_without_named_points_is_no_mistake_and_hears_what_this_is_for(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(jobs.text(jobs.bare()), encoding="utf-8")
    said = Said("readings", str(path))
    assert said.code == 0 and "the job names no points" in said.out and "readings JOB --plan" in said.out
    row = json.loads(Said("readings", str(path), "--json").out)
    assert set(row) == {"schema", "job", "remarks"}


def test_faults_have_their_line(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(jobs.text(jobs.changed(tables(), ("readings", 0, "tape"), ["hub_seat", "shaft_lef"])), "utf-8")
    said = Said("readings", str(path))
    assert said.code == 2
    assert (
        "readings[1].tape[2]: there is no point named 'shaft_lef' in [points]; did you mean 'shaft_left'?" in said.err
    )


def test_the_search_is_not_sure_either_while_a_reading_is_in_doubt() -> None:
    """What the search says in a word, and its exit code, of a window found for the same settled job."""
    scene = SimpleNamespace(unplaced=())
    chapter: Any = SimpleNamespace(job=settle(jobs.job(tables())), windows=(1,), sure=True, seen=None, scene=scene)
    assert verdict_word(chapter) == "CANNOT DECIDE, A READING IS IN DOUBT"
    assert [odd.key for odd in in_doubt(chapter)] == ["points.hub_seat.back"]
    chapter.job = jobs.job(jobs.bare())
    assert verdict_word(chapter) == "FITS, BY ITS GAPS"
    chapter.seen = SimpleNamespace(agrees=False)
    assert verdict_word(chapter) == "CANNOT DECIDE, A READING IS IN DOUBT"


def test_a_proof_takes_adjusted_points_as_stated_and_says_so(tmp_path: Path) -> None:
    path = tmp_path / "proof.json"
    assert Said("proof", str(EXAMPLE), "-o", str(path)).code == 0
    said = Said("proof", "--verify", str(path), "--job", str(EXAMPLE))
    assert said.code == 0
    loose = said.out.partition("not worked out anew, taken as stated: ")[2].partition("\n")[0]
    assert "hub seat (column.hub_seat)" in loose and "clutch, pad" in loose


def gone(made: jobs.Tables, keys: list[str]) -> jobs.Tables:
    """The tables without what stands at the keys, as people spell them."""
    for key in keys:
        made = jobs.changed(made, path_of(key), None)
    return made


def path_of(key: str) -> tuple[str | int, ...]:
    return tuple(int(step) - 1 if step.isdigit() else step for step in re.findall(r"[a-z_]+|\d+", key))


def there(made: jobs.Tables, key: str) -> Any:
    """What stands at a key; of a place that is only named, the whole of it."""
    value: Any = made
    for step in path_of(key):
        value = value[step]
    return value


@pytest.mark.parametrize(("name", "ends"), [("dozen-go", 0), ("dozen-no-go", 1)])
def test_the_list_of_what_is_missing_is_enough_when_followed(name: str, ends: int, tmp_path: Path) -> None:
    """A dozen with three readings not taken: exit 3; whatever the answer lists is written in, nothing else."""
    whole = jobs.example(name)
    few = gone(whole, ["pedals[1].pivot", "pedals[1].travel", "pedals[1].pad.at"])
    code, found = told(few, tmp_path)
    assert (code, found["result"]) == (3, "cannot decide")
    listed = [key for row in found["gaps"] for key in row.get("missing", [])]
    for _ in range(3):
        for key in dict.fromkeys(listed):
            few = jobs.changed(few, path_of(key), there(whole, key))
        code, found = told(few, tmp_path)
        listed = [key for row in found["gaps"] for key in row.get("missing", [])]
        if not listed:
            break
    assert code == ends
    assert few == whole


def test_the_plan_in_words_and_as_a_document() -> None:
    path = jobs.EXAMPLES / "dozen-plan"
    text = plan_text(open_job(path / "job.toml"), planned_example())
    flat = " ".join(text.split())
    assert "PLAN: 6 readings, about 18 minutes, to decide the pair, if the car is about as guessed" in flat
    assert "in the seat 1 hub seat, back (column.hub_seat.back): steel tape in a footwell, give or take 3 mm" in flat
    assert max(map(len, text.splitlines())) <= 110
    said = Said("readings", str(path), "--plan", "--json")
    assert (said.code, said.err) == (0, "")
    document = json.loads(said.out)
    found = document["plan"]
    assert document["schema"] == 1 and found["decides"]
    assert [row["key"] for row in found["take"]] == re.findall(r"\(((?:column|pedals)\S+)\): ", flat)
    assert found["minutes"] == sum(row["minutes"] for row in found["take"])
    assert len(found["take"]) + len(found["next"]) == 12


def test_a_plan_of_what_is_measured_or_cross_checked_says_what_to_do(tmp_path: Path) -> None:
    said = Said("readings", str(jobs.EXAMPLES / "dozen-go"), "--plan")
    assert said.code == 2 and 'guessed = { places = "30 mm"' in said.err
    said = Said("readings", str(EXAMPLE), "--plan")
    assert said.code == 2 and "a plan is made before there are [[readings]]" in said.err
    path = tmp_path / "job.toml"
    wrong = jobs.changed(jobs.example("dozen-plan"), ("job", "guessed", "places"), "-3 mm")
    path.write_text(jobs.text(wrong), encoding="utf-8")
    assert "job.guessed.places" in Said("check", str(path)).err
