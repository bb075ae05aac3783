"""The place of each minimum made sharp: a bracketed secant search on the slope of the distance.

The bounds hold without it; it lowers the upper bound to the bottom of its valley and gives the angle to a few
thousandths of a degree. The slope of the distance with respect to crank angle is the slope of the gap along the
present normal, since the normal is the one of widest gap.
"""

from __future__ import annotations

import numpy as np

from geometry.arrays import Array
from geometry.collision import gjk
from geometry.collision.nodes import NX, Best, Count, H, Nodes, T
from geometry.collision.piece_pairs import Items

STEPS = 4
ACCURACY_MM = 1e-7
_PROBE_RAD = 1e-5


def polish(items: Items, best: Best, count: Count) -> None:
    """Improve every pair that stands clear, in place."""
    index = np.nonzero(np.isfinite(best.upper) & (best.upper > 0))[0]
    if not index.size:
        return
    nodes = Nodes(index, best.item_a[index], best.item_b[index], best.node[:, index])
    middle, reach = nodes.f[T].copy(), nodes.f[H].copy()
    slope = _try(items, nodes, best, count)
    way = -np.sign(slope)
    nodes.f[T] = middle + way * reach
    other = _try(items, nodes, best, count)
    low, high, s_low, s_high = middle, nodes.f[T].copy(), slope, other
    for _ in range(STEPS):
        rise = s_high - s_low
        share = np.where(np.abs(rise) > 1e-12, -s_low / np.where(rise == 0, 1.0, rise), 0.5)
        nodes.f[T] = low + np.clip(share, 0.02, 0.98) * (high - low)
        s = _try(items, nodes, best, count)
        same = np.sign(s) == np.sign(slope)
        low, s_low = np.where(same, nodes.f[T], low), np.where(same, s, s_low)
        high, s_high = np.where(same, high, nodes.f[T]), np.where(same, s_high, s)


def _try(items: Items, nodes: Nodes, best: Best, count: Count) -> Array:
    """Distance at the middle angles; keeps improvements in ``best`` and returns the slopes, mm per rad."""
    f = nodes.f
    scene = items.scene(nodes, f[T])
    accuracy = np.full(nodes.a.size, ACCURACY_MM)
    found = gjk.nearest(scene, f[NX:], accuracy, np.full(nodes.a.size, np.inf))
    count.supports += int(found.steps.sum())
    count.nodes += nodes.a.size
    f[NX:] = found.normal
    upper = found.distance + items.shortfall(nodes, scene, found).sum(axis=0)
    better = np.nonzero((upper < best.upper[nodes.pair]) & ~found.overlap)[0]
    best.keep(nodes, better, upper, found.at_a, found.at_b)
    sides = []
    for sign in (-1.0, 1.0):
        theta = f[T] + sign * _PROBE_RAD
        there = gjk.PiecePairs(scene.a, scene.b, items.pose(nodes.a, theta), items.pose(nodes.b, theta))
        sides.append(there.gap(f[NX:]))
    return np.asarray((sides[1] - sides[0]) / (2 * _PROBE_RAD))
