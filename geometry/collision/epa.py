"""Shortest ways out of many overlapping convex pairs at once: the expanding polytope algorithm (EPA).

The origin lies within B - A exactly if A and B overlap, and moving B by t moves the origin by -t: the depth is the
distance from the origin to the surface of B - A. The polytope of support points of B - A grows towards its face nearest
the origin (van den Bergen 2001): the support point w along that face's normal n is added, until the polytope's surface
and the true one are as near there as is asked. Both sides of the proof come with every step:

- the polytope is the hull of points of B - A and lies within it, so the depth is at least the distance ``offset`` of
  its nearest face: upper bound of the signed distance -offset;
- the plane square to n through w holds all of B - A on its inner side, so moving along n by n . w clears the pieces:
  lower bound of the signed distance -n . w, which is the gap of A and B along -n.

A first tetrahedron that does not hold the origin has a face at an ``offset`` below zero: its upper bound is cut off at
zero, and growing towards that face mends it. A library's hull per pair costs more than all the arithmetic, so
all polytopes grow in step, in arrays: a new corner takes away the faces that see it, and the edges that are left
with one face (an edge of a taken face whose reverse belongs to none of them) become new faces with it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from geometry.arrays import Array, Index, Mask
from geometry.collision.gjk import PiecePairs

EXPAND_STEPS = 150
FIRST_ROOM = 24
"""Corners that a polytope has room for at first; it doubles when that is full."""
SEEN_MM = 1e-9
"""A face sees a corner that stands farther out than this."""
FLAT_MM2 = 1e-12
_TETRAHEDRON = ((0, 1, 2), (0, 3, 1), (1, 3, 2), (0, 2, 3))

Corners: TypeAlias = Array


@dataclass(slots=True, eq=False)
class _Polytopes:
    """m polytopes: corners (m, k, 3), faces (m, f) of three corners, outward normal and offset each.

    ``offset`` is the distance of a face's plane from the origin, positive when the origin is on its inner side;
    infinite where no face stands.
    """

    corner: Corners
    count: Index
    face: Index
    normal: Array
    offset: Array

    def take(self, index: Index) -> _Polytopes:
        """The polytopes at an index."""
        return _Polytopes(
            self.corner[index], self.count[index], self.face[index], self.normal[index], self.offset[index]
        )

    def nearest(self) -> tuple[Array, Array]:
        """Normal (3, m) and offset (m,) of the face of each that is nearest to the origin."""
        row = np.arange(len(self.count))
        best = self.offset.argmin(axis=1)
        return self.normal[row, best].T, self.offset[row, best]

    def grow(self, point: Array) -> Mask:
        """Add one corner (m, 3) each; whether it was outside and could be added."""
        self._make_room()
        m, k = self.corner.shape[:2]
        stands = np.isfinite(self.offset)
        out = np.einsum("mfc,mc->mf", self.normal, point) - np.where(stands, self.offset, 0.0)
        seen = stands & (out > SEEN_MM)
        pair, slot = np.nonzero(seen)
        i = self.face[pair, slot][:, [0, 1, 2]].ravel()
        j = self.face[pair, slot][:, [1, 2, 0]].ravel()
        owner = np.repeat(pair, 3)
        # an edge i to j of a face that goes is on the rim of the hole unless its reverse, j to i, belongs to a face
        # that goes as well: all reverses are marked in one table, a row of k x k marks for each polytope
        edge = np.zeros(m * k * k, dtype=bool)
        edge[(owner * k + j) * k + i] = True
        rim = ~edge[(owner * k + i) * k + j]
        owner, i, j = owner[rim], i[rim], j[rim]
        self.offset[seen] = np.inf
        self.corner[np.arange(m), self.count] = point
        self._cover(owner, np.column_stack([i, j, self.count[owner]]))
        self.count += 1
        return np.asarray(seen.any(axis=1))

    def _cover(self, owner: Index, corners: Index) -> None:
        """Set new faces (n, 3) of the polytopes ``owner`` (n,), which rises, into free slots."""
        need = np.bincount(owner, minlength=len(self.count))
        pair, slot = np.nonzero(~np.isfinite(self.offset))
        first = np.searchsorted(pair, np.arange(len(self.count)))
        slot = slot[np.arange(pair.size) - first[pair] < need[pair]]
        a, b, c = (self.corner[owner, corners[:, side]] for side in range(3))
        normal = np.cross(b - a, c - a)
        size = np.sqrt((normal * normal).sum(axis=1))
        normal /= np.maximum(size, 1e-300)[:, None]
        self.face[owner, slot], self.normal[owner, slot] = corners, normal
        # a face without area says nothing of its own: its neighbours hold the bound
        self.offset[owner, slot] = np.where(size > FLAT_MM2, (normal * a).sum(axis=1), np.finfo(float).max)

    def _make_room(self) -> None:
        m, k = self.corner.shape[:2]
        if self.count.size and self.count.max() + 1 >= k:
            self.corner = np.concatenate([self.corner, np.zeros((m, k, 3))], axis=1)
            more = self.face.shape[1]
            self.face = np.concatenate([self.face, np.zeros((m, more, 3), dtype=np.intp)], axis=1)
            self.normal = np.concatenate([self.normal, np.zeros((m, more, 3))], axis=1)
            self.offset = np.concatenate([self.offset, np.full((m, more), np.inf)], axis=1)


def expand(
    scene: PiecePairs,
    seed: Array,
    accuracy: Array,
    deep: Array | float = -np.inf,
    plenty: Array | float = np.inf,
) -> tuple[Array, Array, Array]:
    """Shortest ways out of m overlapping pairs, with both sides of the proof.

    Parameters
    ----------
    seed : (3, m) unit directions to start from
    accuracy : (m,) stop when both sides are this near, mm
    deep : (m,) stop when the signed distance is known to be at most this, mm
    plenty : (m,) stop when the signed distance is known to be at least this, mm

    Returns
    -------
    upper : (m,) upper bound of the signed distance: zero or less
    gap : (m,) lower bound of the signed distance
    normal : (3, m) direction of ``gap``, from A to B
    """
    m = seed.shape[1]
    upper, gap, normal = np.zeros(m), scene.gap(seed), seed.copy()
    deep, plenty = np.broadcast_to(deep, (m,)), np.broadcast_to(plenty, (m,))
    shape, solid = _tetrahedra(scene, seed)
    live = np.nonzero(solid)[0]
    shape, scene = shape.take(live), scene.take(live)
    for _ in range(EXPAND_STEPS):
        if not live.size:
            break
        n, offset = shape.nearest()
        p, q = scene.support(-n)
        w = q - p
        found = -(n * w).sum(axis=0)
        upper[live] = np.minimum(-offset, 0.0)
        better = found > gap[live]
        gap[live[better]], normal[:, live[better]] = found[better], -n[:, better]
        open_ = (upper[live] - gap[live] > accuracy[live]) & (upper[live] > deep[live])
        open_ &= gap[live] < plenty[live]
        keep = np.nonzero(open_)[0]
        if not keep.size:
            break
        if keep.size < live.size:
            live, shape, scene, w = live[keep], shape.take(keep), scene.take(keep), w[:, keep]
        grown = np.nonzero(shape.grow(w.T))[0]
        if grown.size < live.size:
            live, shape, scene = live[grown], shape.take(grown), scene.take(grown)
    return upper, gap, normal


def _corner(scene: PiecePairs, n: Array) -> Array:
    """Point (m, 3) of B - A farthest along n (3, m)."""
    p, q = scene.support(-n)
    return np.asarray((q - p).T)


def _farther(scene: PiecePairs, n: Array, origin: Array) -> tuple[Array, Array]:
    """Of the two points of B - A farthest along n and against it, the one farther from ``origin``, and how far."""
    ways = np.stack([_corner(scene, n), _corner(scene, -n)])
    out = np.abs(((ways - origin) * n.T).sum(axis=2))
    best = out.argmax(axis=0)
    column = np.arange(n.shape[1])
    return ways[best, column], out[best, column]


def _tetrahedra(scene: PiecePairs, seed: Array) -> tuple[_Polytopes, Mask]:
    """First polytopes of four corners, and which of them have a volume."""
    # two corners along the seed, the third as far from their line as two tries square to it reach, the fourth as far
    # from the plane of the three; all may fail to hold the origin, and none lies outside B - A
    m = seed.shape[1]
    a, b = _corner(scene, seed), _corner(scene, -seed)
    line = b - a
    line /= np.maximum(np.sqrt((line * line).sum(axis=1)), 1e-300)[:, None]
    helper = np.eye(3)[np.abs(line).argmin(axis=1)]
    side = np.cross(line, helper)
    side /= np.maximum(np.sqrt((side * side).sum(axis=1)), 1e-300)[:, None]
    c, wide = _farther(scene, side.T, a)
    other, wider = _farther(scene, np.cross(line, side).T, a)
    c = np.where((wider > wide)[:, None], other, c)
    up = np.cross(b - a, c - a)
    size = np.sqrt((up * up).sum(axis=1))
    up /= np.maximum(size, 1e-300)[:, None]
    d, high = _farther(scene, up.T, a)
    solid = (size > 1e-9) & (high > 1e-9)
    above = ((d - a) * up).sum(axis=1) > 0
    b, c = np.where(above[:, None], c, b), np.where(above[:, None], b, c)
    corner = np.zeros((m, FIRST_ROOM, 3))
    corner[:, :4] = np.stack([a, b, c, d], axis=1)
    faces = 2 * FIRST_ROOM
    shape = _Polytopes(
        corner,
        np.full(m, 4),
        np.zeros((m, faces, 3), dtype=np.intp),
        np.zeros((m, faces, 3)),
        np.full((m, faces), np.inf),
    )
    shape._cover(np.repeat(np.arange(m), 4), np.tile(np.array(_TETRAHEDRON), (m, 1)))
    return shape, solid
