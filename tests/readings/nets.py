"""A car of named points for the readings' tests: true places, and jobs whose readings are made from them by hand.

Expectations come from plain geometry on the true places (norms, dot products), never from the engine.
"""

from math import atan2, cos, degrees, hypot, sin
from typing import Any

import numpy as np

from fitcheck.readings.points import Points, points_of
from tests import jobs

TRUE = {
    "hub_seat": (636.0, -13.0, 398.0),
    "low": (96.0, -2.0, 106.0),
    "shaft_left": (165.0, -111.0, 234.0),
    "shaft_right": (165.0, 126.0, 234.0),
    "knee": (203.0, -82.0, 152.0),
    "pad": (320.0, -90.0, -35.0),
}

CROSSED_NAMES = (
    ("hub_seat", "shaft_left"), ("hub_seat", "shaft_right"), ("hub_seat", "pad"), ("shaft_left", "shaft_right"),
    ("shaft_left", "pad"), ("hub_seat", "knee"), ("knee", "pad"), ("shaft_left", "knee"), ("shaft_right", "knee"),
    ("low", "knee"), ("low", "shaft_left"), ("low", "pad"),
)  # fmt: skip


def at(name: str) -> np.ndarray:
    """A true place."""
    return np.array(TRUE[name])


def offsets(name: str, **more: str) -> jobs.Tables:
    """Its offsets from the datum."""
    back, right, up = TRUE[name]
    return jobs.at(back, right, up, **more)


def tables(*readings: jobs.Tables, points: dict[str, Any] | None = None, **changes: Any) -> jobs.Tables:
    """A job on the true places, each by its offsets unless `points` says otherwise, with further readings."""
    named = {name: offsets(name) for name in TRUE} | (points or {})
    column = {**jobs.bare()["column"], "hub_seat": "hub_seat", "low": "low"}
    for key in ("down", "across"):
        column.pop(key)
    return jobs.bare(**{"points": named, "column": column, "readings": list(readings), **changes})


def adjusted(*readings: jobs.Tables, points: dict[str, Any] | None = None, **changes: Any) -> Points:
    """The adjusted points of such a job."""
    found = points_of(jobs.job(tables(*readings, points=points, **changes)))
    assert found is not None
    return found


def place(found: Points, name: str) -> np.ndarray:
    """Where the adjustment puts a point."""
    return next(point.at for point in found.found if point.name == name)


def tape(one: str, other: str, more: float = 0.0, **keys: Any) -> jobs.Tables:
    """A tape between two true places."""
    mm = float(np.linalg.norm(at(one) - at(other))) + more
    return {"tape": [one, other], "is": jobs.mm(round(mm, 9)), **keys}


def axis() -> np.ndarray:
    """The true column's direction."""
    along = at("low") - at("hub_seat")
    return np.array(along / np.linalg.norm(along))


def off_column(name: str) -> tuple[float, float, float]:
    """Along (mm), out from the axis (mm) and clock (deg) of a true place, by dot products."""
    away = at(name) - at("hub_seat")
    along = float(away @ axis())
    out = away - along * axis()
    twelve = np.array([0, 0, 1.0]) - axis()[2] * axis()
    twelve /= np.linalg.norm(twelve)
    three = np.cross(axis(), twelve)
    return along, float(np.linalg.norm(out)), degrees(atan2(float(out @ three), float(out @ twelve))) % 360


def slant(one: str, other: str) -> dict[str, float]:
    """Angles (deg) of the line between two true places, from its run back, right and up."""
    back, right, up = (at(other) - at(one)).tolist()
    return {
        "down true": degrees(atan2(-up, hypot(back, right))),
        "down projected": degrees(atan2(-up, abs(back))),
        "across projected": degrees(atan2(right, abs(back))),
        "across true": degrees(atan2(right, hypot(back, up))),
    }


def swung(name: str, pivot: str, by_deg: float) -> tuple[float, float, float]:
    """A true place swung about a pivot's line across the car, by the turning matrix."""
    turn = np.radians(by_deg)
    back, _, up = at(name) - at(pivot)
    x, z = cos(turn) * back + sin(turn) * up, cos(turn) * up - sin(turn) * back
    return float(at(pivot)[0] + x), TRUE[name][1], float(at(pivot)[2] + z)
