"""Solids as unions of convex pieces. The hull of a piece's vertices is what counts; millimetres, any one frame."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fitcheck.errors import GeometryError
from fitcheck.geometry.exact import Exact
from fitcheck.geometry.frames import Frame, Vector, frozen
from fitcheck.geometry.sweeps import Sweep

LARGEST_MM = 100_000.0


@dataclass(frozen=True, eq=False)
class Piece:
    """One convex piece: `vertices` (n, 3), n >= 4, spanning a volume; `name` in a fabricator's words ("motor can").

    `places` are words for spots on it, each with its point, for saying where on the piece something is ("far end").
    `exact` is the true solid it stands for and contains, if that is another; `swept_from` the piece it was before it
    was swept, with the sweep.
    Refuses NaN and coordinates over 100 m; flatness shows when `faces` are first asked for.
    """

    vertices: Vector
    name: str = ""
    places: tuple[tuple[str, Vector], ...] = field(default=())
    exact: Exact | None = None
    swept_from: tuple["Piece", Sweep] | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "vertices", frozen(self.vertices, (None, 3)))
        if len(self.vertices) < 4:
            raise GeometryError(f"{self.name or 'a piece'}: {len(self.vertices)} corners enclose no volume")
        if np.abs(self.vertices).max() > LARGEST_MM:
            raise GeometryError(f"{self.name or 'a piece'}: a corner lies over 100 m away; is the unit right?")
        object.__setattr__(self, "places", tuple((word, frozen(at, (3,))) for word, at in self.places))

    @cached_property
    def _hull(self) -> tuple[Vector, NDArray[np.int64]]:
        from scipy.spatial import ConvexHull, QhullError  # costs 0.4 s to import: only where used

        try:
            hull = ConvexHull(self.vertices)
        except QhullError as error:
            raise GeometryError(f"{self.name or 'a piece'}: its corners lie in one plane, it has no volume") from error
        outward = np.einsum(
            "ij,ij->i",
            np.cross(
                self.vertices[hull.simplices[:, 1]] - self.vertices[hull.simplices[:, 0]],
                self.vertices[hull.simplices[:, 2]] - self.vertices[hull.simplices[:, 0]],
            ),
            hull.equations[:, :3],
        )
        faces = np.where((outward > 0)[:, None], hull.simplices, hull.simplices[:, ::-1])
        renumber = np.full(len(self.vertices), -1)
        renumber[hull.vertices] = np.arange(len(hull.vertices))
        return frozen(self.vertices[hull.vertices], (None, 3)), renumber[faces]

    @property
    def corners(self) -> Vector:
        """The extreme vertices (m, 3) of the hull; same hull as `vertices`, none superfluous."""
        return self._hull[0]

    @property
    def faces(self) -> NDArray[np.int64]:
        """Triangles (k, 3), indices into `corners`, wound outward."""
        return self._hull[1]

    @cached_property
    def centre(self) -> Vector:
        """Middle of the bounding box (3,), the centre of the bounding sphere."""
        return np.asarray((self.vertices.min(axis=0) + self.vertices.max(axis=0)) / 2)

    @cached_property
    def radius(self) -> float:
        """Radius of the sphere about `centre` that holds the piece, mm."""
        return float(np.sqrt(((self.vertices - self.centre) ** 2).sum(axis=1).max()))

    def placed(self, frame: Frame) -> "Piece":
        """The piece written in the frame that `frame` leads to; one that was swept is then no longer told apart."""
        places = tuple((word, frame.points(at)) for word, at in self.places)
        exact = None if self.exact is None else self.exact.placed(frame)
        return Piece(frame.points(self.vertices), self.name, places, exact)

    def named(self, name: str) -> "Piece":
        return Piece(self.vertices, name, self.places, self.exact, self.swept_from)

    def swept(self, by: Sweep) -> "Piece":
        """Hull of the piece wherever each map of the sweep puts it: it holds every mixture of them."""
        moved = self.vertices[None] + by.shifts(self.vertices)
        return Piece(moved.reshape(-1, 3), self.name, self.places, swept_from=(self, by))


@dataclass(frozen=True, eq=False)
class Solid:
    """A named union of convex pieces, all in one frame; a point is inside when it is inside any piece."""

    name: str
    pieces: tuple[Piece, ...]

    def __post_init__(self) -> None:
        object.__setattr__(self, "pieces", tuple(self.pieces))
        if not self.pieces:
            raise GeometryError(f"{self.name or 'a solid'}: no pieces")

    def placed(self, frame: Frame) -> "Solid":
        return Solid(self.name, tuple(piece.placed(frame) for piece in self.pieces))

    @classmethod
    def union(cls, name: str, solids: Iterable["Solid"]) -> "Solid":
        return cls(name, tuple(piece for solid in solids for piece in solid.pieces))
