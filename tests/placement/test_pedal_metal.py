"""Arm, tail, pad and what rides on a pedal, with the side play of its bush, against points worked out here; mm."""

from itertools import pairwise

import numpy as np
import pytest
from numpy.testing import assert_allclose

from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Vector
from fitcheck.placement.scene import Part
from tests import jobs
from tests.geometry.within import outside_by
from tests.placement.bodies import corners, moved, part, piece, turned

PIVOT = np.array([165.0, -82.0, 174.0])
PAD = np.array([320.0, -90.0, -95.0])
RADIUS = np.hypot(155, 269)
TAIL = [{"at": jobs.at(156, -82, 198)}]
EYE = {"cable eye": {"through": [jobs.at(156, -90, 196), jobs.at(156, -74, 196)], "dia": "16 mm"}}


def clutch_of(**changes: object) -> Part:
    return part(jobs.scene(jobs.bare(pedals=[jobs.clutch(**changes)])), "clutch")


def still(**changes: object) -> Part:
    return clutch_of(side_wear="0 mm", **changes)


def test_the_arm_runs_from_the_pivot_through_its_places_to_the_pads_back() -> None:
    """Middle line: pivot, three places, back of the pad 12 behind its face; all on the metal, none of it in the air."""
    away = np.array([269.0, 0.0, 155.0]) / RADIUS  # rearward, square to pivot-to-pad in the side view
    line = np.array([PIVOT, [203, -82, 92], [272, -90, -8], [316, -90, -90], PAD - 12 * away])
    way = np.linspace(0, 1, 40)[:, None]
    between = np.vstack([a + way * (b - a) for a, b in pairwise(line)])
    bars = [each for each in still().phases[0].pieces if each.name == "clutch arm"]
    assert outside_by(bars, between).max() <= 1e-9
    for side in (np.array([0.0, 4, 0]), np.array([0.0, -4, 0])):
        assert outside_by(bars, between + 0.999 * side).max() <= 0.35, "8 thick, jogs measured along the pivot"


def test_the_arm_is_as_wide_as_stated_seen_from_the_side() -> None:
    """Half way down the first stretch, 14 square to it in the side view is the skin (28 wide)."""
    bars = [each for each in still().phases[0].pieces if each.name == "clutch arm"]
    middle = (PIVOT + [203, -82, 92]) / 2
    square = np.array([82.0, 0, 38.0]) / np.hypot(82, 38)
    assert outside_by(bars, (middle + 13.999 * square)[None])[0] <= 0
    assert outside_by(bars, (middle + 14.001 * square)[None])[0] > 0


def test_a_pad_without_tilt_is_square_to_its_path() -> None:
    """Face centre at the reading, 60 across, 55 high, 12 thick behind the face."""
    pad = piece(still(), "clutch pad").vertices - PAD
    away, down = np.array([269.0, 0, 155.0]) / RADIUS, np.array([155.0, 0, -269.0]) / RADIUS
    for way, low, high in ((away, -12, 0), (down, -27.5, 27.5), (np.array([0.0, 1, 0]), -30, 30)):
        assert_allclose([(pad @ way).min(), (pad @ way).max()], [low, high], atol=1e-9)


@pytest.mark.parametrize("tilt", [0, 35, -20])
def test_a_pad_with_tilt_leans_its_top_away_from_the_driver(tilt: float) -> None:
    pad = piece(still(pad=jobs.pad(jobs.at(*PAD), tilt=jobs.deg(tilt))), "clutch pad").vertices - PAD
    lean = np.radians(tilt)
    up_the_face = np.array([-np.sin(lean), 0, np.cos(lean)])  # its top goes forward
    looks = np.array([np.cos(lean), 0, np.sin(lean)])
    for way, low, high in ((looks, -12, 0), (up_the_face, -27.5, 27.5)):
        assert_allclose([(pad @ way).min(), (pad @ way).max()], [low, high], atol=1e-9)


