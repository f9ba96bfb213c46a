"""The whole judgement: what holds however a car is written, what is said to be open, and the stories of the cars."""

import tomllib
from collections.abc import Mapping

import pytest

from fitcheck.clearance.pairs import need
from fitcheck.clearance.travel import closest
from fitcheck.confidence.first_order import LIMITS
from fitcheck.confidence.results import CONTRADICTION, Judged, Result
from fitcheck.errors import KeyFault
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.opening import OpenJob
from fitcheck.placement.place import place
from fitcheck.report.text import check_text, cut_list_text
from fitcheck.verdict import Outcome, Verdict, judge
from tests import jobs
from tests.verdicts import judged_example

TOLERANCE_MM = 0.05  # of a least gap


def judged(tables: jobs.Tables) -> Verdict:
    return judge(OpenJob(jobs.job(tables), jobs.text(tables), "job.toml", jobs.EXAMPLES, "0" * 64))


def example(name: str) -> jobs.Tables:
    return tomllib.loads((jobs.EXAMPLES / name / "job.toml").read_text(encoding="utf-8"))


def bounds(verdict: Verdict) -> dict[frozenset[str], tuple[str, float, float]]:
    """For each pair its result, signed gap and spread, where it was looked for to the end."""
    return {
        frozenset((entry.pair.a.name, entry.pair.b.name)): (
            entry.result.value,
            entry.found.closest.gap.gap_mm or entry.found.closest.gap.bound_mm,
            entry.spread_mm,
        )
        for entry in verdict.gaps
        if entry.found.closest is not None and entry.found.closest.gap.bracketed
    }


def same(one: Verdict, other: Verdict) -> None:
    assert one.outcome is other.outcome
    ours, theirs = bounds(one), bounds(other)
    assert set(ours) == set(theirs)
    for pair, (result, gap, spread) in ours.items():
        assert theirs[pair][0] == result, pair
        assert theirs[pair][1] == pytest.approx(gap, abs=TOLERANCE_MM), pair
        assert theirs[pair][2] == pytest.approx(spread, abs=0.15, rel=0.05), pair


@pytest.mark.parametrize("name", ["saloon-9-00", "van-500-along"])
def test_mirrored_car_has_the_same_gaps(name: str) -> None:
    """Left and right, drive, clock, hand, side and cross angle change places; a gap does not."""
    tables = {**example(name), "bracket": None} if "van" in name else example(name)  # a library bracket has one hand
    tables = {key: value for key, value in tables.items() if value is not None}
    mirrored = jobs.mirrored(tables)
    assert mirrored["job"]["drive"] != tables["job"]["drive"]
    assert mirrored["unit"]["hand"] != tables["unit"]["hand"]
    same(judged(tables), judged(mirrored))


def moved(value: object, by: Mapping[str, float]) -> object:
    """The tables with every place that is taken from the datum moved by so much back, right and up."""
    if isinstance(value, list):
        return [moved(item, by) for item in value]
    if not isinstance(value, dict):
        return value
    opposite = {"back": "forward", "right": "left", "up": "down"}
    if "from" in value or not set(value) & {*opposite, *opposite.values()}:
        return {key: moved(item, by) for key, item in value.items()}
    out = {key: item for key, item in value.items() if key not in (*opposite, *opposite.values())}
    for way, other in opposite.items():
        written = value.get(way, value.get(other))
        if written is not None:
            number, _, rest = str(written).partition(" mm")
            now = (float(number) if way in value else -float(number)) + by[way]
            out[way if now >= 0 else other] = f"{abs(now):.6f} mm{rest}"
    return out


def test_moving_the_datum_changes_no_gap() -> None:
    tables = example("saloon-9-00")
    elsewhere = moved(tables, {"back": 250.0, "right": -1380.5, "up": 77.7})
    assert isinstance(elsewhere, dict)
    assert elsewhere["points"] != tables["points"]
    same(judged_example("saloon-9-00"), judged(elsewhere))


def test_order_of_parts_in_the_file_does_not_matter() -> None:
    tables = example("saloon-9-00")
    backwards = {
        **tables,
        "obstacles": tables["obstacles"][::-1],
        "pedals": tables["pedals"][::-1],
        "driver": {**tables["driver"], "boots": tables["driver"]["boots"][::-1]},
    }
    same(judged_example("saloon-9-00"), judged(backwards))


def test_gaps_stand_worst_first_and_every_pair_stands_once() -> None:
    verdict = judged_example("van-500-along")
    order = [list(Result).index(entry.result) for entry in verdict.gaps]
    assert order == sorted(order)
    pairs = [frozenset((e.pair.a.name, e.pair.b.name)) for e in verdict.gaps]
    pairs += [frozenset((pair.a.name, pair.b.name)) for pair in verdict.passed_over]
    parts = len(verdict.scene.parts)
    assert len(pairs) == len(set(pairs)) == parts * (parts - 1) // 2


def entry_of(verdict: Verdict, a: str, b: str) -> Judged:
    return next(entry for entry in verdict.gaps if (entry.pair.a.name, entry.pair.b.name) == (a, b))


