"""Every kind of reading, made by hand from true places: it agrees with them, and brings back a place left open."""

from typing import Any

import numpy as np
import pytest

from fitcheck.errors import JobError, KeyFault
from fitcheck.readings.points import points_of
from tests import jobs
from tests.readings import nets
from tests.readings.nets import TRUE, adjusted, at, offsets, place, tape

ALONG, OUT, CLOCK = nets.off_column("knee")
ANGLES = nets.slant("hub_seat", "low")
FOOT = float(
    (at("pad") - at("shaft_left")) @ (at("knee") - at("shaft_left")) / np.linalg.norm(at("knee") - at("shaft_left"))
)
BESIDE = float(np.sqrt(np.sum((at("pad") - at("shaft_left")) ** 2) - FOOT**2))
NORMAL = np.cross(at("shaft_right") - at("shaft_left"), at("knee") - at("shaft_left"))
OFF_PLANE = abs(float((at("pad") - at("knee")) @ NORMAL / np.linalg.norm(NORMAL)))


def without(name: str, *ways: str) -> dict[str, Any]:
    """The points with some of one's offsets left out."""
    return {name: {key: value for key, value in offsets(name).items() if key not in ways}}


AGREEING = {
    "offsets": {"of": "pad", **offsets("pad")},
    "offsets from another": {"of": "pad", "from": "knee", "back": "117 mm", "left": "8 mm", "down": "187 mm"},
    "tape": tape("hub_seat", "pad"),
    "near sides": tape("shaft_left", "pad", -11.0, between="near sides", sizes=["22 mm", "0 mm"]),
    "far sides": tape("shaft_left", "knee", 15.0, between="far sides", sizes=["22 mm", "8 mm"]),
    "height": {"height_of": "hub_seat", "over": "knee", "is": "246 mm"},
    "lower": {"height_of": "pad", "over": "knee", "is": "-187 mm"},
    "plumb": {"plumb": ["shaft_left", "shaft_right"], "right_of": "-237 mm"},
    "plane": {"of": "pad", "plane": ["shaft_left", "shaft_right", "knee"], "is": jobs.mm(OFF_PLANE)},
    "edge": {"of": "pad", "edge": ["shaft_left", "knee"], "along": jobs.mm(FOOT), "out": jobs.mm(BESIDE)},
    "off the column": {
        "of": "knee", "along": jobs.mm(ALONG), "out": jobs.mm(OUT), "out_from": "axis", "clock": jobs.deg(CLOCK)
    },
    "off the skin": {"of": "knee", "out": jobs.mm(OUT - 25.4), "out_from": "skin"},
    "true angles": {
        "axis": ["hub_seat", "low"], "seen": "true",
        "down": jobs.deg(ANGLES["down true"]), "across": jobs.deg(ANGLES["across true"]),
    },
    "projected angles": {
        "axis": "column", "seen": "projected",
        "down": jobs.deg(ANGLES["down projected"]), "across": jobs.deg(ANGLES["across projected"]),
    },
}  # fmt: skip


@pytest.mark.parametrize("kind", AGREEING)
def test_a_true_reading_moves_nothing_and_agrees(kind: str) -> None:
    found = adjusted(AGREEING[kind])
    for name in TRUE:
        assert place(found, name) == pytest.approx(at(name), abs=1e-5)
    assert found.adjusted.squares == pytest.approx(0.0, abs=1e-9)
    assert found.adjusted.degrees == len(found.all_observations) - 3 * len(TRUE) > 0
    assert found.doubtful == ()


@pytest.mark.parametrize(
    ("kind", "name", "ways"),
    [
        ("offsets from another", "pad", ("back", "left", "down")),
        ("tape", "pad", ("down",)),
        ("near sides", "pad", ("down",)),
        ("height", "knee", ("up",)),
        ("lower", "pad", ("down",)),
        ("plumb", "shaft_right", ("back", "right")),
        ("plane", "pad", ("down",)),
        ("edge", "pad", ("back", "down")),
        ("off the column", "knee", ("back", "left", "up")),
        ("off the skin", "knee", ("up",)),
        ("true angles", "low", ("left", "up")),
        ("projected angles", "low", ("left", "up")),
    ],
)
def test_it_brings_back_what_is_left_open(kind: str, name: str, ways: tuple[str, ...]) -> None:
    left = without(name, *ways)
    rough = {}
    if kind in ("tape", "near sides", "plane", "edge", "off the skin"):  # two places fit: said which, roughly
        rough = {way: value.replace(" mm", " mm ± 60 mm") for way, value in offsets(name).items() if way in ways}
    points = {name: {**left[name], **rough} or "by readings"}
    found = adjusted(AGREEING[kind], points=points)
    assert place(found, name) == pytest.approx(at(name), abs=1e-4)


def test_a_tape_alone_leaves_two_places_and_says_so() -> None:
    """The pad's height by one tape from the shaft: as far above as below."""
    with pytest.raises(KeyFault) as refused:
        adjusted(tape("shaft_left", "pad"), points=without("pad", "down"))
    assert refused.value.path == ("points", "pad")
    assert refused.value.message == (
        "two places fit its readings, 538 mm apart; say which by an up or down offset, however rough "
        '("± 50 mm" will do)'
    )
    assert pytest.approx(538.0) == 2 * (234.0 + 35.0)


def test_three_tapes_and_one_rough_offset_place_a_point() -> None:
    tapes = [tape(name, "pad", spread="1 mm") for name in ("hub_seat", "shaft_left", "shaft_right", "low")]
    found = adjusted(*tapes, points={"pad": {"down": "35 mm ± 50 mm"}})
    assert place(found, "pad") == pytest.approx(at("pad"), abs=1e-3)


