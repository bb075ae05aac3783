"""Distance between many pairs of convex pieces at once, with a proof for each.

The iteration is the one of Gilbert, Johnson and Keerthi (1988): the nearest point of the Minkowski difference
B - A to the origin is approached through small simplices of support points. Here a whole batch steps together
in numpy. Each result carries both sides of the proof: the length of a vector between two points that do lie
in the pieces (never below the distance), and the gap between two parallel planes that separate them (never
above it). A library's accuracy plays no part in either.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.arrays import Array, Index, Mask, Pick
from geometry.collision.support import Gathered
from geometry.kinematics.laws import Pose

MAX_STEPS = 60
TOUCHING_MM = 1e-7
_FACES = ((0, 1), (0, 2), (1, 2))
"""The two old corners of each triangle that holds the newest."""
_ONE, _TWO = np.array([1, 2, 3, 1, 1, 2]), np.array([0, 0, 0, 2, 3, 3])
"""Old corners of the candidate faces: three segments, then three triangles."""


@dataclass(slots=True, eq=False)
class PiecePairs:
    """m pairs of convex pieces, each pair at its own poses."""

    a: Gathered
    b: Gathered
    pose_a: Pose
    pose_b: Pose

    def gap(self, n: Array) -> Array:
        """Width (m,) of the slab square to unit directions n (3, m), from A to B, that lies between the pieces.

        Never more than the signed distance; its largest value over all n is the signed distance.
        """
        shift = self.pose_b.shift(n) - self.pose_a.shift(n)
        return shift - self.a.height(self.pose_a.into(n)) - self.b.height(-self.pose_b.into(n))

    def support(self, n: Array) -> tuple[Array, Array]:
        """Points of A farthest along n and of B farthest against it, both in E, (3, m)."""
        _, p = self.a.point(self.pose_a.into(n))
        _, q = self.b.point(-self.pose_b.into(n))
        return self.pose_a.out(p), self.pose_b.out(q)

    def take(self, index: Pick) -> PiecePairs:
        """The pairs at an index or mask."""
        return PiecePairs(
            self.a.take(index), self.b.take(index), self.pose_a.take(index), self.pose_b.take(index)
        )


@dataclass(slots=True, eq=False)
class Nearest:
    """What the iteration found for m pairs.

    Attributes
    ----------
    gap : (m,) largest separating slab found, mm; a lower bound of the signed distance
    distance : (m,) distance of ``at_a`` and ``at_b``, an upper bound; 0 when the pieces overlap
    normal : (3, m) unit direction of ``gap``, from A to B
    at_a, at_b : (3, m) points of the pieces, mm, in E
    overlap : (m,) whether the pieces share a point
    steps : (m,) support evaluations spent
    """

    gap: Array
    distance: Array
    normal: Array
    at_a: Array
    at_b: Array
    overlap: Mask
    steps: Index


def nearest(scene: PiecePairs, start: Array, accuracy: Array, enough: Array) -> Nearest:
    """Nearest points of m pairs.

    Parameters
    ----------
    start : (3, m) first directions from A to B, any length but nil
    accuracy : (m,) stop when distance - gap is at most this, mm
    enough : (m,) stop when the gap is at least this: the pair is known to be far, mm
    """
    m = start.shape[1]
    normal = start / np.linalg.norm(start, axis=0)
    corner = _corner(scene, normal)
    out = Nearest(
        (normal * corner[:3]).sum(axis=0),
        np.linalg.norm(corner[:3], axis=0),
        normal.copy(),
        corner[3:6].copy(),
        corner[6:].copy(),
        np.zeros(m, dtype=bool),
        np.ones(m, dtype=np.intp),
    )
    live = np.nonzero((out.distance - out.gap > accuracy) & (out.gap < enough))[0]
    scene = scene.take(live)
    simplex = np.repeat(corner[None, :, live], 3, axis=0)
    v = corner[:3, live]
    for _ in range(MAX_STEPS):
        if not live.size:
            break
        length = np.sqrt((v * v).sum(axis=0))
        n = v / np.maximum(length, 1e-300)
        corner = _corner(scene, n)
        gap = (n * corner[:3]).sum(axis=0)
        better = gap > out.gap[live]
        out.gap[live[better]] = gap[better]
        out.normal[:, live[better]] = n[:, better]
        out.steps[live] += 1
        simplex, nearest_point, inside = _reduce(np.concatenate([corner[None], simplex]))
        v = nearest_point[:3]
        new_length = np.sqrt((v * v).sum(axis=0))
        touching = inside | (new_length < TOUCHING_MM)
        closer = new_length < out.distance[live]
        target = live[closer]
        out.distance[target] = new_length[closer]
        out.at_a[:, target] = nearest_point[3:6, closer]
        out.at_b[:, target] = nearest_point[6:, closer]
        out.overlap[live[touching]] = True
        out.distance[live[touching]] = 0.0
        done = touching | (new_length >= length * (1.0 - 1e-13))
        done |= (out.distance[live] - out.gap[live] <= accuracy[live]) | (out.gap[live] >= enough[live])
        if done.any():
            keep = np.nonzero(~done)[0]
            live, v, simplex, scene = live[keep], v[:, keep], simplex[:, :, keep], scene.take(keep)
    return out


def _corner(scene: PiecePairs, n: Array) -> Array:
    """Support point of B - A against n, with the two points it comes from: (9, m)."""
    p, q = scene.support(n)
    return np.concatenate([q - p, p, q])


def _reduce(pool: Array) -> tuple[Array, Array, Mask]:
    """Nearest point to the origin of the hull of four corners, among the faces that hold the newest one.

    Parameters
    ----------
    pool : (4, 9, m) corners, newest first; each is (difference, point of A, point of B)

    Returns
    -------
    simplex : (3, 9, m) the corners of the face, repeated where it has fewer
    nearest : (9, m) the nearest point with its two pre-images
    inside : (m,) whether the origin lies in the tetrahedron
    """
    m = pool.shape[2]
    w = pool[0, :3]
    edge = pool[1:, :3] - w
    along = -(edge * w).sum(axis=1)
    square = (edge * edge).sum(axis=1)
    ww = (w * w).sum(axis=0)
    cost, first, second = np.full((6, m), np.inf), np.zeros((6, m)), np.zeros((6, m))
    first[:3] = np.clip(along / np.maximum(square, 1e-300), 0.0, 1.0)
    cost[:3] = ww - 2.0 * first[:3] * along + first[:3] ** 2 * square
    cross = [(edge[i] * edge[j]).sum(axis=0) for i, j in _FACES]
    for k, (i, j) in enumerate(_FACES):
        det = square[i] * square[j] - cross[k] ** 2
        good = det > 1e-14 * square[i] * square[j]
        scale = 1.0 / np.where(good, det, 1.0)
        s = (along[i] * square[j] - along[j] * cross[k]) * scale
        t = (along[j] * square[i] - along[i] * cross[k]) * scale
        good &= (s > 0.0) & (t > 0.0) & (s + t < 1.0)
        first[3 + k], second[3 + k] = s, t
        cost[3 + k] = np.where(good, ww - s * along[i] - t * along[j], np.inf)
    best, column = cost.argmin(axis=0), np.arange(m)
    s, t = first[best, column], second[best, column]
    rows = np.arange(9)[:, None]
    simplex = np.stack([pool[0], pool[_ONE[best], rows, column], pool[_TWO[best], rows, column]])
    point = (1.0 - s - t) * simplex[0] + s * simplex[1] + t * simplex[2]
    return simplex, point, _encloses(edge, w)


def _encloses(edge: Array, w: Array) -> Mask:
    """Whether the origin lies in the tetrahedron with corner w and edges (3, 3, m) from it."""
    c = [_cross(edge[1], edge[2]), _cross(edge[2], edge[0]), _cross(edge[0], edge[1])]
    volume = (edge[0] * c[0]).sum(axis=0)
    size = np.sqrt((edge * edge).sum(axis=1)).prod(axis=0)
    good = np.abs(volume) > 1e-12 * size
    share = [-(w * k).sum(axis=0) / np.where(good, volume, 1.0) for k in c]
    return np.asarray(good & (share[0] >= 0) & (share[1] >= 0) & (share[2] >= 0) & (sum(share) <= 1.0))


def _cross(a: Array, b: Array) -> Array:
    return np.stack([a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]])
