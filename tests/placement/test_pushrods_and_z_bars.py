"""What pedals drive: the rod keeps its length, every slice holds it, Z-bars turn the way their pin goes; mm.

The far end is found here by bisection on the rod's length along its line, the pin by scipy's turn about the pivot.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.optimize import brentq
from scipy.spatial import ConvexHull

from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.movement import Turn
from fitcheck.placement.scene import Part, Phase
from tests import jobs
from tests.placement.bodies import corners, moved, part, turned

PIVOT = np.array([165.0, -82.0, 174.0])
FULL = 2 * np.arcsin(70 / np.hypot(155, 269))
# Over-travel 6, and as far again as two chords good to 4 mm each may be off (pad travel by tape; common practice).
TOP = 2 * np.arcsin(3 / np.hypot(155, 269)) + np.hypot(
    2 * np.arcsin(72 / np.hypot(155, 269)) - FULL,
    2 * np.arcsin(5 / np.hypot(155, 269)) - 2 * np.arcsin(3 / np.hypot(155, 269)),
)
UP = 2 * np.arcsin(5 / np.hypot(155, 269))


OUT = np.array([155.0, 0.0, -269.0]) / np.hypot(155, 269)  # from the pivot toward the pad


def with_linkage(linkage: jobs.Tables, **pedal: object) -> Part:
    tables = {"driven_by": "clutch", "dia": "10 mm", **linkage}
    return part(jobs.scene(jobs.bare(pedals=[jobs.clutch(**pedal)], linkages=[tables])), tables["name"])


Place = tuple[int, int, int]
Rod = tuple[Place, Place, Place | None]
RODS: dict[str, Rod] = {
    "ahead": ((189, -82, 122), (-10, -82, 134), None),
    "pin below its pivot": ((165, -82, 122), (-10, -60, 122), None),
    "rod straight down": ((165, -82, 122), (165, -82, 62), None),
    "pin above its pivot": ((150, -82, 214), (-10, -82, 200), None),
    "sliding across itself": ((189, -82, 122), (0, -82, 134), (-60, -82, 190)),
    "sliding downhill": ((189, -82, 122), (0, -82, 134), (-60, -40, 60)),
}


def ends_at(rod: Rod, angle: float) -> tuple[Vector, Vector]:
    """Pin and far end at an angle of the pedal; the far end nearest to where it is at rest."""
    pin, far = np.array(rod[0], dtype=float), np.array(rod[1], dtype=float)
    length = np.linalg.norm(far - pin)
    way = far - pin if rod[2] is None else np.array(rod[2], dtype=float) - far
    way = way / np.linalg.norm(way)
    there = turned(pin, PIVOT, [0, 1, 0], angle)
    at_foot = float((there - far) @ way)  # here the line is nearest to the pin: one far end each side of it
    outer = at_foot + np.sign((far - pin) @ way) * 2 * length
    step = brentq(lambda s: np.linalg.norm(far + s * way - there) - length, at_foot, outer, xtol=1e-12)
    return there, far + step * way


@pytest.mark.parametrize("name", RODS)
def test_every_slice_holds_the_rod(name: str) -> None:
    """Rod of 10 with round ends, at nine places of each slice: its balls and its middle inside the slice's hull.

    A worn bush lets the pedal lean: the pad by 4 each way (default; common practice, no source), what lies nearer to
    the pivot by as much less.
    """
    pin, far, toward = RODS[name]
    linkage = {"name": "rod", "kind": "pushrod", "pin": jobs.at(*pin), "to": jobs.at(*far)}
    if toward is not None:
        linkage["slides_toward"] = jobs.at(*toward)
    lean = np.array([0.0, 4.0, 0.0]) * ((np.array(pin, dtype=float) - PIVOT) @ OUT) / np.hypot(155, 269)
    phase = with_linkage(linkage).phases[0]
    assert len(phase.shares) == len(phase.pieces)
    assert_allclose(phase.shares[0][0], -UP / FULL, atol=1e-9)
    assert_allclose(phase.shares[-1][1], 1 + TOP / FULL, atol=1e-9)
    assert_allclose([low for low, _ in phase.shares[1:]], [high for _, high in phase.shares[:-1]], atol=1e-12)
    for (low, high), slice_ in zip(phase.shares, phase.pieces, strict=True):
        planes = ConvexHull(slice_.vertices).equations
        for share in np.linspace(low, high, 9):
            one, other = ends_at(RODS[name], share * FULL)
            for pin_at in (one - lean, one, one + lean):
                for centre in (pin_at, (pin_at + other) / 2, other):
                    assert (planes[:, :3] @ centre + planes[:, 3]).max() + 5 <= 1e-3


@pytest.mark.parametrize("name", RODS)
def test_the_slices_say_where_the_rod_is_and_no_more(name: str) -> None:
    """Without wear the thickness past both ends is the rod's, plus a ball's corner and the arc's rise (0.3 mm)."""
    pin, far, toward = RODS[name]
    linkage = {"name": "rod", "kind": "pushrod", "pin": jobs.at(*pin), "to": jobs.at(*far)}
    if toward is not None:
        linkage["slides_toward"] = jobs.at(*toward)
    phase = with_linkage(linkage, side_wear="0 mm").phases[0]
    for (low, high), slice_ in zip(phase.shares, phase.pieces, strict=True):
        centres = np.array([end for share in (low, high) for end in ends_at(RODS[name], share * FULL)])
        out = np.linalg.norm(slice_.vertices[:, None] - centres[None], axis=-1).min(axis=1)
        assert out.max() <= 5 + 0.3


