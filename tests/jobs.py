"""Small job texts for tests, built from tables in words; every car in them is invented. Offsets in mm, car frame.

A job starts as `Tables` (what `tomllib` would read), is changed as the test wants, and becomes a text, a `Job` or a
scene.
"""

import copy
import json
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from fitcheck.errors import JobError
from fitcheck.job.crosschecks import crosschecks
from fitcheck.job.loading import fault_at, load
from fitcheck.job.model import Job
from fitcheck.placement.place import place
from fitcheck.placement.scene import Scene
from fitcheck.readings.settled import settle

Tables = dict[str, Any]
EXAMPLES = Path(__file__).resolve().parents[1] / "examples"
WAYS = (("back", "forward"), ("right", "left"), ("up", "down"))
WORDS = [word for pair in WAYS for word in pair]
SWAPPED = {
    "left": "right",
    "right": "left",
    "over": "under",
    "under": "over",
    "left down": "right down",
    "right down": "left down",
}


def mm(value: float) -> str:
    """A length of the job file."""
    return f"{_plain(value)} mm"


def deg(value: float) -> str:
    """An angle of the job file."""
    return f"{_plain(value)} deg"


def _plain(value: float) -> str:
    return np.format_float_positional(round(value, 12), trim="-")


def at(back: float | None, right: float | None, up: float | None, **more: str) -> Tables:
    """A place by offsets in words; None leaves one out, a negative one goes to the opposite word."""
    ways = zip(WAYS, (back, right, up), strict=True)
    offsets = {(one if value >= 0 else other): mm(abs(value)) for (one, other), value in ways if value is not None}
    return {**offsets, **more}


def header(**changes: Any) -> Tables:
    """The head of a job measured on level ground."""
    return {"name": "a test", "drive": "left", "datum": "centre-punch on the firewall", "sat": "level", **changes}


def bare(**changes: Any) -> Tables:
    """The least job: column and unit of car A, its column 28 deg down and straight ahead, the can at 9:00."""
    return {
        "job": header(),
        "column": {
            "hub_seat": at(636, -13, 338),
            "down": "28 deg",
            "across": "0 deg",
            "jacket_od": mm(50.8),
            "jacket_from": mm(60),
            "jacket_to": mm(700),
        },
        "unit": unit("9:00"),
        **changes,
    }


def unit(clock: str, **changes: Any) -> Tables:
    """The invented unit of the example cars, its motor plane 555 mm down the column."""
    return {
        "input_face": mm(430),
        "clock": clock,
        "hand": "over",
        "gear_body": {"dia": mm(100), "long": mm(90)},
        "sensor": {"dia": mm(68), "long": mm(80)},
        "output": {"dia": mm(28), "long": mm(40)},
        "motor": {"dia": mm(76), "long": mm(130), "lies": "square", "beside": mm(48), "starts": mm(48)},
        **changes,
    }


def pad(place: Tables | str, **changes: Any) -> Tables:
    """A pedal's pad, its face's centre at `place`."""
    return {"at": place, "wide": mm(60), "high": mm(55), "thick": mm(12), **changes}


def clutch(**changes: Any) -> Tables:
    """The hanging clutch pedal of car A, with a pivot of its own."""
    line = ((203, -82, 92), (272, -90, -8), (316, -90, -90))
    return {
        "name": "clutch",
        "kind": "hanging",
        "pivot": at(165, -82, 174),
        "arm": [{"at": at(*point)} for point in line],
        "arm_wide": mm(28),
        "arm_thick": mm(8),
        "travel": mm(140),
        "over_travel": mm(6),
        "pad": pad(at(320, -90, -95)),
        **changes,
    }


def brake(**changes: Any) -> Tables:
    """The hanging brake pedal of car A, with a pivot of its own."""
    line = ((203, 106, 92), (272, 68, -8), (306, 68, -76))
    return {
        **clutch(),
        "name": "brake",
        "pivot": at(165, 106, 174),
        "arm": [{"at": at(*point)} for point in line],
        "travel": mm(95),
        "over_travel": mm(10),
        "pad": pad(at(310, 68, -82), wide=mm(70)),
        **changes,
    }


def throttle(**changes: Any) -> Tables:
    """The hanging throttle pedal of car A."""
    line = ((160, 168, 60), (238, 178, -86))
    return {
        **clutch(),
        "name": "throttle",
        "pivot": at(120, 168, 150),
        "arm": [{"at": at(*point)} for point in line],
        "arm_wide": mm(14),
        "arm_thick": mm(6),
        "travel": mm(55),
        "over_travel": mm(5),
        "pad": pad(at(242, 178, -92), wide=mm(45), high=mm(90)),
        **changes,
    }


