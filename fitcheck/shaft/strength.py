"""Strength of the shaft as an aid, marked as a check and not an approval: torsion, bending couples, loads, ratings.

Newton metres, millimetres, MPa, rad. Bars are solid steel unless said; a shaft's own metal and its fatigue are nobody's
guess here.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.errors import GeometryError
from fitcheck.geometry.frames import Vector
from fitcheck.job.shafting import Joint, Shafting, ShaftPiece
from fitcheck.job.torques import Torque
from fitcheck.limits import NotKnown
from fitcheck.shaft.line import Line

SHEAR_MODULUS_MPA = 79_300.0  # steel; recalled
FLATTEST = 0.6  # of the radius, cut off each side: range of the stress formula for two flats
PLAIN_FACTOR = ((10.0, 1.0), (30.0, 2.25))  # angle in deg, factor: component maker's pages citing DIN 808
NEEDLE_FACTOR = ((0.0, 1.0), (18.0, 1.43))


@dataclass(frozen=True)
class Torsion:
    """Torsion of a bar: constant (mm4), greatest shear stress (MPa), twist a metre of length (rad)."""

    constant_mm4: float
    stress_mpa: float
    twist_rad_per_m: float


@dataclass(frozen=True)
class Couple:
    """A joint's greatest bending couples on the shafts it joins, N m, and the torque it passes on there."""

    joint: str
    driving_nm: float
    driven_nm: float
    torque_nm: float
    rating: str


@dataclass(frozen=True)
class Strength:
    """What the shaft carries at the assist torque, at most, and what is not known of it."""

    torque_nm: float
    torsion: tuple[tuple[str, Torsion], ...]
    couples: tuple[Couple, ...]
    box_force_n: float
    support_force_n: float | None
    bracket_force_n: float | NotKnown


def torsion(piece: ShaftPiece, torque_nm: float) -> Torsion:
    """Torsion of a piece's bar: round, hollow, or with two flats.

    Round: J = pi (D^4 - d^4) / 32. Two flats, x the depth cut off each side over the radius: K = 2 C r^4, stress
    T B / r^3, with C and B of Roark's Formulas for Stress and Strain, 7th ed., table 10.1.
    """
    radius, torque_nmm = piece.dia.mm / 2, torque_nm * 1000
    if piece.over_flats is not None:
        if piece.hollow is not None:
            raise GeometryError(f"{piece.name}: no formula here for a hollow bar with flats")
        constant, stress = two_flats(radius, piece.over_flats.mm, torque_nmm)
    else:
        inner = 0.0 if piece.hollow is None else piece.hollow.mm / 2
        constant = np.pi * (radius**4 - inner**4) / 2
        stress = torque_nmm * radius / constant
    return Torsion(constant, stress, torque_nmm / SHEAR_MODULUS_MPA / constant * 1000)


def _twists(piece: ShaftPiece, torque_nm: float) -> list[tuple[str, Torsion]]:
    """A piece's bar; where it telescopes, solid half and tube half, the tube taken as round within: flats add to it."""
    slide = piece.telescope
    if slide is None:
        return [(piece.name, torsion(piece, torque_nm))]
    tube = piece.model_copy(update={"dia": slide.tube_od, "hollow": piece.dia, "over_flats": None})
    return [
        (f"{piece.name}, solid half", torsion(piece, torque_nm)),
        (f"{piece.name}, tube half", torsion(tube, torque_nm)),
    ]


def two_flats(radius: float, over_flats: float, torque_nmm: float) -> tuple[float, float]:
    """Torsion constant (mm4) and greatest shear stress (MPa) of a round bar with two opposite flats (Roark)."""
    x = 1 - over_flats / 2 / radius
    if not 0 <= x <= FLATTEST:
        raise GeometryError(
            f"{over_flats:g} mm over the flats of a {2 * radius:g} mm bar is out of the formula's range"
        )
    constant = 0.7854 - 0.4053 * x - 3.5810 * x**2 + 5.2708 * x**3 - 2.0772 * x**4
    stress = 0.6366 + 2.5303 * x - 11.157 * x**2 + 49.568 * x**3 - 85.886 * x**4 + 69.849 * x**5
    return 2 * constant * radius**4, torque_nmm * stress / radius**3


