"""Reading PDFs back for tests: what stands on a page, in millimetres from its lower left corner."""

from dataclasses import dataclass
from io import BytesIO
from typing import Any

import pdfplumber
from pdfminer.pdftypes import resolve1

MM = 25.4 / 72
Point = tuple[float, float]


@dataclass(frozen=True)
class Page:
    """Size, straight lines (from, to, width), paths (points) and words with their boxes (left, low, right, high)."""

    size: Point
    lines: list[tuple[Point, Point, float]]
    paths: list[list[Point]]
    words: list[tuple[str, float, float, float, float]]
    text: str


def pages(pdf: bytes, only: list[int] | None = None) -> list[Page]:
    """Every page of a PDF, or those numbered from 1."""
    with pdfplumber.open(BytesIO(pdf), pages=only) as opened:
        return [_page(page) for page in opened.pages]


def print_scaling(pdf: bytes) -> str:
    """What the document asks of the program that prints it."""
    with pdfplumber.open(BytesIO(pdf)) as opened:
        preferences = resolve1(opened.doc.catalog["ViewerPreferences"])
        return str(preferences["PrintScaling"].name)


def fonts(pdf: bytes) -> set[str]:
    """Names of the fonts that letters are set in."""
    with pdfplumber.open(BytesIO(pdf)) as opened:
        return {char["fontname"] for page in opened.pages for char in page.chars}


def _page(page: Any) -> Page:
    high = float(page.height)

    def at(point: Any) -> Point:
        return float(point[0]) * MM, (high - float(point[1])) * MM

    lines = [(*map(at, line["pts"]), float(line["linewidth"]) * MM) for line in page.lines]
    paths = [[at(point) for point in curve["pts"]] for curve in (*page.curves, *page.rects)]
    words = [
        (word["text"], word["x0"] * MM, (high - word["bottom"]) * MM, word["x1"] * MM, (high - word["top"]) * MM)
        for word in page.extract_words()
    ]
    text = " ".join(word for word, *_ in words)
    return Page((float(page.width) * MM, high * MM), lines, paths, words, text)  # type: ignore[arg-type]


def inside(page: Page, margin: float = 4.0) -> bool:
    """Whether all writing keeps a margin to the paper's edge."""
    wide, high = page.size
    return all(
        left >= margin and low >= margin and right <= wide - margin and top <= high - margin
        for _, left, low, right, top in page.words
    )
