"""Who is judged against whom. Required gaps are common practice, no source; mm.

16 pedal, 25 boot, 6 fixed, 10 soft, 3 unit to its own bracket, nothing to room that is kept out of.
"""

import re
import tomllib
from collections.abc import Mapping
from itertools import combinations
from pathlib import Path

import pytest

from fitcheck.clearance.pairs import Need, Treatment, pairs, unused
from fitcheck.errors import JobError
from fitcheck.placement.scene import Part, Unplaced
from tests import jobs
from tests.jobs import at

TRADE = "common practice"
BRACKET = "common practice: 3 mm from the unit to its own bracket"
EXAMPLES = sorted(path.parent.name for path in jobs.EXAMPLES.glob("*/job.toml"))
NEWCOMER = {"corner": at(500, 300, 300), "opposite": at(520, 320, 320)}


def needs(tables: jobs.Tables, folder: Path = jobs.EXAMPLES) -> Mapping[frozenset[str], Need]:
    """What each pair of the tables' job needs, by the names of its parts."""
    job, scene = jobs.job(tables), jobs.scene(tables, folder)
    listed = [(pair.a.name, pair.b.name, pair.need) for pair in pairs(job, (*scene.parts, *scene.unplaced))]
    found = {frozenset((a, b)): need for a, b, need in listed}
    assert len(found) == len(listed)
    return found


def need(tables: jobs.Tables, one: str, other: str) -> Need:
    return needs(tables)[frozenset((one, other))]


def saloon(**changes: object) -> jobs.Tables:
    return {**jobs.saloon(), **changes}


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_pair_has_exactly_one_treatment_with_its_reason(name: str) -> None:
    folder = jobs.EXAMPLES / name
    tables = tomllib.loads((folder / "job.toml").read_text(encoding="utf-8"))
    names = [part.name for part in jobs.scene(tables, folder).parts]
    found = needs(tables, folder)
    assert set(found) == {frozenset(pair) for pair in combinations(names, 2)}
    for one in found.values():
        if one.treatment is Treatment.JUDGED:
            assert one.required_from
            assert one.required_mm > 0 or one.required_from == "keep-out room"
        else:
            assert one.reason and one.required_from == ""


@pytest.mark.parametrize(
    ("one", "other", "required"),
    [
        ("unit", "clutch", 16.0),
        ("unit", "brake pushrod", 16.0),
        ("bracket", "throttle", 16.0),
        ("unit", "boot on brake", 25.0),
        ("bracket", "boot on clutch", 25.0),
        ("unit", "vent duct", 6.0),
        ("unit", "pedal shaft", 6.0),
        ("bracket", "firewall", 6.0),
        ("unit", "loom along the firewall", 10.0),
        ("unit", "bracket", 3.0),
    ],
)
def test_required_gap_by_kind_of_pair(one: str, other: str, required: float) -> None:
    source = BRACKET if {one, other} == {"unit", "bracket"} else TRADE
    assert need(jobs.saloon(), one, other) == Need(Treatment.JUDGED, "", required, source)


@pytest.mark.parametrize(
    ("key", "other"),
    [("pedal", "clutch"), ("boot", "boot on brake"), ("fixed", "vent duct"), ("soft", "loom along the firewall")],
)
def test_required_gap_from_the_job(key: str, other: str) -> None:
    tables = saloon(require={key: "1 in"})
    assert need(tables, "unit", other) == Need(Treatment.JUDGED, "", 25.4, f"job, require.{key}")
    others = {"clutch", "boot on brake", "vent duct", "loom along the firewall"} - {other}
    assert all(need(tables, "unit", name).required_from == TRADE for name in others)


@pytest.mark.parametrize("between", [["unit", "clutch"], ["clutch", "unit"]])
def test_required_gap_of_one_pair_goes_before_its_kind_s(between: list[str]) -> None:
    tables = saloon(
        require={
            "pedal": "1 in",
            "pairs": [
                {"between": ["unit", "brake"], "gap": "12 mm", "why": "the arm is short there"},
                {"between": between, "gap": "20 mm", "why": "a soft bush"},
            ],
        }
    )
    assert need(tables, "unit", "clutch") == Need(Treatment.JUDGED, "", 20.0, "job, require.pairs[2]: a soft bush")
    assert need(tables, "unit", "throttle").required_mm == 25.4


