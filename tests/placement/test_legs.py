"""Boots lifted off and crossing, the left foot and shins: each holds the rigid boot or shin wherever it may be; mm.

The rigid boot is laid anew from heel, pad and slope by scipy's rotations; the hulls are looked at by Qhull's planes.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.spatial import ConvexHull
from scipy.spatial.transform import Rotation

from fitcheck.clearance.boots import everyone
from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.movement import Slide, Turn
from fitcheck.geometry.primitives import ball
from fitcheck.job.crosschecks import leg_names
from fitcheck.placement.driver import boot_pieces
from fitcheck.placement.feet import BootSize
from fitcheck.placement.place import place
from fitcheck.placement.scene import Part, Scene
from tests import jobs
from tests.geometry.within import outside_by
from tests.placement.bodies import corners, part

HEELS = {"clutch": (430.0, -90.0, -270.0), "brake": (420.0, 68.0, -270.0), "throttle": (370.0, 178.0, -270.0)}
PADS = {"clutch": (320.0, -90.0, -95.0), "brake": (310.0, 68.0, -82.0), "throttle": (242.0, 178.0, -92.0)}
KNEE, KNEE_FULL = np.array([500.0, -110.0, 170.0]), np.array([440.0, -105.0, 130.0])
SIZE = BootSize(323.0, 130.0, 220.0)  # men 95: 293 + 30, 111 + 19, 218 + 2
PLAY_MM = 1e-6


def placed(**driver: object) -> Scene:
    boots: list[jobs.Tables] = [{"on": name, "heel": jobs.at(*heel)} for name, heel in HEELS.items()]
    boots[0] |= {"knee": jobs.at(*KNEE), "knee_at_full": jobs.at(*KNEE_FULL)}
    tables = {"foot": "men 95", "boots": boots, "left_foot": LEFT, **driver}
    pedals = [jobs.clutch(), jobs.brake(), jobs.throttle()]
    job = jobs.job(jobs.bare(pedals=pedals, driver=tables))
    return place(job, jobs.EXAMPLES, whole=True)


LEFT = {"heel": jobs.at(380, -230, -270), "ball": jobs.at(190, -250, -190)}


def rigid(name: str, lift: float = 0.0, beyond: float = 0.0) -> tuple[Vector, Vector]:
    """Corners of the boot's pieces with the pedal at rest and the heel planted: turned up by its slope and `beyond`."""
    heel, pad = np.array(HEELS[name]), np.array(PADS[name])
    slope = np.arctan2(pad[2] - heel[2], heel[0] - pad[0]) + beyond
    flat = corners(boot_pieces("boot", SIZE)) * [-1, -1, 1] + [0, 0, lift]  # toe forward, its left to the left
    return heel, np.asarray(Rotation.from_rotvec([0, slope, 0]).apply(flat) + heel)


def slid(owner: Part, share: float) -> list[Vector]:
    """Corners of each piece at a share of its one slide."""
    (phase,) = owner.phases
    (sway,) = phase.sways
    assert isinstance(sway.move, Slide)
    return [each.vertices + share * sway.move.stop * sway.move.direction for each in phase.pieces]


def test_all_of_them_are_placed_and_may_be_named_in_the_job() -> None:
    boots = [{"on": name, "heel": jobs.at(*heel), "knee": jobs.at(*KNEE)} for name, heel in HEELS.items()]
    job = jobs.job(jobs.bare(pedals=[jobs.clutch(), jobs.brake(), jobs.throttle()],
                             driver={"foot": "men 95", "boots": boots, "left_foot": LEFT}))  # fmt: skip
    scene = place(job, jobs.EXAMPLES, whole=True)
    plain = place(job, jobs.EXAMPLES)
    names = {each.name for each in everyone(scene)} - {each.name for each in plain.parts}
    assert names == set(leg_names(job))
    assert [each.keys for each in scene.unplaced] == [(f"driver.boots[{i}].knee_at_full",) for i in (1, 2, 3)]


def test_lifted_the_boot_goes_square_off_its_sole_from_where_it_lies_on_the_pad() -> None:
    lifted = part(placed(lift_off="40 mm"), "boot lifted off brake")
    for lift in (0.0, 40.0):
        _, points = rigid("brake", lift)
        assert_allclose(np.vstack(slid(lifted, lift / 40)), points, atol=1e-9)


