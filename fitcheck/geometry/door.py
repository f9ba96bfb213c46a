"""The one door to the collision library: only this file imports it, and it looks at every shape first.

The library ends the whole process on NaN, an empty list or a wrong index, so those are refused here as GeometryError.
Its answers are handed on as claims, never as facts; millimetres, poses as rotation (3, 3) and origin (3,).
"""

import math
from functools import cached_property

import fcl
import numpy as np
from numpy.typing import NDArray

from fitcheck.errors import GeometryError
from fitcheck.geometry.frames import Vector
from fitcheck.geometry.solids import LARGEST_MM

THINNEST_MM = 1e-6
WORST_SIZE = 100_000  # corners or faces of one piece; a convex piece has tens
Pose = tuple[Vector, Vector]
AT_REST: Pose = (np.eye(3), np.zeros(3))

# Unsigned only: asked for signed distance with faces in exact contact, the library has ended the process.
_REQUEST = fcl.DistanceRequest(enable_nearest_points=True, enable_signed_distance=False)


def guarded_corners(corners: Vector, name: str) -> Vector:
    """`corners` (n, 3) as the library may see them; GeometryError for NaN, too few, too far, too many or flat ones."""
    array = np.ascontiguousarray(corners, dtype=float)
    if array.ndim != 2 or array.shape[1] != 3 or not 4 <= len(array) <= WORST_SIZE:
        raise GeometryError(f"{name}: expected 4 to {WORST_SIZE} corners of three numbers, got shape {array.shape}")
    if not np.abs(array).max() <= LARGEST_MM:
        raise GeometryError(f"{name}: a corner is no finite number or lies over 100 m away")
    spread = np.linalg.svd(array - array.mean(axis=0), compute_uv=False)
    if not spread[2] > THINNEST_MM:
        raise GeometryError(f"{name}: its corners lie in one plane, it has no volume")
    return array


def guarded_faces(faces: NDArray[np.int64], corner_count: int, name: str) -> NDArray[np.int64]:
    """`faces` (k, 3) as the library may see them; GeometryError where an index points at no corner."""
    array = np.asarray(faces)
    if array.ndim != 2 or array.shape[1] != 3 or not 4 <= len(array) <= WORST_SIZE:
        raise GeometryError(f"{name}: expected 4 to {WORST_SIZE} triangles, got shape {array.shape}")
    if not np.issubdtype(array.dtype, np.integer):
        raise GeometryError(f"{name}: a triangle's corners are whole numbers, got {array.dtype}")
    if array.min() < 0 or array.max() >= corner_count:
        raise GeometryError(f"{name}: a triangle points at a corner that is not there")
    return array.astype(np.int64)


def _guarded_pose(pose: Pose) -> Pose:
    rotation, origin = pose
    if rotation.shape != (3, 3) or origin.shape != (3,) or not math.isfinite(float(rotation.sum())):
        raise GeometryError("a pose is a rotation of shape (3, 3) and an origin of shape (3,), all finite")
    if not np.abs(origin).max() <= LARGEST_MM:
        raise GeometryError("a piece is placed over 100 m away; is the unit right?")
    return pose


class _Seat:
    """One thing the library can move about; its pose is only handed over when it changes."""

    def __init__(self, geometry: fcl.CollisionGeometry) -> None:
        self._object = fcl.CollisionObject(geometry)
        self._pose: Pose | None = None

    def at(self, pose: Pose) -> fcl.CollisionObject:
        if pose is not self._pose:
            self._object.setTransform(fcl.Transform(*_guarded_pose(pose)))
            self._pose = pose
        return self._object

    def put(self, rotation: Vector, origin: Vector) -> fcl.CollisionObject:
        """The same for a pose that was looked at before."""
        self._object.setTransform(fcl.Transform(rotation, origin))
        self._pose = None
        return self._object


class Shape:
    """One piece as the library holds it, with what checking an answer needs, all in the piece's own frame.

    corners (n, 3); planes (k, 3) outward and offsets (k,): the piece is where `planes @ p <= offsets`.
    """

    def __init__(self, corners: Vector, faces: NDArray[np.int64], name: str) -> None:
        self.corners = guarded_corners(corners, name)
        self.faces = guarded_faces(faces, len(self.corners), name)

    @cached_property
    def _seats(self) -> tuple[_Seat, _Seat]:
        # No faces are handed over: the library then looks at every corner for the farthest one. Walking from corner to
        # corner along faces, as it would with them, can stop short on a flat and claim too much room.
        convex = fcl.Convex(self.corners, 0, [])
        return _Seat(convex), _Seat(convex)

    @cached_property
    def _mesh_seats(self) -> tuple[_Seat, _Seat]:
        mesh = fcl.BVHModel()
        mesh.beginModel(len(self.faces), len(self.corners))
        mesh.addSubModel(self.corners, self.faces)
        mesh.endModel()
        return _Seat(mesh), _Seat(mesh)

    @cached_property
    def _halfspaces(self) -> tuple[Vector, Vector]:
        triangles = self.corners[self.faces]
        square = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
        area = np.sqrt((square**2).sum(axis=1))
        solid = area > 1e-9
        planes = square[solid] / area[solid, None]
        # The farthest corner, not the triangle's own: a sliver's plane must not cut the piece.
        return planes, (planes @ self.corners.T).max(axis=1)

    @property
    def planes(self) -> Vector:
        return self._halfspaces[0]

    @property
    def offsets(self) -> Vector:
        return self._halfspaces[1]

    def outside_mm(self, point: Vector) -> float:
        """How far `point` (3,), in the piece's own frame, lies beyond the worst of its faces; negative inside."""
        planes, offsets = self._halfspaces
        return float((planes @ point - offsets).max())


