"""A section square to the column as a picture: what the plane cuts, filled, so that the clearance is seen.

Seen from the seat looking down the column: 12 o'clock up, 3 o'clock to the right. It needs no OpenGL. Car frame, mm.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from fitcheck.errors import DrawingError
from fitcheck.geometry.frames import Frame, Vector
from fitcheck.placement.column import ColumnAxis
from fitcheck.placement.scene import Kind, Part
from fitcheck.report import words
from fitcheck.report.pictures import hatching, overlay, palette
from fitcheck.report.pictures.camera import ROOM_LEFT, Camera
from fitcheck.report.pictures.captions import plain
from fitcheck.report.pictures.cutting import Face, area_of, faces_at
from fitcheck.report.pictures.panel import Contents, panel
from fitcheck.report.pictures.picture import FULL_SIZE, PANEL_SHARE, STRIP, as_png, checked, contents
from fitcheck.report.pictures.sheet import LINE, Box, Sheet
from fitcheck.report.pictures.stage import (
    AT_REST,
    FULL,
    OVER,
    Mark,
    Side,
    all_parts,
    drawn_shares,
    marks,
    shown,
)
from fitcheck.verdict import Verdict

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

SEEN_FROM_MM, SEEN_TO_MM = 120.0, 230.0  # half the height of the drawing, at least and at most
NEAR_PLANE_MM = 10.0  # a pair is marked where both its closest points lie as near to the plane
DETAIL_HALF_MM, LEAST_DETAIL = 32.0, 140
FITTED = (Kind.UNIT, Kind.BRACKET, Kind.COLUMN)
GHOST_DASHES = {AT_REST: (9, 5), FULL: (14, 4, 3, 4), OVER: (3, 4)}
DASHES_SAID = {AT_REST: "at rest (- - -)", FULL: "at full travel (- . -)", OVER: "beyond it (...)"}
OWN_DASH = (5, 3)
IN_PLANE_MM = 3.0  # closest points as near to one plane count as lying in it
SHORT_MM = 1.0  # a cut that ends so far from the closest point does not show it
ALONG_SHARE = 0.3  # of a gap: what is seen of it where it runs along the column
INSIDE_MM = 0.5  # a cut through a part's closest point goes so far inside the part
ELSEWHERE = "None of the three worst pairs comes closest near this plane; see the text of the check."


def section(verdict: Verdict, at_mm: float | None, grey: bool, ends: bool, size: tuple[int, int] = FULL_SIZE) -> bytes:
    """PNG of a section `at_mm` from the hub seat, else through the closest points of the worst pair.

    `grey`: black on white. `ends`: ghosts of pedals at rest, at full travel and beyond it. Raises DrawingError where
    there is nothing to cut.
    """
    checked(size)
    return as_png(page(verdict, at_mm, grey, ends, size), verdict)


def page(verdict: Verdict, at_mm: float | None, grey: bool, ends: bool, size: tuple[int, int]) -> Sheet:
    """The finished page."""
    frame, worst = ColumnAxis(verdict.opened.job).column2car, marks(verdict)
    along = _along(frame, worst, at_mm)
    shares, parts = drawn_shares(worst), all_parts(verdict)
    faces = tuple(faces_at(shown(parts, shares, ends), frame, along))
    if not faces:
        show = verdict.opened.job.job.show
        raise DrawingError(f"no section: nothing stands {words.size(along, show)} from the hub seat; see --at")
    near = tuple(mark for mark in worst if max(map(abs, _off(frame, mark, along))) <= NEAR_PLANE_MM or at_mm is None)
    near = near[:1] if at_mm is None else near
    sheet = Sheet.blank(size, min(size[0] / FULL_SIZE[0], size[1] / FULL_SIZE[1]), palette.PAPER)
    left = size[0] - round(size[0] * PANEL_SHARE)
    cut = [face.of.part for face in faces]
    free = panel(sheet, left, _contents(verdict, near, cut, along, shares, grey))
    camera = _camera(faces, frame, along, near, left, size[1] - sheet.px(STRIP))
    drawn = (0, 0, left, camera.height)
    _draw(sheet, faces, near, frame, along, camera, drawn, grey)
    header = verdict.opened.job.job
    below = (0, camera.height, left, size[1])
    overlay.strip(sheet, below, camera, _told(verdict, frame, near, along, faces), header.show, _clock(frame))
    overlay.marked(sheet, camera, near, drawn)
    overlay.named(sheet, camera, tuple(_names(faces, frame, along, camera)))
    if near:
        _detail(sheet, free, faces, near[0], frame, along, grey)
    if grey:
        sheet.image.paste(sheet.image.convert("L").convert("RGB"))
    return sheet


def _along(frame: Frame, worst: tuple[Mark, ...], at_mm: float | None) -> float:
    if at_mm is not None:
        return at_mm
    if not worst:
        raise DrawingError("no section: no pair has closest points yet; say where with --at, as in --at '17 in'")
    ends = frame.inverse.points(worst[0].spots)[:, 2]
    return float(ends.mean()) if np.ptp(ends) <= 2 * IN_PLANE_MM else _own_along(frame, worst[0], 0)


def _own_along(frame: Frame, mark: Mark, side: int) -> float:
    """How far along one of a mark's closest points lies, a little way into its part."""
    points = frame.inverse.points(mark.sides[side].near.points)[:, 2]
    at = float(frame.inverse.points(mark.spots)[side, 2])
    return float(
        np.clip(at, min(points.min() + INSIDE_MM, at + INSIDE_MM), max(points.max() - INSIDE_MM, at - INSIDE_MM))
    )


