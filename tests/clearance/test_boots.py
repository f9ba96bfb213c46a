"""Boots off their pedals in closed form, by coal on rigid boots, mirrored; room beside boots and between pads; mm.

In these cars the boot's half breadth is 65 (men 95: 111 + 19 across), the pads' sizes and places are the test's own.
"""

import coal
import numpy as np
import pytest
from scipy.spatial import ConvexHull

from fitcheck.clearance.boots import Beside, SideRoom, beside
from fitcheck.clearance.gaps import Found
from fitcheck.clearance.pairs import Treatment, unused
from fitcheck.clearance.travel import closest
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.primitives import ball
from fitcheck.placement.place import place
from fitcheck.placement.scene import Kind, Part, Phase, Scene
from tests import jobs
from tests.placement.test_boots_on_pedals import lift
from tests.placement.test_legs import HEELS, PADS, rigid

PROUD_MM = 0.3  # corners of a ball stand out by so much at the most
ROOM_MM = 0.5  # how near a side room is bracketed
CLOSE_MM = 1e-6  # coal's own accuracy


def job_of(tables: jobs.Tables, **driver: object) -> jobs.Tables:
    boots = [{"on": name, "heel": jobs.at(*heel)} for name, heel in HEELS.items()]
    pedals = [jobs.clutch(), jobs.brake(), jobs.throttle()]
    return {"pedals": pedals, **tables, "driver": {"foot": "men 95", "boots": boots, **driver}}


def whole(tables: jobs.Tables) -> Scene:
    return place(jobs.job(tables), jobs.EXAMPLES, whole=True)


def found(tables: jobs.Tables) -> Beside:
    job = jobs.job(tables)
    scene = place(job, jobs.EXAMPLES)
    told = beside(GapEngine(), job, scene, place(job, jobs.EXAMPLES, scene, whole=True))
    assert told is not None
    return told


def entry(told: Beside, a: str, b: str) -> Found:
    (only,) = [each for each in told.gaps if {each.pair.a.name, each.pair.b.name} == {a, b}]
    return only


def on_one_level() -> jobs.Tables:
    """Brake and throttle with their pads side by side, 110 apart, heels as well: the boot slides straight across."""
    pedals = [jobs.clutch(), jobs.brake(), jobs.throttle(pad=jobs.pad(jobs.at(310, 178, -82)))]
    heels = {**HEELS, "throttle": (420.0, 178.0, -270.0)}
    boots = [{"on": name, "heel": jobs.at(*heel)} for name, heel in heels.items()]
    return jobs.bare(pedals=pedals, driver={"foot": "men 95", "boots": boots, "lift_off": "40 mm"})


@pytest.mark.parametrize("across", [-30.0, 0.0, 55.0, 110.0, 140.0])
def test_the_boot_swept_between_two_pads_against_a_ball_above_its_toes(across: float) -> None:
    """The toe box is 65 high; lifted by up to 40 its top is 105 off the sole's first plane. A ball of radius 10 stands
    200 above that plane, where the box passes under it: 200 - 105 - 10."""
    crossing = whole(on_one_level()).part("boot crossing from brake to throttle")
    assert crossing is not None
    heel, pad = np.array(HEELS["brake"]), np.array(PADS["brake"])
    sole = (pad - heel) / np.linalg.norm(pad - heel)
    up = np.array([sole[2], 0, -sole[0]])
    centre = heel + 0.7 * 323 * sole + 200 * up + [0, across, 0]
    other = Part("ball", Kind.OBSTACLE, (Phase((ball(centre, 20.0),)),), new=True)
    gap = closest(GapEngine(), other, crossing).gap
    assert gap.bound_mm <= 85 <= gap.gap_mm + PROUD_MM + CLOSE_MM
    assert gap.bound_mm >= 85 - PROUD_MM - 0.05


