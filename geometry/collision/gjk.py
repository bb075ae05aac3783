"""Distance between many pairs of convex pieces at once, with a proof for each.

The iteration is the one of Gilbert, Johnson and Keerthi (1988): the nearest point of the Minkowski difference
B - A to the origin is approached through small simplices of support points. Here a whole batch steps together
in numpy. Each result carries both sides of the proof: the length of a vector between two witness points that do
lie in the pieces (never below the distance), and the gap between two parallel planes that separate them (never
above it). A library's accuracy plays no part in either.

Why the gap is a lower bound: for any unit direction n, n . (q - p) >= min over B of n . q - max over A of n . p for
all points p of A and q of B, and |q - p| >= n . (q - p). With v the nearest point of the simplex, n = v / |v| and w
the support point of B - A against n, the gap is n . w. If v is the nearest point of B - A itself, every point of B - A
lies beyond the plane square to v through it, so n . w = |v| and both sides meet; until then |v| - n . w is how much is
open. So a wrong turn of the iteration can cost time or leave the sides apart, but never make either of them false.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.arrays import Array, Index, Mask, Pick
from geometry.collision.support import Gathered
from geometry.kinematics.laws import Pose

MAX_STEPS = 60
TOUCHING_MM = 1e-7
_GAP, _DISTANCE, _NORMAL, _POINTS = 0, 1, slice(2, 5), slice(5, 11)
"""Rows of what is known of each pair while the batch steps."""
_FACES = np.array([[0, 0, 1], [1, 2, 2]])
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
    start : (3, m) first directions from A to B, any length but zero
    accuracy : (m,) stop when distance - gap is at most this, mm
    enough : (m,) stop when the gap is at least this: the pair is known to be far, mm
    """
    m = start.shape[1]
    normal = start / np.linalg.norm(start, axis=0)
    work = _Stacked.of(scene)
    corner = work.corner(normal)
    state = np.concatenate(
        [[_dot(normal, corner[:3]), np.linalg.norm(corner[:3], axis=0)], normal, corner[3:]]
    )
    out, steps, overlap = state.copy(), np.ones(m, dtype=np.intp), np.zeros(m, dtype=bool)
    live = np.nonzero((state[_DISTANCE] - state[_GAP] > accuracy) & (state[_GAP] < enough))[0]
    work, state, accuracy, enough = work.take(live), state[:, live], accuracy[live], enough[live]
    simplex = np.repeat(corner[None, :, live], 3, axis=0)
    v = corner[:3, live]
    for step in range(2, MAX_STEPS + 2):
        if not live.size:
            break
        length = np.sqrt(_dot(v, v))
        n = v / np.maximum(length, 1e-300)
        corner = work.corner(n)
        # the gap may fall from step to step; the widest one seen holds
        gap = _dot(n, corner[:3])
        better = gap > state[_GAP]
        np.copyto(state[_GAP], gap, where=better)
        np.copyto(state[_NORMAL], n, where=better)
        simplex, nearest_point, inside = _reduce(np.concatenate([corner[None], simplex]))
        v = nearest_point[:3]
        new_length = np.sqrt(_dot(v, v))
        touching = inside | (new_length < TOUCHING_MM)
        # rounding may lengthen v by a last digit: the shortest vector seen holds, and where it no longer gets shorter
        # the new corner brought nothing and the two sides are as near as numbers of this length let them come
        closer = new_length < state[_DISTANCE]
        np.copyto(state[_DISTANCE], new_length, where=closer)
        np.copyto(state[_POINTS], nearest_point[3:], where=closer)
        state[_DISTANCE, touching] = 0.0
        done = touching | (new_length >= length * (1.0 - 1e-13))
        done |= (state[_DISTANCE] - state[_GAP] <= accuracy) | (state[_GAP] >= enough)
        if done.any() or step > MAX_STEPS:
            out[:, live], steps[live], overlap[live] = state, step, touching
            keep = np.nonzero(~done)[0]
            live, v, simplex, work = live[keep], v[:, keep], simplex[:, :, keep], work.take(keep)
            state, accuracy, enough = state[:, keep], accuracy[keep], enough[keep]
    return Nearest(
        out[_GAP], out[_DISTANCE], out[_NORMAL], out[_POINTS][:3], out[_POINTS][3:], overlap, steps
    )


