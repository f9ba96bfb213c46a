"""The desk's drawing of a shaft's yokes from its wheel end: the near one outside, the far one inside. mm on paper."""

from math import cos, degrees, pi, sin

from fitcheck.limits import NotKnown
from fitcheck.report.paper.pen import DASHED, DOTTED, FAINT, Pen, Point
from fitcheck.report.yokes import Yoke, yokes
from fitcheck.shaft.results import PhaseRow, ShaftChapter

YOKE_HIGH_MM = 68.0
SMALL = 7.0
OUTER, INNER = (15.0, 18.5), (6.0, 9.5)  # an ear, from one radius to another
FILLED, WHITE = 0.35, 1.0
EAR = 15.0 * pi / 180
KEY = (
    "Grey, outside: wheel-end yoke, near you. White, inside: rack-end yoke, behind it. Dashed: as the paint mark has "
    "it. Dot: paint on the yoke; line up: paint on the shaft. Dotted: rack-end yoke at the best phase."
)


def yoke_drawing(pen: Pen, low: Point, wide: float, found: ShaftChapter) -> None:
    """Each shaft's yokes with its paint mark upright: as set, as marked, and the teeth between."""
    if isinstance(found.phases, NotKnown):
        return
    for column, row in enumerate(found.phases):
        centre = low[0] + 24 + column * wide / 2, low[1] + 34
        pen.text((centre[0] - 24, low[1] + YOKE_HIGH_MM - 4), f"{row.piece}, seen from the wheel end", SMALL + 1, True)
        _drawn(pen, centre, wide / 2 - 52, found, row)
    pen.lines((low[0], low[1] + 11), wide, KEY, SMALL + 0.5)


def _drawn(pen: Pen, centre: Point, room: float, found: ShaftChapter, row: PhaseRow) -> None:
    wheel, rack = yokes(found, row)
    pen.circle(centre, 3.4, 0.3, fill=1.0)
    pen.line(_at(centre, 0.8, 0.0), _at(centre, 3.4, 0.0), 1.2)
    pen.line(_at(centre, 3.4, 0.0), _at(centre, 24.5, 0.0), 0.15, dash=DASHED)
    _yoke(pen, centre, wheel, OUTER, FILLED)
    _yoke(pen, centre, rack, INNER, WHITE)
    if not row.any_phase:
        for half in (0.0, pi):
            best = wheel.as_set + row.best + half
            pen.line(_at(centre, INNER[0] - 1, best), _at(centre, INNER[1] + 3, best), 0.4, dash=DOTTED)
    moved = [f"{yoke.end} yoke: {yoke.words}" for yoke in (wheel, rack) if yoke.words]
    said = moved or ["any phase" if row.any_phase else "no yoke moved"]
    y = centre[1] + 6
    for text in said:
        y = pen.lines((centre[0] + 27, y), room, text, SMALL + 2, bold=True)


def _yoke(pen: Pen, centre: Point, yoke: Yoke, ring: tuple[float, float], fill: float) -> None:
    pen.circle(centre, sum(ring) / 2, 0.1, FAINT)
    for side in (0.0, pi):
        if yoke.teeth:
            pen.path(_ear(centre, ring, yoke.at_mark + side), width=0.2, dash=DASHED)
        pen.path(_ear(centre, ring, yoke.as_set + side), width=0.35, fill=fill)
    for turn, number in yoke.counted:
        pen.line(_at(centre, ring[1] + 0.4, turn), _at(centre, ring[1] + 1.6, turn), 0.2)
        if number not in ("", "0"):
            x, y = _at(centre, ring[1] + 4.6, turn)
            pen.text((x, y - 0.9), number, SMALL - 0.5, side="middle")
    if yoke.teeth:
        steps = max(3, int(abs(degrees(yoke.turned)) // 3))
        arc = [_at(centre, ring[1] + 2.4, yoke.turned * step / steps) for step in range(steps + 1)]
        pen.path(arc[:-1], closed=False, width=0.25)
        pen.arrow(arc[-2], arc[-1], 0.25, 1.8)
    pen.circle(_at(centre, sum(ring) / 2, yoke.turned), 1.0, 0.25, fill=0.0)


def _ear(centre: Point, ring: tuple[float, float], turn: float) -> list[Point]:
    angles = [turn + EAR * step / 4 for step in range(-4, 5)]
    return [
        *(_at(centre, ring[1], angle) for angle in angles),
        *(_at(centre, ring[0], angle) for angle in angles[::-1]),
    ]


def _at(centre: Point, radius: float, turn: float) -> Point:
    return centre[0] + radius * sin(turn), centre[1] + radius * cos(turn)
