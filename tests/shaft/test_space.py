"""Room round the turning shaft: what it sweeps, the engine's rock and its sign, heat, and what each pair needs; mm."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.spatial import ConvexHull
from scipy.spatial.transform import Rotation

from fitcheck.clearance.gaps import Found
from fitcheck.clearance.pairs import Treatment
from fitcheck.errors import KeyFault
from fitcheck.geometry.exact import Balls, Round
from fitcheck.geometry.frames import Vector, unit
from fitcheck.geometry.gap import GapEngine
from fitcheck.geometry.solids import Piece
from fitcheck.placement.place import place
from fitcheck.placement.scene import Part
from fitcheck.shaft import moved, solids, space
from fitcheck.shaft.chapter import find
from fitcheck.shaft.line import Line
from fitcheck.shaft.results import ShaftChapter, Space
from fitcheck.shaft.setup import Setup
from fitcheck.shaft.stands import Stand
from tests.jobs import Tables, at, mm
from tests.shaft import cars


def found_space(found: ShaftChapter) -> Space:
    assert isinstance(found.space, Space)
    return found.space


def entry(entries: tuple[Found, ...], name: str) -> Found:
    (one,) = [entry for entry in entries if entry.pair.b.name == name]
    return one


def bound(one: Found) -> float:
    assert one.closest is not None
    return one.closest.gap.bound_mm


def outside_mm(part: Part, points: Vector) -> float:
    """How far the farthest of the points lies outside all pieces of the part's first phase."""
    hulls = [ConvexHull(piece.vertices).equations for piece in part.phases[0].pieces]
    depth = np.stack([(points @ planes[:, :3].T + planes[:, 3]).max(axis=1) for planes in hulls]).min(axis=0)
    return float(depth.max())


def test_a_joint_turning_through_a_whole_turn_stays_inside_its_solid() -> None:
    """Two yokes as plates with ears, turned by their own shafts' turns: every corner stays inside what is swept."""
    chapter = cars.saloon_as_it_is()
    (part,) = found_space(chapter).parts
    assert isinstance(chapter.line, Line)
    centre, (way_in, way_out) = chapter.line.centres[0], chapter.line.ways[:2]
    for way, sign in ((way_in, -1), (way_out, 1)):
        square = unit(np.cross(way, [0.3, 0.8, 0.1]))
        reach = np.array([(along, across) for along in np.linspace(-9, 40, 12) for across in (-17.0, 17.0)])
        corners = centre + sign * reach[:, :1] * way + reach[:, 1:] * square
        for turn in np.linspace(0, 2 * np.pi, 24):
            turned = Rotation.from_rotvec(turn * way).apply(corners - centre) + centre
            assert outside_mm(part, turned) <= 1e-9


def test_the_gap_to_a_bar_across_is_the_closed_form() -> None:
    """A bar square to the shaft, its axis 100 mm from it: 100 - 25.4/2 - 20/2, less what the facets stand proud."""
    chapter = cars.saloon_as_it_is()
    assert isinstance(chapter.line, Line)
    middle, way = chapter.line.centres.mean(axis=0), chapter.line.ways[1]
    aside = unit(np.cross(way, [0.0, 0.0, 1.0]))
    across = unit(np.cross(way, aside))
    ends = [middle + 100 * aside + so * across for so in (-200.0, 200.0)]
    tables = cars.saloon()
    bar = {"name": "bar across", "shape": {"through": [at(*np.round(end, 9)) for end in ends], "dia": mm(20)}}
    tables["obstacles"].append(bar)
    gap = bound(entry(found_space(cars.chapter(tables)).at_rest, "bar across"))
    assert 77.3 - 0.15 <= gap <= 77.3 + 1e-9


def rock(**changes: object) -> Tables:
    return {"about": at(-330, 60, -330), "at": at(-300, 60, -10), "by": mm(20), "lifts": "right", **changes}


def test_the_right_side_lifting_takes_what_is_above_the_axis_to_the_left() -> None:
    setup = cars.saloon_as_it_is().setup
    turn = space.rock_turn(setup.shaft.rock, setup.ends.places) if setup.shaft.rock else None
    assert turn is not None
    above, right = np.array([[-300.0, 60.0, -10.0]]), np.array([[-300.0, 160.0, -330.0]])
    assert turn.moved(above, turn.stop)[0, 1] < 60 - 19
    assert turn.moved(right, turn.stop)[0, 2] > -330
    assert_allclose(np.linalg.norm(turn.moved(above, turn.stop) - above), 20.0, atol=1e-9)