def test_old_parts_are_as_before_where_one_moves_and_passed_over_where_none_does() -> None:
    found = needs(jobs.saloon())
    for pair in (
        ("column", "clutch"),
        ("clutch", "brake"),
        ("boot on brake", "vent duct"),
        ("brake pushrod", "column"),
        ("column", "vent duct"),
        ("pedal shaft", "column"),
    ):
        assert found[frozenset(pair)] == Need(Treatment.AS_BEFORE, "both were there before and stay where they were")
    for pair in (("pedal shaft", "vent duct"), ("dash lip", "handbrake")):
        assert found[frozenset(pair)] == Need(
            Treatment.NOT_LOOKED_AT, "both were there before and the job changes neither"
        )
    assert found[frozenset(("boot on clutch", "boot on brake"))].treatment is Treatment.NOT_LOOKED_AT


@pytest.mark.parametrize(
    ("one", "other"),
    [("unit", "column"), ("bracket", "column"), ("pedal shaft", "clutch"),
     ("clutch", "boot on clutch"), ("brake", "brake pushrod"), ("brake pushrod", "boot on brake"),
     ("firewall", "brake pushrod"), ("firewall", "column")],
)  # fmt: skip
def test_joined_pairs(one: str, other: str) -> None:
    found = need(jobs.saloon(), one, other)
    assert found.treatment is Treatment.JOINED
    assert found.reason


def test_room_kept_out_of_needs_nothing_beyond_itself() -> None:
    tables = jobs.saloon()
    name = "room for a knee"
    room = {"name": name, "shape": NEWCOMER, "new": True, "keep_out": True}
    tables["obstacles"] = [*tables["obstacles"], room]
    for other in ("unit", "clutch", "boot on brake", "vent duct"):
        assert need(tables, other, name) == Need(Treatment.JUDGED, "", 0.0, "keep-out room")
    tables["require"] = {"pedal": "20 mm", "pairs": [{"between": ["unit", name], "gap": "9 mm", "why": "w"}]}
    assert need(tables, "unit", name).required_mm == 9.0
    assert need(tables, "clutch", name).required_mm == 0.0


def test_less_room_than_common_practice_is_marked() -> None:
    wanted = [{"between": ["unit", "brake"], "gap": "15.9 mm", "why": "a"},
              {"between": ["unit", "throttle"], "gap": "16 mm", "why": "b"},
              {"between": ["unit", "bracket"], "gap": "2 mm", "why": "c"}]  # fmt: skip
    found = needs(saloon(require={"boot": "20 mm", "fixed": "6 mm", "pairs": wanted}))
    lowered = {"brake": True, "throttle": False, "bracket": True, "boot on clutch": True, "vent duct": False}
    assert {name: found[frozenset(("unit", name))].lowered for name in lowered} == lowered


def test_joined_may_be_said_on_either_side() -> None:
    tables = jobs.saloon()
    tables["obstacles"] = [*tables["obstacles"], {"name": "pad stop", "shape": NEWCOMER, "new": True}]
    assert need(tables, "pad stop", "clutch").treatment is Treatment.JUDGED
    tables["pedals"][0]["joined"] = ["pad stop"]
    assert need(tables, "pad stop", "clutch") == Need(Treatment.JOINED, "'clutch' is meant to touch 'pad stop'")


def test_altered_pedal_is_judged_against_what_was_there_before() -> None:
    tables = jobs.saloon()
    tables["pedals"][0]["altered"] = True
    found = needs(tables)
    assert found[frozenset(("clutch", "vent duct"))] == Need(Treatment.JUDGED, "", 16.0, TRADE)
    assert found[frozenset(("clutch", "column"))] == Need(Treatment.JUDGED, "", 16.0, TRADE)
    assert found[frozenset(("clutch", "brake"))] == Need(Treatment.JUDGED, "", 16.0, TRADE)
    assert found[frozenset(("clutch", "boot on brake"))] == Need(Treatment.JUDGED, "", 25.0, TRADE)
    assert found[frozenset(("brake", "vent duct"))].treatment is Treatment.AS_BEFORE


