"""A pen on a page, in millimetres from the lower left corner; angles in degrees anticlockwise. Black and greys only."""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Literal

from fitcheck.report.paper.fonts import BOLD, MM_PER_PT, REGULAR, high_mm, ready, shown, wide_mm, wrapped

Point = tuple[float, float]
Side = Literal["left", "middle", "right"]
DASHED, DOTTED = (2.0, 1.2), (0.4, 0.8)
FAINT = 0.45


@dataclass(frozen=True)
class Pen:
    """Draws on a reportlab canvas."""

    canvas: Any

    def line(self, start: Point, end: Point, width: float = 0.25, grey: float = 0.0, dash: Point | None = None) -> None:
        """A straight line."""
        self._set(width, grey, dash)
        self.canvas.line(*_pt(start), *_pt(end))

    def path(
        self,
        points: Iterable[Sequence[float]],
        closed: bool = True,
        width: float = 0.25,
        grey: float = 0.0,
        dash: Point | None = None,
        fill: float | None = None,
    ) -> None:
        """A line through points, closed or open, filled with a grey where one is given."""
        corners = [_pt(point) for point in points]
        self._set(width, grey, dash)
        path = self.canvas.beginPath()
        path.moveTo(*corners[0])
        for corner in corners[1:]:
            path.lineTo(*corner)
        if closed:
            path.close()
        if fill is not None:
            self.canvas.setFillGray(fill)
        self.canvas.drawPath(path, stroke=1 if width else 0, fill=0 if fill is None else 1)

    def box(self, low: Point, high: Point, **how: Any) -> None:
        """A rectangle between two corners."""
        self.path([low, (high[0], low[1]), high, (low[0], high[1])], **how)

    def circle(
        self,
        centre: Point,
        radius: float,
        width: float = 0.25,
        grey: float = 0.0,
        dash: Point | None = None,
        fill: float | None = None,
    ) -> None:
        """A circle."""
        self._set(width, grey, dash)
        if fill is not None:
            self.canvas.setFillGray(fill)
        stroke = 1 if width else 0
        self.canvas.circle(*_pt(centre), radius / MM_PER_PT, stroke=stroke, fill=0 if fill is None else 1)

    def arrow(self, start: Point, end: Point, width: float = 0.35, head: float = 2.2) -> None:
        """A line with a filled head at its end."""
        across, up = end[0] - start[0], end[1] - start[1]
        long = max((across**2 + up**2) ** 0.5, 1e-9)
        ux, uy = across / long, up / long
        foot = (end[0] - head * ux, end[1] - head * uy)
        self.line(start, foot, width)
        wing = 0.35 * head
        corners = [end, (foot[0] - wing * uy, foot[1] + wing * ux), (foot[0] + wing * uy, foot[1] - wing * ux)]
        self.path(corners, width=0.1, fill=0.0)

    def hatch(self, low: Point, high: Point, step: float = 2.0) -> None:
        """Slanting lines in a rectangle."""
        with self.within(low, high):
            at, tall = low[0] - (high[1] - low[1]), high[1] - low[1]
            while at < high[0]:
                self.line((at, low[1]), (at + tall, high[1]), 0.15)
                at += step

    def text(
        self,
        at: Point,
        text: str,
        size: float = 9,
        bold: bool = False,
        side: Side = "left",
        grey: float = 0.0,
        angle: float = 0.0,
        backed: bool = False,
    ) -> None:
        """One line; `at` is the left end, middle or right end of its foot; `backed`: on a patch of white."""
        ready()
        line = shown(text, bold)
        shift = {"left": 0.0, "middle": -0.5, "right": -1.0}[side] * wide_mm(line, size, bold) / MM_PER_PT
        self.canvas.saveState()
        self.canvas.translate(*_pt(at))
        self.canvas.rotate(angle)
        if backed:
            self.canvas.setFillGray(1.0)
            wide = wide_mm(line, size, bold) / MM_PER_PT
            self.canvas.rect(shift - 0.15 * size, -0.15 * size, wide + 0.3 * size, size, stroke=0, fill=1)
        self.canvas.setFillGray(grey)
        self.canvas.setFont(BOLD if bold else REGULAR, size)
        self.canvas.drawString(shift, 0, line)
        self.canvas.restoreState()

    def lines(self, top: Point, width: float, text: str, size: float = 9, bold: bool = False, most: int | None = None,
              grey: float = 0.0) -> float:  # fmt: skip
        """Wrapped lines from `top` (their upper left corner) down; the height where the next thing may begin."""
        y = top[1]
        for line in wrapped(text, size, width, bold, most):
            self.text((top[0], y - 0.95 * size * MM_PER_PT), line, size, bold, grey=grey)
            y -= high_mm(size)
        return y

    @contextmanager
    def within(self, low: Point, high: Point) -> Iterator[None]:
        """Nothing drawn here leaves the rectangle."""
        self.canvas.saveState()
        path = self.canvas.beginPath()
        path.rect(*_pt(low), (high[0] - low[0]) / MM_PER_PT, (high[1] - low[1]) / MM_PER_PT)
        self.canvas.clipPath(path, stroke=0, fill=0)
        yield
        self.canvas.restoreState()

    def _set(self, width: float, grey: float, dash: Point | None) -> None:
        self.canvas.setLineWidth(width / MM_PER_PT)
        self.canvas.setStrokeGray(grey)
        self.canvas.setDash(*([[step / MM_PER_PT for step in dash]] if dash else []))


def _pt(point: Sequence[float]) -> Point:
    return float(point[0]) / MM_PER_PT, float(point[1]) / MM_PER_PT
