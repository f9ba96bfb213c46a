"""A scan put in the car by named points: each found in the scan and measured in the car. Millimetres.

The best rigid fit in the sense of least squares (Kabsch, Acta Cryst. A32, 1976; with a scale Umeyama, IEEE PAMI 13,
1991; both recalled). How far each point misses is always told, and a single one that spoils the fit is named.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path as FilePath

import numpy as np

from fitcheck.errors import GeometryError, KeyFault, MeshError
from fitcheck.geometry.frames import Frame, Vector
from fitcheck.geometry.scan import Scan, Skin
from fitcheck.geometry.scan_inside import nearest
from fitcheck.geometry.scan_piece import ScanPiece
from fitcheck.geometry.scan_reading import ReadScan, read_scan
from fitcheck.job.shapes import Mesh
from fitcheck.job.surroundings import Obstacle
from fitcheck.job.tools import TOOLS
from fitcheck.placement.points import Path, Places

FEWEST = 3
FAR_OFF_MM = 50.0  # off the scan: farther than the middle of any hole is from its edge
SLENDER = 0.05  # points no broader than this share of their length hold no turn about their line
DOUBTFUL_MM = 10.0  # a point that the others put this far away may be a blunder; common practice, no source
DOUBTFUL_TIMES = 3.0  # and that many times farther than the others miss by
UNIT_SLIPS = {10.0: "ten", 25.4: "25.4", 100.0: "a hundred", 1000.0: "a thousand"}
SLIP_WITHIN = 0.1  # of the factor
FREE_SIDES = {
    "front": "on the side its triangles face",
    "back": "on the side its triangles turn their backs to",
    "both": "on both sides",
}
ANOTHER_SIZE = 0.02  # a scale farther from 1 than this, where it makes the fit better, is spoken of


@dataclass(frozen=True, eq=False)
class Fit:
    """Where the scan sits and how large it is made; `misses_mm` by point: how far each is from where it was measured.

    `remarks` say in words how well the points fit, and what looks wrong about them.
    """

    scan2car: Frame
    scale: float
    misses_mm: dict[str, float]
    remarks: tuple[str, ...]


def of_surface(obstacle: Obstacle) -> tuple[float, str] | None:
    """Give or take of a scan's surface where it sits, mm, and where that is from; None for what is no scan.

    Not stated, it is a phone scan's; but that of the places of `fit`, each found in the scan, stands for it.
    """
    mesh = obstacle.shape
    if not isinstance(mesh, Mesh) or mesh.take_as != "scan":
        return None
    if mesh.spread is not None:
        return mesh.spread.mm, "stated"
    return None if mesh.fit else (TOOLS["scan"].spread, f"{TOOLS['scan'].words}, default; common practice, no source")


def scan_piece(mesh: Mesh, name: str, path: Path, places: Places, folder: FilePath) -> ScanPiece:
    """The scan of a mesh file that stands under `path`, put in the car; what it is goes to the notes."""
    read = _read(folder / mesh.mesh, mesh.mesh_unit, path)
    notes = [f"{name}: {words}" for words in read.remarks]
    skin, scan2car = read.skin, Frame.identity()
    if mesh.fit:
        fit = _fit(mesh, name, path, places)
        notes += _off_the_scan(mesh, name, skin, path)
        skin = skin.scaled(fit.scale) if mesh.scale == "fit" else skin
        scan2car = fit.scan2car
        notes += fit.remarks
    elif mesh.at is not None:
        scan2car = Frame(np.eye(3), places.point(mesh.at, (*path, "at")))
    scan = Scan(name, skin, scan2car, mesh.free_side)
    if scan.closed and mesh.free_side is not None:
        notes.append(f"{name}: free_side is not used: the scan is closed, and its inside is solid")
    elif mesh.free_side is not None:
        notes.append(f"{name}: taken to be room {FREE_SIDES[mesh.free_side]}, as free_side says; check that")
    places.notes.update(dict.fromkeys(notes))
    return ScanPiece.of(scan)


def _fit(mesh: Mesh, name: str, path: Path, places: Places) -> Fit:
    names = _names(mesh)
    in_scan = np.array([[at.x.mm, at.y.mm, at.z.mm] for at in mesh.fit])
    in_car = np.array([places.point(at.point, (*path, "fit", i, "point")) for i, at in enumerate(mesh.fit)])
    if len(set(names)) < len(names):
        raise KeyFault((*path, "fit"), "a point is named twice; each place once")
    try:
        return fitted(name, names, in_scan, in_car, mesh.scale == "fit")
    except GeometryError as error:
        raise KeyFault((*path, "fit"), str(error)) from error


def _off_the_scan(mesh: Mesh, name: str, skin: Skin, path: Path) -> list[str]:
    """Words for places that were found in the scan, yet do not lie on it; KeyFault where most of them are far off."""
    points = [np.array([at.x.mm, at.y.mm, at.z.mm]) for at in mesh.fit]
    off = [float(np.linalg.norm(nearest(skin, point)[1] - point)) for point in points]
    if np.median(off) > FAR_OFF_MM:
        raise KeyFault(
            (*path, "fit"), f"its places lie {np.median(off):.0f} mm off the scan; is mesh_unit right, and x, y, z?"
        )
    return [
        f"{name}: {called} lies {miss:.0f} mm off the scan; check its x, y and z"
        for called, miss in zip(_names(mesh), off, strict=True)
        if miss > DOUBTFUL_MM
    ]


def _names(mesh: Mesh) -> list[str]:
    return [at.point if isinstance(at.point, str) else f"fit[{i}]" for i, at in enumerate(mesh.fit, start=1)]


def _read(file: FilePath, unit: str, path: Path) -> ReadScan:
    try:
        stamp = file.stat() if file.is_file() else None
        return read_scan(file, unit) if stamp is None else _kept(file, unit, stamp.st_mtime_ns, stamp.st_size)
    except MeshError as error:
        raise KeyFault((*path, "mesh"), str(error)) from error


@lru_cache(maxsize=4)
def _kept(file: FilePath, unit: str, changed: int, size: int) -> ReadScan:
    """A scan is read once, though its part is placed anew for every reading that moves it."""
    return read_scan(file, unit)


def fitted(name: str, points: Sequence[str], in_scan: Vector, in_car: Vector, scale: bool = False) -> Fit:
    """The scan `name` fitted by `points`, which lie at `in_scan` (n, 3) and were measured at `in_car` (n, 3).

    With `scale` it may grow or shrink as well. GeometryError for fewer than three points, points nearly in one line,
    and points that can only fit another unit or a mirrored scan.
    """
    if len(points) < FEWEST:
        raise GeometryError(f"{name}: {len(points)} points place no scan; give three or more, well apart")
    for cloud, where in ((in_scan, "in the scan"), (in_car, "as measured")):
        _refuse_slender(name, cloud, where)
    frame, size = best_fit(in_scan, in_car, scale)
    misses = _misses(frame, size, in_scan, in_car)
    _refuse_unit_slip(name, in_scan, in_car)
    _refuse_mirrored(name, in_scan, in_car, misses)
    by_point = dict(zip(points, misses.tolist(), strict=True))
    remarks = [_how_well(name, by_point, scale, size)]
    remarks += _better_scaled(name, in_scan, in_car, misses) if not scale else []
    remarks += _blunder(name, points, in_scan, in_car, scale)
    return Fit(frame, size, by_point, tuple(remarks))


def best_fit(in_scan: Vector, in_car: Vector, scale: bool) -> tuple[Frame, float]:
    """The frame and the scale (1 unless `scale`) that bring `in_scan` (n, 3) nearest to `in_car` (n, 3)."""
    middle, target = in_scan.mean(axis=0), in_car.mean(axis=0)
    arms, wanted = in_scan - middle, in_car - target
    left, sizes, right = np.linalg.svd(wanted.T @ arms)
    signs = np.array([1.0, 1.0, np.sign(np.linalg.det(left) * np.linalg.det(right))])
    rotation = (left * signs) @ right
    size = float((sizes * signs).sum() / (arms**2).sum()) if scale else 1.0
    return Frame(rotation, target - size * rotation @ middle), size


def _misses(frame: Frame, size: float, in_scan: Vector, in_car: Vector) -> Vector:
    return np.asarray(np.sqrt(((frame.points(size * in_scan) - in_car) ** 2).sum(axis=1)))


def _rms(misses: Vector) -> float:
    return float(np.sqrt((misses**2).mean()))


def _refuse_slender(name: str, cloud: Vector, where: str) -> None:
    sizes = np.linalg.svd(cloud - cloud.mean(axis=0), compute_uv=False)
    if not sizes[1] > SLENDER * sizes[0]:
        raise GeometryError(f"{name}: its points lie nearly in one line {where}; give one well off that line")


def _refuse_unit_slip(name: str, in_scan: Vector, in_car: Vector) -> None:
    ratio = _size(in_car) / _size(in_scan)
    for factor, words in UNIT_SLIPS.items():
        for wrong, more in ((factor, "farther apart"), (1 / factor, "nearer together")):
            if abs(ratio / wrong - 1) < SLIP_WITHIN:
                raise GeometryError(
                    f"{name}: its points were measured {words} times {more} than in the scan; is mesh_unit right?"
                )


def _size(cloud: Vector) -> float:
    return float(np.sqrt(((cloud - cloud.mean(axis=0)) ** 2).sum()))


def _refuse_mirrored(name: str, in_scan: Vector, in_car: Vector, misses: Vector) -> None:
    mirrored = in_scan * [1.0, 1.0, -1.0]
    other = _rms(_misses(*best_fit(mirrored, in_car, False), mirrored, in_car))
    if len(misses) > FEWEST and DOUBTFUL_TIMES * other < _rms(misses) and _rms(misses) > DOUBTFUL_MM:
        raise GeometryError(
            f"{name}: its points miss by {_rms(misses):.0f} mm, and mirrored by {other:.0f} mm: "
            "left and right are exchanged in the scan or in a reading"
        )


def _how_well(name: str, misses: dict[str, float], scale: bool, size: float) -> str:
    worst = max(misses, key=lambda point: misses[point])
    found = f"{name} is placed by {len(misses)} points that miss by {_rms(np.array(list(misses.values()))):.1f} mm"
    told = f"{found} (root mean square; most: {worst}, {misses[worst]:.1f} mm)"
    grown = f"; made {size:.4f} times as large, as asked" if scale else ""
    few = "; three points show no blunder: give a fourth" if len(misses) == FEWEST else ""
    return told + grown + few


def _better_scaled(name: str, in_scan: Vector, in_car: Vector, misses: Vector) -> list[str]:
    frame, size = best_fit(in_scan, in_car, True)
    better = _rms(_misses(frame, size, in_scan, in_car))
    if abs(size - 1) > ANOTHER_SIZE and DOUBTFUL_TIMES * better < _rms(misses):
        return [f"{name} would fit within {better:.1f} mm made {size:.3f} times as large; was it scanned to scale?"]
    return []


def _blunder(name: str, points: Sequence[str], in_scan: Vector, in_car: Vector, scale: bool) -> list[str]:
    """The point that spoils the fit, if there is one: left out, the others agree."""
    if len(points) <= FEWEST:
        return []
    found = []
    for left_out, point in enumerate(points):
        others = np.arange(len(points)) != left_out
        frame, size = best_fit(in_scan[others], in_car[others], scale)
        misses = _misses(frame, size, in_scan, in_car)
        found.append((_rms(misses[others]), float(misses[left_out]), point))
    agree, miss, point = min(found)
    if miss > max(DOUBTFUL_MM, DOUBTFUL_TIMES * agree):
        return [f"{name}: {point} is {miss:.0f} mm from where the other points put it; take it again, in car and scan"]
    return []
