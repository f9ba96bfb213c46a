"""A template as lines, arcs, circles and words in its own frame, mm, x to the right and y up; on layers by purpose."""

from dataclasses import dataclass
from math import cos, hypot, pi, sin
from typing import Literal

Point = tuple[float, float]
Layer = Literal["CUT", "FINISH", "WASTE", "CLOCK", "HOLES", "OUTLINE", "GUIDE", "WORDS"]
LAYERS: dict[Layer, tuple[int, str]] = {  # colour number of the DXF format (1 red .. 7 black or white, 8 grey), line
    "CUT": (7, "CONTINUOUS"),
    "FINISH": (5, "DASHED"),
    "WASTE": (8, "CONTINUOUS"),
    "CLOCK": (3, "CONTINUOUS"),
    "HOLES": (1, "CONTINUOUS"),
    "OUTLINE": (6, "CONTINUOUS"),
    "GUIDE": (8, "DASHED"),
    "WORDS": (7, "CONTINUOUS"),
}


@dataclass(frozen=True)
class Line:
    """A straight line."""

    layer: Layer
    start: Point
    end: Point

    @property
    def points(self) -> tuple[Point, ...]:
        """Its two ends."""
        return self.start, self.end


@dataclass(frozen=True)
class Polyline:
    """A line through points, closed or open."""

    layer: Layer
    points: tuple[Point, ...]
    closed: bool


@dataclass(frozen=True)
class Circle:
    """A circle."""

    layer: Layer
    centre: Point
    radius: float

    @property
    def points(self) -> tuple[Point, ...]:
        """Corners of the square round it."""
        (x, y), r = self.centre, self.radius
        return (x - r, y - r), (x + r, y + r)


@dataclass(frozen=True)
class EllipseArc:
    """A stretch of an ellipse: `major` from the centre to its end; from and to its parameter, rad, anticlockwise."""

    layer: Layer
    centre: Point
    major: Point
    ratio: float
    start: float = 0.0
    stop: float = 2 * pi

    @property
    def points(self) -> tuple[Point, ...]:
        """On it, a point every half degree: off the true curve by under 1e-5 of its half axis."""
        count = max(2, round((self.stop - self.start) / (pi / 360)))
        return tuple(self._at(self.start + (self.stop - self.start) * i / count) for i in range(count + 1))

    def _at(self, t: float) -> Point:
        (mx, my), (x, y) = self.major, self.centre
        return x + mx * cos(t) - self.ratio * my * sin(t), y + my * cos(t) + self.ratio * mx * sin(t)


@dataclass(frozen=True)
class Words:
    """One line of writing, `high` mm from foot to top of a capital; side: which end of it stands at `at`."""

    at: Point
    text: str
    high: float = 2.5
    side: Literal["left", "middle", "right"] = "left"
    angle: float = 0.0
    layer: Layer = "WORDS"

    @property
    def points(self) -> tuple[Point, ...]:
        """Where it stands; it is placed where the drawing leaves room."""
        return (self.at,)


Item = Line | Polyline | Circle | EllipseArc | Words


@dataclass(frozen=True)
class Panel:
    """One template: its title, what to know before using it, and the drawing."""

    title: str
    notes: tuple[str, ...]
    items: tuple[Item, ...]

    @property
    def low(self) -> Point:
        """Lower left corner of the drawing."""
        return min(x for x, _ in self._points), min(y for _, y in self._points)

    @property
    def high(self) -> Point:
        """Upper right corner of the drawing."""
        return max(x for x, _ in self._points), max(y for _, y in self._points)

    @property
    def size(self) -> Point:
        """Width and height of the drawing with 1 mm round it."""
        return self.high[0] - self.low[0] + 2, self.high[1] - self.low[1] + 2

    @property
    def _points(self) -> list[Point]:
        return [point for item in self.items for point in item.points]


def cross(at: Point, arm: float, layer: Layer = "GUIDE") -> tuple[Line, Line]:
    """A cross over a centre."""
    x, y = at
    return Line(layer, (x - arm, y), (x + arm, y)), Line(layer, (x, y - arm), (x, y + arm))


def polar(radius: float, turn: float) -> Point:
    """The point at `radius`, `turn` rad clockwise from straight up."""
    return radius * sin(turn), radius * cos(turn)


def hatched(low: Point, high: Point, step: float = 3.0) -> tuple[Line, ...]:
    """Slanting lines over a rectangle, cut off at its edges."""
    (x0, y0), (x1, y1) = low, high
    found = []
    at = x0 - (y1 - y0) + step
    while at < x1:
        start, end = max(at, x0), min(at + y1 - y0, x1)
        found.append(Line("WASTE", (start, y0 + start - at), (end, y0 + end - at)))
        at += step
    return tuple(line for line in found if hypot(line.end[0] - line.start[0], line.end[1] - line.start[1]) > 0.1)
