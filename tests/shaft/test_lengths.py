"""Lengths by subtraction against faces laid on the line as coordinates; proud bars, short overlaps, draw-off; mm."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from fitcheck.errors import KeyFault
from fitcheck.job.lengths import step_count
from fitcheck.job.opening import open_job
from fitcheck.job.outlook import not_yet
from fitcheck.job.shafting import Hub, Joint, ShaftPiece
from fitcheck.limits import LimitResult, NotKnown
from fitcheck.shaft import lengths
from fitcheck.shaft.results import Check, PieceRow, ShaftChapter
from tests.jobs import EXAMPLES, Tables, mm
from tests.shaft import cars

WITHIN_MM = 1e-9


def seat(to_end: float = 40, bore: float = 25, short_by: float | None = None) -> lengths.Seat:
    more = {} if short_by is None else {"short_by": mm(short_by)}
    hub = Hub.model_validate({"to_end": mm(to_end), "bore": mm(bore), **more})
    return lengths.Seat("joint", hub)


def piece(**changes: Any) -> ShaftPiece:
    return ShaftPiece.model_validate(cars.telescoping(**changes))


def check(found: ShaftChapter, key: str) -> Check:
    return next(check for check in found.checks if check.key == key)


def row(found: ShaftChapter, at: int = 0) -> PieceRow:
    piece_row = found.pieces[at]
    assert isinstance(piece_row, PieceRow)
    return piece_row


@given(st.floats(150, 900), st.floats(30, 50), st.floats(15, 29), st.floats(30, 50), st.floats(15, 29))
def test_a_bar_reaches_from_bore_to_bore(span: float, out1: float, bore1: float, out2: float, bore2: float) -> None:
    """Faces as coordinates from the first joint's centre: the bar's ends lie at the bores' inner ends or just short."""
    ends = seat(out1, bore1), seat(out2, bore2)
    found = lengths.bar(span, ends, 2.0, "mm")
    first_inner, last_inner = out1 - bore1, span - (out2 - bore2)
    assert_allclose(found.high, last_inner - first_inner, atol=WITHIN_MM)
    start = first_inner + (found.high - found.finished) / 2
    assert first_inner <= start
    assert start + found.finished <= last_inner + WITHIN_MM
    for engaged in (out1 - start, start + found.finished - (span - out2)):
        assert engaged >= min(bore1, bore2) - 1.5 - WITHIN_MM
    assert found.low <= found.aim <= found.high
    assert found.first >= found.high + 2.0


def test_finished_lengths_stand_on_the_tape_and_first_cuts_err_long() -> None:
    inches, metric = lengths.bar(500.1, (seat(), seat()), 1.0, "in"), lengths.bar(500.1, (seat(), seat()), 1.0, "mm")
    assert_allclose(inches.finished / 25.4 * 32, step_count(inches.finished, "nearest"))
    assert metric.finished == inches.finished
    assert inches.first >= inches.aim + 6 + 1
    assert abs(inches.finished - inches.aim) <= 25.4 / 64 + WITHIN_MM


@pytest.mark.parametrize(("span", "step"), [(500.0, 18.5 * 25.4), (500.15, 470.0), (500.4, 470.3)])
def test_a_band_without_a_step_of_one_tape_takes_the_others_or_the_caliper(span: float, step: float) -> None:
    """0.2 mm wide, 30 less than the span: one band holds 18 1/2 in (469.9 mm), one 470 mm, the last neither."""
    narrow = seat(short_by=0.1)
    found = lengths.bar(span, (narrow, narrow), 0.0, "in")
    assert_allclose(found.finished, step, atol=1e-9)


def test_joints_that_leave_no_room() -> None:
    with pytest.raises(KeyFault, match="no room for a shaft"):
        lengths.bar(30.0, (seat(), seat()), 0.0, "mm")


def test_a_bore_past_the_centre_is_refused() -> None:
    joint = Joint.model_validate({"name": "j", "wheel_hub": {"to_end": mm(25), "bore": mm(25)}})
    with pytest.raises(KeyFault, match="reach the joint's centre"):
        lengths.seat(joint, 0, "wheel")


