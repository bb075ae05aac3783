"""The whole table of proportions, and one row of it by the key as the user writes it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache, partial
from re import search
from typing import Final

from geometry.spec.proportions import block, bolts, crank, piston, rings, rod, top, weights
from geometry.spec.proportions.given import bare
from geometry.spec.proportions.row import Proportion, ValuesByKey

ROWS: Final = (
    *crank.ROWS,
    *rod.ROWS,
    *piston.ROWS,
    *rings.ROWS,
    *block.ROWS,
    *top.ROWS,
    *bolts.ROWS,
    *weights.ROWS,
)
"""What is known beforehand of every key that holds a quantity; arrays without their number."""
_BY_KEY: Final = {bare(row.key).replace("[]", ""): row for row in ROWS}
_PLACED: Final = {**piston.PLACED, **top.PLACED}


@cache
def usual(key: str) -> Proportion | None:
    """What is known beforehand of a key; None where the key holds no quantity.

    Parameters
    ----------
    key : as the user writes it, arrays with their number (from 1) or without: ``piston.grooves[2].root``. The rule of
        a row that stands in an array holds for the place that the key names, so that without a number there is none
    """
    row = _BY_KEY.get(bare(key).replace("[]", ""))
    place = search(r"\[(\d+)\]", key)
    rule = None if row is None else _PLACED.get(row.key)
    if row is None or rule is None or place is None:
        return row
    return replace(row, key=key, rule=partial(_at, rule, int(place[1])))


def _at(rule: Callable[[ValuesByKey, int], float], place: int, values: ValuesByKey) -> float:
    return rule(values, place)
