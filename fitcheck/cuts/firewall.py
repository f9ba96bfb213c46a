"""The opening where a round column passes a sheet: true ellipse plus clearance, ring of holes, the folded toe-board.

Sheet frame: up the sheet, and to the driver's right along it, origin where the column's axis passes. A cylinder of
radius r crosses a plane in an ellipse of half axes r and r / cos i, i the angle between its axis and the plane's normal
(section of a right circular cylinder; elementary geometry). The clearance is kept square to the column, so r holds it.
A sheet t thick shifts the ellipse by t tan i between its faces: the opening is the ellipse drawn out by that much.
"""

from dataclasses import dataclass
from math import acos, atan2, cos, hypot, pi, sin, sqrt, tan

import numpy as np

from fitcheck.cuts.chain import Stack
from fitcheck.cuts.limits import Band, Found, judged
from fitcheck.errors import KeyFault
from fitcheck.geometry.frames import Frame, Vector, crossed
from fitcheck.job.sheet_metal import Bolts, Firewall
from fitcheck.placement.points import UP

CLEARANCE_MM = 5.0  # all round; common practice, no source: 3 to 5 mm
EDGE_DIAMETERS = 1.5  # metal beside a hole, in its diameters; common practice, no source
MOST_TILT = 80 * pi / 180


@dataclass(frozen=True)
class Folded:
    """The opening over a fold, mm: up the lower sheet from its lowest point to the fold, beyond it, its width there."""

    below_fold_mm: float
    beyond_fold_mm: float
    width_at_fold_mm: float


@dataclass(frozen=True)
class Opening:
    """tilt_rad: between column and the sheet's normal; turn_rad: of the long axis, clockwise from up the sheet.

    farthest_rad: clock place round the column at which the sheet crosses it farthest from the wheel.
    minor, major: the ellipse with its clearance; long: with the sheet's thickness; up, right: half its height and width
    on the sheet; holes: (up, right) of each, mm.
    """

    tilt_rad: float
    turn_rad: float
    farthest_rad: float
    minor_mm: float
    major: Stack
    long_mm: float
    clearance_mm: float
    half_up_mm: float
    half_right_mm: float
    holes_mm: tuple[tuple[float, float], ...]
    folded: tuple[Folded, ...]
    limits: tuple[Found, ...]


def opening(
    firewall: Firewall, axis: Vector, level2car: Frame, spreads: dict[str, float], axis_spread: float
) -> Opening:
    """The opening for a column along unit `axis` (car frame). spreads: of `slope` and `across`, rad; axis_spread:
    how far the column's own readings may have turned it against the sheet, rad.

    Raises KeyFault where the column runs nearly along the sheet.
    """
    sheet = sheet_frame(firewall.slope.rad, 0.0 if firewall.across is None else firewall.across.rad, level2car)
    tilt = tilt_of(axis, sheet)
    if tilt > MOST_TILT:
        raise KeyFault(
            ("cuts", "firewall", "slope"), "the column runs within 10 degrees of along the sheet; check both angles"
        )
    clearance = CLEARANCE_MM if firewall.clearance is None else firewall.clearance.mm
    radius = firewall.passes_dia.mm / 2 + clearance
    turn = _turn(axis, sheet) if tilt > 1e-9 else 0.0
    drawn = firewall.thick.mm * tan(tilt)
    major = _major(radius, tilt, firewall, spreads, axis_spread)
    half_up, half_right = _half_sizes(radius, major.mm / 2, turn)
    holes = () if firewall.bolts is None else tuple(_ring(firewall.bolts))
    return Opening(
        tilt_rad=tilt,
        turn_rad=turn,
        farthest_rad=_farthest(axis, sheet),
        minor_mm=2 * radius,
        major=major,
        long_mm=major.mm + drawn,
        clearance_mm=clearance,
        half_up_mm=half_up + drawn / 2 * abs(cos(turn)),
        half_right_mm=half_right + drawn / 2 * abs(sin(turn)),
        holes_mm=holes,
        folded=_folded(firewall, axis, sheet, radius, level2car),
        limits=tuple(_ring_limits(firewall, holes, major, (radius, drawn, turn))),
    )


def sheet_frame(slope: float, across: float, level2car: Frame) -> Frame:
    """Frame of a sheet that rises `slope` going forward, its right edge `across` forward in plan (rad, by level).

    x up the sheet, y to the driver's right along it, z out of it, away from the driver.
    """
    forward, right = [-cos(across), -sin(across), 0.0], [-sin(across), cos(across), 0.0]
    up = cos(slope) * np.array(forward) + sin(slope) * np.array([0.0, 0.0, 1.0])
    x_axis, y_axis = level2car.directions(np.array([up, right]))
    return Frame(np.column_stack([x_axis, y_axis, crossed(x_axis, y_axis)]), np.zeros(3))


def tilt_of(axis: Vector, sheet: Frame) -> float:
    """Angle between the column and the sheet's normal, 0 to a right angle."""
    return acos(min(1.0, abs(float(axis @ sheet.rotation[:, 2]))))


def outline(half_major: float, half_minor: float, drawn: float, turn: float, count: int = 360) -> Vector:
    """(count, 2) points (up, right) round the opening: an ellipse drawn out by `drawn` along its long axis."""
    angles = np.linspace(0, 2 * pi, count, endpoint=False)
    along = half_major * np.cos(angles) + np.sign(np.cos(angles)) * drawn / 2
    beside = half_minor * np.sin(angles)
    return np.column_stack([along * cos(turn) - beside * sin(turn), along * sin(turn) + beside * cos(turn)])


