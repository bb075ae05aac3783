"""The pieces of all features in one table, placed, bounded and measured in batches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Array, Index, Mask
from geometry.collision import gjk
from geometry.collision.mover import Mover
from geometry.collision.nodes import LB, MA, MB, NX, ROWS, WA, WB, H, Nodes, T
from geometry.collision.support import Circles, PieceTable, circles_of
from geometry.kinematics.laws import LawTable, Pose
from geometry.solids import Piece

FIRST_INTERVALS = 24
"""Intervals per turn of the crank that the search starts with."""


class Items:
    """Every piece of every mover: its circles, its law, and how far it reaches from what it turns about."""

    def __init__(self, movers: Sequence[Mover]) -> None:
        self.laws = LawTable([m.law for m in movers])
        self.piece: list[Piece] = [p for m in movers for p in m.pieces]
        self.circles: list[Circles] = [circles_of(p) for p in self.piece]
        self.table = PieceTable(self.circles)
        sizes = [len(m.pieces) for m in movers]
        self.law = np.repeat(np.arange(len(movers)), sizes)
        self.of_mover = np.split(np.arange(len(self.piece)), np.cumsum(sizes)[:-1])
        self.rho = self.table.reach()
        self.rho_pin = self.table.reach(0.0, self.laws.len[self.law])
        self._bounding()

    def _bounding(self) -> None:
        """Bounding round slab of each piece: extent along x, and a circle square to it."""
        c, r = self.table.centre, self.table.radius
        axis = self.table.axis
        # a circle of radius r about axis u reaches r sqrt(1 - u_i^2) along direction i
        spread = r[None] * np.sqrt(np.maximum(1.0 - axis**2, 0.0))[:, None, :]
        low, high = (c - spread).min(axis=1), (c + spread).max(axis=1)
        self.x0, self.x1 = low[0] + self.laws.x[self.law], high[0] + self.laws.x[self.law]
        self.centre = (low + high) / 2
        self.disc = self.table.reach(self.centre[1], self.centre[2])
        self.centre_rho = np.hypot(self.centre[1], self.centre[2])
        self.centre_pin = np.hypot(self.centre[1], self.centre[2] - self.laws.len[self.law])

    def pose(self, item: Index, theta: Array) -> Pose:
        """Poses of the bodies that carry the items."""
        return self.laws.at(self.law[item], theta)

    def turns(self, item: Index) -> Mask:
        """Whether the bodies that carry the items turn in E as they move."""
        law = self.law[item]
        return np.asarray((self.laws.rate[law] != 0.0) | (self.laws.is_rod[law] > 0))

    def scene(self, nodes: Nodes, theta: Array) -> gjk.PiecePairs:
        """The pairs of nodes at angles ``theta``."""
        f = nodes.f
        return gjk.PiecePairs(
            self.table.gather(nodes.a, f[MA], f[WA]),
            self.table.gather(nodes.b, f[MB], f[WB]),
            self.pose(nodes.a, theta),
            self.pose(nodes.b, theta),
        )

    def whole_scene(self, nodes: Nodes) -> gjk.PiecePairs:
        """The pairs of nodes at their middle angles, every piece at its full extent."""
        table, full = self.table, nodes.take(np.arange(nodes.a.size))
        full.f[MA], full.f[WA] = table.middle[nodes.a], table.half[nodes.a]
        full.f[MB], full.f[WB] = table.middle[nodes.b], table.half[nodes.b]
        return self.scene(full, nodes.f[T])

    def motion(self, nodes: Nodes) -> tuple[Array, Array]:
        """Speed and acceleration bounds of the pairs, summed over both sides."""
        f = nodes.f
        speed, accel = np.zeros(nodes.a.size), np.zeros(nodes.a.size)
        for x in (nodes.a, nodes.b):
            v, a = self.laws.bounds(self.law[x], f[T], f[H], self.rho[x], self.rho_pin[x])
            speed, accel = speed + v, accel + a
        return speed, accel

    def shortfall(self, nodes: Nodes, scene: gjk.PiecePairs, found: gjk.Nearest) -> Array:
        """How far the nearest points (2, m) of A and B may be from the true solids."""
        f, table, out = nodes.f, self.table, np.empty((2, nodes.a.size))
        for k, (item, half, pose, at) in enumerate(
            ((nodes.a, f[WA], scene.pose_a, found.at_a), (nodes.b, f[WB], scene.pose_b, found.at_b))
        ):
            body = pose.into(at - np.stack([pose.x, pose.y, pose.z]))
            short = table.shortfall(item, half, body)
            out[k] = np.where(found.overlap, table.excess(item, half), short)
        return out

    def coarse(self, nodes: Nodes, tolerance_mm: Array | float) -> Mask:
        """Whether a sector of either side is still too wide to stand for the hollow solid."""
        f = nodes.f
        excess = np.maximum(self.table.excess(nodes.a, f[WA]), self.table.excess(nodes.b, f[WB]))
        return excess > tolerance_mm / 4

    def roots(self, pair: int, i: Index, j: Index, sweep: FirstIntervals, far: float) -> tuple[Nodes, float]:
        """First nodes of one pair (items of A, items of B) over its whole period, and the least bound of the others.

        Those proved to stay ``far`` apart are left out: of each two pieces most are.
        """
        a, b = (sweep.at(items) for items in (i, j))
        n = b.centre[:, None] - a.centre[:, :, None]
        along = np.maximum(self.x0[i][:, None] - self.x1[j], self.x0[j] - self.x1[i][:, None])[..., None]
        bound = _slab_gap(
            n, along, (self.disc[i][:, None, None], self.disc[j][:, None]), (a.way[:, None], b.way)
        )
        open_ = bound < far
        least = float(np.min(bound, where=~open_, initial=np.inf))
        at = np.nonzero(open_)
        half = np.full(at[0].size, sweep.half)
        nodes = self._nodes(np.full(at[0].size, pair), i[at[0]], j[at[1]], sweep.theta[at[2]], half)
        nodes.f[LB], nodes.f[NX:] = bound[open_], _direction(n[:, open_])
        return nodes, least

    def sweep(self, period_deg: float) -> FirstIntervals:
        """Where every item is, and how far it may go, in each first interval of a period; one angle if that is zero."""
        count, size = max(1, round(FIRST_INTERVALS * period_deg / 360.0)), self.law.size
        half = float(np.radians(period_deg)) / (2 * count)
        theta = np.asarray(half * (2 * np.arange(count) + 1), dtype=float)
        every, times = np.repeat(np.arange(size), count), np.tile(theta, size)
        centre = self.pose(every, times).out(self.centre[:, every])
        way = self._way(every, times, np.full(times.size, half))
        return FirstIntervals(theta, half, centre.reshape(3, size, count), way.reshape(size, count))

    def _way(self, item: Index, theta: Array, half: Array) -> Array:
        """How far the middle of an item's bounding slab can go from the middle of an interval to its end, mm."""
        speed, _ = self.laws.bounds(self.law[item], theta, half, self.centre_rho[item], self.centre_pin[item])
        return speed * half

    def _nodes(self, pair: Index, i: Index, j: Index, theta: Array, half: Array) -> Nodes:
        f = np.zeros((ROWS, i.size))
        f[T], f[H] = theta, half
        for m_row, w_row, item in ((MA, WA, i), (MB, WB, j)):
            f[m_row], f[w_row] = self.table.middle[item], self.table.half[item]
        return Nodes(pair, i, j, f)

    def bounded(self, pair: Index, i: Index, j: Index, theta: Array, half: Array) -> Nodes:
        """Nodes of whole pieces i and j on given intervals, bounded by their bounding slabs."""
        nodes = self._nodes(pair, i, j, theta, half)
        centre_a, centre_b = (self.pose(x, theta).out(self.centre[:, x]) for x in (i, j))
        n = centre_b - centre_a
        along = np.maximum(self.x0[i] - self.x1[j], self.x0[j] - self.x1[i])
        ways = (self._way(x, theta, half) for x in (i, j))
        nodes.f[LB] = _slab_gap(n, along, (self.disc[i], self.disc[j]), tuple(ways))
        nodes.f[NX:] = _direction(n)
        return nodes


