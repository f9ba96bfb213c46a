"""A judged job written down as a proof: directions, never bounds, and all that is needed to work everything out anew.

The form is stated in DEVELOPERS.md; what reads it shares no code with this. Millimetres and radians, the car's frame.
"""

import hashlib
import json
import tomllib
from collections.abc import Iterable, Iterator
from pathlib import Path as FilePath
from typing import Any

import numpy as np

from fitcheck.clearance.gaps import Found
from fitcheck.clearance.pairs import Treatment
from fitcheck.clearance.travel import Cover, phases
from fitcheck.clearance.witnesses import weights
from fitcheck.errors import FitcheckError, GeometryError, LengthError
from fitcheck.geometry.cover import Leaf
from fitcheck.geometry.exact import Balls, Cuboid, Exact, Round
from fitcheck.geometry.frames import Frame, Vector
from fitcheck.geometry.movement import Movement, Turn
from fitcheck.geometry.solids import Piece
from fitcheck.geometry.sweeps import Sweep, Swivel, Tilt
from fitcheck.job.lengths import Length
from fitcheck.job.opening import OpenJob
from fitcheck.job.positions import BYTE_ORDER_MARK, Path, positions
from fitcheck.placement.column import ColumnAxis
from fitcheck.placement.scene import Carry, Part, Phase, Scene, Unplaced
from fitcheck.placement.unit import unit2column

FORMAT = "fitcheck proof 1"
TEXTS = {"name", "remark", "who", "why", "date", "datum", "joined", "between"}  # keys whose texts are never lengths
MEET_MM = 1e-6  # witnesses this near are one point
Table = dict[str, Any]


def proof_bytes(opened: OpenJob, scene: Scene, found: Iterable[Found]) -> bytes:
    """The proof of every pair in `found` as a JSON text; the same job gives the same bytes."""
    text = json.dumps(proof(opened, scene, found), allow_nan=False, ensure_ascii=False, separators=(",", ":"))
    return text.replace('"},{"', '"},\n{"').encode() + b"\n"


def proof(opened: OpenJob, scene: Scene, found: Iterable[Found]) -> Table:
    """The same as a table of plain values."""
    column2car = ColumnAxis(opened.job).column2car
    unit2car = column2car @ unit2column(scene.setting.clock, scene.setting.input_face_mm)
    raw = tomllib.loads(opened.text.removeprefix(BYTE_ORDER_MARK))
    return {
        "format": FORMAT,
        "job": {"file": FilePath(opened.file).name, "sha256": opened.digest, "text": opened.text},
        "files": [_file(opened, name) for name in dict.fromkeys(_meshes(raw))],
        "keys": list(_keys(opened.text, raw)),
        "frames": {"column": _frame(column2car), "unit": _frame(unit2car)},
        "parts": [_part(part) for part in scene.parts],
        "unplaced": [{"name": part.name, "reason": _waits(part)} for part in scene.unplaced],
        "pairs": [_pair(entry) for entry in found],
    }


def _file(opened: OpenJob, name: str) -> Table:
    try:
        return {"name": name, "sha256": hashlib.sha256((opened.folder / name).read_bytes()).hexdigest()}
    except OSError as error:
        raise FitcheckError(f"{name} cannot be read: {error.strerror}") from error


def _meshes(value: Any) -> Iterator[str]:
    """Names of the mesh files in the job's own table."""
    if isinstance(value, dict):
        if isinstance(value.get("mesh"), str):
            yield value["mesh"]
        for item in value.values():
            yield from _meshes(item)
    elif isinstance(value, list):
        for item in value:
            yield from _meshes(item)


def _keys(text: str, raw: Table) -> Iterator[Table]:
    """Every length of the job: where it stands, as it is written, and in mm."""
    places = positions(text)
    for path, written in _texts(raw, ()):
        try:
            length = Length.parse(written)
        except LengthError:
            continue
        yield {"path": list(path), "line": places[path][0], "text": length.text, "mm": length.mm}


def _texts(value: Any, path: Path) -> Iterator[tuple[Path, str]]:
    if isinstance(value, str):
        yield path, value
    elif isinstance(value, dict):
        for key, item in value.items():
            if key not in TEXTS:
                yield from _texts(item, (*path, key))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from _texts(item, (*path, index))


def _frame(frame: Frame) -> Table:
    return {"rotation": frame.rotation.tolist(), "origin": frame.origin.tolist()}


def _waits(part: Unplaced) -> str:
    return f"missing {', '.join(part.keys)}: measure {part.measure}"


def _part(part: Part) -> Table:
    table: Table = {"name": part.name, "phases": [_phase(phase) for phase in part.phases]}
    pull = _pull(part)
    return table if pull is None else table | {"pull": _sweep(pull)}


def _pull(part: Part) -> Sweep | None:
    """The one sweep that makes the part's pulled phases of its phases; None where the pull leaves it alone."""
    pulls = [
        None if one is other else other.swept_from
        for phase, pulled in zip(part.phases, part.pulled, strict=True)
        for one, other in zip(phase.pieces, pulled.pieces, strict=True)
    ] if part.pulled else []  # fmt: skip
    if not any(pulls):
        return None
    pieces = [piece for phase in part.phases for piece in phase.pieces]
    known = [pull for pull in pulls if pull is not None]
    if len(known) < len(pieces) or any(pull[0] is not piece for pull, piece in zip(known, pieces, strict=True)):
        raise GeometryError(f"{part.name}: its pieces are not all swept by one pull, which no proof can state")
    return known[0][1]


