"""Branch and bound over crank angle for many pairs of features at once.

A node is an interval of crank angle, one piece of either side and, where a piece is hollow, a sector of it.
Every round takes the most promising nodes of all pairs together, finds nearest points at the middle of each
interval in one batch, proves a lower bound over the whole interval, and halves what is still undecided.

Lower bound
-----------
For any fixed direction n, gap_n(theta) = min over points p of A, q of B of n . (q - p). Each n . (q - p) has a
second derivative of at most a = a_A + a_B (largest accelerations, ``laws``), so on an interval of half-width e
with end values g0, g1 it lies above the chord minus a (e^2 - tau^2) / 2, tau from the middle. The minimum of
that parabola over the interval is

    min(g0, g1)                                  if |g1 - g0| / (2 e) >= a e
    (g0 + g1)/2 - a e^2/2 - ((g1 - g0)/(2 e))^2 / (2 a)   otherwise

and the minimum over points keeps it, since each point's chord lies above the chord of the minima. The signed
distance is never below gap_n, whatever n is, apart or overlapping. A node is evaluated at both ends and the
middle with one n, which makes two intervals of half the width.

Where the parabola comes from: the chord is (g0 + g1)/2 + s tau with s = (g1 - g0) / (2 e); the sum is least where its
slope s + a tau vanishes, at tau = -s / a, which lies within the interval only while |s| < a e, and there it is
(g0 + g1)/2 - a e^2/2 - s^2 / (2 a). Why a bound of the second derivative from above is enough: a function whose
second derivative is at most a lies above the parabola of curvature a through its own two end values, because their
difference is concave and zero at both ends.

Why the answer is certified
---------------------------
Of every pair the nodes cover, at any time, all angles of the period, all pieces and all of their sectors: a node is
replaced only by two that cover it. One is let go only when its bound joins ``Best.lower``. So the true minimum is
never below the least of ``lower`` and of the bounds still open, and when none is open, of ``lower``. It is never above
``upper``, which is the distance of two witness points plus what those may lie outside the true solids (``shortfall``).
A node is let go when its bound is within the tolerance of ``upper``; that is why the half-width is no wider. What is
done early for the sake of time (``enough``, ``accuracy``, the order of nodes) decides which bounds are found, not
whether they hold.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache

import numpy as np

from geometry.arrays import Array, Index, Mask
from geometry.collision import gjk
from geometry.collision.epa import expand
from geometry.collision.mover import Mover
from geometry.collision.nodes import LB, MA, MB, NX, WA, WB, Best, Count, H, Nodes, T, parabola_floor
from geometry.collision.penetration import Depth, hollow_depth
from geometry.collision.piece_pairs import Items
from geometry.collision.polish import polish
from geometry.collision.wide_sectors import probes, wide_floors
from geometry.kinematics.laws import at_rest

FIRST_PER_PAIR = 2
NODES_PER_PAIR = 24
NODES_PER_ROUND = 2000
ROUNDING_MM = 1e-9
FINE_NODES = 12_000
DEEP_SHARE, DEEPEST_SHARE = 0.02, 0.25
DEEP_MM = 0.05
"""Once parts are certain to overlap, their depth is worked out to the tolerance only while all of that costs less
than so many nodes. After that it is worked out to ``DEEP_MM`` or to a share of itself, whichever is coarser; the
share rises with the square of the cost, and from the last one on the depth stays as it is. The reported
half-width tells. An engine whose parts stand in each other by hundreds is no reason to wait. As soon as the share is
above zero, wide sectors get floors of their own, and pairs without a known overlap are probed (``wide_sectors``).
"""
ROUGH_MM = 1.0
"""How well the first overlap of a hollow pair is worked out: it only has to be one."""
SOME_MM = 1e-6
"""An overlap so deep is one beyond rounding."""
PROBED_ROUNDS = 20
"""Rounds in which a first overlap is looked for by probes."""
DEPTH_COST = 10
"""What the depth of an overlap costs, counted in nodes."""
SIZES = (4, 8, 16, 40)
"""Pieces of about as many circles are evaluated together: all of a batch are padded to the largest."""
FEW_NODES = 4000
"""So few nodes are evaluated together whatever their sizes: a batch more costs more than the padding."""
MAX_NODES = 150_000
"""Nodes after which a pair is left as it is; the reported half-width then tells what is open."""
TINY_RAD = 1e-8
"""Intervals are not halved below this; what is left undecided then shows in the reported half-width."""


def _in_its_pair(pair: Index, size: Index) -> Index:
    """Which of the sizes within its own pair each node has: 0 for the smallest; a pair learns from one to the next."""
    pairs, at = np.unique(pair, return_inverse=True)
    there = np.zeros((pairs.size, len(SIZES) + 1), dtype=np.intp)
    there[at, size] = 1
    return np.asarray(there.cumsum(axis=1)[at, size] - 1)


@dataclass(slots=True, eq=False)
class Search:
    """One run over a list of problems."""

    pairs: Sequence[tuple[Mover, Mover]]
    tolerance_mm: float
    far_mm: float = np.inf
    count: Count = field(default_factory=Count)
    signs: bool = False
    """Whether all that is wanted of an overlap is that it is one: ``best.upper`` below zero proves it, no depth."""
    items: Items = field(init=False)
    best: Best = field(init=False)
    ab: list[tuple[Index, Index]] = field(init=False)
    spent: Index = field(init=False)
    """Nodes evaluated for each pair."""
    probed: Index = field(init=False)
    """Rounds of probes for each pair."""
    past: Array = field(init=False)
    """(3, pairs) the last direction in which a way past the whole of both sides was the shortest; zero if none."""

    def __post_init__(self) -> None:
        movers = {id(mover): mover for pair in self.pairs for mover in pair}
        self.items = Items(list(movers.values()))
        where = {key: self.items.of_mover[k] for k, key in enumerate(movers)}
        self.ab = [(where[id(a)], where[id(b)]) for a, b in self.pairs]
        self.start(len(self.pairs))

    def start(self, pairs: int) -> None:
        """Forget all bounds; what follows is numbered 0 to ``pairs`` - 1."""
        self.best = Best.empty(pairs)
        self.spent = np.zeros(pairs, dtype=np.intp)
        self.probed = np.zeros(pairs, dtype=np.intp)
        self.past = np.zeros((3, pairs))

    def run(self, periods_deg: Sequence[float] | Array, polished: bool = True) -> Best:
        """Close every pair to within the tolerance over its period; bounds and places are in ``best``.

        Where floors alone are wanted, the upper bounds need no polish.
        """
        sweep = cache(self.items.sweep)
        pools = []
        for k, ((a, b), (i, j), period) in enumerate(zip(self.pairs, self.ab, periods_deg, strict=True)):
            over = sweep(0.0 if at_rest(a.law, b.law) else float(period))
            first, self.best.lower[k] = self.items.roots(k, i, j, over, self.far_mm)
            self.count.roots += i.size * j.size * over.theta.size
            pools.append(first)
        self.close(Nodes.join(pools))
        if polished:
            polish(self.items, self.best, self.count)
        return self.best

    def close(self, pool: Nodes) -> None:
        """Work off nodes until none is left that could lower a bound."""
        while True:
            pool = self._drop(pool)
            if not pool.pair.size:
                break
            self._probe(pool)
            chosen = self._choose(pool)
            work, rest = pool.take(chosen), pool.take(~chosen)
            pool = Nodes.join([rest, self._advance(work)])
            self.count.rounds += 1

    def _share(self) -> float:
        """The share of a depth to which it is worked out by now; zero while all are worked out finely."""
        cost = float(self.spent[self.best.upper < 0].sum()) / FINE_NODES
        return 0.0 if cost < 1.0 else DEEP_SHARE * cost * cost

    @property
    def crowded(self) -> bool:
        """Whether so much overlaps that not all depths are worked out finely."""
        return self._share() > 0.0

    @property
    def _deep(self) -> float:
        """The depth, below zero, at which no more of it is worked out, mm."""
        return -SOME_MM if self.signs else -np.inf

    def _tolerance(self, pair: Index) -> Array:
        share = self._share()
        depth = np.maximum(-self.best.upper[pair], 0.0)
        deep = np.where(depth > 0, np.maximum(DEEP_MM, min(share, DEEPEST_SHARE) * depth), 0.0)
        return np.maximum(self.tolerance_mm, deep if share else np.zeros(pair.size))

    def _limit(self, pair: Index) -> Array:
        return np.minimum(self.best.upper[pair] - self._tolerance(pair), self.far_mm)

    def _drop(self, pool: Nodes) -> Nodes:
        done = (pool.f[LB] >= self._limit(pool.pair)) | (self.spent[pool.pair] > MAX_NODES)
        if self.signs or self._share() > DEEPEST_SHARE:
            done |= self.best.upper[pool.pair] < 0
        np.minimum.at(self.best.lower, pool.pair[done], pool.f[LB, done])
        return pool.take(~done)

    def _choose(self, pool: Nodes) -> Mask:
        """The most promising nodes of every pair."""
        order = np.lexsort((pool.f[LB], pool.pair))
        pair = pool.pair[order]
        start = np.r_[0, np.nonzero(np.diff(pair))[0] + 1]
        rank = np.arange(pair.size) - np.repeat(start, np.diff(np.r_[start, pair.size]))
        # few at first: one good upper bound makes most of the others needless
        few = FIRST_PER_PAIR << min(self.count.rounds, 10)
        per_pair = max(min(NODES_PER_PAIR, few), NODES_PER_ROUND // start.size)
        chosen = np.zeros(pair.size, dtype=bool)
        chosen[order[rank < per_pair]] = True
        return chosen

    def _advance(self, nodes: Nodes) -> Nodes:
        """Evaluate nodes and return the children of those that stay undecided."""
        size = np.maximum(self.items.table.size[nodes.a], self.items.table.size[nodes.b])
        turn = np.searchsorted(SIZES, size)
        # where parts overlap, what is worked out of one pair hangs on what all have cost so far: keep that order
        if size.size <= FEW_NODES and not (self.best.upper < 0).any():
            turn = _in_its_pair(nodes.pair, turn)
        return Nodes.join([self._evaluate(nodes.take(turn == k)) for k in sorted(set(turn.tolist()))])

    def _evaluate(self, nodes: Nodes) -> Nodes:
        f, table = nodes.f, self.items.table
        self.count.nodes += nodes.a.size
        np.add.at(self.spent, nodes.pair, 1)
        scene = self.items.scene(nodes, f[T])
        speed, accel = self.items.motion(nodes)
        thin = (table.inner[nodes.a] > 0) | (table.inner[nodes.b] > 0)
        # a hollow piece must be known to be clear or not before its sectors mean anything
        limit, tolerance = self._limit(nodes.pair), self._tolerance(nodes.pair)
        # ``speed`` is the pair's Lipschitz constant: what is so far apart at the middle of the interval is beyond the
        # limit all over it; nearer points than the bend of the interval lets tell would be found for nothing
        enough = np.where(thin, np.maximum(limit, 0.0), limit) + speed * f[H]
        accuracy = np.maximum(tolerance / 20, accel * f[H] ** 2 / 40)
        found = gjk.nearest(scene, f[NX:], accuracy, enough)
        self.count.supports += int(found.steps.sum())
        f[NX:] = found.normal
        excess = self.items.shortfall(nodes, scene, found)
        coarse = self.items.coarse(nodes, tolerance)
        # where hulls of sectors overlap, the solids themselves are no farther apart than the hulls exceed them
        upper = np.where(found.overlap & ~thin, np.inf, found.distance + excess.sum(axis=0))
        floor = self._floor(nodes, scene, found.gap, accel)
        solid = np.nonzero(found.overlap & ~thin & (floor < limit))[0]
        if solid.size:
            wanted = np.maximum(accuracy, tolerance / 2)[solid]
            self._solid_depth(nodes, scene, found, solid, wanted, accel, upper, floor)
        hollow = np.nonzero(thin & ~coarse & (floor <= 0))[0]
        if hollow.size:
            wanted = np.maximum(accuracy, tolerance / 4)[hollow]
            plenty = (limit + speed * f[H])[hollow]
            self._hollow_depth(nodes, found, hollow, (wanted, plenty), accel, upper, floor)
        # an interval where a wide sector overlaps says nothing about the solid: cut the sector first
        loss = np.where(coarse & found.overlap, 0.0, np.maximum(found.gap - floor, 0.0))
        wide = np.nonzero(thin & coarse & (floor <= 0))[0]
        self._past_the_whole(nodes, wide, accel, floor)
        if self.crowded and wide.size:
            self._by_edges(nodes, wide, (accel, tolerance), floor, loss, excess)
        # the depth in a hollow piece is defined by sectors just narrow enough: cut them no further
        excess[:, thin & ~coarse & found.overlap] = 0.0
        self._keep_best(nodes, upper, found)
        f[LB] = np.maximum(f[LB], floor)
        tiny = (f[H] < TINY_RAD) & ~coarse
        done = (f[LB] >= self._limit(nodes.pair)) | tiny
        np.minimum.at(self.best.lower, nodes.pair[done], f[LB, done])
        keep = ~done
        return self._split(nodes.take(keep), loss[keep], excess[:, keep])

    def _solid_depth(
        self,
        nodes: Nodes,
        scene: gjk.PiecePairs,
        found: gjk.Nearest,
        index: Index,
        accuracy: Array,
        accel: Array,
        upper: Array,
        floor: Array,
    ) -> None:
        """Fill in, at ``index``, both bounds of overlapping convex pieces and the places of their depth."""
        part, inner = nodes.take(index), scene.take(index)
        np.add.at(self.spent, part.pair, DEPTH_COST)
        upper[index], found.gap[index], part.f[NX:] = expand(inner, part.f[NX:], accuracy, self._deep)
        nodes.f[NX:, index] = part.f[NX:]
        found.at_a[:, index], found.at_b[:, index] = inner.support(part.f[NX:])
        floor[index] = np.maximum(floor[index], self._floor(part, inner, found.gap[index], accel[index]))

    def _hollow_depth(
        self,
        nodes: Nodes,
        found: gjk.Nearest,
        index: Index,
        limits: tuple[Array, Array],
        accel: Array,
        upper: Array,
        floor: Array,
    ) -> None:
        """Fill in, at ``index``, both bounds of narrow sectors of hollow pieces by the ways that count."""
        part = nodes.take(index)
        np.add.at(self.spent, part.pair, DEPTH_COST // 4)
        depth = hollow_depth(self.items, part, *limits, self._deep)
        nodes.f[NX:, index] = part.f[NX:] = depth.normal
        within = part.take(np.arange(index.size))
        within.f[[MA, MB]], within.f[[WA, WB]] = depth.middle, depth.half
        scene = self.items.scene(within, part.f[T])
        floor[index] = self._floor(within, scene, depth.gap, accel[index])
        found.gap[index] = depth.gap
        overlap = found.overlap[index]
        apart = np.isinf(depth.upper)
        deepest = np.minimum(depth.upper + self._beyond_slices(part), 0.0)
        upper[index] = np.where(overlap & ~apart, deepest, upper[index])
        self._keep_past(part, depth, overlap)

    def _keep_past(self, nodes: Nodes, depth: Depth, overlap: Mask) -> None:
        """Remember the directions of nodes whose shortest way is one past the whole of both sides."""
        whole = overlap & (depth.half[0] == self.items.table.half[nodes.a])
        whole &= depth.half[1] == self.items.table.half[nodes.b]
        self.past[:, nodes.pair[whole]] = depth.normal[:, whole]

    def _beyond_slices(self, nodes: Nodes) -> Array:
        """How much too deep sectors wider than the tolerance asks for may tell, mm; zero for narrow ones.

        In every direction of the middle slice's plane the hull of a sector reaches no farther than that slice and
        its excess, so the slice is less deep by no more than the excess.
        """
        table, f = self.items.table, nodes.f
        excess = table.excess(nodes.a, f[WA]) + table.excess(nodes.b, f[WB])
        return np.where(excess > self.tolerance_mm / 2, excess, 0.0)

    def _past_the_whole(self, nodes: Nodes, index: Index, accel: Array, floor: Array) -> None:
        """Floors, at ``index``, of wide sectors: only what clears the whole of both sides counts for them."""
        floor[index] = -np.inf
        index = index[self.past[:, nodes.pair[index]].any(axis=0)]
        if index.size:
            part = nodes.take(index)
            part.f[NX:] = self.past[:, part.pair]
            scene = self.items.whole_scene(part)
            floor[index] = self._floor(part, scene, scene.gap(part.f[NX:]), accel[index])

    def _by_edges(
        self,
        nodes: Nodes,
        index: Index,
        limits: tuple[Array, Array],
        floor: Array,
        loss: Array,
        excess: Array,
    ) -> None:
        """Floors, at ``index``, of wide sectors by the ways out at their edges, and what they lose by which width."""
        accel, tolerance = limits
        found = wide_floors(self.items, nodes.take(index), accel[index])
        known = np.isfinite(found.floor)
        at = index[known]
        floor[at] = np.maximum(floor[at], found.floor[known] - ROUNDING_MM)
        # an interval is halved only while that tells more than a narrower sector
        little = tolerance[at] / 8
        loss[at] = np.where(found.by_angle[known] > 2 * little, found.by_angle[known], 0.0)
        excess[:, at] = np.minimum(excess[:, at], np.maximum(found.by_sector[:, known], little))

    def _probe(self, pool: Nodes) -> None:
        """Look for a first overlap of pairs with hollow sides where none is known: without it nothing is dropped."""
        if not self.crowded:
            return
        inner = self.items.table.inner
        open_ = ((inner[pool.a] > 0) | (inner[pool.b] > 0)) & (pool.f[LB] <= 0)
        open_ &= (self.best.upper[pool.pair] >= 0) & (self.probed[pool.pair] < PROBED_ROUNDS)
        index = np.nonzero(open_)[0]
        if not index.size:
            return
        order = index[np.argsort(pool.pair[index], kind="stable")]
        pair, first, count = np.unique(pool.pair[order], return_index=True, return_counts=True)
        self.probed[pair] += 1
        nodes = probes(self.items, pool.take(order[first + (self.count.rounds * 7919) % count]), DEEP_MM)
        scene = self.items.scene(nodes, nodes.f[T])
        rough, zero = np.full(nodes.a.size, ROUGH_MM), np.zeros(nodes.a.size)
        found = gjk.nearest(scene, nodes.f[NX:], rough, zero)
        met = np.nonzero(found.overlap)[0]
        # the first that meets is enough for each pair
        met = met[np.unique(nodes.pair[met], return_index=True)[1]]
        if met.size:
            nodes, scene = nodes.take(met), scene.take(met)
            depth = hollow_depth(self.items, nodes, rough[met], zero[met])
            upper = np.where(depth.upper < 0, depth.upper + self._beyond_slices(nodes), np.inf)
            nodes.f[NX:] = depth.normal
            self._keep_past(nodes, depth, depth.upper < 0)
            found.at_a, found.at_b = scene.support(depth.normal)
            self._keep_best(nodes, np.where(upper < 0, upper, np.inf), found)

    def _keep_best(self, nodes: Nodes, upper: Array, found: gjk.Nearest) -> None:
        """Remember the lowest upper bound of each pair and where it was found."""
        order = np.lexsort((upper, nodes.pair))
        pair, first = np.unique(nodes.pair[order], return_index=True)
        index = order[first]
        better = index[upper[index] < self.best.upper[pair]]
        self.best.keep(nodes, better, upper, found.at_a, found.at_b)

    def _split(self, nodes: Nodes, loss: Array, excess: Array) -> Nodes:
        """Halve each node in what costs its bound most: the interval, or the sector of A or of B.

        Halving an interval divides the loss of the chord, a e^2 / 2, by four, and halving a sector that of its hull,
        r (1 - cos w), nearly so: whichever is larger is the one to cut.
        """
        parts = []
        for row, width, mask in (
            (MA, WA, (excess[0] > loss) & (excess[0] >= excess[1])),
            (MB, WB, (excess[1] > loss) & (excess[1] > excess[0])),
            (T, H, excess.max(axis=0) <= loss),
        ):
            for sign in (-0.5, 0.5):
                half = nodes.take(mask)
                half.f[row] += sign * half.f[width]
                half.f[width] /= 2
                parts.append(half)
        return Nodes.join(parts)

    def _floor(self, nodes: Nodes, scene: gjk.PiecePairs, gap: Array, accel: Array) -> Array:
        """Lower bound of the signed distance over the whole interval, from the node's direction."""
        f, items = nodes.f, self.items
        ends = []
        for sign in (-1.0, 1.0):
            theta = f[T] + sign * f[H]
            there = gjk.PiecePairs(scene.a, scene.b, items.pose(nodes.a, theta), items.pose(nodes.b, theta))
            ends.append(there.gap(f[NX:]))
        quarter = f[H] / 2
        return (
            np.minimum(
                parabola_floor(ends[0], gap, quarter, accel), parabola_floor(gap, ends[1], quarter, accel)
            )
            - ROUNDING_MM
        )
