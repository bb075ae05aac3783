"""The smallest signed distance of two features over a full turn, with its certificate."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field

import numpy as np

from geometry.arrays import Array
from geometry.collision.branch_and_bound import Search
from geometry.collision.broad_phase import Culling
from geometry.collision.congruence import Displacement, Fingerprints
from geometry.collision.mover import Mover
from geometry.collision.nodes import NX, Count, T

TOLERANCE_MM = 0.01
_ARE_POINTS = np.array([1.0, 1.0, 0.0])
"""Two points and a direction: only points are shifted."""


@dataclass(frozen=True, slots=True, eq=False)
class Approach:
    """Where two features come closest over the period.

    The true minimum of the modelled solids, signed as ``penetration`` says, lies between ``min_mm - within_mm`` and
    ``min_mm``.

    Attributes
    ----------
    a, b : names of the movers
    min_mm : smallest signed distance found; below zero the depth of interference as ``penetration`` says.
        Against a measured surface it is the way out of the deepest single triangle, or from a point within the
        solid to its surface: the part must be moved at least that far, perhaps farther
    within_mm : certified half-width: the true minimum is no farther below ``min_mm`` than this; more than the
        tolerance asked for only where parts overlap by so much, or so many do, that their depth was worked out
        coarsely, or the search was cut short (``branch_and_bound.FINE_NODES``, ``MAX_NODES``); it tells of either
    crank_deg : crank angle at which it happens, 0 <= crank_deg < period
    at_a_mm, at_b_mm : (3,) nearest points of either side, in E; (nearly) deepest points when they interfere
    direction : (3,) unit vector from A to B along which the distance is measured, in E
    piece_a, piece_b : which piece of either side
    bound_only : the pair was proved farther apart than was asked for and not followed up; the certificate
        ``min_mm - within_mm`` holds, the half-width is wide (without limit when no place was looked at)
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
    bound_only: bool = False

    @property
    def floor_mm(self) -> float:
        """The proved lower bound of the signed distance over the whole period."""
        return self.min_mm - self.within_mm if np.isfinite(self.within_mm) else self.min_mm


@dataclass(slots=True, eq=False)
class Memory:
    """Answers found before, by what the problem is; hand the same one to several calls to reuse them."""

    prints: Fingerprints = field(default_factory=Fingerprints)
    answers: dict[Hashable, Approach] = field(default_factory=dict)
    """By key: the answer in the standard place of its key."""


def certify(a: Mover, b: Mover, period_deg: float = 360.0, tolerance_mm: float = TOLERANCE_MM) -> Approach:
    """Smallest signed distance of two features over a period, proved to within ``tolerance_mm``.

    Parameters
    ----------
    period_deg : crank angle after which both stand as before; ``laws.period_deg`` tells it
    tolerance_mm : the true minimum is no farther below the answer than this

    Raises
    ------
    ValueError
        When a piece has no volume, or the tolerance or the period is not above zero.

    Examples
    --------
    A pin of radius 10 goes round at 30 mm from the crank axis, below a wall that begins at z = 50: it comes within 10,
    straight up, which is a quarter turn from +y.

    >>> from geometry.kinematics import laws
    >>> from geometry.kinematics.poses import translation
    >>> from geometry.solids import Box, Cylinder
    >>> lengthwise = translation([0.0, 30.0, 0.0]) @ [[0, 0, 1, 0], [0, 1, 0, 0], [-1, 0, 0, 0], [0, 0, 0, 1]]
    >>> pin = Mover("pin", laws.spin(), (Cylinder(10.0, 20.0, lengthwise),))
    >>> wall = Mover("wall", laws.fixed(z_mm=55.0), (Box((40.0, 200.0, 10.0)),))
    >>> found = certify(pin, wall)
    >>> abs(found.min_mm - 10.0) < 0.01, found.within_mm <= 0.01, round(found.crank_deg)
    (True, True, 90)
    """
    return certify_all([(a, b)], period_deg, tolerance_mm)[0]


