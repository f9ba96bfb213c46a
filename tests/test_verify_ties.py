"""Geometry moved with everything that hangs on it, so that only the readings can tell: each is named and refused."""

from collections.abc import Callable, Iterable
from typing import Any

import numpy as np
import pytest

from fitcheck.verify import Refused, verify
from tests import proofs
from tests.proofs import Table, part, pieces

SALOON, VAN = "saloon-10-45", "van-440-along"
POINTS = ("start", "end", "origin", "centres")


def shift(found: Iterable[Table], by: tuple[float, float, float]) -> None:
    """Move pieces with the true solids they stand for."""
    for piece in found:
        piece["vertices"] = (np.array(piece["vertices"]) + by).tolist()
        exact = piece.get("exact", {})
        exact.update({key: (np.array(exact[key]) + by).tolist() for key in POINTS if key in exact})


def named(proof: Table, owner: str, name: str) -> list[Table]:
    found = [piece for piece in pieces(part(proof, owner)) if piece["name"] == name]
    assert found
    return found


def all_of(proof: Table, owner: str) -> list[Table]:
    return list(pieces(part(proof, owner)))


def turn_frame(proof: Table, name: str, column: int, by: float) -> None:
    """Turn a frame about one of its own axes."""
    frame = proof["frames"][name]
    rotation = np.array(frame["rotation"])
    one, other = (rotation[:, (column + k) % 3].copy() for k in (1, 2))
    rotation[:, (column + 1) % 3] = np.cos(by) * one + np.sin(by) * other
    rotation[:, (column + 2) % 3] = np.cos(by) * other - np.sin(by) * one
    frame["rotation"] = rotation.tolist()


def wider(proof: Table) -> None:
    """The clutch's pad 10 mm narrower across, its corners with it."""
    (pad,) = named(proof, "clutch", "clutch pad")
    box = pad["exact"]
    box["size"][0] -= 10
    signs = np.array(np.meshgrid([-1, 1], [-1, 1], [-1, 1])).reshape(3, -1).T
    pad["vertices"] = (signs * np.array(box["size"]) / 2 @ np.array(box["rotation"]).T + box["origin"]).tolist()


def pivot_moved(proof: Table, owner: str) -> None:
    part(proof, owner)["phases"][0]["moves"][0]["point"][2] += 0.05


def steeper(proof: Table) -> None:
    """The column's frame tilted by a thousandth about its own 3 o'clock; 12 o'clock stays as near up as can be."""
    turn_frame(proof, "column", 1, 0.001)


def swinging_askew(proof: Table) -> None:
    move = part(proof, "throttle")["phases"][0]["moves"][0]
    axis = np.array(move["axis"]) + [0.001, 0, 0]
    move["axis"] = (axis / np.linalg.norm(axis)).tolist()


TAMPERS: list[tuple[str, str, Callable[[Table], Any]]] = [
    (SALOON, "throttle, pivot", lambda p: pivot_moved(p, "throttle")),
    (SALOON, "throttle, axis", swinging_askew),
    (SALOON, "clutch, pivot", lambda p: pivot_moved(p, "clutch")),
    (SALOON, "clutch, arm", lambda p: shift(named(p, "clutch", "clutch arm"), (30, 0, 0))),
    (SALOON, "clutch, tail", lambda p: shift(named(p, "clutch", "clutch tail"), (0, 9, 0))),
    (SALOON, "clutch, pad", lambda p: shift(named(p, "clutch", "clutch pad"), (0, 0, 0.02))),
    (SALOON, "clutch, pad", wider),
    (SALOON, "clock of the unit", lambda p: turn_frame(p, "unit", 2, 0.0001)),
    (SALOON, "input face of the unit", lambda p: p["frames"]["unit"]["origin"].__setitem__(0, 250.0)),
    (SALOON, "unit, gear body", lambda p: shift(named(p, "unit", "gear body"), (0, 0.02, 0))),
    (SALOON, "12 o'clock of the column", lambda p: turn_frame(p, "column", 2, 0.001)),
    (SALOON, "low place on the column", steeper),
    (SALOON, "column jacket", lambda p: shift(named(p, "column", "column jacket"), (0.02, 0, 0))),
    (SALOON, "steering shaft", lambda p: shift(named(p, "column", "steering shaft"), (0, 0, 0.02))),
    (SALOON, "pedal shaft, one end", lambda p: shift(all_of(p, "pedal shaft"), (0, 0.02, 0))),
    (SALOON, "vent duct, corner", lambda p: shift(all_of(p, "vent duct"), (0, 0, 0.02))),
    (SALOON, "firewall, corner 1", lambda p: shift(all_of(p, "firewall"), (-0.02, 0, 0))),
    (SALOON, "loom along the firewall, line", lambda p: shift(all_of(p, "loom along the firewall"), (0, 0, -0.02))),
    (SALOON, "bracket, left leg, line", lambda p: shift(named(p, "bracket", "left leg"), (0.02, 0, 0))),
    (VAN, "toe-board, line", lambda p: shift(all_of(p, "toe-board"), (0, 0, -1))),
    (VAN, "clutch cross bar, to", lambda p: shift(named(p, "clutch cross bar", "clutch cross bar"), (0, 0, 0.02))),
    (VAN, "clutch cross bar, axis", lambda p: pivot_moved(p, "clutch cross bar")),
]


@pytest.mark.parametrize(("name", "what", "tamper"), TAMPERS, ids=[what for _, what, _ in TAMPERS])
def test_geometry_that_is_not_where_the_readings_put_it_is_refused(
    name: str, what: str, tamper: Callable[[Table], Any]
) -> None:
    proof = proofs.table(name)
    tamper(proof)
    with pytest.raises(Refused, match=rf"^{what}.*: (\d+\.\d+|inf) mm from where the readings put it"):
        verify(proofs.content(proof))


def test_what_is_not_tied_is_said() -> None:
    lines = verify(proofs.written(SALOON))
    (loose,) = [line for line in lines if line.startswith("not worked out anew")]
    for words in ("plug", "brake pushrod", "boots", "bracket, clamp"):
        assert words in loose
