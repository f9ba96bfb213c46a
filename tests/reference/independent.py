"""`coal`, an independent general-purpose collision library, as a second opinion on the gap of two convex pieces."""

import coal
import numpy as np

from fitcheck.geometry.frames import Frame
from fitcheck.geometry.solids import Piece

GAVE_UP = -1e6  # coal answers minus the largest number where its own search fails


class SecondOpinion:
    """Asks coal for signed distances; millimetres. `gave_up` counts the pairs it had to be asked about twice."""

    def __init__(self) -> None:
        self.gave_up = 0
        self.normal = np.zeros(3)  # of the last answer, from a toward b
        self._known: dict[Piece, coal.Convex] = {}
        self._request = coal.DistanceRequest()

    def distance(self, a: Piece, b: Piece, b_frame: Frame) -> float:
        """Distance of `a` and `b`, b in its frame; negative when they overlap: the way to get them apart."""
        answer = self._ask(a, b, Frame.identity(), b_frame)
        if answer < GAVE_UP:
            self.gave_up += 1
            answer = self._ask(b, a, b_frame, Frame.identity())
        return answer

    def _ask(self, a: Piece, b: Piece, a_frame: Frame, b_frame: Frame) -> float:
        places = [coal.Transform3s(frame.rotation, frame.origin) for frame in (a_frame, b_frame)]
        answer = coal.DistanceResult()
        distance = coal.distance(self._convex(a), places[0], self._convex(b), places[1], self._request, answer)
        self.normal = np.array(answer.normal)
        return float(distance)

    def _convex(self, piece: Piece) -> coal.Convex:
        if piece not in self._known:
            points = coal.StdVec_Vec3s()
            for corner in piece.corners:
                points.append(np.array(corner))
            triangles = coal.StdVec_Triangle()
            for face in piece.faces.tolist():
                triangles.append(coal.Triangle(*face))
            self._known[piece] = coal.Convex(points, triangles)
        return self._known[piece]
