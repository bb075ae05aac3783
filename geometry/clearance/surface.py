"""A closed surface made fine enough for colours, without a gap between its triangles."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.arrays import Array, Mask
from geometry.solids import Mesh

Triangles = NDArray[np.int32]
SAME_MM: Final = 0.05
"""A point so near to a corner or edge is put on it, rather than into a sliver beside it."""


@lru_cache(maxsize=64)
def split(mesh: Mesh, edge_mm: float) -> Mesh:
    """The same surface with no edge longer than asked, still closed: long edges are halved, and nothing else."""
    vertices, triangles = np.asarray(mesh.vertices, dtype=float), np.asarray(mesh.triangles, dtype=np.int32)
    while len(triangles):
        ends, side = edges_of(triangles)
        long = np.linalg.norm(vertices[ends[:, 0]] - vertices[ends[:, 1]], axis=1) > edge_mm
        if not long.any():
            break
        number = np.full(len(ends), -1, dtype=np.int32)
        number[long] = len(vertices) + np.arange(long.sum())
        vertices = np.vstack([vertices, vertices[ends[long]].mean(axis=1)])
        triangles = _parted(vertices, triangles, number[side])
    return Mesh(vertices, triangles)


def edges_of(triangles: Triangles) -> tuple[Triangles, Triangles]:
    """Ends (e, 2) of every edge, and (m, 3) the edges of each triangle, the one after its first corner first."""
    pairs = np.sort(np.stack([triangles, np.roll(triangles, -1, axis=1)], axis=-1).reshape(-1, 2), axis=1)
    key = pairs[:, 0].astype(np.int64) * (int(triangles.max()) + 1) + pairs[:, 1]
    _, first, back = np.unique(key, return_index=True, return_inverse=True)
    return pairs[first], np.asarray(back, dtype=np.int32).reshape(-1, 3)


def _parted(vertices: Array, triangles: Triangles, middle: Triangles) -> Triangles:
    """Triangles cut where their edges have new middles: (m, 3) numbers of these, -1 where an edge stays whole."""
    count = (middle >= 0).sum(axis=1)
    found = [triangles[count == 0]]
    for halved in (1, 2, 3):
        rows = np.nonzero(count == halved)[0]
        # turned so that the first edge is halved; of two halved edges, the first and the second
        first = middle[rows] >= 0
        if halved == 2:
            first &= np.roll(middle[rows], -1, axis=1) >= 0
        turn = (first.argmax(axis=1)[:, None] + np.arange(3)) % 3
        a, b, c = np.take_along_axis(triangles[rows], turn, axis=1).T
        ab, bc, ca = np.take_along_axis(middle[rows], turn, axis=1).T
        if halved == 1:
            found += [_rows(a, ab, c), _rows(ab, b, c)]
        elif halved == 2:
            found.append(_rows(ab, b, bc))
            found += _quad(vertices, (a, ab, bc, c))
        else:
            found += [_rows(a, ab, ca), _rows(ab, b, bc), _rows(bc, c, ca), _rows(ab, bc, ca)]
    return np.vstack(found)


def _rows(*corners: Triangles) -> Triangles:
    return np.column_stack(corners).astype(np.int32)


def _quad(vertices: Array, corners: tuple[Triangles, ...]) -> list[Triangles]:
    """Four-sided pieces, each cut along its shorter diagonal."""
    a, b, c, d = corners
    short = np.linalg.norm(vertices[a] - vertices[c], axis=1) <= np.linalg.norm(
        vertices[b] - vertices[d], axis=1
    )
    return [
        _rows(a, b, c)[short], _rows(a, c, d)[short], _rows(a, b, d)[~short], _rows(b, c, d)[~short],
    ]  # fmt: skip


def with_point(mesh: Mesh, at_mm: Array, edge_mm: float) -> tuple[Mesh, int]:
    """The same surface with a corner at its point nearest to another, and the number of that corner.

    No edge of it is longer than ``edge_mm``.
    """
    vertices, triangles = mesh.vertices, mesh.triangles
    # the nearest point of a triangle is no farther from one of its corners than its longest edge
    far = np.linalg.norm(vertices - at_mm, axis=1)[triangles].min(axis=1)
    near = np.nonzero(far <= far.min() + edge_mm)[0]
    found = np.einsum("mk,mkj->mj", _nearest(vertices[triangles[near]], at_mm), vertices[triangles[near]])
    best = int(np.linalg.norm(found - at_mm, axis=1).argmin())
    row, point = int(near[best]), found[best]
    corners = triangles[row]
    to_corner = np.linalg.norm(vertices[corners] - point, axis=1)
    if to_corner.min() < SAME_MM:
        return mesh, int(corners[to_corner.argmin()])
    number = len(vertices)
    sides = [(int(corners[k]), int(corners[(k + 1) % 3])) for k in range(3)]
    k, beside = min(enumerate(_off_line(vertices[[a, b]], point) for a, b in sides), key=lambda pair: pair[1])
    if beside < SAME_MM:
        cut = _holding(triangles, sides[k])
        point = _on_line(vertices[list(sides[k])], point)
        new = [_replaced(triangles[t], end, number) for t in np.nonzero(cut)[0] for end in sides[k]]
    else:
        cut = np.arange(len(triangles)) == row
        new = [_replaced(corners, int(corner), number) for corner in corners]
    return Mesh(np.vstack([vertices, point]), np.vstack([triangles[~cut], new]).astype(np.int32)), number


def _holding(triangles: Triangles, side: tuple[int, int]) -> Mask:
    """Which triangles have an edge."""
    return np.asarray((triangles == side[0]).any(axis=1) & (triangles == side[1]).any(axis=1))


def _replaced(corners: Triangles, old: int, new: int) -> Triangles:
    return np.where(corners == old, new, corners).astype(np.int32)


def _on_line(ends: Array, point: Array) -> Array:
    way = ends[1] - ends[0]
    return np.asarray(ends[0] + np.clip((point - ends[0]) @ way / (way @ way), 0.0, 1.0) * way)


def _off_line(ends: Array, point: Array) -> float:
    return float(np.linalg.norm(_on_line(ends, point) - point))


def _nearest(corners: Array, point: Array) -> Array:
    """Shares (m, 3) of the corners of triangles (m, 3, 3) in the point of each that is nearest to another."""
    sides = np.roll(corners, -1, axis=1) - corners
    arm = point - corners
    along = np.einsum("mkj,mkj->mk", arm, sides) / np.maximum(np.einsum("mkj,mkj->mk", sides, sides), 1e-300)
    along = np.clip(along, 0.0, 1.0)
    off = np.linalg.norm(arm - along[..., None] * sides, axis=2)
    best, rows = off.argmin(axis=1), np.arange(len(corners))
    out = np.zeros((len(corners), 3))
    out[rows, best] = 1.0 - along[rows, best]
    out[rows, (best + 1) % 3] = along[rows, best]
    normal = np.cross(sides[:, 0], -sides[:, 2])
    size = np.einsum("mj,mj->m", normal, normal)
    inner = np.stack(
        [np.einsum("mj,mj->m", np.cross(sides[:, k], arm[:, k]), normal) for k in (1, 2, 0)], axis=1
    )
    over = (inner >= 0).all(axis=1) & (size > 0)
    out[over] = inner[over] / size[over, None]
    return out
