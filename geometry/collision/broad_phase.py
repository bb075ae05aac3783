"""Which pairs of features can ever be near: found by a bound that is kept, not by a list written by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Array
from geometry.collision.mover import Mover
from geometry.collision.piece_pairs import Items
from geometry.kinematics.laws import period_deg

NEAR_MM = 6.0
"""Several times the largest limit of the trade: what stays farther apart needs no figure, only its bound."""
SAMPLES = 48
"""Crank angles per turn at which the reach is taken; what lies between is bounded by the acceleration."""
DIRECTIONS = 8
"""Half-planes square to the crank axis that enclose the reach of a feature: an octagon."""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A pair that is not followed up, and why.

    ``bound_mm`` is a proved lower bound of its distance over the whole period; nan for pairs that are joined
    or move as one.
    """

    a: str
    b: str
    reason: str
    bound_mm: float


def reach_bounds(movers: Sequence[Mover]) -> Array:
    """Proved lower bounds (n, n), mm, of the distance of any two features over the whole period.

    Each feature's reach over its period is enclosed in an octagon square to the crank axis and an interval
    along it. Between sampled angles the support in a fixed direction rises above its chord by at most
    a (step)^2 / 8, a the largest acceleration of the feature.
    """
    items = Items(movers)
    x_low, x_high, octagon = _reach(items, movers)
    along = np.maximum(x_low[:, None] - x_high[None], x_low[None] - x_high[:, None])
    opposite = np.roll(octagon, DIRECTIONS // 2, axis=0)
    across = (-octagon[:, :, None] - opposite[:, None, :]).max(axis=0)
    both = np.hypot(np.maximum(along, 0.0), np.maximum(across, 0.0))
    return np.asarray(np.where(both > 0, both, np.maximum(along, across)))


def _reach(items: Items, movers: Sequence[Mover]) -> tuple[Array, Array, Array]:
    """Extent along x, (n,) each, and support in the octagon's directions, (DIRECTIONS, n)."""
    turns = np.array([period_deg(m.law) / 360.0 for m in movers])
    samples = (turns * SAMPLES).astype(int)
    samples[[m.law.kind == "fixed" for m in movers]] = 1
    item = np.concatenate([np.repeat(ids, samples[k]) for k, ids in enumerate(items.of_mover)])
    theta = np.concatenate(
        [
            np.tile(np.arange(samples[k]) * 2 * np.pi / SAMPLES, ids.size)
            for k, ids in enumerate(items.of_mover)
        ]
    )
    pose = items.pose(item, theta)
    pieces = items.table.gather(item, items.table.middle[item], items.table.half[item])
    _, accel = items.laws.bounds(
        items.law[item], theta, np.full(item.size, np.pi / SAMPLES), items.rho[item], items.rho_pin[item]
    )
    owner = items.law[item]
    rise = np.zeros(len(movers))
    np.maximum.at(rise, owner, accel * (2 * np.pi / SAMPLES) ** 2 / 8)
    out = np.full((DIRECTIONS, len(movers)), -np.inf)
    for k in range(DIRECTIONS):
        angle = 2 * np.pi * k / DIRECTIONS
        n = np.zeros((3, item.size))
        n[1], n[2] = np.cos(angle), np.sin(angle)
        np.maximum.at(out[k], owner, pose.shift(n) + pieces.height(pose.into(n)))
    low, high = (np.full(len(movers), s * np.inf) for s in (1.0, -1.0))
    np.minimum.at(low, items.law, items.x0)
    np.maximum.at(high, items.law, items.x1)
    return low, high, out + rise