def test_the_rod_keeps_its_length_throughout() -> None:
    """Slice ends seen through the hulls: the middles of both ends stay as far apart as pin and far end at rest.

    The far end's places lie beyond those of the slice's ends by what a curve can hide, here under 0.01.
    """
    pin, far, _ = RODS["ahead"]
    linkage = {"name": "rod", "kind": "pushrod", "pin": jobs.at(*pin), "to": jobs.at(*far)}
    rod = with_linkage(linkage, side_wear="0 mm")
    length = np.linalg.norm(np.subtract(pin, far))
    for slice_ in rod.phases[0].pieces:
        balls = slice_.vertices.reshape(6, -1, 3).mean(axis=1)  # pin at both slice ends, twice each; two far ends
        apart = np.linalg.norm(balls[[0, 2], None] - balls[None, 4:], axis=-1)
        assert_allclose(np.abs(apart - length).min(axis=1), 0, atol=0.01)
        assert set(np.abs(apart - length).argmin(axis=1).tolist()) == {0, 1}


def test_the_pin_goes_with_the_pedal() -> None:
    pin, far, _ = RODS["ahead"]
    rod = {"name": "rod", "driven_by": "clutch", "kind": "pushrod", "dia": "10 mm", "pin": jobs.at(*pin)}
    rod["to"] = jobs.at(*far)
    scene = jobs.scene(jobs.bare(pedals=[jobs.clutch()], linkages=[rod]))
    swept, pedal = part(scene, "rod").phases[0], part(scene, "clutch").phases[0]
    for (low, _), slice_ in zip(swept.shares, swept.pieces, strict=True):
        at_pin = slice_.vertices.reshape(6, -1, 3)[:2].mean(axis=(0, 1))  # leaning either way
        assert_allclose(at_pin, moved(np.array([pin]), pedal, low)[0], atol=1e-6)


def test_what_a_worn_bush_lets_the_pin_lean_is_said_once_and_may_be_said_to_be_nothing() -> None:
    """Half way from the pivot to the pad the pin leans half as far as the pad."""
    pin = PIVOT + 0.5 * np.hypot(155, 269) * OUT
    linkage = {"name": "rod", "kind": "pushrod", "pin": jobs.at(*pin), "to": jobs.at(-10, -82, 134)}
    for wear, lean in (("6 mm", 3.0), ("0 mm", 0.0)):
        for slice_ in with_linkage(linkage, side_wear=wear).phases[0].pieces:
            balls = slice_.vertices.reshape(6, -1, 3).mean(axis=1)
            assert_allclose(balls[[0, 2], 1] - balls[[1, 3], 1], 2 * lean, atol=1e-9)


def test_a_rod_too_short_to_follow_is_refused() -> None:
    with pytest.raises(KeyFault, match="too short to follow the pedal through its travel") as caught:
        with_linkage({"name": "rod", "kind": "pushrod", "pin": jobs.at(165, -82, 122), "to": jobs.at(165, -82, 102)})
    assert caught.value.path == ("linkages", 0, "to")


def test_a_rod_of_no_length_is_refused_under_its_key() -> None:
    with pytest.raises(KeyFault) as caught:
        with_linkage({"name": "rod", "kind": "pushrod", "pin": jobs.at(165, -82, 122), "to": jobs.at(165, -82, 122)})
    assert caught.value.path == ("linkages", 0)


