"""The mock-up in a window: sliders for clock, place and each pedal, the line and the number of the nearest pair.

Every number shown is asked of the engine for the very place shown. Clock in rad, place in mm from the hub seat, travel
as a share; car frame. OpenGL is known to work.
"""

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from math import degrees, radians
from typing import Any

import numpy as np

from fitcheck.clearance.at_travel import Nearest
from fitcheck.clearance.over_travel import travels
from fitcheck.clearance.turned import Turned
from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Vector
from fitcheck.placement.scene import Kind, Scene
from fitcheck.report import words
from fitcheck.report.pictures import palette
from fitcheck.report.pictures.camera import AIMS, FULL_ANGLE, Camera, View
from fitcheck.report.pictures.captions import NOT_AN_APPROVAL, plain
from fitcheck.report.pictures.render import PEELS, Surface, mesh_of, quiet_pyvista
from fitcheck.report.pictures.stage import Shown, all_parts, shown
from fitcheck.report.window.said import KEYS, NOT_ALLOWED, said
from fitcheck.verdict import Verdict

SIZE = (1280, 800)
LEFT, WIDE, TOP, STEP = 0.02, 0.24, 0.76, 0.115  # of the window: sliders
FIRST_LINE, LAST_LINE = (0.01, 0.86), (0.01, 0.01)  # of the window: what is written above and below
BALL_MM, ROD_MM = 5.0, 1.6
IN_FRONT = -66000  # of the depth there is: before whatever stands between the eye and the closest points
BACK_OFF = 0.3  # of the way to what is looked at: room for sliders and words
FITTED = (Kind.UNIT, Kind.BRACKET, Kind.PEDAL, Kind.LINKAGE)
VIEW_KEYS: dict[str, View] = {"d": "driver", "l": "side", "u": "under-dash"}


