"""Laid over and under the drawing: marks with their balls and line, names, directions in words, a scale bar. Pixels."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.geometry.frames import Vector
from fitcheck.job.lengths import MM_PER_INCH
from fitcheck.placement.points import BACK, RIGHT, UP
from fitcheck.report import words
from fitcheck.report.pictures import palette
from fitcheck.report.pictures.camera import Camera
from fitcheck.report.pictures.sheet import LINE, Box, Point, Sheet, free_place, overlap, wide_of, wrapped
from fitcheck.report.pictures.stage import Mark

Ways = tuple[tuple[Vector, str], ...]
DIRECTIONS: Ways = ((-BACK, "forward"), (-RIGHT, "driver's left"), (UP, "up"))
TO_THE_DOOR: dict[str, Ways] = {
    "left": ((-BACK, "forward"), (-RIGHT, "driver's door"), (UP, "up")),
    "right": ((-BACK, "forward"), (RIGHT, "driver's door"), (UP, "up")),
}
END_ON = 0.25  # an arrow shorter than this share of its length is drawn as a dot, with "toward you" or "away"
APART = 0.9  # cosine: arrows nearer to each other than that would overlap
WRITING, WORDS_HIGH, ALL_LINES = (16, 15, 14, 13, 12, 11), 84, 99  # of the words below a drawing, the largest that fits
NICE_MM = (10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000)
NICE_IN = (0.5, 1, 2, 4, 8, 20, 40, 80, 200, 400)


def marked(sheet: Sheet, camera: Camera, marks: Sequence[Mark], within: Box) -> None:
    """Both nearest points as balls, a line between them, and a numbered label off to the side, worst on top."""
    spots = {mark.number: _spots(camera, mark, within) for mark in marks}
    radius = sheet.px(7)
    for a, b in spots.values():
        sheet.taken += [(x - 2 * radius, y - 2 * radius, x + 2 * radius, y + 2 * radius) for x, y in (a, b)]
    for mark in reversed(marks):
        _balls(sheet, spots[mark.number], palette.RESULT_COLOURS[mark.entry.result], radius)
    for mark in marks:
        _label(sheet, mark, spots[mark.number], within)


def _spots(camera: Camera, mark: Mark, within: Box) -> tuple[Point, Point]:
    (ax, ay), (bx, by) = camera.pixels(mark.spots) + np.array(within[:2])
    return (float(ax), float(ay)), (float(bx), float(by))


def _balls(sheet: Sheet, spots: tuple[Point, Point], colour: str, radius: int) -> None:
    sheet.pen.line(spots, fill="#FFFFFF", width=sheet.px(9))
    sheet.pen.line(spots, fill=colour, width=sheet.px(5))
    for x, y in spots:
        sheet.pen.circle((x, y), radius, fill=colour, outline="#FFFFFF", width=sheet.px(2))


def _label(sheet: Sheet, mark: Mark, spots: tuple[Point, Point], within: Box) -> None:
    """The mark's number, for the worst with its result, and a thin line to its place."""
    colour = palette.RESULT_COLOURS[mark.entry.result]
    size = sheet.px(24 if mark.number == 1 else 19)
    text = f"{mark.number}  {mark.entry.result.value}" if mark.number == 1 else str(mark.number)
    anchor = ((spots[0][0] + spots[1][0]) / 2, (spots[0][1] + spots[1][1]) / 2)
    box = free_place(anchor, wide_of(text, size, True) + size, 1.5 * size, sheet.taken, within, sheet.px(34))
    if box is None:
        return
    middle = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
    for fill, width in (("#FFFFFF", 5), (colour, 2)):
        sheet.pen.line([middle, anchor], fill=fill, width=sheet.px(width))
    sheet.chip(box, text, colour, size, palette.on(colour))


@dataclass(frozen=True, eq=False)
class Name:
    """A part's name, the point (3,) it belongs to, and the part's colour."""

    text: str
    at: Vector
    colour: str


def named(sheet: Sheet, camera: Camera, names: Sequence[Name]) -> None:
    """Names of parts beside their points in the drawing, each with a patch of its colour, where there is room."""
    size, edge = sheet.px(16), sheet.px(8)
    within = (float(edge), float(edge), float(camera.width - edge), float(camera.height - edge))
    for name in names:
        x, y = camera.pixels(name.at[None])[0]
        spot = (float(np.clip(x, within[0], within[2])), float(np.clip(y, within[1], within[3])))
        box = free_place(spot, wide_of(name.text, size) + 1.6 * size, LINE * size, sheet.taken, within, sheet.px(5))
        if box is not None:
            sheet.tag(box, name.text, size, name.colour)