def test_a_boot_that_never_leaves_its_pad_stands_still() -> None:
    (phase,) = part(placed(lift_off="0 mm"), "boot lifted off brake").phases
    assert phase.chain == ()


def test_crossing_holds_the_rigid_boot_lifted_and_turned_anyhow_on_the_way() -> None:
    """300 places on the way, lifts and slopes between those of both pads: no corner is outside its hull."""
    crossing = part(placed(lift_off="40 mm"), "boot crossing from brake to throttle")
    (phase,) = crossing.phases
    one, other = np.array(HEELS["brake"]), np.array(HEELS["throttle"])
    slopes = [np.arctan2(PADS[n][2] - HEELS[n][2], HEELS[n][0] - PADS[n][0]) for n in ("brake", "throttle")]
    rng = np.random.default_rng(3)
    many = [len(piece.vertices) for piece in boot_pieces("boot", SIZE)]
    for way, lift, turn in rng.uniform(size=(300, 3)):
        _, points = rigid("brake", 40 * lift, turn * (slopes[1] - slopes[0]))
        points = points + way * (other - one)
        hulls = slid(crossing, way)
        for hull, piece, own in zip(hulls, phase.pieces, np.split(points, [many[0]]), strict=True):
            shifted = own - (hull[0] - piece.vertices[0])
            assert outside_by([piece], shifted).max() <= PLAY_MM


def test_crossing_stands_out_no_farther_than_its_arcs_tangents() -> None:
    """Where both pads are alike the boot only slides: its hull is that of the lifted boot, corner for corner."""
    alike = [jobs.brake(), jobs.throttle(pad=jobs.pad(jobs.at(310, 178, -82)))]
    boots = [{"on": "brake", "heel": jobs.at(420, 68, -270)}, {"on": "throttle", "heel": jobs.at(420, 178, -270)}]
    job = jobs.job(jobs.bare(pedals=alike, driver={"foot": "men 95", "boots": boots, "lift_off": "40 mm"}))
    scene = place(job, jobs.EXAMPLES, whole=True)
    (phase,) = part(scene, "boot crossing from brake to throttle").phases
    assert_allclose(phase.sways[0].move.stop, 110.0, atol=1e-9)
    both = np.vstack([rigid("brake", lift)[1] for lift in (0.0, 40.0)])
    reach = [(both @ way).max() for way in np.eye(3)]
    assert_allclose([(corners(phase.pieces) @ way).max() for way in np.eye(3)], reach, atol=1e-9)


def test_the_left_foot_lies_from_heel_to_ball_its_sole_level_sideways() -> None:
    (phase,) = part(placed(), "left foot at rest").phases
    points = corners(phase.pieces)
    heel, ball = np.array([380.0, -230, -270]), np.array([190.0, -250, -190])
    toe = (ball - heel) / np.linalg.norm(ball - heel)
    level = np.cross([0, 0, 1.0], toe)
    level /= np.linalg.norm(level)
    up = np.cross(toe, level)
    assert up[2] > 0
    from_heel = points - heel
    assert_allclose([(from_heel @ toe).min(), (from_heel @ toe).max()], [0, 323], atol=1e-9)
    assert_allclose([(from_heel @ level).min(), (from_heel @ level).max()], [-65, 65], atol=1e-9)
    assert_allclose([(from_heel @ up).min(), (from_heel @ up).max()], [0, 110], atol=1e-9)


def test_a_left_foot_of_no_foots_length_is_refused() -> None:
    with pytest.raises(KeyFault, match="the ball lies 500 mm from the heel; no foot is so"):
        placed(left_foot={"heel": jobs.at(380, -230, -270), "ball": jobs.at(-120, -230, -270)})


