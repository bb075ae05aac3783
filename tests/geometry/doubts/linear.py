"""Engines that are nothing but sums: answers, values and their true sizes, made up by a seed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.doubts.answers import Doubtful, Leaning
from geometry.doubts.box import Coordinate
from geometry.doubts.next_measure import Means


def value(key: str, lowest: float, highest: float, nominal: float | None = None) -> Coordinate:
    middle = (lowest + highest) / 2.0 if nominal is None else nominal
    return Coordinate(key, middle, lowest, highest, True)


def answer(name: str, offset: float, slopes: dict[str, float], values: list[Coordinate]) -> Doubtful:
    """Margin and answer alike: ``offset + sum of slope times value``."""
    inside = [c for c in values if c.key in slopes]
    nominal = offset + sum(slopes[c.key] * c.nominal for c in inside)
    leanings = tuple(
        Leaning(
            c.key,
            slopes[c.key],
            slopes[c.key] * (c.lowest - c.nominal),
            slopes[c.key] * (c.highest - c.nominal),
            True,
        )
        for c in inside
        if c.highest > c.lowest
    )
    low = nominal + sum(min(leaning.below, leaning.above) for leaning in leanings)
    high = nominal + sum(max(leaning.below, leaning.above) for leaning in leanings)
    return Doubtful(
        "clearances", name, None, "length", nominal, low, high, nominal, low, high, leanings, leanings
    )


def means(minutes: float, leaves: float, part: str = "", instrument: str = "caliper") -> Means:
    return Means(instrument, minutes, minutes / 2.0, leaves, part, "by hand")


@dataclass
class Toy:
    """Up to 8 values between -1 and 1, up to 6 answers on 2 to 5 of them; what each truly is, and what it costs."""

    slopes: np.ndarray
    offsets: np.ndarray
    minutes: np.ndarray
    leaves: np.ndarray
    truth: np.ndarray

    @property
    def keys(self) -> list[str]:
        return [f"part{k}.size" for k in range(len(self.minutes))]

    def values(self, measured: np.ndarray) -> list[Coordinate]:
        at = zip(self.keys, measured, self.truth, self.leaves, strict=True)
        return [value(key, t - left, t + left) if m else value(key, -1.0, 1.0) for key, m, t, left in at]

    def answers(self, measured: np.ndarray) -> list[Doubtful]:
        values = self.values(measured)
        rows = zip(self.offsets, self.slopes, strict=True)
        return [
            answer(f"a{j}", offset, {k: s for k, s in zip(self.keys, row, strict=True) if s}, values)
            for j, (offset, row) in enumerate(rows)
        ]

    def means(self) -> dict[str, Means]:
        at = zip(self.keys, self.minutes, self.leaves, strict=True)
        return {key: means(float(cost), float(left), key) for key, cost, left in at}

    def settled(self, measured: np.ndarray) -> np.ndarray:
        """Which answers are settled, by plain interval sums, for many sets of measured values at once."""
        half = np.where(measured, self.leaves, 1.0)
        middle = np.where(measured, self.truth, 0.0) @ self.slopes.T + self.offsets
        reach = half @ np.abs(self.slopes).T
        return (middle - reach >= 0.0) | (middle + reach < 0.0)


def toy(seed: int) -> Toy:
    random = np.random.default_rng(seed)
    m, n = int(random.integers(4, 9)), int(random.integers(2, 7))
    slopes = np.zeros((n, m))
    for row in slopes:
        on = random.choice(m, size=int(random.integers(2, min(m, 5) + 1)), replace=False)
        row[on] = random.choice([-1.0, 1.0], size=on.size) * random.lognormal(0.0, 0.8, size=on.size)
    return Toy(
        slopes,
        np.abs(slopes).sum(axis=1) * random.uniform(-0.9, 0.9, n),
        random.choice([2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 15.0, 20.0], size=m),
        random.choice([0.02, 0.05], size=m),
        random.uniform(-1.0, 1.0, m),
    )