def strip(sheet: Sheet, box: Box, camera: Camera, drawn_at: str, show: words.Show, ways: Ways = DIRECTIONS) -> None:
    """Under the drawing: which way is which, at which travel it is drawn, and its scale."""
    left, top, right, bottom = box
    sheet.pen.rectangle(box, fill=palette.PAPER)
    sheet.pen.line([(left, top), (right, top)], fill=palette.RULE, width=sheet.px(2))
    compass(sheet, camera, (left, top, left + sheet.px(380), bottom), ways)
    x = left + sheet.px(400)
    wide, most = right - x - sheet.px(16), sheet.px(WORDS_HIGH)
    size = next((size for size in map(sheet.px, WRITING) if _high(drawn_at, size, wide) <= most), sheet.px(WRITING[-1]))
    y = sheet.paragraph((x, top + sheet.px(16)), wide, drawn_at, size, ALL_LINES)
    scale_bar(sheet, camera, show, (x, y + sheet.px(42)), sheet.px(300))


def _high(text: str, size: int, wide: float) -> float:
    return len(wrapped(text, size, wide, ALL_LINES)) * LINE * size


def compass(sheet: Sheet, camera: Camera, within: Box, ways: Ways) -> None:
    """Directions of the car as arrows with their words."""
    long, size = sheet.px(46), sheet.px(16)
    middle = (within[0] + sheet.px(165), (within[1] + within[3]) / 2)
    ends: list[tuple[Point, str]] = []
    for (right, down, toward), word in _told_apart([(camera.seen(direction), word) for direction, word in ways]):
        if np.hypot(right, down) < END_ON:
            ends.append((middle, f"{word}: {'toward you' if toward > 0 else 'away from you'}"))
            sheet.pen.circle(middle, sheet.px(9), fill=palette.PAPER, outline=palette.INK, width=sheet.px(2))
            sheet.pen.circle(middle, sheet.px(3), fill=palette.INK)
            continue
        ends.append(((middle[0] + right * long, middle[1] + down * long), word))
        sheet.arrow(middle, ends[-1][0], palette.INK, sheet.px(3))
    sheet.taken += [box for end, _ in ends for box in _along(middle, end, sheet.px(7))]
    for end, word in sorted(ends, key=lambda each: each[0] == middle):
        wide, high = wide_of(word, size), LINE * size
        box = _beyond(middle, end, wide, high, sheet.px(8))
        if any(overlap(box, other) for other in sheet.taken):
            box = free_place(end, wide, high, sheet.taken, within, sheet.px(9)) or box
        sheet.write(box[:2], word, size)


def _told_apart(seen: list[tuple[Vector, str]]) -> list[tuple[Vector, str]]:
    """Directions as seen, without those whose arrow would lie on a longer one's: forward and up, seen from below."""
    kept: list[tuple[Vector, str]] = []
    for way, word in sorted(seen, key=lambda each: -float(np.hypot(*each[0][:2]))):
        flat = way[:2]
        along = [float(flat @ other[:2]) / max(np.hypot(*flat) * np.hypot(*other[:2]), END_ON) for other, _ in kept]
        if np.hypot(*flat) < END_ON or all(cosine < APART for cosine in along):
            kept.append((way, word))
    return kept


def _beyond(start: Point, end: Point, wide: float, high: float, away: float) -> Box:
    """A box just past the tip of an arrow, in line with it; below the start of one without length."""
    long = max(float(np.hypot(end[0] - start[0], end[1] - start[1])), 1e-6)
    right, down = ((end[0] - start[0]) / long, (end[1] - start[1]) / long) if end != start else (0.0, 1.6)
    x, y = end[0] + right * (away + wide / 2), end[1] + down * (away + high / 2)
    return x - wide / 2, y - high / 2, x + wide / 2, y + high / 2


def _along(one: Point, other: Point, half: float) -> list[Box]:
    """Small boxes along a line, which nothing may be written over."""
    spots = np.linspace(one, other, 8)
    return [(float(x) - half, float(y) - half, float(x) + half, float(y) + half) for x, y in spots]


def scale_bar(sheet: Sheet, camera: Camera, show: words.Show, at: Point, most: float) -> None:
    """A bar of a round length, its left end at `at`, at most `most` pixels long; with perspective a note."""
    if camera.px_per_mm is None:
        sheet.write(
            (at[0], at[1] - sheet.px(30)), "In perspective: take no measure from it.", sheet.px(15), palette.FAINT
        )
        return
    unit_mm, nice = (1.0, NICE_MM) if show == "mm" else (float(MM_PER_INCH), NICE_IN)
    fitting = [each for each in nice if each * unit_mm * camera.px_per_mm <= most] or [nice[0]]
    long = fitting[-1] * unit_mm * camera.px_per_mm
    (x, y), tick = at, sheet.px(6)
    sheet.pen.line([(x, y), (x + long, y)], fill=palette.INK, width=sheet.px(3))
    for end in (x, x + long):
        sheet.pen.line([(end, y - tick), (end, y + tick)], fill=palette.INK, width=sheet.px(2))
    size = sheet.px(15)
    box = sheet.write((x, y - tick - LINE * size), words.size(fitting[-1] * unit_mm, show), size)
    sheet.taken.append((box[0], box[1], max(box[2], x + long), y + tick))
