"""Cameras of a picture: where they stand, what they fit, at which pixel a point of the car is seen. Car frame, mm."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from fitcheck.geometry.frames import Vector, unit

Triple = tuple[float, float, float]
View = Literal["driver", "side", "plan", "under-dash"]
FULL_ANGLE = np.radians(26.0)  # of the picture's height, a long lens: little distortion
ROOM_LEFT = 1.06  # free border round what is fitted


@dataclass(frozen=True)
class Aim:
    """Which way a view looks, what is up in it, whether it is drawn without perspective, and in words what it is."""

    look: Triple
    up: Triple
    flat: bool
    words: str


AIMS: dict[View, Aim] = {
    "driver": Aim((-0.74, 0.14, -0.66), (0, 0, 1), False, "from the driver's seat, looking forward and down"),
    "side": Aim((0, 1, 0), (0, 0, 1), True, "from the driver's left, looking across the car"),
    "plan": Aim((0, 0, -1), (-1, 0, 0), True, "from above, forward is up"),
    "under-dash": Aim((0.62, 0.12, 0.77), (0, 0, 1), False, "lying under it, head to the firewall"),
}


SQUARE = (
    (Aim((0, 1, 0), (0, 0, 1), True, "from the driver's left"), 0.1),
    (Aim((-1, 0, 0), (0, 0, 1), True, "from behind"), 0.0),
    (Aim((0, 0, -1), (-1, 0, 0), True, "from above"), 0.0),
)


@dataclass(frozen=True, eq=False)
class Camera:
    """A camera at `eye` (3,) with its axes (3,). `half_mm`: half the height it sees, where it has no perspective."""

    eye: Vector
    right: Vector
    up: Vector
    look: Vector
    width: int
    height: int
    half_mm: float | None

    @classmethod
    def fitted(cls, aim: Aim, points: Vector, width: int, height: int) -> "Camera":
        """Stands so that all `points` (n, 3) are in a picture of `width` x `height` pixels."""
        look = unit(aim.look)
        right = unit(np.cross(look, np.array(aim.up, dtype=float)))
        up = np.cross(right, look)
        flat = np.column_stack([points @ right, points @ up, points @ look])
        middle = (flat.min(axis=0) + flat.max(axis=0)) / 2
        across, rise, depth = (flat - middle).T
        target = middle[0] * right + middle[1] * up + middle[2] * look
        if aim.flat:
            half = ROOM_LEFT * max(np.abs(rise).max(), np.abs(across).max() * height / width)
            return cls(target - (np.abs(depth).max() + 1000.0) * look, right, up, look, width, height, float(half))
        steep = np.tan(FULL_ANGLE / 2) / ROOM_LEFT
        away = max((np.abs(rise) / steep - depth).max(), (np.abs(across) / (steep * width / height) - depth).max())
        return cls(target - away * look, right, up, look, width, height, None)

    def pixels(self, points: Vector) -> Vector:
        """Where `points` (n, 3) are seen, (n, 2) in pixels from the picture's top left."""
        from_eye = np.asarray(points, dtype=float) - self.eye
        across, rise, depth = from_eye @ self.right, from_eye @ self.up, from_eye @ self.look
        half = np.tan(FULL_ANGLE / 2) * depth if self.half_mm is None else np.full_like(depth, self.half_mm)
        scale = self.height / 2 / half
        return np.column_stack([self.width / 2 + across * scale, self.height / 2 - rise * scale])

    def seen(self, direction: Vector) -> Vector:
        """A direction (3,) as right, down and toward the eye, (3,)."""
        return np.array([direction @ self.right, -(direction @ self.up), -(direction @ self.look)])

    @property
    def px_per_mm(self) -> float | None:
        """Scale of a picture without perspective."""
        return None if self.half_mm is None else self.height / 2 / self.half_mm


def square_to(normal: Vector) -> Aim:
    """The aim that looks square to `normal` (3,), so that a gap along it is seen in its true length.

    It is turned from the one of the car's own directions that needs the least turning; the side wins a near tie.
    """
    turns = [abs(np.array(each.look) @ normal) - favour for each, favour in SQUARE]
    nearest = SQUARE[int(np.argmin(turns))][0]
    look = np.array(nearest.look) - (np.array(nearest.look) @ normal) * normal
    return Aim((float(look[0]), float(look[1]), float(look[2])), nearest.up, True, nearest.words)