@pytest.mark.parametrize(("lifts", "nearer"), [("right", True), ("left", False), ("both", True)])
def test_which_side_lifts_decides_whether_the_exhaust_comes_nearer(lifts: str, nearer: bool) -> None:
    found = found_space(cars.chapter(cars.saloon(rock=rock(lifts=lifts))))
    at_rest, rocking = entry(found.at_rest, "exhaust primary"), entry(found.rocking, "exhaust primary")
    assert (bound(rocking) < bound(at_rest) - 5) is nearer
    assert bound(rocking) <= bound(at_rest) + 0.1


def test_the_least_gap_through_the_rock_is_what_a_fine_sampling_comes_down_to() -> None:
    found = found_space(cars.saloon_as_it_is())
    one, turn = entry(found.rocking, "exhaust primary"), found.turn
    assert turn is not None and isinstance(one.pair.b, Part) and isinstance(one.pair.a, Part)
    engine, sampled = GapEngine(), np.inf
    for angle in np.linspace(turn.start, turn.stop, 60):
        for mine in one.pair.a.phases[0].pieces:
            for other in one.pair.b.phases[0].pieces:
                sampled = min(sampled, engine.gap(mine, other, None, turn.frame(float(angle))).gap_mm)
    assert one.closest is not None
    assert one.closest.gap.bound_mm <= sampled + 1e-9
    assert sampled - one.closest.gap.bound_mm <= 0.06


def test_needs() -> None:
    tables = cars.saloon()
    tables["shaft"]["lower"]["moves"] = mm(4)
    line = [at(-200, -200, 0), at(-300, -200, 0)]
    tables["obstacles"].append({"name": "brake pipe", "soft": True, "shape": {"through": line, "dia": mm(5)}})
    found = found_space(cars.chapter(tables))
    hot, pipe = entry(found.at_rest, "exhaust primary"), entry(found.at_rest, "brake pipe")
    assert pipe.pair.need.required_mm == 14
    assert pipe.pair.need.required_from == "common practice, and 4 mm that box, frame or axle moves"
    assert 33 + 4 <= hot.pair.need.required_mm <= 33.6 + 4
    assert entry(found.rocking, "exhaust primary").pair.need.required_mm == 17
    own = found_space(cars.chapter(cars.saloon(clear_by=mm(15))))
    assert entry(own.at_rest, "left rail").pair.need.required_mm == 15
    firewall = entry(own.at_rest, "firewall")
    assert firewall.pair.need.treatment is Treatment.JOINED


def test_a_hot_part_that_does_not_rock_needs_twenty_five() -> None:
    tables = cars.saloon()
    tables["obstacles"][1]["group"] = "body"
    found = found_space(cars.chapter(tables))
    assert entry(found.at_rest, "exhaust primary").pair.need.required_mm == 25
    assert found.rocking == ()


def test_engine_parts_that_are_not_hot_are_judged_through_the_rock_alone() -> None:
    found = found_space(cars.chapter(cars.saloon(hot=[])))
    assert "exhaust primary" not in [one.pair.b.name for one in found.at_rest]
    assert entry(found.rocking, "exhaust primary").pair.need.required_mm == 10


def test_without_the_rock_an_engine_part_is_not_known_and_the_key_is_named() -> None:
    tables = cars.saloon()
    del tables["shaft"]["rock"]
    found = found_space(cars.chapter(tables))
    at_rest = entry(found.at_rest, "exhaust primary")
    assert bound(at_rest) > 60
    assert at_rest.pair.need.required_from.endswith("25 mm, and its rock, not known, and 13 mm")
    (waiting,) = found.rocking
    assert waiting.closest is None
    assert waiting.pair.b.name == "exhaust primary, rocking"
    assert not isinstance(waiting.pair.b, Part)
    assert waiting.pair.b.keys == ("shaft.rock",)


@pytest.mark.parametrize(
    ("changes", "words"),
    [({"at": at(-300, 60, -325)}, "nearer to the axis than it moves"), ({"by": mm(250)}, "an engine that rocks by")],
)
def test_a_rock_that_cannot_be(changes: Tables, words: str) -> None:
    with pytest.raises(KeyFault, match=words):
        cars.chapter(cars.saloon(rock=rock(**changes)))


