"""One shaded picture of a verdict: what stands where, and which pairs come closest, marked in the order of the trouble.

Reads a verdict and computes no gap. Car frame (back, right, up; mm) to pixels; returns the bytes of a PNG.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from io import BytesIO

import numpy as np

from fitcheck.errors import DrawingError
from fitcheck.geometry.frames import Vector
from fitcheck.placement.points import UP
from fitcheck.placement.scene import Kind, Part
from fitcheck.report import words
from fitcheck.report.pictures import overlay, palette
from fitcheck.report.pictures.camera import AIMS, Camera, View, square_to
from fitcheck.report.pictures.captions import beside_the_gaps, captions, corner, drawn_at, plain
from fitcheck.report.pictures.opengl import off_screen
from fitcheck.report.pictures.palette import LOOKS, SHAFT, look_of
from fitcheck.report.pictures.panel import Contents, panel
from fitcheck.report.pictures.render import Lines, Surface, rendered
from fitcheck.report.pictures.sheet import LINE, Box, Sheet
from fitcheck.report.pictures.stage import Mark, Shown, all_parts, drawn_shares, marks, outline, shown
from fitcheck.report.text import summary
from fitcheck.verdict import Verdict

SMALLEST, LARGEST = (800, 600), (6400, 4800)
FULL_SIZE = (1600, 1200)
PANEL_SHARE = 0.34
STRIP = 150  # height of what stands under the drawing, at full size
LONGEST_LABEL = 26
DETAIL_HALF_MM = 70.0
LEAST_DETAIL = 140
GHOSTS = " Faint: pedals at rest, at full travel and as far as they go beyond it."
FITTED = (Kind.UNIT, Kind.BRACKET, Kind.PEDAL, Kind.LINKAGE, Kind.BOOT)


def picture(verdict: Verdict, view: View, size: tuple[int, int] = FULL_SIZE, ends: bool = False) -> bytes:
    """PNG of `size` (width, height) pixels, from 800 x 600 to 6400 x 4800. Raises DrawingError.

    With `ends` pedals have ghosts at full travel and beyond it, besides those at rest.
    """
    checked(size)
    with off_screen():
        return as_png(page(verdict, view, size, ends), verdict)


def checked(size: tuple[int, int]) -> None:
    """Raises DrawingError for a size that no picture can have."""
    if not all(low <= got <= high for low, got, high in zip(SMALLEST, size, LARGEST, strict=True)):
        raise DrawingError(f"a picture of {size[0]} x {size[1]} pixels: it can be 800 x 600 to 6400 x 4800")


def page(verdict: Verdict, view: View, size: tuple[int, int], ends: bool = False) -> Sheet:
    """The finished page. Needs OpenGL at hand; raises DrawingError where nothing has been placed."""
    worst = marks(verdict)
    shares = drawn_shares(worst)
    parts = all_parts(verdict)
    stage = tuple(shown(parts, shares, ends))
    sheet = Sheet.blank(size, min(size[0] / FULL_SIZE[0], size[1] / FULL_SIZE[1]), palette.PAPER)
    left = size[0] - round(size[0] * PANEL_SHARE)
    said = contents(verdict, worst, parts, AIMS[view].words, shares)
    free = panel(sheet, left, said)
    scene = [*_models(stage), *_near(worst, shares)]
    camera = Camera.fitted(AIMS[view], _fitted(stage, worst), left, size[1] - sheet.px(STRIP))
    _paste(sheet, (0, 0), scene, camera)
    below = (0, camera.height, left, size[1])
    header = verdict.opened.job.job
    ways = overlay.TO_THE_DOOR[header.drive] if view == "under-dash" else overlay.DIRECTIONS
    overlay.strip(sheet, below, camera, _ghosts_told(said.drawn_at, ends), header.show, ways)
    overlay.marked(sheet, camera, worst, (0, 0, left, camera.height))
    overlay.named(sheet, camera, _names(stage, worst))
    if worst:
        _detail(sheet, free, worst[0])
    return sheet


def contents(
    verdict: Verdict, worst: tuple[Mark, ...], parts: Iterable[Part], view: str, shares: Mapping[str, float]
) -> Contents:
    """What the panel says, the marked pairs and the kinds of `parts` among it."""
    return Contents(
        name=plain(verdict.opened.job.job.name),
        outcome=verdict.outcome,
        said=words.outcome(verdict),
        summary=summary(verdict),
        beside=beside_the_gaps(verdict),
        view=view,
        captions=captions(worst, verdict),
        swatches=tuple((_colour(mark.sides[0].part), _colour(mark.sides[1].part)) for mark in worst),
        key=_key(parts),
        drawn_at=drawn_at(dict(shares), verdict),
        corner=corner(verdict),
    )


def _ghosts_told(drawn_at: str, ends: bool) -> str:
    return drawn_at.replace("Faint: at rest.", "").strip() + GHOSTS if ends and drawn_at else drawn_at


def _names(stage: tuple[Shown, ...], worst: tuple[Mark, ...]) -> tuple[overlay.Name, ...]:
    """Names to stand in the drawing, each beside its part: those of the marked pairs, and the pedals."""
    at: dict[str, overlay.Name] = {}
    for side in (side for mark in worst for side in mark.sides):
        spot = side.still.points.mean(axis=0)
        at.setdefault(side.part.name, overlay.Name(plain(side.part.name, LONGEST_LABEL), spot, _colour(side.part)))
    for each in stage:
        if each.part.kind is Kind.PEDAL and not each.ghost:
            lowest = min((shell.points.mean(axis=0) for shell in each.shells), key=lambda point: float(point @ UP))
            at[each.part.name] = overlay.Name(plain(each.part.name, LONGEST_LABEL), lowest, _colour(each.part))
    return tuple(at.values())


def _detail(sheet: Sheet, box: Box, mark: Mark) -> None:
    """The worst pair alone, seen square to its gap."""
    title = sheet.px(15)
    left, top = round(box[0]), round(box[1] + LINE * title + sheet.px(14))
    width, height = round(box[2]) - left, round(box[3]) - top
    if height < sheet.px(LEAST_DETAIL):
        return
    gap = mark.closest.gap
    aside = square_to(gap.normal)
    half = max(DETAIL_HALF_MM, 0.8 * gap.gap_mm)
    middle = mark.spots.mean(axis=0)
    reach = np.vstack([middle + half * axis for axis in (*np.eye(3), *-np.eye(3))])
    camera = replace(Camera.fitted(aside, reach, width, height), half_mm=half)
    sheet.write((box[0], box[1] + sheet.px(8)), f"Detail of {mark.number}, {aside.words}", title, bold=True)
    _paste(sheet, (left, top), [*_pair(mark)], camera)
    overlay.marked(sheet, camera, (mark,), (left, top, left + width, top + height))


def _paste(sheet: Sheet, at: tuple[int, int], models: list[Surface | Lines], camera: Camera) -> None:
    from PIL import Image

    sheet.image.paste(Image.fromarray(rendered(models, camera, palette.PAPER)), at)


def _models(stage: tuple[Shown, ...]) -> Iterator[Surface | Lines]:
    for each in stage:
        look = palette.look(each)
        if each.ghost:
            yield Surface(each.shells, look.colour, palette.GHOST_OPACITY * look.opacity)
            yield Lines(outline(each.shells), palette.FAINT, 1.0, 0.35)
            continue
        yield Surface(each.seen, look.colour, look.opacity)
        yield Lines(outline(each.shells), palette.INK, 1.2, 0.85 if look.opacity == 1 else 0.4)


def _near(worst: tuple[Mark, ...], shares: Mapping[str, float]) -> Iterator[Lines]:
    """Edges of the worst pair's two pieces, and of those of the others that are not drawn where they come closest."""
    for mark in worst:
        elsewhere = any(shares[pedal] != share for pedal, share in mark.closest.at_travel.items())
        if mark.number == 1 or elsewhere:
            edges = outline(side.still for side in mark.sides)
            yield Lines(edges, palette.RESULT_COLOURS[mark.entry.result], 3.0 if mark.number == 1 else 1.5)