def test_story_of_the_saloon_nine_o_clock_fails_late_in_the_travel_and_quarter_to_eleven_clears() -> None:
    nine = judged_example("saloon-9-00")
    clutch = entry_of(nine, "unit", "clutch")
    assert clutch.result is Result.HITS
    assert clutch.found.closest is not None and clutch.found.first_touch is not None
    assert clutch.found.closest.a_where.startswith("motor can")
    assert 0.5 < clutch.found.first_touch < 1.0
    quarter_to_eleven = judged_example("saloon-10-45")
    assert quarter_to_eleven.outcome is Outcome.FITS
    assert {e.result for e in quarter_to_eleven.gaps} == {Result.CLEAR, Result.AS_BEFORE, Result.JOINED}


def test_story_of_the_van_turning_cannot_help_sliding_does() -> None:
    """At 500 along the gear body is under the brake boot's 25 mm at every clock; at 440 along everything clears."""
    tables = example("van-500-along")
    for clock in range(12):
        job = jobs.job(jobs.changed(tables, ("unit", "clock"), f"{clock or 12}:00"))
        scene = place(job, jobs.EXAMPLES)
        unit, boot = scene.part("unit"), scene.part("boot on brake")
        assert unit is not None and boot is not None
        assert closest(GapEngine(), unit, boot).gap.gap_mm < need(job, unit, boot).required_mm == 25.0, clock
    assert judged_example("van-440-along").outcome is Outcome.FITS


def test_pedal_without_travel_leaves_its_pairs_open_and_the_rest_judged() -> None:
    tables = jobs.changed(jobs.saloon(), ("pedals", 0, "travel"), None)
    verdict = judged(tables)
    assert verdict.outcome is Outcome.CANNOT_DECIDE
    clutch = entry_of(verdict, "unit", "clutch")
    assert clutch.result is Result.NOT_KNOWN and clutch.missing == ("pedals[1].travel",)
    assert clutch.reason == "missing pedals[1].travel"
    assert "pad's centre from rest to full travel" in clutch.measure
    whole = bounds(judged_example("saloon-10-45"))
    left = bounds(verdict)
    assert left == {pair: found for pair, found in whole.items() if not pair & {"clutch", "boot on clutch"}}


def test_column_that_cannot_be_placed_is_a_fault_of_the_column() -> None:
    tables = jobs.saloon()
    del tables["column"]["low"]["up"]
    with pytest.raises(KeyFault, match=r"missing column\.low\.up: .*; without the column nothing has its place"):
        judged(tables)


def test_least_job_is_not_decided_and_says_what_it_waits_for() -> None:
    verdict = judged(jobs.bare())
    assert verdict.outcome is Outcome.CANNOT_DECIDE
    pedals = ["clutch pedal", "brake pedal", "throttle pedal"]
    rest = ["bracket", "obstacles", "cut lengths", "intermediate shaft", "shins and knees", "way in and out, hang"]
    assert [entry.what for entry in verdict.not_yet if entry.missing] == [*pedals, *rest]
    assert all(entry.measure for entry in verdict.not_yet if entry.missing)
    assert {entry.what: entry.measure for entry in verdict.not_yet if entry.measure and not entry.missing} == {
        "search over clock and place": "fitcheck clocking does it"
    }


def test_no_piece_has_a_mark_while_the_unit_does_not_fit_where_it_is() -> None:
    plan, free = judged_example("saloon-9-00").cuts, judged_example("saloon-10-45").cuts
    assert plan is not None and free is not None
    assert plan.holds == ("unit - clutch: hits, where the unit is now",)
    assert plan.result is free.result and free.holds == ()
    assert all(plan.stop(piece) and not free.stop(piece) for piece in plan.planned)
    said = cut_list_text(judged_example("saloon-9-00"))
    assert "NO CUT YET" in said and "What falls off" not in said
    assert "first cut" not in said.split("Limits, worst first")[0]


def test_no_piece_has_a_mark_while_the_mock_up_disagrees() -> None:
    seen = {"between": ["unit", "clutch"], "gap": jobs.mm(16), "at": "full"}
    plan = judged({**example("saloon-10-45"), "seen": [seen]}).cuts
    assert plan is not None
    assert "the mock-up disagrees with the readings: find the one that is wrong" in plan.holds


def test_an_exhaust_that_the_shaft_does_not_know_to_be_hot_is_asked_about() -> None:
    tables = example("saloon-exhaust-later")
    tables["shaft"]["hot"] = []
    assert any("its name says exhaust" in odd.why for odd in judged(tables).odd)
    assert not any("exhaust" in odd.why for odd in judged_example("saloon-exhaust-later").odd)


def test_a_box_whose_movement_was_not_read_is_told() -> None:
    tables = example("saloon-exhaust-later")
    del tables["shaft"]["lower"]["moves"]
    assert ("shaft.lower.moves",) in {entry.missing for entry in judged(tables).not_yet}


