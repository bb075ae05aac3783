"""All answers that are held to a limit as arrays: what each value in doubt does to each margin, linear by halves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from geometry.arrays import Array, Index
from geometry.doubts.answers import Doubtful, Side
from geometry.doubts.box import Coordinate


@dataclass(frozen=True, eq=False)
class Margins:
    """Margins of answers over ``m`` values in doubt, one row for each limit, ``n`` in all; below zero outside it.

    A value moves a margin in proportion as it goes from its nominal to its lowest, and in another proportion as it
    goes to its highest; what several do is added up.

    Attributes
    ----------
    answers : the answers that are held to limits
    of : (n,) the answer of each row, counted from 0
    keys : the values in doubt
    nominal, lowest, highest : (n,) margins at nominal values, the least and the most that they may be
    at_lowest, at_highest : (n, m) change of each margin with one value at its lowest, at its highest
    """

    answers: tuple[Doubtful, ...]
    of: Index
    keys: tuple[str, ...]
    nominal: Array
    lowest: Array
    highest: Array
    at_lowest: Array
    at_highest: Array

    @cached_property
    def least(self) -> Array:
        """(n, m) the most that each value takes from each margin, zero or less."""
        return np.minimum(np.minimum(self.at_lowest, self.at_highest), 0.0)

    @cached_property
    def most(self) -> Array:
        """(n, m) the most that each value adds to each margin, zero or more."""
        return np.maximum(np.maximum(self.at_lowest, self.at_highest), 0.0)

    @cached_property
    def scale_down(self) -> Array:
        """(n,) what the sum of ``least`` is to be taken times to reach the least margin that was proved."""
        return _scale(self.least, self.nominal - self.lowest)

    @cached_property
    def scale_up(self) -> Array:
        """(n,) the same of ``most`` and the most that was proved."""
        return _scale(self.most, self.highest - self.nominal)

    @cached_property
    def error(self) -> tuple[Array, Array]:
        """(n,) each: by how much the added-up margins miss the least and the most that were proved."""
        low = np.abs(self.nominal + self.least.sum(axis=1) - self.lowest)
        high = np.abs(self.nominal + self.most.sum(axis=1) - self.highest)
        wider = np.array([answer.wider_mm for answer in self.answers])[self.of]
        return low + wider, high

    def error_at(self, below: Array, above: Array) -> Array:
        """(s, n) by how much the added-up margins may miss the true ones at ``s`` points, as ``at`` takes them.

        What is known is the miss at either end. A margin that is smooth, or the smaller of several that are, bends away
        from the sum ever faster as the values leave their nominal: so the miss is taken in proportion to how much of
        all that can be taken from a margin is taken, and of all that can be added is added.
        """
        ends = self.at_lowest, self.at_highest
        taken = sum(part @ np.minimum(end, 0.0).T for part, end in zip((below, above), ends, strict=True))
        added = sum(part @ np.maximum(end, 0.0).T for part, end in zip((below, above), ends, strict=True))
        low, high = self.error
        share_low = taken / np.where(self.least.sum(axis=1) < 0.0, self.least.sum(axis=1), 1.0)
        share_high = added / np.where(self.most.sum(axis=1) > 0.0, self.most.sum(axis=1), 1.0)
        # where nothing was found to take or to add, the whole miss counts
        share_low = np.where(self.least.sum(axis=1) < 0.0, share_low, 1.0)
        share_high = np.where(self.most.sum(axis=1) > 0.0, share_high, 1.0)
        found: Array = low * share_low + high * share_high
        return found

    def at(self, below: Array, above: Array) -> Array:
        """(s, n) margins at ``s`` points.

        Parameters
        ----------
        below, above : (s, m) how far each value lies from its nominal towards its lowest, towards its highest: 0 to
            1, one of the two zero
        """
        moved: Array = below @ self.at_lowest.T + above @ self.at_highest.T
        return self.nominal + moved


def margins_of(answers: Sequence[Doubtful], keys: Sequence[str]) -> Margins:
    """The answers that are held to a limit, over the values named; leanings on other values are left out."""
    held = tuple(answer for answer in answers if answer.margin is not None)
    rows = [(j, side) for j, answer in enumerate(held) for side in sides_of(answer)]
    place = {key: k for k, key in enumerate(keys)}
    at_lowest = np.zeros((len(rows), len(place)))
    at_highest = np.zeros((len(rows), len(place)))
    for row, (_, side) in enumerate(rows):
        for leaning in side.leanings:
            if leaning.key in place:
                at_lowest[row, place[leaning.key]] = leaning.below
                at_highest[row, place[leaning.key]] = leaning.above
    return Margins(
        held,
        np.array([j for j, _ in rows], dtype=np.intp),
        tuple(keys),
        np.array([side.margin for _, side in rows]),
        np.array([side.lowest for _, side in rows]),
        np.array([side.highest for _, side in rows]),
        at_lowest,
        at_highest,
    )


def alike(answers: Sequence[Doubtful]) -> list[int]:
    """For each answer the place of the first that says the same of its limits: of another bore, as a rule."""
    first: dict[tuple[object, ...], int] = {}
    found = []
    for place, answer in enumerate(answers):
        told: list[object] = [answer.section]
        for side in sides_of(answer):
            told += [round(number, 6) for number in (side.margin, side.lowest, side.highest)]
            told += [(x.key, round(x.below, 6), round(x.above, 6)) for x in side.leanings]
        found.append(first.setdefault(tuple(told), place))
    return found


def sides_of(answer: Doubtful) -> tuple[Side, ...]:
    """What is left to each limit of an answer; none where nothing holds it."""
    if answer.sides or answer.margin is None or answer.margin_lowest is None or answer.margin_highest is None:
        return answer.sides
    return (Side(answer.margin, answer.margin_lowest, answer.margin_highest, answer.margin_leanings),)


def towards(part: Array, coordinates: Sequence[Coordinate]) -> tuple[Array, Array]:
    """Places between lowest (0) and highest (1) as shares of the way from nominal, to either side.

    Parameters
    ----------
    part : (s, m)
    """
    nominal, lowest, highest = (
        np.array([getattr(c, name) for c in coordinates]) for name in ("nominal", "lowest", "highest")
    )
    moved = lowest + part * (highest - lowest) - nominal
    below = np.clip(-moved / np.where(nominal > lowest, nominal - lowest, 1.0), 0.0, 1.0)
    above = np.clip(moved / np.where(highest > nominal, highest - nominal, 1.0), 0.0, 1.0)
    return below, above


def _scale(parts: Array, whole: Array) -> Array:
    """(n,) from the sum of each row to what was proved of it; 1 where nothing adds up to anything."""
    total = np.abs(parts.sum(axis=1))
    return np.where(total > 0.0, np.abs(whole) / np.where(total > 0.0, total, 1.0), 1.0)
