"""A proof of a car with all that moves, tampered with where groups carry parts: each is refused, none with a trace.

What is changed is changed in every part alike, so that all that is stated hangs together and only the readings, or what
the job says of its groups, can tell.
"""

import json
from collections.abc import Callable
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from fitcheck.verify import Refused, verify
from fitcheck.verify.carried import _turned_box
from tests import jobs, proofs
from tests.clearance.test_proof import written
from tests.proofs import Table, pair, part

CAR = "saloon-adjustable"
TILT, REACH = "turn", "slide"
NOWHERE = {"low": [0.0] * 3, "high": [0.0] * 3}


def carries(proof: Table, group: str) -> list[Table]:
    """Every statement of what a group does to a part."""
    found = [
        each for one in proof["parts"] for phase in one["phases"] for each in phase["carry"] if each["group"] == group
    ]
    assert found
    return found


def moves(proof: Table, group: str, kind: str) -> list[Table]:
    found = [move for carry in carries(proof, group) for move in carry["moves"] if move["kind"] == kind]
    assert found
    return found


def ends(proof: Table, group: str, kind: str, **by: float) -> None:
    """Move one end of a movement in all parts, and let no box lie beyond it."""
    for move in moves(proof, group, kind):
        old = {end: move[end] for end in by}
        for end, more in by.items():
            move[end] += more
        for entry in proof["pairs"]:
            for leaf in (leaf for cover in entry.get("covers", []) for leaf in cover["leaves"]):
                for box in leaf["box"]:
                    for k, end in enumerate(("start", "stop")):
                        if end in by and box[k] == old[end]:
                            box[k] = move[end]


def shifted(proof: Table, group: str, end: str, way: int, by: float) -> None:
    for carry in carries(proof, group):
        carry["shift"][end][way] += by


def pointed(proof: Table, group: str, kind: str, key: str, by: tuple[float, float, float]) -> None:
    for move in moves(proof, group, kind):
        moved = np.array(move[key]) + by
        move[key] = (moved / np.linalg.norm(moved) if key != "point" else moved).tolist()


def dropped(proof: Table, group: str, kind: str | None = None) -> None:
    """A group, or one movement of it, left out of every part."""
    for one in proof["parts"]:
        for phase in one["phases"]:
            for carry in phase["carry"]:
                if kind is not None and carry["group"] == group:
                    carry["moves"] = [move for move in carry["moves"] if move["kind"] != kind]
            if kind is None:
                phase["carry"] = [carry for carry in phase["carry"] if carry["group"] != group]


def carried(proof: Table, name: str, like: str) -> None:
    """A part said to be carried as another one is."""
    for phase in part(proof, name)["phases"]:
        phase["carry"] = part(proof, like)["phases"][0]["carry"]


def alone(proof: Table, name: str, end: str, more: float) -> None:
    """The tilt of one part alone goes farther than that of the others."""
    for phase in part(proof, name)["phases"]:
        for move in (move for carry in phase["carry"] for move in carry["moves"] if move["kind"] == TILT):
            move[end] += more