def certify_all(
    pairs: Sequence[tuple[Mover, Mover]],
    period_deg: float | Sequence[float] = 360.0,
    tolerance_mm: float = TOLERANCE_MM,
    far_mm: float = np.inf,
    memory: Memory | None = None,
    count: Count | None = None,
    floors_only: bool = False,
) -> list[Approach]:
    """``certify`` for many pairs at once, far cheaper than one by one; like pairs are solved once.

    Parameters
    ----------
    pairs : two features each
    period_deg : one period for all pairs, or one each; 720 where a cam takes part
    tolerance_mm : certified half-width of each answer
    far_mm : pairs proved farther apart than this are left at that (``Approach.bound_only``); of features with many
        pieces only those that can come so near are searched, and ``piece_a`` and ``piece_b`` count among those
    memory : answers to reuse and to add to
    count : filled with what the search spent
    floors_only : ``floor_mm`` alone is wanted: places and upper bounds are left as the search found them

    Returns
    -------
    One answer for each pair, in their order.

    Raises
    ------
    ValueError
        As ``certify``.
    """
    if not tolerance_mm > 0:
        raise ValueError(f"the tolerance is {tolerance_mm:g} mm; it must be above zero")
    periods = np.broadcast_to(np.asarray(period_deg, dtype=float), (len(pairs),))
    if np.any(periods <= 0):
        raise ValueError("a period must be above zero degrees")
    memory = Memory() if memory is None else memory
    if np.isinf(far_mm):
        return _alike(pairs, periods, (tolerance_mm, far_mm, floors_only), memory, count or Count())
    culling = Culling(far_mm)
    culled = [culling.culled(a, b) for a, b in pairs]
    open_ = [k for k, (a, _, _) in enumerate(culled) if a.pieces]
    asked = [culled[k][:2] for k in open_]
    found = _alike(asked, periods[open_], (tolerance_mm, far_mm, floors_only), memory, count or Count())
    out = [_never_near(a, b, bound) for (a, b), (*_, bound) in zip(pairs, culled, strict=True)]
    for k, approach in zip(open_, found, strict=True):
        far = approach.bound_only and approach.floor_mm > culled[k][2]
        out[k] = out[k] if far else approach
    return out


def _never_near(a: Mover, b: Mover, bound_mm: float) -> Approach:
    """What is said of a pair of which nothing more than a bound is known."""
    nowhere = np.zeros(3)
    return Approach(
        a.name, b.name, bound_mm, 0.0, 0.0, nowhere, nowhere, nowhere, piece_a=0, piece_b=0, bound_only=True
    )


def _alike(
    pairs: Sequence[tuple[Mover, Mover]],
    periods: Array,
    wanted: tuple[float, float, bool],
    memory: Memory,
    count: Count,
) -> list[Approach]:
    """Search one of each class of like pairs, unless its answer is known, and carry the answers to all."""
    keyed = [
        memory.prints.of([(a.law, a.pieces), (b.law, b.pieces)], float(period))
        for (a, b), period in zip(pairs, periods, strict=True)
    ]
    keys = [(key, *wanted) for key, _ in keyed]
    new = {key: k for k, key in reversed(list(enumerate(keys))) if key not in memory.answers}
    chosen = sorted(new.values())
    found = _solve([pairs[k] for k in chosen], periods[chosen], wanted, count)
    for k, approach in zip(chosen, found, strict=True):
        memory.answers[keys[k]] = _moved(approach, pairs[k], keyed[k][1], periods[k], out=False)
    return [
        _moved(memory.answers[key], pair, place, period, out=True)
        for key, pair, (_, place), period in zip(keys, pairs, keyed, periods, strict=True)
    ]


def _moved(
    approach: Approach, pair: tuple[Mover, Mover], place: Displacement, period_deg: float, out: bool
) -> Approach:
    """An answer carried from the standard place of its problem to that of a pair (``out``), or back."""
    carry, zero = (place.from_standard, place.zero_deg) if out else (place.to_standard, -place.zero_deg)
    vectors = carry(np.array([approach.at_a_mm, approach.at_b_mm, approach.direction]).T, _ARE_POINTS)
    crank = float((approach.crank_deg + zero) % period_deg)
    at_a, at_b, direction = vectors.T
    return Approach(
        pair[0].name,
        pair[1].name,
        approach.min_mm,
        approach.within_mm,
        crank,
        at_a,
        at_b,
        direction,
        approach.piece_a,
        approach.piece_b,
        approach.bound_only,
    )


def _solve(
    pairs: Sequence[tuple[Mover, Mover]], periods: Array, wanted: tuple[float, float, bool], count: Count
) -> list[Approach]:
    """Search pairs that are all different; ``wanted`` is tolerance, what counts as far, and whether floors alone."""
    if not pairs:
        return []
    tolerance_mm, far_mm, floors_only = wanted
    search = Search(pairs, tolerance_mm, far_mm, count)
    best = search.run(periods, polished=not floors_only)
    out = []
    for k, (a, b) in enumerate(pairs):
        first_a, first_b = (ids[0] for ids in search.ab[k])
        upper, lower = float(best.upper[k]), float(min(best.lower[k], best.upper[k]))
        out.append(
            Approach(
                a.name,
                b.name,
                upper if np.isfinite(upper) else lower,
                upper - lower,
                float(np.degrees(best.node[T, k]) % periods[k]),
                best.at_a[:, k].copy(),
                best.at_b[:, k].copy(),
                best.node[NX:, k].copy(),
                int(best.item_a[k] - first_a),
                int(best.item_b[k] - first_b),
                bound_only=bool(lower >= far_mm),
            )
        )
    return out
