"""How pedals swing: chord to angle, which way pads go, pulled up, over-travel, shared shafts; millimetres.

A chord c at radius r subtends 2 asin(c / 2r) (Euclid III; any handbook's table of circle segments). Figures of the cars
are those of the two invented examples, worked out by hand from pivot and pad.
"""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.optimize import brentq

from fitcheck.errors import KeyFault
from fitcheck.geometry.movement import Turn
from fitcheck.placement.column import ColumnAxis
from fitcheck.placement.points import Places
from fitcheck.placement.swing import Swing, swing
from tests import jobs
from tests.placement.bodies import moved, part, piece, turned

PEDALS = [
    (jobs.clutch, 310.5, 26.1),
    (jobs.brake, 294.2, 18.6),
    (jobs.throttle, 271.0, 11.7),
    (jobs.van_clutch, 300.1, 27.0),
    (jobs.van_brake, 300.1, 21.1),
    (jobs.van_throttle, 138.9, 20.7),
]
Maker = Callable[..., jobs.Tables]


def swing_of(pedal: jobs.Tables, **tables: object) -> Swing:
    job = jobs.job(jobs.bare(pedals=[pedal], **tables))
    axis = ColumnAxis(job)
    return swing(job, 0, Places(job, lambda: axis.column2car, axis.along))


@pytest.mark.parametrize(("pedal", "radius", "degrees"), PEDALS)
def test_travel_of_the_invented_cars(pedal: Maker, radius: float, degrees: float) -> None:
    how = swing_of(pedal())
    assert abs(how.radius_mm - radius) < 0.06
    assert abs(np.degrees(how.full) - degrees) < 0.06


@pytest.mark.parametrize("pedal", [maker for maker, _, _ in PEDALS])
def test_the_pad_centre_goes_the_tapes_chord(pedal: Maker) -> None:
    """Independent of asin: the straight line between rest and full travel is what the tape read."""
    tables = pedal()
    tables = {**tables, **{key: f"{tables[key]} ± 0 mm" for key in ("travel", "over_travel")}}
    how = swing_of(tables)
    rest, full, over, up = how.pads(np.array([0.0, 1.0, how.shares[1], how.shares[0]]))
    assert_allclose(np.linalg.norm(full - rest), float(tables["travel"].split()[0]), atol=1e-9)
    assert_allclose(np.linalg.norm(over - full), float(tables["over_travel"].split()[0]), atol=1e-9)
    assert_allclose(np.linalg.norm(up - rest), 10.0, atol=1e-9)  # the default; common practice, no source


@settings(max_examples=30, deadline=None)
@given(st.floats(5, 250), st.floats(150, 400))
def test_a_chord_is_turned_into_the_angle_that_spans_it(chord: float, radius: float) -> None:
    """Against the root of |p(t) - p(0)| = chord, found by bisection on the circle itself."""
    pedal = jobs.clutch(
        pivot=jobs.at(0, 0, 0), pad=jobs.pad(jobs.at(0, 0, -radius)), arm=[{"at": jobs.at(0, 0, -radius / 2)}]
    )
    angle = brentq(lambda t: np.hypot(radius * np.sin(t), radius * (1 - np.cos(t))) - chord, 0, np.pi, xtol=1e-13)
    assert_allclose(swing_of({**pedal, "travel": jobs.mm(chord)}).full, angle, atol=1e-9)


def test_travel_may_be_given_as_an_angle() -> None:
    pedal = {**jobs.clutch(), "travel_angle": "26.1 deg"}
    del pedal["travel"]
    assert_allclose(np.degrees(swing_of(pedal).full), 26.1, atol=1e-12)


@pytest.mark.parametrize("pedal", [jobs.clutch, jobs.brake, jobs.throttle])
def test_hanging_pads_go_forward_and_down(pedal: Maker) -> None:
    """All three stand behind their pivot, so forward on the arc is down as well."""
    rest, full = swing_of(pedal()).pads(np.array([0.0, 1.0]))
    assert full[0] < rest[0] - 30 and full[2] < rest[2] - 10
    assert abs(full[1] - rest[1]) < 1e-9


@pytest.mark.parametrize("pedal", [jobs.van_clutch, jobs.van_brake])
def test_floor_hinged_pads_go_forward_and_up(pedal: Maker) -> None:
    rest, full = swing_of(pedal()).pads(np.array([0.0, 1.0]))
    assert full[0] < rest[0] - 90 and full[2] > rest[2] + 40


