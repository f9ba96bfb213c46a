"""The verdict as JSON: keys are a contract, nothing is null or NaN, bounds and depths are rounded down, spreads up."""

import json
import math
from collections import Counter
from collections.abc import Iterator
from typing import Any

import pytest

from fitcheck.job.opening import OpenJob
from fitcheck.report.document import check_document, gaps_document
from fitcheck.report.gap_document import down, up
from fitcheck.report.text import check_text
from fitcheck.verdict import Verdict, judge
from tests import jobs
from tests.verdicts import NAMES
from tests.verdicts import judged_example as judged

GAPS_KEYS = {"schema", "job", "result", "placed", "gaps", "passed_over", "engine"}
CHECK_KEYS = GAPS_KEYS | {"looked_at", "not_yet", "readings", "remarks", "cautions"}
RESULTS = {"hits", "under", "not known", "too close to call", "clear", "as before", "joined"}
ALWAYS = {"a", "b", "result", "reason"}
NEEDED = {"required_mm", "required_from"}
STOPPED = {"at_least_mm", "bound_mm"}
FOUND = {"gap_mm", "bound_mm", "spread_mm", "where_a", "where_b", "on_a", "on_b", "spread_from"}
POINT = {"back_mm", "right_mm", "up_mm"}


def everything(value: Any) -> Iterator[Any]:
    yield value
    if isinstance(value, dict | list):
        for item in value.values() if isinstance(value, dict) else value:
            yield from everything(item)


@pytest.mark.parametrize("name", NAMES)
def test_document_is_plain_json_without_null_or_nan(name: str) -> None:
    document = check_document(judged(name))
    assert json.loads(json.dumps(document, allow_nan=False)) == document
    for value in everything(document):
        assert value is not None
        assert not isinstance(value, float) or math.isfinite(value)
        assert str(value) != "-0.0"


@pytest.mark.parametrize("name", NAMES)
def test_keys_are_those_of_the_contract(name: str) -> None:
    document = check_document(judged(name))
    chapters = {key for key in document if key in ("boots", "reach", "seen", "shaft") or key.startswith("cuts")}
    assert set(document) - chapters == CHECK_KEYS
    adjusted = ["readings"] if "points" in document["readings"] else []
    adjusted += ["seen"] if "seen" in document else []
    others = [name for name in ("boots", "reach", "cuts", "shaft") if name in document]
    assert document["looked_at"] == [*adjusted, "gaps", *others]
    assert set(gaps_document(judged(name))) - {"shaft"} == GAPS_KEYS
    assert document["schema"] == 1
    assert document["result"] in {"fits", "does not fit", "cannot decide"}
    assert set(document["job"]) == {"name", "file", "digest", "date"}
    placed = {"clock_deg", "clock_time", "along_mm", "round_jacket_mm", "motor_plane_mm"}
    assert set(document["placed"]) | {"motor_plane_mm"} == placed
    assert set(document["engine"]) == {"queries", "second_road", "third_road"}
    for waiting in document["not_yet"]:
        assert {"what", "missing"} <= set(waiting) <= {"what", "missing", "measure"}
        assert "measure" in waiting or not waiting["missing"]
    for passed in document["passed_over"]:
        assert set(passed) == {"a", "b", "reason"}
    assert all(isinstance(remark, str) and remark for remark in document["remarks"] + document["cautions"])


@pytest.mark.parametrize("name", NAMES)
def test_rows_hold_what_their_result_calls_for_and_nothing_else(name: str) -> None:
    for row in check_document(judged(name))["gaps"]:
        assert row["result"] in RESULTS
        expected = set(ALWAYS)
        judged_row = row["result"] not in ("as before", "joined")
        if judged_row:
            expected |= NEEDED
        if "at_least_mm" in row:
            assert row["at_least_mm"] == row["bound_mm"]
            assert set(row) == expected | STOPPED
            continue
        if row["result"] != "joined":
            expected |= FOUND | ({"chance_under"} if judged_row else set())
        if row.get("gap_mm") == 0:
            expected |= {"depth_at_least_mm"}
        assert set(row) - {"at_travel", "at_movement", "first_touch_travel", "drawn", "measure_again"} == expected
        if "drawn" in row:
            assert set(row["drawn"]) == {"draws", "spread_mm", "place_changed"} and judged_row and row["gap_mm"] > 0
        assert "first_touch_travel" not in row or row["gap_mm"] == 0


