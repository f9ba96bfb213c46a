"""The cut list as JSON: keys, sums that close from the document alone, nothing null, nothing infinite. mm."""

import json
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from fitcheck.report.cuts_document import cuts_document
from tests.cuts.cut_jobs import planned, saloon_cuts, setting, van_cuts, with_done
from tests.jobs import Tables

PROMISED = {"piece", "from", "mark_mm", "first_cut_mm", "length_mm", "removed_mm", "spread_mm", "worst_mm", "result"}


def document(tables: Tables) -> dict[str, Any]:
    """Through JSON and back, infinities refused."""
    loaded: dict[str, Any] = json.loads(json.dumps(cuts_document(planned(tables)), allow_nan=False))
    return loaded


def values(tree: Any) -> Iterator[Any]:
    if isinstance(tree, dict | list):
        for item in tree.values() if isinstance(tree, dict) else tree:
            yield from values(item)
    else:
        yield tree


@pytest.mark.parametrize("car", [saloon_cuts, van_cuts])
def test_every_piece_has_the_promised_keys(car: Callable[[], Tables]) -> None:
    found = document(car())
    assert [PROMISED - set(row) for row in found["cuts"]] == [set()] * 4
    assert found["cuts_result"] == "keeps"
    assert all(value is not None for value in values(found))


@pytest.mark.parametrize("car", [saloon_cuts, van_cuts])
@pytest.mark.parametrize("stock", ["jacket", "shaft"])
def test_pieces_removed_and_kerfs_make_the_original(car: Callable[[], Tables], stock: str) -> None:
    found = document(car())
    rows = [row for row in found["cuts"] if row["stock"] == stock]
    whole = sum(row["overall_mm"] + row["kerf_mm"] for row in rows) + rows[0]["removed_mm"]
    (account,) = [row for row in found["cuts_stock"] if row["stock"] == stock]
    assert whole == pytest.approx(account["original_mm"], abs=1e-5)


@pytest.mark.parametrize("car", [saloon_cuts, van_cuts])
def test_marks_stay_on_the_step_and_spreads_below_the_worst_case(car: Callable[[], Tables]) -> None:
    for row in document(car())["cuts"]:
        for key in ("mark_mm", "first_cut_mm", "planned_length_mm"):
            steps = row[key] / (25.4 / 32)
            assert steps == pytest.approx(round(steps), abs=1e-5)
        assert row["spread_mm"] <= row["worst_mm"]
        assert sum(share["share"] for share in row["shares"]) == pytest.approx(1, abs=1e-5)
        low, high = row["allowed_mm"]
        assert low <= row["length_mm"] <= high < row["first_cut_mm"]


def test_a_missing_reading_is_absent_and_named() -> None:
    found = document(setting("unit.output_depth", None, saloon_cuts()))
    row = found["cuts"][3]
    assert row["result"] == "not known"
    assert row["missing"] == ["cuts.unit.output_depth"]
    assert "length_mm" not in row
    assert found["cuts_result"] == "not known"


def test_a_cut_in_a_zone_has_no_mark() -> None:
    zone = {"name": "rubber joint", "measured_from": "hub seat", "starts": "560 mm", "ends": "640 mm"}
    found = document(setting("zones", [zone], setting("column_kind", "plain", saloon_cuts())))
    assert [("mark_mm" in row, row["result"]) for row in found["cuts"]] == [
        (False, "outside"),
        (False, "not known"),
        (False, "outside"),
        (False, "not known"),
    ]
    assert any("rubber joint" in why for why in found["cuts_hold"])
    assert "rubber joint" in found["cuts"][2]["do_not_cut"]
    assert found["cuts_nearest_place"]["move_mm"] < -65


def test_a_trial_fit_and_a_way_out_are_there() -> None:
    done = {"first_cut": "465.9 mm ± 0.5 mm", "mating_gap": "6.4 mm"}
    fit = document(with_done(saloon_cuts(), upper_shaft=done))["cuts"][1]["trial_fit"]
    assert fit["agrees"] is True
    assert fit["trim_mm"] == pytest.approx(9.4, abs=0.4)
    assert fit["predicted_mm"] == pytest.approx(465.9 - 460.2125, abs=1e-5)
    short = document(with_done(saloon_cuts(), upper_jacket={"cut": "391.5 mm"}))["cuts_short"]
    assert [way["kind"] for way in short[0]["ways"]] == ["read it again", "spacer ring"]


def test_a_one_sided_limit_has_no_far_end() -> None:
    found = document(saloon_cuts())["cuts_limits"]
    row = next(limit for limit in found if limit["what"] == "upper jacket: left before the bottom")
    assert row["at_least_mm"] == 0.0
    assert "at_most_mm" not in row
    assert 0 <= row["chance_outside"] <= 0.025
