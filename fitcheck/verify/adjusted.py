"""A column that tilts or slides, tied to the readings: what lies above a joint goes along, so far at least as was read.

Car frame, mm, rad; joints are counted along the column from the hub seat. The one farther down carries the other.
"""

from collections.abc import Iterator
from typing import Any

import numpy as np

from fitcheck.verify.bodies import Part
from fitcheck.verify.form import Refused, Vector
from fitcheck.verify.readings import degrees, spelled
from fitcheck.verify.ties import A_METRE, Ties, apart, turn_of_chord

Table = dict[str, Any]
PIVOT = ("groups", "column", "tilt", "pivot")


def tie_adjusted(ties: Ties, column: Table, placed: dict[str, Part]) -> None:
    """What sits on the column is carried by each of its joints that lies below it, and by nothing else."""
    joints, at = _joints(ties, column, placed), ties.readings.at
    turning = {"column", "unit"} | ({"bracket"} if at("bracket", "turns") == "with the unit" else set())
    for name in [name for name in ("column", "unit", "bracket") if name in placed]:
        for k, phase in enumerate(placed[name].table["phases"]):
            reaches = placed[name] if name == "column" else placed.get("unit", placed[name])
            lowest = _lowest(reaches, k if name == "column" else None, column)
            expected = [kind for joint, kind in joints if name in turning and joint >= lowest - 1e-6]
            told = [move["kind"] for each in phase["carry"] for move in each["moves"]]
            if told != expected or len(phase["carry"]) != bool(expected):
                raise Refused(
                    f"{name}: the column's joints carry it by {expected or 'nothing'}, not {told or 'nothing'}"
                )
            for each in phase["carry"]:
                if each["group"] != "column" or "shift" in each:
                    raise Refused(f"{name}: a column tilts or slides, and nothing else carries what sits on it")
                for move in each["moves"]:
                    if move["kind"] == "turn":
                        _tilt(ties, column, move, _pivot(ties, column, placed))
                    else:
                        _reach(ties, column, move)


def _joints(ties: Ties, column: Table, placed: dict[str, Part]) -> list[tuple[float, str]]:
    """How far along each joint is, and whether it turns or slides; the nearest to the wheel first."""
    joints = []
    if ties.readings.at("groups", "column", "reach") is not None:
        joints.append((ties.readings.need("groups", "column", "reach", "slides_at"), "slide"))
    if ties.readings.at("groups", "column", "tilt") is not None:
        joints.append((float(_pivot(ties, column, placed)[2]), "turn"))
    return sorted(joints, key=lambda joint: joint[0])


def _pivot(ties: Ties, column: Table, placed: dict[str, Part]) -> Vector:
    """The tilt's pivot in the column's frame; as the proof states it, noted so, where it is not worked out anew."""
    pivot = ties.readings.place(*PIVOT)
    if pivot is not None:
        return np.asarray((pivot - column["origin"]) @ column["rotation"])
    off_column = _off_column(ties)
    if off_column is not None:
        return off_column
    turns = [move for part in placed.values() for move in _moves_of_column(part) if move["kind"] == "turn"]
    if not turns:
        raise Refused(f"{spelled(PIVOT)}: where it is cannot be worked out, and nothing is said to turn about it")
    note = f"tilt of the column, its pivot ({spelled(PIVOT)})"
    if note not in ties.loose:
        ties.loose.append(note)
    return np.asarray((turns[0]["point"] - column["origin"]) @ column["rotation"])


def _off_column(ties: Ties) -> Vector | None:
    """The pivot by tape down the column, square out from it and by its clock place, in the column's frame."""
    path: tuple[str, ...] = PIVOT
    at = ties.readings.at
    if isinstance(at(*path), str) and not at("readings"):
        path = ("points", at(*path))
    place = at(*path)
    if not isinstance(place, dict) or place.get("side", "middle") != "middle":
        return None
    clock, mark, need = degrees(place.get("clock")), place.get("along_from", "hub_seat"), ties.readings.need
    if clock is None:
        return None
    skin = need("column", "jacket_od") / 2 if place.get("out_from") == "skin" else 0.0
    marked = 0.0 if mark == "hub_seat" else need("column", "marks", mark, "along")
    out, turned = need(*path, "out") + skin, np.radians(clock)
    return np.array([out * np.cos(turned), out * np.sin(turned), marked + need(*path, "along")])


def _moves_of_column(part: Part) -> Iterator[Table]:
    """Every movement of the column that carries the part."""
    for phase in part.table["phases"]:
        yield from (move for each in phase["carry"] if each["group"] == "column" for move in each["moves"])


def _lowest(part: Part, which: int | None, column: Table) -> float:
    """How far along the lowest corner of a part's pieces is, or of the pieces of one of its phases."""
    phases = part.table["phases"] if which is None else [part.table["phases"][which]]
    points = np.concatenate([piece["vertices"] for phase in phases for piece in phase["pieces"]])
    return float(((points - column["origin"]) @ column["rotation"][:, 2]).max())


def _reach(ties: Ties, column: Table, move: Table) -> None:
    need = ties.readings.need
    ties.tied("reach of the column, its way", A_METRE * apart(move["direction"], -column["rotation"][:, 2]))
    out, away = (need("groups", "column", "reach", key) for key in ("toward_driver", "away"))
    wider = move["stop"] - out, -move["start"] - away
    ties.at_least("reach of the column", -min(wider), max(wider))


def _tilt(ties: Ties, column: Table, move: Table, pivot: Vector) -> None:
    """About 9 o'clock, right-hand: up is positive. The hub seat goes a straight c: 2 asin(c / 2r)."""
    need = ties.readings.need
    ties.tied("tilt of the column, its axis", A_METRE * apart(move["axis"], -column["rotation"][:, 1]))
    off = (move["point"] - column["origin"]) @ column["rotation"] - pivot
    ties.tied("tilt of the column, its pivot", float(np.hypot(off[0], off[2])))
    lever = float(np.hypot(pivot[0], pivot[2]))
    up, down = (turn_of_chord(need("groups", "column", "tilt", key), lever, "tilt") for key in ("up", "down"))
    wider = lever * (move["stop"] - up), lever * (-move["start"] - down)
    ties.at_least("tilt of the column", -min(wider), max(wider))
