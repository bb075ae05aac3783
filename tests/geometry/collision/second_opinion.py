"""A second opinion on every reported minimum: the collision library's own distance at the same angle."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.arrays import Array
from geometry.collision.support import Circles, PieceTable, circles_of
from geometry.kinematics.laws import Law
from geometry.solids import Piece
from tests.geometry.collision.collision_library import CORNERS, Shape, library_distance, shape_of

NARROW_RAD = np.radians(1.5)
"""Half-angle of the sector of a hollow piece that is shown to the library, about the nearest point."""
LIBRARY_MM = 1e-3
"""How near the library's iteration comes on pieces of engine size, with margin."""


@dataclass(frozen=True, slots=True)
class Opinion:
    """What the library says, and how far its polygons may put it from the true pieces.

    ``distance_mm`` is 0 where the library finds an overlap, nan where it has no say: in a hollow piece, and now and
    then a pair
    with parallel edges on which its iteration stops early (seen up to 2 mm short of the nearest points). The
    latter shows by itself: the plane square to its own answer then does not separate the pieces by as much.
    """

    distance_mm: float
    allowance_mm: float

    def supports(self, min_mm: float) -> bool:
        """Whether the two figures agree; true where the library has no say."""
        return bool(
            np.isnan(self.distance_mm) or abs(self.distance_mm - max(min_mm, 0.0)) <= self.allowance_mm
        )


class SecondOpinion:
    """Asks the library; keeps its shapes, so that one instance serves many pairs."""

    def __init__(self) -> None:
        self._made: dict[tuple[int, float, float], tuple[Piece, Shape]] = {}

    def of(
        self,
        a: tuple[Law, Piece, Array],
        b: tuple[Law, Piece, Array],
        crank_deg: float,
        min_mm: float,
    ) -> Opinion:
        """The library's distance of two pieces at one angle.

        Parameters
        ----------
        a, b : the law of the body, the piece, and the nearest point on it in E, (3,) mm
        min_mm : our own figure
        """
        shapes, poses, sectors, allowance = [], [], [], LIBRARY_MM
        for law, piece, at in (a, b):
            X = law.poses(np.asarray(crank_deg))
            circles = circles_of(piece)
            middle, half = _sector(circles, X, at)
            if circles.inner_mm > 0 and min_mm <= 0:
                return Opinion(float("nan"), float("inf"))
            shape = self._shape(piece, circles, middle, half)
            allowance += shape.sagitta_mm + circles.inner_mm * (1 - np.cos(min(half, NARROW_RAD)))
            shapes.append(shape)
            poses.append(X)
            sectors.append((circles, middle, half))
        distance, p, q = library_distance(shapes[0], shapes[1], poses[0], poses[1])
        if distance > LIBRARY_MM:
            n = (q - p) / distance
            gap = -_height(*sectors[0], poses[0], n) - _height(*sectors[1], poses[1], -n)
            if gap < distance - allowance:
                return Opinion(float("nan"), float("inf"))
        return Opinion(distance, float(allowance))

    def _shape(self, piece: Piece, circles: Circles, middle: float, half: float) -> Shape:
        key = (id(piece), middle, half)
        if key not in self._made:
            corners = CORNERS * 8 if half <= NARROW_RAD else CORNERS
            self._made[key] = (piece, shape_of(piece, circles, middle, half, corners))
        return self._made[key][1]


def _height(circles: Circles, middle: float, half: float, X_EA: Array, n: Array) -> float:
    """Support function of a sector in direction n (3,) of E."""
    sector = PieceTable([circles]).gather(np.zeros(1, dtype=np.intp), np.array([middle]), np.array([half]))
    height = sector.height((X_EA[:3, :3].T @ n)[:, None])
    return float(height[0] + X_EA[:3, 3] @ n)


def _sector(circles: Circles, X_EA: Array, at: Array) -> tuple[float, float]:
    """The whole piece if it is convex, else a narrow sector about the nearest point."""
    if circles.inner_mm == 0 and circles.wrap_mm == 0:
        return circles.middle_rad, circles.half_rad
    arm = X_EA[:3, :3].T @ (at - X_EA[:3, 3]) - circles.origin
    phi = float(np.arctan2(arm @ circles.second, arm @ circles.first))
    if circles.half_rad >= np.pi - 1e-12:
        return phi, NARROW_RAD
    half = min(NARROW_RAD, circles.half_rad)
    off = (phi - circles.middle_rad + np.pi) % (2 * np.pi) - np.pi
    limit = circles.half_rad - half
    return circles.middle_rad + float(np.clip(off, -limit, limit)), half
