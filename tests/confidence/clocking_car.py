"""A car whose whole map has a closed form: a round can beside the column, turned about it past a wall, a pipe, a ball.

Column frame: x to 12 o'clock, y to 3, z down from the hub seat; the column leans 28 deg and runs straight ahead, so
that a wall on the driver's left is square to y. Millimetres, radians. The car is invented.
"""

import re
from pathlib import Path
from typing import Any

import numpy as np
import trimesh

from fitcheck.placement.column import ColumnAxis
from tests import jobs

GEAR_DIA = 60.0
BESIDE, CAN_DIA, STARTS, LONG = 58.0, 40.0, 20.0, 80.0  # the can: its axis from the column's, from the input face
WALL, PIPE_OUT, PIPE_DIA = 80.0, 90.0, 20.0
PIPE_CLOCK = np.radians(60.0)  # 2:00
BALL, BALL_DIA = np.array([-58.0, 0.0, 560.0]), 24.0  # at 6:00
FIXED_MM = 6.0  # required between fixed parts
PROUD_MM = 0.3  # how far facets of round parts may stand out of them: of can and pipe, circumscribed
SHORT_MM = 0.1  # how far the ball's facets lie within it


def tables(**changes: Any) -> jobs.Tables:
    """The job; every reading exact unless it says otherwise."""
    made: jobs.Tables = exact({**plain(), **changes})
    return made


def plain() -> jobs.Tables:
    """The job with no spreads written."""
    motor = {"dia": jobs.mm(CAN_DIA), "long": jobs.mm(LONG), "lies": "parallel", "beside": jobs.mm(BESIDE),
             "starts": jobs.mm(STARTS)}  # fmt: skip
    unit = {
        "input_face": "440 mm",
        "clock": "12:00",
        "gear_body": {"dia": jobs.mm(GEAR_DIA), "long": "40 mm"},
        "motor": motor,
    }
    bare = jobs.bare()
    axis = ColumnAxis(jobs.job({**bare, "unit": unit}))
    ball = axis.column2car.points(BALL)
    along = {"out": jobs.mm(PIPE_OUT), "out_from": "axis", "clock": "2:00"}
    near = 13.0 + WALL
    return {
        **bare,
        "unit": unit,
        "obstacles": [
            {"name": "wall", "shape": {"corner": jobs.at(-200, -near, -200), "opposite": jobs.at(900, -400, 800)}},
            {"name": "pipe", "shape": {"through": [{"along": "300 mm", **along}, {"along": "690 mm", **along}],
                                       "dia": jobs.mm(PIPE_DIA)}},
            {"name": "ball", "shape": {"mesh": "ball.stl", "mesh_unit": "mm", "take_as": "hull", "at": jobs.at(*ball)}},
        ],
        "clocking": {"clocks": "any", "places": "425 mm to 455 mm"},
    }  # fmt: skip


def exact(value: Any, key: str = "") -> Any:
    """The same with "± 0" behind every reading that states no spread."""
    if isinstance(value, dict):
        return {name: item if name == "clocking" else exact(item, name) for name, item in value.items()}
    if isinstance(value, list):
        return [exact(item, key) for item in value]
    if not isinstance(value, str) or "±" in value:
        return value
    if re.fullmatch(r"[\d.]+ mm", value):
        return f"{value} ± 0 mm"
    return f"{value} ± 0 deg" if re.fullmatch(r"[\d.]+ deg|\d+:\d\d", value) else value


def folder(path: Path) -> Path:
    """`path` with the ball's mesh in it."""
    trimesh.creation.icosphere(subdivisions=3, radius=BALL_DIA / 2).export(path / "ball.stl")
    return path


def margins(clock: np.ndarray, place_mm: np.ndarray) -> dict[str, np.ndarray]:
    """Gap less required at clocks and places: of the can to wall, pipe and ball, and of the gear body to the wall.

    The gear body is as near to the pipe as to the wall, and farther from the ball.
    """
    across = np.stack([BESIDE * np.cos(clock), BESIDE * np.sin(clock)], axis=-1)
    pipe = PIPE_OUT * np.array([np.cos(PIPE_CLOCK), np.sin(PIPE_CLOCK)])
    beside = np.linalg.norm(across - BALL[:2], axis=-1)
    beyond = np.maximum(BALL[2] - (place_mm + STARTS + LONG), 0.0)
    return {
        "gear body": np.full(np.shape(clock), WALL - GEAR_DIA / 2 - FIXED_MM),
        "wall": WALL + across[..., 1] - CAN_DIA / 2 - FIXED_MM,
        "pipe": np.linalg.norm(across - pipe, axis=-1) - CAN_DIA / 2 - PIPE_DIA / 2 - FIXED_MM,
        "ball": np.hypot(np.maximum(beside - CAN_DIA / 2, 0.0), beyond) - BALL_DIA / 2 - FIXED_MM,
    }


def least(clock: np.ndarray, place_mm: np.ndarray) -> np.ndarray:
    """The least of them."""
    return np.asarray(np.min(list(margins(clock, place_mm).values()), axis=0))
