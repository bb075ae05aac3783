"""Plane regions cut into few convex polygons, so that flat-sided solids become exact convex pieces.

Triangles of the region are joined again across every diagonal whose removal leaves both of its ends convex
(Hertel and Mehlhorn 1983: at most four times the fewest possible parts).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import cos, hypot, pi

import manifold3d
import numpy as np

from geometry.arrays import Array
from geometry.solids import Hull

_FLAT = 1e-9
"""Sine-like measure (cross product over the product of lengths) up to which a corner counts as straight."""
SMALLEST_AREA_MM2 = 1e-6
COARSEST_CORNERS = 8
KEPT = 512
"""Regions whose parts are kept: several engines' worth."""


def region(*polygons: Array | Sequence[Sequence[float]]) -> manifold3d.CrossSection:
    """The union of simple polygons (k, 2), whichever way round they are written."""
    found = [np.asarray(polygon, dtype=float) for polygon in polygons]
    return manifold3d.CrossSection([p if _area(p) > 0 else p[::-1] for p in found])


def convex_parts(shape: manifold3d.CrossSection) -> list[Array]:
    """Convex polygons (k, 2), counter-clockwise, that fill a region exactly and do not overlap.

    Parameters
    ----------
    shape : any region, with holes or of several islands

    Returns
    -------
    list of (k, 2) float, mm; splinters below a square micrometre are left out
    """
    return list(_parts_of(tuple(loop.tobytes() for loop in shape.to_polygons())))


@lru_cache(maxsize=KEPT)
def _parts_of(outlines: tuple[bytes, ...]) -> tuple[Array, ...]:
    """The parts of a region by its outlines; bays of one engine, and engines that differ elsewhere, have the same."""
    loops = [np.frombuffer(outline).reshape(-1, 2) for outline in outlines]
    if not loops:
        return ()
    points = np.vstack(loops)
    faces = _merge(points, [list(map(int, triangle)) for triangle in manifold3d.triangulate(loops)])
    parts = [_without_straight_corners(points[face]) for face in faces]
    return tuple(part for part in parts if len(part) > 2 and _area(part) > SMALLEST_AREA_MM2)


def prisms(shape: manifold3d.CrossSection, low_mm: float, high_mm: float, X_AP: Array) -> list[Hull]:
    """A region as convex prisms along the third axis of its own frame P.

    Parameters
    ----------
    shape : region in the first two axes of P
    low_mm, high_mm : its ends along the third
    X_AP : (4, 4) pose of P in the part
    """
    return [
        Hull(np.vstack([np.column_stack([part, np.full(len(part), end)]) for end in (low_mm, high_mm)]), X_AP)
        for part in convex_parts(shape)
    ]


def polygon_between(inner_mm: float, outer_mm: float) -> Array:
    """The polygon (k, 2) about the origin with the fewest corners, eight or more, between two circles.

    A round hole of the inner radius with a wall out to the outer one is then exact: the wall is a turned piece,
    and what lies beyond the polygon is flat-sided.
    """
    corners = COARSEST_CORNERS
    while inner_mm > outer_mm * cos(pi / corners):
        corners *= 2
    radius = (inner_mm / cos(pi / corners) + outer_mm) / 2
    at = (np.arange(corners) + 0.5) * (2 * pi / corners)
    return radius * np.column_stack([np.cos(at), np.sin(at)])


def _area(polygon: Array) -> float:
    x, y = polygon[:, 0], polygon[:, 1]
    return float(np.dot(x, _following(y)) - np.dot(y, _following(x))) / 2


def _following(loop: Array) -> Array:
    """What follows each entry round the loop; ``np.roll`` takes several times as long over a few corners."""
    return np.concatenate((loop[1:], loop[:1]))


def _merge(points: Array, faces: list[list[int]]) -> list[list[int]]:
    """Join faces across their common edges, longest first, as long as they stay convex."""
    owner: dict[tuple[int, int], int] = {}
    for index, face in enumerate(faces):
        for edge in _edges(face):
            owner[edge] = index
    shared = [edge for edge in owner if edge[0] < edge[1] and edge[::-1] in owner]
    shared.sort(key=lambda edge: -float(np.sum((points[edge[0]] - points[edge[1]]) ** 2)))
    at = points.tolist()
    live: dict[int, list[int]] = dict(enumerate(faces))
    for edge in shared:
        one, other = owner[edge], owner[edge[::-1]]
        if one == other:
            continue
        joined = _joined(live[one], live[other], edge)
        if _is_convex([at[corner] for corner in joined]):
            live[one] = joined
            for moved in _edges(live.pop(other)):
                owner[moved] = one
    return list(live.values())


def _edges(face: list[int]) -> list[tuple[int, int]]:
    return list(zip(face, [*face[1:], face[0]], strict=True))


def _joined(one: list[int], other: list[int], edge: tuple[int, int]) -> list[int]:
    """One loop from two that share an edge (start, end as the first runs it)."""
    start, end = edge
    first = one.index(end)
    second = other.index(start)
    return [*one[first:], *one[:first]] + [*other[second:], *other[:second]][1:-1]


def _is_convex(loop: Sequence[Sequence[float]]) -> bool:
    """True when a loop turns inwards nowhere; in plain numbers, since it has a handful of corners."""
    x, y = loop[0][0] - loop[-1][0], loop[0][1] - loop[-1][1]
    before = max(hypot(x, y), 1e-300)
    for start, end in zip(loop, [*loop[1:], loop[0]], strict=True):
        along, up = end[0] - start[0], end[1] - start[1]
        length = max(hypot(along, up), 1e-300)
        if x * up - y * along < -_FLAT * before * length:
            return False
        x, y, before = along, up, length
    return True


def _without_straight_corners(loop: Array) -> Array:
    before, after = np.concatenate((loop[-1:], loop[:-1])) - loop, _following(loop) - loop
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    size = np.hypot(before[:, 0], before[:, 1]) * np.hypot(after[:, 0], after[:, 1])
    bent = np.abs(cross) > _FLAT * np.maximum(size, 1e-300)
    return np.asarray(loop[bent])
