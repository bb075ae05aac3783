"""What the search works on: nodes, the state of every pair, and what it all cost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Array, Index, Pick

T, H, MA, WA, MB, WB, LB, NX, NY, NZ = range(10)
"""Rows of a node: middle and half-width of the interval (rad), sector of A, sector of B, bound, direction."""
ROWS = 10


@dataclass(slots=True, eq=False)
class Count:
    """What the search spent: nodes evaluated, support evaluations, rounds, first nodes."""

    nodes: int = 0
    supports: int = 0
    rounds: int = 0
    roots: int = 0


@dataclass(slots=True, eq=False)
class Best:
    """State of the pairs: upper bound with its place, and the lowest bound that was let go."""

    upper: Array
    lower: Array
    node: Array
    item_a: Index
    item_b: Index
    at_a: Array
    at_b: Array

    @classmethod
    def empty(cls, pairs: int) -> Best:
        """Nothing known yet."""
        return cls(
            np.full(pairs, np.inf),
            np.full(pairs, np.inf),
            np.zeros((10, pairs)),
            np.zeros(pairs, dtype=np.intp),
            np.zeros(pairs, dtype=np.intp),
            np.zeros((3, pairs)),
            np.zeros((3, pairs)),
        )

    def keep(self, nodes: Nodes, index: Index, upper: Array, at_a: Array, at_b: Array) -> None:
        """Take the nodes at ``index``, at most one per pair, as the best of their pairs."""
        pair = nodes.pair[index]
        self.upper[pair] = upper[index]
        self.node[:, pair] = nodes.f[:, index]
        self.item_a[pair], self.item_b[pair] = nodes.a[index], nodes.b[index]
        self.at_a[:, pair], self.at_b[:, pair] = at_a[:, index], at_b[:, index]


@dataclass(slots=True, eq=False)
class Nodes:
    """m nodes: pair, item of A, item of B (m,), and the numbers (10, m)."""

    pair: Index
    a: Index
    b: Index
    f: Array

    def take(self, index: Pick) -> Nodes:
        """The nodes at an index or mask."""
        return Nodes(self.pair[index], self.a[index], self.b[index], self.f[:, index])

    @staticmethod
    def join(parts: Sequence[Nodes]) -> Nodes:
        """All nodes of the parts."""
        return Nodes(
            np.concatenate([p.pair for p in parts]),
            np.concatenate([p.a for p in parts]),
            np.concatenate([p.b for p in parts]),
            np.concatenate([p.f for p in parts], axis=1),
        )


def parabola_floor(g0: Array, g1: Array, half: Array, accel: Array) -> Array:
    """Lowest value on an interval of a function with end values g0, g1 and second derivative <= accel."""
    rise = (g1 - g0) / 2
    bend = accel * half * half
    middle = (g0 + g1) / 2 - bend / 2 - rise * rise / (2 * np.maximum(bend, 1e-300))
    return np.where(np.abs(rise) >= bend, np.minimum(g0, g1), middle)
