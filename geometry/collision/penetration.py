"""Depth of interference: how far one piece must be moved to be clear of another.

One meaning everywhere
----------------------
*Depth* is the length of the shortest translation that separates two pieces, in whatever direction. It grows
from zero as they meet: the signed distance is continuous through contact. For features of several pieces it is
the largest depth over the pairs of pieces.

A solid convex piece leaves another by the shortest way out of B - A, found by EPA (``epa.expand``). A hollow turned
piece (bore wall, skirt, ring) is not convex, so it is asked slice by slice, and a narrow slice must not be left
sideways, through what is really the next slice. For each slice the shortest of these ways counts:

- out of the slice in the plane through the axis: inward, outward or along the axis, whatever mixture;
- out over an end face, clear of everything between the slice and that end;
- out of the hull of the whole piece, in any direction.

The largest over all slices is the depth. The first way is the one from within, so the depth in a bore wall is
the radial one; a wall marked ``outward`` counts as solid however far out for the first way. The second is
that of an edge where the piece ends (a skirt's panel, the side of a notch), the third that of what meets the
outside of a barrel. At first contact one of the three has the normal of the contact, which is why no depth
jumps: the contact normal lies in the plane of its slice unless it lies on an end face or on the outside.

Ways are barred by drawing the slice out along a ray (``Gathered.rays``): no short way leads along it, because the
support in every direction with a share along the ray grows by that share of ``BARRED_MM``.

Why the way out is certified
----------------------------
For one way, let S be the slice as drawn out, convex like the slice, and B the other piece. Both sides of its
length are proved:

- for any unit direction n, moving B along n by the overlap -gap_n of the two along n clears S: the way is no
  longer than that, so the signed distance is at least gap_n (the lower bound);
- EPA's polytope lies within B - S, so no translation shorter than the distance from the origin to its nearest face
  clears S: the signed distance is at most minus that (the upper bound).

The way that counts is the shortest of the three, so the signed distance of the slice is the largest of theirs: the
largest of the lower bounds bounds it from below, the largest of the upper bounds from above (``_keep``). What is
given up early (``known``, ``plenty``) keeps its lower bound, which can only be too small.

Over an interval of crank angle the direction of the lower bound is held fixed, and gap_n has the bound of every gap
along a fixed direction (``branch_and_bound``). It stays a direction of the same way as long as the hollow piece
does not turn, which walls, skirts and rings do not. A node's slice is narrow enough when its hull exceeds it by
less than a quarter of the tolerance (``Items.coarse``); while sectors are wider, ``wide_sectors`` speaks for them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from geometry.arrays import Array, Index, Mask
from geometry.collision import gjk
from geometry.collision.epa import expand
from geometry.collision.nodes import MA, MB, NX, WA, WB, Nodes, T
from geometry.collision.piece_pairs import Items
from geometry.collision.support import Gathered

BARRED_MM = 3000.0
"""How far a slice is drawn out where no way may lead: far beyond every engine."""
ROUND = 1e-9


@dataclass(slots=True, eq=False)
class Depth:
    """Signed measure of m nodes with a hollow side.

    Attributes
    ----------
    upper, gap : (m,) both sides of the proof of the signed measure, mm
    normal : (3, m) the direction that gives ``gap``, from A to B
    middle, half : (2, m) the sectors of A and of B that ``gap`` was measured on, rad
    """

    upper: Array
    gap: Array
    normal: Array
    middle: Array
    half: Array


@dataclass(frozen=True, slots=True, eq=False)
class _Way:
    """One way out of one side: the sector that is left, how it is drawn out, and where the way exists at all."""

    middle: Array
    half: Array
    pieces: Gathered
    exists: Mask


def hollow_depth(items: Items, nodes: Nodes, accuracy: Array, plenty: Array, deep: float = -np.inf) -> Depth:
    """The signed measure defined above, at the middle angle of nodes whose sectors are narrow.

    Parameters
    ----------
    accuracy : (m,) how near both sides of the proof must come, mm
    plenty : (m,) stop when the measure is at least this, mm; no upper bound is told then
    deep : leave a way at that when its measure is known to be at most this, mm
    """
    f, m = nodes.f, nodes.a.size
    pose_a, pose_b = items.pose(nodes.a, f[T]), items.pose(nodes.b, f[T])
    found = Depth(
        np.full(m, -np.inf), np.full(m, -np.inf), f[NX:].copy(), f[[MA, MB]].copy(), f[[WA, WB]].copy()
    )
    ways_b = list(_ways(items, nodes.b, f[MB], f[WB]))
    for way_a in _ways(items, nodes.a, f[MA], f[WA]):
        for way_b in ways_b:
            index = np.nonzero(way_a.exists & way_b.exists & (found.gap < plenty))[0]
            if index.size:
                scene = gjk.PiecePairs(way_a.pieces, way_b.pieces, pose_a, pose_b).take(index)
                limits = (accuracy[index], np.maximum(found.gap[index], deep), plenty[index])
                _keep(found, index, _signed(scene, f[NX:, index], *limits), way_a, way_b)
    found.upper[found.gap >= plenty] = np.inf
    return found


def _keep(found: Depth, index: Index, signed: tuple[Array, Array, Array], way_a: _Way, way_b: _Way) -> None:
    """Take the longer signed distance of what was found before and now: the shorter way out."""
    upper, gap, normal = signed
    found.upper[index] = np.maximum(found.upper[index], upper)
    better = gap > found.gap[index]
    at = index[better]
    found.gap[at], found.normal[:, at] = gap[better], normal[:, better]
    for side, way in enumerate((way_a, way_b)):
        found.middle[side, at], found.half[side, at] = way.middle[at], way.half[at]


def _signed(
    scene: gjk.PiecePairs, seed: Array, accuracy: Array, known: Array, plenty: Array
) -> tuple[Array, Array, Array]:
    """Both sides of the signed distance and its direction; given up below ``known`` and from ``plenty`` on."""
    near = gjk.nearest(scene, seed, accuracy, plenty)
    upper, gap, normal = near.distance, near.gap, near.normal
    index = np.nonzero(near.overlap)[0]
    if index.size:
        inner = scene.take(index)
        upper[index], gap[index], normal[:, index] = expand(
            inner, normal[:, index], accuracy[index], known[index], plenty[index]
        )
    return upper, gap, normal


def _ways(items: Items, item: Index, middle: Array, half: Array) -> Iterator[_Way]:
    """The ways out of one side of the nodes, in its own frame; a solid side has the one."""
    table = items.table
    hollow, outward = table.inner[item] > 0, table.outward[item]
    whole_middle, whole_half = table.middle[item], table.half[item]
    whole = table.gather(item, whole_middle, whole_half)
    # what is nearer by leaving the whole is rare, and asked last: only whether it is nearer than the others
    if hollow.any():
        # barred both ways square to the slice's plane, so every way left lies in that plane; a wall that counts as
        # solid to the outside is barred outward too
        slices = table.gather(item, middle, half)
        sideways = BARRED_MM * slices.second
        out = BARRED_MM * np.where(outward, slices.first, 0.0)
        rays = np.stack([sideways, -sideways, out])
        yield _Way(middle, half, replace(slices, rays=rays), hollow)
        yield from _over_the_ends(items, item, middle, half, hollow & (whole_half < np.pi - ROUND))
    yield _Way(whole_middle, whole_half, whole, np.ones(item.size, dtype=bool))


def _over_the_ends(items: Items, item: Index, middle: Array, half: Array, open_: Mask) -> Iterator[_Way]:
    """The ways over either end of pieces that do not go all round."""
    if not open_.any():
        return
    table = items.table
    for end in (-1.0, 1.0):
        # All that stands between the slice and one end of the piece must be cleared with it: one sector from the
        # slice's far edge to that end, drawn out the other way, where the piece goes on. ``inward`` is the unit tangent
        # at that edge, pointing from the end into the piece.
        edge, cut = table.middle[item] + end * table.half[item], middle - end * half
        to_end = table.gather(item, (edge + cut) / 2, np.abs(edge - cut) / 2)
        inward = -end * (np.cos(cut) * table.second[:, item] - np.sin(cut) * table.first[:, item])
        rays = BARRED_MM * inward[None]
        yield _Way((edge + cut) / 2, np.abs(edge - cut) / 2, replace(to_end, rays=rays), open_)
