"""Groups that move: engine rock, frame shift, axle travel, tilt and reach of the column, by plane geometry; mm.

A chord c at radius r is a turn of 2 asin(c / 2r) (Euclid III; any handbook's table of circle segments). Positions are
turned by scipy. Every figure is invented.
"""

from typing import Any

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.spatial import ConvexHull
from scipy.spatial.transform import Rotation

from fitcheck.errors import JobError, KeyFault
from fitcheck.geometry.movement import Turn
from fitcheck.geometry.sweeps import Shift
from fitcheck.placement.movements_said import movements_said
from fitcheck.placement.scene import Phase, Scene, Sway
from tests import jobs
from tests.jobs import at
from tests.placement.bodies import corners, part, turned

BLOCK = {"corner": at(-300, 20, -40), "opposite": at(-200, 60, 40)}
ROCK = {"about": at(-400, 10, -200), "runs": "along the car", "at": at(-300, 10, 100), "by": "20 mm ± 0 mm"}
FRAME = {"up_down": "4 mm", "sideways": "5 mm", "fore_aft": "3 mm"}
AXLE = {"up": "70 mm", "down": "60 mm", "sideways": "3 mm", "fore_aft": "5 mm"}
RADIUS = 300.0
ANGLE = 2 * np.arcsin(10 / RADIUS)


def with_groups(groups: jobs.Tables, of: str = "engine", **changes: Any) -> Scene:
    obstacle = {"name": "thing", "shape": BLOCK, "group": of}
    return jobs.scene(jobs.bare(groups=groups, obstacles=[obstacle], **changes))


def alone(scene: Scene) -> Phase:
    """The obstacle as it moves against the body."""
    (phase,) = part(scene, "thing").phases
    return phase.against(())


def rock(**changes: object) -> Sway:
    engine = {key: value for key, value in {**ROCK, "lifts": "both", **changes}.items() if value is not None}
    (sway,) = alone(with_groups({"engine": engine})).sways
    return sway


def ends(sway: Sway) -> list[float]:
    return [sway.move.start, sway.move.stop]


@pytest.mark.parametrize(
    ("changes", "low", "high"),
    [
        ({}, -1, 1),
        ({"lifts": "right", "other_way": "0 mm ± 0 mm"}, 0, 1),
        ({"lifts": "left", "other_way": "0 mm ± 0 mm"}, -1, 0),
    ],
)
def test_a_chord_at_a_place_is_the_turn_that_spans_it(changes: jobs.Tables, low: int, high: int) -> None:
    sway = rock(**changes)
    assert_allclose(ends(sway), [low * ANGLE, high * ANGLE], atol=1e-12)
    assert sway.name == "engine rock" and sway.stated == pytest.approx((low * ANGLE, high * ANGLE))
    assert isinstance(sway.move, Turn)
    assert_allclose(sway.move.axis, [1, 0, 0], atol=1e-12)
    seen = np.array([-300.0, 10, 100])
    assert_allclose(np.linalg.norm(sway.move.moved(seen[None], ANGLE)[0] - seen), 20, atol=1e-9)


def test_mostly_one_way_goes_some_of_it_back() -> None:
    back = 2 * np.arcsin(2.5 / RADIUS)
    right = rock(lifts="right", other_way="5 mm ± 0 mm")
    assert_allclose(ends(right), [-back, ANGLE], atol=1e-12)
    left = rock(lifts="left", other_way="5 mm ± 0 mm")
    assert_allclose(ends(left), [-ANGLE, back], atol=1e-12)
    assert [left.share(value) for value in (-ANGLE, 0.0, back / 2, back)] == pytest.approx([-1, 0, 0.5, 1])


def test_positive_lifts_the_right_side_as_the_driver_sees_it() -> None:
    move = rock().move
    assert move.moved(np.array([[0.0, 310, -200]]), ANGLE)[0, 2] > -200 + 9
    assert move.moved(np.array([[0.0, -290, -200]]), ANGLE)[0, 2] < -200 - 9


def test_the_movement_is_taken_farther_by_the_spread_of_its_reading() -> None:
    """A movement read by tape in a footwell is good to 3 mm (common practice), or to what the job says."""
    farther = [2 * np.arcsin(chord / 2 / RADIUS) for chord in (23, 22)]
    assert_allclose(rock(by="20 mm").move.stop, farther[0], atol=1e-12)
    stated = rock(by="20 mm ± 2 mm", lifts="right", other_way="0 mm ± 3 mm")
    assert_allclose(ends(stated), [-2 * np.arcsin(1.5 / RADIUS), farther[1]], atol=1e-12)
    assert stated.share(ANGLE) == pytest.approx(1), "shares are of the movement as read"
    assert stated.share(ends(stated)[0]) == pytest.approx(-1), "and where none was, of what it may be off"


