"""The mock-up against the readings: predictions by hand geometry, agreement, disagreement, a lean, what each does."""

import tomllib
from dataclasses import replace
from math import hypot, sqrt
from pathlib import Path

import pytest

from fitcheck.confidence.as_built import AsBuilt, AsBuiltEntry, as_built
from fitcheck.confidence.first_order import Share, chance_under
from fitcheck.confidence.mocked_up import held_against
from fitcheck.confidence.results import Judged, Result
from fitcheck.errors import JobError, KeyFault
from tests import jobs
from tests.command import Said
from tests.verdicts import judged_example

FIRST = {"half": 24.1, "full": 24.3, "brake": 25.6, "shaft": 13.1}  # what the saloon's readings predict, see below


def found(off: float, **more: str) -> list[jobs.Tables]:
    """Four gaps of the saloon, all off by as much from what is predicted."""
    return [
        {"between": ["unit", "clutch"], "gap": jobs.mm(FIRST["half"] + off), "at": "half", **more},
        {"between": ["unit", "clutch"], "gap": jobs.mm(FIRST["full"] + off), "at": "full", **more},
        {"between": ["brake", "unit"], "gap": jobs.mm(FIRST["brake"] + off), "at": "full", **more},
        {"between": ["unit", "pedal shaft"], "gap": jobs.mm(FIRST["shaft"] + off), **more},
    ]


def saloon(*seen: jobs.Tables) -> jobs.Tables:
    return {**jobs.saloon(), "seen": list(seen)}


def compared(*seen: jobs.Tables) -> AsBuilt:
    got = as_built(jobs.job(saloon(*seen)), Path())
    assert got is not None
    return got


def entry(off: float, shares: dict[str, float], spread: float = 0.5) -> AsBuiltEntry:
    parts = tuple(Share(key, part) for key, part in shares.items())
    return AsBuiltEntry("seen[1]", "a - b", ("a", "b"), 20.0 + off, spread, 20.0, parts)


def test_nothing_found_says_nothing() -> None:
    assert as_built(jobs.job(jobs.saloon()), Path()) is None


def test_the_pedal_shaft_by_hand() -> None:
    """The can's upper end against the shaft: what the whole verdict says of them too, for neither moves."""
    got = compared(found(0.0)[3])
    assert got.entries[0].predicted_mm == pytest.approx(13.11, abs=0.06), "confirmed by coal in the examples' tests"


def test_a_clutch_with_no_side_play_has_four_millimetres_more_or_less() -> None:
    """The arm's side faces the gear body: side play (4 mm at the pad, 310.5 mm out) is not on the mock-up.

    At the arm's place, about 0.8 of the way to the pad, 3.2 mm; the whole verdict, worn, says 20.8 mm.
    """
    got = compared(found(0.0)[0])
    assert got.entries[0].predicted_mm == pytest.approx(20.8 + 3.2, abs=0.5)


def test_root_of_both_squared_spreads_decides() -> None:
    inside, outside = entry(3.0, {"x": 3.0}), entry(3.2, {"x": 3.0})
    assert inside.allowed_mm == pytest.approx(hypot(3.0, 0.5))
    assert inside.agrees and not outside.agrees


def test_shared_readings_count_once_in_the_mean() -> None:
    """Three gaps on one reading of 3 mm: their mean is as unsure as each; on three of their own, by sqrt 3 surer."""
    one = AsBuilt(tuple(entry(2.0, {"hub": 3.0}) for _ in range(3)))
    assert one.mean_spread_mm == pytest.approx(sqrt(3 * 0.5**2 + 9.0**2) / 3)
    own = AsBuilt(tuple(entry(2.0, {key: 3.0}) for key in "xyz"))
    assert own.mean_spread_mm == pytest.approx(sqrt(3 * 0.5**2 + 3 * 3.0**2) / 3)
    assert not one.leans and own.leans, "2 mm each, all one way: chance where they share it, not where they do not"
    both = AsBuilt((entry(2.0, {"hub": 3.0}), entry(2.0, {"hub": -3.0})))
    assert both.mean_spread_mm == pytest.approx(sqrt(2 * 0.5**2) / 2)


def told(tmp_path: Path, *seen: jobs.Tables) -> tuple[int, str]:
    path = tmp_path / "job.toml"
    path.write_text(jobs.text(saloon(*seen)), encoding="utf-8")
    said = Said("check", str(path))
    return said.code, " ".join(said.out.split())


def test_a_mock_up_that_agrees_makes_it_surer(tmp_path: Path) -> None:
    code, text = told(tmp_path, *found(0.3))
    assert code == 0
    assert "agrees" in text and "DISAGREES" not in text
    assert "mean difference of 4 gaps" in text
    assert "gap 13/16 in (20.8 mm), give or take 0.5 mm" in text, "3.4 mm before it was found"


