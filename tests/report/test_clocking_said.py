"""What is said of the search: text, JSON object, picture. Stretches are never said wider than they are."""

import json
import math
from dataclasses import replace
from functools import cache
from io import StringIO
from pathlib import Path
from tempfile import mkdtemp

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.clearance.clocking_spots import Spot
from fitcheck.clearance.clocking_windows import Box
from fitcheck.cli.door import progress
from fitcheck.confidence.clocking import ClockingChapter, find
from fitcheck.confidence.clocking_judged import Judgement, legs_at
from fitcheck.confidence.results import Judged, Result
from fitcheck.errors import DrawingError
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.opening import OpenJob
from fitcheck.placement.scene import Setting
from fitcheck.report.clocking_document import clocking_document
from fitcheck.report.clocking_legs import legs_rows
from fitcheck.report.clocking_picture import clocking_picture
from fitcheck.report.clocking_text import clocking_text, exit_code
from fitcheck.report.clocking_words import Ruler, minutes
from fitcheck.report.side_view import Kind, kind_of
from tests import jobs
from tests.command import Said, written
from tests.confidence import clocking_car as car
from tests.verdicts import judged_example

INCH = 25.4
STEPS: list[str] = []  # told while the chapter was made
STARTS: dict[Kind, bytes] = {"png": b"\x89PNG", "svg": b"<?xml", "pdf": b"%PDF"}


@cache
def opened() -> OpenJob:
    folder = car.folder(Path(mkdtemp()))
    return OpenJob(jobs.job(car.tables()), "", "job.toml", folder, "ab" * 32)


@cache
def chapter() -> ClockingChapter:
    return find(opened().job, opened().folder, STEPS.append)


def ruler(show: str, mark_mm: float = 0.0) -> Ruler:
    own = Setting(0.0, 430.0, None, 0.0, "hub_seat", 430.0 - mark_mm)
    return Ruler(own, 25.4, "in" if show == "in" else "mm")


def test_windows_best_and_map_stand_in_the_text() -> None:
    said = clocking_text(opened(), chapter())
    flat = " ".join(said.split())
    assert "FITS, BY ITS GAPS: 2 windows where every gap is kept; best at" in flat
    assert "Tried: any clock; input face from 425 mm to 455 mm down from hub seat." in flat
    assert "Most forgiving place: motor to" in flat
    assert "Where the job has it now: motor to 12:00 seen from the seat (12:00 seen lying under it)" in flat
    assert "Decided by" in flat
    rows = [line for line in said.splitlines() if set(line[18:].strip()) <= set("#+-.x") and " - " in line]
    assert len(rows) > 10
    assert any("#" in row for row in rows) and any("x" in row or "." in row for row in rows)
    assert max(map(len, said.splitlines())) <= 110


def test_the_document_holds_windows_best_and_map() -> None:
    found = json.loads(json.dumps(clocking_document(opened(), chapter()), allow_nan=False))
    assert found["schema"] == 1
    assert "null" not in json.dumps(found)
    assert {"clutch pedal", "brake pedal", "throttle pedal", "bracket"} <= set(found["not_yet"])
    assert not {"cut lengths", "intermediate shaft", "search over clock and place"} & set(found["not_yet"])
    search = found["clocking"]
    assert search["result"] == "fits"
    for window, ours in zip(search["windows"], chapter().windows, strict=True):
        keeps = window["keeps"]
        assert keeps["clock_from_deg"] == pytest.approx(math.degrees(ours.keeps.reach.start) % 360, abs=1e-3)
        assert keeps["clock_to_deg"] - keeps["clock_from_deg"] == pytest.approx(
            math.degrees(ours.keeps.reach.stop - ours.keeps.reach.start), abs=2e-3
        )
        assert keeps["box"]["along_from_mm"] >= keeps["along_from_mm"]
        assert "sure" in window
    best = search["best"]
    assert best["round_jacket_mm"] == pytest.approx(
        ((best["clock_deg"] + 180) % 360 - 180) * math.pi / 180 * INCH, abs=1e-2
    )
    assert best["decides"]["bound_mm"] - best["decides"]["required_mm"] == pytest.approx(best["margin_mm"], abs=2e-3)
    assert search["forgiving"]["box"] == search["windows"][0]["keeps"]["box"]
    (map_,) = search["maps"]
    cells = np.array(map_["cells_mm"])
    assert cells.shape == (len(map_["clock_edges_deg"]) - 1, len(map_["along_mm"]) - 1)
    assert {each["b"] for each in map_["pairs"]} >= {"wall", "pipe", "ball"}
    assert (np.array(map_["cells_sure"]) <= (cells >= 0)).all()
    assert len(map_["cells_decided_by"]) == len(cells)


