"""Of features with thousands of pieces, which pieces can come near another feature at all.

The turn is cut into steps. Over each step a piece is enclosed in an octagon square to the crank axis and an
interval along it: between the ends of a step the support in a fixed direction rises above its chord by at most
a step^2 / 8, a the largest acceleration. What stays out of reach in every step is left out; runs of neighbours
are asked first, then their pieces one by one. The bound of what was left out is kept.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.arrays import Array, Index
from geometry.collision.broad_phase import DIRECTIONS
from geometry.collision.mover import Mover
from geometry.collision.piece_pairs import Items
from geometry.collision.support import circles_of
from geometry.kinematics.laws import period_deg
from geometry.solids import Hull

MANY: Final = 48
"""Features of fewer pieces are left as they are."""
STEPS: Final = 72
RUN: Final = 32
FEW: Final = 64
"""Pieces of the other side that are asked one by one; more of them are asked as runs."""


@dataclass(frozen=True, slots=True, eq=False)
class Reach:
    """Enclosures of n things: octagons (DIRECTIONS, n, steps) and ends along the crank (n,), mm.

    ``steps`` is 1 for what stands still.
    """

    octagon: Array
    low: Array
    high: Array

    def runs(self, size: int) -> Reach:
        """The enclosures of so many neighbours at a time."""
        starts = np.arange(0, self.low.size, size)
        return Reach(
            np.maximum.reduceat(self.octagon, starts, axis=1),
            np.minimum.reduceat(self.low, starts),
            np.maximum.reduceat(self.high, starts),
        )

    def at(self, things: Index, steps: Index) -> Reach:
        """Some things at some steps."""
        still = self.octagon.shape[2] == 1
        part = self.octagon[:, things]
        return Reach(part if still else part[:, :, steps], self.low[things], self.high[things])

    def over(self, steps: int) -> Reach:
        """The same over a longer period."""
        mine = self.octagon.shape[2]
        if mine in (1, steps):
            return self
        return Reach(np.tile(self.octagon, (1, 1, steps // mine)), self.low, self.high)

    def gap(self, other: Reach, k: int) -> Array:
        """Lower bounds (n, steps) of the distance to thing ``k`` of another side."""
        opposite = np.roll(other.octagon[:, [k]], DIRECTIONS // 2, axis=0)
        across = (-self.octagon - opposite).max(axis=0)
        along = np.maximum(self.low - other.high[k], other.low[k] - self.high)[:, None]
        both = np.hypot(np.maximum(along, 0.0), np.maximum(across, 0.0))
        return np.asarray(np.where(both > 0, both, np.maximum(along, across)))

    def nearest(self, other: Reach) -> Array:
        """Lower bounds (n, steps) of the distance to the nearest thing of another side."""
        found = self.gap(other, 0)
        for k in range(1, other.low.size):
            found = np.minimum(found, self.gap(other, k))
        return found


def boxed(mover: Mover) -> Mover:
    """A feature of many flat pieces as the box around them in its own frame: never smaller, and quick to ask."""
    if len(mover.pieces) <= MANY or not all(isinstance(piece, Hull) for piece in mover.pieces):
        return mover
    corners = np.concatenate([circles_of(piece).centre_mm for piece in mover.pieces])
    low, high = corners.min(axis=0), corners.max(axis=0)
    grid = np.stack(np.meshgrid(*zip(low, high, strict=True)), axis=-1).reshape(-1, 3)
    return replace(mover, pieces=(Hull(grid),))


@dataclass(frozen=True, slots=True, eq=False)
class Narrowed:
    """A pair cut down to the pieces that can come near; no pieces are left of a pair that never does.

    Attributes
    ----------
    a, b : the pair with fewer pieces
    bound_mm : proved: what was left out stays at least this far from the other side
    """

    a: Mover
    b: Mover
    bound_mm: float


@dataclass(slots=True, eq=False)
class Narrower:
    """Cuts pairs of features down; remembers the reach of each feature."""

    near_mm: float
    _whole: dict[int, tuple[Mover, Reach]] = field(default_factory=dict)

    def narrowed(self, a: Mover, b: Mover) -> Narrowed:
        """The pair with only the pieces that can come within ``near_mm`` of the other side."""
        if max(len(a.pieces), len(b.pieces)) <= MANY:
            return Narrowed(a, b, np.inf)
        steps = round(STEPS * period_deg(a.law, b.law) / 360.0)
        kept = [np.arange(len(m.pieces)) for m in (a, b)]
        reach = [self._reach(m).over(steps) for m in (a, b)]
        bound = np.inf
        first = int(len(b.pieces) > len(a.pieces))
        for side in (first, 1 - first, first):
            other = reach[1 - side].at(kept[1 - side], np.arange(steps))
            found, left_out = _near(reach[side], kept[side], other, self.near_mm)
            bound, kept[side] = min(bound, left_out), found
            if not found.size:
                return Narrowed(replace(a, pieces=()), replace(b, pieces=()), bound)
        return Narrowed(_with(a, kept[0]), _with(b, kept[1]), bound)

    def _reach(self, mover: Mover) -> Reach:
        held = self._whole.get(id(mover))
        if held is None:
            held = self._whole[id(mover)] = (mover, reach_of(mover))
        return held[1]


def _with(mover: Mover, kept: Index) -> Mover:
    if kept.size == len(mover.pieces):
        return mover
    return replace(mover, pieces=tuple(mover.pieces[k] for k in kept.tolist()))


def _near(mine: Reach, kept: Index, other: Reach, near_mm: float) -> tuple[Index, float]:
    """Which of some things come within reach of another side in any step, and the bound of the rest."""
    if other.low.size > FEW:
        other = other.runs(-(-other.low.size // FEW))
    steps = np.arange(max(mine.octagon.shape[2], other.octagon.shape[2]))
    part = mine.at(kept, steps)
    runs = part.runs(RUN).nearest(other)
    bound = np.inf
    near_runs = runs.min(axis=1) <= near_mm
    if not near_runs.all():
        bound = float(runs.min(axis=1)[~near_runs].min())
    live = np.nonzero(runs.min(axis=0) <= near_mm)[0] if runs.shape[1] == steps.size else steps
    at = np.nonzero(np.repeat(near_runs, RUN)[: kept.size])[0]
    if not at.size:
        return kept[:0], bound
    least = part.at(at, live).nearest(other.at(np.arange(other.low.size), live)).min(axis=1)
    near: NDArray[np.bool_] = least <= near_mm
    if not near.all():
        bound = min(bound, float(least[~near].min()))
    return kept[at[near]], bound


def reach_of(mover: Mover) -> Reach:
    """Enclosures of the pieces of a feature over its own period."""
    items = Items([mover])
    n = len(mover.pieces)
    still = mover.law.kind == "fixed"
    steps = 1 if still else round(STEPS * period_deg(mover.law) / 360.0)
    width = 2 * np.pi / STEPS
    item, theta = np.repeat(np.arange(n), steps), np.tile(np.arange(steps) * width, n)
    pose = items.pose(item, theta)
    pieces = items.table.gather(item, items.table.middle[item], items.table.half[item])
    octagon = np.empty((DIRECTIONS, n, steps))
    for k in range(DIRECTIONS):
        direction = np.zeros((3, item.size))
        direction[1], direction[2] = np.cos(2 * np.pi * k / DIRECTIONS), np.sin(2 * np.pi * k / DIRECTIONS)
        octagon[k] = (pose.shift(direction) + pieces.height(pose.into(direction))).reshape(n, steps)
    if not still:
        _, accel = items.laws.bounds(
            items.law[item],
            theta + width / 2,
            np.full(item.size, width / 2),
            items.rho[item],
            items.rho_pin[item],
        )
        octagon = np.maximum(octagon, np.roll(octagon, -1, axis=2)) + accel.reshape(n, steps) * width**2 / 8
    return Reach(octagon, items.x0, items.x1)
