"""Every measured number with its spread and where that is from; moving one moves exactly that one. mm and rad.

The tools' spreads are common practice, no source; a stated one overrules them.
"""

import math
import re
import tomllib
from collections.abc import Iterator
from typing import Any

import pytest

from fitcheck.readings.survey import Reading, all_shifted, defaults_in_use, readings, shifted
from tests import jobs
from tests.placement.test_mirror_and_datum import by_gauge


def surveyed(tables: jobs.Tables) -> dict[str, Reading]:
    return {reading.key: reading for reading in readings(jobs.job(tables))}


def found(key: str, tables: jobs.Tables) -> tuple[float, str]:
    """Spread in mm or degrees, to 1e-9, and where it is from."""
    reading = surveyed(tables)[key]
    return round(math.degrees(reading.spread) if reading.is_angle else reading.spread, 9), reading.spread_from


def with_pad(back: str, **place: str) -> jobs.Tables:
    return jobs.bare(pedals=[jobs.clutch(pad=jobs.pad({**jobs.at(0, -90, -95), "back": back, **place}))])


PAD_BACK = "pedals[1].pad.at.back"


@pytest.mark.parametrize(
    ("back", "place", "spread", "source"),
    [
        ("320 mm ± 2 mm", {"spread": "1 mm", "tool": "scan"}, 2.0, "stated"),
        ("320 mm +/- 1/8 in", {}, 3.175, "stated"),
        ("320 mm", {"spread": "1.5 mm", "tool": "scan"}, 1.5, "stated for the point"),
        ("320 mm", {"tool": "scan"}, 5.0, "phone scan"),
        ("320 mm", {"tool": "caliper"}, 0.2, "caliper on a tube or shaft"),
        ("320 mm", {}, 3.0, "steel tape in a footwell, default"),
    ],
)
def test_a_spread_is_the_readings_own_or_its_tables_or_its_tools_or_the_usual(
    back: str, place: dict[str, str], spread: float, source: str
) -> None:
    assert found(PAD_BACK, with_pad(back, **place)) == (spread, source)


def test_a_point_said_once_spreads_over_all_its_offsets() -> None:
    places = surveyed(with_pad("320 mm", spread="1.5 mm"))
    offsets = [places[f"pedals[1].pad.at.{way}"] for way in ("back", "left", "down")]
    assert [each.spread for each in offsets] == [1.5] * 3
    assert places["pedals[1].pad.wide"].spread == 1.0, "the pad's own sizes are not the point's"


@pytest.mark.parametrize(
    ("key", "spread", "words"),
    [
        ("column.down", 0.5, "digital angle gauge on a rough tube, default"),
        ("column.jacket_od", 0.2, "caliper on a tube or shaft, default"),
        ("column.jacket_from", 2.0, "unit set along the column by tape, default"),
        ("column.hub_seat.back", 3.0, "steel tape in a footwell, default"),
        ("unit.input_face", 2.0, "unit set along the column by tape, default"),
        ("unit.clock", 2.0, "unit clocked by eye to a scribed line, default"),
        ("unit.motor.dia", 1.0, "steel tape in the open, default"),
        ("pedals[1].travel", 4.0, "pad travel by tape in a footwell, default"),
        ("pedals[1].over_travel", 4.0, "pad travel by tape in a footwell, default"),
        ("pedals[1].arm[2].at.back", 3.0, "steel tape in a footwell, default"),
        ("pedals[1].arm_wide", 1.0, "steel tape in the open, default"),
        ("pedals[1].pivot.up", 3.0, "steel tape in a footwell, default"),
    ],
)
def test_what_each_kind_of_reading_is_usually_good_to(key: str, spread: float, words: str) -> None:
    assert found(key, jobs.bare(pedals=[jobs.clutch()])) == (spread, words)


def test_angles_take_their_own_spread_and_not_the_lengths_of_their_table() -> None:
    off = {"along": "400 mm", "out": "75 mm", "out_from": "axis", "clock": "10:30", "spread": "1 mm", "tool": "scan"}
    tables = jobs.bare(pedals=[jobs.clutch(pad=jobs.pad(off))])
    assert found("pedals[1].pad.at.along", tables) == (1.0, "stated for the point")
    assert found("pedals[1].pad.at.clock", tables)[0] == pytest.approx(2.0)
    tables = jobs.bare(unit=jobs.unit("10:30 ± 5 deg"))
    assert found("unit.clock", tables) == (5.0, "stated")
    tables = jobs.bare(column={**jobs.bare()["column"], "down": "28 deg ± 0.2 deg"})
    assert found("column.down", tables) == (0.2, "stated")


