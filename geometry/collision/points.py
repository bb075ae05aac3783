"""Signed distance of points to pieces, in closed form: of many points, each to a piece of its own, at once.

Exact outside. Inside it is the distance to the nearest face or mantle, below zero.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from geometry.arrays import Array, Index
from geometry.solids import Box, Cylinder, Hull, Lobe, Piece, Revolved

CHUNK = 20_000
"""Points that are held against hulls together, which takes room for every face and edge of each."""
FLAT = 1e-9
"""Faces of a hull are one where the numbers of their planes differ by less."""


def distance_to(piece: Piece, points: Array) -> Array:
    """Signed distance (n,) of points (n, 3), in the frame of the part, to the surface of one piece."""
    p = np.asarray(points, dtype=float)
    return PointDistances([piece]).at(np.zeros(len(p), dtype=np.intp), p)


class PointDistances:
    """Pieces that points are held against, those of one shape side by side.

    Parameters
    ----------
    pieces : any number of them, each in the frame of its own part
    """

    def __init__(self, pieces: Sequence[Piece]) -> None:
        self._turn = np.array([piece.X_AP[:3, :3] for piece in pieces])
        self._shift = np.array([piece.X_AP[:3, 3] for piece in pieces])
        rows: dict[tuple[type[_Alike], int, int], list[int]] = {}
        for number, piece in enumerate(pieces):
            rows.setdefault(_kind(piece), []).append(number)
        self._group, self._row = np.zeros(len(pieces), dtype=np.intp), np.zeros(len(pieces), dtype=np.intp)
        self._alike: list[_Alike] = []
        for number, (kind, members) in enumerate(rows.items()):
            self._group[members], self._row[members] = number, np.arange(len(members))
            self._alike.append(kind[0]([pieces[k] for k in members]))

    def at(self, piece: Index, points: Array, limit_mm: Array | float = np.inf) -> Array:
        """Signed distance (n,) of points (n, 3) to pieces (n,), each point in the frame of its piece's part.

        Where it is at least ``limit_mm``, () or (n,), some lower bound that is at least the limit may stand instead.
        """
        local = np.einsum("nij,ni->nj", self._turn[piece], points - self._shift[piece])
        limit = np.broadcast_to(np.asarray(limit_mm, dtype=float), piece.shape)
        group, out = self._group[piece], np.empty(piece.size)
        for number, alike in enumerate(self._alike):
            mine = np.nonzero(group == number)[0]
            if mine.size:
                out[mine] = alike.distance(self._row[piece[mine]], local[mine], limit[mine])
        return out


class _Alike:
    """Pieces of one shape as rows of numbers; points come in the frames of the pieces themselves."""

    def __init__(self, pieces: Sequence[Piece]) -> None:
        raise NotImplementedError

    def distance(self, row: Index, p: Array, limit: Array) -> Array:
        """Signed distance (n,) of points (n, 3) to the pieces of rows (n,)."""
        raise NotImplementedError


def _kind(piece: Piece) -> tuple[type[_Alike], int, int]:
    """Which pieces fit side by side: those of one shape and as many corners, or faces and edges."""
    if isinstance(piece, Cylinder):
        return _Cylinders, 0, 0
    if isinstance(piece, Box):
        return _Boxes, 0, 0
    if isinstance(piece, Lobe):
        return _Lobes, 0, 0
    if isinstance(piece, Revolved):
        return _Turned, len(piece.profile_mm), 0
    planes, edges = _faces(piece)
    return _Hulls, len(planes), len(edges)


class _Cylinders(_Alike):
    def __init__(self, pieces: Sequence[Piece]) -> None:
        cylinders = [piece for piece in pieces if isinstance(piece, Cylinder)]
        self._radius = np.array([c.radius_mm for c in cylinders])
        self._half = np.array([c.length_mm for c in cylinders]) / 2

    def distance(self, row: Index, p: Array, limit: Array) -> Array:
        return _joined(np.hypot(p[:, 0], p[:, 1]) - self._radius[row], np.abs(p[:, 2]) - self._half[row])


class _Boxes(_Alike):
    def __init__(self, pieces: Sequence[Piece]) -> None:
        self._half = np.array([box.size_mm for box in pieces if isinstance(box, Box)]) / 2

    def distance(self, row: Index, p: Array, limit: Array) -> Array:
        q = np.abs(p) - self._half[row]
        outside = np.maximum(q, 0.0)
        return np.asarray(np.sqrt(np.einsum("ij,ij->i", outside, outside)) + np.minimum(q.max(axis=1), 0.0))


class _Lobes(_Alike):
    def __init__(self, pieces: Sequence[Piece]) -> None:
        lobes = [piece for piece in pieces if isinstance(piece, Lobe)]
        self._big = np.array([lobe.radius_mm for lobe in lobes])
        self._small = np.array([lobe.nose_radius_mm for lobe in lobes])
        self._apart = np.array([lobe.distance_mm for lobe in lobes])
        self._half = np.array([lobe.length_mm for lobe in lobes]) / 2

    def distance(self, row: Index, p: Array, limit: Array) -> Array:
        outline = self._two_circles(row, p[:, 0], p[:, 1])
        return _joined(outline, np.abs(p[:, 2]) - self._half[row])

    def _two_circles(self, row: Index, x: Array, y: Array) -> Array:
        """Distance to the hull of two circles in the plane: the taper's side is their common tangent."""
        big, small, apart = self._big[row], self._small[row], self._apart[row]
        lean = np.where(apart > 0, (big - small) / np.where(apart > 0, apart, 1.0), 2.0)
        one_in_other = np.abs(lean) >= 1.0
        lean = np.where(one_in_other, 0.0, lean)
        up = np.sqrt(1.0 - lean * lean)
        x = np.abs(x)
        # how far along the tangent's direction (-lean, up) a point projects decides which circle or side is nearest
        along, side = -lean * x + up * y, up * x + lean * y - big
        first, second = np.hypot(x, y) - big, np.hypot(x, y - apart) - small
        found = np.where(along < 0, first, np.where(along > up * apart, second, side))
        return np.asarray(np.where(one_in_other, np.minimum(first, second), found))