def test_the_vans_clutch_pad_ends_53_higher() -> None:
    """Pad (156, 93), pivot (-20, -150) in the side view, 27 deg about it: (27, 146), as car B states."""
    full = swing_of(jobs.van_clutch()).pads(np.array([1.0]))[0]
    assert_allclose(full, [27, -104, 146], atol=0.5)
    radius, rest = np.hypot(176, 243), np.arctan2(243, 176)
    there = rest + 2 * np.arcsin(140 / 2 / radius)
    assert_allclose(full[[0, 2]], [-20 + radius * np.cos(there), -150 + radius * np.sin(there)], atol=1e-9)


def test_the_movement_runs_from_pulled_up_to_over_travel() -> None:
    tables = jobs.clutch(pulled_up="7 mm ± 0 mm", travel="140 mm ± 0 mm", over_travel="6 mm ± 0 mm")
    clutch = part(jobs.scene(jobs.bare(pedals=[tables])), "clutch").phases[0]
    assert isinstance(clutch.moves, Turn) and clutch.travel is not None
    radius = np.hypot(320 - 165, 174 + 95)
    assert_allclose(clutch.moves.start, -2 * np.arcsin(7 / 2 / radius), atol=1e-12)
    assert_allclose(clutch.moves.stop, 2 * np.arcsin(70 / radius) + 2 * np.arcsin(3 / radius), atol=1e-12)
    assert_allclose(clutch.travel.share(0.0), 0, atol=1e-12)
    assert_allclose(clutch.travel.share(2 * np.arcsin(70 / radius)), 1, atol=1e-12)
    assert clutch.travel.share(clutch.moves.start) < 0 < 1 < clutch.travel.share(clutch.moves.stop)
    assert_allclose(clutch.travel.radius_mm, radius, atol=1e-9)


def test_either_end_goes_farther_by_what_its_readings_may_be_off() -> None:
    """Each chord longer by its spread, by tape in a footwell 4 mm; two of them add as squares (JCGM 100, 5.1.2)."""
    how = swing_of(jobs.clutch(pulled_up="7 mm"))
    radius = np.hypot(320 - 165, 174 + 95)
    angles = {chord: 2 * np.arcsin(chord / 2 / radius) for chord in (6, 7, 10, 11, 140, 144)}
    assert_allclose(how.full, angles[140], atol=1e-12)
    assert_allclose(how.pulled_up, angles[11], atol=1e-12)
    beyond = np.hypot(angles[144] - angles[140], angles[10] - angles[6])
    assert_allclose(how.over_travel, angles[6] + beyond, atol=1e-12)
    assert_allclose(how.unsure, [angles[11] - angles[7], beyond], atol=1e-12)
    by_angle = {**jobs.clutch(over_travel="6 mm ± 0 mm"), "travel_angle": "26 deg ± 0.8 deg"}
    del by_angle["travel"]
    assert_allclose(swing_of(by_angle).over_travel - angles[6], np.radians(0.8), atol=1e-12)


def test_pulled_up_goes_the_other_way_than_over_travel() -> None:
    how = swing_of(jobs.clutch())
    up, rest, over = how.pads(np.array([how.shares[0], 0.0, how.shares[1]]))
    assert up[0] > rest[0] > over[0] and up[2] > rest[2] > over[2]


def test_the_movement_of_the_part_is_the_swing_of_the_pad() -> None:
    """The pad's metal, carried by scipy's turn about (165, 174) across the car, lands where the pad's centre goes."""
    scene = jobs.scene(jobs.bare(pedals=[jobs.clutch(side_wear="0 mm")]))
    clutch = part(scene, "clutch").phases[0]
    pad = piece(part(scene, "clutch"), "clutch pad").vertices
    angle = 2 * np.arcsin(70 / np.hypot(155, 269))
    for share in (0.0, 0.4, 1.0):
        expected = turned(pad, [165, 0, 174], [0, 1, 0], share * angle)
        assert_allclose(moved(pad, clutch, share), expected, atol=1e-9)


SHAFT = {"name": "pedal shaft", "dia": "22 mm"}


