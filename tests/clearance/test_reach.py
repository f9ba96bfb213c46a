"""Reaching in: hang in closed form, slides past an edge in closed form, rooms, and what is left out of which; mm.

The unit is a can parallel to a level column, or the gear body alone counts, so that every distance is Pythagoras'.
"""

from math import cos, hypot, radians, sin, sqrt

import numpy as np
import pytest

from fitcheck.clearance.reach import AMPLE_MM, ReachFound, hangs, reach_in
from fitcheck.errors import JobError, KeyFault
from fitcheck.geometry.gap import GapEngine
from fitcheck.job.model import Job
from fitcheck.job.outlook import not_yet
from fitcheck.placement.place import place
from tests import jobs

PROUD_MM = 0.1  # round parts are polygons whose corners stand out by so much at the most
ROUNDED = 1e-9
TOUCH_MM = 0.5  # how near the place of a first touch is bracketed


def level(**changes: object) -> jobs.Tables:
    """A level column 400 above the datum; gear body 100 across from 400 to 500 along it, a can parallel to it."""
    column = {"hub_seat": jobs.at(800, 0, 400), "down": "0 deg", "across": "0 deg", "jacket_od": "50 mm"}
    column |= {"jacket_from": "60 mm", "jacket_to": "790 mm"}
    motor = {"dia": "70 mm", "long": "90 mm", "lies": "parallel", "beside": "90 mm", "starts": "5 mm"}
    unit = {"input_face": "400 mm", "clock": "6:00", "gear_body": {"dia": "100 mm", "long": "100 mm"}, "motor": motor}
    return jobs.bare(column=column, unit=unit, **changes)


def reached(reach: jobs.Tables, **changes: object) -> ReachFound:
    job = jobs.job(level(reach=reach, **changes))
    found = reach_in(GapEngine(), job, place(job, jobs.EXAMPLES, whole=True))
    assert found is not None
    return found


def box(name: str, low: tuple[float, float, float], high: tuple[float, float, float], **more: object) -> jobs.Tables:
    return {"name": name, "shape": {"corner": jobs.at(*low), "opposite": jobs.at(*high)}, **more}


def gap_to(found: ReachFound, move: int, other: str) -> tuple[float, float]:
    (entry,) = [entry for entry in found.moves[move].gaps if entry.pair.b.name == other]
    assert entry.closest is not None
    return entry.closest.gap.bound_mm, entry.closest.gap.gap_mm


def hang_of(job: Job, part: str) -> tuple[float, float]:
    (found,) = [each for each in hangs(job, place(job, jobs.EXAMPLES)) if each.part == part]
    assert found.below_dash_mm is not None
    return found.below_dash_mm, found.below_column_mm


@pytest.mark.parametrize("clock", [180, 150, 120, 100])
def test_hang_of_a_can_beside_a_level_column(clock: int) -> None:
    """Can of radius 35, 90 off the axis: lowest at 90 cos(angle from 6:00) + 35 under it; the jacket ends at 25."""
    tables = level(reach={"dash_edge": {"up": "420 mm"}})
    tables = jobs.changed(tables, ("unit", "clock"), jobs.deg(clock))
    below_axis = max(90 * cos(radians(180 - clock)) + 35, 50.0)
    dash, column = hang_of(jobs.job(tables), "unit")
    assert -ROUNDED <= dash - (below_axis + 20) <= PROUD_MM
    assert -ROUNDED <= column - (below_axis - 25) <= PROUD_MM


def test_hang_on_a_leaning_column_is_two_different_lengths() -> None:
    """28 deg down: the gear body's lower rim is r cos(28) under its axis, but r square to the column."""
    tables = jobs.bare(reach={"dash_edge": {"up": "300 mm"}})
    gear_low = 338 - (430 + 80 + 90) * sin(radians(28)) - 50 * cos(radians(28))
    stub_low = 338 - (430 + 80 + 90 + 40) * sin(radians(28)) - 14 * cos(radians(28))
    dash, column = hang_of(jobs.job(tables), "unit")
    assert -ROUNDED <= dash - (300 - min(gear_low, stub_low)) <= PROUD_MM
    assert -ROUNDED <= column - (50 - 25.4) <= PROUD_MM