def beside_ellipse(half_major: float, half_minor: float, along: float, beside: float) -> float:
    """Distance of a point outside an ellipse from it (root of the secular equation, by halving); 0 for one inside."""
    x, y = abs(along), abs(beside)
    if (x / half_major) ** 2 + (y / half_minor) ** 2 <= 1:
        return 0.0
    low, high = 0.0, hypot(half_major * x, half_minor * y)
    for _ in range(200):
        middle = (low + high) / 2
        outside = (half_major * x / (middle + half_major**2)) ** 2 + (
            half_minor * y / (middle + half_minor**2)
        ) ** 2 > 1
        low, high = (middle, high) if outside else (low, middle)
    near = (half_major**2 * x / (low + half_major**2), half_minor**2 * y / (low + half_minor**2))
    return hypot(x - near[0], y - near[1])


def _turn(axis: Vector, sheet: Frame) -> float:
    up, right = float(axis @ sheet.rotation[:, 0]), float(axis @ sheet.rotation[:, 1])
    return atan2(right, up) % pi


def _farthest(axis: Vector, sheet: Frame) -> float:
    """A place (r cos c, r sin c, z) of the column is on the sheet where z = -r (nx cos c + ny sin c) / nz."""
    column = Frame.from_axes(np.zeros(3), axis, UP)
    nx, ny, nz = (sheet.rotation[:, 2] @ column.rotation).tolist()
    return atan2(-ny / nz, -nx / nz) % (2 * pi)


def _major(radius: float, tilt: float, firewall: Firewall, spreads: dict[str, float], axis_spread: float) -> Stack:
    """Long axis; it grows by 2 r tan i / cos i a radian of tilt, and every angle enters the tilt at most fully."""
    grows = 2 * radius * tan(tilt) / cos(tilt)
    angles = {f"cuts.firewall.{key}": spread for key, spread in spreads.items()}
    angles["the column's direction"] = axis_spread
    return Stack(2 * radius / cos(tilt), {key: (1.0, grows * spread) for key, spread in angles.items()})


def _half_sizes(half_minor: float, half_major: float, turn: float) -> tuple[float, float]:
    up = hypot(half_major * cos(turn), half_minor * sin(turn))
    return up, hypot(half_major * sin(turn), half_minor * cos(turn))


def _ring(bolts: Bolts) -> list[tuple[float, float]]:
    angles = [bolts.first.rad + 2 * pi * k / bolts.count for k in range(bolts.count)]
    return [(bolts.circle.mm / 2 * cos(angle), bolts.circle.mm / 2 * sin(angle)) for angle in angles]


def _ring_limits(
    firewall: Firewall, holes: tuple[tuple[float, float], ...], major: Stack, oval: tuple[float, float, float]
) -> list[Found]:
    bolts = firewall.bolts
    if bolts is None:
        return []
    half_minor, drawn, turn = oval
    half_major = major.mm / 2
    wanted = EDGE_DIAMETERS * bolts.dia.mm if bolts.edge is None else bolts.edge.mm
    said = (
        "cuts.firewall.bolts.edge"
        if bolts.edge is not None
        else f"{EDGE_DIAMETERS:g} diameters, common practice, no source"
    )
    band = Band(wanted, float("inf"), said)
    beside = []
    for up, right in holes:
        along, across = up * cos(turn) + right * sin(turn), right * cos(turn) - up * sin(turn)
        beside.append(beside_ellipse(half_major, half_minor, max(0.0, abs(along) - drawn / 2), across))
    found = [
        judged(
            "firewall: metal between holes and opening",
            Stack(min(beside) - bolts.dia.mm / 2).plus(Stack(0.0, major.terms), 0.5),
            band,
        )
    ]
    if bolts.plate is not None:
        metal = (bolts.plate.mm - bolts.circle.mm - bolts.dia.mm) / 2
        found.append(judged("firewall: metal between holes and the plate's edge", Stack(metal), band))
    if firewall.fold is not None:
        to_fold = firewall.fold.above.mm - max(up for up, _ in holes) - bolts.dia.mm / 2
        found.append(judged("firewall: metal between holes and the fold", Stack(to_fold), band))
    return found


def _folded(firewall: Firewall, axis: Vector, sheet: Frame, radius: float, level2car: Frame) -> tuple[Folded, ...]:
    """The opening over the fold, where it reaches it; worked out in the plane square to the column."""
    if firewall.fold is None:
        return ()
    across = 0.0 if firewall.across is None else firewall.across.rad
    beyond = sheet_frame(firewall.fold.slope.rad, across, level2car)
    up, right, on_up = (
        _seen_along(axis, v) for v in (sheet.rotation[:, 0], sheet.rotation[:, 1], beyond.rotation[:, 0])
    )
    at_fold = firewall.fold.above.mm * up
    square = np.array([-right[1], right[0]]) / sqrt(float(right @ right))
    if abs(float(at_fold @ square)) >= radius:
        return ()
    lowest = -radius / abs(float(up @ square))
    toward = 1.0 if float(on_up @ square) * float(up @ square) > 0 else -1.0
    side = 1.0 if float(up @ square) > 0 else -1.0
    beyond_mm = (side * radius - float(at_fold @ square)) / float(on_up @ square) if toward > 0 else float("inf")
    if not beyond_mm < 100 * radius:
        raise KeyFault(
            ("cuts", "firewall", "fold", "slope"), "beyond the fold the sheet runs along the column; check both angles"
        )
    wide = 2 * sqrt(radius**2 - float(at_fold @ square) ** 2) / sqrt(float(right @ right))
    return (Folded(firewall.fold.above.mm - lowest, beyond_mm, wide),)


def _seen_along(axis: Vector, vector: Vector) -> Vector:
    """(2,) the vector as it looks along the column."""
    frame = Frame.from_axes(np.zeros(3), axis, np.eye(3)[int(np.argmin(np.abs(axis)))])
    return np.asarray((frame.rotation.T @ vector)[:2])
