"""Opening a part on a plane: what is left of it, the faces of the cut, and the hatching on them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.arrays import Array
from geometry.solids import Mesh
from viewer.scene.solid import as_mesh, as_solid

ON_PLANE_MM = 1e-3
"""A vertex this near to the plane belongs to the face of the cut; the solids library works in float64."""


@dataclass(frozen=True, slots=True, eq=False)
class Opened:
    """A part after the cut: the skin that is left, and the faces where material was cut (None: it missed)."""

    skin: Mesh
    faces: Mesh | None


def cut_open(mesh: Mesh, point_mm: Array, normal: Array) -> Opened:
    """Take away what lies on the side of the normal and close the wound.

    Parameters
    ----------
    mesh : closed; one that is not (a rough scan) is cut as well, without faces
    point_mm, normal : (3,) float in the frame of the mesh; the normal need not have length 1
    """
    unit = np.asarray(normal, dtype=float) / np.linalg.norm(normal)
    height = (mesh.vertices - point_mm) @ unit
    if height.max() <= ON_PLANE_MM:
        return Opened(mesh, None)
    if height.min() >= -ON_PLANE_MM:
        return Opened(Mesh(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int32)), None)
    solid = as_solid(mesh)
    if solid is None:
        return Opened(_cut_skin(mesh, point_mm, unit), None)
    left = as_mesh(solid.trim_by_plane(tuple(-unit), float(-unit @ point_mm)))
    return _parted(left.vertices, left.triangles, point_mm, unit)


def _cut_skin(mesh: Mesh, point_mm: Array, unit: Array) -> Mesh:
    """Cut an open surface: no inside is known, so no faces."""
    import trimesh  # slow to import, and few parts are open

    vertices, triangles, _ = trimesh.intersections.slice_faces_plane(  # type: ignore[no-untyped-call]
        mesh.vertices, mesh.triangles, plane_normal=-unit, plane_origin=point_mm
    )
    return Mesh(np.asarray(vertices, dtype=float), np.asarray(triangles, dtype=np.int32))


def _parted(vertices: Array, triangles: NDArray[np.int32], point_mm: Array, unit: Array) -> Opened:
    """Sort the triangles of a trimmed solid into skin and faces of the cut."""
    corners = vertices[triangles]
    near = (np.abs((corners - point_mm) @ unit) < ON_PLANE_MM).all(axis=1)
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    face = near & (across @ unit > 0.0)
    skin = _tidy(vertices, triangles[~face])
    return Opened(skin, _tidy(vertices, triangles[face]) if face.any() else None)


def _tidy(vertices: Array, triangles: NDArray[np.int32]) -> Mesh:
    """Drop the vertices that no triangle uses."""
    used, inverse = np.unique(triangles, return_inverse=True)
    return Mesh(vertices[used], inverse.reshape(-1, 3).astype(np.int32))


def hatching(faces: Mesh, normal: Array, spacing_mm: float) -> Array:
    """Parallel lines at 45 degrees across the faces of a cut.

    Parameters
    ----------
    faces : flat triangles with a common normal
    normal : (3,) float; the lines stand this side of the faces by a hair, so that they are seen
    spacing_mm : between lines; below zero they slant the other way, so that neighbours are told apart

    Returns
    -------
    (k, 2, 3) float, mm : line segments in the frame of the faces
    """
    unit = np.asarray(normal, dtype=float) / np.linalg.norm(normal)
    corners = faces.vertices[faces.triangles]
    level = corners @ _slanted(unit, np.sign(spacing_mm)) / abs(spacing_mm)
    order = np.argsort(level, axis=1)
    corners = np.take_along_axis(corners, order[:, :, None], axis=1)
    level = np.take_along_axis(level, order, axis=1)
    first, last = np.ceil(level[:, 0]), np.floor(level[:, 2])
    count = np.maximum(last - first + 1, 0).astype(int)
    which = np.repeat(np.arange(len(corners)), count)
    step = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
    line = first[which] + step
    corner, value = corners[which], level[which]
    long_side = _between(corner[:, 0], corner[:, 2], value[:, 0], value[:, 2], line)
    lower = _between(corner[:, 0], corner[:, 1], value[:, 0], value[:, 1], line)
    upper = _between(corner[:, 1], corner[:, 2], value[:, 1], value[:, 2], line)
    short_side = np.where((line < value[:, 1])[:, None], lower, upper)
    return np.asarray(np.stack([long_side, short_side], axis=1) + 0.05 * unit)


def _slanted(unit: Array, hand: float) -> Array:
    """A direction in the plane, at 45 degrees to its steepest line."""
    aside = np.cross(unit, [1.0, 0.0, 0.0] if abs(unit[0]) < 0.9 else [0.0, 0.0, 1.0])
    aside /= np.linalg.norm(aside)
    return np.asarray((aside + hand * np.cross(unit, aside)) / np.sqrt(2.0))


def _between(a: Array, b: Array, at_a: Array, at_b: Array, level: Array) -> Array:
    span = at_b - at_a
    share = np.clip((level - at_a) / np.where(span == 0.0, 1.0, span), 0.0, 1.0)
    return np.asarray(a + share[:, None] * (b - a))