def _pair(mark: Mark) -> Iterator[Surface | Lines]:
    """The two parts where they come closest; where they meet, seen through, so that the one shows inside the other."""
    opacity = 0.6 if mark.closest.gap.gap_mm == 0 else 1.0
    for side in mark.sides:
        yield Surface((side.near,), _colour(side.part), opacity)
        yield Lines(outline((side.near,)), palette.INK, 1.6, 0.9)
        others = tuple(shell for shell in side.shells if shell is not side.near)
        yield Surface(others, _colour(side.part), 0.15)
        yield Lines(outline(others), palette.FAINT, 1.0, 0.35)


def _fitted(stage: tuple[Shown, ...], worst: tuple[Mark, ...]) -> Vector:
    """Points (n, 3) that must be in the picture; raises DrawingError where nothing has been placed."""
    wanted = [each for each in stage if each.part.kind in FITTED or each.part.as_measured] or list(stage)
    if not wanted:
        raise DrawingError("no picture: no part of this job can be placed yet; the check says what to measure")
    return np.vstack([*(shell.points for each in wanted for shell in each.shells), *(mark.spots for mark in worst)])


def _colour(part: Part) -> str:
    return look_of(part).colour


def _key(parts: Iterable[Part]) -> tuple[tuple[str, str], ...]:
    """Colour and word of the kinds there are, each once."""
    there = {look_of(part) for part in parts}
    looks = (each for each in (*LOOKS.values(), SHAFT) if each in there)
    return tuple(dict.fromkeys((each.colour, each.word) for each in looks))


def as_png(sheet: Sheet, verdict: Verdict) -> bytes:
    """The page as a PNG that names the job file's digest."""
    from PIL.PngImagePlugin import PngInfo

    about = PngInfo()
    about.add_text("Source", f"fitcheck, job file SHA-256 {verdict.opened.digest}")
    out = BytesIO()
    sheet.image.save(out, "PNG", pnginfo=about)
    return out.getvalue()