def test_a_ball_beside_the_last_pad_is_as_far_off_as_the_boots_half_breadth_says() -> None:
    """178 + 65 is the boot's right side on the throttle; a ball of radius 10 at 278: 278 - 243 - 10 = 25."""
    crossing = whole(on_one_level()).part("boot crossing from brake to throttle")
    assert crossing is not None
    heel, pad = np.array(HEELS["brake"]), np.array(PADS["brake"])
    centre = heel + 0.7 * 323 * (pad - heel) / np.linalg.norm(pad - heel)
    centre[1] = 278
    other = Part("ball", Kind.OBSTACLE, (Phase((ball(centre + [0, 0, 30], 20.0),)),), new=True)
    gap = closest(GapEngine(), other, crossing).gap
    assert gap.bound_mm <= 25 <= gap.gap_mm + PROUD_MM + CLOSE_MM
    assert gap.bound_mm >= 25 - PROUD_MM - 0.05


def hull(corners: Vector) -> coal.Convex:
    """The hull of corners as coal takes it: no corner that is not its own."""
    found = ConvexHull(corners)
    number = np.zeros(len(corners), dtype=int)
    number[found.vertices] = np.arange(len(found.vertices))
    points, faces = coal.StdVec_Vec3s(), coal.StdVec_Triangle()
    points.extend(list(corners[found.vertices]))
    faces.extend([coal.Triangle(*map(int, number[face])) for face in found.simplices])
    return coal.Convex(points, faces)


def coal_mm(a: list[coal.Convex], b: list[coal.Convex]) -> float:
    here, request = coal.Transform3s(), coal.DistanceRequest()
    return float(min(coal.distance(x, here, y, here, request, coal.DistanceResult()) for x in a for y in b))


def test_no_rigid_boot_on_its_way_is_nearer_to_the_unit_than_the_bound_by_coal() -> None:
    """60 boots laid by scipy's rotations, lifted, turned and shifted at random between the two pads."""
    told = found(job_of(jobs.bare(unit=jobs.unit("6:00")), lift_off="60 mm"))
    gap = entry(told, "unit", "boot crossing from brake to throttle").closest
    assert gap is not None
    slopes = [np.arctan2(PADS[n][2] - HEELS[n][2], HEELS[n][0] - PADS[n][0]) for n in ("brake", "throttle")]
    part = told.scene.part("unit")
    assert part is not None
    unit = [hull(piece.vertices) for piece in part.pulled[0].pieces]
    rng = np.random.default_rng(9)
    nearest = np.inf
    for way, high, turn in np.vstack([rng.uniform(size=(56, 3)), [[0, 0, 0], [0, 1, 0], [1, 0, 1], [1, 1, 1]]]):
        _, points = rigid("brake", 60 * high, turn * (slopes[1] - slopes[0]))
        points = points + way * (np.array(HEELS["throttle"]) - np.array(HEELS["brake"]))
        nearest = min(nearest, coal_mm([hull(points[:16]), hull(points[16:])], unit))
    assert gap.gap.bound_mm <= nearest + CLOSE_MM
    assert gap.gap.bound_mm >= nearest - 15, "the sampled boots come near the least gap, so the bound says something"


def test_the_mirrored_car_gives_the_mirrored_answer() -> None:
    shape = {"corner": jobs.at(100, 300, -100), "opposite": jobs.at(300, 340, 0)}
    car = jobs.bare(unit=jobs.unit("10:30"), obstacles=[{"name": "new box", "new": True, "shape": shape}])
    tables = job_of(car, left_foot={"heel": jobs.at(380, -230, -270), "ball": jobs.at(190, -250, -190)})
    one, other = found(tables), found(jobs.mirrored(tables))
    assert len(one.gaps) == len(other.gaps)
    for a, b in zip(one.gaps, other.gaps, strict=True):
        assert (a.pair.a.name, a.pair.b.name) == (b.pair.a.name, b.pair.b.name)
        assert (a.closest is None) == (b.closest is None)
        if a.closest is not None and b.closest is not None and a.closest.gap.bracketed:
            assert a.closest.gap.bound_mm == pytest.approx(b.closest.gap.bound_mm, abs=0.1)
    swap = {"left": "right", "right": "left"}
    rooms = {(room.boot, swap[room.side], room.to): room.at_least_mm for room in other.rooms}
    assert rooms.keys() == {(room.boot, room.side, room.to) for room in one.rooms}
    for room in one.rooms:
        assert rooms[room.boot, room.side, room.to] == pytest.approx(room.at_least_mm, abs=ROOM_MM)
    assert [s.sideways_mm for s in one.spacing] == pytest.approx([s.sideways_mm for s in other.spacing][::-1], abs=1e-9)


