"""What a change of values does to two places where they are: at one crank angle, or along one direction."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from geometry.arrays import Array
from geometry.collision.branch_and_bound import Search
from geometry.collision.certify import TOLERANCE_MM, Approach
from geometry.collision.mover import Mover
from geometry.collision.nodes import Nodes
from geometry.collision.spread import Spread
from geometry.collision.support import circles_of
from geometry.solids import Hull, Piece

SAME_MM: Final = 2e-6
"""Changes below this are rounding: outlines of block and head are cut in single precision."""


def distances_at(pairs: Sequence[tuple[Mover, Mover]], crank_deg: Sequence[float]) -> list[float]:
    """Signed distance of many pairs, each at one crank angle."""
    if not pairs:
        return []
    search = Search(pairs, TOLERANCE_MM / 10)
    parts = []
    for k, ((i, j), crank) in enumerate(zip(search.ab, crank_deg, strict=True)):
        count = i.size * j.size
        theta = np.full(count, np.radians(crank))
        parts.append(
            search.items.bounded(
                np.full(count, k), np.repeat(i, j.size), np.tile(j, i.size), theta, np.zeros(count)
            )
        )
    search.close(Nodes.join(parts))
    return [float(upper) for upper in search.best.upper]


def gap_changes(
    spread: Spread, pairs: Sequence[tuple[int, int]], found: Sequence[Approach]
) -> list[dict[int, tuple[float, float]]]:
    """What each value at its lowest and highest makes of the gap of two features at the place of an answer.

    The direction is held: as the distance is the largest gap over all directions, its slope is that of the gap.

    Returns
    -------
    For each pair, by number of the value, only where it changes anything.
    """
    theta = np.radians([approach.crank_deg for approach in found])
    change = np.zeros((len(pairs), len(spread.scale)))
    for s, sign in enumerate((1.0, -1.0)):
        k = np.array([pair[s] for pair in pairs], dtype=np.intp)
        piece = np.array([(approach.piece_a, approach.piece_b)[s] for approach in found], dtype=np.intp)
        at = np.array([(approach.at_a_mm, approach.at_b_mm)[s] for approach in found]).reshape(-1, 3).T
        n = sign * np.array([approach.direction for approach in found]).reshape(-1, 3).T
        item = spread.first[k] + piece
        side = (item, spread.sector_at(item, theta, at), theta, n)
        here = spread.heights(*side)
        node, value = np.nonzero(spread.offset[k])
        moved = spread.changes(side, here, node, spread.offset[k[node], value])
        change[node, value] -= (here[:, node] + moved).max(axis=0) - here[:, node].max(axis=0)
    ends = change[:, :, None] * spread.scale
    return [
        {
            v: (float(own[v, 0]), float(own[v, 1]))
            for v in np.nonzero(np.abs(own).max(axis=1) > SAME_MM)[0].tolist()
        }
        for own in ends
    ]


def same_mover(one: Mover, other: Mover) -> bool:
    """Whether two states of a feature have the same path and the same pieces."""
    if one is other:
        return True
    if one.law != other.law or len(one.pieces) != len(other.pieces):
        return False
    return one.pieces is other.pieces or all(
        _same_piece(p, q) for p, q in zip(one.pieces, other.pieces, strict=True)
    )


def _same_piece(one: Piece, other: Piece) -> bool:
    if one is other:
        return True
    if isinstance(one, Hull) and isinstance(other, Hull) and np.array_equal(one.X_AP, other.X_AP):
        return _near(one.points_mm, other.points_mm)
    p, q = circles_of(one), circles_of(other)
    return (
        all(
            _near(getattr(p, name), getattr(q, name))
            for name in ("centre_mm", "radius_mm", "axis", "first", "second")
        )
        and abs(p.middle_rad - q.middle_rad) + abs(p.half_rad - q.half_rad) < 1e-12
    )


def _near(one: Array, other: Array) -> bool:
    return one.shape == other.shape and bool(np.abs(one - other).max() < SAME_MM)