def _off(frame: Frame, mark: Mark, along: float) -> list[float]:
    """How far a mark's two points lie beyond the plane, toward the rack."""
    return [float(z) - along for z in frame.inverse.points(mark.spots)[:, 2]]


def _camera(
    faces: tuple[Face, ...], frame: Frame, along: float, near: tuple[Mark, ...], width: int, height: int
) -> Camera:
    """Looks down the column, the axis in the middle, near enough to see what is about it."""
    reach = [abs(x) for face in faces if face.of.part.kind in FITTED for x in face.area.bounds]
    reach += (
        np.abs(np.vstack([frame.inverse.points(mark.spots)[:, :2] for mark in near])).ravel().tolist() if near else []
    )
    half = float(np.clip(ROOM_LEFT * max(reach, default=SEEN_FROM_MM), SEEN_FROM_MM, SEEN_TO_MM))
    eye = frame.points(np.array([0.0, 0.0, along - 1000.0]))
    x, y, z = frame.rotation.T
    return Camera(eye, y, x, z, width, height, half * max(1.0, height / width))


def _draw(
    sheet: Sheet,
    faces: tuple[Face, ...],
    near: tuple[Mark, ...],
    frame: Frame,
    along: float,
    camera: Camera,
    within: Box,
    grey: bool,
) -> None:
    """Solid faces first, the column last, then ghosts, then where someone pulling the wheel takes the worst pair."""
    solid = [face for face in faces if not face.of.ghost]
    for face in sorted(
        solid, key=lambda face: (face.of.part.kind is not Kind.OBSTACLE, face.of.part.kind is Kind.COLUMN)
    ):
        look = palette.look_of(face.of.part)
        hatching.filled(sheet, _pixels(face.area, frame, along, camera, within), look, within, grey)
    for face in faces:
        if face.of.ghost:
            rings = _pixels(face.area, frame, along, camera, within)
            hatching.dashed(sheet, rings, palette.FAINT, GHOST_DASHES[face.of.at], within)
    for mark in near:
        for own, side in _dashed_sides(frame, mark, along):
            rings = _pixels(area_of(side.part, (side.near,), frame, own), frame, own, camera, within)
            hatching.dashed(sheet, rings, palette.RESULT_COLOURS[mark.entry.result], OWN_DASH, within)


def _dashed_sides(frame: Frame, mark: Mark, along: float) -> Iterator[tuple[float, Side]]:
    """Sides of a mark whose closest place the filled faces do not show: pulled, or off the plane; and how far along.

    Near the plane too, where what the plane cuts of the side's piece ends short of its closest point.
    """
    import shapely

    for number, side in enumerate(mark.sides):
        own = _own_along(frame, mark, number)
        x, y, _ = frame.inverse.points(mark.spots)[number]
        cut = area_of(side.part, (side.near,), frame, along)
        if abs(own - along) > IN_PLANE_MM or cut.is_empty or cut.distance(shapely.Point(y, x)) > SHORT_MM:
            yield own, side
        elif side.is_pulled:
            yield along, side


def _pixels(area: "BaseGeometry", frame: Frame, along: float, camera: Camera, within: Box) -> list[hatching.Rings]:
    """Outlines of the areas, holes after them; of what is no area its lines."""
    found = []
    for one in getattr(area, "geoms", [area]):
        rings = [one.exterior, *one.interiors] if one.geom_type == "Polygon" else [one]
        found.append([_seen(np.array(ring.coords), frame, along, camera, within) for ring in rings if len(ring.coords)])
    return found