@pytest.mark.parametrize("name", NAMES)
def test_figures_of_a_row_agree_with_one_another(name: str) -> None:
    for row in check_document(judged(name))["gaps"]:
        if "gap_mm" not in row:
            continue
        assert row["bound_mm"] <= row["gap_mm"]
        assert row["spread_mm"] >= 0
        assert 0 <= row.get("chance_under", 0) <= 1
        assert set(row["on_a"]) == set(row["on_b"]) == POINT
        between = math.dist(row["on_a"].values(), row["on_b"].values())
        assert between == pytest.approx(row["gap_mm"], abs=3e-3)
        parts = [share["part_mm"] for share in row["spread_from"]]
        assert row["spread_mm"] == pytest.approx(math.hypot(*parts), abs=2e-3 + 5e-4 * len(parts))
        if row["result"] == "clear":
            assert row["bound_mm"] >= row["required_mm"] - 1e-3 and row["chance_under"] <= 0.025
        if row["result"] == "under":
            assert row["gap_mm"] > 0 and row["bound_mm"] < row["required_mm"]
        assert (row["result"] == "hits") <= (row["gap_mm"] == 0)


@pytest.mark.parametrize("name", NAMES)
def test_every_bound_is_rounded_down_and_every_spread_up(name: str) -> None:
    verdict = judged(name)
    for row, entry in zip(check_document(verdict)["gaps"], verdict.gaps, strict=True):
        if entry.found.closest is not None:
            gap = entry.found.closest.gap
            assert 0 <= gap.bound_mm - row["bound_mm"] < 0.001 + 1e-12
            if gap.bracketed:
                assert -1e-12 <= row["spread_mm"] - entry.spread_mm < 0.001 + 1e-12
            assert 0 <= gap.depth_mm - row.get("depth_at_least_mm", gap.depth_mm) < 0.001 + 1e-12


@pytest.mark.parametrize(("value", "low", "high"), [(1.2345, 1.234, 1.235), (-1.2345, -1.235, -1.234), (0.0, 0.0, 0.0)])
def test_thousandths_below_and_above(value: float, low: float, high: float) -> None:
    assert (down(value), up(value)) == (low, high)


def test_every_pair_of_parts_stands_in_the_document_once() -> None:
    document = check_document(judged("saloon-10-45"))
    pairs = [frozenset((row["a"], row["b"])) for row in document["gaps"] + document["passed_over"]]
    names = {name for pair in pairs for name in pair}
    assert len(pairs) == len(set(pairs)) == len(names) * (len(names) - 1) // 2


def verdict_on(tables: jobs.Tables) -> Verdict:
    return judge(OpenJob(jobs.job(tables), jobs.text(tables), "job.toml", jobs.EXAMPLES, "0" * 64))


def test_what_looks_odd_stands_among_the_doubtful_readings() -> None:
    document = check_document(verdict_on(jobs.bare(column={**jobs.bare()["column"], "jacket_od": "20 mm"})))
    reason = "a jacket of 20.0 mm (13/16 in); they are 25 mm (1 in) to 90 mm (3 9/16 in)"
    assert document["readings"] == {"doubtful": [{"key": "column.jacket_od", "reason": reason}]}
    assert document["result"] == "cannot decide"
    assert check_document(judged("saloon-10-45"))["readings"] == {"doubtful": []}


def test_a_pair_that_waits_names_its_keys_and_how_to_measure_them() -> None:
    tables = jobs.bare(pedals=[jobs.changed(jobs.clutch(), ("travel",), None)])
    row = next(row for row in gaps_document(verdict_on(tables))["gaps"] if {row["a"], row["b"]} == {"unit", "clutch"})
    assert set(row) == ALWAYS | NEEDED | {"missing", "measure"}
    assert (row["result"], row["reason"]) == ("not known", "missing pedals[1].travel")
    assert row["missing"] == ["pedals[1].travel"]
    assert row["measure"].startswith("the clutch pad's centre from rest to full travel")


def test_two_pedals_are_both_named_where_they_come_closest() -> None:
    rows = check_document(judged("saloon-10-45"))["gaps"]
    row = next(row for row in rows if {row["a"], row["b"]} == {"brake", "boot on throttle"})
    assert set(row["at_travel"]) == {"brake", "throttle"}


def test_the_shafts_gaps_stand_in_text_and_document_alike() -> None:
    verdict = judged("saloon-exhaust-later")
    rows = gaps_document(verdict)["shaft"]["gaps"]
    assert rows == check_document(verdict)["shaft"]["gaps"]
    bad = [row for row in rows if row["result"] == "under"]
    assert [(row["a"], row["b"]) for row in bad] == [("intermediate shaft", "exhaust primary")]
    counted = Counter(row["result"] for row in (*gaps_document(verdict)["gaps"], *rows))
    assert f"{counted['under']} under, {counted['clear']} clear" in check_text(verdict)