def test_pedals_on_a_shared_shaft_swing_about_its_axis() -> None:
    """A shaft 2 mm out of square: scipy's turn about it; the pad goes a little sideways, as it does in the car."""
    start, end = np.array([165.0, -111, 174]), np.array([167.0, 126, 174])
    shaft = {**SHAFT, "at": jobs.at(*start), "other_end": jobs.at(*end)}
    for maker in (jobs.clutch, jobs.brake):
        pedal = {**maker(), "pivot_shaft": "pedal shaft"}
        del pedal["pivot"]
        how = swing_of(pedal, pivot_shafts=[shaft])
        full = how.pads(np.array([1.0]))[0]
        assert_allclose(full, turned(how.pad, start, end - start, how.full), atol=1e-9)
        axis = (end - start) / np.linalg.norm(end - start)
        assert_allclose(how.radius_mm, np.linalg.norm(np.cross(how.pad - start, axis)), atol=1e-9)


def test_a_shaft_given_from_its_other_end_swings_the_same_way() -> None:
    ends = jobs.at(165, -111, 174), jobs.at(165, 126, 174)
    pedal = {**jobs.clutch(), "pivot_shaft": "pedal shaft"}
    del pedal["pivot"]
    pads = [
        swing_of(pedal, pivot_shafts=[{**SHAFT, "at": one, "other_end": other}]).pads(np.array([0.0, 1.0]))
        for one, other in (ends, ends[::-1])
    ]
    assert_allclose(pads[0], pads[1], atol=1e-9)


def test_a_pivot_out_of_square_by_two_places() -> None:
    pedal = jobs.clutch(pivot_to=jobs.at(165, 18, 176))
    how = swing_of(pedal)
    full = how.pads(np.array([1.0]))[0]
    assert_allclose(full, turned(how.pad, [165, -82, 174], [0, 100, 2], how.full), atol=1e-9)


def test_back_and_up_are_enough_for_a_pivot_square_across() -> None:
    one = swing_of(jobs.clutch(pivot=jobs.at(165, None, 174)))
    other = swing_of(jobs.clutch())
    assert_allclose(one.pads(np.array([0.3, 1.0])), other.pads(np.array([0.3, 1.0])), atol=1e-9)


FAULTS = [
    (jobs.clutch(pad=jobs.pad(jobs.at(470, -82, 174))), ("pad", "at"), "would not go forward when pressed"),
    (
        jobs.clutch(pad=jobs.pad(jobs.at(180, -82, 140))),
        ("pad", "at"),
        "37 mm .1 7/16 in. from its pivot's axis; one",
    ),
    (
        jobs.clutch(travel="600 mm"),
        ("travel",),
        "600 mm .23 5/8 in. is no travel for a pad 310 mm .12 1/4 in. from its pivot",
    ),
    (jobs.clutch(travel="-5 mm"), ("travel",), "-5 mm .-3/16 in. is no travel"),
    (jobs.clutch(travel="0 mm"), ("travel",), "a swing of 0 degrees is no pedal's; check it"),
    (jobs.clutch(over_travel="-1 mm"), ("over_travel",), "-1 mm .-1/16 in. is no travel"),
    (jobs.clutch(pulled_up="-1 mm"), ("pulled_up",), "-1 mm .-1/16 in. is no travel"),
    (jobs.clutch(travel="530 mm"), ("travel",), "a swing of 117 degrees|no travel"),
    (jobs.clutch(kind="floor-hinged"), ("kind",), "a floor-hinged pedal, yet its pad lies below its pivot; swapped"),
    (jobs.van_clutch(kind="hanging"), ("kind",), "a hanging pedal, yet its pad lies above its pivot; swapped"),
    (jobs.clutch(pivot_to=jobs.at(165, -82, 174)), ("pivot_to",), "the same place"),
]


@pytest.mark.parametrize(("pedal", "path", "words"), FAULTS)
def test_a_swing_that_no_pedal_makes_is_refused(pedal: jobs.Tables, path: tuple[str, ...], words: str) -> None:
    with pytest.raises(KeyFault, match=words) as caught:
        swing_of(pedal)
    assert caught.value.path == ("pedals", 0, *path)


def test_an_angle_that_no_pedal_swings_is_refused() -> None:
    pedal = {**jobs.clutch(), "travel_angle": "125 deg"}
    del pedal["travel"]
    with pytest.raises(KeyFault, match="a swing of 125 degrees is no pedal's") as caught:
        swing_of(pedal)
    assert caught.value.path == ("pedals", 0, "travel_angle")
