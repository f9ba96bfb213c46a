"""The shaft's chapter as JSON: the keys are a contract, nothing is null, open ends of a band are absent."""

import json
from typing import Any

from fitcheck.report.shaft_document import shaft_document
from tests.jobs import at
from tests.shaft import cars


def as_json(found: Any) -> dict[str, Any]:
    document: dict[str, Any] = json.loads(json.dumps(shaft_document(found), allow_nan=False))
    shaft: dict[str, Any] = document["shaft"]
    return shaft


def nulls(value: Any) -> bool:
    if isinstance(value, dict):
        return any(map(nulls, value.values()))
    return any(map(nulls, value)) if isinstance(value, list) else value is None


def test_the_saloon() -> None:
    shaft = as_json(cars.saloon_as_it_is())
    assert not nulls(shaft)
    assert [(row["name"], row["angle_deg"], row["grade"], row["result"]) for row in shaft["joints"]] == [
        ("upper joint", 15.647, "good", "keeps"),
        ("lower joint", 21.026, "fine", "keeps"),
    ]
    (phase,) = shaft["phases"]
    assert (phase["best_deg"], phase["nearest_deg"]) == (-31.383, -30.0)
    assert phase["teeth"] == {"rack_end": 0, "wheel_end": 3}
    assert (shaft["ripple_pct"], shaft["ripple_in_line_pct"]) == (6.248, 12.326)
    assert 0.85 < shaft["lead_deg"] < 0.95
    (piece,) = shaft["pieces"]
    assert piece["centre_to_centre_mm"] == 500.088
    assert piece["halves"]["collapse_mm"] == shaft["collapse_mm"]
    assert shaft["draw_off_mm"] == piece["halves"]["shuts_mm"]
    assert {"spread_mm", "spread_first_order_mm", "spread_draws_mm", "spread_from"} <= set(piece)
    collapse = next(row for row in shaft["limits"] if row["key"] == "collapse")
    assert "high_mm" not in collapse and collapse["low_mm"] == 100.0


def test_what_is_not_known_names_its_keys() -> None:
    tables = cars.saloon(lower={"joint_at": at(-440, -95, -270)})
    shaft = as_json(cars.chapter(tables, 0))
    assert shaft["result"] == "not known"
    assert shaft["joints"][1] == {
        "name": "lower joint",
        "result": "not known",
        "missing": ["shaft.lower.tube"],
        "measure": "two places, near and far, on a straight tube slipped over the box input",
    }
    assert shaft["evenness"]["missing"] == ["shaft.lower.tube"]
    assert "ripple_pct" not in shaft
    assert "collapse_mm" in shaft
    assert not nulls(shaft)


def test_a_proposal_is_a_chapter_of_its_own() -> None:
    shaft = as_json(cars.chapter(cars.steep(), 0))
    assert shaft["why_not_two"]
    assert len(shaft["proposal"]["joints"]) == 3
    assert set(shaft["proposal"]["support_bearing"]) == {"back_mm", "right_mm", "up_mm"}
    assert not nulls(shaft)


def test_a_straight_joint_has_any_phase_and_no_number_for_it() -> None:
    """The column points straight at the last joint: the first one has no bend, and so no plane."""
    way = [a - b for a, b in zip((88.297, -1.805, 106.925), (636, -13, 398), strict=True)]
    ahead = [636 + 2.1 * way[0], -13 + 2.1 * way[1], 398 + 2.1 * way[2]]
    lower = {"joint_at": at(*ahead), "down": "18 deg", "across": "-4 deg"}
    shaft = as_json(cars.chapter(cars.saloon(lower=lower), 0))
    assert shaft["phases"] == [{"shaft": "telescoping shaft", "any": True}]
    assert shaft["joints"][0]["angle_deg"] == 0.0
