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

SAME_MM: Final = 1e-9
"""Changes below this are rounding."""


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


def gap_changes(spread: Spread, pair: tuple[int, int], found: Approach) -> dict[int, tuple[float, float]]:
    """What each value at its lowest and highest makes of the gap of two features at the place of an answer.

    The direction is held: as the distance is the largest gap over all directions, its slope is that of the gap.

    Returns
    -------
    By number of the value, only where it changes anything.
    """
    out: dict[int, tuple[float, float]] = {}
    theta = np.radians(np.array([found.crank_deg]))
    zero = np.zeros(1, dtype=np.intp)
    both = []
    for k, piece, sign, at in (
        (pair[0], found.piece_a, 1.0, found.at_a_mm),
        (pair[1], found.piece_b, -1.0, found.at_b_mm),
    ):
        item = np.array([spread.first[k] + piece])
        n = sign * found.direction[:, None]
        both.append((k, item, spread.sector_at(item, theta, at), n))
    for value in np.nonzero(spread.offset[list(pair)].any(axis=(0, 2)))[0].tolist():
        change = [0.0, 0.0]
        for k, item, sector, n in both:
            base = spread.heights(item, sector, theta, n).max()
            for end in range(2):
                step = spread.offset[k, value, end]
                if step:
                    there = spread.changes(item, sector, theta, n, zero, np.array([step]))[:, 0]
                    here = spread.heights(item, sector, theta, n)[:, 0]
                    change[end] -= float((here + there).max() - base)
        if any(abs(c) > SAME_MM for c in change):
            out[value] = (change[0], change[1])
    return out


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