def van_clutch(**changes: Any) -> Tables:
    """The floor-hinged clutch pedal of car B."""
    line = ((60, -112, -40), (140, -104, 70), (150, -104, 86))
    return {
        **clutch(),
        "kind": "floor-hinged",
        "pivot": at(-20, -112, -150),
        "arm": [{"at": at(*point)} for point in line],
        "arm_wide": mm(30),
        "arm_thick": mm(9),
        "pad": pad(at(156, -104, 93), wide=mm(65), high=mm(60)),
        **changes,
    }


def van_brake(**changes: Any) -> Tables:
    """The floor-hinged brake pedal of car B."""
    line = ((60, 92, -40), (140, 100, 70), (150, 100, 86))
    return {
        **van_clutch(),
        "name": "brake",
        "pivot": at(-20, 92, -150),
        "arm": [{"at": at(*point)} for point in line],
        "travel": mm(110),
        "over_travel": mm(8),
        "pad": pad(at(156, 100, 93), wide=mm(70), high=mm(60)),
        **changes,
    }


def van_throttle(**changes: Any) -> Tables:
    """The floor-hinged throttle plate of car B."""
    return {
        **van_clutch(),
        "name": "throttle",
        "pivot": at(175, 212, -66),
        "arm": [{"at": at(84, 212, 10)}],
        "arm_wide": mm(6),
        "arm_thick": mm(50),
        "travel": mm(50),
        "over_travel": mm(4),
        "pad": pad(at(70, 212, 25), wide=mm(50), high=mm(120)),
        **changes,
    }


def saloon() -> Tables:
    """The example saloon, as its file holds it."""
    return example("saloon-10-45")


def example(name: str) -> Tables:
    """The example of that name, as its file holds it."""
    return tomllib.loads((EXAMPLES / name / "job.toml").read_text(encoding="utf-8"))


def changed(tables: Tables, path: tuple[str | int, ...], value: Any) -> Tables:
    """A copy of `tables` with what stands at `path` replaced; a value of None takes the key out."""
    copied = copy.deepcopy(tables)
    table: Any = copied
    for step in path[:-1]:
        table = table[step]
    if value is None:
        del table[path[-1]]
    else:
        table[path[-1]] = value
    return copied


def text(tables: Mapping[str, Any]) -> str:
    """The tables as a TOML text: a header a table, its values inline."""
    lines: list[str] = []
    for name, value in tables.items():
        many = isinstance(value, list)
        for table in value if many else [value]:
            lines.append(f"[[{name}]]" if many else f"[{name}]")
            lines += [f"{json.dumps(key)} = {_inline(item)}" for key, item in table.items()]
    return "\n".join(lines) + "\n"


def _inline(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{json.dumps(key)} = {_inline(item)}" for key, item in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(_inline, value)) + "]"
    return json.dumps(value, ensure_ascii=False)


def job(tables: Mapping[str, Any]) -> Job:
    """The tables as a job, read from their text and checked within itself; raises JobError."""
    written = text(tables)
    loaded = load(written, "job.toml", Job)
    faults = [fault_at(written, "job.toml", path, message) for path, message in crosschecks(loaded)]
    if faults:
        raise JobError(faults)
    return loaded


def scene(tables: Mapping[str, Any], folder: Path = EXAMPLES) -> Scene:
    """The tables as a placed scene, points resting on all their readings."""
    return place(settle(job(tables)), folder)


def mirrored(value: Any, key: str = "") -> Any:
    """The tables of the same car built for the other side of the road: left and right, clock and hand change places."""
    if isinstance(value, dict):
        ways = {"left": "right", "right": "left"}
        return {ways.get(name, name): mirrored(item, name) for name, item in value.items()}
    if isinstance(value, list):
        return [mirrored(item, key) for item in value]
    if key == "clock":
        return _mirrored_clock(value)
    if key == "across" and value.endswith("deg"):
        return value.removeprefix("-") if value.startswith("-") else f"-{value}"
    if key == "cross_angle":
        return next((value.replace(way, other) for way, other in SWAPPED.items() if way in value), value)
    return SWAPPED.get(value, value) if key in ("drive", "hand", "side", "to", "across", "lifts") else value


def _mirrored_clock(clock: str) -> str:
    if clock.endswith("deg"):
        return deg((360 - float(clock.removesuffix(" deg"))) % 360)
    hours, minutes = map(int, clock.split(":"))
    left = (720 - 60 * (hours % 12) - minutes) % 720
    return f"{left // 60 or 12}:{left % 60:02d}"