def test_hang_of_the_connector_alone() -> None:
    tables = level(reach={"dash_edge": {"up": "420 mm"}})
    tables["unit"]["plug"] = {"dia": "28 mm", "stands": "25 mm", "from_far_end": "40 mm", "side": "out"}
    dash, column = hang_of(jobs.job(tables), "connector")
    assert -ROUNDED <= dash - (90 + 35 + 25 + 20) <= PROUD_MM
    assert -ROUNDED <= column - (90 + 35 + 25 - 25) <= PROUD_MM


def test_without_a_dash_edge_there_is_no_hang_below_it() -> None:
    job = jobs.job(level(reach={"way_out": {"moves": [{"down": "10 mm"}]}}))
    assert [each.below_dash_mm for each in hangs(job, place(job, jobs.EXAMPLES))] == [None]


def test_a_slide_past_an_edge_comes_as_near_as_the_edge_lies_beside_it() -> None:
    """The can's outline, radius 35 about (0, 310), goes 300 down past a vertical edge 80 to the right: 80 - 35."""
    edge = box("rail", (0, 80, -100), (800, 120, 150))
    bound, gap = gap_to(reached({"way_out": {"moves": [{"down": "300 mm"}]}}, obstacles=[edge]), 0, "rail")
    assert bound <= 80 - 50 <= gap + PROUD_MM, "the gear body, radius 50, passes it too"
    assert bound >= 80 - 50 - PROUD_MM


def test_a_slide_that_stops_short_of_an_edge() -> None:
    """A slanting move, 30 back and 40 down: the gear body ends 40 lower, and the edge is Pythagoras away."""
    edge = box("rail", (0, 120, 100), (800, 160, 270))
    found = reached({"way_out": {"moves": [{"down": "40 mm", "back": "30 mm"}]}}, obstacles=[edge])
    assert found.moves[0].far_mm == pytest.approx(50.0, abs=1e-9)
    can = hypot(120, 400 - 40 - 90 - 270) - 35  # its axis is level with the edge's top then
    gear = hypot(120, 400 - 40 - 270) - 50
    bound, gap = gap_to(found, 0, "rail")
    assert bound <= min(can, gear) <= gap + PROUD_MM
    assert bound >= min(can, gear) - PROUD_MM - 0.05


def test_a_hit_on_the_way_is_found_between_the_ends_and_says_after_how_far() -> None:
    """A bar 10 across, 200 below the can's axis, thinner than any step: met after 200 - 35 - 5."""
    rod = {"name": "rod", "shape": {"through": [jobs.at(200, 0, 110), jobs.at(600, 0, 110)], "dia": "10 mm"}}
    found = reached({"way_out": {"moves": [{"down": "400 mm"}]}}, obstacles=[rod])
    assert gap_to(found, 0, "rod")[1] == 0
    free = found.moves[0].free_mm["rod"]
    assert -TOUCH_MM - 2 * PROUD_MM <= free - 160 <= 0


def test_moves_follow_one_another() -> None:
    """First aside, then down past the same bar: the second move starts where the first one ended."""
    rod = {"name": "rod", "shape": {"through": [jobs.at(200, 0, 110), jobs.at(600, 0, 110)], "dia": "10 mm"}}
    found = reached({"way_out": {"moves": [{"left": "150 mm"}, {"down": "400 mm"}]}}, obstacles=[rod])
    assert found.moves[0].free_mm == found.moves[1].free_mm == {}
    bound, gap = gap_to(found, 1, "rod")
    assert bound <= 150 - 50 - 5 <= gap + 2 * PROUD_MM, "the gear body passes it at its own radius"
    assert bound >= 95 - 2 * PROUD_MM - 0.05


def test_along_the_column_the_unit_meets_what_stands_in_its_line() -> None:
    wall = box("plate", (450, -200, 200), (460, 200, 600))
    found = reached({"way_out": {"moves": [{"toward_wheel": "400 mm"}]}}, obstacles=[wall])
    assert found.moves[0].free_mm["plate"] == pytest.approx(50, abs=TOUCH_MM)
    away = reached({"way_out": {"moves": [{"toward_rack": "400 mm"}]}}, obstacles=[wall])
    assert gap_to(away, 0, "plate")[1] == pytest.approx(50, abs=PROUD_MM)


