"""The collision library, asked for the distance of single pairs as a second opinion.

Pieces it knows (cylinder, box) are passed as they are; circles of the others are drawn as polygons *inside* the
true circle, so that its distances are too large by at most the sagitta, which is returned beside them. It is
not asked for depths: its search for them ends the whole process on some overlapping solids.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import fcl
import numpy as np

from geometry.arrays import Array
from geometry.collision.support import Circles
from geometry.solids import Box, Cylinder, Piece

CORNERS = 64
THIN_MM = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """A piece as the library knows it: its collision object, its pose in the part, and its sagitta in mm."""

    thing: Any
    X_AP: Array
    sagitta_mm: float


def shape_of(piece: Piece, circles: Circles, middle: float, half: float, corners: int = CORNERS) -> Shape:
    """The library's shape for one piece, or for one sector (``middle``, ``half``, rad) of a turned piece."""
    if isinstance(piece, Cylinder):
        thing = fcl.Cylinder(piece.radius_mm, piece.length_mm)
        return Shape(fcl.CollisionObject(thing), np.asarray(piece.X_AP, dtype=float), 0.0)
    if isinstance(piece, Box):
        return Shape(fcl.CollisionObject(fcl.Box(*piece.size_mm)), np.asarray(piece.X_AP, dtype=float), 0.0)
    whole = half >= np.pi - 1e-12
    n = corners if whole else max(3, int(np.ceil(corners * half / np.pi)) + 1)
    phi = middle + half * (np.arange(n) * (2 / n) if whole else np.linspace(-1.0, 1.0, n))
    rim = np.cos(phi)[:, None] * circles.first + np.sin(phi)[:, None] * circles.second
    round_ = circles.radius_mm > 0
    rings = circles.centre_mm[round_, None] + circles.radius_mm[round_, None, None] * rim
    points = np.concatenate([circles.centre_mm[~round_], rings.reshape(-1, 3)])
    step = 2 * half / n if whole else 2 * half / (n - 1)
    sagitta = float(circles.radius_mm.max(initial=0.0)) * (1 - np.cos(step / 2))
    return Shape(fcl.CollisionObject(_convex(points)), np.eye(4), sagitta)


def _convex(points: Array) -> Any:
    """The library's convex solid of a point cloud, faces outward."""
    from scipy.spatial import ConvexHull, QhullError  # slow to import, and most calls of the tool need none

    try:
        hull = ConvexHull(points)
    except QhullError:
        # flat or a mere edge: give it a body too thin to matter
        hull = ConvexHull(
            points := (points[:, None] + THIN_MM * np.vstack([np.eye(3), -np.eye(3)])).reshape(-1, 3)
        )
    used, index = np.unique(hull.simplices, return_inverse=True)
    corners = points[used]
    faces = index.reshape(-1, 3)
    a, b, c = (corners[faces[:, i]] for i in range(3))
    flip = (np.cross(b - a, c - a) * hull.equations[:, :3]).sum(axis=1) < 0
    faces[flip] = faces[flip][:, [0, 2, 1]]
    flat = np.column_stack([np.full(len(faces), 3), faces]).ravel()
    return fcl.Convex(corners, len(faces), flat)


_REQUEST = fcl.DistanceRequest(enable_nearest_points=True, enable_signed_distance=False)


def library_distance(a: Shape, b: Shape, X_EA: Array, X_EB: Array) -> tuple[float, Array, Array]:
    """Distance of two shapes at poses (4, 4) of their parts, 0 when they overlap, and the two points in E."""
    for shape, X in ((a, X_EA), (b, X_EB)):
        pose = X @ shape.X_AP
        shape.thing.setTransform(fcl.Transform(pose[:3, :3], pose[:3, 3]))
    result = fcl.DistanceResult()
    distance = fcl.distance(a.thing, b.thing, _REQUEST, result)
    p, q = (np.asarray(point, dtype=float) for point in result.nearest_points)
    return max(0.0, float(distance)), p, q
