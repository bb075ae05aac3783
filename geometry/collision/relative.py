"""Points of one moving body as the bodies round it see them, step by step of the turn.

Seen from another body, the way q of a point has an acceleration of at most A, so within half a step h to either side it
leaves the chords between the middle of the step and its ends by at most A h^2 / 8 (the error of linear interpolation),
and is nowhere farther from where it is in the middle than

    w = max(|q(t - h) - q(t)|, |q(t + h) - q(t)|) + A h^2 / 8

In the frame of a body that turns at the rate W with the acceleration W' about its origin c (speeds v, accelerations a,
Q the farthest that the point is from c) the motion of a point is bounded by

    |q'| <= v_point + v_c + W Q,   |q''| <= a_point + a_c + 2 W |q'| + sqrt(W^4 + W'^2) Q

by the rule of differentiation in a turning frame; the last two of its terms are square to each other.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Array, Index, Mask
from geometry.kinematics.laws import Law, LawTable, period_deg

_FAR_PIN_MM = 1e9
"""Distance from a rod's wrist pin at which the bound from its big end always holds."""


@dataclass(frozen=True, slots=True, eq=False)
class Ways:
    """Bounds of the motion of points (n,) of the body.

    Attributes
    ----------
    speed, accel : per radian of crank angle, and per radian squared, mm
    reach : distance from the crank axis, mm
    """

    speed: Array
    accel: Array
    reach: Array

    def take(self, chosen: Index | Mask) -> Ways:
        """Some of the points."""
        return Ways(self.speed[chosen], self.accel[chosen], self.reach[chosen])


class Relative:
    """How a body moves as seen from others.

    Parameters
    ----------
    law : of the body
    others : laws of the others
    step_deg : width of the first steps of the turn

    Attributes
    ----------
    steps : (others,) first steps until body and other stand to each other as before
    """

    def __init__(self, law: Law, others: Sequence[Law], step_deg: float) -> None:
        known: dict[Law, int] = {}
        self._which = np.array([known.setdefault(other, len(known)) for other in others], dtype=np.intp)
        periods = [period_deg(law, other) for other in known]
        self._own, self._other = LawTable([law]), LawTable(list(known))
        self._half = np.radians(step_deg) / 2
        self._most = round(max(periods, default=360.0) / step_deg)
        self.steps = np.array([round(p / step_deg) for p in periods], dtype=np.intp)[self._which]
        self._pin_mm = law.rod_mm
        count = len(known)
        self._speed, self._accel = self._bounds(self._other, np.zeros(count))
        turning = self._bounds(self._other, np.ones(count))
        self._turn, self._swing = turning[0] - self._speed, turning[1] - self._accel
        self._tables: dict[int, _Table] = {}
        self._reach = self._farthest(self._other) + self._speed * self._half
        speed, _ = self._bounds(self._own, np.zeros(1))
        self._own_reach = float(self._farthest(self._own)[0] + speed[0] * self._half)

    @staticmethod
    def _bounds(table: LawTable, rho: Array) -> tuple[Array, Array]:
        count = table.x.size
        every = np.arange(count)
        return table.bounds(
            every, np.zeros(count), np.full(count, 2 * np.pi), rho, np.full(count, _FAR_PIN_MM)
        )

    def _farthest(self, table: LawTable) -> Array:
        """How far (laws,) the origins are from the crank axis in the middle of any first step."""
        count = table.x.size
        theta = np.tile((2 * np.arange(self._most) + 1) * self._half, count)
        pose = table.at(np.repeat(np.arange(count), self._most), theta)
        return np.asarray(np.hypot(pose.y, pose.z).reshape(count, -1).max(axis=1))

    def ways(self, points: Array) -> Ways:
        """Bounds of the motion of points (n, 3) of the body."""
        n = len(points)
        rho = np.hypot(points[:, 1], points[:, 2])
        pin = np.hypot(points[:, 1], points[:, 2] - self._pin_mm)
        whole = np.full(n, 2 * np.pi)
        speed, accel = self._own.bounds(np.zeros(n, dtype=np.intp), np.zeros(n), whole, rho, pin)
        return Ways(speed, accel, self._own_reach + rho)

    def seen(self, points: Array, ways: Ways, other: Index, step: Index, level: int) -> tuple[Array, Array]:
        """Points (n, 3) in the frames of others (n,) in the middle of steps, and how far they go in half of one.

        Parameters
        ----------
        ways : of the points
        step : number of the step
        level : how often the first steps have been halved
        """
        half, law, table = self._half / 2**level, self._which[other], self._table(level)
        place = law * (2 * self._most * 2**level + 1) + 2 * step
        before, there, after = (_moved(points, *table.at(place + k)) for k in range(3))
        gone = np.maximum(_squared(before - there), _squared(after - there))
        far = ways.reach + self._reach[law]
        speed = ways.speed + self._speed[law] + self._turn[law] * far
        accel = ways.accel + self._accel[law] + 2 * self._turn[law] * speed + self._swing[law] * far
        return there, np.sqrt(gone) + accel * half**2 / 8

    def middle(self, step: Index, level: int) -> Array:
        """Crank angles (n,) in the middle of steps, rad."""
        return np.asarray((2 * step + 1) * self._half / 2**level)

    def at(self, points: Array, other: Index, theta: Array) -> Array:
        """Points (n, 3) in the frames of others (n,) at crank angles (n,), rad."""
        return _moved(points, *self._poses(self._which[other], theta))

    def _table(self, level: int) -> _Table:
        """Poses of the body in the frame of each other at the ends and middles of all steps."""
        if level not in self._tables:
            count = 2 * self._most * 2**level + 1
            width = self._half / 2**level
            self._tables[level] = _Table(
                count * self._other.x.size, lambda place: self._poses(place // count, place % count * width)
            )
        return self._tables[level]

    def _poses(self, law: Index, theta: Array) -> tuple[Array, Array]:
        """Cosine and sine (n, 2) of the body's turn in the frames of others, and its shift (n, 3) there."""
        own, other = self._own.at(np.zeros(theta.size, dtype=np.intp), theta), self._other.at(law, theta)
        cos, sin = other.cos * own.cos + other.sin * own.sin, other.cos * own.sin - other.sin * own.cos
        way = other.into(np.stack([own.x - other.x, own.y - other.y, own.z - other.z]))
        return np.column_stack([cos, sin]), way.T


class _Table:
    """Poses by number, each worked out when it is first asked for."""

    def __init__(self, count: int, pose: Callable[[Index], tuple[Array, Array]]) -> None:
        self._pose, self._known = pose, np.zeros(count, dtype=bool)
        self._row = np.empty((count, 5))

    def at(self, place: Index) -> tuple[Array, Array]:
        """Cosine and sine (n, 2) and shift (n, 3) of poses (n,)."""
        new = place[~self._known[place]]
        if new.size:
            new = np.unique(new)
            self._row[new] = np.hstack(self._pose(new))
            self._known[new] = True
        row = self._row[place]
        return row[:, :2], row[:, 2:]


def _moved(points: Array, turn: Array, shift: Array) -> Array:
    """Points (n, 3) turned about x by cosine and sine (n, 2) and shifted by (n, 3)."""
    cos, sin = turn.T
    out = np.empty_like(points)
    out[:, 0] = points[:, 0] + shift[:, 0]
    out[:, 1] = cos * points[:, 1] - sin * points[:, 2] + shift[:, 1]
    out[:, 2] = sin * points[:, 1] + cos * points[:, 2] + shift[:, 2]
    return out


def _squared(way: Array) -> Array:
    return np.asarray(np.einsum("ij,ij->i", way, way))
