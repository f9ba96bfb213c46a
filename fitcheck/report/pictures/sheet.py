"""The page of a picture: writing over and beside the drawing, nothing overlapping, nothing cut off. Pixels."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from fitcheck.report.lines import broken
from fitcheck.report.pictures.palette import INK, PANEL

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw
    from PIL.ImageFont import FreeTypeFont

Box = tuple[float, float, float, float]  # left, top, right, bottom
Point = tuple[float, float]
LINE = 1.28  # from one line of writing to the next, in its size
RINGS = (1.0, 1.6, 2.3, 3.2, 4.4, 6.0)
EIGHT = ((1, -1), (-1, -1), (1, 1), (-1, 1), (1, 0), (-1, 0), (0, -1), (0, 1))


@cache
def font(size: int, bold: bool = False) -> "FreeTypeFont":
    """DejaVu Sans, which comes with matplotlib and so is the same on every machine."""
    import matplotlib
    from PIL import ImageFont

    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return ImageFont.truetype(str(Path(matplotlib.get_data_path()) / "fonts" / "ttf" / name), size)


def wrapped(text: str, size: int, width: float, most: int, bold: bool = False) -> list[str]:
    """`text` in at most `most` lines no wider than `width`; long words are broken, and a cut text ends in "…"."""
    return broken(" ".join(text.split()), lambda line: wide_of(line, size, bold) <= width, most)


def wide_of(text: str, size: int, bold: bool = False) -> float:
    """Width of one line, pixels."""
    return font(size, bold).getlength(text)


def overlap(a: Box, b: Box) -> bool:
    """Whether two boxes have room in common."""
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def free_place(anchor: Point, wide: float, high: float, taken: Sequence[Box], within: Box, away: float) -> Box | None:
    """A box `wide` x `high` near `anchor`, inside `within` and off all of `taken`, or None where there is none."""
    for ring in RINGS:
        for right, down in EIGHT:
            x = anchor[0] + right * (ring * away + wide / 2)
            y = anchor[1] + down * (ring * away + high / 2)
            box = (x - wide / 2, y - high / 2, x + wide / 2, y + high / 2)
            inside = within[0] <= box[0] and within[1] <= box[1] and box[2] <= within[2] and box[3] <= within[3]
            if inside and not any(overlap(box, other) for other in taken):
                return box
    return None


@dataclass
class Sheet:
    """A page being drawn, `scale` 1 at 1600 x 1200. `written`: boxes of all writing; `taken`: what none may cover."""

    image: "Image"
    pen: "ImageDraw"
    scale: float
    taken: list[Box] = field(default_factory=list)
    written: list[Box] = field(default_factory=list)

    @classmethod
    def blank(cls, size: tuple[int, int], scale: float, colour: str) -> "Sheet":
        from PIL import Image, ImageDraw

        image = Image.new("RGB", size, colour)
        return cls(image, ImageDraw.Draw(image), scale)

    def px(self, length: float) -> int:
        """A length of the 1600 x 1200 page in this one's pixels, at least 1."""
        return max(1, round(length * self.scale))

    def write(self, at: Point, text: str, size: int, colour: str = INK, bold: bool = False) -> Box:
        """One line, its top left at `at`; its box."""
        box = (at[0], at[1], at[0] + wide_of(text, size, bold), at[1] + LINE * size)
        self.pen.text(at, text, fill=colour, font=font(size, bold))
        self._keep(box)
        return box

    def paragraph(
        self, at: Point, width: float, text: str, size: int, most: int, colour: str = INK, bold: bool = False
    ) -> float:
        """Wrapped lines from `at` down; where the next thing may stand."""
        y = at[1]
        for line in wrapped(text, size, width, most, bold):
            y = self.write((at[0], y), line, size, colour, bold)[3]
        return y

    def tag(self, box: Box, text: str, size: int, colour: str) -> None:
        """A patch of colour and one line beside it in `box`, legible over a drawing."""
        middle, patch = (box[1] + box[3]) / 2, (box[0] + 0.25 * size, box[1] + 0.3 * size)
        self.pen.rounded_rectangle(box, radius=size * 0.3, fill=PANEL)
        self.swatch(patch, 0.7 * size, colour)
        self.pen.text((box[0] + 1.3 * size, middle), text, fill=INK, font=font(size), anchor="lm")
        self._keep(box)

    def swatch(self, at: Point, side: float, colour: str) -> None:
        """A square patch of colour, its top left at `at`."""
        box = (at[0], at[1], at[0] + side, at[1] + side)
        self.pen.rectangle(box, fill=colour, outline=INK, width=self.px(1))

    def chip(self, box: Box, text: str, colour: str, size: int, ink: str = "#FFFFFF") -> None:
        """A filled label with `text` in its middle."""
        self.pen.rounded_rectangle(box, radius=size * 0.35, fill=colour, outline="#FFFFFF", width=self.px(2))
        middle = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
        self.pen.text(middle, text, fill=ink, font=font(size, True), anchor="mm")
        self._keep(box)

    def arrow(self, start: Point, end: Point, colour: str, width: int) -> None:
        """A straight arrow."""
        self.pen.line([start, end], fill=colour, width=width)
        across, down = end[0] - start[0], end[1] - start[1]
        long = max((across**2 + down**2) ** 0.5, 1e-6)
        ux, uy, head = across / long, down / long, 3.2 * width
        left = (end[0] - head * ux + head * 0.5 * uy, end[1] - head * uy - head * 0.5 * ux)
        right = (end[0] - head * ux - head * 0.5 * uy, end[1] - head * uy + head * 0.5 * ux)
        self.pen.polygon([(end[0] + ux, end[1] + uy), left, right], fill=colour)

    def _keep(self, box: Box) -> None:
        self.taken.append(box)
        self.written.append(box)