class _Turned(_Alike):
    """Turned pieces: the profile in the plane of the point, or in that of the nearer end face."""

    def __init__(self, pieces: Sequence[Piece]) -> None:
        turned = [piece for piece in pieces if isinstance(piece, Revolved)]
        self._corner = np.array([piece.profile_mm for piece in turned], dtype=float)
        self._edge = np.roll(self._corner, -1, axis=1) - self._corner
        self._length = np.hypot(self._edge[..., 0], self._edge[..., 1])
        nxt = np.roll(self._corner, -1, axis=1)
        area = self._corner[..., 0] * nxt[..., 1] - nxt[..., 0] * self._corner[..., 1]
        self._way = np.sign(area.sum(axis=1))
        start, end = (np.radians([getattr(p, name) for p in turned]) for name in ("start_deg", "end_deg"))
        self._span, self._middle = end - start, (start + end) / 2

    def distance(self, row: Index, p: Array, limit: Array) -> Array:
        radius, z = np.hypot(p[:, 0], p[:, 1]), p[:, 2]
        within = self._polygon(row, radius, z)
        part = np.nonzero(self._span[row] < 2 * np.pi - 1e-9)[0]
        if part.size:
            within[part] = self._sector(row[part], p[part], radius[part], within[part])
        return within

    def _sector(self, row: Index, p: Array, radius: Array, within: Array) -> Array:
        angle = np.arctan2(p[:, 1], p[:, 0]) - self._middle[row]
        off = np.abs((angle + np.pi) % (2 * np.pi) - np.pi) - self._span[row] / 2
        end = np.maximum(self._polygon(row, radius * np.cos(off), p[:, 2]), 0.0)
        # inside, the end faces are a way out too
        inner = np.maximum(within, np.where(np.abs(off) < np.pi / 2, radius * np.sin(off), -radius))
        outside = np.hypot(end, radius * np.sin(off))
        return np.asarray(np.where(off > 0, outside, np.where(within < 0, inner, within)))

    def _polygon(self, row: Index, x: Array, y: Array) -> Array:
        """Signed distance (n,) to the convex profiles, whichever way round."""
        near, inside = np.full(x.size, np.inf), np.full(x.size, -np.inf)
        for k in range(self._corner.shape[1]):
            (x0, y0), (dx, dy), length = self._corner[row, k].T, self._edge[row, k].T, self._length[row, k]
            real = length > 1e-12
            length = np.where(real, length, 1.0)
            px, py = x - x0, y - y0
            t = np.clip((px * dx + py * dy) / length**2, 0.0, 1.0)
            near = np.where(real, np.minimum(near, np.hypot(px - t * dx, py - t * dy)), near)
            out = self._way[row] * (px * dy - py * dx) / length
            inside = np.where(real, np.maximum(inside, out), inside)
        return np.where(inside > 0, near, inside)


