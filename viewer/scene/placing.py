"""Where labels go on the screen: beside what they name, inside the picture, never one over another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from geometry.arrays import Array

DIRECTIONS = 24
STEP_SHARE = 0.6
"""Of a label's height, between one circle of trial places and the next."""


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A rectangle on the screen, px from the left and from the bottom."""

    left: float
    bottom: float
    width: float
    height: float

    @property
    def centre(self) -> tuple[float, float]:
        """Its middle."""
        return self.left + self.width / 2, self.bottom + self.height / 2

    @property
    def corners(self) -> Array:
        """Its four corners (4, 2), the lower left first, then round."""
        right, top = self.left + self.width, self.bottom + self.height
        return np.array([[self.left, self.bottom], [right, self.bottom], [right, top], [self.left, top]])

    def apart_from(self, other: Rectangle, gap: float = 0.0) -> bool:
        """Whether the two keep at least the gap."""
        return (
            self.left + self.width + gap <= other.left
            or other.left + other.width + gap <= self.left
            or self.bottom + self.height + gap <= other.bottom
            or other.bottom + other.height + gap <= self.bottom
        )

    def holds(self, x: float, y: float, beside: float = 0.0) -> bool:
        """Whether a point lies in it, or so far beside it to the left or right."""
        across = self.left - beside <= x <= self.left + self.width + beside
        return across and self.bottom <= y <= self.bottom + self.height


def place_labels(
    anchors_px: Array,
    sizes_px: Sequence[tuple[float, float]],
    picture_px: tuple[float, float],
    taken: Sequence[Rectangle] = (),
    gap: float = 4.0,
    outward: Array | None = None,
) -> list[Rectangle | None]:
    """Give every label a free place as near to its anchor as there is one.

    Parameters
    ----------
    anchors_px : (n, 2) float; earlier labels choose first
    sizes_px : width and height of each label
    picture_px : width and height of the picture
    taken : places that are already in use
    outward : (n, 2) direction in which each label would rather move away from its anchor, or None

    Returns
    -------
    One box per label; None where the picture has no room left at all.
    """
    used = np.array([[b.left, b.bottom, b.left + b.width, b.bottom + b.height] for b in taken]).reshape(-1, 4)
    found: list[Rectangle | None] = []
    for index, size in enumerate(sizes_px):
        lean = None if outward is None else outward[index]
        box = _free_place(anchors_px[index], size, picture_px, used, gap, lean)
        if box is not None:
            used = np.vstack([used, [box.left, box.bottom, box.left + box.width, box.bottom + box.height]])
        found.append(box)
    return found


def _free_place(
    anchor: Array,
    size: tuple[float, float],
    picture_px: tuple[float, float],
    used: Array,
    gap: float,
    lean: Array | None,
) -> Rectangle | None:
    """The nearest place that is inside the picture and free; the anchor itself when it can be."""
    half = np.array(size) / 2
    room = np.maximum(np.array(picture_px) - half - gap, half + gap)
    start = np.clip(anchor, half + gap, room)
    for trials in (start[None, :], _trials(start, size[1], picture_px, lean)):
        low, high = trials - half, trials + half
        inside = (low >= gap - 1e-9).all(axis=1) & (high <= np.array(picture_px) - gap + 1e-9).all(axis=1)
        apart = (low[:, None] >= used[None, :, 2:] + gap) | (high[:, None] + gap <= used[None, :, :2])
        free = np.flatnonzero(inside & np.all(np.any(apart, axis=2), axis=1))
        if len(free):
            left, bottom = low[free[0]]
            return Rectangle(float(left), float(bottom), *size)
    return None


def _trials(start: Array, height: float, picture_px: tuple[float, float], lean: Array | None) -> Array:
    """Middles to try, (k, 2), nearest first, over the whole picture."""
    r, t, arm = _rings(height, picture_px)
    cost = r
    if lean is not None and np.linalg.norm(lean) > 0.0:
        cost = r * (1.25 - 0.25 * np.cos(t - np.arctan2(lean[1], lean[0])))
    order = np.argsort(cost, kind="stable")
    return np.asarray(start + arm[order])


@lru_cache(maxsize=32)
def _rings(height: float, picture_px: tuple[float, float]) -> tuple[Array, Array, Array]:
    """Radii (k,), angles (k,) and offsets (k, 2) of the places round a label; the same from picture to picture."""
    step = STEP_SHARE * height
    radius = np.arange(step, np.hypot(*picture_px), step)
    turn = np.arange(DIRECTIONS) * 2.0 * np.pi / DIRECTIONS + np.pi / 2
    r, t = (grid.ravel() for grid in np.meshgrid(radius, turn, indexing="ij"))
    return r, t, np.column_stack([r * np.cos(t), r * np.sin(t)])