def test_one_that_disagrees_stops_the_job_and_is_never_averaged_away(tmp_path: Path) -> None:
    code, text = told(tmp_path, {"between": ["unit", "brake"], "gap": "17 mm", "at": "full"})
    assert code == 3
    assert "CANNOT DECIDE: 3 not known, 30 clear" in text, "what goes with the brake pedal as well: rod and boot"
    assert (
        "DISAGREES: the car is right, find the reading; first look at pedals[2].arm[1].at.right (brake: arm 1, right)"
        in text
    )
    assert "(unit - brake) the mock-up disagrees: found 17.0 mm (unit - brake, pedal full) where 25.6 mm" in text


def test_all_closer_is_the_column(tmp_path: Path) -> None:
    """Each by less than its own spread, together by more than their mean may be off."""
    code, text = told(tmp_path, *found(-2.6))
    assert code == 3
    assert "DISAGREES" not in text
    assert "the gaps found are all closer by 2.6 mm on the mean, more than the 2.0 mm that may be off" in text
    assert "what they share is the column's axis and the unit's place" in text
    assert "measure the hub seat, the low place and the input face again (every one hangs on points.hub_seat." in text


def test_a_distance_between_points() -> None:
    """Two points by offsets: the square root, and a spread from three offsets of 3 mm each along the line."""
    points = {"a": jobs.at(300, 0, 0), "b": jobs.at(700, 300, 0)}
    tables = jobs.bare(points=points, seen=[{"points": ["a", "b"], "is": "503 mm"}])
    got = as_built(jobs.job(tables), Path())
    assert got is not None
    (only,) = got.entries
    assert only.predicted_mm == pytest.approx(500.0)
    assert only.predicted_spread_mm == pytest.approx(3.0 * sqrt(2.0), rel=1e-3)
    assert only.agrees and only.found_spread_mm == 3.0


def test_up_to_five_things_are_asked_for() -> None:
    """Three pairs and a distance: no further pair of this car is within a hand's reach."""
    said = Said("mock-up", str(jobs.EXAMPLES / "saloon-readings" / "job.toml"))
    asked = [line for line in said.out.splitlines() if line.startswith("  - ")]
    assert len(asked) == 4
    assert "unit - clutch (look at " in asked[0]
    assert asked[-1].endswith("by tape")


def asked_for(tmp_path: Path, tables: jobs.Tables) -> str:
    path = tmp_path / "job.toml"
    path.write_text(jobs.text(tables), encoding="utf-8")
    return " ".join(Said("mock-up", str(path)).out.split("Find on the mock-up")[1].split())


def test_only_what_clay_bridges_is_asked_for_and_a_distance_names_both_ends(tmp_path: Path) -> None:
    """The bracket's foot lies 200 mm off the firewall: nothing to press clay between."""
    said = asked_for(tmp_path, jobs.saloon())
    assert "bracket - firewall" not in said and "unit - clutch (look at " in said
    assert "the middle of the hub seat to the middle of the clutch pad's face, at rest, by tape" in said


def test_what_was_found_at_rest_strikes_off_rest_alone(tmp_path: Path) -> None:
    """No `at` means at rest, and the answer says so; half way and full travel are still asked for."""
    said = asked_for(tmp_path, saloon({"between": ["unit", "clutch"], "gap": "60 mm"}))
    assert "the clutch pedal held half way, then on its stop or the floor" in said
    assert "the brake pedal held at rest, then half way, then on its stop or the floor" in said
    assert (
        "seen[1] unit - clutch, pedal rest, as at says nothing else: found"
        in told(tmp_path, {"between": ["unit", "clutch"], "gap": "60 mm"})[1]
    )


def test_closer_on_one_side_and_wider_on_the_other_is_a_column_that_sits_sideways() -> None:
    """13 mm less to the clutch on the left, 13 mm more to the brake on the right: 13 mm farther left.

    With the ways to both slanting by `right`, a shift s takes s times `right` from each gap.
    """
    left = replace(entry(-13.0, {"hub": 3.0}), right=-1.0)
    right = replace(entry(13.0, {"hub": 3.0}), right=1.0)
    assert AsBuilt((left, right)).sideways_mm == pytest.approx(-13.0)
    assert AsBuilt((left, replace(right, right=0.8))).sideways_mm == pytest.approx(-(13.0 + 13.0 / 0.8) / 2)
    assert AsBuilt((left, replace(right, right=0.2))).sideways_mm == 0.0, "that one lies above it, not beside it"
    assert AsBuilt((left, replace(left, found_mm=33.0))).sideways_mm == 0.0, "both on one side"
    assert AsBuilt((replace(left, found_mm=33.0), right)).sideways_mm == 0.0, "both wider"


def test_a_column_read_too_far_right_is_told_as_that(tmp_path: Path) -> None:
    """The gaps of the saloon with its column 10 mm farther left, worked out anew, found on one read as it is."""
    true = jobs.saloon()
    for place in (true["points"]["hub_seat"], true["column"]["low"]):
        place["left"] = jobs.mm(float(place["left"].split()[0]) + 10)
    seen = [{"between": ["unit", name], "gap": "50 mm", "at": "half"} for name in ("clutch", "brake")]
    there = as_built(jobs.job({**true, "seen": seen}), Path())
    assert there is not None
    car = [{**each, "gap": jobs.mm(of.predicted_mm)} for each, of in zip(seen, there.entries, strict=True)]
    said = told(tmp_path, *car)[1]
    assert "as if the column sat" in said and "mm farther left than it was read" in said
    got = compared(*car)
    assert got.sideways_mm == pytest.approx(-10.0, abs=1.0)