def test_every_stand_of_the_column_is_looked_at() -> None:
    upper = {"joint_along": mm(780.4), "tilt": {"pivot_along": mm(400), "up": "4 deg", "down": "4 deg"}}
    still, tilting = found_space(cars.saloon_as_it_is()), found_space(cars.chapter(cars.saloon(upper=upper)))
    assert bound(entry(tilting.at_rest, "left rail")) <= bound(entry(still.at_rest, "left rail")) + 1e-9
    assert bound(entry(tilting.at_rest, "exhaust primary")) < bound(entry(still.at_rest, "exhaust primary"))


def test_moved_readings_move_the_shaft_and_nothing_else_is_made_again() -> None:
    job = cars.job(cars.saloon())
    scene = place(job, cars.HERE)
    found = find(job, scene, GapEngine(), 0)
    assert found is not None

    rest, rocking = moved.at_rest(found), moved.rocking(found, scene)
    same = {part.name: part for part in rest(job, scene).parts}
    assert same["intermediate shaft"] is found_space(found).parts[0]
    assert same["left rail"] is scene.part("left rail")
    shifted = job.model_copy(update={"column": cars.job(changed_hub()).column})
    around = place(shifted, cars.HERE, like=scene)
    assert rest(shifted, around).part("intermediate shaft") is not found_space(found).parts[0]
    asked = {one.pair.b.name: one.pair.b for one in found_space(found).rocking}
    assert rocking(job, scene).part("exhaust primary") is asked["exhaust primary"]


def changed_hub() -> Tables:
    tables = cars.saloon()
    tables["column"]["hub_seat"]["up"] = mm(399)
    return tables


@pytest.mark.parametrize("slides", [{}, {"slides_out": mm(10), "slides_in": mm(40)}])
def test_between_two_stands_of_the_column_nothing_leaves_the_solid(slides: Tables) -> None:
    """Wheel up 4 deg, down 6 deg about a pivot 400 along, in steps of a tenth: the shaft's own solids at each of them.

    The hull of the ends alone would not do: the arcs bulge out of it.
    """
    tilt = {"pivot_along": mm(400), "up": "4 deg", "down": "6 deg"}
    setup = Setup.of(cars.job(cars.saloon(upper={"joint_along": mm(780.4), "tilt": tilt, **slides})))
    lines = [setup.line(stand) for stand in setup.stands]
    (swept,) = solids.shaft_parts(setup.shaft, lines, None)
    middle = [Stand("", slid, np.radians(turn)) for turn in np.arange(-6, 4.01, 0.5) for slid in (0.0, *_slid(slides))]
    far = 0.0
    for stand in middle:
        (there,) = solids.shaft_parts(setup.shaft, [setup.line(stand)], None)
        far = max(
            far, *(outside_piece_mm(whole, each) for whole, each in zip(pieces(swept), pieces(there), strict=True))
        )
    assert far <= 1e-9
    assert 0.1 < solids.bulge_mm(setup.shaft, lines) < 5.0


def _slid(slides: Tables) -> tuple[float, ...]:
    return (10.0, -15.0, -40.0) if slides else ()


def pieces(part: Part) -> tuple[Piece, ...]:
    (phase,) = part.phases
    return phase.pieces


def outside_piece_mm(whole: Piece, inner: Piece) -> float:
    """How far the true round solid of `inner` lies outside the hull of `whole`, by scipy's facets, at many points."""
    facets = ConvexHull(whole.vertices).equations
    return float((true_points(inner) @ facets[:, :3].T + facets[:, 3]).max())


def true_points(piece: Piece) -> Vector:
    """Points all over the edges of a cylinder, or over a ball: circles, not the polygon round them."""
    exact, round_it = piece.exact, np.linspace(0, 2 * np.pi, 72, endpoint=False)
    if isinstance(exact, Round):
        way = unit(exact.end - exact.start)
        across = unit(np.cross(way, [0.3, 0.5, 0.8]))
        rim = np.outer(np.cos(round_it), across) + np.outer(np.sin(round_it), np.cross(way, across))
        ends = ((exact.start, exact.start_diameter), (exact.end, exact.end_diameter))
        return np.vstack([at + size / 2 * rim for at, size in ends])
    assert isinstance(exact, Balls)
    heights = np.linspace(-1, 1, 25)
    rings = [np.sqrt(1 - h * h) * np.stack([np.cos(round_it), np.sin(round_it)], axis=1) for h in heights]
    ball = np.vstack([np.column_stack([ring, np.full(72, h)]) for ring, h in zip(rings, heights, strict=True)])
    return np.asarray(exact.centres[0] + exact.diameter / 2 * ball)