@given(
    span=st.floats(330, 700),
    wanted=st.floats(40, 110),
    shut=st.floats(-10, 0),
    opened=st.floats(0, 10),
    toward=st.sampled_from(["wheel", "rack"]),
)
def test_telescoping_halves_as_coordinates(span: float, wanted: float, shut: float, opened: float, toward: str) -> None:
    """Every face on one line: hub faces, both halves' ends, mouth and bottom; shut it until two faces meet."""
    ends, part = (seat(), seat()), piece(telescope={"solid_toward": toward, "tube_od": mm(25.4)})
    whole = lengths.bar(span, ends, 0.0, "mm").aim
    found = lengths.halves(part, whole, ends, (shut, opened), wanted, 1.0, "mm")
    a, b = found.solid.finished, found.tube.finished
    # from the tube's own end of the shaft: tube 0..b, solid whole-a..whole, the solid's joint begins at whole - engaged
    solid_start, mouth, other_hub = whole - a, b, whole - ends[1].deep_mm
    assert_allclose(found.overlap_mm, mouth - solid_start, atol=WITHIN_MM)
    until_bottom, until_hub = solid_start - 0.0, other_hub - mouth
    assert_allclose(found.shuts_mm, min(until_bottom, until_hub), atol=WITHIN_MM)
    assert_allclose(found.collapse_mm, found.shuts_mm + shut, atol=WITHIN_MM)
    assert_allclose(found.overlap_longest_mm, found.overlap_mm - opened, atol=WITHIN_MM)
    if found.solid.low <= found.solid.high and found.tube.low <= found.tube.high:
        assert found.collapse_mm >= wanted
        assert found.overlap_longest_mm >= 50


def blind(**changes: Any) -> ShaftPiece:
    return piece(telescope={"solid_toward": "rack", "tube_od": mm(25.4), "solid_long": mm(300), **changes})


def test_a_blind_sliding_bore_stops_sooner() -> None:
    part, ends = blind(tube_long=mm(300), slide_bore=mm(200)), (seat(), seat())
    found = lengths.halves(part, 468.0, ends, (0, 0), 50, 0, "mm")
    assert_allclose(found.shuts_mm, (468 - 300) - (300 - 200))
    assert found.stops == "the solid half reaches the bottom of the tube"
    with pytest.raises(KeyFault, match="deeper than the tube half is long"):
        lengths.halves(blind(tube_long=mm(200), slide_bore=mm(300)), 468.0, ends, (0, 0), 50, 0, "mm")


def bar_job(**changes: Any) -> Tables:
    tables = cars.saloon(pieces=[cars.bar(**changes)], dowel="500.1 mm ± 0.5 mm", collapse=mm(0))
    tables["column"] = {**tables["column"], "shaft_to": "764.6 mm ± 0.3 mm"}  # by caliper: the first joint follows it
    return tables


def test_a_bar_that_would_stand_proud_is_told_by_how_much() -> None:
    found = check(cars.chapter(bar_job(long=mm(475))), "pieces[1].length")
    assert found.result is LimitResult.OUTSIDE
    assert found.note.startswith("stands proud by 4.9 mm")
    assert_allclose(found.value - found.high, 475 - (500.1 - 30), atol=WITHIN_MM)


def test_a_bar_cut_short_has_no_way_out_but_a_new_one() -> None:
    found = check(cars.chapter(bar_job(long=mm(460))), "pieces[1].length")
    assert found.result is LimitResult.OUTSIDE
    assert "short by 7.1 mm" in found.note
    assert "no spacer, no stretch, no weld" in found.note


def test_a_bar_as_made_that_keeps() -> None:
    assert check(cars.chapter(bar_job(long="468.6 mm ± 0.3 mm")), "pieces[1].length").result is LimitResult.KEEPS


def test_the_better_of_dowel_and_readings_is_used() -> None:
    assert row(cars.chapter(bar_job())).span_from == "dowel"
    coarse = cars.saloon(pieces=[cars.bar()], dowel="500 mm ± 9 mm")
    assert row(cars.chapter(coarse)).span_from == "readings"


