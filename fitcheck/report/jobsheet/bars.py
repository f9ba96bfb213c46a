"""The intermediate shaft's bars with their lengths and dimples, wheel end to the left; along the shaft to scale. mm."""

from collections.abc import Iterator
from dataclasses import dataclass

from fitcheck.job.shafting import ShaftPiece
from fitcheck.limits import NotKnown
from fitcheck.report.jobsheet.stock import KEPT
from fitcheck.report.paper.pen import Pen, Point, Side
from fitcheck.report.tape import at_least, finished, near
from fitcheck.report.words import Show
from fitcheck.shaft.lengths import BarLength, Dimple
from fitcheck.shaft.results import PieceRow, ShaftChapter

BAR_HIGH_MM = 40.0  # for each shaft
SMALL, THIN, THICK = 7.0, 2.6, 4.4


@dataclass(frozen=True)
class Bar:
    """A bar or half: from and to along the shaft from its wheel end (mm), how thick it is drawn, its lengths."""

    start: float
    end: float
    half_high: float
    said: str


def bars_high_mm(found: ShaftChapter) -> float:
    """How much room the drawing takes; 0 where there is nothing to draw."""
    return BAR_HIGH_MM * len(list(_drawable(found)))


def bars_drawing(pen: Pen, low: Point, wide: float, found: ShaftChapter, show: Show) -> None:
    """Every shaft whose lengths are known, one under the other."""
    for number, row in enumerate(_drawable(found)):
        piece = next(piece for piece in found.shaft.pieces if piece.name == row.name)
        _shaft(pen, (low[0], low[1] + bars_high_mm(found) - BAR_HIGH_MM * (number + 1)), wide, row, piece, show)


def _drawable(found: ShaftChapter) -> Iterator[PieceRow]:
    for row in found.pieces:
        if not isinstance(row, NotKnown) and row.length.low <= row.length.high:
            yield row


def _shaft(pen: Pen, low: Point, wide: float, row: PieceRow, piece: ShaftPiece, show: Show) -> None:
    bars = list(_bars(row, piece, show))
    long = max(bar.end for bar in bars)
    shrink, middle = (wide - 30) / long, low[1] + 17

    def at(mm: float) -> float:
        return low[0] + 15 + shrink * mm

    pen.text((low[0], low[1] + BAR_HIGH_MM - 4), f"{row.name}: bars and dimples", SMALL + 1, bold=True)
    pen.text((low[0], middle - 1), "wheel end", SMALL)
    pen.text((low[0] + wide, middle - 1), "rack end", SMALL, side="right")
    for bar in sorted(bars, key=lambda bar: -bar.half_high):
        pen.box((at(bar.start), middle - bar.half_high), (at(bar.end), middle + bar.half_high), width=0.3, fill=KEPT)
    for number, bar in enumerate(bars):
        y = middle - 8.5 - 4.5 * number
        for end in (bar.start, bar.end):
            pen.line((at(end), middle - bar.half_high), (at(end), y - 1), 0.1)
            pen.arrow((at((bar.start + bar.end) / 2), y), (at(end), y), 0.15, 1.6)
        pen.text((at((bar.start + bar.end) / 2), y + 0.5), bar.said, SMALL, side="middle", backed=True)
    for dimple in row.dimples:
        place = dimple.from_end_mm if dimple.end == "wheel" else long - dimple.from_end_mm
        _dimple(pen, at(place), middle, dimple, show)


def _dimple(pen: Pen, x: float, middle: float, dimple: Dimple, show: Show) -> None:
    """A cross on the bar, and how far it is from the end it is read from."""
    for way in (1, -1):
        pen.line((x - 1.2, middle - 1.2 * way), (x + 1.2, middle + 1.2 * way), 0.4)
    pen.line((x, middle + 1.5), (x, middle + 8), 0.1)
    side: Side = "left" if dimple.end == "wheel" else "right"
    said = f"dimple for {dimple.joint}, {near(dimple.from_end_mm, show)} from the {dimple.end} end"
    pen.text((x, middle + 9), said, SMALL, side=side, backed=True)


def _bars(row: PieceRow, piece: ShaftPiece, show: Show) -> Iterator[Bar]:
    if row.halves is None:
        yield Bar(0.0, row.length.finished, THIN, f"bar: {_lengths(row.length, show)}")
        return
    slide, whole = piece.telescope, (row.length.low + row.length.high) / 2
    assert slide is not None  # a shaft with halves telescopes
    for name, band, made, thick, at_wheel in (
        ("solid half", row.halves.solid, slide.solid_long, THIN, slide.solid_toward == "wheel"),
        ("tube half", row.halves.tube, slide.tube_long, THICK, slide.solid_toward != "wheel"),
    ):
        long = band.finished if made is None else made.mm
        said = f"{name}: {_lengths(band, show) if made is None else f'as made, {near(long, show)}'}"
        yield Bar(0.0 if at_wheel else whole - long, long if at_wheel else whole, thick, said)


def _lengths(band: BarLength, show: Show) -> str:
    if band.low > band.high:
        return "no length does"
    return f"first {at_least(band.first, show)}, finished {finished(band.finished, band.low, band.high, show)}"