def _phase(phase: Phase) -> Table:
    moves = [] if phase.moves is None else [_move(phase.moves)]
    carry = [_carry(each) for each in phase.carry]
    return {"moves": moves, "carry": carry, "pieces": [_piece(piece) for piece in phase.pieces]}


def _carry(carry: Carry) -> Table:
    table: Table = {"group": carry.group, "moves": [_move(sway.move) for sway in carry.sways]}
    if carry.shift is None:
        return table
    return table | {"shift": {"low": carry.shift.low.tolist(), "high": carry.shift.high.tolist()}}


def _move(move: Movement) -> Table:
    ends = {"start": float(move.start), "stop": float(move.stop)}
    if isinstance(move, Turn):
        return {"kind": "turn", "point": move.point.tolist(), "axis": move.axis.tolist()} | ends
    return {"kind": "slide", "direction": move.direction.tolist()} | ends


def _piece(piece: Piece) -> Table:
    base = piece if piece.swept_from is None else piece.swept_from[0]
    table: Table = {"name": piece.name, "vertices": base.corners.tolist()}
    if piece.swept_from is not None:
        table["sweep"] = _sweep(piece.swept_from[1])
    return table if base.exact is None else table | {"exact": _exact(base.exact, base)}


def _sweep(sweep: Sweep) -> Table:
    match sweep:
        case Tilt():
            point, axis, down = sweep.point.tolist(), sweep.axis.tolist(), sweep.down.tolist()
            return {"kind": "tilt", "point": point, "axis": axis, "down": down, "slope": float(sweep.slope)}
        case Swivel():
            point, axes = sweep.point.tolist(), sweep.axes.tolist()
            return {"kind": "swivel", "point": point, "axes": axes, "angle": float(sweep.angle)}
        case _:
            raise GeometryError(f"a piece is swept by a {type(sweep).__name__.lower()}, which no proof can state yet")


def _exact(exact: Exact, piece: Piece) -> Table:
    match exact:
        case Cuboid():
            return {"kind": "box"} | _frame(exact.frame) | {"size": np.asarray(exact.size).tolist()}
        case Round():
            ends = {"start": exact.start.tolist(), "end": exact.end.tolist()}
            sizes = {"start_diameter_mm": exact.start_diameter, "end_diameter_mm": exact.end_diameter}
            return {"kind": "round"} | ends | sizes
        case Balls():
            centres, faces = exact.centres.tolist(), piece.faces.tolist()
            return {"kind": "balls", "centres": centres, "diameter_mm": exact.diameter, "faces": faces}


def _pair(entry: Found) -> Table:
    a, b, need = entry.pair.a, entry.pair.b, entry.pair.need
    names = {"a": a.name, "b": b.name}
    if need.treatment is not Treatment.JUDGED:
        return {"kind": need.treatment.value} | names | {"reason": need.reason}
    required = {"required_mm": need.required_mm}
    if isinstance(a, Unplaced) or isinstance(b, Unplaced):
        reason = "; ".join(_waits(part) for part in (a, b) if isinstance(part, Unplaced))
        return {"kind": "not known"} | names | required | {"reason": reason}
    if any(type(piece) is not Piece for part in (a, b) for phase in part.phases for piece in phase.pieces):
        return {"kind": "not covered"} | names | required | {"reason": "a scan, which this form cannot state"}
    return {"kind": "judged"} | names | required | _shown(entry, a, b)


def _shown(entry: Found, a: Part, b: Part) -> Table:
    """The result, the place that shows the gap from above and, where the two stay apart, the leaves from below."""
    assert entry.closest is not None  # judged parts that are placed have a gap
    gap = entry.closest.gap
    hits = gap.gap_mm <= MEET_MM
    result = "hits" if hits else "keeps" if gap.bound_mm >= entry.pair.need.required_mm else "under"
    a_phase, b_phase = phases(a, b)[entry.closest.a_phase], phases(b, a)[entry.closest.b_phase]
    witness = {
        "a_phase": entry.closest.a_phase,
        "b_phase": entry.closest.b_phase,
        "a_piece": gap.a_piece,
        "b_piece": gap.b_piece,
        "a_at": list(gap.a_at),
        "b_at": list(gap.b_at),
        "a_on": _mixture(a.name, a_phase, gap.a_piece, gap.a_at, gap.on_a),
        "b_on": _mixture(b.name, b_phase, gap.b_piece, gap.b_at, gap.on_b),
    }
    return {"result": result, "witness": witness, "covers": [] if hits else [*map(_cover, entry.closest.covers)]}


def _mixture(name: str, phase: Phase, which: int, at: tuple[float, ...], on: Vector) -> list[list[float]]:
    """The point `on` (3,) as weights on the vertices of the piece it lies on, as the proof numbers them."""
    piece = phase.pieces[which]
    return weights(phase.moved(_numbered(piece), at), on, f"{name}, {piece.name}")


def _numbered(piece: Piece) -> Vector:
    """The vertices (n, 3) of a piece in the order the proof has them: all under the first map of a sweep, and so on."""
    if piece.swept_from is None:
        return piece.corners
    base = _numbered(piece.swept_from[0])
    return (base[None] + piece.swept_from[1].shifts(base)).reshape(-1, 3)


def _cover(cover: Cover) -> Table:
    leaves = [_leaf(leaf) for leaf in cover.leaves]
    return {"a_phase": cover.a_phase, "b_phase": cover.b_phase, "leaves": leaves}


def _leaf(leaf: Leaf) -> Table:
    box = [[float(low), float(high)] for low, high in leaf.box]
    return {"a": leaf.a_piece, "b": leaf.b_piece, "box": box, "directions": [n.tolist() for n in leaf.normals]}
