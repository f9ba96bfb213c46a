"""The chapter on reaching in as JSON: keys are a contract; what is not known is absent, never null."""

from typing import Any

from fitcheck.confidence.reach import Hanging, MoveRow, ReachChapter
from fitcheck.report.gap_document import down, gap_row, near, point, up


def reach_document(reach: ReachChapter) -> dict[str, Any]:
    """The chapter: result, what hangs how low, every move of the way out, every room."""
    return {
        "result": reach.result.value,
        "hang": [_hang(each) for each in reach.hang],
        "way_out": [_move(move) for move in reach.moves],
        "rooms": [
            {"name": room.name, "result": room.result.value, "gaps": [gap_row(entry) for entry in room.gaps]}
            for room in reach.rooms
        ],
    }


def _hang(each: Hanging) -> dict[str, Any]:
    hang = each.hang
    row: dict[str, Any] = {"part": hang.part, "lowest": hang.piece, "at": point(hang.at)}
    row |= {"below_column_mm": near(hang.below_column_mm), "below_column_spread_mm": up(each.column_spread_mm)}
    if hang.below_dash_mm is not None:
        row |= {"below_dash_mm": near(hang.below_dash_mm), "below_dash_spread_mm": up(each.dash_spread_mm)}
    return row


def _move(move: MoveRow) -> dict[str, Any]:
    return {
        "name": move.name,
        "goes_mm": {way: near(mm) for way, mm in move.lengths.items()},
        "far_mm": near(move.far_mm),
        "result": move.result.value,
        "free_mm": {part: down(mm) for part, mm in move.free_mm.items()},
        "gaps": [gap_row(entry) for entry in move.gaps],
    }