@dataclass(slots=True, eq=False)
class _Stacked:
    """Both sides of m pairs as one batch of 2 m pieces, A before B: half as many calls, and calls are what costs."""

    pieces: Gathered
    pose: Pose

    @staticmethod
    def of(scene: PiecePairs) -> _Stacked:
        """The pairs of a scene."""
        a, b = scene.pose_a, scene.pose_b
        pose = (
            np.concatenate(side)
            for side in ((a.cos, b.cos), (a.sin, b.sin), (a.x, b.x), (a.y, b.y), (a.z, b.z))
        )
        return _Stacked(scene.a.with_(scene.b), Pose(*pose))

    def corner(self, n: Array) -> Array:
        """Support point of B - A against n (3, m), with the two points it comes from: (9, m)."""
        _, point = self.pieces.point(self.pose.into(np.concatenate([n, -n], axis=1)))
        point = self.pose.out(point)
        p, q = point[:, : n.shape[1]], point[:, n.shape[1] :]
        return np.concatenate([q - p, p, q])

    def take(self, index: Index) -> _Stacked:
        """The pairs at an index."""
        both = np.concatenate([index, index + self.pose.x.size // 2])
        return _Stacked(self.pieces.take(both), self.pose.take(both))


def _dot(a: Array, b: Array) -> Array:
    """Dot products (m,) of vectors (3, m); the bare reduction, which costs half of ``sum``."""
    return np.asarray(np.add.reduce(a * b, axis=0))


def _reduce(pool: Array) -> tuple[Array, Array, Mask]:
    """Nearest point to the origin of the hull of four corners, among the faces that hold the newest one.

    No other face needs a look: no point of the old simplex is nearer than v, its nearest, while the newest corner w
    lies this side of the plane square to v through it (n . w < |v|, or the two sides had met), so that a step from v
    towards w comes nearer. Of six candidates, three segments and three triangles, the one whose squared distance is
    least is taken; a triangle counts only where its foot lies inside, since its edges through w are candidates of
    their own.

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
    along = -np.add.reduce(edge * w, axis=1)
    square = np.add.reduce(edge * edge, axis=1)
    ww = _dot(w, w)
    cost, first, second = np.empty((6, m)), np.zeros((6, m)), np.zeros((6, m))
    # on each of the three segments from the newest corner: the foot of the perpendicular, kept on it
    first[:3] = np.minimum(np.maximum(along / np.maximum(square, 1e-300), 0.0), 1.0)
    cost[:3] = ww - 2.0 * first[:3] * along + first[:3] ** 2 * square
    # on each of the three triangles that hold it: the foot in their plane by Cramer's rule, where it lies inside
    (ai, aj), (si, sj) = along[_FACES], square[_FACES]
    cross = np.add.reduce(edge[_FACES[0]] * edge[_FACES[1]], axis=1)
    det = si * sj - cross**2
    good = det > 1e-14 * si * sj
    scale = 1.0 / np.where(good, det, 1.0)
    s, t = (ai * sj - aj * cross) * scale, (aj * si - ai * cross) * scale
    good &= (s > 0.0) & (t > 0.0) & (s + t < 1.0)
    first[3:], second[3:] = s, t
    cost[3:] = np.where(good, ww - s * ai - t * aj, np.inf)
    best, column = cost.argmin(axis=0), np.arange(m)
    s, t = first[best, column], second[best, column]
    rows = np.arange(9)[:, None]
    simplex = np.stack([pool[0], pool[_ONE[best], rows, column], pool[_TWO[best], rows, column]])
    point = (1.0 - s - t) * simplex[0] + s * simplex[1] + t * simplex[2]
    return simplex, point, _encloses(edge, square, w)


def _encloses(edge: Array, square: Array, w: Array) -> Mask:
    """Whether the origin lies in the tetrahedron with corner w and edges (3, 3, m), of lengths squared, from it.

    The origin is w plus shares of the three edges, each by Cramer's rule the volume of the tetrahedron that has
    -w in the edge's place; it lies inside when no share is below zero and their sum is not above one.
    """
    a, b = edge[[1, 2, 0]], edge[[2, 0, 1]]
    cross = np.empty_like(edge)
    cross[:, 0] = a[:, 1] * b[:, 2] - a[:, 2] * b[:, 1]
    cross[:, 1] = a[:, 2] * b[:, 0] - a[:, 0] * b[:, 2]
    cross[:, 2] = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    volume = _dot(edge[0], cross[0])
    good = np.abs(volume) > 1e-12 * np.multiply.reduce(np.sqrt(square), axis=0)
    share = -np.add.reduce(w * cross, axis=1) / np.where(good, volume, 1.0)
    good &= (share >= 0).all(axis=0)
    return np.asarray(good & (np.add.reduce(share, axis=0) <= 1.0))
