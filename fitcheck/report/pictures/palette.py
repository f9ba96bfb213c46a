"""Colours of the pictures: warm paper, dark ink, and the Okabe-Ito set, which colour-blind people can tell apart.

Okabe and Ito, "Color Universal Design", 2008 (jfly.uni-koeln.de/color); values recalled from memory. Parts and results
share no colour: vermilion, orange and bluish green are for results alone.
"""

from dataclasses import dataclass

from fitcheck.confidence.results import Result
from fitcheck.placement.scene import Kind, Part
from fitcheck.report.pictures.stage import Shown
from fitcheck.verdict import Outcome

ORANGE, SKY, GREEN, YELLOW = "#E69F00", "#56B4E9", "#009E73", "#F0E442"
BLUE, VERMILION, PURPLE = "#0072B2", "#D55E00", "#CC79A7"
PAPER, PANEL, INK, FAINT, RULE = "#F6F1E7", "#FFFDF8", "#2B2620", "#6B6257", "#D8CFBF"
METAL, STONE = "#9A958C", "#B8A88F"

RESULT_COLOURS = {
    Result.HITS: VERMILION,
    Result.UNDER: VERMILION,
    Result.NOT_KNOWN: INK,
    Result.TOO_CLOSE: ORANGE,
    Result.CLEAR: GREEN,
    Result.AS_BEFORE: FAINT,
    Result.JOINED: FAINT,
}
OUTCOME_RESULTS = {
    Outcome.DOES_NOT_FIT: Result.HITS,
    Outcome.CANNOT_DECIDE: Result.TOO_CLOSE,
    Outcome.FITS: Result.CLEAR,
}


@dataclass(frozen=True)
class Look:
    """How a kind of part is drawn: colour, how much it hides of what is behind it (0..1), its word in the key."""

    colour: str
    opacity: float
    word: str


LOOKS = {
    Kind.UNIT: Look(BLUE, 1.0, "assist unit"),
    Kind.BRACKET: Look(SKY, 1.0, "bracket"),
    Kind.COLUMN: Look(METAL, 1.0, "column, pedal shaft"),
    Kind.PEDAL: Look(YELLOW, 1.0, "pedals, rods"),
    Kind.LINKAGE: Look(YELLOW, 1.0, "pedals, rods"),
    Kind.PIVOT_SHAFT: Look(METAL, 1.0, "column, pedal shaft"),
    Kind.BOOT: Look(PURPLE, 0.28, "boots (seen through)"),
    Kind.OBSTACLE: Look(STONE, 0.22, "other parts (seen through)"),
}
SHAFT = Look("#56605F", 1.0, "intermediate shaft")
SHEET = Look(STONE, 0.07, "")
GHOST_OPACITY = 0.10


def look(shown: Shown) -> Look:
    """How the part is drawn."""
    if shown.is_sheet:
        return SHEET
    return look_of(shown.part)


def look_of(part: Part) -> Look:
    """How a part is drawn where it is no sheet. What stands as measured is the intermediate shaft's."""
    return SHAFT if part.as_measured else LOOKS[part.kind]


def on(colour: str) -> str:
    """Colour of writing that is legible on a result's colour."""
    return INK if colour == ORANGE else "#FFFFFF"
