"""The assist unit and its bracket on the column.

Unit frame: origin on the column's axis at the input face, x to where the motor can's far end points, z down the
column, y completes the right hand. At 9:00 its y points to 12 o'clock, so a can that passes over the column there
sits at y > 0.
"""

from collections.abc import Iterator
from functools import cache
from pathlib import Path as FilePath

import numpy as np

from fitcheck.errors import KeyFault, MeshError
from fitcheck.geometry.frames import Frame, Vector
from fitcheck.geometry.primitives import cylinder, ring
from fitcheck.geometry.solids import Piece
from fitcheck.job.assembly import Bracket, Motor, Plug, Unit
from fitcheck.job.lengths import both_units
from fitcheck.job.model import Job
from fitcheck.job.shapes import Mesh
from fitcheck.placement.adjusted import Adjustment, goes_along
from fitcheck.placement.column import ColumnAxis, heaved, round_the_jacket
from fitcheck.placement.library import library_mesh
from fitcheck.placement.points import Path, Places
from fitcheck.placement.scene import Carry, Kind, Part, Phase, Setting
from fitcheck.placement.shapes import mesh_pieces, mesh_size, shape_pieces


def unit2column(clock: float, input_face_mm: float) -> Frame:
    """Where the unit's frame sits in the column's."""
    cosine, sine = np.cos(clock), np.sin(clock)
    return Frame(np.array([[cosine, -sine, 0], [sine, cosine, 0], [0, 0, 1.0]]), np.array([0, 0, input_face_mm]))


def setting(job: Job, axis: ColumnAxis) -> Setting:
    """Where the job puts the unit."""
    unit = job.unit
    face = axis.along(unit.along_from, ("unit", "along_from")) + unit.input_face.mm
    sensor = 0.0 if unit.sensor is None else unit.sensor.long.mm
    plane = None if unit.gear_body is None else face + sensor + unit.gear_body.long.mm / 2
    return Setting(
        clock=unit.clock.rad,
        input_face_mm=face,
        motor_plane_mm=plane,
        round_jacket_mm=round_the_jacket(unit.clock.rad, axis.radius),
        from_mark=unit.along_from,
        from_mark_mm=unit.input_face.mm,
    )


def unit_part(job: Job, axis: ColumnAxis, at: Setting, folder: FilePath, adjusted: tuple[Adjustment, ...] = ()) -> Part:
    """The unit at its clock angle and place, and the same swept over a heave on the wheel."""
    unit2car = axis.column2car @ unit2column(at.clock, at.input_face_mm)
    own = _unit_pieces(job.unit, folder)
    _on_the_column(job, own, at)
    pieces = tuple(piece.placed(unit2car) for piece in own)
    pulled = heaved(pieces, job, axis, at.input_face_mm)
    carry = _carry(own, at, adjusted)
    return Part(
        "unit",
        Kind.UNIT,
        (Phase(pieces, carry=carry),),
        new=True,
        joined=frozenset({"column"}),
        bolted=frozenset([] if job.bracket is None else job.bracket.bolts_to),
        pulled=(Phase(pulled, carry=carry),),
        notes=() if job.unit.mesh is None else (_checked_size(job.unit.mesh, own, axis),),
    )


def _carry(own: tuple[Piece, ...], at: Setting, adjusted: tuple[Adjustment, ...]) -> tuple[Carry, ...]:
    """What carries the unit along where the column tilts or reaches."""
    return goes_along(adjusted, at.input_face_mm, _lowest(own, at), "unit")


def _lowest(own: tuple[Piece, ...], at: Setting) -> float:
    """How far along from the hub seat the unit reaches, mm."""
    return at.input_face_mm + float(max(piece.vertices[:, 2].max() for piece in own))


def _on_the_column(job: Job, own: tuple[Piece, ...], at: Setting) -> None:
    """Refuses a unit that does not sit on the column from end to end, and bolts that lead to no piece of it."""
    column = job.column
    ends = [column.jacket_to.mm, *([] if column.shaft_to is None else [column.shaft_to.mm])]
    lowest = _lowest(own, at)
    if not (column.jacket_from.mm <= at.input_face_mm and lowest <= max(ends)):
        raise KeyFault(
            ("unit", "input_face"),
            f"the unit would reach from {both_units(at.input_face_mm)} to {both_units(lowest)} along, off the column, "
            f"which runs from {column.jacket_from.text} to {both_units(max(ends))}; check this and the jacket's ends",
        )
    names = {piece.name for piece in own}
    for i, name in enumerate([] if job.bracket is None else job.bracket.bolts_to):
        if name not in names:
            raise KeyFault(
                ("bracket", "bolts_to", i), f"the unit has no piece '{name}'; it has {', '.join(sorted(names))}"
            )


def _checked_size(mesh: Mesh, pieces: tuple[Piece, ...], axis: ColumnAxis) -> str:
    """The size in words; a unit goes round the shaft, so one smaller than the jacket was read in a wrong unit."""
    said = mesh_size(mesh, "unit", pieces)
    if np.ptp(np.vstack([piece.vertices for piece in pieces]), axis=0).max() < 2 * axis.radius:
        raise KeyFault(("unit", "mesh", "mesh_unit"), f"{said}: it is smaller than the jacket")
    return said


