"""Areas filled and hatched, lines dashed, inside a box of a page. Pixels. Hatches tell parts apart without colour."""

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from fitcheck.geometry.frames import Vector
from fitcheck.report.pictures import palette
from fitcheck.report.pictures.palette import Look
from fitcheck.report.pictures.sheet import Box, Sheet

if TYPE_CHECKING:
    from PIL.Image import Image

Rings = list[Vector]  # an outline (n, 2), then those of its holes
FINER = 3
SPACING = 12
# Angle (degrees) and spacing, in shares, of the hatch of each kind; the column is solid.
HATCHES = {
    palette.BLUE: ((45.0, 1.0),),
    palette.SKY: ((-45.0, 1.0),),
    palette.YELLOW: ((45.0, 0.6), (-45.0, 0.6)),
    palette.METAL: (),
    palette.PURPLE: ((90.0, 1.4),),
    palette.STONE: ((0.0, 1.4),),
}


def filled(sheet: Sheet, areas: Sequence[Rings], look: Look, within: Box, grey: bool) -> None:
    """Each area in its colour, or white where `grey`, with its hatch and a dark outline."""
    from PIL import Image, ImageDraw

    left, top = round(within[0]), round(within[1])
    size = round(within[2]) - left, round(within[3]) - top
    mask = Image.new("L", (size[0] * FINER, size[1] * FINER), 0)
    pen = ImageDraw.Draw(mask)
    for rings in areas:
        for number, ring in enumerate(rings if len(rings[0]) > 3 else []):
            pen.polygon([tuple(p) for p in (ring - [left, top]) * FINER], fill=0 if number else 255)
    stamp = mask.resize(size, Image.Resampling.BOX)
    hatches = HATCHES.get(look.colour, ((60.0, 1.0),))
    colour = ("#FFFFFF" if hatches else "#808080") if grey else look.colour
    face = Image.new("RGB", size, colour)
    for angle, share in hatches:
        _hatch(face, angle, sheet.px(SPACING * share), sheet.px(1))
    sheet.image.paste(face, (left, top), stamp)
    for rings in areas:
        for ring in rings:
            _line(sheet, ring, palette.INK, sheet.px(2), within)


def dashed(sheet: Sheet, areas: Sequence[Rings], colour: str, dash: Sequence[int], within: Box) -> None:
    """Outlines in dashes: lengths of line and of pause by turns."""
    lengths = [sheet.px(each) for each in dash]
    for rings in areas:
        for ring in rings:
            for one, other in _dashes(ring, lengths):
                _line(sheet, np.array([one, other]), colour, sheet.px(2), within)


def _dashes(ring: Vector, lengths: Sequence[int]) -> list[tuple[Vector, Vector]]:
    """The pieces of a line that are drawn, the pattern running on round its corners."""
    found, left, turn = [], float(lengths[0]), 0
    for one, other in pairwise(ring):
        long = float(np.hypot(*(other - one)))
        at = 0.0
        while at < long - 1e-9:
            step = min(left, long - at)
            if turn % 2 == 0:
                found.append((one + (other - one) * at / long, one + (other - one) * (at + step) / long))
            at, left = at + step, left - step
            if left <= 1e-9:
                turn = (turn + 1) % len(lengths)
                left = float(lengths[turn])
    return found


def _line(sheet: Sheet, points: Vector, colour: str, width: int, within: Box) -> None:
    """A line, cut off at the box."""
    import shapely

    kept = shapely.LineString(points).intersection(shapely.box(*within))
    for part in getattr(kept, "geoms", [kept]):
        if part.geom_type == "LineString" and not part.is_empty:
            sheet.pen.line([tuple(p) for p in part.coords], fill=colour, width=width, joint="curve")


def _hatch(face: "Image", angle: float, spacing: int, width: int) -> None:
    from PIL import ImageDraw

    pen, reach = ImageDraw.Draw(face), float(np.hypot(*face.size))
    way = np.array([np.cos(np.radians(angle)), -np.sin(np.radians(angle))])
    aside, middle = np.array([-way[1], way[0]]), np.array(face.size) / 2
    for off in np.arange(-reach, reach, spacing):
        start, end = middle + off * aside - reach * way, middle + off * aside + reach * way
        pen.line([tuple(start), tuple(end)], fill=palette.INK, width=width)
