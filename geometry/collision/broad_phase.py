"""Broad phase: what can never be near, proved by bounding volumes; what is left goes to the exact distance.

The bounding volume of a thing, a piece or a whole feature, is a prism along the crank: an octagon square to it and
an interval along it, in which nothing moves. The octagon's sides are supports in eight fixed directions, taken at
``SAMPLES`` angles a turn. Between two of them the support along a fixed direction n is a greatest n . p(theta) over the
points p, each of which rises above its chord by at most a w^2 / 8 over an interval of width w, a the largest
acceleration there (the error of linear interpolation, a (theta - t0)(t1 - theta) / 2 at most). So the greater support
of both ends plus that is never too small.

Two prisms are as far apart as their projections: along the crank, and along the best of the eight directions; those two
are square to each other, so where both are positive the root of the sum of their squares holds. The same bound is
asked first of whole features over the whole period, then, of features with many pieces, of runs of neighbours and of
single pieces, step by step of the turn.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.arrays import Array, Index
from geometry.collision.mover import Mover
from geometry.collision.piece_pairs import Items
from geometry.collision.support import circles_of
from geometry.kinematics.laws import period_deg
from geometry.solids import Hull

NEAR_MM: Final = 6.0
"""Several times the largest limit of the trade: what stays farther apart needs no figure, only its bound."""
SAMPLES: Final = 48
"""Crank angles a turn at which supports are taken."""
DIRECTIONS: Final = 8
MANY: Final = 48
"""Features of fewer pieces are left as they are: to look at every piece costs as much as to search it."""
RUN: Final = 32
FEW: Final = 64
"""Pieces of the other side that are asked one by one; more of them are asked as runs."""
_SIZES: Final = (4, 8, 16)
"""Pieces of about as many circles are asked together."""
_WIDTH_RAD: Final = 2 * np.pi / SAMPLES


@dataclass(frozen=True, slots=True, eq=False)
class Volumes:
    """Bounding volumes of n things: octagons (DIRECTIONS, n, steps) and ends along the crank (n,), mm.

    ``steps`` is 1 for what stands still, and for volumes over a whole period.
    """

    octagon: Array
    low: Array
    high: Array

    def runs(self, size: int) -> Volumes:
        """The volumes of so many neighbours at a time."""
        starts = np.arange(0, self.low.size, size)
        return Volumes(
            np.maximum.reduceat(self.octagon, starts, axis=1),
            np.minimum.reduceat(self.low, starts),
            np.maximum.reduceat(self.high, starts),
        )

    def at(self, things: Index, steps: Index) -> Volumes:
        """Some things at some steps."""
        still = self.octagon.shape[2] == 1
        part = self.octagon[:, things]
        return Volumes(part if still else part[:, :, steps], self.low[things], self.high[things])

    def over(self, steps: int) -> Volumes:
        """The same over a longer period."""
        mine = self.octagon.shape[2]
        if mine in (1, steps):
            return self
        return Volumes(np.tile(self.octagon, (1, 1, steps // mine)), self.low, self.high)

    def apart(self, other: Volumes, k: int) -> Array:
        """Lower bounds (n, steps) of the distance to thing ``k`` of another side."""
        opposite = np.roll(other.octagon[:, [k]], DIRECTIONS // 2, axis=0)
        across = (-self.octagon - opposite).max(axis=0)
        along = np.maximum(self.low - other.high[k], other.low[k] - self.high)[:, None]
        return _distance(along, across)

    def nearest(self, other: Volumes) -> Array:
        """Lower bounds (n, steps) of the distance to the nearest thing of another side."""
        found = self.apart(other, 0)
        for k in range(1, other.low.size):
            found = np.minimum(found, self.apart(other, k))
        return found


def _distance(along: Array, across: Array) -> Array:
    """Bound of the distance from the gaps along the crank and across it; below zero the shorter overlap."""
    both = np.hypot(np.maximum(along, 0.0), np.maximum(across, 0.0))
    return np.asarray(np.where(both > 0, both, np.maximum(along, across)))


def reach_bounds(movers: Sequence[Mover]) -> Array:
    """Proved lower bounds (n, n), mm, of the distance of any two features over the whole period."""
    whole = _over_the_period(movers)
    along = np.maximum(whole.low[:, None] - whole.high[None], whole.low[None] - whole.high[:, None])
    octagon = whole.octagon[:, :, 0]
    opposite = np.roll(octagon, DIRECTIONS // 2, axis=0)
    return _distance(along, (-octagon[:, :, None] - opposite[:, None, :]).max(axis=0))


def _over_the_period(movers: Sequence[Mover]) -> Volumes:
    """The volume of each whole feature, in one step."""
    items, count = Items(movers), len(movers)
    samples = np.array([_samples(mover) for mover in movers])[items.law]
    turning = items.laws.turning[items.law]
    size = np.searchsorted(_SIZES, items.table.size)
    octagon, rise = np.full((count, DIRECTIONS), -np.inf), np.zeros(count)
    # a set, and not numpy's: that one loads its masked arrays first, which takes longer than all of this
    for often, turns, large in set(zip(samples.tolist(), turning.tolist(), size.tolist(), strict=True)):
        (alike,) = np.nonzero((samples == often) & (turning == turns) & (size == large))
        supports, accel = _supports(items, alike, often, turns)
        np.maximum.at(octagon, items.law[alike], supports.max(axis=2).T)
        np.maximum.at(rise, items.law[alike], accel.max(axis=1) * _WIDTH_RAD**2 / 8)
    low, high = np.full(count, np.inf), np.full(count, -np.inf)
    np.minimum.at(low, items.law, items.x0)
    np.maximum.at(high, items.law, items.x1)
    return Volumes((octagon.T + rise)[:, :, None], low, high)


def volumes_of(mover: Mover) -> Volumes:
    """The volumes of the pieces of one feature, in steps of its own period."""
    items, samples = Items([mover]), _samples(mover)
    every = np.arange(len(mover.pieces))
    octagon, accel = _supports(items, every, samples, bool(items.laws.turning[0]))
    if samples > 1:
        # a step reaches from one sample to the next: half of it is bounded about either
        accel = np.maximum(accel, np.roll(accel, -1, axis=1))
        octagon = np.maximum(octagon, np.roll(octagon, -1, axis=2)) + accel * _WIDTH_RAD**2 / 8
    return Volumes(octagon, items.x0, items.x1)


def _samples(mover: Mover) -> int:
    """Angles of a feature's own period at which its supports are taken."""
    return 1 if mover.law.kind == "fixed" else round(SAMPLES * period_deg(mover.law) / 360.0)


