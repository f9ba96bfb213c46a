"""The words beside a drawing: job and result on top, the worst pairs, the key of colours, what it is not. Pixels."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from fitcheck.report import words
from fitcheck.report.pictures import palette
from fitcheck.report.pictures.captions import Caption
from fitcheck.report.pictures.sheet import LINE, Box, Sheet, wide_of
from fitcheck.verdict import Outcome

EDGE = 26  # free border of the panel
ZOOMS = (1.0, 0.93, 0.87, 0.81, 0.75)  # the writing's, the first that leaves room for all of it
NOTHING = "No pair has a gap to mark yet: the text of the check says what to measure."


@dataclass(frozen=True)
class Contents:
    """What the panel says. `said`: the result in words; `beside`: what no gap shows; `key`: colour and word.

    `swatches`: colours of the two parts of each caption; `nothing`: what stands there without any.
    """

    name: str
    outcome: Outcome
    said: str
    summary: str
    beside: tuple[str, ...]
    view: str
    captions: tuple[Caption, ...]
    swatches: tuple[tuple[str, str], ...]
    key: tuple[tuple[str, str], ...]
    drawn_at: str
    corner: tuple[str, str]
    nothing: str = NOTHING


def panel(sheet: Sheet, left: float, contents: Contents) -> Box:
    """Everything but the detail, smaller where there is much to say; returns the box left free, which may be flat."""
    sheet.pen.rectangle((left, 0, sheet.image.width, sheet.image.height), fill=palette.PANEL)
    sheet.pen.line([(left, 0), (left, sheet.image.height)], fill=palette.RULE, width=sheet.px(2))
    for zoom in ZOOMS:
        trial = Sheet.blank(sheet.image.size, sheet.scale * zoom, palette.PANEL)
        _, top, _, bottom = _laid(trial, left, contents)
        if top <= bottom:
            break
    return _laid(replace(sheet, scale=sheet.scale * zoom), left, contents)


def _laid(sheet: Sheet, left: float, contents: Contents) -> Box:
    edge = sheet.px(EDGE)
    x, width = left + edge, sheet.image.width - left - 2 * edge
    y = _head(sheet, x, edge, width, contents)
    y = _pairs(sheet, x, y, width, contents)
    bottom = _foot(sheet, x, sheet.image.height - edge * 0.7, width, contents)
    return x, y + sheet.px(8), x + width, bottom - sheet.px(12)


def _head(sheet: Sheet, x: float, y: float, width: float, contents: Contents) -> float:
    y = sheet.paragraph((x, y), width, contents.name, sheet.px(22), 2, bold=True)
    y = sheet.paragraph((x, y), width, contents.view, sheet.px(15), 2, palette.FAINT) + sheet.px(8)
    result = palette.OUTCOME_RESULTS[contents.outcome]
    colour = palette.RESULT_COLOURS[result]
    size = sheet.px(24)
    text = f"{words.MARKS[result]}  {contents.said}"
    box = (x, y, x + wide_of(text, size, True) + size, y + 1.6 * size)
    sheet.chip(box, text, colour, size, palette.on(colour))
    y = sheet.paragraph((x, box[3] + sheet.px(6)), width, contents.summary, sheet.px(15), 2, palette.FAINT)
    for line in contents.beside:
        y = sheet.paragraph((x, y), width, line, sheet.px(14), 4, palette.FAINT)
    return y


def _pairs(sheet: Sheet, x: float, y: float, width: float, contents: Contents) -> float:
    if not contents.captions:
        return sheet.paragraph((x, y + sheet.px(16)), width, contents.nothing, sheet.px(17), 4)
    for caption, swatches in zip(contents.captions, contents.swatches, strict=True):
        y = _rule(sheet, x, y + sheet.px(8), width)
        y = _pair(sheet, x, y + sheet.px(8), width, caption, swatches)
    return y


def _rule(sheet: Sheet, x: float, y: float, width: float) -> float:
    sheet.pen.line([(x, y), (x + width, y)], fill=palette.RULE, width=sheet.px(1))
    return y


def _pair(sheet: Sheet, x: float, y: float, width: float, caption: Caption, swatches: Sequence[str]) -> float:
    first = caption.number == 1
    colour, size = palette.RESULT_COLOURS[caption.result], sheet.px(19 if first else 16)
    badge = (x, y, x + 1.6 * size, y + 1.5 * size)
    sheet.chip(badge, str(caption.number), colour, size, palette.on(colour))
    said = f"{words.MARKS[caption.result]}  {caption.result.value}"
    sheet.write((badge[2] + sheet.px(10), y + 0.12 * size), said, size, palette.INK, bold=True)
    y = badge[3] + sheet.px(4)
    body = sheet.px(17 if first else 15)
    for place, swatch in zip(caption.places, swatches, strict=True):
        sheet.swatch((x, y + 0.2 * body), 0.8 * body, swatch)
        y = sheet.paragraph((x + 1.3 * body, y), width - 1.3 * body, place, body, 2, bold=first)
    for line in caption.figures:
        y = sheet.paragraph((x, y), width, line, sheet.px(15), 2)
    return y


def _foot(sheet: Sheet, x: float, bottom: float, width: float, contents: Contents) -> float:
    """Laid from the bottom up; returns where it begins."""
    size, body = sheet.px(14), sheet.px(15)
    y = bottom - 2 * LINE * size
    for i, line in enumerate(contents.corner):
        sheet.paragraph((x, y + i * LINE * size), width, line, size, 1, palette.FAINT)
    rows = -(-len(contents.key) // 2)
    y -= rows * 1.5 * body + sheet.px(8)
    for i, (colour, word) in enumerate(contents.key):
        at = (x + (i % 2) * width / 2, y + (i // 2) * 1.5 * body)
        sheet.swatch((at[0], at[1] + 0.2 * body), 0.8 * body, colour)
        sheet.paragraph((at[0] + 1.3 * body, at[1]), width / 2 - 1.3 * body, word, body, 1)
    return y