def claimed_nearest(a: Shape, b: Shape, a_pose: Pose, b_pose: Pose, as_mesh: bool) -> tuple[Vector, Vector] | None:
    """The library's nearest points of a and of b, (3,) each in the common frame, or None where it claims they meet.

    A claim only: the points may be neither nearest nor on the pieces, and None may be wrong.
    """
    a_seat, b_seat = (a._mesh_seats[0], b._mesh_seats[1]) if as_mesh else (a._seats[0], b._seats[1])
    result = fcl.DistanceResult()
    distance = fcl.distance(a_seat.at(a_pose), b_seat.at(b_pose), _REQUEST, result)
    if not distance > 0:
        return None
    on_a, on_b = result.nearest_points
    return on_a, on_b


def claimed_many(
    asked: list[tuple[Shape, Shape]], rotations: Vector, origins: Vector
) -> tuple[Vector, NDArray[np.bool_]]:
    """Claims for many pairs (q), each a at rest and b put by `rotations` (q, 3, 3) and `origins` (q, 3).

    The nearest points on a and b, (q, 2, 3) in a's frame, and (q,) whether the library claims them to be apart; where
    it does not, the points are 0. GeometryError for poses that are none.
    """
    if rotations.shape != (len(asked), 3, 3) or origins.shape != (len(asked), 3):
        raise GeometryError("one rotation of shape (3, 3) and one origin of shape (3,) for each pair")
    if not (np.abs(rotations) <= 1 + 1e-9).all():
        raise GeometryError("a pose's rotation is none")
    if not (np.abs(origins) <= LARGEST_MM).all():
        raise GeometryError("a piece is placed over 100 m away; is the unit right?")
    points = np.zeros((len(asked), 2, 3))
    apart = np.zeros(len(asked), dtype=bool)
    for i, (a, b) in enumerate(asked):
        result = fcl.DistanceResult()
        resting, moved = a._seats[0].at(AT_REST), b._seats[1].put(rotations[i], origins[i])
        if fcl.distance(resting, moved, _REQUEST, result) > 0:
            points[i] = result.nearest_points
            apart[i] = True
    return points, apart


def claimed_from_hull(corners: Vector, b: Shape, b_pose: Pose) -> tuple[Vector, Vector] | None:
    """The same for the hull of `corners` (n, 3), already in the common frame, and b."""
    hull = _Seat(fcl.Convex(guarded_corners(corners, "a swept piece"), 0, []))
    result = fcl.DistanceResult()
    if not fcl.distance(hull.at(AT_REST), b._seats[1].at(b_pose), _REQUEST, result) > 0:
        return None
    on_a, on_b = result.nearest_points
    return on_a, on_b


def claimed_to_hulls(piece: Shape, pose: Pose, sets: Vector) -> tuple[Vector, NDArray[np.bool_]]:
    """Claims for the hull, flat or not, of each of `sets` (q, m, 3) at rest against `piece` in its pose.

    The nearest points on the hull and on the piece, (q, 2, 3) in the common frame, and (q,) whether they are claimed to
    be apart; where not, the points are 0. GeometryError for NaN, corners too far away or too few.
    """
    if sets.ndim != 3 or sets.shape[2] != 3 or not 3 <= sets.shape[1] <= WORST_SIZE:
        raise GeometryError(f"expected sets of at least 3 corners of three numbers, got shape {sets.shape}")
    if len(sets) and not np.abs(sets).max() <= LARGEST_MM:
        raise GeometryError("a corner is no finite number or lies over 100 m away")
    points, apart = np.zeros((len(sets), 2, 3)), np.zeros(len(sets), dtype=bool)
    posed = piece._seats[1].at(pose)
    for i, corners in enumerate(np.ascontiguousarray(sets, dtype=float)):
        result = fcl.DistanceResult()
        if fcl.distance(fcl.CollisionObject(fcl.Convex(corners, 0, [])), posed, _REQUEST, result) > 0:
            points[i] = result.nearest_points
            apart[i] = True
    return points, apart