def test_what_is_taken_off_the_column_and_keep_outs_are_not_in_the_way() -> None:
    things = [
        box("tray", (300, -50, 100), (500, 50, 150)),
        box("door swing", (300, -50, 0), (500, 50, 50), keep_out=True),
    ]
    found = reached({"way_out": {"moves": [{"down": "300 mm"}], "off": ["tray"]}}, obstacles=things)
    assert found.moves[0].gaps == ()


def test_a_bracket_stays_in_the_way_unless_it_goes_along() -> None:
    leg = {"turns": "stays with the car", "solids": {"leg": jobs_rod((350, -200, 200), (350, 200, 200))}}
    stays = reached({"way_out": {"moves": [{"down": "300 mm"}]}}, bracket=leg)
    assert [entry.pair.b.name for entry in stays.moves[0].gaps] == ["bracket"] and stays.moves[0].free_mm
    along = reached({"way_out": {"moves": [{"down": "300 mm"}], "bracket": "goes along"}}, bracket=leg)
    assert along.moves[0].gaps == ()


def jobs_rod(start: tuple[float, float, float], end: tuple[float, float, float]) -> jobs.Tables:
    return {"through": [jobs.at(*start), jobs.at(*end)], "dia": "10 mm"}


def test_pedals_stand_at_rest_on_the_way_and_in_the_rooms() -> None:
    """A pedal that would meet the room at full travel only is not in its way."""
    tables = jobs.bare(pedals=[jobs.clutch()])
    room = {"name": "knee room", "shape": box("", (150, -110, -180), (200, -70, -100))["shape"]}
    job = jobs.job({**tables, "reach": {"rooms": [room]}})
    found = reach_in(GapEngine(), job, place(job, jobs.EXAMPLES, whole=True))
    assert found is not None
    (entry,) = [entry for entry in found.rooms if entry.pair.b.name == "clutch at rest"]
    assert entry.closest is not None and entry.closest.gap.bound_mm > 50
    assert "clutch" not in {entry.pair.b.name for entry in found.rooms}


def test_a_hand_is_a_round_room_from_the_screw_outward() -> None:
    """100 across and 200 long, from (400, 0, 340) straight down: 100 from its axis to a wall leaves 50."""
    hand = {"name": "hand", "kind": "hand", "at": jobs.at(400, 0, 200), "toward": jobs.at(400, 0, 100)}
    walls = [box("wall", (300, 100, -100), (500, 110, 300)), box("floor", (300, -90, -60), (500, 90, -50))]
    found = {entry.pair.b.name: entry for entry in reached({"rooms": [hand]}, obstacles=walls).rooms}
    wall, floor = (found[name].closest for name in ("wall", "floor"))
    assert wall is not None and floor is not None
    assert 0 <= 50 - wall.gap.bound_mm <= PROUD_MM + 0.05
    assert floor.gap.bound_mm == pytest.approx(50, abs=0.05)
    assert "unit" not in found


def test_a_spanner_holds_its_handle_however_its_plane_lies() -> None:
    """Pivot at the screw, handle 160 less a half hand, swung 27 degrees each way in three planes."""
    spanner = {"name": "spanner", "kind": "spanner", "at": jobs.at(400, 0, 200), "toward": jobs.at(400, 0, 100)}
    job = jobs.job(level(reach={"rooms": [spanner]}))
    part = place(job, jobs.EXAMPLES, whole=True).part("spanner")
    assert part is not None
    (piece,) = part.phases[0].pieces
    screw, down = np.array([400.0, 0, 200]), np.array([0, 0, -1.0])
    for turn in np.radians(np.linspace(0, 180, 7)):
        aside = np.array([cos(turn), sin(turn), 0])
        end = screw + 140 * cos(radians(27)) * down + 140 * sin(radians(27)) * aside
        heights = [(piece.vertices @ way).max() - end @ way for way in (down, aside)]
        assert min(heights) >= 0


def test_a_connector_without_a_place_is_drawn_off_the_units_own_plug() -> None:
    tables = level(reach={"rooms": [{"name": "plug off", "kind": "connector"}]})
    with pytest.raises(KeyFault, match="the unit has no plug given by its solids"):
        place(jobs.job(tables), jobs.EXAMPLES, whole=True)
    tables["unit"]["plug"] = {"dia": "28 mm", "stands": "25 mm", "from_far_end": "40 mm", "side": "out"}
    part = place(jobs.job(tables), jobs.EXAMPLES, whole=True).part("plug off")
    assert part is not None
    down = 400 - part.phases[0].pieces[0].vertices[:, 2]
    assert (down.min(), down.max()) == pytest.approx((90 + 35 + 25, 90 + 35 + 25 + 60), abs=1e-9)


