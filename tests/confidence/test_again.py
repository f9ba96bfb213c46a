"""What a second reading or a better tool buys: by hand, and against the whole job judged anew with that spread changed.

Spreads of independent readings add as squares; the mean of two equal ones has 1/sqrt(2) of the spread (JCGM 100:2008,
5.1.2 and 4.2.3). The chance beside it is the normal one's.
"""

from math import sqrt
from pathlib import Path
from statistics import NormalDist

import pytest

from fitcheck.confidence.again import again
from fitcheck.confidence.results import Judged, Result
from fitcheck.job.opening import open_job
from fitcheck.readings.changed import respread
from fitcheck.readings.reading import SIGMAS_95
from fitcheck.verdict import judge
from tests import jobs
from tests.command import Said, written
from tests.verdicts import judged_example


def loose() -> jobs.Tables:
    """The dozen at 10:45 with its two readings sideways worse than they should be."""
    made = jobs.changed(jobs.example("dozen-go"), ("pedals", 0, "arm", 0, "at", "spread"), "6 mm")
    return jobs.changed(made, ("column", "low", "spread"), "5 mm")


def of_clutch(path: Path, spreads: dict[tuple[str | int, ...], float] | None = None, draws: int = 0) -> Judged:
    opened = open_job(path)
    if spreads is not None:
        object.__setattr__(opened, "job", respread(opened.job, spreads))
    return next(e for e in judge(opened, draws).gaps if (e.pair.a.name, e.pair.b.name) == ("unit", "clutch"))


def test_each_chance_is_the_normal_one_of_what_is_left_of_the_squares(tmp_path: Path) -> None:
    entry = of_clutch(Path(written(tmp_path, loose())))
    assert entry.found.closest is not None and entry.result is Result.TOO_CLOSE
    margin = entry.found.closest.gap.bound_mm - entry.pair.need.required_mm
    parts = {share.key: share.part_mm for share in entry.shares}
    whole = sum(part**2 for part in parts.values())
    spread_of = {
        "pedals[1].arm[1].at.left": (6.0, 2.0),
        "column.low.left": (5.0, 2.0),
        "pedals[1].arm_thick": (1.0, 0.2),
    }
    found = {(each.key, each.tool is not None): each.chance_under for each in again(entry)}
    for key, (was, by_tool) in spread_of.items():
        for better, share in ((False, 1 / sqrt(2)), (True, by_tool / was)):
            left = sqrt(whole - parts[key] ** 2 + (parts[key] * share) ** 2)
            by_hand = NormalDist().cdf(-margin / (left / SIGMAS_95))
            assert found[key, better] == pytest.approx(by_hand, rel=1e-9), (key, better)


def test_the_whole_job_judged_with_that_spread_says_the_same(tmp_path: Path) -> None:
    """First order and draws, each against itself; draws of 10,000 cars are good to 0.004 at 10 % (binomial)."""
    path = Path(written(tmp_path, loose()))
    for draws, within in ((0, 1e-3), (10_000, 0.012)):
        entry = of_clutch(path, draws=draws)
        said = {(each.key, each.tool is not None): each for each in again(entry)}
        for key in ("pedals[1].arm[1].at.left", "column.low.left"):
            reading = next(share.reading for share in entry.shares if share.key == key)
            assert reading is not None
            for better, spread in ((False, reading.spread / sqrt(2)), (True, 2.0)):
                anew = of_clutch(path, {reading.path: spread}, draws)
                assert said[key, better].chance_under == pytest.approx(anew.chance_under, abs=within), (key, better)


def test_it_is_told_with_the_tool(tmp_path: Path) -> None:
    said = Said("check", written(tmp_path, loose()))
    flat = " ".join(said.out.split())
    assert said.code == 3
    assert "a second reading of pedals[1].arm[1].at.left, found the same, cuts the chance of less from" in flat
    assert "pedals[1].arm[1].at.left taken by plumb bob and a taped floor grid, found the same, cuts" in flat


def test_what_is_set_by_eye_can_be_set_by_gauge_and_what_has_the_best_tool_only_again() -> None:
    entry = next(e for e in judged_example("van-500-along").gaps if e.result is Result.TOO_CLOSE)
    best, by_gauge = again(entry)[:2]
    assert (best.key, best.tool, by_gauge.key) == ("unit.clock", None, "unit.clock")
    assert by_gauge.how == "digital angle gauge on a rough tube"
    assert by_gauge.chance_under < best.chance_under < entry.chance_under


def test_nothing_is_asked_where_the_result_does_not_hang_on_readings() -> None:
    assert not any(again(entry) for entry in judged_example("dozen-go").gaps)
