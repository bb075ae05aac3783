"""Each margin stacked two ways: all values at their worst at once, and root-sum-square.

The root-sum-square stack adds the variances of independent values and takes 3 sigma of the sum. Where each value's
doubt is plus and minus 3 sigma, that is the root of the sum of the squared doubts; a value that may lie anywhere within
its doubt counts with the square root of 3 times as much (F. Scholz, Tolerance Stack Analysis Methods, 1995: RSS
method, and inflation factors for other distributions).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from geometry.doubts.answers import Doubtful
from geometry.doubts.box import Coordinate
from geometry.doubts.chance import SIGMAS, Spread
from geometry.doubts.margins import margins_of


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
    half = (margins.at_highest - margins.at_lowest) / 2.0
    centre = margins.nominal + ((margins.at_highest + margins.at_lowest) / 2.0).sum(axis=1)
    sigmas = np.array([1.0 / SIGMAS if spreads[c.key] == "normal" else 1.0 / sqrt(3.0) for c in coordinates])
    variances = (half * sigmas) ** 2
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
