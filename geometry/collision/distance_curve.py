"""Signed distance of two features against crank angle, for charts and for reading at one angle.

The search of ``certify`` is run on intervals of no width, one for each angle, so that the curve means exactly
what the minimum means: depth, hollow pieces and all.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from geometry.arrays import Array
from geometry.collision.branch_and_bound import Search
from geometry.collision.mover import Mover

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
    angles = np.atleast_1d(np.asarray(crank_deg, dtype=float))
    search = Search([(a, b)], accuracy_mm)
    search.start(angles.size)
    items_a, items_b = search.ab[0]
    each = items_a.size * items_b.size
    search.close(
        search.items.bounded(
            np.tile(np.arange(angles.size), each),
            np.repeat(items_a, items_b.size * angles.size),
            np.tile(np.repeat(items_b, angles.size), items_a.size),
            np.tile(np.radians(angles), each),
            np.zeros(each * angles.size),
        )
    )
    best = search.best
    return DistanceCurve(angles, best.upper, accuracy_mm, best.at_a.T.copy(), best.at_b.T.copy())