def test_bracket_of_a_ring_alone_has_its_legs_to_come() -> None:
    ring = {"turns": "stays with the car", "clamp": {"along": jobs.mm(390), "wide": jobs.mm(30), "thick": jobs.mm(5)}}
    waits = {entry.what: entry.missing for entry in judged(jobs.bare(bracket=ring)).not_yet}
    assert waits["the bracket's legs"] == ("bracket.solids",)
    assert "bracket" not in waits
    leg = {"through": [jobs.at(273, -33, 210), jobs.at(262, -60, 330)], "dia": jobs.mm(20)}
    whole = judged(jobs.bare(bracket={**ring, "solids": {"left leg": leg}})).not_yet
    assert not [entry for entry in whole if "bracket" in entry.what]


def test_whole_job_waits_only_for_what_there_is_no_answer_to_yet() -> None:
    waiting = {key for entry in judged_example("saloon-shaft").not_yet for key in entry.missing}
    waiting = {key for key in waiting if not key.startswith(("driver.", "reach"))}  # legs and way out: not measured
    assert waiting == {"groups.frame"}  # its rail is the frame's, and how that moves was not measured
    assert "shins and knees" in {entry.what for entry in judged_example("saloon-shaft").not_yet}


def test_each_pedal_without_a_boot_is_named_and_an_accelerator_is_a_throttle() -> None:
    tables = jobs.saloon()
    tables["pedals"][2]["name"] = "Accelerator"
    tables["driver"]["boots"] = tables["driver"]["boots"][:1]
    waiting = [entry.what for entry in judged(tables).not_yet]
    assert "boot on brake, Accelerator" in waiting
    assert "throttle pedal" not in waiting


def test_boot_on_a_pedal_without_an_arm_waits_for_nothing_else() -> None:
    """Pivot, pad and travel are there: the boot is judged, the pedal itself is not known."""
    tables = jobs.changed(jobs.saloon(), ("pedals", 0, "arm"), None)
    del tables["linkages"]
    verdict = judged(tables)
    assert verdict.outcome is Outcome.CANNOT_DECIDE
    assert entry_of(verdict, "unit", "clutch").missing == ("pedals[1].arm",)
    boot = entry_of(verdict, "unit", "boot on clutch")
    assert boot.result is Result.CLEAR
    assert "boot on clutch" in check_text(verdict, everything=True)


def test_old_parts_run_into_each_other_only_by_a_reading_gone_wrong() -> None:
    """A duct said to be where the brake's arm swings, both there before: exit 3, and nothing said about the unit."""
    tables = jobs.saloon()
    shape = {"corner": jobs.at(180, 90, 60), "opposite": jobs.at(230, 120, 110)}
    tables["obstacles"] = [*tables["obstacles"], {"name": "old duct", "shape": shape}]
    verdict = judged(tables)
    pair = entry_of(verdict, "brake", "old duct")
    assert (pair.result, pair.reason) == (Result.NOT_KNOWN, CONTRADICTION)
    assert verdict.outcome is Outcome.CANNOT_DECIDE and verdict.outcome.exit_code == 3


def test_jacket_is_listed_against_what_was_there_before() -> None:
    verdict = judged_example("saloon-10-45")
    of_jacket = [e for e in verdict.gaps if "column" in (e.pair.a.name, e.pair.b.name)]
    obstacles = {obstacle.name for obstacle in verdict.opened.job.obstacles} - {"firewall"}
    as_before = {e.pair.b.name for e in of_jacket if e.result is Result.AS_BEFORE}
    assert obstacles <= as_before


def test_odd_reading_stands_in_the_way_of_fitting() -> None:
    tables = jobs.changed(jobs.saloon(), ("obstacles", 1, "shape", "corner", "back"), "5 mm ± 25 mm")
    verdict = judged(tables)
    assert verdict.outcome is Outcome.CANNOT_DECIDE
    assert [odd.key for odd in verdict.odd] == ["obstacles[2].shape.corner.back"]
    assert judged_example("saloon-10-45").odd == ()


def test_limits_of_the_spreads_are_always_said() -> None:
    for name in ("dozen-go", "saloon-10-45"):
        assert LIMITS in judged_example(name).remarks


def test_everything_in_one_place_hits_and_nothing_breaks() -> None:
    same_box = {"corner": jobs.at(200, -40, 200), "opposite": jobs.at(300, 40, 300)}
    tables = jobs.bare(
        obstacles=[{"name": name, "shape": same_box, "new": True} for name in ("one", "two", "three")],
    )
    verdict = judged(tables)
    pair = entry_of(verdict, "one", "two")
    assert verdict.outcome is Outcome.DOES_NOT_FIT
    assert pair.result is Result.HITS and pair.found.closest is not None
    # Of two same boxes of 100 x 80 x 100 the shortest way out is 80.
    assert pair.found.closest.gap.depth_mm == pytest.approx(80.0, abs=1e-6)


def test_far_away_datum_of_ninety_metres_changes_no_gap() -> None:
    tables = example("dozen-no-go")
    far = moved(tables, {"back": 90_000.0, "right": 0.0, "up": 0.0})
    assert isinstance(far, dict)
    same(judged(tables), judged(far))