def _seen(flat: Vector, frame: Frame, along: float, camera: Camera, within: Box) -> Vector:
    there = np.column_stack([flat[:, 1], flat[:, 0], np.full(len(flat), along)])
    return np.asarray(camera.pixels(frame.points(there)) + np.array(within[:2]))


def _names(faces: tuple[Face, ...], frame: Frame, along: float, camera: Camera) -> Iterator[overlay.Name]:
    """Names of what is seen, each in the part of its face that the column does not cover."""
    import shapely

    high = camera.half_mm or SEEN_TO_MM
    window = shapely.box(-high * camera.width / camera.height, -high, high * camera.width / camera.height, high)
    column = shapely.union_all([face.area for face in faces if face.of.part.kind is Kind.COLUMN])
    for face in faces:
        part, seen = face.of.part, face.area.intersection(window)
        open_ = seen if part.kind is Kind.COLUMN or seen.difference(column).is_empty else seen.difference(column)
        if face.of.ghost or open_.is_empty:
            continue
        point = open_.representative_point()
        at = frame.points(np.array([point.y, point.x, along]))
        yield overlay.Name(plain(part.name, 26), at, palette.look_of(part).colour)


def _clock(frame: Frame) -> overlay.Ways:
    return ((frame.rotation[:, 0], "12"), (frame.rotation[:, 1], "3"), (-frame.rotation[:, 1], "9"))


def _contents(
    verdict: Verdict, near: tuple[Mark, ...], cut: list[Part], along: float, shares: dict[str, float], grey: bool
) -> Contents:
    """What the panel says; nothing is seen through here, and without colour there is no key to it."""
    where = words.size(along, verdict.opened.job.job.show)
    view = f"section square to the column, {where} from the hub seat, seen from the driver's seat"
    said = contents(verdict, near, cut, view, shares)
    key = () if grey else tuple((colour, word.removesuffix(" (seen through)")) for colour, word in said.key)
    return replace(said, key=key, nothing=ELSEWHERE)


def _told(verdict: Verdict, frame: Frame, near: tuple[Mark, ...], along: float, faces: tuple[Face, ...]) -> str:
    """How far the closest points lie off the plane, and what the dashed lines are."""
    show, told = verdict.opened.job.job.show, []
    if near:
        away = max(map(abs, _off(frame, near[0], along)))
        off = f"{words.size(away, show)} off this plane"
        said = "lie in this plane" if away < 0.5 else f"lie {off}, drawn on to it"
        dot = f"The gap of {near[0].number} runs along the column, up to {off}: a dot here. See --view side."
        told.append(dot if _runs_along(frame, near[0]) else f"The closest points {said}; the gap told is the true one.")
    dashed = [at for at in GHOST_DASHES if any(face.of.ghost and face.of.at == at for face in faces)]
    if dashed:
        told.append(f"Thin dashes: pedals {', '.join(DASHES_SAID[at] for at in dashed)}.")
    if any(True for mark in near for _ in _dashed_sides(frame, mark, along)):
        told.append(f"Short dashes: the pair where it comes closest{_pulled(near)}.")
    return " ".join(told)


def _runs_along(frame: Frame, mark: Mark) -> bool:
    """Whether so much of a mark's line runs along the column that a plane square to it shows next to nothing of it."""
    a, b = frame.inverse.points(mark.spots)
    return bool(np.hypot(*(b - a)[:2]) < ALONG_SHARE * np.linalg.norm(b - a))


def _pulled(near: tuple[Mark, ...]) -> str:
    return ", someone pulling the wheel" if any(mark.is_pulled for mark in near) else ""


def _detail(
    sheet: Sheet, box: Box, faces: tuple[Face, ...], mark: Mark, frame: Frame, along: float, grey: bool
) -> None:
    """The same about the closest points, larger."""
    title = sheet.px(15)
    left, top = round(box[0]), round(box[1] + LINE * title + sheet.px(14))
    width, height = round(box[2]) - left, round(box[3]) - top
    if height < sheet.px(LEAST_DETAIL):
        return
    half = max(DETAIL_HALF_MM, 0.8 * mark.closest.gap.gap_mm)
    spot = frame.inverse.points(mark.spots.mean(axis=0))
    eye = frame.points(np.array([spot[0], spot[1], along - 1000.0]))
    x, y, z = frame.rotation.T
    camera = Camera(eye, y, x, z, width, height, half)
    sheet.write((box[0], box[1] + sheet.px(8)), f"Detail of {mark.number}, the same section", title, bold=True)
    within = (left, top, left + width, top + height)
    _draw(sheet, faces, (mark,), frame, along, camera, within, grey)
    overlay.marked(sheet, camera, (mark,), within)