@pytest.mark.parametrize("bows", [1, -1])
def test_the_shin_holds_a_straight_leg_from_ankle_to_knee_throughout_the_travel(bows: int) -> None:
    """The boot on its pedal carries the ankle (0.16 of its length ahead, 110 up); the knee goes on an arc of 430 mm.

    The leg's balls are looked at where facets of their polytopes touch them, on the outside of both arcs: there half a
    hair would show.
    """
    scene = placed()
    (phase,) = part(scene, "shin, foot on clutch").phases
    half = (KNEE_FULL - KNEE) / 2
    aside = bows * np.cross(half / np.linalg.norm(half), [0, 1.0, 0])
    radius, chord = 430.0, float(np.linalg.norm(half))
    for stance in part(scene, "boot on clutch").phases:
        assert stance.travel is not None and isinstance(stance.moves, Turn)
        for value in np.linspace(stance.moves.start, stance.moves.stop, 17):
            share = stance.travel.share(value)
            ankle = ankle_of(stance.moved(stance.pieces[1].vertices, (value,)))
            along = (2 * min(max(share, 0.0), 1.0) - 1) * chord
            sagitta = np.sqrt(radius**2 - along**2) - np.sqrt(radius**2 - chord**2)
            knee = (KNEE + KNEE_FULL) / 2 + along * half / chord + sagitta * aside
            ranges = zip(phase.pieces, phase.shares, strict=True)
            slices = [piece for piece, (low, high) in ranges if low - 1e-9 <= share <= high + 1e-9]
            outward = ankle - stance.moves.point
            touched = 65 * np.vstack([facets_toward(way) for way in (aside, outward, -outward)])
            assert outside_by(slices, np.vstack([ankle + touched, knee + touched])).max() <= PLAY_MM


def test_the_shin_holds_the_ankle_on_its_arc_where_the_knee_stays() -> None:
    still = {"on": "clutch", "heel": jobs.at(*HEELS["clutch"]), "knee": jobs.at(*KNEE), "knee_at_full": jobs.at(*KNEE)}
    scene = placed(boots=[still])
    (phase,) = part(scene, "shin, foot on clutch").phases
    carried = part(scene, "boot on clutch").phases[-1]
    assert isinstance(carried.moves, Turn)
    for value in np.linspace(carried.moves.start, carried.moves.stop, 17):
        ankle = ankle_of(carried.moved(carried.pieces[1].vertices, (value,)))
        touched = 65 * facets_toward(ankle - carried.moves.point)
        assert outside_by(phase.pieces, ankle + touched).max() <= PLAY_MM


FACETS = np.unique(ConvexHull(ball(np.zeros(3), 130.0).vertices).equations[:, :3].round(12), axis=0)


def facets_toward(way: Vector) -> Vector:
    """Directions (6, 3) in which facets of a ball's polytope touch the ball, the nearest to `way`."""
    return np.asarray(FACETS[np.argsort(-(FACETS @ way))[:6]])


def ankle_of(instep: Vector) -> Vector:
    """Middle of the boot's shaft, from its top corners: rear, and 0.32 of its length ahead."""
    rear, front = (instep[2] + instep[7]) / 2, (instep[3] + instep[8]) / 2
    return np.asarray((rear + front) / 2)


def test_a_knee_no_shin_reaches_is_refused_and_one_that_grows_is_remarked() -> None:
    boot = {"on": "clutch", "heel": jobs.at(*HEELS["clutch"]), "knee": jobs.at(*KNEE)}
    with pytest.raises(KeyFault, match="no shin is so") as caught:
        placed(boots=[{**boot, "knee_at_full": jobs.at(440, -105, 530)}])
    assert caught.value.path == ("driver", "boots", 0, "knee_at_full")
    scene = placed(boots=[{**boot, "knee_at_full": jobs.at(440, -105, 210)}])
    assert any("no shin grows so much" in note for note in part(scene, "shin, foot on clutch").notes)
    assert any("no shin grows so much" in note for note in scene.remarks)


def test_a_knee_measured_to_its_front_lies_half_a_shin_behind() -> None:
    boot = {"on": "clutch", "heel": jobs.at(*HEELS["clutch"]), "knee_at_full": jobs.at(*KNEE_FULL)}
    front = placed(boots=[{**boot, "knee": jobs.at(*(KNEE - [65, 0, 0]), side="front")}])
    middle = placed(boots=[{**boot, "knee": jobs.at(*KNEE)}])
    own, other = (part(scene, "shin, foot on clutch").phases[0].pieces for scene in (front, middle))
    assert_allclose(corners(own), corners(other), atol=1e-9)