def test_a_dowel_that_disagrees_stops_the_job_and_is_not_averaged_away() -> None:
    found = cars.chapter(cars.saloon(pieces=[cars.bar()], dowel="512 mm ± 0.5 mm"))
    closing = check(found, "dowel")
    assert closing.result is LimitResult.NOT_KNOWN
    assert "cut nothing" in closing.note
    assert_allclose(closing.value, 11.9, atol=0.05)
    assert row(found).span_from == "readings"


def test_readings_not_good_enough_for_a_bar_are_told() -> None:
    found = check(cars.chapter(cars.saloon(pieces=[cars.bar()])), "pieces[1].length")
    assert found.result is LimitResult.SET_ON_CAR
    assert "cut it long first" in found.note and "up to 3.0 mm less, never more" in found.note


def test_an_overlap_too_small() -> None:
    slide = {"solid_toward": "rack", "tube_od": mm(25.4), "solid_long": mm(250), "tube_long": mm(260)}
    found = check(cars.chapter(cars.saloon(pieces=[cars.telescoping(telescope=slide)])), "pieces[1].overlap")
    assert found.result is LimitResult.OUTSIDE
    assert_allclose(found.value, 250 + 260 - 468.588, atol=0.01)
    assert found.note == "the halves come apart too soon"


def test_halves_too_long_leave_too_little_collapse() -> None:
    slide = {"solid_toward": "rack", "tube_od": mm(25.4), "solid_long": mm(440), "tube_long": mm(300)}
    found = cars.chapter(cars.saloon(pieces=[cars.telescoping(telescope=slide)]))
    collapse, draw_off = check(found, "collapse"), check(found, "draw_off")
    assert collapse.result is LimitResult.OUTSIDE
    assert_allclose(collapse.value, 468.588 - 440, atol=0.01)
    assert draw_off.result is LimitResult.OUTSIDE
    assert "cannot be drawn off" in draw_off.note


def test_a_plain_bar_cannot_be_drawn_off_unless_something_else_gives() -> None:
    stuck = check(cars.chapter(cars.saloon(pieces=[cars.bar()])), "draw_off")
    assert (stuck.result, stuck.value, stuck.low) == (LimitResult.OUTSIDE, 0.0, 30.0)
    way = cars.bar(drawn_off_by="the box is unbolted and let down", drawn_off=mm(60))
    freed = check(cars.chapter(cars.saloon(pieces=[way])), "draw_off")
    assert freed.result is LimitResult.KEEPS
    assert freed.note == "the box is unbolted and let down"


def test_movement_of_the_box_goes_into_the_slip() -> None:
    still, moving = cars.chapter(cars.saloon()), cars.chapter(changed_lower("6 mm"))
    for found, used in ((still, 0.0), (moving, 6.0)):
        halves = row(found).halves
        assert halves is not None
        assert_allclose(halves.shuts_mm - halves.collapse_mm, used, atol=WITHIN_MM)
        assert_allclose(halves.overlap_mm - halves.overlap_longest_mm, used, atol=WITHIN_MM)
        assert halves.collapse_mm >= 100


def changed_lower(moves: str) -> Tables:
    tables = cars.saloon()
    tables["shaft"]["lower"]["moves"] = moves
    return tables


def test_dimples_from_the_bars_own_ends() -> None:
    screwed = [cars.joint("upper joint"), cars.joint("lower joint")]
    dimples = row(cars.chapter(cars.saloon(pieces=[cars.bar()], joints=screwed))).dimples
    assert [(dimple.joint, dimple.end) for dimple in dimples] == [("upper joint", "wheel"), ("lower joint", "rack")]
    assert_allclose([dimple.from_end_mm for dimple in dimples], 25 - 0.75 - 12)
    assert dimples[1].remark.startswith("on a flat")
    hollow = row(cars.chapter(cars.saloon(pieces=[cars.bar(hollow=mm(13))], joints=screwed))).dimples[0]
    assert "never past half the wall, 1.5 mm" in hollow.remark


