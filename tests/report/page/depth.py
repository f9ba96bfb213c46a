"""How far two pieces are into each other, by coal."""

import numpy as np

from fitcheck.clearance.travel import phases
from fitcheck.geometry.frames import Vector
from fitcheck.verdict import Verdict


def depth_by_coal(verdict: Verdict, a_piece: str, b_piece: str, share: float) -> float:
    """How far two pieces of unit and clutch are into each other with the pedal at a share of its travel, mm."""
    unit, clutch = verdict.scene.part("unit"), verdict.scene.part("clutch")
    assert unit is not None and clutch is not None
    (moving,), (still,) = phases(clutch, unit), phases(unit, clutch)
    assert moving.moves is not None and moving.travel is not None
    value = float(np.interp(share, moving.travel.shares, moving.travel.values))
    fixed = [piece.corners for piece in still.pieces if piece.name == a_piece]
    swung = [moving.moves.moved(piece.corners, value) for piece in moving.pieces if piece.name == b_piece]
    return max(_depth(one, other) for one in fixed for other in swung)


def _depth(one: Vector, other: Vector) -> float:
    import coal

    hulls = []
    for corners in (one, other):
        listed = coal.StdVec_Vec3s()
        listed.extend(np.asarray(corners, dtype=float))
        hulls.append(coal.ConvexBase.convexHull(listed, False, "Qt"))
    rest, result = coal.Transform3s(), coal.CollisionResult()
    coal.collide(hulls[0], rest, hulls[1], rest, coal.CollisionRequest(coal.CollisionRequestFlag.CONTACT, 1), result)
    return -float(result.getContact(0).penetration_depth) if result.isCollision() else 0.0
