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

import numpy as np

from geometry.clearance.gjk import Scene
from geometry.clearance.laws import Pose
from geometry.clearance.support import Mask
from geometry.parts.solids import Array

CLIMB_STEPS = 14
FIRST_STEP_RAD = 0.06
FAN = 24
"""Directions tried in the axial plane before the best is refined."""


def matrices(pose: Pose) -> Array:
    """The poses as (m, 4, 4)."""
    X = np.zeros((pose.cos.size, 4, 4))
    X[:, 0, 0] = X[:, 3, 3] = 1.0
    X[:, 1, 1] = X[:, 2, 2] = pose.cos
    X[:, 2, 1], X[:, 1, 2] = pose.sin, -pose.sin
    X[:, 0, 3], X[:, 1, 3], X[:, 2, 3] = pose.x, pose.y, pose.z
    return X


def climb(scene: Scene, normal: Array) -> tuple[Array, Array]:
    """Directions (3, m) of locally widest gap, by a pattern search on the sphere, and the gaps (m,)."""
    best = scene.gap(normal)
    step = np.full(best.size, FIRST_STEP_RAD)
    for _ in range(CLIMB_STEPS):
        helper = np.where(np.abs(normal[0]) < 0.7, 0, 1)
        e = np.zeros_like(normal)
        e[helper, np.arange(best.size)] = 1.0
        u = np.cross(normal, e, axis=0)
        u /= np.linalg.norm(u, axis=0)
        v = np.cross(normal, u, axis=0)
        moved = np.zeros(best.size, dtype=bool)
        centre = normal
        for way in (u, -u, v, -v):
            trial = centre + step * way
            trial /= np.linalg.norm(trial, axis=0)
            gap = scene.gap(trial)
            better = gap > best
            best = np.where(better, gap, best)
            normal = np.where(better, trial, normal)
            moved |= better
        step = np.where(moved, step, step / 2.5)
    return normal, best


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
    for _ in range(CLIMB_STEPS):
        centre = angle
        for way in (-step, step):
            gap, n = gap_at(centre + way)
            better = gap > best
            best, angle = np.where(better, gap, best), np.where(better, centre + way, angle)
            normal = np.where(better, n, normal)
        step *= 0.5
    return best, normal
