"""Signed distance of two features against crank angle, for charts and for reading at one angle.

The search of ``certify`` is run on intervals of no width, one for each angle, so that the curve means exactly
what the minimum means: depth, hollow pieces and all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from geometry.arrays import Array, Index, Mask
from geometry.collision.branch_and_bound import Search
from geometry.collision.mover import Mover
from geometry.collision.nodes import Nodes

ACCURACY_MM = 1e-3


@dataclass(frozen=True, slots=True, eq=False)
class DistanceCurve:
    """Distance at each angle.

    Attributes
    ----------
    crank_deg : (m,)
    distance_mm : (m,) signed, as ``certify`` means it, at most ``accuracy_mm`` above the true distance
    accuracy_mm : proved
    at_a_mm, at_b_mm : (m, 3) nearest points, in E
    """

    crank_deg: Array
    distance_mm: Array
    accuracy_mm: float
    at_a_mm: Array
    at_b_mm: Array


def distance_curve(
    a: Mover, b: Mover, crank_deg: ArrayLike, accuracy_mm: float = ACCURACY_MM
) -> DistanceCurve:
    """Signed distance of two features at some crank angles.

    Parameters
    ----------
    crank_deg : (m,), deg in the running direction
    accuracy_mm : how far above the true distance an answer may be
    """
    return distance_curves([(a, b)], [np.atleast_1d(np.asarray(crank_deg, dtype=float))], accuracy_mm)[0]


def distance_curves(
    pairs: Sequence[tuple[Mover, Mover]], crank_deg: Sequence[Array], accuracy_mm: float = ACCURACY_MM
) -> list[DistanceCurve]:
    """``distance_curve`` of many pairs at once, far cheaper than one by one.

    Parameters
    ----------
    pairs : two features each
    crank_deg : (m,) for each pair
    accuracy_mm : as above
    """
    search, ends = _searched(pairs, crank_deg, Search(pairs, accuracy_mm))
    best = search.best
    at_a, at_b = best.at_a.T, best.at_b.T
    return [
        DistanceCurve(angles, best.upper[i:j].copy(), accuracy_mm, at_a[i:j].copy(), at_b[i:j].copy())
        for angles, i, j in zip(crank_deg, ends[:-1], ends[1:], strict=True)
    ]


def overlaps(
    pairs: Sequence[tuple[Mover, Mover]], crank_deg: Sequence[Array], accuracy_mm: float = ACCURACY_MM
) -> list[Mask]:
    """Whether two features overlap at some crank angles, of many pairs at once; cheaper than how deep they do.

    Parameters
    ----------
    pairs, crank_deg : as in ``distance_curves``
    accuracy_mm : an overlap no deeper than this may be missed

    Returns
    -------
    (m,) for each pair
    """
    search, ends = _searched(pairs, crank_deg, Search(pairs, accuracy_mm, 0.0, signs=True))
    met = search.best.upper < 0.0
    return [met[i:j] for i, j in pairwise(ends)]


def _searched(
    pairs: Sequence[tuple[Mover, Mover]], crank_deg: Sequence[Array], search: Search
) -> tuple[Search, Index]:
    """The search, closed over all angles, and where the angles of each pair begin and end in its numbers."""
    ends: Index = np.cumsum([0, *(angles.size for angles in crank_deg)])
    search.start(int(ends[-1]))
    pools: list[Nodes] = []
    for (items_a, items_b), angles, first in zip(search.ab, crank_deg, ends[:-1], strict=True):
        each = items_a.size * items_b.size
        pools.append(
            search.items.bounded(
                np.tile(first + np.arange(angles.size), each),
                np.repeat(items_a, items_b.size * angles.size),
                np.tile(np.repeat(items_b, angles.size), items_a.size),
                np.tile(np.radians(angles), each),
                np.zeros(each * angles.size),
            )
        )
    search.close(Nodes.join(pools))
    return search, ends