Tamper = Callable[[Table], Any]
TAMPERS: dict[str, tuple[Tamper, str]] = {
    "less tilt up": (lambda p: ends(p, "column", TILT, stop=-0.012), "tilt of the column"),
    "less tilt down": (lambda p: ends(p, "column", TILT, start=0.012), "tilt of the column"),
    "tilt far beyond what was read": (lambda p: ends(p, "column", TILT, stop=0.1), "tilt of the column"),
    "tilt about another pivot": (
        lambda p: pointed(p, "column", TILT, "point", (0, 0, 0.02)), "tilt of the column, its pivot"),
    "tilt about another axis": (
        lambda p: pointed(p, "column", TILT, "axis", (0.001, 0, 0)), "tilt of the column, its axis"),
    "tilt the other way round": (
        lambda p: pointed(p, "column", TILT, "axis", (0, 3, 0)), "tilt of the column, its axis"),
    "tilt left out": (lambda p: dropped(p, "column", TILT), r"joints carry it by \['slide', 'turn'\]"),
    "less reach out": (lambda p: ends(p, "column", REACH, stop=-4.0), "reach of the column"),
    "less reach in": (lambda p: ends(p, "column", REACH, start=4.0), "reach of the column"),
    "reach far beyond what was read": (lambda p: ends(p, "column", REACH, stop=40.0), "reach of the column"),
    "reach along another way": (
        lambda p: pointed(p, "column", REACH, "direction", (0, 0.001, 0)), "reach of the column, its way"),
    "reach left out": (lambda p: dropped(p, "column", REACH), r"joints carry it by \['slide', 'turn'\]"),
    "column said to stand still": (lambda p: dropped(p, "column"), "joints carry it by"),
    "a column that shifts": (lambda p: carries(p, "column")[0].update(shift=NOWHERE), "a column tilts or slides"),
    "the unit alone tilts farther": (lambda p: alone(p, "unit", "stop", 0.002), "in another way than the other"),
    "the firewall goes with the column": (
        lambda p: carried(p, "firewall", "unit"), "firewall: by the job it is carried"),
    "the unit stands still": (lambda p: carried(p, "unit", "firewall"), "unit: the column's joints carry it"),
    "the unit's carry under another name": (
        lambda p: [carry.update(group="engine") for carry in carries(p, "column")], "nothing else carries"),
    "less rock": (lambda p: ends(p, "engine", TILT, stop=-0.01), "engine, rock"),
    "less rock the other way": (lambda p: ends(p, "engine", TILT, start=0.01), "engine, rock"),
    "rock far beyond what was read": (lambda p: ends(p, "engine", TILT, stop=0.2), "engine, rock"),
    "rock far beyond what was read the other way": (lambda p: ends(p, "engine", TILT, start=-0.2), "engine, rock"),
    "rock about another place": (
        lambda p: pointed(p, "engine", TILT, "point", (0, 0, 0.02)), "engine, axis of its rock"),
    "rock about another way": (
        lambda p: pointed(p, "engine", TILT, "axis", (0, 0, 0.001)), "engine, way of that axis"),
    "rock the other side up": (
        lambda p: [move.update(axis=[-x for x in move["axis"]]) for move in moves(p, "engine", TILT)],
        "its axis points forward"),
    "rock left out": (lambda p: dropped(p, "engine"), "air cleaner: by the job it is carried"),
    "an engine that shifts": (
        lambda p: carries(p, "engine")[0].update(shift=NOWHERE), "an engine rocks about one axis"),
    "the engine not on the frame": (
        lambda p: part(p, "air cleaner")["phases"][0]["carry"].pop(0), "air cleaner: by the job it is carried"),
    "frame and engine the other way round": (
        lambda p: part(p, "air cleaner")["phases"][0]["carry"].reverse(), "air cleaner: by the job it is carried"),
    "less shift of the frame": (lambda p: shifted(p, "frame", "high", 2, -1.0), "frame, shift"),
    "less shift of the frame forward": (lambda p: shifted(p, "frame", "low", 0, 1.0), "frame, shift"),
    "a frame's shift far beyond what was read": (lambda p: shifted(p, "frame", "high", 1, 40.0), "frame, shift"),
    "a frame's shift turned round": (
        lambda p: [each.update(shift={"low": each["shift"]["high"], "high": each["shift"]["low"]})
                   for each in carries(p, "frame")], "frame, shift|a shift|stops before"),
    "a frame that does not shift": (
        lambda p: [each.pop("shift") for each in carries(p, "frame")], "a frame shifts"),
    "less travel of the axle up": (lambda p: shifted(p, "axle", "high", 2, -5.0), "axle, shift"),
    "less travel of the axle down": (lambda p: shifted(p, "axle", "low", 2, 5.0), "axle, shift"),
    "the axle left out": (lambda p: dropped(p, "axle"), "drag link: by the job it is carried"),
    "the drag link on the engine": (
        lambda p: carried(p, "drag link", "air cleaner"), "drag link: by the job it is carried"),
    "a leaf of a pair with three movements removed": (
        lambda p: pair(p, "unit", "clutch")["covers"][0]["leaves"].pop(0), "leave a hole"),
}  # fmt: skip


