"""Shapes of the job file as convex pieces in the car frame."""

from pathlib import Path as FilePath

import numpy as np

from fitcheck.errors import GeometryError, KeyFault, MeshError
from fitcheck.geometry.frames import Frame, Vector, unit
from fitcheck.geometry.meshes import convex_pieces
from fitcheck.geometry.outlines import THINNEST_MM, bore_outline
from fitcheck.geometry.primitives import box, plate, sheet, tube
from fitcheck.geometry.solids import Piece
from fitcheck.job.shapes import Box, Flat, Mesh, Rod, Shape, Sheet
from fitcheck.placement.points import TOWARD, Path, Places
from fitcheck.placement.scans import scan_piece

HOLE_SIDES = 16  # a hole errs inward by 2 % of its radius; more sides make more pieces to look at
BOX_SIDES = ("front and rear", "left and right side", "top and underside")
FLAT_WITHIN_MM = 10.0  # how far a measured corner may lie off the plate's plane before the outline is refused


def shape_pieces(
    shape: Shape, name: str, path: Path, places: Places, folder: FilePath, scans: bool = False
) -> tuple[Piece, ...]:
    """The convex pieces (car frame) of a shape that stands under `path`, or with `scans` a scan; files in `folder`."""
    try:
        if scans and isinstance(shape, Mesh) and shape.take_as == "scan":
            return (scan_piece(shape, name, path, places, folder),)
        return _pieces(shape, name, path, places, folder)
    except GeometryError as error:
        raise KeyFault(path, str(error)) from error


def _pieces(shape: Shape, name: str, path: Path, places: Places, folder: FilePath) -> tuple[Piece, ...]:
    if isinstance(shape, Box):
        corner = places.point(shape.corner, (*path, "corner"))
        opposite = places.point(shape.opposite, (*path, "opposite"))
        for sides, extent in zip(BOX_SIDES, np.abs(opposite - corner), strict=True):
            if extent < THINNEST_MM:
                raise KeyFault((*path, "opposite"), f"{sides} of the box are the same place; measure both")
        return (box(corner, opposite, name),)
    if isinstance(shape, Rod):
        return _rod(shape, name, path, places)
    if isinstance(shape, Flat):
        return _flat(shape, name, path, places)
    if isinstance(shape, Sheet):
        return _sheet(shape, name, path, places)
    origin = np.zeros(3) if shape.at is None else places.point(shape.at, (*path, "at"))
    pieces = mesh_pieces(shape, name, folder, path)
    places.notes[mesh_size(shape, name, pieces)] = None
    return tuple(piece.placed(Frame(np.eye(3), origin)) for piece in pieces)


def mesh_pieces(mesh: Mesh, name: str, folder: FilePath, path: Path) -> tuple[Piece, ...]:
    """The pieces of a mesh file, in the mesh's own frame, mm."""
    if mesh.take_as == "scan":
        raise KeyFault((*path, "take_as"), 'only an obstacle can be a scan; write "pieces", or "hull"')
    try:
        return convex_pieces(folder / mesh.mesh, mesh.mesh_unit, name, hull=mesh.take_as == "hull")
    except MeshError as error:
        raise KeyFault((*path, "mesh"), str(error)) from error


def mesh_size(mesh: Mesh, name: str, pieces: tuple[Piece, ...]) -> str:
    """How large a mesh came out, for a person to check its unit by."""
    corners = np.vstack([piece.vertices for piece in pieces])
    sides = " x ".join(f"{side:.0f}" for side in np.ptp(corners, axis=0))
    return f'{name}: {mesh.mesh} read in "{mesh.mesh_unit}" is {sides} mm; check that against the part'


def _rod(shape: Rod, name: str, path: Path, places: Places) -> tuple[Piece, ...]:
    rough = [places.point(place, (*path, "through", i), half=0.0) for i, place in enumerate(shape.through)]
    along = unit(rough[-1] - rough[0])
    line = [
        places.point(place, (*path, "through", i), half=shape.dia.mm / 2, axis=along)
        for i, place in enumerate(shape.through)
    ]
    return tube(np.array(line), shape.dia.mm, name)


def _flat(shape: Flat, name: str, path: Path, places: Places) -> tuple[Piece, ...]:
    plate2car, flat, centres = laid_flat(shape, path, places)
    holes = [bore_outline(centre, hole.dia.mm, HOLE_SIDES) for centre, hole in zip(centres, shape.holes, strict=True)]
    # Corners a little off the plane: the plate is thickened so that it still holds every one of them.
    low, high = min(0.0, flat[:, 2].min()), shape.thick.mm + max(0.0, flat[:, 2].max())
    base = plate2car @ Frame(np.eye(3), np.array([0, 0, low]))
    return plate(flat[:, :2], high - low, base, name, holes=holes)


def laid_flat(shape: Flat, path: Path, places: Places) -> tuple[Frame, Vector, list[Vector]]:
    """Frame of the measured face (z the way the thickness goes), corners (n, 3) in it, centres (2,) of the holes."""
    corners = np.array([places.point(place, (*path, "outline", i)) for i, place in enumerate(shape.outline)])
    plate2car = _face(corners, TOWARD[shape.to], path)
    flat = plate2car.inverse.points(corners)
    if np.abs(flat[:, 2]).max() > FLAT_WITHIN_MM:
        off = np.abs(flat[:, 2]).max()
        raise KeyFault(
            (*path, "outline"), f"its corners do not lie in one plane ({off:.0f} mm off); measure them again"
        )
    at = [places.point(hole.at, (*path, "holes", i, "at")) for i, hole in enumerate(shape.holes)]
    return plate2car, flat, [plate2car.inverse.points(centre)[:2] for centre in at]


def _face(corners: Vector, toward: Vector, path: Path) -> Frame:
    """Frame of a measured face: best plane through its corners, z to the side the thickness goes."""
    middle = corners.mean(axis=0)
    normal = np.linalg.svd(corners - middle)[2][2]
    if abs(normal @ toward) < 0.2:
        raise KeyFault((*path, "to"), "the thickness would go along the plate; name the side it really goes to")
    return Frame.from_axes(middle, normal * np.sign(normal @ toward), corners[1] - corners[0])


def _sheet(shape: Sheet, name: str, path: Path, places: Places) -> tuple[Piece, ...]:
    line = np.array([places.point(place, (*path, "line", i)) for i, place in enumerate(shape.line)])
    across = TOWARD[shape.across]
    first = line[1] - line[0]
    if np.linalg.norm(np.cross(unit(first), across)) < 0.2:
        raise KeyFault((*path, "across"), "the sheet would be carried along its own edge; name the way across it")
    sheet2car = Frame.from_axes(line[0], across, first)
    flat = sheet2car.inverse.points(line)
    low, high = flat[:, 2].min(), flat[:, 2].max()
    if high - low > FLAT_WITHIN_MM:
        raise KeyFault(
            (*path, "line"), f"its places lie up to {high - low:.0f} mm apart {shape.across}; take them along one edge"
        )
    # An edge taken a little unevenly: the sheet is carried from its outermost place, so that it holds every one.
    base = sheet2car @ Frame(np.eye(3), np.array([0, 0, low]))
    return sheet(flat[:, :2], shape.thick.mm, shape.width.mm + high - low, base, name)