@pytest.mark.parametrize("kind", ["png", "pdf"])
def test_pictures_of_each_kind(kind: Kind) -> None:
    assert clocking_picture(opened(), chapter(), kind).startswith(STARTS[kind])


def test_same_search_same_picture_with_the_words_on_it() -> None:
    first, again = (clocking_picture(opened(), chapter(), "svg") for _ in range(2))
    assert first.startswith(STARTS["svg"])
    assert first == again
    drawn = first.decode()
    for said in ("seen from the seat", "seen lying under it", "driver's", "most forgiving", "every gap kept"):
        assert said in drawn
    with pytest.raises(DrawingError, match=r"is written as \.png"):
        kind_of("map.jpg")


@given(st.floats(0, 6), st.floats(0.02, 3), st.floats(100, 700), st.floats(1.7, 60), st.sampled_from(["in", "mm"]))
def test_stretches_are_said_no_wider_than_they_are(
    start: float, wide: float, low: float, deep: float, show: str
) -> None:
    box = Box(start, start + wide, low, low + deep)
    said = ruler(show, 30.0).places(box)
    plain = said.rsplit("(", 1)[-1].rstrip(")")
    first, last = (float(part) for part in plain.removesuffix(" mm").split(" to "))
    assert low - 30 - 1e-6 <= first <= last <= low + deep - 30 + 1e-6
    if show == "in":
        inches = [inch(part) * INCH for part in said.split(" (")[0].removesuffix(" in").split(" in to ")]
        assert low - 30 - 1e-6 <= inches[0] < inches[1] <= low + deep - 30 + 1e-6
    clocks = [minute(part) for part in ruler(show).clocks(box).split(" to ")]
    turned = [(720 + clock - math.degrees(start) * 2) % 720 for clock in clocks]
    assert turned[0] <= math.degrees(wide) * 2 + 1e-6
    assert turned[-1] <= math.degrees(wide) * 2 + 1e-6


def inch(text: str) -> float:
    """Inches with a fraction."""
    whole = 0.0
    for part in text.split():
        top, _, bottom = part.partition("/")
        whole += float(top) / float(bottom or 1)
    return whole


def minute(text: str) -> float:
    """Minutes of the clock face after 12."""
    hours, minutes_ = text.split(":")
    return float(hours) % 12 * 60 + float(minutes_)


@pytest.mark.parametrize(
    ("start", "stop", "said"),
    [
        (-20.0, -10.0, "4.5 to 8.8 mm anticlockwise of the scribed top line, round the jacket"),
        (10.0, 20.0, "4.5 to 8.8 mm clockwise of the scribed top line, round the jacket"),
        (350.0, 370.0, "from 4.4 mm anticlockwise to 4.4 mm clockwise of the scribed top line"),
        (0.0, 360.0, "anywhere round the jacket"),
    ],
)
def test_tape_round_the_jacket(start: float, stop: float, said: str) -> None:
    """Of radius 25.4: 10 deg are 4.433 mm, 20 deg 8.866 mm."""
    box = Box(math.radians(start), math.radians(stop), 400.0, 420.0)
    assert ruler("mm").round_jacket(box) == said


