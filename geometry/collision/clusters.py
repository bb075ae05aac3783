"""Points in nested heaps, so that what stays away from a heap is asked once for all the points in it."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from geometry.arrays import Array, Index, Mask


@dataclass(frozen=True, slots=True, eq=False)
class Heaps:
    """A tree of heaps (h,): the first holds all points, the last single ones.

    Attributes
    ----------
    centre : (h, 3) middle of each
    radius : (h,) round it, mm; zero for a single point
    disc : (h,) the same square to x
    low, high : (h,) extent along x
    child : (h,) the first of two halves that follow each other, -1 for a single point
    point : (h,) the point of a single one, -1 elsewhere
    kinds : (h, words) a bit for each kind of point in it
    """

    centre: Array
    radius: Array
    disc: Array
    low: Array
    high: Array
    child: Index
    point: Index
    kinds: Index


def bits(marked: Mask) -> Index:
    """Marks (n, kinds) as bits (n, words)."""
    words = -(-marked.shape[1] // 32)
    wide = np.zeros((len(marked), 32 * words), dtype=np.intp)
    wide[:, : marked.shape[1]] = marked
    return np.asarray((wide.reshape(len(marked), words, 32) << np.arange(32)).sum(axis=2), dtype=np.intp)


def heaps(points: Array, kind: Index, kinds: int) -> Heaps:
    """The tree of points (n, 3), each of a kind (n,) out of so many; a heap is halved across its longest side."""
    order, start = np.arange(len(points)), np.zeros(1, dtype=np.intp)
    own = bits(kind[:, None] == np.arange(kinds))
    found, total = [], 0
    while order.size:
        size = np.diff(np.append(start, order.size))
        level, longest = _level(points, own, order, start, size, total)
        found.append(level)
        total += size.size
        run = np.repeat(np.arange(size.size), size)
        open_ = size[run] > 1
        order, run = order[open_], run[open_]
        order = order[np.lexsort((points[order, longest[run]], run))]
        halves = size[size > 1]
        halves = np.column_stack([halves // 2, halves - halves // 2]).ravel()
        start = np.cumsum(np.append(0, halves))[:-1]
    return Heaps(*(np.concatenate([getattr(level, f.name) for level in found]) for f in fields(Heaps)))


def _level(
    points: Array, own: Index, order: Index, start: Index, size: Index, before: int
) -> tuple[Heaps, Index]:
    """Heaps of one level, each a run of ``order``, and along which axis each is longest."""
    mine = points[order]
    low, high = np.minimum.reduceat(mine, start), np.maximum.reduceat(mine, start)
    centre = (low + high) / 2
    arm = mine - np.repeat(centre, size, axis=0)
    single = size == 1
    child = np.where(single, -1, before + size.size + 2 * (np.cumsum(~single) - 1))
    level = Heaps(
        centre,
        np.maximum.reduceat(np.sqrt(np.einsum("ij,ij->i", arm, arm)), start),
        np.maximum.reduceat(np.hypot(arm[:, 1], arm[:, 2]), start),
        low[:, 0], high[:, 0], child, np.where(single, order[start], -1),
        np.bitwise_or.reduceat(own[order], start),
    )  # fmt: skip
    return level, np.asarray((high - low).argmax(axis=1))