Z_BAR = {
    "name": "Z-bar",
    "kind": "z-bar",
    "pin": jobs.at(60, -40, 20),
    "to": jobs.at(60, -120, -40),
    "other_end": jobs.at(60, 40, -40),
    "lever_travel": "30 mm",
    "lever_moves": "forward",
}


def phase_of(**changes: object) -> Phase:
    return with_linkage({**Z_BAR, **changes}).phases[0]


@pytest.mark.parametrize(("word", "way"), [("forward", -1), ("back", 1)])
@pytest.mark.parametrize("flipped", [False, True])
def test_the_z_bars_pin_goes_the_way_that_was_said(word: str, way: int, flipped: bool) -> None:
    ends = {"to": Z_BAR["other_end"], "other_end": Z_BAR["to"]} if flipped else {}
    phase = phase_of(lever_moves=word, **ends)
    pin = np.array([[60.0, -40, 20]])
    there = moved(pin, phase, 1.0)[0]
    assert there[0] * way > 60 * way + 25
    assert_allclose(np.linalg.norm(there - pin[0]), 30, atol=1e-9)


@pytest.mark.parametrize(("word", "way"), [("up", 1), ("down", -1)])
def test_a_lever_lying_fore_and_aft_goes_up_or_down(word: str, way: int) -> None:
    phase = phase_of(pin=jobs.at(120, -40, -40), lever_moves=word)
    there = moved(np.array([[120.0, -40, -40]]), phase, 1.0)[0]
    assert there[2] * way > -40 * way + 25


@pytest.mark.parametrize("word", ["up", "down"])
def test_a_lever_that_cannot_set_off_that_way_is_refused(word: str) -> None:
    """Standing straight above its bar, the pin goes forward or back, never up or down."""
    with pytest.raises(KeyFault, match=f"its pin cannot set off {word} from where it is at rest") as caught:
        phase_of(lever_moves=word)
    assert caught.value.path == ("linkages", 0, "lever_moves")


def test_the_z_bar_turns_in_its_own_ratio_to_the_pedal() -> None:
    """Radius 60, chord 30: 2 asin(1/4) = 28.96 deg for the pedal's full swing, in proportion before and beyond."""
    phase = phase_of()
    assert isinstance(phase.moves, Turn) and phase.travel is not None
    full = 2 * np.arcsin(30 / 120)
    farther = 2 * np.arcsin(34 / 120) - full  # its own chord is good to 4 mm too
    assert_allclose(phase.moves.stop, full * (1 + TOP / FULL) + farther, atol=1e-12)
    assert_allclose(phase.moves.start, -full * UP / FULL, atol=1e-12)
    assert_allclose(phase.travel.share(full / 2), 0.5, atol=1e-12)
    assert_allclose(phase.travel.share(full), 1.0, atol=1e-12)
    assert phase.travel.pedal == "clutch"


def test_levers_ride_on_the_bar() -> None:
    lever = {"through": [jobs.at(60, -40, -40), jobs.at(60, -40, 20)], "dia": "12 mm"}
    phase = phase_of(levers={"lever": lever})
    (rod,) = [each for each in phase.pieces if each.name == "lever"]
    there = moved(rod.vertices, phase, 1.0)
    expected = turned(rod.vertices, [60, 0, -40], [0, -1, 0], 2 * np.arcsin(30 / 120))
    assert_allclose(there, expected, atol=1e-9)
    assert len(corners(phase.pieces)) > len(rod.vertices)


def test_a_z_bar_without_its_readings_is_not_placed_and_says_what_it_waits_for() -> None:
    bar = {"driven_by": "clutch", "dia": "10 mm", **Z_BAR}
    for key in ("other_end", "lever_travel", "lever_moves"):
        del bar[key]
    scene = jobs.scene(jobs.bare(pedals=[jobs.clutch()], linkages=[bar]))
    (waits,) = scene.unplaced
    assert waits.keys == ("linkages[1].other_end", "linkages[1].lever_travel", "linkages[1].lever_moves")
    assert "both ends of its axis, and how far and which way its pin goes" in waits.measure


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"other_end": Z_BAR["to"]}, ()),
        ({"lever_travel": "120 mm"}, ("lever_travel",)),
        ({"pin": jobs.at(60, -40, -40)}, ("lever_travel",)),
    ],
)
def test_a_z_bar_that_cannot_turn_is_refused(change: jobs.Tables, path: tuple[str, ...]) -> None:
    with pytest.raises(KeyFault) as caught:
        phase_of(**change)
    assert caught.value.path == ("linkages", 0, *path)
