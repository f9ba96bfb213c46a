"""One shaded picture of a verdict: what stands where, and which pairs come closest, marked in the order of the trouble.

Reads a verdict and computes no gap. Car frame (back, right, up; mm) to pixels; returns the bytes of a PNG.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from io import BytesIO

import numpy as np

from fitcheck.errors import DrawingError
from fitcheck.geometry.frames import Vector
from fitcheck.placement.points import UP
from fitcheck.placement.scene import Kind, Part
from fitcheck.report import overlay, palette
from fitcheck.report.camera import AIMS, Aim, Camera, View, square_to
from fitcheck.report.captions import captions, corner, drawn_at, plain
from fitcheck.report.opengl import off_screen
from fitcheck.report.palette import LOOKS
from fitcheck.report.panel import Contents, panel
from fitcheck.report.render import Lines, Surface, rendered
from fitcheck.report.sheet import LINE, Box, Sheet
from fitcheck.report.stage import Mark, Shown, drawn_shares, marks, outline, shown
from fitcheck.report.text import summary
from fitcheck.verdict import Verdict

SMALLEST, LARGEST = (800, 600), (6400, 4800)
FULL_SIZE = (1600, 1200)
PANEL_SHARE = 0.34
STRIP = 150  # height of what stands under the drawing, at full size
LONGEST_LABEL = 26
DETAIL_HALF_MM = 70.0
LEAST_DETAIL = 140
FITTED = (Kind.UNIT, Kind.BRACKET, Kind.PEDAL, Kind.LINKAGE, Kind.BOOT)


def picture(verdict: Verdict, view: View, size: tuple[int, int] = FULL_SIZE) -> bytes:
    """PNG of `size` (width, height) pixels, from 800 x 600 to 6400 x 4800. Raises DrawingError."""
    if not all(low <= got <= high for low, got, high in zip(SMALLEST, size, LARGEST, strict=True)):
        raise DrawingError(f"a picture of {size[0]} x {size[1]} pixels: it can be 800 x 600 to 6400 x 4800")
    with off_screen():
        return _png(_page(verdict, view, size), verdict)


def _page(verdict: Verdict, view: View, size: tuple[int, int]) -> Sheet:
    worst = marks(verdict)
    shares = drawn_shares(worst)
    stage = tuple(shown(verdict.scene.parts, shares))
    sheet = Sheet.blank(size, min(size[0] / FULL_SIZE[0], size[1] / FULL_SIZE[1]), palette.PAPER)
    left = size[0] - round(size[0] * PANEL_SHARE)
    contents = Contents(
        name=plain(verdict.opened.job.job.name),
        outcome=verdict.outcome,
        summary=summary(verdict),
        view=AIMS[view].words,
        captions=captions(worst, verdict),
        swatches=tuple((LOOKS[mark.a.kind].colour, LOOKS[mark.b.kind].colour) for mark in worst),
        key=_key(verdict.scene.parts),
        drawn_at=drawn_at(shares, verdict),
        corner=corner(verdict),
    )
    free = panel(sheet, left, contents)
    _main(sheet, left, verdict, AIMS[view], worst, stage, contents.drawn_at)
    if worst:
        _detail(sheet, free, worst[0])
    return sheet


def _main(
    sheet: Sheet, width: int, verdict: Verdict, aim: Aim, worst: tuple[Mark, ...], stage: tuple[Shown, ...], at: str
) -> None:
    """The drawing itself, with its marks and, under it, which way is which."""
    edge = sheet.px(12)
    height = sheet.image.height - sheet.px(STRIP)
    camera = Camera.fitted(aim, _fitted(stage, worst), width, height)
    _paste(sheet, (0, 0), [*_models(stage), *_near(worst)], camera, palette.PAPER)
    overlay.strip(sheet, (0, height, width, sheet.image.height), camera, at, verdict.opened.job.job.show)
    within = (edge, edge, width - edge, height - edge)
    overlay.marked(sheet, camera, worst, within)
    overlay.named(sheet, camera, _names(stage, worst), within)


def _names(stage: tuple[Shown, ...], worst: tuple[Mark, ...]) -> dict[str, Vector]:
    """Names to stand in the drawing, each with the point (3,) it belongs to: the marked parts and the pedals."""
    at: dict[str, Vector] = {}
    for mark in worst:
        for part, shell in zip((mark.a, mark.b), mark.near_shells, strict=True):
            at.setdefault(part.name, shell.points.mean(axis=0))
    for each in stage:
        if each.part.kind is Kind.PEDAL and not each.ghost:
            at[each.part.name] = min((shell.points.mean(axis=0) for shell in each.shells), key=lambda point: point @ UP)
    return {plain(name, LONGEST_LABEL): point for name, point in at.items()}


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
    middle = (gap.on_a + gap.on_b) / 2
    reach = np.vstack([middle + side * half * axis for side in (-1, 1) for axis in np.eye(3)])
    camera = replace(Camera.fitted(aside, reach, width, height), half_mm=half)
    sheet.write((box[0], box[1] + sheet.px(8)), f"Detail of {mark.number}, {aside.words}", title, bold=True)
    _paste(sheet, (left, top), [*_pair(mark)], camera, palette.PAPER)
    overlay.marked(sheet, camera, (mark,), (left, top, left + width, top + height))


def _paste(sheet: Sheet, at: tuple[int, int], models: list[Surface | Lines], camera: Camera, background: str) -> None:
    from PIL import Image

    sheet.image.paste(Image.fromarray(rendered(models, camera, background)), at)


def _models(stage: tuple[Shown, ...]) -> Iterator[Surface | Lines]:
    for each in stage:
        look = palette.look(each)
        if each.ghost:
            yield Surface(each.shells, look.colour, palette.GHOST_OPACITY * look.opacity)
            yield Lines(outline(each.shells), palette.FAINT, 1.0, 0.35)
            continue
        yield Surface(each.seen, look.colour, look.opacity)
        yield Lines(outline(each.shells), palette.INK, 1.2, 0.85 if look.opacity == 1 else 0.4)


def _near(worst: tuple[Mark, ...]) -> Iterator[Lines]:
    """Edges of the two pieces of each marked pair, where they come closest."""
    for mark in worst[:1]:
        yield Lines(outline(mark.near_shells), palette.RESULT_COLOURS[mark.entry.result], 3.0)


def _pair(mark: Mark) -> Iterator[Surface | Lines]:
    """The two parts where they come closest; where they meet, seen through, so that the one shows inside the other."""
    opacity = 0.6 if mark.closest.gap.gap_mm == 0 else 1.0
    sides = ((mark.a, mark.a_shells), (mark.b, mark.b_shells))
    for (part, shells), near in zip(sides, mark.near_shells, strict=True):
        yield Surface((near,), LOOKS[part.kind].colour, opacity)
        yield Lines(outline((near,)), palette.INK, 1.6, 0.9)
        others = tuple(shell for shell in shells if shell is not near)
        yield Surface(others, LOOKS[part.kind].colour, 0.15)
        yield Lines(outline(others), palette.FAINT, 1.0, 0.35)


def _fitted(stage: tuple[Shown, ...], worst: tuple[Mark, ...]) -> Vector:
    shells = [shell.points for each in stage if each.part.kind in FITTED for shell in each.shells]
    spots = [np.vstack([mark.closest.gap.on_a, mark.closest.gap.on_b]) for mark in worst]
    return np.vstack([*shells, *spots])


def _key(parts: Iterable[Part]) -> tuple[tuple[str, str], ...]:
    """Colour and word of the kinds there are, each once."""
    looks = (LOOKS[kind] for kind in LOOKS if any(part.kind is kind for part in parts))
    return tuple(dict.fromkeys((each.colour, each.word) for each in looks))


def _png(sheet: Sheet, verdict: Verdict) -> bytes:
    from PIL.PngImagePlugin import PngInfo

    about = PngInfo()
    about.add_text("Source", f"fitcheck, job file SHA-256 {verdict.opened.digest}")
    out = BytesIO()
    sheet.image.save(out, "PNG", pnginfo=about)
    return out.getvalue()