def _supports(items: Items, item: Index, samples: int, turning: bool) -> tuple[Array, Array]:
    """Supports (DIRECTIONS, n, samples) of pieces, and their accelerations (n, samples) for half a step either way."""
    shape = (item.size, samples)
    theta = np.tile(np.arange(samples) * 2 * np.pi / SAMPLES, item.size)
    every = np.repeat(item, samples)
    pose = items.pose(every, theta)
    # what slides without turning shows the same side all the time: one look is enough
    seen, pose_seen = (every, pose) if turning else (item, pose.take(np.arange(item.size) * samples))
    pieces = items.table.gather(seen, items.table.middle[seen], items.table.half[seen])
    octagon = np.empty((DIRECTIONS, *shape))
    for k in range(DIRECTIONS):
        angle = 2 * np.pi * k / DIRECTIONS
        n = np.array([[0.0], [np.cos(angle)], [np.sin(angle)]])
        height = pieces.height(pose_seen.into(np.repeat(n, seen.size, axis=1)))
        octagon[k] = pose.shift(np.repeat(n, every.size, axis=1)).reshape(shape) + height.reshape(
            item.size, -1
        )
    _, accel = items.laws.bounds(
        items.law[every], theta, np.full(every.size, np.pi / SAMPLES), items.rho[every], items.rho_pin[every]
    )
    return octagon, accel.reshape(shape)


def boxed(mover: Mover) -> Mover:
    """A feature of many flat pieces as the box around them in its own frame: never smaller, and quick to ask."""
    if len(mover.pieces) <= MANY or not all(isinstance(piece, Hull) for piece in mover.pieces):
        return mover
    corners = np.concatenate([circles_of(piece).centre_mm for piece in mover.pieces])
    low, high = corners.min(axis=0), corners.max(axis=0)
    grid = np.stack(np.meshgrid(*zip(low, high, strict=True)), axis=-1).reshape(-1, 3)
    return replace(mover, pieces=(Hull(grid),))


@dataclass(slots=True, eq=False)
class Culling:
    """Takes from pairs of features the pieces that can never come near; remembers the volumes of each feature."""

    near_mm: float
    _volumes: dict[int, tuple[Mover, Volumes]] = field(default_factory=dict)

    def culled(self, a: Mover, b: Mover) -> tuple[Mover, Mover, float]:
        """The pair with only the pieces that can come within ``near_mm`` of the other side.

        Returns
        -------
        a, b : with fewer pieces, or none where they never come near
        bound_mm : proved: what was left out stays at least this far from the other side
        """
        if max(len(a.pieces), len(b.pieces)) <= MANY:
            return a, b, np.inf
        steps = round(SAMPLES * period_deg(a.law, b.law) / 360.0)
        kept = [np.arange(len(m.pieces)) for m in (a, b)]
        volumes = [self._of(m).over(steps) for m in (a, b)]
        bound = np.inf
        first = int(len(b.pieces) > len(a.pieces))
        for side in (first, 1 - first, first):
            other = volumes[1 - side].at(kept[1 - side], np.arange(steps))
            found, left_out = _near(volumes[side], kept[side], other, self.near_mm)
            bound, kept[side] = min(bound, left_out), found
            if not found.size:
                return replace(a, pieces=()), replace(b, pieces=()), bound
        return _with(a, kept[0]), _with(b, kept[1]), bound

    def _of(self, mover: Mover) -> Volumes:
        held = self._volumes.get(id(mover))
        if held is None:
            held = self._volumes[id(mover)] = (mover, volumes_of(mover))
        return held[1]


def _with(mover: Mover, kept: Index) -> Mover:
    if kept.size == len(mover.pieces):
        return mover
    return replace(mover, pieces=tuple(mover.pieces[k] for k in kept.tolist()))


def _near(mine: Volumes, kept: Index, other: Volumes, near_mm: float) -> tuple[Index, float]:
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
