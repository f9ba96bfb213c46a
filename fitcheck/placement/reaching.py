"""Parts of reaching in: rooms for hands, spanners and connectors, the unit on its way out, and pedals at rest.

Car frame, mm. Rooms of a stated size are common practice, no source.
"""

from collections.abc import Sequence
from pathlib import Path as FilePath

import numpy as np

from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Frame, Vector, unit
from fitcheck.geometry.movement import Slide
from fitcheck.geometry.primitives import cone
from fitcheck.geometry.solids import Piece
from fitcheck.job.reaching import CAR_WAYS, Move, Room
from fitcheck.placement.points import TOWARD, Path, Places
from fitcheck.placement.scene import Kind, Part, Phase, Sway
from fitcheck.placement.shapes import shape_pieces

# Across where the work is, across at the far end, and how far out: each holds what it stands for however it is held.
ROOMS = {
    "hand": (100.0, 100.0, 200.0),  # a gloved hand and its wrist
    "spanner": (30.0, 160.0, 160.0),  # its handle swung 27 degrees each way
    "connector": (45.0, 45.0, 60.0),  # a plug drawn off, and two fingers round it
}
NEAR_MM = 5.0  # two places nearer than this give no direction
WAY_OUT = "way out"
AT_REST = " at rest"


def room_part(room: Room, path: Path, places: Places, folder: FilePath, unit_pieces: Sequence[Piece]) -> Part:
    """A room as a part; a connector without a place of its own is the unit's plug. Raises Missing."""
    if room.shape is not None:
        pieces = shape_pieces(room.shape, room.name, (*path, "shape"), places, folder)
    else:
        assert room.kind is not None  # the model holds this
        start, way = _stands(room, path, places, unit_pieces)
        near, far, long = ROOMS[room.kind]
        pieces = (cone(start, start + long * way, near, far, room.name, ("near end", "far end")),)
    joined = frozenset({room.of, *room.may_touch})
    return Part(room.name, Kind.OBSTACLE, (Phase(pieces),), new=True, keep_out=True, joined=joined)


def _stands(room: Room, path: Path, places: Places, unit_pieces: Sequence[Piece]) -> tuple[Vector, Vector]:
    """Where the work is (3,), and the direction (3,) the hand, handle or plug comes from."""
    if room.at is not None and room.toward is not None:
        start = places.point(room.at, (*path, "at"))
        way = places.point(room.toward, (*path, "toward")) - start
        if not np.linalg.norm(way) > NEAR_MM:
            raise KeyFault((*path, "toward"), f"within {NEAR_MM:g} mm of 'at'; name a place farther out")
        return start, unit(way)
    plug = next((piece for piece in unit_pieces if piece.name == "plug" and piece.places), None)
    if plug is None:
        raise KeyFault(
            (*path, "kind"), "the unit has no plug given by its solids; say where: 'at' (the plug) and 'toward'"
        )
    (_, socket), (_, end) = plug.places
    return end, unit(end - socket)


def shift(move: Move, column2car: Frame) -> Vector:
    """One move as a vector (3,)."""
    down_column = column2car.rotation[:, 2]
    ways = {**{way: TOWARD[way] for way in CAR_WAYS}, "toward_rack": down_column, "toward_wheel": -down_column}
    return np.asarray(sum(length.mm * ways[way] for way, length in move.lengths.items()))


def move_name(index: int) -> str:
    """The name of the part that is the unit on that move, counted from 0."""
    return f"unit, move {index + 1}"


def moving_unit(index: int, moves: Sequence[Move], pieces: Sequence[Piece], column2car: Frame) -> Part:
    """The unit, and what goes along, on one move of its way out; the moves before it are done."""
    before = sum((shift(move, column2car) for move in moves[:index]), np.zeros(3))
    way = shift(moves[index], column2car)
    far = float(np.linalg.norm(way))
    there = Frame(np.eye(3), before)
    placed = tuple(piece.placed(there) for piece in pieces)
    phase = Phase(placed, sways=(Sway(WAY_OUT, Slide(way, 0.0, far), (0.0, far)),))
    return Part(move_name(index), Kind.UNIT, (phase,), new=True)


def at_rest(part: Part) -> Part:
    """A pedal or linkage standing still at rest. A rod in slices of travel counts with those that hold rest."""
    pieces: list[Piece] = []
    for phase in part.phases:
        if phase.shares:
            pieces += [p for p, (low, high) in zip(phase.pieces, phase.shares, strict=True) if low <= 0 <= high]
        else:
            pieces += phase.pieces
    return Part(part.name + AT_REST, part.kind, (Phase(tuple(pieces)),), new=part.new, joined=part.joined)