def test_an_axis_by_two_places_rises_as_they_do_and_points_rearward_either_way() -> None:
    for one, other in ((at(-400, 10, -200), at(0, 30, -240)), (at(0, 30, -240), at(-400, 10, -200))):
        sway = rock(about=one, about_to=other, runs=None)
        assert isinstance(sway.move, Turn)
        assert_allclose(sway.move.axis, np.array([400, 20, -40]) / np.linalg.norm([400, 20, -40]), atol=1e-12)


@pytest.mark.parametrize(
    ("changes", "key", "words"),
    [
        ({"about_to": at(-400, 300, -200), "runs": None}, "about_to", "runs across the car"),
        ({"about_to": at(-380, 10, -200), "runs": None}, "about_to", "within 50 mm of the first place"),
        ({"at": at(0, 10, -190)}, "at", "nearer to the axis than it moves"),
        ({"by": "200 mm"}, "by", "an engine that rocks by 39 deg"),
    ],
)
def test_a_rock_that_no_engine_makes_is_refused(changes: jobs.Tables, key: str, words: str) -> None:
    with pytest.raises(KeyFault, match=words) as caught:
        rock(**changes)
    assert caught.value.path == ("groups", "engine", key)


@pytest.mark.parametrize(
    ("engine", "words"),
    [
        ({**ROCK, "lifts": "right"}, "goes the other way too: give 'other_way'"),
        ({**ROCK, "lifts": "both", "other_way": "5 mm"}, "goes 'by' each way, and 'other_way' is left out"),
        ({**ROCK, "lifts": "both", "about_to": at(0, 0, 0)}, "the axis it rocks about is open"),
        ({**ROCK, "lifts": "both", "by": "-20 mm"}, "cannot be less than 0"),
    ],
)
def test_what_is_open_about_the_rock_is_asked_for(engine: jobs.Tables, words: str) -> None:
    with pytest.raises(JobError, match=words):
        with_groups({"engine": engine})


def test_the_shaft_s_own_rock_counts_where_the_groups_say_nothing() -> None:
    own = {key: ROCK[key] for key in ("about", "at", "by")}
    (sway,) = alone(with_groups({"frame": FRAME}, shaft={"rock": {**own, "lifts": "right"}})).sways
    assert_allclose(ends(sway), [0, ANGLE], atol=1e-12)


def box_of(phase: Phase) -> list[list[float]]:
    return [corners(phase.pieces).min(axis=0).tolist(), corners(phase.pieces).max(axis=0).tolist()]


def test_a_shifted_block_is_the_block_grown_by_the_shift_and_nothing_else() -> None:
    """A box moved anywhere in a box is a box as large as both together (Minkowski)."""
    phase = alone(with_groups({"frame": FRAME}, of="frame"))
    assert phase.sways == () and phase.moves is None
    assert_allclose(box_of(phase), [[-303, 15, -44], [-197, 65, 44]], atol=1e-9)
    assert ConvexHull(phase.pieces[0].vertices).volume == pytest.approx(106 * 50 * 88)


def test_an_axle_goes_farther_up_than_down_and_with_the_frame() -> None:
    phase = alone(with_groups({"axle": AXLE}, of="axle"))
    assert_allclose(box_of(phase), [[-305, 17, -100], [-195, 63, 110]], atol=1e-9)
    both = alone(with_groups({"axle": AXLE, "frame": FRAME}, of="axle"))
    assert_allclose(box_of(both), [[-308, 12, -104], [-192, 68, 114]], atol=1e-9)


def test_a_stated_spread_widens_a_shift() -> None:
    phase = alone(with_groups({"frame": {**FRAME, "up_down": "4 mm ± 2 mm"}}, of="frame"))
    assert_allclose(box_of(phase), [[-303, 15, -46], [-197, 65, 46]], atol=1e-9)


def test_an_engine_on_a_frame_that_shifts_is_held_wherever_both_take_it() -> None:
    """First it rocks, then the frame shifts it: of 400 such places none leaves the piece that the rock then turns."""
    phase = alone(with_groups({"frame": FRAME, "engine": {**ROCK, "lifts": "both"}}))
    (sway,), block = phase.sways, corners(with_groups({"frame": FRAME}).parts[-1].phases[0].pieces)
    rng = np.random.default_rng(5)
    planes = ConvexHull(phase.pieces[0].vertices).equations
    for _ in range(400):
        angle, shift = rng.uniform(-ANGLE, ANGLE), rng.uniform(-1, 1, 3) * [3, 5, 4]
        there = turned(block, [-400, 10, -200], [1, 0, 0], angle) + shift
        own = turned(there, [-400, 10, -200], [1, 0, 0], -angle)
        assert (own @ planes[:, :3].T + planes[:, 3]).max() <= 1e-9
    assert sway.name == "engine rock"
    grown = np.array(box_of(phase)) - [[-303, 15, -44], [-197, 65, 44]]
    assert np.abs(grown).max() < 5 * np.sin(ANGLE) + 1e-9, "and no larger than the turn makes it"


