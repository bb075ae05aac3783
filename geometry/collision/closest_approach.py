"""How near each point of a body's surface comes to everything else over the turn: for colouring, not for limits.

Points are compared with the exact pieces in closed form. A point cannot come nearer within half a step than the
largest relative speed times half the step allows, so steps that cannot beat what is known are dropped and the
others halved, until the proved error is as small as asked. The best angle of each point is then narrowed, which
makes the usual error far smaller than the proved one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from geometry.arrays import Array, Index, Mask
from geometry.collision.broad_phase import Culling
from geometry.collision.mover import Mover
from geometry.collision.piece_pairs import Items
from geometry.collision.points import distance_to
from geometry.kinematics.laws import Law, LawTable, period_deg
from geometry.solids import Hull

FIRST_STEP_DEG = 6.0
ERROR_MM = 0.25
NARROWINGS = 7


@dataclass(frozen=True, slots=True, eq=False)
class ApproachMap:
    """Nearest approach of points over the period.

    Attributes
    ----------
    distance_mm : (n,) smallest distance, below zero inside another piece; ``far_mm`` where nothing comes nearer
    crank_deg : (n,) angle at which it happens; nan where nothing comes near
    other : (n,) index of the mover that comes nearest, -1 where none does
    error_mm : proved: the true smallest distance is at most this much below ``distance_mm``
    """

    distance_mm: Array
    crank_deg: Array
    other: Array
    error_mm: float


@dataclass(slots=True, eq=False)
class _Task:
    """Points of one body against the pieces of others, and what is known so far."""

    law: LawTable
    points: Array
    items: Items
    speed: Array
    """(items,) largest relative speed of any point, mm per rad."""
    best: Array
    when: Array
    which: Index
    concerned: Sequence[Index]

    def distance(self, index: Index, item: int, theta: Array, half: float) -> Array:
        """Signed distance of some points at angles (n,) or (1,) to one item, exact where it can matter."""
        there = self._seen_from(index, item, theta)
        limit = self.best[index] + self.speed[item] * half
        found = self._slab(item, there)
        near = np.nonzero(found < limit)[0]
        found[near] = distance_to(self.items.piece[item], there[:, near].T, limit[near])
        return found

    def _seen_from(self, index: Index, item: int, theta: Array) -> Array:
        """Some points (3, n) in the frame of the body that carries an item. Both bodies turn about x alone."""
        angles, back = np.unique(theta, return_inverse=True) if theta.size > 1 else (theta, np.zeros(1, int))
        own = self.law.at(np.zeros(angles.size, dtype=np.intp), angles)
        other = self.items.pose(np.full(angles.size, item), angles)
        cos, sin = other.cos * own.cos + other.sin * own.sin, other.cos * own.sin - other.sin * own.cos
        way = other.into(np.stack([own.x - other.x, own.y - other.y, own.z - other.z]))
        cos, sin, way = cos[back], sin[back], way[:, back]
        x, y, z = self.points[index].T
        return np.stack([x + way[0], cos * y - sin * z + way[1], sin * y + cos * z + way[2]])

    def _slab(self, item: int, there: Array) -> Array:
        """Distance (n,) to the round slab that an item lies in: never more than to the item where it is not zero."""
        items, middle = self.items, self.items.centre[:, item]
        shift = items.laws.x[items.law[item]]
        across = np.hypot(there[1] - middle[1], there[2] - middle[2]) - items.disc[item]
        along = np.maximum(items.x0[item] - shift - there[0], there[0] - items.x1[item] + shift)
        outside = np.hypot(np.maximum(across, 0.0), np.maximum(along, 0.0))
        return np.where(outside > 0.0, outside, -np.inf)

    def learn(self, index: Index, item: int, theta: Array, found: Array) -> None:
        """Keep what is nearer than before; a point may occur more than once."""
        better = np.nonzero(found < self.best[index])[0]
        better = better[np.argsort(-found[better], kind="stable")]
        # assignment keeps the last: the nearest
        self.best[index[better]] = found[better]
        self.when[index[better]] = np.broadcast_to(theta, index.shape)[better]
        self.which[index[better]] = item


def closest_approach(
    law: Law,
    points_mm: Array,
    others: Sequence[Mover],
    far_mm: float = 25.0,
    error_mm: float = ERROR_MM,
    concerned: Sequence[Index] | None = None,
) -> ApproachMap:
    """Smallest distance of points of a body to other features over the period.

    Parameters
    ----------
    law : how the body moves
    points_mm : (n, 3) in the frame that the law moves
    others : everything the body is not joined to
    far_mm : distances beyond this are not told apart
    error_mm : proved error to stop at
    concerned : indices of the points that each of the others is held against; default all of them
    """
    points = np.asarray(points_mm, dtype=float)
    items = Items(_in_reach(law, points, others, far_mm))
    period = period_deg(law, *(m.law for m in others))
    task = _Task(
        LawTable([law]),
        points,
        items,
        _largest_speed(law, points) + _own_speeds(items),
        np.full(len(points), far_mm),
        np.full(len(points), np.nan),
        np.full(len(points), -1),
        concerned or [np.arange(len(points))] * len(others),
    )
    half = np.radians(FIRST_STEP_DEG) / 2
    last = half
    open_ = []
    for item in range(len(items.piece)):
        own_period = np.radians(period_deg(law, others[items.law[item]].law))
        theta = np.arange(half, own_period, 2 * half)
        near = _near(points, task, item, theta, far_mm + task.speed[item] * half)
        open_.append(_first_pass(task, item, theta[near], half))
    for item, (index, theta) in enumerate(open_):
        step = half
        while task.speed[item] * step > error_mm:
            step /= 2
            index, theta = _halve(task, item, index, theta, step)
        last = min(last, step)
    _narrow(task, last)
    owner = np.where(task.which >= 0, items.law[np.maximum(task.which, 0)], -1)
    return ApproachMap(task.best, np.degrees(task.when) % period, owner, error_mm)


def _in_reach(law: Law, points: Array, others: Sequence[Mover], far_mm: float) -> list[Mover]:
    """The same features; those of very many pieces with only the pieces that can come near the points."""
    low, high = points.min(axis=0), points.max(axis=0)
    box = Hull(np.stack(np.meshgrid(*zip(low, high, strict=True)), axis=-1).reshape(-1, 3))
    mine, culling = Mover("points", law, (box,)), Culling(far_mm)
    fewer = [culling.culled(mine, other)[1] for other in others]
    # a feature out of reach keeps one piece, so that the others keep their numbers
    return [
        few if few.pieces else replace(few, pieces=all_.pieces[:1])
        for few, all_ in zip(fewer, others, strict=True)
    ]


def _first_pass(task: _Task, item: int, theta: Array, half: float) -> tuple[Index, Array]:
    """All points at every first step; returns the points and angles that may still hold something nearer."""
    everyone = task.concerned[task.items.law[item]]
    kept: list[tuple[Index, Array, Array]] = []
    for angle in theta:
        found = task.distance(everyone, item, np.array([angle]), half)
        task.learn(everyone, item, np.array([angle]), found)
        keep = np.nonzero(found - task.speed[item] * half < task.best[everyone])[0]
        kept.append((everyone[keep], np.full(keep.size, angle), found[keep]))
    if not kept:
        return np.zeros(0, dtype=np.intp), np.zeros(0)
    index, angles, found = (np.concatenate([k[i] for k in kept]) for i in range(3))
    keep = found - task.speed[item] * half < task.best[index]
    return index[keep], angles[keep]


def _halve(task: _Task, item: int, index: Index, theta: Array, half: float) -> tuple[Index, Array]:
    """Both halves of each open step; returns those that stay open."""
    if not index.size:
        return index, theta
    index, theta = np.tile(index, 2), np.concatenate([theta - half, theta + half])
    found = task.distance(index, item, theta, half)
    task.learn(index, item, theta, found)
    keep = found - task.speed[item] * half < task.best[index]
    return index[keep], theta[keep]


def _near(points: Array, task: _Task, item: int, theta: Array, far: float) -> Mask:
    """At which angles an item can be within ``far`` of any point."""
    items, zeros = task.items, np.zeros(theta.size, dtype=np.intp)
    centre = (points.min(axis=0) + points.max(axis=0)) / 2
    reach = np.hypot(*(points - centre)[:, 1:].T).max()
    middle = task.law.at(zeros, theta).out(np.repeat(centre[:, None], theta.size, axis=1))
    other = items.pose(zeros + item, theta).out(np.repeat(items.centre[:, [item]], theta.size, axis=1))
    across = np.hypot(other[1] - middle[1], other[2] - middle[2]) - reach - items.disc[item]
    low, high = points[:, 0].min() + task.law.x[0], points[:, 0].max() + task.law.x[0]
    along = max(low - items.x1[item], items.x0[item] - high, 0.0)
    return np.asarray(np.hypot(np.maximum(across, 0.0), along) < far)


def _narrow(task: _Task, width: float) -> None:
    """Halve the step around the best angle of each point, against the piece that was nearest there."""
    for item in np.flatnonzero(np.bincount(task.which[task.which >= 0])).tolist():
        index = np.nonzero(task.which == item)[0]
        step = width
        for _ in range(NARROWINGS):
            centre = task.when[index].copy()
            for way in (-step, step):
                task.learn(index, item, centre + way, task.distance(index, item, centre + way, 0.0))
            step /= 2


def _largest_speed(law: Law, points: Array) -> float:
    """Largest speed of any point per radian of crank angle."""
    zero = np.zeros(1, dtype=np.intp)
    rho = np.hypot(points[:, 1], points[:, 2]).max()
    pin = np.hypot(points[:, 1], points[:, 2] - law.rod_mm).max()
    speed, _ = LawTable([law]).bounds(
        zero, np.zeros(1), np.full(1, 2 * np.pi), np.array([rho]), np.array([pin])
    )
    return float(speed[0])


def _own_speeds(items: Items) -> Array:
    """Largest speed (items,) of any point of each item per radian of crank angle."""
    n = len(items.piece)
    speed, _ = items.laws.bounds(items.law, np.zeros(n), np.full(n, 2 * np.pi), items.rho, items.rho_pin)
    return speed
