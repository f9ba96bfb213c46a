"""One shaded picture of a verdict: what stands where, and which pairs come closest, marked in the order of the trouble.

Reads a verdict and computes no gap. Car frame (back, right, up; mm) to pixels; returns the bytes of a PNG.
"""

from io import BytesIO

import numpy as np

from fitcheck.errors import DrawingError
from fitcheck.geometry.frames import Vector
from fitcheck.placement.scene import Kind
from fitcheck.report import palette
from fitcheck.report.camera import AIMS, Camera, View, square_to
from fitcheck.report.captions import Caption, captions, corner, drawn_at, plain
from fitcheck.report.opengl import off_screen
from fitcheck.report.overlay import compass, marked, scale_bar
from fitcheck.report.panel import Panel, panel
from fitcheck.report.render import Lines, Surface, rendered
from fitcheck.report.sheet import Sheet
from fitcheck.report.stage import Mark, Shell, Shown, drawn_shares, marks, outline, shown
from fitcheck.report.text import summary
from fitcheck.verdict import Verdict

SMALLEST, LARGEST = (800, 600), (6400, 4800)
FULL_SIZE = (1600, 1200)
PANEL_SHARE = 0.34
DETAIL_HALF_MM = 55.0
FITTED = (Kind.UNIT, Kind.BRACKET, Kind.PEDAL, Kind.LINKAGE, Kind.BOOT)


def picture(verdict: Verdict, view: View, size: tuple[int, int] = FULL_SIZE) -> bytes:
    """PNG of `size` (width, height) pixels, from 800 x 600 to 6400 x 4800. Raises DrawingError."""
    if not all(low <= got <= high for low, got, high in zip(SMALLEST, size, LARGEST, strict=True)):
        raise DrawingError(f"a picture of {size[0]} x {size[1]} pixels: it can be 800 x 600 to 6400 x 4800")
    with off_screen():
        return _png(_page(verdict, view, size), verdict)


def _page(verdict: Verdict, view: View, size: tuple[int, int]) -> Sheet:
    worst = marks(verdict)
    said = captions(worst, verdict)
    shares = drawn_shares(worst)
    stage = tuple(shown(verdict.scene.parts, shares))
    sheet = Sheet.blank(size, min(size[0] / FULL_SIZE[0], size[1] / FULL_SIZE[1]), palette.PAPER)
    beside = round(size[0] * PANEL_SHARE)
    camera = Camera.fitted(AIMS[view], _fitted(stage, worst), size[0] - beside, size[1])
    _paste(sheet, (0, 0), camera, [*_models(stage), *_near(worst)], palette.PAPER)
    compass(sheet, camera)
    scale_bar(sheet, camera, verdict.opened.job.job.show)
    marked(sheet, camera, worst)
    _beside(sheet, size[0] - beside, verdict, view, worst, said, drawn_at(shares, verdict), stage)
    return sheet