def test_too_short_a_stretch_for_an_inch_tape_is_said_in_mm() -> None:
    """70.1 to 72.5 deg of radius 25.4 are 31.08 to 32.14 mm: of the marks only 1 1/4 in, 31.75 mm, lies between."""
    box = Box(math.radians(70.1), math.radians(72.5), 400.0, 420.0)
    assert ruler("in").round_jacket(box).startswith("31.1 to 32.1 mm clockwise")


def test_what_is_forgiven_is_rounded_down() -> None:
    assert minutes(math.radians(8.3)) == "16 min of the clock face (8 deg)"


def test_by_the_command(tmp_path: Path) -> None:
    car.folder(tmp_path)
    job = written(tmp_path, car.tables(clocking={"clocks": "11:30 to 12:00", "places": "430 mm to 435 mm"}))
    drawing = tmp_path / "map.svg"
    done = Said("clocking", job, "--picture", str(drawing))
    assert done.code == 0
    assert "one window where every gap is kept" in done.out
    assert drawing.read_bytes().startswith(b"<?xml")
    told = Said("clocking", job, "--json")
    assert json.loads(told.out)["clocking"]["windows"]
    wrong = Said("clocking", written(tmp_path, car.tables(clocking={"places": "425 mm to 690 mm"})))
    assert wrong.code == 2
    assert "clocking.places: the unit cannot sit at all of these" in wrong.err


@cache
def legs_there() -> tuple[Judged, ...]:
    """Legs, and boots off their pedals, against what turns, at the place that the example has the unit."""
    verdict = judged_example("saloon-way-in")
    at, job = verdict.scene.setting, verdict.opened.job
    own = Judgement(Spot(at.clock, at.input_face_mm, 0.0), job, verdict.scene, ())
    return legs_at(GapEngine(), verdict.opened.folder, own)


def test_legs_at_a_place_are_those_of_the_job_judged_there() -> None:
    verdict, found = judged_example("saloon-way-in"), legs_there()
    assert verdict.boots is not None
    turning = {"unit"}
    wanted = {
        (entry.pair.a.name, entry.pair.b.name): entry
        for entry in verdict.boots.gaps
        if turning & {entry.pair.a.name, entry.pair.b.name}
    }
    assert len(found) == len(wanted) > 3
    for entry in found:
        other = wanted[entry.pair.a.name, entry.pair.b.name]
        assert entry.result is other.result
        assert entry.found.closest is not None and other.found.closest is not None
        assert entry.found.closest.gap.bound_mm == pytest.approx(other.found.closest.gap.bound_mm, abs=0.06)
        assert entry.spread_mm == pytest.approx(other.spread_mm, abs=0.05)


def test_a_leg_in_the_way_at_the_best_place_is_told_and_nothing_is_decided() -> None:
    first, *_ = legs_there()
    bad = replace(first, result=Result.UNDER)
    assert list(legs_rows((first,), "mm")) == [
        "  Legs, and boots off their pedals (not in the map), looked at there: clear."
    ]
    told = list(legs_rows((bad,), "mm"))
    assert told[0].startswith(f"  Not in the map: [!] under: {bad.pair.a.name} - {bad.pair.b.name}: gap ")
    assert "another place in the window" in told[-1]
    assert exit_code(chapter()) == 0
    assert exit_code(replace(chapter(), legs=((bad,), ()))) == 3
    told_json = clocking_document(opened(), replace(chapter(), legs=((bad,), ())))["clocking"]["best"]["legs"]
    assert told_json[0]["result"] == "under"


def test_progress_is_told_on_a_terminal_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Steps of long work, in words; in a pipe nothing but the result."""
    assert chapter().windows
    assert STEPS[:2] == ["the map over clock and place", "the best place"] and len(STEPS) == 4
    out = StringIO()
    monkeypatch.setattr("sys.stderr", out)
    progress("the map")
    assert out.getvalue() == ""
    monkeypatch.setattr(out, "isatty", lambda: True)
    progress("the map")
    assert out.getvalue() == "... the map\n"
