"""What is known of a hollow piece while its sectors are still wide: a floor for all their slices, and where to look.

The depth in a hollow piece is asked slice by slice (``penetration``), and a node may stand for a sector of a quarter
turn. Its hull says nothing: the hull of a wide sector fills the hollow. Two things speak for all its slices at once.

Floor
-----
Let u(phi) be the unit vector at angle phi about the axis of the hollow piece H. The way out of the slice at phi along
rho u(phi), rho = -1 inward or +1 outward, has the slab

    gap(phi) = -k - h(phi),     k = max_i rho r_i (the same for every slice),  h(phi) = support of the other piece B
                                                                              along -rho u(phi), from the axis of H

In a sector of half-angle w with edges at phi_1 and phi_2, u(phi) = a u(phi_1) + b u(phi_2) with a, b >= 0 and
1 <= a + b = cos(phi - middle) / cos w <= 1 / cos w =: c. A support function is convex and grows in step with its
argument, so h(phi) <= a h(phi_1) + b h(phi_2), and with g_i = gap(phi_i) = -k - h(phi_i)

    gap(phi) >= a g_1 + b g_2 + (a + b - 1) k  >=  min(g, c g) + (c - 1) min(k, 0),     g = min(g_1, g_2)

The way along the axis is the same for every slice. Each of these is one of the ways that count for each slice, beside
B at its full extent, so the longest of them is a lower bound of the signed distance of them all. Over an interval
of crank angle g_1 and g_2 are bounded like every gap along a fixed direction; the direction is one of the slice as
long as H does not turn. A wall that counts as solid however far out (``outward``) is not left outward.

Probes
------
Until one overlap of a pair is known, no bound can drop any of its nodes. A few narrow slices at one angle find one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from geometry.arrays import Array, Index
from geometry.collision.gjk import PiecePairs
from geometry.collision.nodes import MA, MB, WA, WB, H, Nodes, T, parabola_floor
from geometry.collision.piece_pairs import Items

WIDEST_RAD: Final = 1.0
"""Half-angle of the widest sectors with a floor: wider ones tell too little (c = 1.85 here)."""
PROBES: Final = 4
"""Slices that are tried at once in the sector of one node."""
NARROW: Final = 0.24
"""Share of the tolerance that the hull of a probe may exceed its slice by: less than what ``coarse`` asks."""
_WAYS: Final = ((-1.0, 0.0), (1.0, 0.0), (0.0, -1.0), (0.0, 1.0))
"""Shares (rho, sigma) of u(phi) and of the axis in the direction of each way: inward, outward, over either end."""


@dataclass(slots=True, eq=False)
class WideFloors:
    """Lower bounds of the signed distance of m nodes and what each loses.

    Attributes
    ----------
    floor : (m,) mm; minus infinity where nothing is known
    by_angle : (m,) how much of it the width of the interval costs, mm
    by_sector : (2, m) how much the width of the sector of A and of B costs, mm; infinite where not asked
    """

    floor: Array
    by_angle: Array
    by_sector: Array


def wide_floors(items: Items, nodes: Nodes, accel: Array) -> WideFloors:
    """Floors of nodes whose sectors are wide, over their whole intervals; ``accel`` (m,) as in ``Items.motion``."""
    m = nodes.a.size
    found = WideFloors(np.full(m, -np.inf), np.zeros(m), np.full((2, m), np.inf))
    table, f = items.table, nodes.f
    for side, (item, width) in enumerate(((nodes.a, WA), (nodes.b, WB))):
        index = np.nonzero((table.inner[item] > 0) & (f[width] <= WIDEST_RAD) & ~items.turns(item))[0]
        if index.size:
            _one_side(found, items, nodes.take(index), accel[index], side, index)
    return found


def _one_side(found: WideFloors, items: Items, nodes: Nodes, accel: Array, side: int, index: Index) -> None:
    """Floors by the ways out of the sector of one side, at ``index`` of ``found`` where they are higher."""
    edges = _Edges(items, nodes, side)
    middle = np.full(index.size, -np.inf)
    best = np.zeros((2, index.size))
    hoped = np.full(index.size, -np.inf)
    for way in _WAYS:
        shares = np.repeat(np.array(way)[:, None], index.size, axis=1)
        gaps = edges.gaps(shares, nodes.f[T])
        told = np.where((way[0] > 0.0) & edges.outward, -np.inf, edges.combined(shares, gaps))
        better = told > middle
        middle = np.where(better, told, middle)
        best = np.where(better, shares, best)
        # an edge may turn out to lie this high once the sector is cut
        hoped = np.where(np.isfinite(told), np.maximum(hoped, gaps.max(axis=0)), hoped)
    ends = [edges.gaps(best, nodes.f[T] + sign * nodes.f[H]) for sign in (-1.0, 1.0)]
    within = edges.gaps(best, nodes.f[T])
    quarter = nodes.f[H] / 2
    floors = np.minimum(
        parabola_floor(ends[0], within, quarter, accel), parabola_floor(within, ends[1], quarter, accel)
    )
    floor = edges.combined(best, floors)
    higher = np.nonzero(floor > found.floor[index])[0]
    at = index[higher]
    found.floor[at] = floor[higher]
    found.by_angle[at] = np.maximum(middle - floor, 0.0)[higher]
    found.by_sector[:, at] = np.inf
    found.by_sector[side, at] = np.maximum(hoped - middle, 0.0)[higher]


class _Edges:
    """The slices at both edges of the sectors of one side, and the other side at its full extent."""

    def __init__(self, items: Items, nodes: Nodes, side: int) -> None:
        table, f = items.table, nodes.f
        self._items, self._nodes, self._side = items, nodes, side
        self._own, self._other = (nodes.a, nodes.b) if side == 0 else (nodes.b, nodes.a)
        middle, half = (f[MA], f[WA]) if side == 0 else (f[MB], f[WB])
        self.outward = table.outward[self._own]
        self._stretch = 1.0 / np.cos(half)
        self._whole = table.gather(self._other, table.middle[self._other], table.half[self._other])
        self._slices = [table.gather(self._own, middle + s * half, np.zeros(half.size)) for s in (-1.0, 1.0)]
        turn = items.pose(self._own, f[T])
        self._radial = [turn.turned(s.first) for s in self._slices]
        self._axis = turn.turned(table.axis[:, self._own])
        count = self._slices[0].radius.shape[0]
        self._inner = table.radius[:count, self._own].min(axis=0)

    def gaps(self, shares: Array, theta: Array) -> Array:
        """Gaps (2, m) of the slices at either edge along a way (2, m) of shares of u and axis, at angles (m,)."""
        own, other = (self._items.pose(item, theta) for item in (self._own, self._other))
        found = []
        for piece, radial in zip(self._slices, self._radial, strict=True):
            n = shares[0] * radial + shares[1] * self._axis
            found.append(PiecePairs(piece, self._whole, own, other).gap(n))
        return np.stack(found)

    def combined(self, shares: Array, gaps: Array) -> Array:
        """The least gap of all slices between two edges with these gaps (2, m)."""
        least = gaps.min(axis=0)
        stretch = np.where(shares[0] != 0.0, self._stretch, 1.0)
        k = np.where(shares[0] < 0.0, -self._inner, 0.0)
        return np.asarray(np.minimum(least, stretch * least) + (stretch - 1.0) * k)


def probes(items: Items, nodes: Nodes, tolerance_mm: float) -> Nodes:
    """Narrow slices spread over the sectors of nodes, each at the middle angle alone."""
    table = items.table
    found = nodes.take(np.repeat(np.arange(nodes.a.size), PROBES))
    number = np.tile(np.arange(PROBES), nodes.a.size)
    found.f[H] = 0.0
    # both sides may be hollow: their slices are coupled crosswise
    for item, middle, width, order in (
        (found.a, MA, WA, number),
        (found.b, MB, WB, (number * 2 + 2) % (PROBES + 1)),
    ):
        inner, half = table.inner[item], found.f[width]
        narrow = np.arccos(np.maximum(1.0 - NARROW * tolerance_mm / np.maximum(inner, 1e-9), -1.0))
        cut = (inner > 0) & (narrow < half)
        spread = half * ((2 * order + 1) / PROBES - 1.0)
        found.f[middle] += np.where(cut, spread, 0.0)
        found.f[width] = np.where(cut, narrow, half)
    return found
