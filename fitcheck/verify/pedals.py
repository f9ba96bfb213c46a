"""Pedals, tied to the readings: pivot, arm, pad, travel and side play.

Points are the car's (back, right, up), mm; a pedal's turn is 0 at rest and positive as the pad goes forward, rad.
"""

from itertools import pairwise

import numpy as np

from fitcheck.verify.bodies import Part
from fitcheck.verify.form import Refused, Vector
from fitcheck.verify.readings import Path, degrees, spelled
from fitcheck.verify.ties import A_METRE, TIED_MM, Table, Ties, apart, beside, rounds, turn_of_chord

BACK, RIGHT, _ = np.eye(3)
OVER_TRAVEL_MM = PULLED_UP_MM = 10.0  # at the pad, where not measured; common practice, no source
SIDE_WEAR_MM = 4.0  # each way, where not given; common practice, no source


def tie_pedal(ties: Ties, path: Path, part: Part, shaft: Part | None) -> None:
    """Tie one pedal: `path` is its place in the job, `shaft` the part it hangs on where it shares one."""
    readings = ties.readings
    if len(part.phases) != 1 or [move["kind"] for move in part.phases[0][0]] != ["turn"]:
        raise Refused(f"{part.name}: a pedal turns about its pivot")
    move = part.phases[0][0][0]
    _pivot(ties, path, part.name, move, shaft)
    ties.point(f"{part.name}, pad", (*path, "pad", "at"), lambda at: _off_face(at, _pads(ties, path, part)))
    _arm(ties, path, part)
    pad = readings.place(*path, "pad", "at")
    if pad is None:
        ties.loose.append(f"{part.name}, travel and side play ({spelled(path)})")
        return
    arm = pad - move["point"] - ((pad - move["point"]) @ move["axis"]) * move["axis"]
    radius = float(np.sqrt(arm @ arm))
    if not (radius > 1 and np.cross(move["axis"], arm) @ BACK < 0):
        raise Refused(f"{part.name}: its movement does not take the pad forward")
    _travel(ties, part.name, path, move, radius)
    _side_play(ties, part, path, move, arm / radius, radius)


def _pivot(ties: Ties, path: Path, name: str, move: Table, shaft: Part | None) -> None:
    """The axis goes through the pivot and straight across the car, or through both its places, or along its shaft."""
    point, axis = move["point"], move["axis"]
    if ties.readings.at(*path, "pivot_shaft") is not None:
        if shaft is None:
            raise Refused(f"{name}: the shaft it hangs on has no place")
        bar = rounds(shaft.pieces)[0]
        ties.tied(f"{name}, pivot", max(beside(bar[end], point, axis) for end in ("start", "end")))
        return
    ties.point(f"{name}, pivot", (*path, "pivot"), lambda at: beside(at, point, axis))
    if ties.readings.at(*path, "pivot_to") is not None:
        ties.point(f"{name}, pivot_to", (*path, "pivot_to"), lambda at: beside(at, point, axis))
    else:
        ties.tied(f"{name}, axis", A_METRE * min(apart(axis, RIGHT), apart(-axis, RIGHT)))


def _pads(ties: Ties, path: Path, part: Part) -> list[Table]:
    """The boxes of the part that are as wide, as high and as thick as the pad."""
    sizes = np.array([ties.readings.need(*path, "pad", key) for key in ("wide", "high", "thick")])
    return [box for box in _boxes(part.pieces) if apart(box["size"], sizes) <= TIED_MM]


def _off_face(place: Vector, boxes: list[Table]) -> float:
    """How far `place` is from the nearest middle of a face of a box."""
    middles = [
        box["origin"] + way * box["size"][k] / 2 * box["rotation"][:, k]
        for box in boxes
        for k in range(3)
        for way in (1, -1)
    ]
    return min((apart(place, middle) for middle in middles), default=np.inf)


def _boxes(pieces: list[Table]) -> list[Table]:
    return [piece["exact"] for piece in pieces if piece.get("exact", {}).get("kind") == "box"]


def _arm(ties: Ties, path: Path, part: Part) -> None:
    for key in ("arm", "tail"):
        points = ties.readings.at(*path, key) or []
        if all(point.get("edge", "middle") == "middle" for point in points):
            places = [ties.readings.place(*path, key, k, "at") for k in range(len(points))]
            tie_inside(ties, f"{part.name}, {key} ({spelled((*path, key))})", places, part.pieces)
        else:
            ties.loose.append(f"{part.name}, {key} ({spelled((*path, key))})")


def tie_inside(ties: Ties, what: str, places: list[Vector | None], pieces: list[Table]) -> None:
    """Tie places along a bar or an edge: they, and the middles between them, lie in the boxes among `pieces`."""
    line = [place for place in places if place is not None]
    if len(line) < len(places):
        ties.loose.append(what)
        return
    for place in [*line, *((one + other) / 2 for one, other in pairwise(line))]:
        ties.tied(what, min((_outside(place, box) for box in _boxes(pieces)), default=np.inf))


def _outside(place: Vector, box: Table) -> float:
    """How far beyond the faces of the box `place` lies, 0 inside."""
    return float(max(0.0, (np.abs((place - box["origin"]) @ box["rotation"]) - box["size"] / 2).max()))


def _travel(ties: Ties, name: str, path: Path, move: Table, radius: float) -> None:
    """Start and stop from the chords at the pad: a chord c at radius r is a turn of 2 asin(c / 2r); no less than that.

    A little more is allowed: a travel may be widened by how well it was read.
    """
    readings = ties.readings
    over, pulled = readings.mm(*path, "over_travel"), readings.mm(*path, "pulled_up")
    chord, angle = readings.mm(*path, "travel"), degrees(readings.at(*path, "travel_angle"))
    if angle is not None:
        full = float(np.radians(angle))
    elif chord is not None:
        full = turn_of_chord(chord, radius, name)
    else:
        raise Refused(f"{name}: the job does not say how far it travels")
    stop = full + turn_of_chord(OVER_TRAVEL_MM if over is None else over, radius, name)
    start = -turn_of_chord(PULLED_UP_MM if pulled is None else pulled, radius, name)
    wider = start - move["start"], move["stop"] - stop
    ties.at_least(f"{name}, travel", -radius * min(wider), radius * max(wider))


def _side_play(ties: Ties, part: Part, path: Path, move: Table, down: Vector, radius: float) -> None:
    """Every piece is swept over the tilt about a place on the pivot's axis that takes the pad sideways by the wear."""
    stated = ties.readings.mm(*path, "side_wear")
    wear, off = SIDE_WEAR_MM if stated is None else stated, 0.0
    for piece in part.pieces if wear > 0 else []:
        tilt = piece.get("sweep", {"kind": "no sweep"})
        if tilt["kind"] != "tilt":
            raise Refused(f"{part.name}: {piece['name']} is not swept over the side play of its bush")
        turned = A_METRE * max(apart(tilt["axis"], move["axis"]), apart(tilt["down"], down))
        aside = beside(tilt["point"], move["point"], move["axis"])
        off = max(off, turned, aside, abs(tilt["slope"] * radius - wear))
    ties.tied(f"{part.name}, side play", off)
