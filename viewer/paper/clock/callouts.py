"""Where the labels round a clock face stand: in two columns, in the order of the gaps, never over each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, radians
from typing import Literal

REACH = 1.21
"""Highest and lowest middle of a label; the ring of the top ring has radius 1."""
_FIXED = 1e6
"""Weight of a label that the others make room for."""


@dataclass(frozen=True, slots=True)
class FaceLabel:
    """One label.

    Attributes
    ----------
    key : what it names
    angle_deg : ring angle of that
    height : height of the label
    fixed : whether others make room for it
    """

    key: str
    angle_deg: float
    height: float
    fixed: bool = False

    @property
    def side(self) -> Literal[1, -1]:
        """1 for the right column, -1 for the left; the front belongs to the right, the rear to the left."""
        return 1 if self.angle_deg % 360.0 < 180.0 else -1


def placed(callouts: Sequence[FaceLabel]) -> dict[str, tuple[Literal[1, -1], float]]:
    """Side and height of the middle of every label.

    Each column is the nearest arrangement, in the sense of least squares, that keeps the order of the gaps and
    overlaps nowhere: with the room taken by the labels above subtracted, that is a monotone regression, solved
    exactly by pooling neighbours that are out of order.
    """
    out: dict[str, tuple[Literal[1, -1], float]] = {}
    for side in (1, -1):
        column = sorted((c for c in callouts if c.side == side), key=lambda c: (-_wanted(c), c.fixed))
        for callout, middle in zip(column, _spread(column), strict=True):
            out[callout.key] = (callout.side, middle)
    return out


def _wanted(callout: FaceLabel) -> float:
    return round(REACH * cos(radians(callout.angle_deg)), 9)


def _spread(column: Sequence[FaceLabel]) -> list[float]:
    if not column:
        return []
    below = [0.0]
    for upper, lower in pairwise(column):
        below.append(below[-1] + (upper.height + lower.height) / 2)
    pools: list[tuple[float, float, int]] = []  # mean, weight, how many
    for callout, used in zip(column, below, strict=True):
        mean, weight, count = _wanted(callout) + used, _FIXED if callout.fixed else 1.0, 1
        while pools and pools[-1][0] < mean:
            other, other_weight, other_count = pools.pop()
            mean = (mean * weight + other * other_weight) / (weight + other_weight)
            weight, count = weight + other_weight, count + other_count
        pools.append((mean, weight, count))
    free = [mean for mean, _, count in pools for _ in range(count)]
    floor = -REACH + below[-1]
    return [max(min(value, REACH), floor) - used for value, used in zip(free, below, strict=True)]
