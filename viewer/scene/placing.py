"""Where labels go on the screen: beside what they name, inside the picture, never one over another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geometry.parts.solids import Array

DIRECTIONS = 24
STEP_SHARE = 0.6
"""Of a label's height, between one circle of trial places and the next."""


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the screen, px from the left and from the bottom."""

    left: float
    bottom: float
    width: float
    height: float

    @property
    def centre(self) -> tuple[float, float]:
        """Its middle."""
        return self.left + self.width / 2, self.bottom + self.height / 2

    def apart_from(self, other: Box, gap: float = 0.0) -> bool:
        """Whether the two keep at least the gap."""
        return (
            self.left + self.width + gap <= other.left
            or other.left + other.width + gap <= self.left
            or self.bottom + self.height + gap <= other.bottom
            or other.bottom + other.height + gap <= self.bottom
        )

    def within(self, width: float, height: float, margin: float = 0.0) -> bool:
        """Whether it lies inside a picture of this size."""
        return (
            self.left >= margin
            and self.bottom >= margin
            and self.left + self.width <= width - margin
            and self.bottom + self.height <= height - margin
        )


def place_labels(
    anchors_px: Array,
    sizes_px: Sequence[tuple[float, float]],
    picture_px: tuple[int, int],
    taken: Sequence[Box] = (),
    gap: float = 4.0,
    outward: Array | None = None,
) -> list[Box | None]:
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
    used = list(taken)
    found: list[Box | None] = []
    for index, (width, height) in enumerate(sizes_px):
        x, y = anchors_px[index]
        lean = None if outward is None else outward[index]
        box = next(
            (
                trial
                for trial in _trials(float(x), float(y), width, height, picture_px, gap, lean)
                if trial.within(*picture_px, margin=gap) and all(trial.apart_from(b, gap) for b in used)
            ),
            None,
        )
        if box is not None:
            used.append(box)
        found.append(box)
    return found


def _trials(
    x: float,
    y: float,
    width: float,
    height: float,
    picture_px: tuple[int, int],
    gap: float,
    lean: Array | None,
) -> list[Box]:
    """Places to try, nearest first, over the whole picture."""
    inside_x = float(np.clip(x, width / 2 + gap, max(picture_px[0] - width / 2 - gap, width / 2 + gap)))
    inside_y = float(np.clip(y, height / 2 + gap, max(picture_px[1] - height / 2 - gap, height / 2 + gap)))
    step = STEP_SHARE * height
    farthest = np.hypot(*picture_px)
    radius = np.concatenate([[0.0], np.arange(step, farthest, step)])
    turn = np.arange(DIRECTIONS) * 2.0 * np.pi / DIRECTIONS + np.pi / 2
    r, t = (grid.ravel() for grid in np.meshgrid(radius, turn, indexing="ij"))
    cost = r.copy()
    if lean is not None and np.linalg.norm(lean) > 0.0:
        toward = np.cos(t - np.arctan2(lean[1], lean[0]))
        cost = r * (1.25 - 0.25 * toward)
    order = np.argsort(cost, kind="stable")
    across = inside_x + r[order] * np.cos(t[order]) - width / 2
    up = inside_y + r[order] * np.sin(t[order]) - height / 2
    return [Box(float(a), float(b), width, height) for a, b in zip(across, up, strict=True)]
