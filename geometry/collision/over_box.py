"""The least distance of pairs of features over a full turn and over all values in doubt: a proved lower bound.

The turn is covered by intervals of crank angle as in ``branch_and_bound``, piece by piece and sector by sector; what
differs is the bound of a node. Along a fixed direction n the least gap over the box is exact at one angle (``spread``).
Each element of it, f_kl at whatever values, has a second derivative of at most a over the interval, with a that of the
fastest motion within the box; so the least of all of them lies above the chord less the same parabola, and

    lowest >= min over nodes of floor(gap over the box at both ends and the middle, a)

whatever direction each node takes. The directions are those of the nearest points at the corners of the box that are
given: at the corner where the least lies the direction there leaves nothing out, since the gap along it is the distance
there, and no other values bring the two nearer along it.

A node is let go when its bound is within the tolerance of the least distance found at any corner (``upper``). Where it
is not, and a narrower interval would tell no more, the values at which its gap is least are a corner that was not
looked at: they are handed back (``Proved.corner``), to be certified and given in the next time. What is still open
after that is told by ``Proved.lower``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Array, Index, Mask
from geometry.collision import gjk
from geometry.collision.branch_and_bound import ROUNDING_MM, SIZES
from geometry.collision.epa import expand
from geometry.collision.mover import Mover
from geometry.collision.nodes import LB, MA, MB, NX, WA, WB, H, Nodes, T, parabola_floor
from geometry.collision.piece_pairs import FirstIntervals, Items
from geometry.collision.spread import Rows, Side, Spread, Wavering
from geometry.kinematics.laws import LawTable, at_rest

NODES_PER_ROUND = 3000
CHUNK_NUMBERS = 2_000_000
"""Numbers in one array while pairs of circles are compared."""
MAX_NODES = 6000
"""Nodes of one pair after which it is left as it is."""
SETTLED = 0.25
"""What a narrower interval or sector could still tell, as a share of the tolerance, below which it is not tried."""


@dataclass(frozen=True, slots=True, eq=False)
class Question:
    """One pair of features in doubt.

    Attributes
    ----------
    a, b : numbers of the features in the ``Spread``
    period_deg : of the pair
    corners : the pair at some corners of the box, the worst known first
    upper_mm : the least distance certified at any of them
    """

    a: int
    b: int
    period_deg: float
    corners: Sequence[tuple[Mover, Mover]]
    upper_mm: float


@dataclass(frozen=True, slots=True)
class Proved:
    """What is proved of one pair.

    Attributes
    ----------
    lower_mm : no values in the box bring the two nearer than this at any angle
    corner : by number of the value, the end (0, 1) at which the bound is least, where it is not within the tolerance
    crank_deg : where that is
    nodes : what it cost
    """

    lower_mm: float
    corner: dict[int, int]
    crank_deg: float
    nodes: int


def prove(spread: Spread, questions: Sequence[Question], tolerance_mm: float) -> list[Proved]:
    """Lower bounds over the box for many pairs at once."""
    return _Proof(spread, questions, tolerance_mm).run() if questions else []


class _Proof:
    """One run. Nodes carry numbers of pieces within their features, so that they mean the same at every corner."""

    def __init__(self, spread: Spread, questions: Sequence[Question], tolerance_mm: float) -> None:
        self.spread, self.questions, self.tolerance = spread, questions, tolerance_mm
        self.rows = spread.rows([(q.a, q.b) for q in questions])
        self.upper = np.array([q.upper_mm for q in questions])
        self.limit = self.upper - tolerance_mm
        self.lower = self.upper.copy()
        self.spent = np.zeros(len(questions), dtype=np.intp)
        self.worst: list[tuple[float, Nodes | None]] = [(np.inf, None)] * len(questions)
        self.base = np.array([[spread.first[q.a], spread.first[q.b]] for q in questions]).T
        self.feature = np.array([[q.a, q.b] for q in questions]).T
        self.most = max(len(q.corners) for q in questions)
        movers = [mover for q in questions for pair in q.corners for mover in pair]
        unique = {id(mover): mover for mover in movers}
        self.items = Items(list(unique.values()))
        where = dict(zip(unique, (ids[0] for ids in self.items.of_mover), strict=True))
        self.at_corner = np.zeros((self.most, 2, len(questions)), dtype=np.intp)
        for p, q in enumerate(questions):
            for c in range(self.most):
                pair = q.corners[min(c, len(q.corners) - 1)]
                self.at_corner[c, :, p] = [where[id(mover)] for mover in pair]
        self.corners = np.array([len(q.corners) for q in questions])
        found = [spread.enclosing(k) for k in range(len(spread.features))]
        self.laws, self.slack = LawTable([law for law, _ in found]), np.array([slack for _, slack in found])
        # pistons and valves go along their bank and in no other direction
        slides = np.array([law.kind in ("piston", "valve") for law, _ in found])
        self.slides = slides & np.array([_keeps_its_bank(f) for f in spread.features])
        self.reach = [spread.reach(q.a, q.b) for q in questions]
        self.sweeps: dict[float, FirstIntervals] = {}

    def run(self) -> list[Proved]:
        """Work off all nodes."""
        pool = Nodes.join([self._roots(p) for p in range(len(self.questions))])
        while pool.pair.size:
            order = np.argsort(pool.f[LB])
            work, rest = pool.take(order[:NODES_PER_ROUND]), pool.take(order[NODES_PER_ROUND:])
            size = self._size(work)
            parts = [self._advance(work.take(size == k)) for k in sorted(set(size.tolist()))]
            pool = self._drop(Nodes.join([rest, *parts]))
        return [self._proved(p) for p in range(len(self.questions))]

    def _size(self, nodes: Nodes) -> Index:
        """Pieces of about as many circles are worked out together: all of a batch are padded to the largest."""
        table = self.spread.items.table
        a, b = (table.size[self.base[side, nodes.pair] + x] for side, x in ((0, nodes.a), (1, nodes.b)))
        return np.asarray(np.searchsorted(SIZES, np.maximum(a, b)))

    def _roots(self, p: int) -> Nodes:
        q, items = self.questions[p], self.spread.items
        i, j = (
            self.base[side, p] + np.arange(len(self.spread.features[k].mover.pieces))
            for side, k in ((0, q.a), (1, q.b))
        )
        still = at_rest(self.spread.features[q.a].mover.law, self.spread.features[q.b].mover.law)
        period = 0.0 if still else q.period_deg
        if period not in self.sweeps:
            self.sweeps[period] = items.sweep(period)
        far = float(self.upper[p] + self.reach[p].max())
        # what is left out is farther away than what was found, whatever the values
        first, _ = items.roots(p, i, j, self.sweeps[period], far)
        first.a -= self.base[0, p]
        first.b -= self.base[1, p]
        first.f[LB] -= self.reach[p][first.a, first.b]
        return self._drop(first)

    def _drop(self, pool: Nodes) -> Nodes:
        done = pool.f[LB] >= self.limit[pool.pair]
        lost = ~done & (self.spent[pool.pair] > MAX_NODES)
        for k in np.nonzero(lost)[0].tolist():
            self._open(pool, k)
        np.minimum.at(self.lower, pool.pair[done], pool.f[LB, done])
        return pool.take(~done & ~lost)

    def _open(self, nodes: Nodes, k: int) -> None:
        """Leave a node as it is."""
        p = int(nodes.pair[k])
        self.lower[p] = min(self.lower[p], float(nodes.f[LB, k]))
        if nodes.f[LB, k] < self.worst[p][0]:
            self.worst[p] = (float(nodes.f[LB, k]), nodes.take(np.array([k])))

    def _advance(self, nodes: Nodes) -> Nodes:
        """Evaluate nodes and return the children of those that are still open."""
        np.add.at(self.spent, nodes.pair, 1)
        f = nodes.f
        best, middle, direction = f[LB].copy(), np.full(nodes.a.size, -np.inf), f[NX:].copy()
        loss = np.full(nodes.a.size, np.inf)
        open_ = np.arange(nodes.a.size)
        for c in range(self.most):
            open_ = open_[
                (c < self.corners[nodes.pair[open_]]) & (best[open_] < self.limit[nodes.pair[open_]])
            ]
            if not open_.size:
                break
            part = nodes.take(open_)
            useful = self._direct(part, c)
            part, at = part.take(np.nonzero(useful)[0]), open_[useful]
            if not at.size:
                continue
            floor, there = self._floor(part)
            better = floor > best[at]
            best[at[better]], direction[:, at[better]] = floor[better], part.f[NX:, better]
            middle[at] = np.maximum(middle[at], there)
            loss[at] = np.minimum(loss[at], there - floor)
        f[LB], f[NX:] = best, direction
        return self._split(nodes, loss)

    def _direct(self, part: Nodes, c: int) -> Mask:
        """Put the direction of the nearest points at a corner into the nodes; False where hollow pieces overlap."""
        f, items = part.f, self.items
        there = Nodes(
            part.pair,
            part.a + self.at_corner[c, 0, part.pair],
            part.b + self.at_corner[c, 1, part.pair],
            f.copy(),
        )
        for row, wide, item, side in ((MA, WA, there.a, 0), (MB, WB, there.b, 1)):
            own = self.base[side, part.pair] + (part.a if side == 0 else part.b)
            share = items.table.half[item] / self.spread.items.table.half[own]
            there.f[row] = items.table.middle[item] + (f[row] - self.spread.items.table.middle[own]) * share
            there.f[wide] = f[wide] * share
        scene = items.scene(there, f[T])
        found = gjk.nearest(
            scene, f[NX:], np.full(f.shape[1], self.tolerance / 20), np.full(f.shape[1], np.inf)
        )
        part.f[NX:] = found.normal
        over = np.nonzero(found.overlap)[0]
        hollow = (items.table.inner[there.a] > 0) | (items.table.inner[there.b] > 0)
        solid = over[~hollow[over]]
        if solid.size:
            _, _, part.f[NX:, solid] = expand(
                scene.take(solid), part.f[NX:, solid], np.full(solid.size, self.tolerance / 4)
            )
        return np.asarray(~(found.overlap & hollow))

    def _floor(self, part: Nodes) -> tuple[Array, Array]:
        """Lower bounds over interval and box along the direction of each node, and the gap at the middle."""
        f = part.f
        accel = np.zeros(part.a.size)
        for side, piece in ((0, part.a), (1, part.b)):
            k, item = self.feature[side, part.pair], self.base[side, part.pair] + piece
            _, own = self.laws.bounds(
                k, f[T], f[H] + self.slack[k], self.spread.reach_rho[0, item], self.spread.reach_rho[1, item]
            )
            # what slides along its bank counts as much of it as the direction takes, and whatever moves otherwise
            # moves square to the crank
            along = np.abs(f[NX + 2] * self.laws.cos_bank[k] - f[NX + 1] * self.laws.sin_bank[k])
            accel += own * np.where(self.slides[k], along, np.hypot(f[NX + 1], f[NX + 2]))
        three = Nodes.join([part, part, part])
        turn = np.concatenate([-f[H], np.zeros_like(f[H]), f[H]])
        theta = np.tile(f[T], 3) + turn
        gaps = self.nominal_gap(three, theta).reshape(3, -1)
        floor = _chained(gaps, f[H], accel) - self._reach(part)
        # the whole reach of the doubt is a poor bound, but a cheap one, and enough for most
        (close,) = np.nonzero(floor < self.limit[part.pair])
        if close.size:
            chosen = np.concatenate([close, close + f.shape[1], close + 2 * f.shape[1]])
            gaps[:, close] = self.gap(three.take(chosen), theta[chosen]).reshape(3, -1)
            floor[close] = _chained(gaps[:, close], f[H, close], accel[close])
        return floor - ROUNDING_MM, gaps[1]

    def _reach(self, nodes: Nodes) -> Array:
        """The most that the values can bring the pieces of each node nearer."""
        return np.array(
            [self.reach[p][i, j] for p, i, j in zip(nodes.pair, nodes.a, nodes.b, strict=True)], dtype=float
        )

    def nominal_gap(self, nodes: Nodes, theta: Array) -> Array:
        """The gap (m,) at nominal values along the direction of each node."""
        return np.asarray(-sum(self.spread.heights(*side).max(axis=0) for side in self._sides(nodes, theta)))

    def _sides(self, nodes: Nodes, theta: Array) -> list[Side]:
        """Item, sector, angle and direction of either side of nodes."""
        f = nodes.f
        return [
            (self.base[side, nodes.pair] + piece, (f[row], f[wide]), theta, sign * f[NX:])
            for side, (piece, row, wide, sign) in enumerate(((nodes.a, MA, WA, 1.0), (nodes.b, MB, WB, -1.0)))
        ]

    def gap(self, nodes: Nodes, theta: Array) -> Array:
        """The least gap (m,) over the box along the direction of each node, at angles theta."""
        reach_a, reach_b, both = self._heights(nodes, theta)
        out = np.empty(nodes.a.size)
        item_a, item_b = (self.base[side, nodes.pair] + x for side, x in ((0, nodes.a), (1, nodes.b)))
        out[:] = -(reach_a.max(axis=0) + reach_b.max(axis=0))
        for node, more in both:
            all_ = reach_a[:, None, node] + reach_b[None, :, node] + more
            out[node] = -all_.max(axis=(0, 1))
        return np.asarray(out - self.spread.remainder[item_a] - self.spread.remainder[item_b])

    def _heights(self, nodes: Nodes, theta: Array) -> tuple[Array, Array, list[tuple[Index, Array]]]:
        """Reach of either side's circles towards the other, worst over the values that move one side alone.

        Returns
        -------
        a, b : (k, m), (l, m)
        both : nodes and (k, l, nodes) what values that move both sides add at worst
        """
        sides = self._sides(nodes, theta)
        base = [self.spread.heights(*side) for side in sides]
        reach = [heights.copy() for heights in base]
        for side in (0, 1):
            rows = self.rows[side]
            node, at = _expanded(rows, nodes.pair)
            if node.size:
                step = (rows.a if side == 0 else rows.b)[at]
                moved = self.spread.changes(sides[side], base[side], node, step)
                low, high = self.spread.scale[rows.coordinate[at]].T
                worst = np.maximum(moved * low, moved * high)
                first = _starts(node)
                reach[side][: len(moved), node[first]] += np.add.reduceat(worst, first, axis=1)
        return reach[0], reach[1], self._both(nodes, sides, base)

    def _both(self, nodes: Nodes, sides: Sequence[Side], base: Sequence[Array]) -> list[tuple[Index, Array]]:
        """Nodes and (k, l, nodes) what values that move both sides add at worst, a chunk at a time."""
        rows = self.rows[2]
        out: list[tuple[Index, Array]] = []
        every, at_all = _expanded(rows, nodes.pair)
        if not every.size:
            return out
        firsts = _starts(every)
        bounds = np.append(firsts, every.size)
        step = max(1, CHUNK_NUMBERS // (2 * len(base[0]) * len(base[1])))
        low = 0
        while low < firsts.size:
            high = max(low + 1, int(np.searchsorted(bounds, bounds[low] + step, side="right")) - 1)
            node, at = every[bounds[low] : bounds[high]], at_all[bounds[low] : bounds[high]]
            a, b = (
                self.spread.changes(sides[s], base[s], node, own[at]) for s, own in ((0, rows.a), (1, rows.b))
            )
            moved = a[:, None] + b[None]
            ends = self.spread.scale[rows.coordinate[at]].T
            first = _starts(node)
            out.append(
                (node[first], np.add.reduceat(np.maximum(moved * ends[0], moved * ends[1]), first, axis=2))
            )
            low = high
        return out

    def _split(self, nodes: Nodes, loss: Array) -> Nodes:
        """Halve what is open in what costs its bound most; leave alone what would tell no more."""
        f, table = nodes.f, self.spread.items.table
        a, b = (self.base[side, nodes.pair] + x for side, x in ((0, nodes.a), (1, nodes.b)))
        excess = np.stack([table.excess(a, f[WA]), table.excess(b, f[WB])])
        done = f[LB] >= self.limit[nodes.pair]
        np.minimum.at(self.lower, nodes.pair[done], f[LB, done])
        sector = excess.max(axis=0)
        small = self.tolerance * SETTLED
        settled = ~done & (np.minimum(loss, 1e9) <= small) & (sector <= small)
        settled |= ~done & (f[H] < 1e-5) & (sector <= small)
        for k in np.nonzero(settled)[0].tolist():
            self._open(nodes, k)
        keep = np.nonzero(~done & ~settled)[0]
        nodes, loss, excess = nodes.take(keep), loss[keep], excess[:, keep]
        loss = np.where(np.isinf(loss), 0.0, loss)
        parts = []
        first, second = (
            (excess[0] > loss) & (excess[0] >= excess[1]),
            (excess[1] > loss) & (excess[1] > excess[0]),
        )
        for row, width, mask in ((MA, WA, first), (MB, WB, second), (T, H, ~first & ~second)):
            for sign in (-0.5, 0.5):
                half = nodes.take(mask)
                half.f[row] += sign * half.f[width]
                half.f[width] /= 2
                parts.append(half)
        return Nodes.join(parts)

    def _proved(self, p: int) -> Proved:
        _, node = self.worst[p]
        corner = {} if node is None else self.corner_of(node)
        crank = 0.0 if node is None else float(np.degrees(node.f[T, 0]))
        return Proved(float(self.lower[p]), corner, crank, int(self.spent[p]))

    def corner_of(self, node: Nodes) -> dict[int, int]:
        """By number of the value, the end at which the gap of one node is least along its direction."""
        p = int(node.pair[0])
        a, b, both = self._heights(node, node.f[T])
        reach = a[:, None, 0] + b[None, :, 0] + (both[0][1][:, :, 0] if both else 0.0)
        corner = np.unravel_index(int(reach.argmax()), reach.shape)
        q, moved = self.questions[p], np.zeros(len(self.spread.scale))
        for k, side, circle in zip((q.a, q.b), self._sides(node, node.f[T]), corner, strict=True):
            steps = self.spread.offset[k]
            zero = np.zeros(steps.size, dtype=np.intp)
            moved += self.spread.changes(side, self.spread.heights(*side), zero, steps)[circle]
        ends = moved[:, None] * self.spread.scale
        (found,) = np.nonzero(ends.max(axis=1) > 0)
        return {value: int(ends[value].argmax()) for value in found.tolist()}


def _keeps_its_bank(feature: Wavering) -> bool:
    return all(mover.law.bank_deg == feature.mover.law.bank_deg for mover in feature.ends.values())


def _chained(gaps: Array, half: Array, accel: Array) -> Array:
    """Least value over intervals of half-width ``half`` from the gaps (3, m) at ends and middle."""
    first = parabola_floor(gaps[0], gaps[1], half / 2, accel)
    return np.asarray(np.minimum(first, parabola_floor(gaps[1], gaps[2], half / 2, accel)))


def _expanded(rows: Rows, pair: Index) -> tuple[Index, Index]:
    """For every value of the pair of every node: the node, and the row of the value."""
    count = rows.start[pair + 1] - rows.start[pair]
    node = np.repeat(np.arange(pair.size), count)
    at = (
        np.arange(node.size) - np.repeat(np.cumsum(count) - count, count) + np.repeat(rows.start[pair], count)
    )
    return node, at


def _starts(node: Index) -> Index:
    """Where each node's rows begin."""
    return np.asarray(np.r_[0, np.nonzero(np.diff(node))[0] + 1])