def test_new_obstacle_is_judged_against_everything_it_is_not_joined_to() -> None:
    tables = jobs.saloon()
    tables["obstacles"] = [*tables["obstacles"], {"name": "exhaust", "shape": NEWCOMER, "new": True}]
    found = needs(tables)
    required = {"clutch": 16.0, "brake pushrod": 16.0, "boot on throttle": 25.0, "vent duct": 6.0, "column": 6.0,
                "unit": 6.0, "bracket": 6.0, "loom along the firewall": 10.0, "pedal shaft": 6.0}  # fmt: skip
    assert {name: found[frozenset(("exhaust", name))].required_mm for name in required} == required
    assert all(one.treatment is Treatment.JUDGED for pair, one in found.items() if "exhaust" in pair)


def test_the_newer_part_stands_first() -> None:
    tables = jobs.saloon()
    tables["obstacles"] = [*tables["obstacles"], {"name": "exhaust", "shape": NEWCOMER, "new": True}]
    job, scene = jobs.job(tables), jobs.scene(tables)
    assert all(pair.a.new or not pair.b.new for pair in pairs(job, scene.parts))


def test_part_that_cannot_be_placed_yet_keeps_its_place_among_the_pairs() -> None:
    tables = jobs.changed(jobs.saloon(), ("pedals", 0, "travel"), None)
    job, scene = jobs.job(tables), jobs.scene(tables)
    assert {part.name for part in scene.unplaced} == {"clutch", "boot on clutch"}
    listed = list(pairs(job, (*scene.parts, *scene.unplaced)))
    parts = len(scene.parts) + len(scene.unplaced)
    assert len(listed) == parts * (parts - 1) // 2
    waiting = {frozenset((pair.a.name, pair.b.name)): pair for pair in listed if isinstance(pair.b, Unplaced)}
    of_unit = waiting[frozenset(("unit", "clutch"))]
    assert isinstance(of_unit.a, Part) and of_unit.need == Need(Treatment.JUDGED, "", 16.0, TRADE)


def test_required_gap_of_a_pair_that_is_not_judged_is_said_to_be_unused() -> None:
    wanted = [{"between": ["column", "clutch"], "gap": "9 mm", "why": "a"},
              {"between": ["unit", "clutch"], "gap": "9 mm", "why": "b"},
              {"between": ["unit", "column"], "gap": "9 mm", "why": "c"}]  # fmt: skip
    tables = saloon(require={"pairs": wanted})
    job, scene = jobs.job(tables), jobs.scene(tables)
    assert list(unused(job, pairs(job, scene.parts))) == [
        "require.pairs[1], column - clutch, is not used: both were there before and stay where they were",
        "require.pairs[3], unit - column, is not used: clamped together on the column",
    ]


@pytest.mark.parametrize(
    ("between", "said"),
    [
        ([["unit", "unit"]], "'unit' stands here twice; name the two parts of the pair"),
        ([["unit", "brake"], ["brake", "unit"]], "this pair has its gap already, in require.pairs[1]; keep one"),
    ],
)
def test_required_pair_that_names_no_pair_or_one_twice_is_a_fault(between: list[list[str]], said: str) -> None:
    wanted = [{"between": pair, "gap": "9 mm", "why": "a"} for pair in between]
    with pytest.raises(JobError, match=re.escape(said)):
        jobs.job(saloon(require={"pairs": wanted}))


@pytest.mark.parametrize("key", ["pedal", "boot", "fixed", "soft", "wheel_pull"])
def test_required_gap_below_zero_is_a_fault(key: str) -> None:
    with pytest.raises(JobError, match=f"require.{key}: .*cannot be less than 0"):
        jobs.job(saloon(require={key: "-1 mm"}))