class _Hulls(_Alike):
    """Convex polyhedra: inside the nearest plane, outside the face over which the point stands, else an edge."""

    def __init__(self, pieces: Sequence[Piece]) -> None:
        found = [_faces(piece) for piece in pieces if isinstance(piece, Hull)]
        planes, self._edge = np.array([f for f, _ in found]), np.array([e for _, e in found])
        self._normal, self._offset = planes[..., :3], planes[..., 3]
        self._between = np.einsum("pik,pjk->pij", self._normal, self._normal)

    def distance(self, row: Index, p: Array, limit: Array) -> Array:
        out = np.empty(row.size)
        for start in range(0, row.size, CHUNK):
            some = slice(start, start + CHUNK)
            out[some] = self._some(row[some], p[some], limit[some])
        return out

    def _some(self, row: Index, p: Array, limit: Array) -> Array:
        height = np.einsum("nfk,nk->nf", self._normal[row], p) + self._offset[row]
        top = height.argmax(axis=1)
        out = height[np.arange(row.size), top]
        open_ = np.nonzero((out > 0) & (out < limit))[0]
        # dropped on the plane of the face that it is highest over, does the point land on the face?
        landed = height[open_] - out[open_, None] * self._between[row[open_], top[open_]]
        beside = open_[landed.max(axis=1) > FLAT * (1.0 + out[open_])]
        if beside.size:
            out[beside] = self._to_edges(row[beside], p[beside])
        return np.asarray(out)

    def _to_edges(self, row: Index, p: Array) -> Array:
        start, way = self._edge[row, :, 0], self._edge[row, :, 1] - self._edge[row, :, 0]
        arm = p[:, None] - start
        t = np.einsum("nek,nek->ne", arm, way) / np.maximum(np.einsum("nek,nek->ne", way, way), 1e-300)
        rest = arm - np.clip(t, 0.0, 1.0)[..., None] * way
        return np.asarray(np.sqrt(np.einsum("nek,nek->ne", rest, rest).min(axis=1)))


def _faces(piece: Hull) -> tuple[Array, Array]:
    corners = np.ascontiguousarray(piece.points_mm, dtype=float)
    return _faces_of(corners.tobytes())


@lru_cache(maxsize=4096)
def _faces_of(corners: bytes) -> tuple[Array, Array]:
    """Planes (f, 4), outward, and edges (e, 2, 3) of the hull of points; of equal hulls once."""
    points = np.frombuffer(corners).reshape(-1, 3)
    if len(points) == 3:  # a triangle of a measured surface has no inside
        return _triangle(points)
    from scipy.spatial import ConvexHull  # slow to import

    hull = ConvexHull(points)
    _, face = np.unique(np.round(hull.equations / FLAT), axis=0, return_inverse=True)
    face = np.asarray(face).ravel()
    planes = np.array([hull.equations[face == k][0] for k in range(face.max() + 1)])
    side: dict[tuple[int, int], set[int]] = {}
    for triangle, of in zip(hull.simplices.tolist(), face.tolist(), strict=True):
        for k in range(3):
            a, b = sorted((triangle[k], triangle[k - 1]))
            side.setdefault((a, b), set()).add(of)
    edges = [ends for ends, faces in side.items() if len(faces) > 1]
    return planes, points[np.array(edges)]


def _triangle(points: Array) -> tuple[Array, Array]:
    """A triangle as a hull of no height: both its sides, and a wall through each edge."""
    edges = np.stack([points, np.roll(points, -1, axis=0)], axis=1)
    normal = np.cross(points[1] - points[0], points[2] - points[0])
    normals = np.vstack([normal, -normal, np.cross(edges[:, 1] - edges[:, 0], normal)])
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-300)
    on = np.vstack([points[0], points[0], points])
    return np.column_stack([normals, -np.einsum("ij,ij->i", normals, on)]), edges


def _joined(across: Array, along: Array) -> Array:
    """Distance to a prism from the distances to its outline and to its end faces."""
    outside = np.hypot(np.maximum(across, 0.0), np.maximum(along, 0.0))
    return np.asarray(outside + np.minimum(np.maximum(across, along), 0.0))
