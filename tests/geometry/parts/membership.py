"""Which points lie in the clearance pieces of a part, from the definition of each shape; for tests.

Independent of the support functions: every shape is asked by its own inequality.
"""

import numpy as np
from scipy.spatial import ConvexHull

from geometry.solids import Box, Cylinder, Hull, Lobe


def depth_outside(points, piece):
    """How far (k,) points (k, 3) lie outside a piece at most, by its inequalities; negative inside."""
    X = piece.X_AP
    p = (points - X[:3, 3]) @ X[:3, :3]
    if isinstance(piece, Box):
        return (np.abs(p) - np.asarray(piece.size_mm) / 2).max(axis=1)
    if isinstance(piece, Hull):
        planes = ConvexHull(piece.points_mm).equations
        return (p @ planes[:, :3].T + planes[:, 3]).max(axis=1)
    if isinstance(piece, Cylinder):
        return np.maximum(np.hypot(p[:, 0], p[:, 1]) - piece.radius_mm, np.abs(p[:, 2]) - piece.length_mm / 2)
    if isinstance(piece, Lobe):
        return np.maximum(_outside_lobe(p, piece), np.abs(p[:, 2]) - piece.length_mm / 2)
    return np.maximum(_outside_profile(p, piece), _outside_sector(p, piece))


def _outside_lobe(p, piece):
    """Signed distance from the hull of two discs ("uneven capsule", I. Quilez, 2D distance functions; from memory)."""
    r1, r2, h = piece.radius_mm, piece.nose_radius_mm, piece.distance_mm
    x, y = np.abs(p[:, 0]), p[:, 1]
    if abs(r1 - r2) >= h:
        return np.minimum(np.hypot(x, y) - r1, np.hypot(x, y - h) - r2)
    b = (r1 - r2) / h
    a = np.sqrt(1.0 - b * b)
    k = -b * x + a * y
    flank = a * x + b * y - r1
    return np.where(k < 0.0, np.hypot(x, y) - r1, np.where(k > a * h, np.hypot(x, y - h) - r2, flank))


def _outside_profile(p, piece):
    planes = ConvexHull(piece.profile_mm).equations
    rz = np.column_stack([np.hypot(p[:, 0], p[:, 1]), p[:, 2]])
    return (rz @ planes[:, :2].T + planes[:, 2]).max(axis=1)


def _outside_sector(p, piece):
    """Distance beyond the two half planes that bound the sector (taken as the nearer edge, never too large)."""
    half = np.radians(piece.end_deg - piece.start_deg) / 2
    if half >= np.pi - 1e-9:
        return np.full(len(p), -np.inf)
    middle = np.radians(piece.start_deg) + half
    angle = np.arctan2(p[:, 1], p[:, 0]) - middle
    angle = np.abs((angle + np.pi) % (2 * np.pi) - np.pi)
    return np.hypot(p[:, 0], p[:, 1]) * np.sin(np.clip(angle - half, -np.pi / 2, np.pi / 2))


def outside_union(points, pieces):
    """How far (k,) points lie outside the union of pieces, by the least of their inequalities."""
    best = np.full(len(points), np.inf)
    for piece in pieces:
        best = np.minimum(best, depth_outside(points, piece))
    return best


def surface_points(mesh):
    """Corners and middles of all triangles (k, 3)."""
    return np.vstack([mesh.vertices, mesh.vertices[mesh.triangles].mean(axis=1)])


def pieces_of(part):
    return [piece for feature in part.features for piece in feature.pieces]