@pytest.mark.parametrize(
    ("reach", "said"),
    [
        ({"way_out": {"moves": [{"down": "10 mm", "up": "10 mm"}]}}, "opposite ways"),
        ({"way_out": {"moves": [{"down": "0 mm"}]}}, "a move goes somewhere"),
        ({"way_out": {"moves": [{"down": "10 mm"}], "off": ["trey"]}}, "there is no part named 'trey'"),
        ({"rooms": [{"name": "unit", "kind": "connector"}]}, "another part's name too"),
        ({"rooms": [{"name": "hand", "kind": "hand"}]}, "a hand needs 'at'"),
        ({"rooms": [{"name": "hand"}]}, "give either 'shape'"),
    ],
)
def test_what_cannot_be_is_refused(reach: jobs.Tables, said: str) -> None:
    with pytest.raises(JobError) as caught:
        jobs.job(level(reach=reach))
    assert said in str(caught.value)


def test_a_can_goes_past_a_corner_at_an_angle_by_the_distance_of_a_line_from_a_point() -> None:
    """Moves (left, down) = (3, 4) x 60; the bar 250 left and 150 under the gear body: its distance from the track."""
    rod = {"name": "rod", "shape": {"through": [jobs.at(200, -250, 250), jobs.at(600, -250, 250)], "dia": "10 mm"}}
    found = reached({"way_out": {"moves": [{"left": "180 mm", "down": "240 mm"}]}}, obstacles=[rod])
    tracks = []
    for centre, radius in ((310.0, 35.0), (400.0, 50.0)):
        ahead = (250 * 3 + (centre - 250) * 4) / 5
        to = np.array([-250.0, 250.0 - centre]) - min(max(ahead, 0.0), 300.0) * np.array([-0.6, -0.8])
        tracks.append(sqrt(to @ to) - radius - 5)
    bound, gap = gap_to(found, 0, "rod")
    assert bound <= min(tracks) <= gap + 2 * PROUD_MM
    assert bound >= min(tracks) - 2 * PROUD_MM - 0.05


def test_the_mirrored_car_comes_out_the_mirrored_way() -> None:
    rod = {"name": "rod", "shape": {"through": [jobs.at(200, -225, 250), jobs.at(600, -220, 250)], "dia": "10 mm"}}
    hand = {"name": "hand", "kind": "hand", "at": jobs.at(400, -60, 160), "toward": jobs.at(350, -120, 150)}
    reach = {
        "way_out": {"moves": [{"left": "180 mm", "down": "240 mm"}]},
        "rooms": [hand],
        "dash_edge": {"up": "420 mm"},
    }
    tables = jobs.changed(level(reach=reach, obstacles=[rod]), ("unit", "clock"), "8:00")
    answers = []
    for car in (tables, jobs.mirrored(tables)):
        job = jobs.job(car)
        found = reach_in(GapEngine(), job, place(job, jobs.EXAMPLES, whole=True))
        assert found is not None
        gaps = [entry.closest.gap for entry in found.gaps if entry.closest is not None]
        bounds = [min(gap.bound_mm, AMPLE_MM) for gap in gaps]  # what is ample is not known any better
        answers.append([*bounds, *(x for h in found.hang for x in (h.below_dash_mm or 0.0, h.below_column_mm))])
    assert answers[0] == pytest.approx(answers[1], abs=0.05)
    assert 0 < min(answers[0][:3]) < AMPLE_MM and len(answers[0]) == 3 + 2, "to the rod twice, and to the column"


def test_moves_that_end_where_they_began_are_no_way_out() -> None:
    for moves, end in (([{"down": "1 mm"}], "1 mm"), ([{"down": "100 mm"}, {"up": "100 mm"}], "0 mm")):
        waits = {entry.what: entry.measure for entry in not_yet(jobs.job(level(reach={"way_out": {"moves": moves}})))}
        assert f"end {end} from where" in waits["the rest of the way out"]
    far = not_yet(jobs.job(level(reach={"way_out": {"moves": [{"down": "300 mm"}]}})))
    assert "the rest of the way out" not in {entry.what for entry in far}
