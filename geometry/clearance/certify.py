"""The smallest signed distance of two features over a full turn, with its certificate."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from geometry.clearance.items import Problem, Side
from geometry.clearance.laws import Law
from geometry.clearance.nodes import NX, Count, T
from geometry.clearance.search import Search
from geometry.parts.solids import Array, Piece

TOLERANCE_MM = 0.01


@dataclass(frozen=True, slots=True, eq=False)
class Mover:
    """One feature of one body: a name for reports, how the body moves, and its pieces in the body's frame."""

    name: str
    law: Law
    pieces: tuple[Piece, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Approach:
    """Where two features come closest over the period.

    The true minimum of the modelled solids lies between ``min_mm - within_mm`` and ``min_mm``.

    Attributes
    ----------
    a, b : names of the movers
    min_mm : smallest signed distance found; below zero the depth of interference as ``depth`` defines it
    within_mm : certified half-width: the true minimum is no farther from ``min_mm`` than this
    crank_deg : crank angle at which it happens, 0 <= crank_deg < period
    at_a_mm, at_b_mm : (3,) nearest points of either side, in E; (nearly) deepest points when they interfere
    direction : (3,) unit vector from A to B along which the distance is measured, in E
    piece_a, piece_b : which piece of either side
    closer_than_mm : None, or the distance at which the search stopped: the pair is farther than
        ``min_mm - within_mm`` and was not followed up
    """

    a: str
    b: str
    min_mm: float
    within_mm: float
    crank_deg: float
    at_a_mm: Array = field(repr=False)
    at_b_mm: Array = field(repr=False)
    direction: Array = field(repr=False)
    piece_a: int
    piece_b: int


def certify(a: Mover, b: Mover, period_deg: float = 360.0, tolerance_mm: float = TOLERANCE_MM) -> Approach:
    """Smallest signed distance of two features over a period, proved to within ``tolerance_mm``.

    Raises
    ------
    ValueError
        When a piece has no volume, or the tolerance or the period is not above zero.
    """
    return certify_all([(a, b)], period_deg, tolerance_mm)[0]


def certify_all(
    pairs: Sequence[tuple[Mover, Mover]],
    period_deg: float | Sequence[float] = 360.0,
    tolerance_mm: float = TOLERANCE_MM,
    count: Count | None = None,
) -> list[Approach]:
    """``certify`` for many pairs at once, far cheaper than one by one."""
    if tolerance_mm <= 0:
        raise ValueError(f"the tolerance is {tolerance_mm:g} mm; it must be above zero")
    periods = np.broadcast_to(np.asarray(period_deg, dtype=float), (len(pairs),))
    if np.any(periods <= 0):
        raise ValueError("a period must be above zero degrees")
    sides: dict[int, Side] = {}
    for mover in (m for pair in pairs for m in pair):
        sides.setdefault(id(mover), Side(mover.law, mover.pieces))
    problems = [
        Problem(sides[id(a)], sides[id(b)], float(p)) for (a, b), p in zip(pairs, periods, strict=True)
    ]
    search = Search(problems, tolerance_mm, count=count if count is not None else Count())
    best = search.run()
    out = []
    for k, (a, b) in enumerate(pairs):
        first_a, first_b = (ids[0] for ids in search.ab[k])
        lower = min(best.lower[k], best.upper[k])
        out.append(
            Approach(
                a.name,
                b.name,
                float(best.upper[k]),
                float(best.upper[k] - lower),
                float(np.degrees(best.node[T, k]) % periods[k]),
                best.at_a[:, k],
                best.at_b[:, k],
                best.node[NX:, k],
                int(best.item_a[k] - first_a),
                int(best.item_b[k] - first_b),
            )
        )
    return out