def test_how_the_car_sat_is_a_reading_too() -> None:
    """A gauge on the sill is as good as one on a tube; the bare word level states no number and carries none."""
    sat = {"sill_angle": "0.4 deg nose up", "cross_angle": "0.3 deg left down ± 0.1 deg"}
    got = surveyed(jobs.bare(job=jobs.header(sat=sat)))
    assert math.degrees(got["job.sat.sill_angle"].value) == pytest.approx(0.4)
    assert math.degrees(got["job.sat.sill_angle"].spread) == pytest.approx(0.5)
    assert got["job.sat.sill_angle"].spread_from.endswith("default")
    assert math.degrees(got["job.sat.cross_angle"].spread) == pytest.approx(0.1)
    level = surveyed(jobs.bare(job=jobs.header(sat={"sill_angle": "level ± 0.2 deg", "cross_angle": "level"})))
    assert math.degrees(level["job.sat.sill_angle"].spread) == pytest.approx(0.2)
    assert "job.sat.cross_angle" not in level


def test_wanted_figures_and_spreads_are_no_readings() -> None:
    tables = jobs.bare(
        pedals=[jobs.clutch(side_wear="4 mm")],
        require={"pedal": "16 mm", "wheel_pull": "3 mm"},
        points={"mark": jobs.at(1, 2, 3, spread="2 mm")},
    )
    keys = surveyed(tables)
    assert not [key for key in keys if "require" in key or "side_wear" in key or "spread" in key]
    assert keys["points.mark.back"].spread == 2.0


def texts(value: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """Every text of the tables that is a length, an angle or a clock place, told by its looks alone."""
    if isinstance(value, dict):
        for key, item in value.items():
            yield from texts(item, (*path, key))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from texts(item, (*path, index))
    elif isinstance(value, str) and re.fullmatch(r"[-\d./ ]+ ?(mm|in|deg)( .*)?|\d+:\d\d", value):
        yield path, value


@pytest.mark.parametrize("make", [jobs.saloon, by_gauge], ids=["saloon", "by gauge"])
def test_no_number_of_the_file_is_forgotten(make: Any) -> None:
    """Against the file itself, read by tomllib: every number in it is a reading, save wanted figures and spreads.

    Of the cuts most are wanted (bands, clearances); the bench's and the unit's own are measured.
    """
    tables = tomllib.loads(jobs.text(make()))
    written = {path for path, _ in texts(tables) if path[-1] not in ("spread", "side_wear", "date")}
    read = {reading.path for reading in readings(jobs.job(tables))}
    of_cuts = {path for path in written if path[0] == "cuts"}
    assert {path for path in read if path[0] != "cuts"} == written - of_cuts
    assert {path for path in of_cuts if path[1] in ("bench", "unit")} <= read & of_cuts
    assert len(written) > 50


@pytest.mark.parametrize("make", [jobs.saloon, by_gauge], ids=["saloon", "by gauge"])
def test_shifting_moves_exactly_that_one(make: Any) -> None:
    job = jobs.job(make())
    before = readings(job)
    for k, moved in enumerate(before):
        by = 0.001 if moved.is_angle else 0.25
        after = readings(shifted(job, moved.path, by))
        assert [each.path for each in after] == [each.path for each in before]
        changes = [new.value - old.value for new, old in zip(after, before, strict=True)]
        assert changes[k] == pytest.approx(by, abs=1e-9)
        assert not any(changes[:k] + changes[k + 1 :])
        assert [each.spread for each in after] == [each.spread for each in before]
    assert readings(job) == before, "the job itself stays as it is"


def test_all_moved_at_once_is_one_after_the_other() -> None:
    job = jobs.job(jobs.saloon())
    moves = [(each.path, 0.01 * i if each.is_angle else 0.3 * i) for i, each in enumerate(readings(job), 1)]
    one_by_one = job
    for path, by in moves:
        one_by_one = shifted(one_by_one, path, by)
    assert all_shifted(job, moves) == one_by_one
    was = {each.path: each.value for each in readings(job)}
    assert {each.path: each.value for each in readings(one_by_one)} == {path: was[path] + by for path, by in moves}


def test_defaults_in_use_are_counted_in_words() -> None:
    tables = with_pad("320 mm", spread="2 mm")
    said = list(defaults_in_use(jobs.job(tables)))
    counted = sum(reading.spread_from.endswith("default") for reading in readings(jobs.job(tables)))
    (line,) = said
    assert line.startswith("spreads not stated, so taken by default, common practice, no source: give or take ")
    assert sum(map(int, re.findall(r"for (\d+) reading", line))) == counted
    assert "4 mm for 2 readings (pad travel by tape in a footwell)" in line
    assert re.search(r"0.5 deg for \d readings? \(digital angle gauge on a rough tube\)", line)


def test_a_stated_spread_of_nothing_is_no_default() -> None:
    """0 mm stated is what was stated: the reading moves nothing."""
    assert PAD_BACK not in surveyed(with_pad("320 mm ± 0 mm"))