def _unit_pieces(unit: Unit, folder: FilePath) -> tuple[Piece, ...]:
    if unit.library is not None:
        return _library_pieces(unit.library, ("unit", "library"))
    if unit.mesh is not None:
        if unit.mesh.at is not None:
            raise KeyFault(("unit", "mesh", "at"), "a unit's mesh sits by its input face and clock; leave 'at' out")
        return mesh_pieces(unit.mesh, "unit", folder, ("unit", "mesh"))
    return tuple(_solids(unit))


def _library_pieces(name: str, path: Path) -> tuple[Piece, ...]:
    if name != path[0]:
        raise KeyFault(path, f'the library\'s {path[0]} is called "{path[0]}"')
    try:
        return _read_once(name)
    except MeshError as error:
        raise KeyFault(path, str(error)) from error


@cache
def _read_once(name: str) -> tuple[Piece, ...]:
    return library_mesh(name).pieces


def _solids(unit: Unit) -> Iterator[Piece]:
    assert unit.gear_body is not None and unit.motor is not None  # the model holds this
    down = 0.0
    for words, drum in (("sensor section", unit.sensor), ("gear body", unit.gear_body), ("output stub", unit.output)):
        if drum is None:
            continue
        yield cylinder([0, 0, down], [0, 0, down + drum.long.mm], drum.dia.mm, words, ("wheel end", "rack end"))
        if words == "gear body":
            middle = down + drum.long.mm / 2
        down += drum.long.mm
    motor = unit.motor
    start, end = _can_axis(motor, unit.hand, middle)
    yield cylinder(start, end, motor.dia.mm, "motor can", ("near end", "far end"))
    if unit.worm is not None:
        if motor.lies == "parallel":
            raise KeyFault(
                ("unit", "worm"),
                "a worm housing lies along a can square to the column; for a parallel one leave it out",
            )
        behind = np.array([-unit.worm.behind.mm, start[1], start[2]])
        yield cylinder(behind, start, unit.worm.dia.mm, "worm housing", ("near end", "can end"))
    if unit.plug is not None:
        yield _plug(unit.plug, motor, start, end)


def _can_axis(motor: Motor, hand: str | None, middle: float) -> tuple[Vector, Vector]:
    if motor.lies == "parallel":
        start = np.array([motor.beside.mm, 0.0, motor.starts.mm])
        return start, start + [0, 0, motor.long.mm]
    beside = motor.beside.mm if hand == "over" else -motor.beside.mm
    start = np.array([motor.starts.mm, beside, middle])
    return start, start + [motor.long.mm, 0, 0]


def _plug(plug: Plug, motor: Motor, start: Vector, end: Vector) -> Piece:
    along_can = (end - start) / motor.long.mm
    foot = end - plug.from_far_end.mm * along_can
    if motor.lies == "parallel":
        if plug.side != "out":
            raise KeyFault(("unit", "plug", "side"), 'on a can parallel to the column a plug stands "out" only')
        out = np.array([1.0, 0, 0])
    else:
        out = {
            "wheel": np.array([0, 0, -1.0]),
            "rack": np.array([0, 0, 1.0]),
            "out": np.array([0, np.sign(start[1]), 0]),
        }[plug.side]
    return cylinder(foot, foot + (motor.dia.mm / 2 + plug.stands.mm) * out, plug.dia.mm, "plug", ("can", "plug end"))


def bracket_part(
    bracket: Bracket,
    job: Job,
    axis: ColumnAxis,
    places: Places,
    at: Setting,
    folder: FilePath,
    adjusted: tuple[Adjustment, ...] = (),
) -> Part:
    """The bracket, turned and slid with the unit or left where it was measured."""
    measured = list(_clamp(bracket, axis))
    for name, shape in bracket.solids.items():
        measured += shape_pieces(shape, name, ("bracket", "solids", name), places, folder)
    turns = bracket.turns == "with the unit"
    unit2car = axis.column2car @ unit2column(at.clock, at.input_face_mm)
    if turns and bracket.measured_at is not None:
        then = unit2column(bracket.measured_at.clock.rad, bracket.measured_at.input_face.mm)
        moved = unit2car @ (axis.column2car @ then).inverse
        measured = [piece.placed(moved) for piece in measured]
    if bracket.library is not None:
        measured += [piece.placed(unit2car) for piece in _library_pieces(bracket.library, ("bracket", "library"))]
    if not measured:
        raise KeyFault(
            ("bracket",), "the bracket has no solids; give a clamp, solids or a library mesh, or leave it out"
        )
    pieces = tuple(measured)
    pulled = heaved(pieces, job, axis, at.input_face_mm) if turns else pieces
    carry = _carry(_unit_pieces(job.unit, folder), at, adjusted) if turns and adjusted else ()
    phases, swept = (Phase(pieces, carry=carry),), (Phase(pulled, carry=carry),)
    joined = frozenset({"column", *bracket.joined})
    return Part("bracket", Kind.BRACKET, phases, new=True, joined=joined, pulled=swept)


def _clamp(bracket: Bracket, axis: ColumnAxis) -> Iterator[Piece]:
    if bracket.clamp is not None:
        start, end = bracket.clamp.along.mm, bracket.clamp.along.mm + bracket.clamp.wide.mm
        outer = 2 * (axis.radius + bracket.clamp.thick.mm)
        for piece in ring([0, 0, start], [0, 0, end], 2 * axis.radius, outer, "bracket clamp"):
            yield piece.placed(axis.column2car)