@dataclass(frozen=True, slots=True, eq=False)
class FirstIntervals:
    """Items over the first intervals of a period.

    Attributes
    ----------
    theta, half : middles (count,) and half-width of the intervals, rad
    centre : (3, items, count) middles of the bounding slabs at the middles of the intervals, in E
    way : (items, count) how far those can go to either end of the interval, mm
    """

    theta: Array
    half: float
    centre: Array
    way: Array

    def at(self, items: Index) -> FirstIntervals:
        """Some of the items."""
        return FirstIntervals(self.theta, self.half, self.centre[:, items], self.way[items])


def _slab_gap(n: Array, along: Array, discs: tuple[Array, Array], ways: tuple[Array, ...]) -> Array:
    """Lower bound of the distance of two bounding slabs over an interval, from what they are at its middle.

    The circles that bound two pieces keep their radii, so the distance of their middles less the way the
    middles can go in half an interval bounds the gap square to x; the gap along x never changes. Where both
    are positive the distance is at least the root of the sum of their squares. Below zero the bound holds too:
    to leave the whole of a hollow piece is one of the ways that its depth may take.

    Parameters
    ----------
    n : (3, ...) from the middle of A to that of B
    along : gap along x
    discs, ways : radii of the circles, and how far their middles can go
    """
    across = np.hypot(n[1], n[2]) - discs[0] - discs[1] - ways[0] - ways[1]
    return np.asarray(
        np.where((across > 0) & (along > 0), np.hypot(across, along), np.maximum(across, along))
    )


def _direction(n: Array) -> Array:
    """Directions (3, m) to start from, of any length but zero."""
    return np.where(np.abs(n).sum(axis=0) > 1e-9, n, np.array([[1.0], [0.0], [0.0]]))
