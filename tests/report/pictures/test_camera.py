"""Cameras: against closed forms, and against the drawing library's own projection."""

import numpy as np
import pytest

from fitcheck.geometry.frames import Vector, unit
from fitcheck.geometry.primitives import box
from fitcheck.report.pictures import opengl
from fitcheck.report.pictures.camera import AIMS, Camera, View, square_to
from fitcheck.report.pictures.overlay import TO_THE_DOOR, _told_apart
from fitcheck.report.pictures.render import Surface, rendered
from fitcheck.report.pictures.stage import Shell

VIEWS: tuple[View, ...] = ("driver", "side", "plan", "under-dash")


@pytest.mark.parametrize("view", VIEWS)
def test_everything_fitted_is_in_the_picture_and_touches_its_border(view: View) -> None:
    points = np.random.default_rng(3).uniform((-50, -300, -200), (600, 250, 400), (400, 3))
    camera = Camera.fitted(AIMS[view], points, 1000, 800)
    pixels = camera.pixels(points)
    assert (pixels >= 0).all()
    assert (pixels <= (1000, 800)).all()
    assert np.ptp(pixels / (1000, 800), axis=0).max() > 0.8


def test_a_flat_view_is_true_to_scale_and_shows_each_direction_where_it_belongs() -> None:
    """Side: forward is left, up is up. Plan: forward is up, driver's left is left."""
    points = np.array([[0.0, 0, 0], [100, 0, 0], [0, 100, 0], [0, 0, 100]])
    ways_of: dict[View, Vector] = {
        "side": np.array([[1, 0], [0, 0], [0, -1]]),
        "plan": np.array([[0, 1], [1, 0], [0, 0]]),
    }
    for view, ways in ways_of.items():
        camera = Camera.fitted(AIMS[view], points, 900, 900)
        assert camera.px_per_mm is not None
        pixels = camera.pixels(points)
        np.testing.assert_allclose((pixels[1:] - pixels[0]) / (100 * camera.px_per_mm), ways, atol=1e-9)


@pytest.mark.parametrize("slope_deg", [20.0, 28.0, 50.0, 65.0])
def test_lying_under_it_twelve_stays_up_and_nine_stands_where_three_was(slope_deg: float) -> None:
    """A column so far down forward: 12 o'clock is square to it and up, 9:00 the driver's left; seen up the column."""
    slope = np.radians(slope_deg)
    twelve, nine = np.array([-np.sin(slope), 0, np.cos(slope)]), np.array([0.0, -1, 0])
    camera = Camera.fitted(AIMS["under-dash"], np.random.default_rng(3).uniform(-100, 100, (9, 3)), 900, 900)
    (to_twelve, up, _), (to_nine, _, _) = camera.seen(twelve), camera.seen(nine)
    assert up < -0.7
    assert abs(to_twelve) < 0.3
    assert to_nine > 0.9
    assert camera.look @ [np.cos(slope), 0, np.sin(slope)] > 0.8
    for drive, way in (("left", 1), ("right", -1)):
        (door,) = (direction for direction, word in TO_THE_DOOR[drive] if word == "driver's door")
        assert camera.seen(door)[0] * way > 0.9


def test_the_detail_looks_square_to_any_gap() -> None:
    for normal in np.random.default_rng(5).normal(size=(200, 3)):
        aim = square_to(unit(normal))
        assert abs(unit(aim.look) @ unit(normal)) < 1e-9
        assert abs(unit(aim.look) @ np.array(aim.up)) < 0.9


@pytest.mark.opengl
@pytest.mark.parametrize("view", VIEWS)
def test_points_are_drawn_where_the_marks_are_put(view: View) -> None:
    """The middle of a small box as the drawing library shows it, against our own projection of its centre."""
    spots = np.array([[100.0, -80, 50], [300, 120, -60], [-20, 30, 260]])
    camera = Camera.fitted(AIMS[view], np.vstack([spots - 40.0, spots + 40.0]), 400, 300)
    with opengl.off_screen():
        for spot in spots:
            piece = box(spot - 6.0, spot + 6.0)
            image = rendered([Surface((Shell(piece.corners, piece.faces),), "#0000FF")], camera, "#FFFFFF")
            rows, columns = np.nonzero(image[:, :, 0] < 200)
            seen = np.array([columns.min() + columns.max() + 1, rows.min() + rows.max() + 1]) / 2
            np.testing.assert_allclose(seen, camera.pixels(spot[None])[0], atol=1.0)


def test_of_two_directions_that_lie_on_each_other_the_longer_is_drawn() -> None:
    """Lying under it forward and up are both up in the picture; square to each other both stay, and what is end on."""
    points = np.random.default_rng(3).uniform(-100, 100, (9, 3))
    words = {}
    for view in VIEWS:
        camera = Camera.fitted(AIMS[view], points, 900, 900)
        seen = [(camera.seen(direction), word) for direction, word in TO_THE_DOOR["left"]]
        words[view] = {word for _, word in _told_apart(seen)}
    assert words["under-dash"] == {"forward", "driver's door"}
    assert words["driver"] == {"up", "driver's door"}
    assert words["side"] == words["plan"] == {"forward", "driver's door", "up"}
