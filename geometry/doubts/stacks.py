"""Each margin stacked two ways: all values at their worst at once, and root-sum-square.

The root-sum-square stack adds the variances of independent values and takes 3 sigma of the sum. Where each value's
doubt is plus and minus 3 sigma, that is the root of the sum of the squared doubts; a value that may lie anywhere within
its doubt counts with the square root of 3 times as much (F. Scholz, Tolerance Stack Analysis Methods, 1995: RSS
method, and inflation factors for other distributions).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from statistics import NormalDist
from typing import Final

import numpy as np

from geometry.arrays import Array
from geometry.doubts.answers import Doubtful
from geometry.doubts.box import Coordinate
from geometry.doubts.chance import SIGMAS, Spread
from geometry.doubts.margins import margins_of, towards

GRID: Final = 2000
"""Places of a value by which its mean and its variance are worked out."""


@dataclass(frozen=True, slots=True)
class MarginStack:
    """What is left to one limit of an answer, in its house unit; below zero outside.

    Attributes
    ----------
    answer : which answer; of two limits the one that is nearer at the worst
    nominal : at nominal values
    worst_low, worst_high : all values at their worst, and at their best
    likely_low, likely_high : root-sum-square, never beyond the worst and the best
    shares : by value, the part of the variance that it brings in, the greatest first
    """

    answer: Doubtful
    nominal: float
    worst_low: float
    worst_high: float
    likely_low: float
    likely_high: float
    shares: tuple[tuple[str, float], ...]


def stacks(
    answers: Sequence[Doubtful], coordinates: Sequence[Coordinate], spreads: Mapping[str, Spread]
) -> tuple[MarginStack, ...]:
    """The stacks of every answer that is held to a limit, in the order given.

    Parameters
    ----------
    answers : all answers
    coordinates : the values in doubt
    spreads : of each value, by key
    """
    margins = margins_of(answers, [c.key for c in coordinates])
    moments = [_Moments.of(c, spreads[c.key]) for c in coordinates]
    first = np.array([[one.below, one.above] for one in moments]).reshape(-1, 2).T
    second = np.array([[one.below_squared, one.above_squared] for one in moments]).reshape(-1, 2).T
    means = margins.at_lowest * first[0] + margins.at_highest * first[1]
    squares = margins.at_lowest**2 * second[0] + margins.at_highest**2 * second[1]
    variances = np.maximum(squares - means**2, 0.0) * [one.widened for one in moments]
    centre = margins.nominal + means.sum(axis=1)
    whole = variances.sum(axis=1)
    reach = SIGMAS * np.sqrt(whole)
    found = []
    for j, answer in enumerate(margins.answers):
        row = min(np.flatnonzero(margins.of == j), key=lambda at: float(margins.lowest[at]))
        low, high = float(margins.lowest[row]), float(margins.highest[row])
        parts = variances[row] / whole[row] if whole[row] > 0.0 else variances[row]
        order = [int(k) for k in np.argsort(-parts, kind="stable") if parts[k] > 0.0]
        found.append(
            MarginStack(
                answer,
                float(margins.nominal[row]),
                low,
                high,
                max(float(centre[row] - reach[row]), low),
                min(float(centre[row] + reach[row]), high),
                tuple((margins.keys[k], float(parts[k])) for k in order),
            )
        )
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Moments:
    """Where a value lies on average, as shares of the way from nominal to its lowest and to its highest.

    Attributes
    ----------
    below, above, below_squared, above_squared : means of the shares and of their squares
    widened : what a variance is to be taken times for a bell curve that is not cut off
    """

    below: float
    above: float
    below_squared: float
    above_squared: float
    widened: float

    @staticmethod
    def of(coordinate: Coordinate, spread: Spread) -> _Moments:
        """By a fine grid of equally likely places between lowest and highest."""
        part, widened = _grid(spread)
        below, above = (side[:, 0] for side in towards(part[:, None], [coordinate]))
        return _Moments(
            float(below.mean()),
            float(above.mean()),
            float((below**2).mean()),
            float((above**2).mean()),
            widened,
        )


@cache
def _grid(spread: Spread) -> tuple[Array, float]:
    """Equally likely places between lowest (0) and highest (1), and by how much the variance was cut short."""
    part = (np.arange(GRID) + 0.5) / GRID
    if spread == "uniform":
        return part, 1.0
    bell = NormalDist()
    tail = bell.cdf(-SIGMAS)
    sigmas = np.array([bell.inv_cdf(tail + p * (1.0 - 2.0 * tail)) for p in part])
    return (sigmas / SIGMAS + 1.0) / 2.0, 1.0 / float((sigmas**2).mean())
