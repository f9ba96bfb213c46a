"""The column and what sits on it, tied to the readings: axis, jacket, input face, clock, drums and motor, the pull.

Frames are written in the car's (back, right, up), mm: column z down it and x to 12 o'clock, unit x along the motor can.
"""

import numpy as np

from fitcheck.verify.adjusted import tie_adjusted
from fitcheck.verify.bodies import Part, square_frame
from fitcheck.verify.form import Refused, Vector
from fitcheck.verify.readings import Readings, degrees
from fitcheck.verify.ties import A_METRE, Table, Ties, apart, beside, rounds, thinner, toward

UP = np.array([0.0, 0.0, 1.0])
WHEEL_PULL_MM = 3.0  # each way, where not given; common practice, no source
PULLS = 8  # directions of pull; the octagon of their ends holds the circle of all pulls
OUTWARD = {"front": (0, -1), "rear": (0, 1), "left": (1, -1), "right": (1, 1), "top": (2, 1), "underside": (2, -1)}


def tie_column(ties: Ties, frames: Table, placed: dict[str, Part]) -> None:
    """Tie the column, the unit's place and solids, and what the pull at the wheel sweeps."""
    column, unit = frames["column"], frames["unit"]
    square_frame(column, "frames.column")
    square_frame(unit, "frames.unit")
    _axis(ties, column)
    if "column" in placed:
        _jacket(ties, column, placed["column"])
    _unit_frame(ties, column, unit)
    if ties.readings.at("unit", "gear_body") is None:
        ties.loose.append("solids of the unit, from a mesh (unit)")
    elif "unit" in placed:
        _drums(ties, unit, placed["unit"])
    tie_adjusted(ties, column, placed)
    turning = {"unit"} | ({"bracket"} if ties.readings.at("bracket", "turns") == "with the unit" else set())
    for name, part in placed.items():
        _pull(ties, part, column, name in turning)


def _axis(ties: Ties, column: Table) -> None:
    readings, origin, (x_axis, _, z_axis) = ties.readings, column["origin"], column["rotation"].T
    ties.point("hub seat", ("column", "hub_seat"), lambda place: apart(place, origin))
    ties.tied("12 o'clock of the column", A_METRE * apart(x_axis, toward(UP, z_axis)))
    place, side = readings.place("column", "low", any_side=True), readings.side("column", "low")
    if place is None:
        _by_gauge(ties, z_axis)
        return
    if side in OUTWARD:
        way, sign = OUTWARD[side]
        place = place - readings.need("column", "jacket_od") / 2 * toward(sign * np.eye(3)[way], z_axis)
    ties.tied("low place on the column", beside(place, origin, z_axis))
    if not (place - origin) @ z_axis > 0:
        raise Refused("frames.column: its z does not go down the column")


def _by_gauge(ties: Ties, z_axis: Vector) -> None:
    """The direction by two angles: below level, and across in plan, lower end to the right positive."""
    down, across = (degrees(ties.readings.at("column", key)) for key in ("down", "across"))
    if down is None or across is None or ties.readings.at("job", "sat") != "level":
        ties.loose.append("direction of the column (column)")
        return
    level, (below, aside) = np.cos(np.radians(down)), np.radians([down, across])
    way = np.array([-level * np.cos(aside), level * np.sin(aside), -np.sin(below)])
    ties.tied("direction of the column", A_METRE * apart(z_axis, way))


def _jacket(ties: Ties, column: Table, part: Part) -> None:
    need = ties.readings.need
    end = need("column", "jacket_to")
    _stretches(ties, column, part, "column jacket", (need("column", "jacket_from"), end, need("column", "jacket_od")))
    if ties.readings.at("column", "shaft_od") is not None:
        _stretches(ties, column, part, "steering shaft", (end, need("column", "shaft_to"), need("column", "shaft_od")))


def _stretches(ties: Ties, column: Table, part: Part, name: str, sizes: tuple[float, float, float]) -> None:
    """Tie a round part of the column by where it starts and ends along it and its diameter; stretches leave no hole."""
    start, end, diameter = sizes
    bars = rounds([piece for piece in part.pieces if piece["name"] == name])
    ends = np.array([[bar["start"], bar["end"]] for bar in bars]) - column["origin"]
    along = ends @ column["rotation"][:, 2]
    along = along[np.argsort(along[:, 0])]
    off = max(float(np.abs(ends @ column["rotation"][:, :2]).max()), *(thinner(bar, diameter) for bar in bars))
    hole = float((along[1:, 0] - np.maximum.accumulate(along[:, 1])[:-1]).max(initial=0.0))
    ties.tied(name, max(off, hole, abs(along[0, 0] - start), abs(along[:, 1].max() - end)))