class Window:
    """The mock-up of a verdict; `show` opens it, the rest works off-screen too.

    `clock`, `place_mm` and `shares` say where unit and pedals stand; `nearest` is the pair nearest to its limit there,
    `words` what the window says.
    """

    def __init__(self, verdict: Verdict, turned: Turned, off_screen: bool = False) -> None:
        self._verdict, self._turned = verdict, turned
        self.clock, self.place_mm = verdict.scene.setting.clock, verdict.scene.setting.input_face_mm
        self.shares = {travel.pedal: 0.0 for travel in travels(verdict.scene)}
        self.nearest: Nearest | None = None
        self.words = ""
        self.sliders: dict[str, Any] = {}
        self._drawn: dict[str, tuple[object, float]] = {}
        self._pyvista = quiet_pyvista()
        self.plotter = self._pyvista.Plotter(
            off_screen=off_screen, window_size=list(SIZE), lighting="light kit", title="fitcheck"
        )
        self.plotter.set_background(palette.PAPER)
        self.plotter.disable_anti_aliasing()  # with it nothing that is seen through would be drawn
        self.plotter.enable_depth_peeling(number_of_peels=PEELS)
        name = plain(verdict.opened.job.job.name, 60)
        foot = f"{name}: job {verdict.opened.digest[:12]}; {NOT_AN_APPROVAL}\n{KEYS}"
        self._write("foot", foot, LAST_LINE)
        self._look("side")
        self._controls()
        self.update()

    def show(self) -> None:
        """Opens the window and waits until it is closed."""
        self.plotter.show()

    def clock_to(self, deg: float) -> None:
        """The motor to `deg` clockwise from 12, seen from the seat."""
        self._unit_to(radians(deg), self.place_mm)

    def place_to(self, mm: float) -> None:
        """The input face to `mm` from the hub seat."""
        self._unit_to(self.clock, mm)

    def pedal_to(self, pedal: str, share: float) -> None:
        """One pedal to a share of its travel."""
        self.shares[pedal] = share
        self.update()

    def own(self) -> None:
        """The unit back to where the job has it."""
        at = self._verdict.scene.setting
        self._unit_to(at.clock, at.input_face_mm)

    def worst(self) -> None:
        """The pedals to where, over their full travel, the pair nearest to its limit stands nearest."""
        found = self._turned.nearest(self.clock, self.place_mm, {})
        if found is not None:
            self.shares.update(found.at_travel)
        self.update()

    def update(self) -> None:
        """Draws everything as it stands now, and asks for the nearest pair."""
        scene = self._turned.scene(self.clock, self.place_mm)
        self.nearest = self._turned.nearest(self.clock, self.place_mm, self.shares)
        self._draw_parts(scene)
        self._draw_line()
        show, unsettled = self._verdict.opened.job.job.show, words.open_still(self._verdict)
        self.words = said(self.nearest, scene, self.shares, show, unsettled)
        if not self._turned.allows(self.clock):
            self.words += f"\n{NOT_ALLOWED}"
        self._write("said", self.words, FIRST_LINE)
        for key, value in self._values().items():
            if key in self.sliders:
                self.sliders[key].GetRepresentation().SetValue(value)
        self.plotter.renderer.ResetCameraClippingRange()
        self.plotter.render()

    def _unit_to(self, clock: float, place_mm: float) -> None:
        try:
            self._turned.scene(clock, place_mm)
        except KeyFault as error:
            self.words = plain(f"The unit cannot sit there: {error.message}", 200)
            self._write("said", self.words, FIRST_LINE)
            return
        self.clock, self.place_mm = clock, place_mm
        self.update()

    def _values(self) -> dict[str, float]:
        return {"clock": degrees(self.clock), "place": self.place_mm} | {
            f"pedal {pedal}": 100 * share for pedal, share in self.shares.items()
        }

    def _controls(self) -> None:
        there = self._turned.allowed
        self._slider("clock", "motor points to, degrees from 12", (0.0, 360.0), self.clock_to)
        self._slider("place", "input face, mm from hub seat", (there.low_mm, there.high_mm), self.place_to)
        for travel in travels(self._verdict.scene):
            span = 100 * min(travel.shares), 100 * max(travel.shares)
            name = plain(travel.pedal, 24)
            self._slider(f"pedal {travel.pedal}", f"{name}, % of travel", span, partial(self._percent, travel.pedal))
        for key, act in (
            ("t", self.worst),
            ("o", self.own),
            *((k, partial(self._look, v)) for k, v in VIEW_KEYS.items()),
        ):
            self.plotter.add_key_event(key, act)

    def _percent(self, pedal: str, percent: float) -> None:
        self.pedal_to(pedal, percent / 100)

    def _slider(self, key: str, title: str, span: tuple[float, float], moved: Callable[[float], None]) -> None:
        height = TOP - STEP * len(self.sliders)
        slider = self.plotter.add_slider_widget(
            lambda value: moved(value) if key in self.sliders else None,
            span,
            value=self._values()[key],
            title=title,
            pointa=(LEFT, height),
            pointb=(LEFT + WIDE, height),
            color=palette.INK,
            title_height=0.018,
            title_color=palette.INK,
            fmt="%.1f" if key == "place" else "%.0f",
            slider_width=0.02,
            tube_width=0.004,
            interaction_event="always",
        )
        slider.GetRepresentation().SetLabelHeight(0.016)
        self.sliders[key] = slider

    def _draw_parts(self, scene: Scene) -> None:
        """Each part anew where it was made anew or its pedal has moved."""
        for part in all_parts(self._verdict, scene):
            share = 0.0 if part.driven_by is None else self.shares.get(part.driven_by, 0.0)
            if self._drawn.get(part.name) == (part, share):
                continue
            self._drawn[part.name] = part, share
            one = next(iter(shown([part], self.shares)))
            look = palette.look(one)
            surface = Surface(one.seen, look.colour, look.opacity)
            self.plotter.add_mesh(
                mesh_of(self._pyvista, surface),
                name=f"part {part.name}",
                color=surface.colour,
                opacity=surface.opacity,
                smooth_shading=True,
                ambient=0.42,
                diffuse=0.62,
                specular=0.08,
                reset_camera=False,
                render=False,
            )

    def _draw_line(self) -> None:
        """Balls at the closest points and a rod between them, in the colour of their result, seen through parts."""
        self.plotter.remove_actor("line", render=False)
        if self.nearest is None:
            return
        gap, found = self.nearest.gap, self.nearest
        a, b = gap.on_a, gap.on_b
        lot = [self._pyvista.Sphere(radius=BALL_MM, center=tuple(end)) for end in (a, b)]
        if float(np.linalg.norm(b - a)) > ROD_MM:
            lot.append(self._pyvista.Tube(pointa=tuple(a), pointb=tuple(b), radius=ROD_MM))
        colour = palette.VERMILION if found.margin_mm < 0 else palette.GREEN
        actor = self.plotter.add_mesh(
            self._pyvista.merge(lot), name="line", color=colour, ambient=0.7, reset_camera=False, render=False
        )
        actor.mapper.SetResolveCoincidentTopologyToPolygonOffset()
        actor.mapper.SetRelativeCoincidentTopologyPolygonOffsetParameters(0, IN_FRONT)

    def _write(self, name: str, text: str, place: tuple[float, float]) -> None:
        self.plotter.add_text(
            text, position=place, viewport=True, font_size=9, color=palette.INK, name=name, render=False
        )

    def _look(self, view: View) -> None:
        stage = list(shown(all_parts(self._verdict, self._verdict.scene), {}))
        aim = replace(AIMS[view], flat=False)
        camera = Camera.fitted(aim, _near(stage), *SIZE)
        middle = (_near(stage).max(axis=0) + _near(stage).min(axis=0)) / 2
        self.plotter.camera.position = tuple(camera.eye - BACK_OFF * (middle - camera.eye))
        self.plotter.camera.focal_point = tuple(middle)
        self.plotter.camera.up = tuple(camera.up)
        self.plotter.camera.view_angle = degrees(FULL_ANGLE)
        self.plotter.renderer.ResetCameraClippingRange()


def _near(stage: list[Shown]) -> Vector:
    """Points (n, 3) to look at: what turns and what swings, else everything."""
    wanted = [one for one in stage if one.part.kind in FITTED] or stage
    return np.vstack([shell.points for one in wanted for shell in one.shells])
