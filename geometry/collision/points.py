"""Signed distance of points to pieces, in closed form."""

from __future__ import annotations

import numpy as np

from geometry.arrays import Array
from geometry.solids import Box, Cylinder, Hull, Lobe, Piece, Revolved


def distance_to(piece: Piece, points: Array, limit_mm: Array | float = np.inf) -> Array:
    """Signed distance (n,) of points (n, 3), in the frame of the part, to the surface of a piece.

    Exact outside. Inside it is the distance to the nearest face or mantle, below zero. Where the distance is at
    least ``limit_mm``, () or (n,), some lower bound that is at least the limit may stand instead.
    """
    p = (points - piece.X_AP[:3, 3]) @ piece.X_AP[:3, :3]
    if isinstance(piece, Cylinder):
        return _joined(np.hypot(p[:, 0], p[:, 1]) - piece.radius_mm, np.abs(p[:, 2]) - piece.length_mm / 2)
    if isinstance(piece, Box):
        q = np.abs(p) - np.asarray(piece.size_mm) / 2
        return np.asarray(np.linalg.norm(np.maximum(q, 0.0), axis=1) + np.minimum(q.max(axis=1), 0.0))
    if isinstance(piece, Lobe):
        return _joined(_two_circles(piece, p[:, 0], p[:, 1]), np.abs(p[:, 2]) - piece.length_mm / 2)
    if isinstance(piece, Hull):
        return _hull(piece, p, limit_mm)
    return _turned(piece, p)


def _joined(across: Array, along: Array) -> Array:
    """Distance to a prism from the distances to its outline and to its end faces."""
    outside = np.hypot(np.maximum(across, 0.0), np.maximum(along, 0.0))
    return np.asarray(outside + np.minimum(np.maximum(across, along), 0.0))


def _two_circles(piece: Lobe, x: Array, y: Array) -> Array:
    """Distance to the hull of two circles in the plane: the taper's side is their common tangent."""
    big, small, apart = piece.radius_mm, piece.nose_radius_mm, piece.distance_mm
    lean = (big - small) / apart if apart > 0 else 2.0
    if abs(lean) >= 1.0:
        inner = np.hypot(x, y) - big, np.hypot(x, y - apart) - small
        return np.asarray(np.minimum(*inner))
    up = np.sqrt(1.0 - lean * lean)
    x = np.abs(x)
    # how far along the tangent's direction (-lean, up) a point projects decides which circle or side is nearest
    along = -lean * x + up * y
    side = up * x + lean * y - big
    first, second = np.hypot(x, y) - big, np.hypot(x, y - apart) - small
    return np.asarray(np.where(along < 0, first, np.where(along > up * apart, second, side)))


def _hull(piece: Hull, p: Array, limit_mm: Array | float) -> Array:
    """Distance to a convex polyhedron: the nearest of its triangles outside, the nearest plane inside."""
    from scipy.spatial import ConvexHull  # slow to import

    corners_mm = np.asarray(piece.points_mm, dtype=float)
    if len(corners_mm) == 3:  # a triangle of a measured surface has no inside
        return _triangle(p, *corners_mm)
    hull = ConvexHull(corners_mm)
    planes = p @ hull.equations[:, :3].T + hull.equations[:, 3]
    inside = planes.max(axis=1)
    out = inside.copy()
    index = np.nonzero((inside > 0) & (inside < limit_mm))[0]
    if index.size:
        near = np.full(index.size, np.inf)
        for corners in hull.points[hull.simplices]:
            near = np.minimum(near, _triangle(p[index], *corners))
        out[index] = near
    return np.asarray(out)


def _triangle(p: Array, a: Array, b: Array, c: Array) -> Array:
    """Distance (n,) of points (n, 3) to a triangle."""
    normal = np.cross(b - a, c - a)
    best = np.full(len(p), np.inf)
    within = np.ones(len(p), dtype=bool)
    for start, end in ((a, b), (b, c), (c, a)):
        edge, arm = end - start, p - start
        t = np.clip(arm @ edge / max(float(edge @ edge), 1e-300), 0.0, 1.0)
        best = np.minimum(best, np.linalg.norm(arm - t[:, None] * edge, axis=1))
        within &= np.cross(edge, arm) @ normal >= 0
    flat = np.abs((p - a) @ normal) / max(float(np.linalg.norm(normal)), 1e-300)
    return np.where(within, flat, best)


def _turned(piece: Revolved, p: Array) -> Array:
    """Distance to a turned piece: its profile in the plane of the point, or in that of the nearer end face."""
    profile = np.asarray(piece.profile_mm, dtype=float)
    radius, span = np.hypot(p[:, 0], p[:, 1]), np.radians(piece.end_deg - piece.start_deg)
    if span >= 2 * np.pi - 1e-9:
        return _polygon(profile, radius, p[:, 2])
    middle = np.radians(piece.start_deg) + span / 2
    off = np.abs((np.arctan2(p[:, 1], p[:, 0]) - middle + np.pi) % (2 * np.pi) - np.pi) - span / 2
    within = _polygon(profile, radius, p[:, 2])
    end = np.maximum(_polygon(profile, radius * np.cos(off), p[:, 2]), 0.0)
    # inside, the end faces are a way out too
    inner = np.maximum(within, np.where(np.abs(off) < np.pi / 2, radius * np.sin(off), -radius))
    return np.where(off > 0, np.hypot(end, radius * np.sin(off)), np.where(within < 0, inner, within))


def _polygon(polygon: Array, x: Array, y: Array) -> Array:
    """Signed distance (n,) to a convex polygon (k, 2), whichever way round."""
    nxt = np.roll(polygon, -1, axis=0)
    turn = np.sign(np.sum(polygon[:, 0] * nxt[:, 1] - nxt[:, 0] * polygon[:, 1]))
    near, inside = np.full(x.size, np.inf), np.full(x.size, -np.inf)
    for (x0, y0), (x1, y1) in zip(polygon, nxt, strict=True):
        dx, dy = x1 - x0, y1 - y0
        length = np.hypot(dx, dy)
        if length < 1e-12:
            continue
        t = np.clip(((x - x0) * dx + (y - y0) * dy) / length**2, 0.0, 1.0)
        near = np.minimum(near, np.hypot(x - x0 - t * dx, y - y0 - t * dy))
        inside = np.maximum(inside, turn * ((x - x0) * dy - (y - y0) * dx) / length)
    return np.where(inside > 0, near, inside)
