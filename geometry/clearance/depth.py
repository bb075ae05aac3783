"""Depth of interference: how far one piece must be moved to be clear of another.

One meaning everywhere
----------------------
*Depth* is the length of the shortest translation that separates two convex pieces. For features of several
pieces it is the largest depth over the pairs of pieces.

A hollow turned piece (bore wall, skirt, ring) has no useful shortest way out of its own: a narrow sector could
be left sideways, through what is really the next sector. Its depth is therefore the largest over its narrow
sectors of the shortest translation in the plane through its axis (inward, outward or along the axis, whichever
is shortest and whatever mixture), or square to one of its end faces if that clears the whole piece. A bore wall
counts as solid however far out, so its depth is the radial one wherever the body reaches well into the bore.
"""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING

import numpy as np

from geometry.clearance.gjk import Scene
from geometry.clearance.laws import Pose
from geometry.clearance.support import Mask
from geometry.parts.solids import Array

if TYPE_CHECKING:
    from scipy.spatial import ConvexHull

EXPAND_STEPS = 150
_CUBE = [
    np.array(d) / np.linalg.norm(d)
    for d in product((-1.0, 0.0, 1.0), repeat=3)
    if np.count_nonzero(d) in (1, 3)
]
NARROWINGS = 24
FAN = 24
"""Directions tried in the axial plane before the best is refined."""


def expand(scene: Scene, seed: Array, accuracy: Array) -> tuple[Array, Array, Array]:
    """Shortest ways out of m overlapping pairs, with both sides of the proof.

    The polytope of support points of B - A grows towards its face nearest the origin (van den Bergen 2001). It
    lies inside B - A, so the depth is at least the distance of that face; along the face's normal the pieces
    come clear after their gap, so the depth is at most that.

    Parameters
    ----------
    seed : (3, m) unit directions to start from, besides the corners and axes of a cube
    accuracy : (m,) stop when both sides are this near, mm

    Returns
    -------
    upper : (m,) upper bound of the signed distance: less than nil
    gap : (m,) lower bound of the signed distance
    normal : (3, m) direction of ``gap``, from A to B
    """
    m = seed.shape[1]
    upper, gap, normal = np.zeros(m), scene.gap(seed), seed.copy()
    starts = [np.repeat(d[:, None], m, axis=1) for d in _CUBE] + [seed]
    corners = np.stack([np.subtract(*scene.support(n)[::-1]) for n in starts])
    hulls = [_grown(None, corners[:, :, k]) for k in range(m)]
    live = np.array([k for k in range(m) if hulls[k] is not None], dtype=np.intp)
    for _ in range(EXPAND_STEPS):
        if not live.size:
            break
        face = np.array([_nearest_face(hulls[k]) for k in live])
        n = -face[:, :3].T
        p, q = scene.take(live).support(n)
        w = q - p
        found = (n * w).sum(axis=0)
        upper[live] = face[:, 3]
        better = found > gap[live]
        gap[live[better]], normal[:, live[better]] = found[better], n[:, better]
        open_ = upper[live] - gap[live] > accuracy[live]
        for k, corner in zip(live[open_], w.T[open_], strict=True):
            hulls[k] = _grown(hulls[k], corner[None])
        live = np.array([k for k in live[open_] if hulls[k] is not None], dtype=np.intp)
    # a polytope that never came to hold the origin proves no depth
    return np.minimum(upper, 0.0), gap, normal


def _grown(hull: ConvexHull | None, points: Array) -> ConvexHull | None:
    """The hull with more points; None when all points lie in a plane, or too nearly so for the hull library.

    What was proved of a hull that cannot grow any further stays proved.
    """
    from scipy.spatial import ConvexHull, QhullError  # slow to import, and most engines overlap nowhere

    try:
        if hull is None:
            return ConvexHull(points, incremental=True)
        hull.add_points(points)
    except QhullError:
        return None
    return hull


def _nearest_face(hull: ConvexHull) -> Array:
    """Outward normal and offset (4,) of the face nearest to the origin; the offset is less than nil inside."""
    return np.asarray(hull.equations[hull.equations[:, 3].argmax()])


def wall_depth(
    scene: Scene, whole: Scene, wall_a: tuple[Mask, Mask], wall_b: tuple[Mask, Mask]
) -> tuple[Array, Array, Mask]:
    """Signed measure of thin sectors of hollow pieces, as defined above.

    Parameters
    ----------
    scene : the pairs, each hollow piece cut down to a thin sector
    whole : the same with the full extent of the pieces
    wall_a, wall_b : (hollow (m,) bool, outward (m,) bool) of either side

    Returns
    -------
    depth : (m,) signed, mm
    normal : (3, m) the direction that gives it, from A to B
    ends : (m,) whether it is square to an end face, measured on the whole piece
    """
    m = wall_a[0].size
    depth, normal = np.full(m, -np.inf), np.zeros((3, m))
    ends = np.zeros(m, dtype=bool)
    for sign, side, pose, full, (hollow, outward) in (
        (-1.0, scene.a, scene.pose_a, whole.a, wall_a),
        (1.0, scene.b, scene.pose_b, whole.b, wall_b),
    ):
        axis = np.cross(side.first, side.second, axis=0)
        first, along = (turn_out(pose, sign * vector) for vector in (side.first, axis))
        gap, n = _fan(scene, first, along, hollow, outward)
        better = gap > depth
        ends &= ~better
        depth, normal = np.where(better, gap, depth), np.where(better, n, normal)
        for edge in (-1.0, 1.0):
            # outward normal of an end face; a full ring has none
            square = edge * full.cos_half * full.second - full.sin_half * full.first
            n = -sign * turn_out(pose, square)
            gap = np.where(hollow & (full.cos_half > -1 + 1e-12), whole.gap(n), -np.inf)
            better = gap > depth
            depth, normal = np.where(better, gap, depth), np.where(better, n, normal)
            ends |= better
    return depth, normal, ends


def turn_out(pose: Pose, n: Array) -> Array:
    """Directions (3, m) of the bodies' frames in E."""
    return np.stack([n[0], pose.cos * n[1] - pose.sin * n[2], pose.sin * n[1] + pose.cos * n[2]])


def _fan(scene: Scene, first: Array, along: Array, hollow: Mask, outward: Mask) -> tuple[Array, Array]:
    """Best direction in the plane of ``first`` and ``along``; a wall may only be left inward or along."""

    def gap_at(angle: Array) -> tuple[Array, Array]:
        n = np.cos(angle) * first + np.sin(angle) * along
        barred = ~hollow | (outward & (np.cos(angle) < -1e-12))
        return np.where(barred, -np.inf, scene.gap(n)), n

    m = hollow.size
    best, normal, angle = np.full(m, -np.inf), np.zeros((3, m)), np.zeros(m)
    for trial in np.arange(FAN) * (2 * np.pi / FAN):
        gap, n = gap_at(np.full(m, trial))
        better = gap > best
        best, angle = np.where(better, gap, best), np.where(better, trial, angle)
        normal = np.where(better, n, normal)
    step = np.pi / FAN
    for _ in range(NARROWINGS):
        centre = angle
        for way in (-step, step):
            gap, n = gap_at(centre + way)
            better = gap > best
            best, angle = np.where(better, gap, best), np.where(better, centre + way, angle)
            normal = np.where(better, n, normal)
        step *= 0.5
    return best, normal
