"""The least change that restores a limit, in whole steps of what a shop can hold, found with few trials.

Distances are certified at every trial, and overlaps cost most: a search from below makes for the clear side at once,
one from above stays on it.
"""

from __future__ import annotations

from collections.abc import Callable
from math import ceil, floor
from typing import Final, TypeAlias

from geometry.units import System

Margin: TypeAlias = Callable[[int], float]
"""Distance less limit, mm, after so many steps; it does not fall as steps are added."""

SHOP_STEP_MM: Final[dict[System, float]] = {"in": 0.127, "mm": 0.1}
"""0.005 in or 0.1 mm: what is turned, milled or ground to in an ordinary shop (common practice, no source)."""
MOST_TRIALS: Final = 14
NO_USE: Final = 0.02
"""A change that gives back less than this share of itself is none that parts the two."""
SLOWEST: Final = 0.7
"""From above a step is taken to cost at least this share of itself, so that one trial does not lead far past."""


def least_steps(margin: Margin, short_mm: float, step_mm: float, most: int) -> int | None:
    """The least number of steps, 1 to ``most``, with a margin of zero or more; None when there is none.

    The answer has been tried; one step less has been tried too, or falls short by the line through the last trials.

    Parameters
    ----------
    short_mm : how much is short without any
    step_mm : how far one step moves a surface, at most
    """
    low, at_low, n = 0, -short_mm, min(most, max(1, ceil(short_mm / step_mm)))
    for _ in range(MOST_TRIALS):
        found = margin(n)
        if found >= 0:
            return _tightened(margin, (low, at_low), (n, found))
        if n == most or found + short_mm < NO_USE * n * step_mm:
            return None
        slope = max((found - at_low) / (n - low), NO_USE * step_mm)
        low, at_low, n = n, found, min(most, n + max(1, ceil(-found / slope)))
    return None


def _tightened(margin: Margin, low: tuple[int, float], high: tuple[int, float]) -> int:
    """The least number between one that falls short and one that does."""
    for _ in range(MOST_TRIALS):
        (n0, m0), (n1, m1) = low, high
        slope = (m1 - m0) / (n1 - n0)
        if n1 - n0 == 1 or m1 < slope:
            break
        n = min(max(n1 - floor(m1 / slope), n0 + 1), n1 - 1)
        found = margin(n)
        low, high = (low, (n, found)) if found >= 0 else ((n, found), high)
    return high[0]


def least_from_above(margin: Margin, step_mm: float, most: int) -> int | None:
    """The same from ``most`` down, for changes of which a little makes no difference at first."""
    if most < 1:
        return None
    low, high, at_high = 0, most, margin(most)
    slope, spare_mm = step_mm, SLOWEST * step_mm
    for _ in range(2 * MOST_TRIALS):
        if at_high < 0:
            return None
        if high - low == 1 or at_high < spare_mm:
            break
        n = min(max(high - floor(at_high / slope), low + 1), high - 1)
        found = margin(n)
        slope = spare_mm = max((at_high - found) / (high - n), SLOWEST * step_mm)
        if found >= 0:
            high, at_high = n, found
        else:
            low = n
    return high
