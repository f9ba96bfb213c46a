"""Parts as a proof states them: vertices where a sweep and a movement put them, and the true solids inside pieces.

A piece is the hull of its vertices; a sweep is a few affine maps, and the swept piece the hull of all they yield. mm.
"""

from typing import Any

import numpy as np

from fitcheck.verify.form import Refused, Vector

WITHIN_MM = 1e-6  # rounding in where a vertex lies
UNIT_WITHIN = 1e-9
Table = dict[str, Any]
Phase = tuple[list[Table], list[Vector]]  # movements, first entry first, and each piece's vertices (n, 3) before them


def turned_axis(value: Vector, where: str) -> Vector:
    """`value` (3,) made exactly unit; Refused where it is not unit already."""
    length = float(np.sqrt(value @ value))
    if not abs(length - 1) <= UNIT_WITHIN:
        raise Refused(f"{where}: not of length 1")
    return value / length


def square_frame(frame: Table, where: str) -> None:
    """Refused where a frame's axes are not square, of length 1 and right-handed."""
    turn = frame["rotation"]
    if not (np.abs(turn @ turn.T - np.eye(3)).max() <= UNIT_WITHIN and np.linalg.det(turn) > 0):
        raise Refused(f"{where}: its axes are not square to each other, of length 1 and right-handed")


def maps(sweep: Table, where: str) -> list[tuple[Vector, Vector]]:
    """The affine maps of a sweep, each a matrix M (3, 3) and a vector t (3,): x goes to M x + t."""
    if sweep["kind"] == "tilt":
        axis, down = turned_axis(sweep["axis"], where), turned_axis(sweep["down"], where)
        if not abs(axis @ down) <= UNIT_WITHIN:
            raise Refused(f"{where}: 'axis' and 'down' are not square to each other")
        lean = sweep["slope"] * (np.outer(axis, down) - np.outer(down, axis))
        turns = [np.eye(3) + lean, np.eye(3) - lean]
    else:
        turns = _swivelled(sweep, where)
    return [(turn, sweep["point"] - turn @ sweep["point"]) for turn in turns]


def _swivelled(sweep: Table, where: str) -> list[Vector]:
    """Three matrices either way about each axis: straight, truly turned, and its second order taken farther."""
    axes = np.array([turned_axis(given, where) for given in sweep["axes"]])
    if not (len(axes) >= 3 and 0 < sweep["angle"] < np.pi / 2):
        raise Refused(f"{where}: a swivel turns by under a quarter turn about three axes or more")
    step = np.pi / len(axes)
    normal = np.cross(axes[0], axes[1]) / np.sin(step)
    turns = step * np.arange(len(axes))
    spread = np.outer(np.cos(turns), axes[0]) + np.outer(np.sin(turns), np.cross(normal, axes[0]))
    if not np.abs(axes - spread).max() <= UNIT_WITHIN:
        raise Refused(f"{where}: the axes of a swivel are equally spread over half a turn")
    farther = 2 * np.sin(step / 2) * np.cos(step / 4) ** 2 / np.sin(2 * step) - 0.5
    sine, drop, found = np.sin(sweep["angle"]), 1 - np.cos(sweep["angle"]), []
    for axis in axes:
        spin, aside = cross_matrix(axis), np.cross(normal, axis)
        inward = drop * spin @ spin
        beyond = inward + drop * farther * (np.outer(axis, axis) - np.outer(aside, aside))
        found += [np.eye(3) + way * sine * spin + more for more in (0 * spin, inward, beyond) for way in (1, -1)]
    return found


def cross_matrix(axis: Vector) -> Vector:
    """The matrix that takes x to axis x x."""
    x, y, z = axis
    return np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])


def mapped(vertices: Vector, sweep: Table, where: str) -> Vector:
    """`vertices` (n, 3) under each map of the sweep, one map after the other; (k n, 3)."""
    return np.concatenate([vertices @ turn.T + shift for turn, shift in maps(sweep, where)])


def moved(points: Vector, moves: list[Table], at: Vector) -> Vector:
    """`points` (n, 3) where the movements put them, one value `at` a movement."""
    for move, value in zip(moves, at, strict=True):
        if move["kind"] == "slide":
            points = points + value * move["direction"]
        else:
            spin = cross_matrix(move["axis"])
            turn = np.eye(3) + np.sin(value) * spin + (1 - np.cos(value)) * spin @ spin
            points = (points - move["point"]) @ turn.T + move["point"]
    return points


class Part:
    """A part made ready: `phases`, each its movements and its pieces' vertices; `pulled`, the same under its pull."""

    def __init__(self, part: Table, where: str) -> None:
        self.name, self.table = part["name"], part
        self.phases: list[Phase] = []
        self.pulled: list[Phase] = []
        if not part["phases"]:
            raise Refused(f"{where}: it has no phases")
        for i, phase in enumerate(part["phases"]):
            here = f"{where}.phases[{i}]"
            _check_moves([*phase["moves"], *(move for each in phase["carry"] for move in each["moves"])], here)
            sets = [_vertices(piece, f"{here}.pieces[{j}]") for j, piece in enumerate(phase["pieces"])]
            if not sets:
                raise Refused(f"{here}: it has no pieces")
            self.phases.append((phase["moves"], sets))
            pulled = [mapped(points, part["pull"], where) for points in sets] if "pull" in part else sets
            self.pulled.append((phase["moves"], pulled))

    @property
    def pieces(self) -> list[Table]:
        """All pieces of all phases."""
        return [piece for phase in self.table["phases"] for piece in phase["pieces"]]