def test_what_cannot_be_compared_is_refused() -> None:
    with pytest.raises(JobError) as refused:
        jobs.job(saloon({"between": ["unit", "cluch"], "gap": "12 mm"}))
    assert "there is no part named 'cluch' in the job; did you mean 'clutch'?" in str(refused.value)
    with pytest.raises(JobError) as refused:
        jobs.job(saloon({"between": ["unit", "unit"], "gap": "12 mm"}))
    assert "stands here twice" in str(refused.value)
    few = jobs.changed(saloon(found(0.0)[0]), ("pedals", 0, "travel"), None)
    with pytest.raises(KeyFault) as fault:
        as_built(jobs.job(few), Path())
    assert fault.value.path == ("seen", 0, "between")


def test_what_is_left_of_a_spread_by_conditioning() -> None:
    """Against the textbook's conditional variance of two normal values, from their covariance matrix."""
    from types import SimpleNamespace
    from typing import Any, cast

    from fitcheck.confidence.mocked_up import _left

    seen = entry(1.0, {"x": 2.0, "y": -1.0}, spread=0.5)
    gap: Any = SimpleNamespace(shares=(Share("x", 3.0), Share("z", 1.0)))
    shares, shift, _ = _left(cast(Any, gap), seen)
    covariance = [[3.0**2 + 1.0**2, 3.0 * 2.0], [3.0 * 2.0, 2.0**2 + 1.0**2 + 0.5**2]]
    left = covariance[0][0] - covariance[0][1] ** 2 / covariance[1][1]
    assert sum(share.part_mm**2 for share in shares) == pytest.approx(left)
    assert shift == pytest.approx(covariance[0][1] / covariance[1][1] * 1.0)


def surer(found_mm: float, spread_mm: float, *others: float) -> Judged:
    """A pair of 20 mm, give or take 6, 16 required, once gaps were found that rest on the same readings."""
    judged = next(each for each in judged_example("saloon-10-45").gaps if each.pair.b.name == "pedal shaft")
    closest = judged.found.closest
    assert closest is not None
    gap = replace(closest.gap, bound_mm=20.0, gap_mm=20.0)
    need = replace(judged.pair.need, required_mm=16.0)
    wide = replace(
        judged,
        found=replace(judged.found, pair=replace(judged.pair, need=need), closest=replace(closest, gap=gap)),
        shares=(Share("x", 6.0),),
        spread_mm=6.0,
        chance_under=chance_under(20.0, 16.0, 6.0),
        result=Result.TOO_CLOSE,
    )
    names = (judged.pair.a.name, judged.pair.b.name)
    each = [(found_mm, spread_mm), *((other, 1.0) for other in others)]
    entries = [AsBuiltEntry("seen[1]", "by clay", names, mm_, off, 20.0, (Share("x", 6.0),)) for mm_, off in each]
    (said,) = held_against((wide,), AsBuilt(tuple(entries)))
    return said


def test_a_gap_found_as_predicted_makes_the_pair_clear_and_loose_clay_changes_nothing() -> None:
    """What is left of 6 mm after clay good to 0.5: 6 x 0.5 / hypot(6, 0.5), the weighted mean of two readings."""
    clear = surer(20.0, 0.5)
    assert clear.result is Result.CLEAR
    assert clear.spread_mm == pytest.approx(6 * 0.5 / hypot(6, 0.5))
    loose = surer(20.0, 100.0)
    assert loose.result is Result.TOO_CLOSE
    assert loose.chance_under == pytest.approx(chance_under(20.0, 16.0, 6.0), rel=0.01)


def test_no_more_room_is_left_than_was_found() -> None:
    under = surer(15.0, 0.5)
    assert under.result is Result.UNDER
    assert under.found.closest is not None and under.found.closest.gap.bound_mm <= 15.0
    also = surer(20.0, 0.5, 15.5)
    assert also.result is Result.UNDER, "the closer of two gaps found decides, however sure the other is"


def test_a_distance_that_disagrees_lets_no_job_fit(tmp_path: Path) -> None:
    tables = tomllib.loads((jobs.EXAMPLES / "saloon-readings" / "job.toml").read_text(encoding="utf-8"))
    wrong = {"points": ["hub_seat", "clutch_pad"], "is": "570 mm"}
    code, said = told_of(tmp_path, {**tables, "seen": [wrong]})
    assert code in (1, 3) and "DISAGREES" in said and "FITS" not in said.split("Gaps through")[0].replace("NOT FIT", "")
    with pytest.raises(JobError, match="is"):
        jobs.job({**tables, "seen": [{**wrong, "is": "-541 mm"}]})


def told_of(tmp_path: Path, tables: jobs.Tables) -> tuple[int, str]:
    path = tmp_path / "job.toml"
    path.write_text(jobs.text(tables), encoding="utf-8")
    done = Said("check", str(path))
    return done.code, done.out
