"""The meshes beside the example `van-scanned`: `python -m tests.scanned_van` writes them anew, the same each time.

All invented: a heater box with waisted sides as a hand scanner might give it (closed, in cm, 2 % too small, in axes of
its own), the underside of an instrument tray (open, facing down, mm), and a unit of plain drums. It prints some places
of the heater in the car and in the scan: the readings of the job, which are rounded to the millimetre.
"""

import sys

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.frames import Frame
from fitcheck.geometry.primitives import cylinder
from tests.geometry.meshes import stl
from tests.jobs import EXAMPLES

Grid = NDArray[np.float64]
FOLDER = EXAMPLES / "van-scanned"
CUTS = 14  # of each edge of the heater
TOO_SMALL = 0.98
SCAN2CAR = Frame(np.array([[0.6, -0.8, 0.0], [0.0, 0.0, -1.0], [0.8, 0.6, 0.0]]), np.array([-400.0, -90.0, 150.0]))
CORNERS = {"low front": (-1, 1, -1), "low rear": (1, 1, -1), "top rear": (1, 1, 1), "top front outer": (-1, -1, 1)}


def main() -> int:
    """Writes the three files."""
    for name, triangles in meshes().items():
        stl(FOLDER / name, triangles)
    for name, place in CORNERS.items():
        car = heater(np.array([place], dtype=float))[0]
        sys.stdout.write(f"{name}: car {np.round(car, 1)}, scan {np.round(scanned(car), 1)} mm\n")
    return 0


def meshes() -> dict[str, Grid]:
    """File names and the triangles (k, 3, 3) in them."""
    surface = np.round(cube(CUTS), 9)  # the same corner is the same number on both sides of an edge
    in_cm = np.round(scanned(heater(surface.reshape(-1, 3))) / 10, 3).reshape(-1, 3, 3)
    return {"heater.stl": in_cm, "tray.stl": np.round(tray(), 2), "unit.stl": np.round(unit(), 2)}


def heater(at: Grid) -> Grid:
    """Places (n, 3) of a cube from -1 to 1, bent into the heater, in the car: waisted, one side bulging, skewed."""
    u, v, w = at.T
    along = -25 + 135 * u * (1 + 0.06 * w)
    across = -258 + 82 * v * (0.78 + 0.22 * u * u) + 9 * (1 - w * w)
    high = 355 + 115 * w * (1 + 0.05 * u * v) - 6 * u
    return np.column_stack([along, across, high])


def scanned(places: Grid) -> Grid:
    """Places in the car as the scan has them, mm."""
    return np.asarray(TOO_SMALL * SCAN2CAR.inverse.points(places))


def cube(cuts: int) -> Grid:
    """The surface of a cube from -1 to 1 as triangles (k, 3, 3), facing outward."""
    ends = np.linspace(-1, 1, cuts + 1)
    u, v = (grid.ravel() for grid in np.meshgrid(ends[:-1], ends[:-1], indexing="ij"))
    step = 2 / cuts
    square = np.array([[u, v], [u + step, v], [u + step, v + step], [u, v + step]]).transpose(2, 0, 1)
    flat = np.concatenate([square[:, [0, 1, 2]], square[:, [0, 2, 3]]])
    found = []
    for axis in range(3):
        for side in (1.0, -1.0):
            level = np.full((*flat.shape[:2], 1), side)
            face = np.roll(np.concatenate([flat, level], axis=2), axis + 1, axis=2)
            found.append(face if side > 0 else face[:, ::-1])
    return np.concatenate(found)


def tray() -> Grid:
    """The underside of the tray from its own front left corner on, a shallow hollow with a rib, facing down."""
    rows, columns = 14, 24
    x, y = np.meshgrid(np.linspace(0, 210, rows + 1), np.linspace(0, 420, columns + 1), indexing="ij")
    u, v = x / 105 - 1, y / 210 - 1
    rib = np.maximum(0, 1 - ((y - 90) / 25) ** 2)
    z = 14 * (1 - u * u) * (1 - v * v) - 9 * rib * (1 - u * u)
    corners = np.stack([x, y, z], axis=2)
    a, b, c, d = corners[:-1, :-1], corners[1:, :-1], corners[1:, 1:], corners[:-1, 1:]
    return np.concatenate([np.stack([a, c, b], axis=2), np.stack([a, d, c], axis=2)]).reshape(-1, 3, 3)


def unit() -> Grid:
    """Sensor section, gear body and motor can as closed prisms, in the unit's frame: input face at 0, can along x."""
    bars = [
        cylinder([0, 0, 0], [0, 0, 80], 68),
        cylinder([0, 0, 80], [0, 0, 170], 100),
        cylinder([48, 48, 125], [178, 48, 125], 76),
    ]
    return np.concatenate([bar.corners[bar.faces] for bar in bars])


if __name__ == "__main__":
    sys.exit(main())