def couples(joints: Sequence[Joint], angles: Vector, torque_nm: float) -> list[Couple]:
    """Greatest bending couples at each joint: T tan b on the driving shaft, T sin b on the driven one (statics).

    Each single joint may pass on up to 1 / cos b of what it is given, so the torque is at most that much at the next.
    A centred double joint bends each of its halves by b / 2 and gives T tan(b / 2) to both shafts.
    """
    rows, torque = [], torque_nm
    for joint, angle in zip(joints, angles, strict=True):
        bend = float(angle) / (2 if joint.kind == "double" else 1)
        tangent, sine = float(np.tan(bend)), float(np.tan(bend) if joint.kind == "double" else np.sin(bend))
        rows.append(Couple(joint.name, torque * tangent, torque * sine, torque, rating(joint, float(angle), torque)))
        torque = torque / float(np.cos(angle)) if joint.kind == "single" else torque
    return rows


def rating(joint: Joint, angle: float, torque_nm: float) -> str:
    """The joint's rating against its torque, in words; derated with angle only where its data name the bearing."""
    if joint.rated is None:
        return "not rated: no torque from the joint's own data is given"
    factor = angle_factor(joint, float(np.degrees(angle)))
    if factor is None:
        words = "derating at this angle not known: say its bearing, plain or needle, or ask its maker"
        return f"rated {joint.rated.nm:.0f} N m by its maker; {words}"
    allowed = joint.rated.nm / factor
    word = "keeps" if torque_nm <= allowed else "outside"
    return f"{word}: {torque_nm:.0f} N m of {allowed:.0f} N m ({joint.rated.nm:.0f} N m over a factor of {factor:.2f})"


def angle_factor(joint: Joint, angle_deg: float) -> float | None:
    """By how much a joint's straight rating goes down with its angle; None where its data do not say enough.

    Linear between the two published points; over the last of them the factor is not known.
    """
    table = {"plain": PLAIN_FACTOR, "needle": NEEDLE_FACTOR}.get(joint.bearing or "")
    if table is None or angle_deg > table[-1][0]:
        return None
    return float(np.interp(angle_deg, [row[0] for row in table], [row[1] for row in table]))


def strength(shaft: Shafting, joints: Sequence[Joint], line: Line, angles: Vector) -> Strength:
    """Everything at the assist torque. Forces square to a shaft are its two couples over the distance they act on."""
    assert shaft.load is not None  # asked only with a load
    torque: Torque = shaft.load.torque
    rows = couples(joints, angles, torque.nm)
    last = (rows[-2].driven_nm + rows[-1].driving_nm) * 1000 / float(line.spans_mm[-1])
    held: float | None = None
    if shaft.support is not None and len(joints) == 3:
        first = shaft.support.side == "wheel"
        on_it = (rows[0].driven_nm + rows[1].driving_nm) if first else (rows[1].driven_nm + rows[2].driving_nm)
        held = on_it * 1000 / (float(line.spans_mm[0 if first else 1]) - shaft.support.from_joint.mm)
    lever = shaft.load.lever
    bracket: float | NotKnown = (
        NotKnown(
            "bracket's force",
            ("shaft.load.lever",),
            "from the column's axis to where the unit's bracket holds it against turning",
        )
        if lever is None
        else torque.nm * 1000 / lever.mm
    )
    twists = [twist for i, piece in enumerate(shaft.pieces) for twist in _twists(piece, rows[i + 1].torque_nm)]
    return Strength(torque.nm, tuple(twists), tuple(rows), last, held, bracket)