def test_spacing_is_the_pads_distance_less_half_their_widths() -> None:
    """Clutch 60 wide at -90, brake 70 wide at 68, throttle 45 wide at 178; a plate overlapping the brake by 5."""
    spacing = found(job_of(jobs.bare())).spacing
    assert [(s.left, s.right) for s in spacing] == [("clutch", "brake"), ("brake", "throttle")]
    assert [s.sideways_mm for s in spacing] == pytest.approx([158 - 65, 110 - 57.5], abs=1e-9)
    wide = jobs.changed(job_of(jobs.bare()), ("pedals", 2, "pad", "wide"), "160 mm")
    assert found(wide).spacing[1].sideways_mm == pytest.approx(110 - 115, abs=1e-9)


def room(told: Beside, boot: str, side: str) -> SideRoom:
    (only,) = [each for each in told.rooms if (each.boot, each.side) == (f"boot on {boot}", side)]
    return only


def test_side_room_to_a_wall_and_to_the_next_pedal() -> None:
    """Clutch boot from -155 to -25. A wall at -200 leaves 45; the brake's pad begins at 33, 4 nearer by its bush."""
    wall = {"name": "wall", "shape": {"corner": jobs.at(0, -220, -300), "opposite": jobs.at(500, -200, 300)}}
    told = found(job_of(jobs.bare(obstacles=[wall])))
    left, right = room(told, "clutch", "left"), room(told, "clutch", "right")
    assert left.to == "wall" and 0 <= 45 - left.at_least_mm <= ROOM_MM
    assert right.to == "brake" and right.at_least_mm <= 33 - 4 + 25
    assert right.at_least_mm >= 33 - 4 + 25 - ROOM_MM - 0.6, "a worn pad leans a little as it goes aside"


def test_side_room_is_not_what_a_boot_stands_on_or_what_is_far() -> None:
    floor = {"name": "floor", "shape": {"corner": jobs.at(0, -500, -290), "opposite": jobs.at(800, 500, -250)}}
    floor["joined"] = ["boot on clutch", "boot on brake", "boot on throttle"]
    far = {"name": "far wall", "shape": {"corner": jobs.at(0, -300, -300), "opposite": jobs.at(500, -260, 300)}}
    told = found(job_of(jobs.bare(obstacles=[floor, far])))
    left = room(told, "clutch", "left")
    assert (left.to, left.at_least_mm) == (None, 100.0)
    touching = [each.pair for each in told.gaps if each.pair.b.name == "floor"]
    assert {pair.need.treatment for pair in touching} == {Treatment.JOINED}


def test_a_required_gap_may_name_a_leg_but_not_two() -> None:
    pairs = [{"between": ["unit", "boot lifted off clutch"], "gap": "40 mm", "why": "he wears hiking boots"},
             {"between": ["boot on brake", "boot lifted off clutch"], "gap": "40 mm", "why": "none"}]  # fmt: skip
    tables = job_of(jobs.bare(require={"pairs": pairs}))
    told = found(tables)
    assert entry(told, "unit", "boot lifted off clutch").pair.need.required_mm == 40
    assert entry(told, "unit", "boot lifted off brake").pair.need.required_mm == 25
    (said,) = unused(jobs.job(tables), [each.pair for each in told.gaps])
    assert said.startswith("require.pairs[2], boot on brake - boot lifted off clutch, is not used")


def test_a_job_without_boots_has_no_chapter() -> None:
    job = jobs.job(jobs.bare(pedals=[jobs.clutch()]))
    scene = place(job, jobs.EXAMPLES)
    assert beside(GapEngine(), job, scene, scene) is None


def test_the_heel_lifts_where_the_ball_no_longer_reaches() -> None:
    """By bisection on the distance from heel to pad (the boot's ball is 220 from its heel)."""
    told = found(job_of(jobs.bare()))
    assert told.heel_lifts["boot on clutch"] == pytest.approx(lift(), abs=1e-6)
    near = jobs.changed(job_of(jobs.bare()), ("driver", "boots", 0, "heel"), jobs.at(340, -90, -270))
    assert found(near).heel_lifts["boot on clutch"] is None
    waits = jobs.changed(job_of(jobs.bare()), ("pedals", 0, "travel"), None)
    assert "boot on clutch" not in found(waits).heel_lifts
