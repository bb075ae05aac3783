"""A feature at other values, with its pieces cut as at nominal values, so that corner can be held against corner.

Features with flat faces are cut into convex pieces by a search that may cut the same outline otherwise as soon as a
corner moves. The corners are the same all the same, each moved a little. They are paired with the nearest, if need be
after a shift of all, and where that is not one to one by the assignment of least squares; each nominal piece is then
the hull of its own corners where they are now. The hulls cover what the nominal pieces cover as long as no piece turns
over: at least the same solid, so a lower bound of a distance holds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from geometry.arrays import Array, Index
from geometry.collision.mover import Mover
from geometry.collision.support import circles_of
from geometry.solids import Hull, Piece

PLAIN_MM = 1.0
"""Corners that move no farther than this, but for a shift of all, are taken in the order in which they stand."""
MOST = 600
"""Corners of a feature that are still paired."""
GRAIN_MM = 1e-6


def aligned(nominal: Mover, there: Mover) -> Mover | None:
    """A feature with its pieces in the order and of the corners of the nominal one; None where that cannot be."""
    if (nominal.law.kind, nominal.law.rate, nominal.law.sense, nominal.law.lift_rate) != (
        there.law.kind, there.law.rate, there.law.sense, there.law.lift_rate,
    ):  # fmt: skip
        return None
    if nominal.pieces is there.pieces:
        return there
    flat, its_flat = (_those(mover, flat=True) for mover in (nominal, there))
    round_, its_round = (_those(mover, flat=False) for mover in (nominal, there))
    if not _same_build(round_, its_round):
        return None
    if not _as_they_come(flat, its_flat):
        found = _paired(flat, its_flat)
        if found is None:
            return None
        its_flat = found
    rest_flat, rest_round = iter(its_flat), iter(its_round)
    return replace(
        there,
        pieces=tuple(next(rest_flat if isinstance(p, Hull) else rest_round) for p in nominal.pieces),
    )


def _those(mover: Mover, *, flat: bool) -> list[Piece]:
    """The pieces with flat faces alone, or the others."""
    return [piece for piece in mover.pieces if isinstance(piece, Hull) == flat]


def _same_build(pieces: Sequence[Piece], others: Sequence[Piece]) -> bool:
    return len(pieces) == len(others) and all(
        type(p) is type(q) and circles_of(p).radius_mm.shape == circles_of(q).radius_mm.shape
        for p, q in zip(pieces, others, strict=True)
    )


def _as_they_come(flat: Sequence[Piece], its: Sequence[Piece]) -> bool:
    """Whether flat-sided pieces can be taken in their order."""
    if not flat or not _same_build(flat, its):
        return len(flat) == len(its) == 0
    ways = np.concatenate(
        [circles_of(q).centre_mm - circles_of(p).centre_mm for p, q in zip(flat, its, strict=True)]
    )
    return bool(np.abs(ways - np.median(ways, axis=0)).max() <= PLAIN_MM)


def _paired(flat: Sequence[Piece], its_flat: Sequence[Piece]) -> list[Piece] | None:
    """The pieces cut as at nominal values, of the corners that the others have."""
    corners = [circles_of(piece).centre_mm for piece in flat]
    mine, which = _distinct(np.concatenate(corners))
    its, _ = _distinct(np.concatenate([circles_of(piece).centre_mm for piece in its_flat]))
    if len(mine) != len(its) or len(mine) > MOST:
        return None
    to = _nearest(mine, its)
    moved = np.split(its[to[which]], np.cumsum([len(c) for c in corners])[:-1])
    return [Hull(points) for points in moved]


def _nearest(mine: Array, its: Array) -> Index:
    """Which of its corners each of mine has become."""
    for shift in (np.zeros(3), its.mean(axis=0) - mine.mean(axis=0)):
        cost = (((mine + shift)[:, None] - its[None]) ** 2).sum(axis=2)
        to = cost.argmin(axis=1)
        if np.bincount(to, minlength=len(its)).max() == 1:
            return np.asarray(to)
    from scipy.optimize import linear_sum_assignment  # slow to import, and hardly ever needed

    return np.asarray(linear_sum_assignment(cost)[1])


def _distinct(points: Array) -> tuple[Array, Index]:
    """Corners without those that stand more than once, and which of them each one is."""
    _, first, which = np.unique(np.round(points / GRAIN_MM), axis=0, return_index=True, return_inverse=True)
    return points[first], np.asarray(which).ravel()