def test_shifts_are_widened_just_enough_for_a_turn_about_an_axis_across() -> None:
    """A quarter turn about z takes a shift along x to one along y: the widened box is then as long as both."""
    seen = Shift(np.array([-3.0, -1, -2]), np.array([3.0, 1, 2])).within(np.array([0, 0, 1.0]), np.pi / 2)
    assert_allclose(seen.high, [3 + 1, 1 + 3, 2], atol=1e-12)
    assert_allclose(seen.low, [-4, -4, -2], atol=1e-12)
    rng = np.random.default_rng(6)
    for _ in range(200):
        axis, angle = rng.normal(size=3), rng.uniform(0, np.pi / 2)
        axis /= np.linalg.norm(axis)
        low, high = -rng.uniform(0, 5, 3), rng.uniform(0, 5, 3)
        seen = Shift(low, high).within(axis, angle)
        back = Rotation.from_rotvec(-axis * rng.uniform(-angle, angle)).apply(rng.uniform(low, high))
        assert (back >= seen.low - 1e-9).all() and (back <= seen.high + 1e-9).all()


def test_what_carries_both_parts_does_not_count_between_them() -> None:
    groups = {"frame": FRAME, "engine": {**ROCK, "lifts": "both"}, "axle": AXLE}
    listed = ("engine", "engine", "frame", "axle", "body")
    names = [f"{i} {group}" for i, group in enumerate(listed)]
    obstacles = [{"name": name, "shape": BLOCK, "group": group} for name, group in zip(names, listed, strict=True)]
    scene = jobs.scene(jobs.bare(groups=groups, obstacles=obstacles))
    engine, other, frame, axle, body = (part(scene, name) for name in names)
    (rest,) = engine.phases
    assert rest.against(other.carry) is rest
    of_frame = rest.against(frame.carry)
    assert of_frame.pieces == rest.pieces and [sway.name for sway in of_frame.sways] == ["engine rock"]
    assert frame.phases[0].against(engine.carry) is frame.phases[0]
    assert rest.against(axle.carry) is of_frame, "axle and engine shift with one frame"
    assert_allclose(box_of(axle.phases[0].against(engine.carry)), [[-305, 17, -100], [-195, 63, 110]], atol=1e-9)
    assert body.phases[0].against(engine.carry) is body.phases[0]
    assert rest.against(body.carry) is rest.against(()), "made ready once"


# What is said

KINDS = ("engine", "frame", "axle")


def said(groups: jobs.Tables | None = None, of: tuple[str, ...] = KINDS, **changes: Any) -> list[str]:
    obstacles = [{"name": f"{group} part", "shape": BLOCK, "group": group} for group in of]
    tables = jobs.bare(obstacles=obstacles, **({} if groups is None else {"groups": groups}), **changes)
    return list(movements_said(jobs.job(tables), jobs.scene(tables)))


def test_a_group_whose_movement_is_not_given_is_said_to_stand_still_and_what_to_measure() -> None:
    engine, frame, axle = said()
    assert engine.startswith("the engine's rock is not given: MEASURE how far it rocks at a named place, about which")
    assert engine.endswith("(key: groups.engine); judged as measured: engine part")
    assert "the frame's shift against the body is not given: MEASURE" in frame and frame.endswith("frame part")
    assert "(key: groups.axle); judged as measured: axle part" in axle
    assert said(of=("body",)) == []


def test_a_group_that_moves_nothing_and_a_rock_given_twice_are_said() -> None:
    engine = {**ROCK, "lifts": "both"}
    assert 'groups.engine moves nothing: no obstacle has group = "engine"' in said({"engine": engine}, of=("body",))
    rock_of_shaft = {"rock": {**{key: ROCK[key] for key in ("about", "at", "by")}, "lifts": "right"}}
    assert any("given twice" in one for one in said({"engine": engine}, of=("engine",), shaft=rock_of_shaft))
    assert (
        said(of=("engine",), shaft=rock_of_shaft)[0]
        == "the engine rocks as shaft.rock says, for the gaps of its parts too"
    )
    assert any("engine and axle shift with the frame" in one for one in said({"frame": FRAME}))


def test_how_far_the_end_of_a_travel_is_taken_is_said() -> None:
    (one,) = said(of=("body",), pedals=[jobs.clutch()])
    assert one == (
        "clutch: the end of travel is taken farther by its readings' spread, up to 5.7 mm at the pad; "
        "no gap is given a spread for them again"
    )