def test_where_the_columns_shaft_has_to_end() -> None:
    stub = cars.saloon_as_it_is().stub
    assert not isinstance(stub, NotKnown)
    assert_allclose(np.array(stub), [780.4 - 15 - 1.5, 780.4 - 15])


def test_every_joint_needs_positive_retention_said() -> None:
    loose = cars.joint("lower joint", rack_hub={"to_end": mm(40), "bore": mm(25)})
    found = cars.chapter(cars.saloon(joints=[cars.on_tube("upper joint"), loose]))
    held = check(found, "joints[2].rack_hub.held_by")
    assert held.result is LimitResult.NOT_KNOWN
    assert held.missing == NotKnown(
        held.what,
        ("shaft.joints[2].rack_hub.held_by",),
        "how the shaft is held in it: screw, bolt or, by its maker, weld",
    )


@pytest.mark.parametrize(
    ("sticks_out", "result", "words"),
    [
        ("32 mm", LimitResult.KEEPS, ""),
        ("23.6 mm", LimitResult.TOO_CLOSE, ""),
        ("20 mm", LimitResult.OUTSIDE, "5.0 mm of the bore stay empty: another joint or another input; no spacer"),
    ],
)
def test_the_boxs_input_has_to_fill_the_last_joints_bore(sticks_out: str, result: LimitResult, words: str) -> None:
    """A bore of 25 mm may stay 1.5 mm short: 23.5 at least; calipers are good to 0.2."""
    tables = cars.saloon()
    tables["shaft"]["lower"]["sticks_out"] = sticks_out
    found = check(cars.chapter(tables, 0), "input")
    assert found.result is result
    assert_allclose((found.low, found.spread), (23.5, 0.2), atol=1e-9)
    assert found.note.startswith(words)


def test_an_input_that_is_not_measured_is_said_not_to_be_looked_at() -> None:
    found = cars.chapter(cars.saloon(), 0)
    assert not [each for each in found.checks if each.key == "input"]
    for example, said in (("saloon-shaft", False), ("van-shaft", True)):
        opened = open_job(EXAMPLES / example / "job.toml")
        assert (("shaft.lower.sticks_out",) in [entry.missing for entry in not_yet(opened.job)]) is said


def test_dimples_on_the_columns_shaft_and_the_boxs_input() -> None:
    """Bore 25, aimed 0.75 short of its inner end: 24.25 in; screw 12 from the hub's end: 12.25 from the shaft's end."""
    found = cars.chapter(cars.saloon(), 0)
    (column, on_column), (box, on_box) = found.end_dimples
    assert (column, on_column.joint, on_column.end) == ("column's shaft", "upper joint", "rack")
    assert (box, on_box.joint, on_box.end) == ("box input", "lower joint", "wheel")
    assert_allclose([on_column.from_end_mm, on_box.from_end_mm], 25 - 0.75 - 12, atol=1e-9)


def test_no_dimple_where_nothing_is_held_by_a_set_screw() -> None:
    bolted = cars.hub(held_by="pinch bolt")
    joints = [cars.on_tube("upper joint", wheel_hub=bolted), cars.joint("lower joint", rack_hub=bolted)]
    assert cars.chapter(cars.saloon(joints=joints), 0).end_dimples == ()


def test_the_verdict_does_not_hang_on_the_unit_it_is_shown_in() -> None:
    """A band of 0.4 mm may hold a half mm and no 1/32 in: 470.1 less 0 to 0.4 has 470.0, and 18 1/2 in is 469.9."""
    hub = cars.hub(short_by=mm(0.2))
    joints = [cars.joint("upper joint", rack_hub=hub), cars.joint("lower joint", wheel_hub=hub)]
    found = set()
    for show in ("in", "mm"):
        tables = cars.saloon(pieces=[cars.bar()], joints=joints, dowel="500.45 mm ± 0.01 mm", collapse=mm(0))
        row = cars.chapter({**tables, "job": {**tables["job"], "show": show}}, 0).pieces[0]
        assert not isinstance(row, NotKnown)
        assert row.length.low <= row.length.finished <= row.length.high
        found.add(row.length.finished)
    assert len(found) == 1
