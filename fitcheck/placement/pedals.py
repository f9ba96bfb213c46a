"""Pedals as parts: arm, pad and what rides on them, with the side play of a worn bush, swinging about the pivot."""

from collections.abc import Callable, Iterator
from pathlib import Path as FilePath

import numpy as np

from fitcheck.errors import GeometryError, KeyFault
from fitcheck.geometry.frames import Frame, Vector, crossed, unit
from fitcheck.geometry.primitives import block, cylinder, flat_bar
from fitcheck.geometry.solids import Piece
from fitcheck.geometry.sweeps import Tilt
from fitcheck.job.surroundings import ArmPoint, Pedal
from fitcheck.placement.points import BACK, UP, Path, Places
from fitcheck.placement.scene import Kind, Missing, Part, Phase
from fitcheck.placement.shapes import shape_pieces
from fitcheck.placement.swing import Swing

MEETS_MM = 3.0  # an arm's last place this near the pad's back already meets it


def pedal_part(pedal: Pedal, index: int, swing_of: Callable[[str], Swing], places: Places, folder: FilePath) -> Part:
    """The pedal as a part. Raises Missing for what is not measured yet."""
    path: Path = ("pedals", index)
    how = swing_of(pedal.name)
    pieces = [*arm_pieces(pedal, path, places, how), pad_piece(pedal, how)]
    for name, shape in pedal.rides.items():
        pieces += shape_pieces(shape, name, (*path, "rides", name), places, folder)
    bush = how.beside(places.point(pedal.arm[0].at, (*path, "arm", 0, "at")))
    worn = tuple(with_side_play(piece, how, bush) for piece in pieces)
    joined = frozenset(pedal.joined) | ({pedal.pivot_shaft} if pedal.pivot_shaft is not None else set())
    phase = Phase(worn, how.turn(), how.travel())
    return Part(
        pedal.name, Kind.PEDAL, (phase,), new=pedal.altered, joined=joined, driven_by=pedal.name, pulled=(phase,)
    )


def arm_pieces(pedal: Pedal, path: Path, places: Places, how: Swing) -> Iterator[Piece]:
    """Arm from pivot to pad and tail beyond the pivot, at rest. Raises Missing where the arm was not measured."""
    missing = [key for key in ("arm", "arm_wide", "arm_thick") if not getattr(pedal, key)]
    if missing:
        raise Missing(
            [f"pedals[{int(path[1]) + 1}].{key}" for key in missing],
            f"the {pedal.name} arm: its front edge where it passes the column, its width and its thickness",
        )
    assert pedal.arm_wide is not None and pedal.arm_thick is not None
    back_of_pad = how.pad - _pad_thick(pedal) * pad_normal(pedal, how)
    for words, points, end in (("arm", pedal.arm, back_of_pad), ("tail", pedal.tail, None)):
        if not points:
            continue
        line = arm_line(points, (*path, words), places, how, end, pedal.arm_wide.mm / 2)
        try:
            bars = flat_bar(line, how.axis, pedal.arm_wide.mm, pedal.arm_thick.mm, f"{pedal.name} {words}")
            yield from bars if words == "tail" else with_eye(bars, pedal, line[0], how)
        except GeometryError as error:
            raise KeyFault((*path, words), str(error)) from error


def with_eye(bars: tuple[Piece, ...], pedal: Pedal, pivot: Vector, how: Swing) -> Iterator[Piece]:
    """The arm with its round eye about `pivot` (3,), where the job gives one; facets outside the true round.

    An eye at least as wide as the arm covers the arm's square corners; to a smaller one the first stretch narrows: the
    hull of the eye and of the stretch's far end.
    """
    if pedal.boss_dia is None or pedal.arm_thick is None or pedal.arm_wide is None:
        yield from bars
        return
    half = pedal.arm_thick.mm / 2 * how.axis
    eye = cylinder(pivot - half, pivot + half, pedal.boss_dia.mm, f"{pedal.name} arm, eye", ())
    first, *rest = bars
    if pedal.boss_dia.mm < pedal.arm_wide.mm and rest:
        away = np.linalg.norm(first.vertices - pivot, axis=1)
        far = first.vertices[away > np.median(away)]
        first = Piece(np.vstack([eye.vertices, far]), first.name)
    yield from (first, *rest, eye)


def arm_line(points: list[ArmPoint], path: Path, places: Places, how: Swing, end: Vector | None, half: float) -> Vector:
    """Middle line (n, 3) of an arm from the pivot through `points`, to `end` where there is one.

    A place on the front or rear edge is moved by half the arm's width, square to the arm in the plane of the swing.
    """
    measured = [places.point(point.at, (*path, i, "at")) for i, point in enumerate(points)]
    line = [how.beside(measured[0]), *measured]
    if end is not None and np.linalg.norm(end - measured[-1]) > MEETS_MM:
        line.append(end)
    middle = list(line)
    for i, point in enumerate(points, start=1):
        if point.edge == "middle":
            continue
        onward = line[min(i + 1, len(line) - 1)] - line[i - 1]
        square = unit(crossed(how.axis, onward))
        if abs(square @ BACK) < 0.2:
            raise KeyFault((*path, i - 1, "edge"), "the arm runs fore and aft here: measure to its middle")
        rearward = square * np.sign(square @ BACK)
        middle[i] = line[i] + half * rearward * (1 if point.edge == "front" else -1)
        places.notes[
            f"{how.pedal} arm was measured to its {point.edge} edge: half its width, {half:.1f} mm, was added"
        ] = None
    return np.array(middle)


def pad_normal(pedal: Pedal, how: Swing) -> Vector:
    """Where the pad's face looks at rest: by its tilt, else square to its path (said in the notes)."""
    if pedal.pad is not None and pedal.pad.tilt is not None:
        tilt = pedal.pad.tilt.rad
        return np.asarray(np.cos(tilt) * BACK + np.sin(tilt) * UP)
    arm = how.pad - how.point
    return unit(-crossed(how.axis, arm))


def _pad_thick(pedal: Pedal) -> float:
    assert pedal.pad is not None  # the swing asked for the pad already
    return pedal.pad.thick.mm


def pad_piece(pedal: Pedal, how: Swing) -> Piece:
    """The pad, its face's centre where it was measured."""
    assert pedal.pad is not None
    face = Frame.from_axes(how.pad, pad_normal(pedal, how), how.axis)
    centre = Frame(face.rotation, face.points([0, 0, -pedal.pad.thick.mm / 2]))
    return block(centre, [pedal.pad.wide.mm, pedal.pad.high.mm, pedal.pad.thick.mm], f"{pedal.name} pad")


def with_side_play(piece: Piece, how: Swing, bush: Vector) -> Piece:
    """The piece swept over the tilt a worn `bush` (3,) on the pivot's axis allows: the pad goes `how.wear_mm` each way.

    A small turn, taken straight: a point d from the bush goes along the pivot's axis in proportion to how far down the
    arm it lies, and along the arm in proportion to how far beside the bush. What is left out is wear^2 / 2r, 0.03 mm.
    Linear, so the hull of both ends holds all.
    """
    if how.wear_mm == 0:
        return piece
    return piece.swept(Tilt(bush, how.axis, how.circle[1] / how.radius_mm, how.wear_mm / how.radius_mm))
