"""The shaft's solids: what it sweeps as it turns, over every way the column may stand. Car frame, mm.

Shaft and joints turn about their own axes, so each is the round solid it sweeps; where the column tilts or slides, the
hull of that solid at all its stands, grown by what the way from one to another may bulge out of it.
"""

from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise

import numpy as np

from fitcheck.errors import Missing
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.primitives import ball, cylinder
from fitcheck.geometry.solids import Piece
from fitcheck.job.shafting import Joint, Shafting, ShaftPiece, Support
from fitcheck.limits import NotKnown
from fitcheck.placement.scene import Kind, Part, Phase
from fitcheck.shaft.joints import joint_angles
from fitcheck.shaft.line import Line

SHAFT, BEARING = "intermediate shaft", "support bearing"
EAR_SHARE = 0.25  # of the swing: how far a yoke's ear reaches past the joint's centre; common practice, no source


def shaft_parts(shaft: Shafting, lines: Sequence[Line], bearing: Vector | None) -> tuple[Part, ...]:
    """The shaft as what it sweeps, over every stand of the column; and its support bearing, if it has one.

    Holds as much of it as has been measured (`lacking` names the rest); Missing where nothing has.
    """
    grown = bulge_mm(shaft, lines)
    stands = [tuple(_solids(shaft, line, grown)) for line in lines]
    if not stands[0]:
        first = lacking(shaft)[0]
        raise Missing(list(first.keys), first.measure)
    pieces = stands[0] if len(stands) == 1 else tuple(_over(each) for each in zip(*stands, strict=True))
    turning = Part(SHAFT, Kind.OBSTACLE, (Phase(pieces),), new=True, joined=frozenset(shaft.joined), as_measured=True)
    if bearing is None or shaft.support is None:
        return (turning,)
    housing = Phase((_bearing_solid(shaft.support, lines[0], bearing),))
    joined = frozenset(shaft.support.joined)
    return turning, Part(BEARING, Kind.OBSTACLE, (housing,), new=True, joined=joined, as_measured=True)


def bulge_mm(shaft: Shafting, lines: Sequence[Line]) -> float:
    """How far anything may leave the hull of its stands on the way from one to another, at most; 0 with one stand.

    The first joint goes along an arc, d/2 tan(turn/4) off its chord d; what is fixed to a shaft that turns by the angle
    a leaves the hull by its reach times 1 - cos a. Taken at the largest d and a between any two stands.
    """
    if len(lines) == 1:
        return 0.0
    pairs = list(combinations(lines, 2))
    chord = max(float(np.linalg.norm(a.centres - b.centres, axis=1).max()) for a, b in pairs)
    turn = max(
        float(joint_angles(np.array([one, other]))[0])
        for a, b in pairs
        for one, other in zip(a.ways, b.ways, strict=True)
    )
    return chord / 2 * float(np.tan(turn / 4)) + _reach_mm(shaft) * float(1 - np.cos(turn))


def _reach_mm(shaft: Shafting) -> float:
    """Farthest that anything fixed to a shaft beside a joint reaches from the joint's centre or the shaft's axis."""
    hubs = [hub for joint in shaft.joints for hub in (joint.wheel_hub, joint.rack_hub) if hub is not None]
    round_ones = [joint.swing.mm for joint in shaft.joints if joint.swing is not None]
    return max((hub.to_end.mm for hub in hubs), default=0.0) + max([*round_ones, *map(_thick_mm, shaft.pieces)]) / 2


def _thick_mm(piece: ShaftPiece) -> float:
    return piece.dia.mm if piece.telescope is None else max(piece.dia.mm, piece.telescope.tube_od.mm)


def _over(stands: Sequence[Piece]) -> Piece:
    """One piece at all its stands, as the hull of them."""
    return Piece(np.vstack([piece.vertices for piece in stands]), stands[0].name, stands[0].places)


def lacking(shaft: Shafting) -> tuple[NotKnown, ...]:
    """What of the shaft's solid cannot be made yet, each with its key."""
    found = []
    for i, joint in enumerate(shaft.joints):
        key = f"shaft.joints[{i + 1}]"
        needs = {"swing": "the largest diameter it sweeps as it turns"}
        needs |= dict.fromkeys(("wheel_hub", "rack_hub"), "its centre to the end of each hub")
        keys = [name for name in needs if getattr(joint, name) is None]
        if keys:
            words = " and ".join(dict.fromkeys(needs[name] for name in keys))
            found.append(NotKnown(f"room round {joint.name}", tuple(f"{key}.{name}" for name in keys), words))
    if not shaft.pieces:
        found.append(
            NotKnown("room round the shaft", ("shaft.pieces",), "the diameter of the shaft between the joints")
        )
    return tuple(found)


def _solids(shaft: Shafting, line: Line, grown: float) -> Iterator[Piece]:
    for i, joint in enumerate(shaft.joints):
        yield from _joint_solids(joint, line.centres[i], line.ways[i], line.ways[i + 1], grown)
    for piece, (start, end) in zip(shaft.pieces, pairwise(line.centres), strict=False):
        way = grown * (end - start) / np.linalg.norm(end - start)
        yield cylinder(start - way, end + way, _thick_mm(piece) + 2 * grown, piece.name, ("wheel end", "rack end"))


def _bearing_solid(support: Support, line: Line, bearing: Vector) -> Piece:
    way = line.ways[1] if support.side == "wheel" else line.ways[2]
    half = support.wide.mm / 2 * way
    return cylinder(bearing - half, bearing + half, support.od.mm, BEARING, ())


def _joint_solids(joint: Joint, centre: Vector, way_in: Vector, way_out: Vector, grown: float) -> Iterator[Piece]:
    """Each half turns about its own shaft: a drum from the hub's end to past the centre, and a ball at the cross."""
    if joint.swing is None or joint.wheel_hub is None or joint.rack_hub is None:
        return
    ear = grown + (EAR_SHARE * joint.swing.mm if joint.ear is None else joint.ear.mm)
    up = centre - (joint.wheel_hub.to_end.mm + grown) * way_in
    down = centre + (joint.rack_hub.to_end.mm + grown) * way_out
    swing = joint.swing.mm + 2 * grown
    yield cylinder(up, centre + ear * way_in, swing, joint.name, ())
    yield cylinder(centre - ear * way_out, down, swing, joint.name, ())
    yield ball(centre, swing, joint.name)