def test_a_floor_hinged_pad_faces_the_driver_too() -> None:
    van = part(jobs.scene(jobs.bare(pedals=[jobs.van_clutch(side_wear="0 mm")])), "clutch")
    pad = piece(van, "clutch pad").vertices - [156, -104, 93]
    looks = np.array([243.0, 0, -176.0]) / np.hypot(243, 176)  # square to pivot-to-pad, to the rear
    assert_allclose([(pad @ looks).min(), (pad @ looks).max()], [-12, 0], atol=1e-9)


def test_the_tail_moves_the_other_way() -> None:
    """Above the pivot: when the pad goes forward and down, the tail's end goes back; it rides on the same turn."""
    clutch = still(tail=TAIL, rides=EYE)
    end = np.array([[156.0, -82, 198]])
    tail = [each for each in clutch.phases[0].pieces if each.name == "clutch tail"]
    assert outside_by(tail, end)[0] <= 1e-9
    there = moved(end, clutch.phases[0], 1.0)[0]
    angle = 2 * np.arcsin(70 / RADIUS)
    assert_allclose(there, turned(end, PIVOT, [0, 1, 0], angle)[0], atol=1e-9)
    assert there[0] > 156 + 5
    eye = piece(clutch, "cable eye").vertices
    assert_allclose((eye.min(axis=0) + eye.max(axis=0)) / 2, [156, -82, 196], atol=1e-6)


def tilted(points: Vector, wear: float) -> Vector:
    """The pedal tilted exactly on its bush (at the arm's root) until the pad's centre has gone `wear` to the right.

    The axis lies square to pivot and arm; turning about it right-handed by asin(wear / r) takes the pad to +Y.
    """
    down = (PAD - PIVOT) * [1, 0, 1] / RADIUS
    return turned(points, PIVOT, np.cross(down, [0, 1, 0]), np.arcsin(wear / RADIUS))


def test_side_play_moves_the_pad_by_the_wear_and_the_pivot_not_at_all() -> None:
    pad, worn = piece(still(), "clutch pad").vertices, piece(clutch_of(side_wear="4 mm"), "clutch pad").vertices
    centre = (pad.min(axis=0) + pad.max(axis=0)) / 2
    assert abs(tilted(PAD[None], 4)[0][1] - (PAD[1] + 4)) < 1e-3
    assert_allclose(worn[:, 1].max() - pad[:, 1].max(), 4 * (RADIUS + 27.5) / RADIUS, atol=0.01)
    assert_allclose(worn[:, 1].min() - pad[:, 1].min(), -4 * (RADIUS + 27.5) / RADIUS, atol=0.01)
    assert abs(centre[1] + 90) < 1e-9
    straight = still(arm=[{"at": jobs.at(203, -82, 92)}], pad=jobs.pad(jobs.at(320, -82, -95)))
    bar = clutch_of(arm=[{"at": jobs.at(203, -82, 92)}], pad=jobs.pad(jobs.at(320, -82, -95)), side_wear="4 mm")
    near = [
        np.abs(each.phases[0].pieces[0].vertices[:, 1] + 82)[
            np.linalg.norm((each.phases[0].pieces[0].vertices - PIVOT) * [1, 0, 1], axis=1) < 15
        ].max()
        for each in (straight, bar)
    ]
    assert near[1] - near[0] < 4 * 15 / RADIUS


@pytest.mark.parametrize("wear", [-4.0, -1.7, 0.0, 2.5, 4.0])
def test_the_tilted_pedal_lies_within_the_swept_one(wear: float) -> None:
    """Every corner of arm, tail, pad and eye, turned exactly by scipy, within 0.05 mm of the swept piece."""
    worn = clutch_of(side_wear="4 mm", tail=TAIL, rides=EYE).phases[0].pieces
    straight = still(tail=TAIL, rides=EYE).phases[0].pieces
    assert [each.name for each in worn] == [each.name for each in straight]
    for swept, one in zip(worn, straight, strict=True):
        assert outside_by([swept], tilted(one.vertices, wear)).max() <= 0.05, one.name