def _unit_frame(ties: Ties, column: Table, unit: Table) -> None:
    x_axis, y_axis, z_axis = column["rotation"].T
    face = column["origin"] + _input_face(ties.readings) * z_axis
    ties.tied("input face of the unit", apart(unit["origin"], face))
    clock = degrees(ties.readings.at("unit", "clock"))
    if clock is None:
        raise Refused("unit.clock: no angle and no clock time")
    angle = np.radians(clock)
    pointing = np.cos(angle) * x_axis + np.sin(angle) * y_axis
    off = max(apart(unit["rotation"][:, 0], pointing), apart(unit["rotation"][:, 2], z_axis))
    ties.tied("clock of the unit", A_METRE * off)


def _input_face(readings: Readings) -> float:
    """How far along from the hub seat the unit's input face is, mm."""
    mark = readings.at("unit", "along_from") or "hub_seat"
    marked = 0.0 if mark == "hub_seat" else readings.need("column", "marks", mark, "along")
    return readings.need("unit", "input_face") + marked


def _drums(ties: Ties, unit: Table, part: Part) -> None:
    """The unit's round solids in its own frame: drums on the axis from the input face down, then what hangs on them."""
    readings, need, down = ties.readings, ties.readings.need, 0.0
    plane = need("unit", "gear_body", "long") / 2 + (readings.mm("unit", "sensor", "long") or 0.0)
    for key, words in (("sensor", "sensor section"), ("gear_body", "gear body"), ("output", "output stub")):
        if readings.at("unit", key) is not None:
            below = down + need("unit", key, "long")
            _bar(ties, part, unit, (words, "unit", key), np.array([[0, 0, down], [0, 0, below]]))
            down = below
    aside, starts, long = (need("unit", "motor", key) for key in ("beside", "starts", "long"))
    if readings.at("unit", "motor", "lies") == "parallel":
        can = np.array([[aside, 0, starts], [aside, 0, starts + long]])
    else:
        can = np.array([[starts, aside, plane], [starts + long, aside, plane]])
        can[:, 1] *= 1 if readings.at("unit", "hand") == "over" else -1
    _bar(ties, part, unit, ("motor can", "unit", "motor"), can)
    if readings.at("unit", "worm") is not None:
        behind = np.array([-need("unit", "worm", "behind"), can[0, 1], can[0, 2]])
        _bar(ties, part, unit, ("worm housing", "unit", "worm"), np.array([behind, can[0]]))
    if readings.at("unit", "plug") is not None:
        rounds([piece for piece in part.pieces if piece["name"] == "plug"])
        ties.loose.append("plug (unit.plug)")


def _bar(ties: Ties, part: Part, unit: Table, of: tuple[str, str, str], ends: Vector) -> None:
    """Tie the round piece of the unit whose words and path `of` gives, `ends` (2, 3) in the unit's frame."""
    words, *path = of
    bar = rounds([piece for piece in part.pieces if piece["name"] == words])[0]
    start, end = ends @ unit["rotation"].T + unit["origin"]
    off = max(apart(bar["start"], start), apart(bar["end"], end), thinner(bar, ties.readings.need(*path, "dia")))
    ties.tied(f"unit, {words}", off)


def _pull(ties: Ties, part: Part, column: Table, turning: bool) -> None:
    """What turns with the column is swept over the pull at the wheel, about its lower bearing or the jacket's end."""
    stated, sweep = ties.readings.mm("require", "wheel_pull"), part.table.get("pull")
    pull = WHEEL_PULL_MM if stated is None else stated
    if not turning or pull == 0:
        if sweep is not None:
            raise Refused(f"{part.name}: nothing pulls it, yet it is swept over a pull")
        return
    if sweep is None or sweep["kind"] != "swivel" or len(sweep["axes"]) != PULLS // 2:
        raise Refused(f"{part.name}: it is not swept over a pull at the wheel in {PULLS} directions")
    x_axis, y_axis, z_axis = column["rotation"].T
    bearing = ties.readings.mm("column", "lower_bearing")
    if bearing is None:
        bearing = ties.readings.need("column", "jacket_to")
    turns = 2 * np.pi / PULLS * np.arange(PULLS // 2)
    axes = np.outer(np.cos(turns), x_axis) + np.outer(np.sin(turns), y_axis)
    shortest = (bearing - _input_face(ties.readings)) * np.sin(sweep["angle"]) * np.cos(np.pi / PULLS)
    off = max(apart(sweep["point"], column["origin"] + bearing * z_axis), A_METRE * apart(sweep["axes"], axes))
    ties.tied(f"{part.name}, pull at the wheel", max(off, abs(shortest - pull)))
