"""What stands round the column, tied to the readings: pivot shafts, linkages, obstacles, a bracket that stays.

Points are the car's (back, right, up), mm.
"""

from itertools import pairwise

import numpy as np

from fitcheck.verify.bodies import Part
from fitcheck.verify.form import Refused, Vector
from fitcheck.verify.pedals import tie_inside, tie_pedal
from fitcheck.verify.readings import Path, spelled
from fitcheck.verify.ties import TIED_MM, Table, Ties, apart, beside, rounds, thinner


def tie_surroundings(ties: Ties, placed: dict[str, Part]) -> None:
    """Tie pedals, pivot shafts, obstacles and a bracket that stays; say what else there is."""
    at = ties.readings.at
    for i, pedal in enumerate(at("pedals") or []):
        if pedal["name"] in placed:
            tie_pedal(ties, ("pedals", i), placed[pedal["name"]], placed.get(pedal.get("pivot_shaft", "")))
    for i, shaft in enumerate(at("pivot_shafts") or []):
        if shaft["name"] in placed:
            _shaft(ties, ("pivot_shafts", i), placed[shaft["name"]])
    for i, thing in enumerate(at("obstacles") or []):
        if thing["name"] in placed:
            _shape(ties, ("obstacles", i, "shape"), thing["name"], placed[thing["name"]].pieces)
    for i, link in enumerate(at("linkages") or []):
        if link["name"] in placed:
            _linkage(ties, ("linkages", i), placed[link["name"]])
    if at("driver", "boots"):
        ties.loose.append("boots (driver)")
    if "bracket" in placed:
        _bracket(ties, placed["bracket"])


def _bracket(ties: Ties, part: Part) -> None:
    solids = ties.readings.at("bracket", "solids") or {}
    if ties.readings.at("bracket", "turns") == "with the unit":
        ties.loose.append("bracket, as it turns with the unit (bracket)")
        return
    for name in solids:
        pieces = [piece for piece in part.pieces if piece["name"] == name]
        _shape(ties, ("bracket", "solids", name), f"bracket, {name}", pieces)
    if len(solids) < len({piece["name"] for piece in part.pieces}):
        ties.loose.append("bracket, clamp or mesh (bracket)")


def _linkage(ties: Ties, path: Path, part: Part) -> None:
    """A Z-bar turns about the line between its two ends, its bar along it; a pushrod's slices are taken as stated."""
    if ties.readings.at(*path, "kind") != "z-bar":
        ties.loose.append(f"{part.name} ({spelled(path)})")
        return
    if [move["kind"] for moves, _ in part.phases for move in moves] != ["turn"]:
        raise Refused(f"{part.name}: a Z-bar turns about its own axis")
    move, bar = part.phases[0][0][0], rounds(part.pieces)[0]
    ties.point(f"{part.name}, to", (*path, "to"), lambda place: apart(place, bar["start"]))
    ties.point(f"{part.name}, other_end", (*path, "other_end"), lambda place: apart(place, bar["end"]))
    ties.tied(f"{part.name}, axis", max(beside(bar[end], move["point"], move["axis"]) for end in ("start", "end")))
    ties.tied(f"{part.name}, diameter", thinner(bar, ties.readings.need(*path, "dia")))
    ties.loose.append(f"{part.name}, travel and levers ({spelled(path)})")


def _shaft(ties: Ties, path: Path, part: Part) -> None:
    bar = rounds(part.pieces)[0]
    ties.point(f"{part.name}, one end", (*path, "at"), lambda place: apart(place, bar["start"]))
    ties.point(f"{part.name}, other end", (*path, "other_end"), lambda place: apart(place, bar["end"]))
    ties.tied(f"{part.name}, diameter", thinner(bar, ties.readings.need(*path, "dia")))


def _shape(ties: Ties, path: Path, name: str, pieces: list[Table]) -> None:
    """Tie a simple shape: a box by two corners, a bar by its line and diameter, a plate by its corners."""
    shape = ties.readings.at(*path)
    if not pieces:
        raise Refused(f"{name}: it has no pieces")
    vertices = np.concatenate([piece["vertices"] for piece in pieces])
    if "corner" in shape:
        for key in ("corner", "opposite"):
            ties.point(f"{name}, {key}", (*path, key), lambda place: _nearest(place, vertices))
    elif "through" in shape:
        _line(ties, path, name, pieces)
    elif "outline" in shape and _flat(ties, (*path, "outline")):
        for k in range(len(shape["outline"])):
            ties.point(f"{name}, corner {k + 1}", (*path, "outline", k), lambda place: _nearest(place, vertices))
    elif "line" in shape:
        places = [ties.readings.place(*path, "line", k) for k in range(len(shape["line"]))]
        tie_inside(ties, f"{name}, line ({spelled(path)})", places, pieces)
    else:
        ties.loose.append(f"{name} ({spelled(path)})")


def _line(ties: Ties, path: Path, name: str, pieces: list[Table]) -> None:
    """Each place of a bar's line, and each middle between two, lies on the axis of one of its round pieces."""
    bars, need = rounds(pieces), ties.readings.need
    line = [ties.readings.place(*path, "through", k) for k in range(len(ties.readings.at(*path, "through")))]
    for one, other in pairwise(line):
        if one is None or other is None:
            ties.loose.append(f"{name} ({spelled(path)})")
            continue
        for place in (one, (one + other) / 2, other):
            ties.tied(f"{name}, line", min(_off_line(place, bar) for bar in bars))
    ties.tied(f"{name}, diameter", max(thinner(bar, need(*path, "dia")) for bar in bars))


def _nearest(place: Vector, vertices: Vector) -> float:
    return float(np.sqrt(((vertices - place) ** 2).sum(axis=1)).min())


def _off_line(place: Vector, bar: Table) -> float:
    """Distance of `place` from the bar's axis, between its ends."""
    along = bar["end"] - bar["start"]
    share = np.clip((place - bar["start"]) @ along / (along @ along), 0, 1)
    return apart(place, bar["start"] + share * along)


def _flat(ties: Ties, path: Path) -> bool:
    """Whether the corners of a plate are plain places and lie in one plane."""
    corners = [ties.readings.place(*path, k) for k in range(len(ties.readings.at(*path)))]
    if any(corner is None for corner in corners):
        return False
    points = np.array(corners)
    return bool(np.linalg.svd(points - points.mean(axis=0))[1][2] < TIED_MM / 10)