def test_the_swept_pedal_is_no_fatter_than_the_tilt_makes_it() -> None:
    """Each corner of a swept piece is where one end of the tilt takes a corner: within 0.05 mm."""
    worn, straight = clutch_of(side_wear="4 mm").phases[0].pieces, still().phases[0].pieces
    for swept, one in zip(worn, straight, strict=True):
        ends = np.vstack([one.vertices, tilted(one.vertices, 4.0), tilted(one.vertices, -4.0)])
        assert np.linalg.norm(swept.vertices[:, None] - ends[None], axis=-1).min(axis=1).max() <= 0.05


def test_four_millimetres_each_way_stand_in_for_a_wear_not_given() -> None:
    """Common practice, no source; as a default in use it is the job's remark elsewhere."""
    assert_allclose(corners(clutch_of().phases[0].pieces), corners(clutch_of(side_wear="4 mm").phases[0].pieces))


def test_a_bush_that_hangs_beside_the_pad_lifts_the_pad_as_it_tilts() -> None:
    """Brake of car A: the arm's root is 38 beside the pad, so tilting moves the pad along the arm by 4 x 38 / r."""
    worn = part(jobs.scene(jobs.bare(pedals=[jobs.brake(side_wear="4 mm")])), "brake")
    straight = part(jobs.scene(jobs.bare(pedals=[jobs.brake(side_wear="0 mm")])), "brake")
    down = np.array([310 - 165, 0, -82 - 174.0])
    down /= np.linalg.norm(down)
    low = [(piece(each, "brake pad").vertices @ down).max() for each in (worn, straight)]
    assert_allclose(low[0] - low[1], 4 / np.hypot(145, 256) * (38 + 35), atol=1e-6)


@pytest.mark.parametrize(
    ("change", "path"),
    [({"arm_wide": "0 mm"}, ("arm",)), ({"arm": [{"at": jobs.at(165, -82, 174)}]}, ("arm",))],
)
def test_an_arm_that_is_no_bar_is_refused_under_its_key(change: jobs.Tables, path: tuple[str, ...]) -> None:
    with pytest.raises(KeyFault) as caught:
        clutch_of(**change)
    assert caught.value.path == ("pedals", 0, *path)


def seen_square(point: tuple[float, float]) -> Vector:
    """Places round the pivot, in mm along and square to the first stretch as seen from the side."""
    along, square = np.array([38.0, 0, -82]) / np.hypot(82, 38), np.array([82.0, 0, 38]) / np.hypot(82, 38)
    return np.asarray(PIVOT + point[0] * along + point[1] * square)


@pytest.mark.parametrize("dia", [20.0, 28.0, 40.0])
def test_an_eye_at_the_pivot_is_round_and_never_smaller_than_it_is(dia: float) -> None:
    """All of the true disc is metal; beyond it the facets stand out by at most 0.35 mm, away from the arm's side."""
    bars = [each for each in still(boss_dia=jobs.mm(dia)).phases[0].pieces if "clutch arm" in each.name]
    for angle in np.linspace(0, 2 * np.pi, 37):
        rim = (dia / 2 * np.cos(angle), dia / 2 * np.sin(angle))
        for across in (-4.0, 4.0):
            disc = seen_square(rim) + [0, across, 0]
            assert outside_by(bars, disc[None])[0] <= 1e-9
        if rim[0] < 0:
            beyond = (rim[0] * (1 + 0.8 / dia), rim[1] * (1 + 0.8 / dia))
            assert outside_by(bars, seen_square(beyond)[None])[0] > 0


def test_to_a_small_eye_the_arm_narrows_and_its_square_corner_is_gone() -> None:
    """An arm 28 wide and an eye of 20: no metal 14 aside of the pivot, 28 wide at its first place."""
    corner, long = seen_square((0.0, 13.5)), float(np.hypot(82, 38))
    assert outside_by(list(still().phases[0].pieces), corner[None])[0] <= 0
    narrowed = list(still(boss_dia="20 mm").phases[0].pieces)
    assert outside_by(narrowed, corner[None])[0] > 1
    assert outside_by(narrowed, seen_square((long, 13.9))[None])[0] <= 0.35
    half_way = seen_square((long / 2, 11.9))  # 10 at the eye, 14 at the place: 12 between
    assert outside_by(narrowed, half_way[None])[0] <= 0.35
