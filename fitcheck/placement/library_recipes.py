"""What the library's meshes are made of: invented parts of usual sizes (common practice, no source), no real one.

Millimetres, each in its own frame as its words say. No two pieces share a corner, so that each stays a part of its own.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from fitcheck.geometry.frames import Frame
from fitcheck.geometry.primitives import block, box, cylinder, flat_bar, prism, ring, sheet
from fitcheck.geometry.solids import Piece

Point = tuple[float, float, float]
GROWTH = 2e-4


@dataclass(frozen=True, eq=False)
class Recipe:
    """A mesh to be written; each piece has as many vertices round its bottom as round its top, in that order."""

    name: str
    frame: str
    pieces: tuple[Piece, ...]
    points: tuple[tuple[str, Point], ...]


def recipes() -> tuple[Recipe, ...]:
    """Column, unit, bracket, pedal and foot space."""
    return (_column(), _unit(), _bracket(), _pedal(), _foot_space())


UNIT_FRAME = (
    "z down the column, origin on the column's axis at the unit's input face; x toward the far end of the motor can, "
    "y completes the right hand; the can lies at y+, so it passes over the column when it points to 9:00"
)


def _unit() -> Recipe:
    plane, beside = 122.0, 52.0
    pieces = (
        cylinder([0, 0, 0], [0, 0, 78], 72, "sensor section"),
        cylinder([0, 0, 78], [0, 0, 166], 108, "gear body"),
        cylinder([0, 0, 166], [0, 0, 208], 30, "output stub"),
        cylinder([-38, beside, plane], [54, beside, plane], 56, "worm housing"),
        cylinder([54, beside, plane], [196, beside, plane], 82, "motor can"),
        cylinder([156, beside, plane], [156, beside, plane - 65], 28, "plug"),
    )
    points = (
        ("input face", (0.0, 0.0, 0.0)),
        ("output end", (0.0, 0.0, 208.0)),
        ("motor plane on the axis", (0.0, 0.0, plane)),
        ("motor can, far end", (196.0, beside, plane)),
        ("plug, end", (156.0, beside, plane - 65)),
    )
    return Recipe("unit", UNIT_FRAME, pieces, points)


def _column() -> Recipe:
    frame = "z down the column, origin where the steering wheel's hub seats; x to 12 o'clock, y to 3 o'clock"
    pieces = (
        cylinder([0, 0, 0], [0, 0, 60], 19, "shaft, upper end"),
        cylinder([0, 0, 22], [0, 0, 112], 94, "switch housing"),
        cylinder([0, 0, 110], [0, 0, 690], 44.5, "jacket"),
        cylinder([0, 0, 686], [0, 0, 765], 19.05, "shaft, lower end"),
    )
    points = (
        ("hub seat", (0.0, 0.0, 0.0)),
        ("jacket, upper end", (0.0, 0.0, 110.0)),
        ("jacket, lower end", (0.0, 0.0, 690.0)),
        ("shaft, lower end", (0.0, 0.0, 765.0)),
    )
    return Recipe("column", frame, pieces, points)


def _bracket() -> Recipe:
    clamp = _apart(ring([0, 0, -68], [0, 0, -36], 44.5, 70, "clamp"))
    pieces = (*clamp, *_leg("left leg", -1), *_leg("right leg", 1))
    points = (
        ("clamp, middle", (0.0, 0.0, -52.0)),
        ("left leg, foot", (-47.0, 0.0, 77.5)),
        ("right leg, foot", (47.0, 0.0, 77.5)),
    )
    words = f"the unit's: {UNIT_FRAME}; the clamp holds the jacket above the unit, the legs reach its gear body"
    return Recipe("bracket", words, pieces, points)


def _apart(pieces: Iterable[Piece]) -> Iterator[Piece]:
    """Each piece grown about its middle by a little more than the one before, so that neighbours share no corner."""
    for k, piece in enumerate(pieces):
        middle = piece.vertices.mean(axis=0)
        yield Piece(middle + (1 + k * GROWTH) * (piece.vertices - middle), piece.name)


def _leg(name: str, side: int) -> tuple[Piece, ...]:
    line = np.array([[34.0, 0, -60], [47, 0, -40], [47, 0, 77.5]]) * [side, 1, 1]
    return tuple(_apart(flat_bar(line, [0, 1, 0], 6, 32, name)))


def _pedal() -> Recipe:
    frame = "origin on the pivot's axis, in the middle of its hub, pedal at rest; x rearward, y to the right, z up"
    arm = np.array([[0.0, 0, 0], [36, 0, -78], [102, -6, -186], [140, -6, -262]])
    pad = np.array([143.0, -6, -274])
    swing = Frame.from_axes(pad, z=[-pad[2], 0, pad[0]], toward_x=[0, 1, 0])
    bars = _apart(flat_bar(arm, [0, 1, 0], 28, 8))
    pieces = (
        cylinder([0, -22, 0], [0, 22, 0], 28, "hub"),
        *(piece.named(words) for piece, words in zip(bars, ("upper arm", "middle arm", "lower arm"), strict=True)),
        block(swing, [60, 54, 9], "pad"),
    )
    points = (("pivot", (0.0, 0.0, 0.0)), ("pad, middle", (143.0, -6.0, -274.0)))
    return Recipe("pedal", frame, pieces, points)


def _foot_space() -> Recipe:
    """Left-hand drive; the firewall's face to the driver is x = 0, with a square opening round the column's place."""
    upright = Frame.from_axes([0, -280, 0], z=[0, 1, 0], toward_x=[1, 0, 0])  # its x, y: rearward, down
    toe_board = sheet(np.array([[0.0, 150], [118, 268]]), 1.2, 510, upright, "toe-board")
    tunnel = np.array([[380.0, -270], [380, 40], [290, 40], [230, -270]])
    across = Frame.from_axes([0, 0, 0], z=[1, 0, 0], toward_x=[0, 1, 0])  # its x, y: right, up
    pieces = (
        box([-1.2, -282, -160], [0, -48, 330], "firewall, left of the column"),
        box([-1.2, 48, -159], [0, 262, 331], "firewall, right of the column"),
        box([-1.2, -49, 48], [0, 49, 332], "firewall, above the column"),
        box([-1.2, -50, -158], [0, 50, -48], "firewall, below the column"),
        *toe_board,
        box([112, -283, -271], [760, 264, -268], "floor"),
        box([-1, -284, -272], [760.5, -281, 333], "left wall"),
        prism(tunnel, -1.1, 761.0, across, "tunnel"),
    )
    points = (
        ("datum", (0.0, 0.0, 0.0)),
        ("toe-board, upper edge", (0.0, 0.0, -150.0)),
        ("toe-board meets floor", (118.0, 0.0, -268.0)),
    )
    words = (
        "the car's: x rearward, y to the driver's right, z up; origin in the firewall's face, at the datum, "
        "in the middle of the opening for the column; left-hand drive, the tunnel to the right"
    )
    return Recipe("foot_space", words, pieces, points)
