"""Reaching in as plain text: how low things hang, the way out move by move, and room for hands and tools."""

from collections.abc import Iterator
from textwrap import wrap

from fitcheck.confidence.reach import Hanging, MoveRow, ReachChapter, RoomRow
from fitcheck.confidence.results import Judged, Result
from fitcheck.placement.scene import Scene
from fitcheck.report import words
from fitcheck.report.gap_text import gap, in_full, where
from fitcheck.report.rows import bulleted, hung, label

WAYS = {"toward_wheel": "up the column", "toward_rack": "down the column", "left": "to the driver's left",
        "right": "to the driver's right"}  # fmt: skip
WAY_IN = "The way in is the same backwards: last move first, each the other way."
LISTED = 2  # nearest parts told of a move or room that is clear
NEAR_MM = 50.0


def reach_text(
    reach: ReachChapter, head: list[str], scene: Scene, show: words.Show, waiting: list[str], width: int
) -> str:
    """The whole chapter under `head`, lines that say whose job it is."""
    blocks = (
        head,
        wrap(f"REACHING IN: {summary(reach)}.", width, subsequent_indent="  "),
        _hang(reach.hang, show, width),
        _moves(reach.moves, scene, show, width),
        _rooms(reach.rooms, scene, show, width),
        bulleted("Not looked at yet", waiting, width),
        bulleted("Cautions", words.CAUTIONS, width),
    )
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def reach_rows(reach: ReachChapter, show: words.Show, width: int) -> list[str]:
    """The chapter in short, for the whole verdict."""
    hangs = "; ".join(f"{each.hang.part} hangs {_below(each, show)}" for each in reach.hang if each.hang.part == "unit")
    told = f"Reaching in: {summary(reach)}. {hangs.capitalize()}. All of it is in: fitcheck reach"
    return wrap(told, width, subsequent_indent="  ")


def summary(reach: ReachChapter) -> str:
    """The result of the way out and of the rooms."""
    out = [] if not reach.moves else [f"way out: {_worst(reach.moves).value}"]
    rooms = [] if not reach.rooms else [f"rooms: {_worst(reach.rooms).value}"]
    return "; ".join([*out, *rooms]) or "nothing judged"


def _worst(rows: tuple[MoveRow, ...] | tuple[RoomRow, ...]) -> Result:
    return min((row.result for row in rows), key=list(Result).index)


def _hang(hang: tuple[Hanging, ...], show: words.Show, width: int) -> list[str]:
    rows = ["How low it hangs (reported, not judged)"]
    for each in hang:
        rows += hung(f"      {each.hang.part}", [f"lowest: {each.hang.piece}; {_below(each, show)}"], width)
    return rows if hang else []


def _below(each: Hanging, show: words.Show) -> str:
    column = _far(
        each.hang.below_column_mm,
        show,
        "below the jacket's underside, square to it",
        "above the jacket's underside, square to it",
    )
    told = [f"{column}, {words.spread(each.column_spread_mm)}"]
    if each.hang.below_dash_mm is not None:
        dash = _far(each.hang.below_dash_mm, show, "below the dash edge", "above the dash edge")
        told.insert(0, f"{dash}, {words.spread(each.dash_spread_mm)}")
    return "; ".join(told)


def _far(mm: float, show: words.Show, below: str, above: str) -> str:
    return f"{words.size(abs(mm), show)} {below if mm >= 0 else above}"


def _moves(moves: tuple[MoveRow, ...], scene: Scene, show: words.Show, width: int) -> list[str]:
    if not moves:
        return []
    rows = ["Way out, clocked as it sits, straight move by straight move"]
    for i, move in enumerate(moves, start=1):
        says = " and ".join(f"{words.size(mm, show)} {WAYS.get(way, way)}" for way, mm in move.lengths.items())
        about = [f"move {i}: {says}", *_entries(move.gaps, scene, show, move)]
        rows += hung(label(words.MARKS[move.result], move.result.value), about, width)
    return [*rows, *wrap(f"  {WAY_IN}", width, subsequent_indent="  ")]


def _rooms(rooms: tuple[RoomRow, ...], scene: Scene, show: words.Show, width: int) -> list[str]:
    if not rooms:
        return []
    rows = ["Room for hands and tools, pedals at rest"]
    for room in rooms:
        about = [f"{room.name}:", *_entries(room.gaps, scene, show, None)]
        rows += hung(label(words.MARKS[room.result], room.result.value), about, width)
    return rows


def _entries(entries: tuple[Judged, ...], scene: Scene, show: words.Show, move: MoveRow | None) -> Iterator[str]:
    """What is not clear, and the nearest parts of what is."""
    told: set[str] = set()
    clear = 0
    for entry in entries:
        if entry.result is Result.HITS:
            yield _hit(entry, scene, show, move)
        elif entry.result is not Result.CLEAR:
            yield from in_full(entry, scene, show, told)
        elif clear < LISTED and _is_near(entry):
            clear += 1
            yield f"{where(entry, scene, show)}: {gap(entry, scene, show)}"
    if clear == 0 and all(entry.result is Result.CLEAR for entry in entries):
        yield f"nothing within {words.size(NEAR_MM, show)}"


def _is_near(entry: Judged) -> bool:
    closest = entry.found.closest
    return closest is not None and closest.gap.bracketed and closest.gap.bound_mm < NEAR_MM


def _hit(entry: Judged, scene: Scene, show: words.Show, move: MoveRow | None) -> str:
    closest = entry.found.closest
    assert closest is not None
    if move is None:
        return f"hits the {entry.pair.b.name}: {where(entry, scene, show)}, {gap(entry, scene, show)}"
    free = words.room(move.free_mm[entry.pair.b.name], show)
    return (
        f"hits the {entry.pair.b.name} ({closest.a_where} - {closest.b_where}) after {free} of "
        f"{words.size(move.far_mm, show)}; {gap(entry, scene, show)}"
    )