def _check_moves(moves: list[Table], where: str) -> None:
    for move in moves:
        key = "axis" if move["kind"] == "turn" else "direction"
        move[key] = turned_axis(move[key], where)
        if not move["start"] <= move["stop"]:
            raise Refused(f"{where}: a movement that stops before it starts")


def _vertices(piece: Table, where: str) -> Vector:
    vertices: Vector = piece["vertices"]
    if len(vertices) < 4 or np.linalg.matrix_rank(vertices[1:] - vertices[0], tol=WITHIN_MM) < 3:
        raise Refused(f"{where}: its vertices enclose no volume")
    if "exact" in piece:
        {"box": _holds_box, "round": _holds_round, "balls": _holds_balls}[piece["exact"]["kind"]](
            vertices, piece["exact"], where
        )
    return mapped(vertices, piece["sweep"], where) if "sweep" in piece else vertices


def _holds_box(vertices: Vector, box: Table, where: str) -> None:
    square_frame(box, where)
    signs = np.array(np.meshgrid([-1, 1], [-1, 1], [-1, 1])).reshape(3, -1).T
    corners = signs * box["size"] / 2 @ box["rotation"].T + box["origin"]
    apart = np.linalg.norm(vertices[:, None] - corners[None], axis=2)
    if not (box["size"].min() > 0 and apart.min(axis=0).max() <= WITHIN_MM and apart.min(axis=1).max() <= WITHIN_MM):
        raise Refused(f"{where}: its vertices are not the corners of the box it stands for")


def _holds_round(vertices: Vector, bar: Table, where: str) -> None:
    """Both ends' discs lie in the polygons of the vertices in the ends' planes, so the whole lies in the hull."""
    along = bar["end"] - bar["start"]
    length = float(np.sqrt(along @ along))
    if not (length > WITHIN_MM and min(bar["start_diameter_mm"], bar["end_diameter_mm"]) >= 0):
        raise Refused(f"{where}: the round solid it stands for has no length or a diameter under 0")
    for end in ("start", "end"):
        radius = bar[f"{end}_diameter_mm"] / 2
        if not _disc_within(vertices - bar[end], along / length, radius):
            raise Refused(f"{where}: it does not hold the round solid it stands for at its {end}")


def _disc_within(arms: Vector, axis: Vector, radius: float) -> bool:
    if radius == 0:
        return bool(np.sqrt((arms**2).sum(axis=1)).min() <= WITHIN_MM)
    rim = arms[np.abs(arms @ axis) <= WITHIN_MM]
    if len(rim) < 3:
        return False
    x_axis = np.cross(axis, np.eye(3)[np.argmin(np.abs(axis))])
    flat = rim @ np.column_stack([x_axis / np.sqrt(x_axis @ x_axis), np.cross(axis, x_axis / np.sqrt(x_axis @ x_axis))])
    flat = flat[np.argsort(np.arctan2(flat[:, 1], flat[:, 0]))]
    after = np.roll(flat, -1, axis=0)
    doubled = flat[:, 0] * after[:, 1] - flat[:, 1] * after[:, 0]  # twice the triangle to the centre
    edges = np.sqrt(((after - flat) ** 2).sum(axis=1))
    return bool((doubled >= (radius - WITHIN_MM) * edges).all() and (doubled > 0).all())


def _holds_balls(vertices: Vector, balls: Table, where: str) -> None:
    """The stated faces close round the vertices, which lie behind each; so do the balls."""
    faces = balls["faces"].astype(np.int64)
    if not (len(faces) and (faces == balls["faces"]).all() and faces.min() >= 0 and faces.max() < len(vertices)):
        raise Refused(f"{where}: its faces are not threes of vertices")
    edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    there = set(map(tuple, edges.tolist()))
    if len(there) < len(edges) or there != {(b, a) for a, b in there}:
        raise Refused(f"{where}: its faces do not close")
    a, b, c = vertices[faces[:, 0]], vertices[faces[:, 1]], vertices[faces[:, 2]]
    normals = np.cross(b - a, c - a)
    sizes = np.sqrt((normals**2).sum(axis=1))
    if not sizes.min() > 0:
        raise Refused(f"{where}: one of its faces has no area")
    normals /= sizes[:, None]
    planes = (normals * a).sum(axis=1)
    if not ((vertices @ normals.T - planes).max() <= WITHIN_MM):
        raise Refused(f"{where}: a vertex lies beyond one of its faces")
    if not (balls["diameter_mm"] > 0 and len(balls["centres"])):
        raise Refused(f"{where}: the balls it stands for have no size")
    if not ((balls["centres"] @ normals.T).max(axis=0) + balls["diameter_mm"] / 2 - planes).max() <= WITHIN_MM:
        raise Refused(f"{where}: it does not hold the balls it stands for")