def test_a_point_on_an_axis_and_a_tube_over_a_stub() -> None:
    """300 mm down the column; and a stub 120 mm behind the near end of a tube, by similar triangles."""
    mid = at("hub_seat") + 300 * nets.axis()
    on_axis = {"of": "mid", "on_axis": "column", "along": "300 mm"}
    found = adjusted(on_axis, points={"mid": "by readings"})
    assert place(found, "mid") == pytest.approx(mid, abs=1e-5)
    tube = {"tube": ["knee", "pad"], "stub": "stub", "stub_to_near": "120 mm", "off": "0.5 mm"}
    found = adjusted(tube, points={"stub": "by readings"})
    toward = (at("knee") - at("pad")) / np.linalg.norm(at("knee") - at("pad"))
    assert place(found, "stub") == pytest.approx(at("knee") + 120 * toward, abs=1e-5)


def test_a_pivot_from_three_places_of_a_mark() -> None:
    marks = {f"mark {k}": jobs.at(*nets.swung("pad", "shaft_left", by)) for k, by in enumerate((0, 13, 26))}
    swings = {"swings": list(marks), "about": "pivot"}
    found = adjusted(swings, points={**marks, "pivot": {"left": "111 mm"}})
    assert place(found, "pivot") == pytest.approx(at("shaft_left"), abs=1e-4)
    (back, _, up) = next(point.spread for point in found.found if point.name == "pivot")
    assert max(back, up) > 3 * 3.0, "a swing of 26 degrees multiplies the marks' own 3 mm"


def test_too_little_swing_is_refused() -> None:
    marks = {f"mark {k}": jobs.at(*nets.swung("pad", "shaft_left", by)) for k, by in enumerate((0, 7, 14))}
    with pytest.raises(KeyFault) as refused:
        adjusted({"swings": list(marks), "about": "pivot"}, points={**marks, "pivot": {"left": "111 mm"}})
    assert refused.value.path == ("readings", 0, "swings")
    assert refused.value.message == (
        "a swing of 14 degrees is too little to find a pivot from: take places 15 degrees or more apart"
    )


def test_a_scan_turned_and_moved_is_brought_back() -> None:
    """Its coordinates made by a turning matrix of 8 degrees about up, and a shift."""
    turn = np.radians(8.0)
    matrix = np.array([[np.cos(turn), -np.sin(turn), 0], [np.sin(turn), np.cos(turn), 0], [0, 0, 1]])
    spots = {name: matrix @ at(name) + (40.0, -25.0, 310.0) for name in TRUE}
    scans = []
    for name, spot in spots.items():
        ways = dict(zip(("back", "right", "up"), map(jobs.mm, spot.round(9).tolist()), strict=True))
        scans.append({"of": name, "in_scan": "first", **ways})
    found = adjusted(*scans, points={"pad": "by readings"})
    assert place(found, "pad") == pytest.approx(at("pad"), abs=1e-4)
    assert found.adjusted.squares == pytest.approx(0.0, abs=1e-6)


def test_level_and_plumb_are_corrected_for_how_the_car_sat() -> None:
    """Nose up by 1 degree: what lies 433 mm ahead of the hub seat is 433 sin 1 higher by level than in the car."""
    sat = {"sill_angle": "1 deg nose up", "cross_angle": "level"}
    ahead, higher = 636.0 - 203.0, 398.0 - 152.0
    by_level = higher * np.cos(np.radians(1)) - ahead * np.sin(np.radians(1))
    height = {"height_of": "hub_seat", "over": "knee", "is": jobs.mm(round(float(by_level), 9))}
    found = adjusted(height, points=without("knee", "up"), job=jobs.header(sat=sat))
    assert place(found, "knee") == pytest.approx(at("knee"), abs=1e-4)


@pytest.mark.parametrize(
    ("reading", "points", "said"),
    [
        (tape("hub_seat", "pad") | {"tape": ["hub_seat", "pads"]}, {}, "there is no point named 'pads'"),
        (tape("hub_seat", "pad") | {"tape": ["pad", "pad"]}, {}, "one reading names a point twice"),
        (tape("hub_seat", "pad"), {"lost": "by readings"}, "none of [[readings]] names 'lost'"),
        (tape("hub_seat", "pad"), {"datum": offsets("pad")}, "'datum' is the mark all offsets start from"),
        ({"tape": ["hub_seat", "pad"], "is": "5 mm", "sizes": ["2 mm", "0 mm"]}, {}, "both or neither"),
        ({"of": "knee", "out": "79 mm"}, {}, "out needs out_from"),
        ({"axis": "column", "seen": "true"}, {}, "give 'down' (below level), 'across'"),
    ],
)
def test_what_is_refused_in_the_file(reading: jobs.Tables, points: dict[str, Any], said: str) -> None:
    with pytest.raises(JobError) as refused:
        jobs.job(nets.tables(reading, points=points))
    assert said in str(refused.value)


def test_a_side_of_the_column_lies_on_no_axis() -> None:
    """The lower place was taped to the underside: a gauge on the tube is read along the column, not to that place."""
    low = {"low": offsets("low", side="underside")}
    with pytest.raises(KeyFault) as refused:
        adjusted({"axis": ["hub_seat", "low"], "down": "28 deg", "seen": "true"}, points=low)
    assert "'low' was measured to its underside side, so it lies on no axis" in refused.value.message
    assert 'write "column"' in refused.value.message
    points_of(jobs.job(nets.tables({"axis": "column", "down": "28 deg", "seen": "true"}, points=low)))
