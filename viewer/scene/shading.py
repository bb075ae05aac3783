"""Normals, sharp edges and a coarser copy of a mesh: what any renderer needs to make solids read as solids."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from geometry.arrays import Array, Mask
from geometry.solids import Mesh
from viewer.scene.solid import as_mesh, as_solid

CREASE_DEG = 33.0
"""Faces that meet at a larger angle show an edge; smaller angles are one curved surface in facets."""

FLAT, ROUND = 1e-3, 0.08
"""Mean square of the normals of a round face: along its axis at most, across at least, as over some 60 degrees."""


@dataclass(frozen=True, slots=True, eq=False)
class Shaded:
    """A mesh whose vertices are parted along its sharp edges.

    Attributes
    ----------
    vertices, normals : (n, 3) float
    triangles : (m, 3) int
    source : (n,) vertex of the mesh that each vertex came from
    edges : (k, 2, 3) float, the sharp edges as segments
    halves : (k, 2) the two half edges at each edge, ``3 * triangle + corner`` that it begins at
    turned : (n,) whether a vertex lies on a surface that is round about an axis: bored, turned or ground
    """

    vertices: Array
    normals: Array
    triangles: NDArray[np.int32]
    source: NDArray[np.int32]
    edges: Array
    halves: NDArray[np.int64]
    turned: Mask

    @property
    def beside(self) -> NDArray[np.int64]:
        """The two triangles at each edge, (k, 2)."""
        return np.asarray(self.halves // 3)


@lru_cache(maxsize=512)
def shaded(mesh: Mesh, crease_deg: float = CREASE_DEG) -> Shaded:
    """Part a mesh along its sharp edges and give every corner the mean normal of its smooth patch.

    Corners are weighted by their angle, so that slivers left by cutting do not pull a normal aside.
    """
    triangles = np.asarray(mesh.triangles)
    if not len(triangles):
        empty, none = np.zeros((0, 3)), np.zeros((0, 2), dtype=np.int64)
        return Shaded(
            empty,
            empty,
            triangles,
            np.zeros(0, dtype=np.int32),
            np.zeros((0, 2, 3)),
            none,
            np.zeros(0, dtype=bool),
        )
    corners = mesh.vertices[triangles]
    face = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    face /= np.maximum(np.linalg.norm(face, axis=1, keepdims=True), 1e-300)
    a, b, smooth = _shared_edges(triangles, face, crease_deg)
    patch = _patches(triangles, a[smooth], b[smooth])
    weight = _corner_angles(corners).ravel()
    count = int(patch.max()) + 1
    normals = np.column_stack(
        [np.bincount(patch, weight * np.repeat(face[:, k], 3), minlength=count) for k in range(3)]
    )
    length = np.linalg.norm(normals, axis=1, keepdims=True)
    source = np.zeros(count, dtype=np.int32)
    source[patch] = triangles.ravel()
    sharp = _edge_ends(triangles, a[~smooth])
    parted = patch.reshape(-1, 3).astype(np.int32)
    turned = np.zeros(count, dtype=bool)
    turned[parted[_round_faces(corners, face, a[smooth] // 3, b[smooth] // 3)]] = True
    return Shaded(
        mesh.vertices[source],
        normals / np.where(length > 0.0, length, 1.0),
        parted,
        source,
        mesh.vertices[sharp],
        np.column_stack([a[~smooth], b[~smooth]]),
        turned,
    )


def _round_faces(corners: Array, face: Array, a: NDArray[np.int64], b: NDArray[np.int64]) -> Mask:
    """Whether each triangle is of a smooth face whose normals all lie in one plane and turn about in it.

    Parameters
    ----------
    corners, face : (m, 3, 3) and unit normals (m, 3)
    a, b : triangles that meet smoothly
    """
    links = coo_matrix((np.ones(len(a), dtype=np.int8), (a, b)), shape=(len(face),) * 2)
    count, of = connected_components(links, directed=False)
    weight = (
        np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
        + np.finfo(float).tiny
    )
    total = np.bincount(of, weight, minlength=count)
    moment = np.empty((count, 3, 3))
    for i in range(3):
        for k in range(3):
            moment[:, i, k] = np.bincount(of, weight * face[:, i] * face[:, k], minlength=count) / total
    least, middle, _ = np.linalg.eigvalsh(moment).T
    return np.asarray(((least < FLAT) & (middle > ROUND))[of])


def _shared_edges(
    triangles: NDArray[np.int32], face: Array, crease_deg: float
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.bool_]]:
    """Half edges that meet: (k,) numbers ``3 * triangle + corner`` of either, and whether they meet smoothly."""
    start, end = triangles.ravel(), np.roll(triangles, -1, axis=1).ravel()
    low, high = np.minimum(start, end).astype(np.int64), np.maximum(start, end).astype(np.int64)
    order = np.argsort(low * (high.max() + 1) + high, kind="stable")
    key = (low * (high.max() + 1) + high)[order]
    pairs = np.flatnonzero(key[1:] == key[:-1])
    a, b = order[pairs], order[pairs + 1]
    along = np.einsum("ij,ij->i", face[a // 3], face[b // 3])
    return a, b, along > np.cos(np.radians(crease_deg))


def _patches(triangles: NDArray[np.int32], a: NDArray[np.int64], b: NDArray[np.int64]) -> NDArray[np.int32]:
    """Number of the smooth patch of each corner: corners of one vertex that smooth edges join."""
    after_a, after_b = _next_corner(a), _next_corner(b)
    flat = triangles.ravel()
    same_way = flat[a] == flat[b]
    first = np.concatenate([a, after_a])
    second = np.concatenate([np.where(same_way, b, after_b), np.where(same_way, after_b, b)])
    links = coo_matrix((np.ones(len(first), dtype=np.int8), (first, second)), shape=(len(flat),) * 2)
    patch: NDArray[np.int32] = connected_components(links, directed=False)[1]
    return patch


def _next_corner(half_edge: NDArray[np.int64]) -> NDArray[np.int64]:
    return np.asarray(half_edge - half_edge % 3 + (half_edge + 1) % 3)


def _edge_ends(triangles: NDArray[np.int32], half_edge: NDArray[np.int64]) -> NDArray[np.int32]:
    flat = triangles.ravel()
    return np.column_stack([flat[half_edge], flat[_next_corner(half_edge)]])


def _corner_angles(corners: Array) -> Array:
    """Angles of triangles, (m, 3) rad."""
    found = []
    for k in range(3):
        u = corners[:, (k + 1) % 3] - corners[:, k]
        v = corners[:, (k + 2) % 3] - corners[:, k]
        found.append(np.arctan2(np.linalg.norm(np.cross(u, v), axis=1), np.einsum("ij,ij->i", u, v)))
    return np.column_stack(found)


@lru_cache(maxsize=512)
def coarse(mesh: Mesh, tolerance_mm: float) -> Mesh:
    """The same solid with fewer triangles, nowhere farther off than the tolerance; for frames in motion.

    A mesh that is not closed is given back as it is.
    """
    solid = as_solid(mesh)
    if solid is None:
        return mesh
    lean = as_mesh(solid.simplify(tolerance_mm))
    return lean if 0 < len(lean.triangles) < len(mesh.triangles) else mesh