@pytest.mark.parametrize("name", TAMPERS)
def test_what_groups_do_cannot_be_changed(name: str) -> None:
    proof = proofs.table(CAR)
    tamper, said = TAMPERS[name]
    tamper(proof)
    with pytest.raises(Refused, match=said):
        verify(proofs.content(proof))


def test_a_shift_as_a_turned_body_sees_it_lies_in_the_box_worked_out() -> None:
    """Turned back by every angle up to the stated one, any shift of the box; some come near its sides."""
    rng, nearest = np.random.default_rng(3), np.inf
    for _ in range(30):
        axis = rng.normal(size=3)
        turn: Table = {"axis": axis / np.linalg.norm(axis), "start": -rng.uniform(0, 1.5), "stop": rng.uniform(0, 1.5)}
        low, high = -rng.uniform(0, 60, 3), rng.uniform(0, 60, 3)
        box_low, box_high = _turned_box(low, high, turn)
        shifts = np.array(list(product(*zip(low, high, strict=True))))
        for angle in np.linspace(turn["start"], turn["stop"], 25):
            seen = Rotation.from_rotvec(-angle * turn["axis"]).apply(shifts)
            assert (seen >= box_low - 1e-9).all()
            assert (seen <= box_high + 1e-9).all()
            nearest = min(nearest, float((box_high - seen).min()))
    assert nearest < 1
    for bad in ({"start": -1.6}, {"stop": 1.6}):
        with pytest.raises(Refused, match="a quarter turn at most"):
            _turned_box(low, high, turn | bad)
    for wrong in ((low + 70, high + 70), (low - 70, high - 70)):
        with pytest.raises(Refused, match="a shift from rest"):
            _turned_box(*wrong, turn)


@pytest.mark.parametrize(
    "pivot",
    [
        {"along": "640 mm", "out": "20 mm", "out_from": "axis", "clock": "6:00"},
        {"along": "640 mm", "out": "4 mm", "out_from": "skin", "clock": "10:30"},
    ],
)
def test_a_pivot_off_the_column_is_worked_out_anew(tmp_path: Path, pivot: Table) -> None:
    """By tape down the column, square out and by its clock place; a hair beside that it is refused."""
    tables = jobs.example(CAR)
    tables["groups"]["column"]["tilt"]["pivot"] = pivot
    told = written(tables, tmp_path)
    (loose,) = (line for line in verify(told) if line.startswith("not worked out anew"))
    assert "pivot" not in loose
    proof = json.loads(told)
    pointed(proof, "column", TILT, "point", (0, 0, 0.02))
    with pytest.raises(Refused, match="tilt of the column, its pivot"):
        verify(proofs.content(proof))


def test_a_pivot_that_cannot_be_worked_out_is_taken_as_stated_and_said_to_be(tmp_path: Path) -> None:
    """By level in a car that leans: the proof's own pivot, wherever it is, and a line that says so."""
    tables = jobs.example(CAR)
    tables["job"]["sat"] = {"sill_angle": "0.4 deg nose up", "cross_angle": "level"}
    tables["groups"]["column"]["tilt"]["pivot"] |= {"by": "level"}
    told = written(tables, tmp_path)
    (loose,) = (line for line in verify(told) if line.startswith("not worked out anew"))
    assert "tilt of the column, its pivot (groups.column.tilt.pivot)" in loose
    proof = json.loads(told)
    for one in proof["parts"]:
        for phase in one["phases"]:
            for each in phase["carry"] if one["name"] in ("column", "unit", "bracket") else []:
                each["moves"] = [move for move in each["moves"] if move["kind"] != TILT]
    with pytest.raises(Refused, match=r"groups\.column\.tilt\.pivot: where it is cannot be worked out"):
        verify(proofs.content(proof))


def test_the_same_table_untouched_is_accepted_and_so_is_a_movement_a_little_wider() -> None:
    """Boxes that stop short of a wider movement leave a hole; with no pair concerned the wider one is taken."""
    assert verify(proofs.content(proofs.table(CAR)))
    proof = proofs.table(CAR)
    ends(proof, "engine", TILT, stop=0.001)
    assert verify(proofs.content(proof))
