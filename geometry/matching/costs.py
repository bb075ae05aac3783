"""What a combination of parts costs, and whether it may be: the goal in numbers.

Every clearance costs the square of its distance from the middle of its limits, in halves of what lies between them: 1
at either limit. A clearance with one limit has no middle and costs nothing. Decks cost the square of their distance
from the mean of all that the parts make, weights likewise. Each is times its weight, and all are added up over all
bores. Squares prefer many small deviations to one large one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, TypeVar

import numpy as np

from geometry.arrays import Array, Mask
from geometry.matching.columns import EVEN, LEVEL
from geometry.matching.fits import AXES, FitTable, Shelf


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """Parts that meet each other directly.

    Attributes
    ----------
    axes : kinds, in the order of ``fits.AXES``
    cost : of every combination of them
    allowed : which combinations stay within all limits
    """

    axes: tuple[str, ...]
    cost: Array
    allowed: Mask


Values = TypeVar("Values", bound="np.ndarray[Any, Any]")
BORE_LAYER = ("piston", "rod", "bore")
PIN_LAYER = ("piston", "pin", "rod")
SHELL_LAYER = ("rod", "shells", "bore")


def deviations(fit: FitTable) -> Array:
    """Distance from the middle of the limits, in halves of what lies between them; zero where there is no middle."""
    both = np.isfinite(fit.least_mm) & np.isfinite(fit.most_mm)
    least, most = (np.where(both, side, sign) for side, sign in ((fit.least_mm, -1.0), (fit.most_mm, 1.0)))
    away = (fit.known.value - (least + most) / 2) / ((most - least) / 2)
    return np.asarray(np.where(both, away, 0.0))


def off_level(shelf: Shelf) -> Array | None:
    """Distance of every deck from the mean of all that the parts make, mm, over ``AXES``."""
    deck = next((fit.known.value for fit in shelf.fits if fit.name == "deck"), None)
    return None if deck is None else deck - float(np.mean(deck))


def off_even(shelf: Shelf) -> Array | None:
    """Distance of every weight that goes up and down from the mean, kg, over ``AXES``."""
    return None if shelf.mass_kg is None else shelf.mass_kg - float(np.mean(shelf.mass_kg))


def layers(shelf: Shelf, whatever_the_doubt: bool) -> dict[tuple[str, ...], Layer]:
    """The goal and the limits, layer by layer; layers without a say are left out.

    Parameters
    ----------
    whatever_the_doubt : hold the least and the most that a clearance may be to its limits, not its nominal value
    """
    pinned = "pin" in shelf.parts
    wanted = [BORE_LAYER, *([PIN_LAYER] if pinned else []), SHELL_LAYER]
    found: dict[tuple[str, ...], Layer] = {}
    for axes in wanted:
        shape = tuple(len(shelf.parts[kind]) if kind in shelf.parts else 1 for kind in axes)
        cost, allowed = np.zeros(shape), np.ones(shape, dtype=bool)
        for fit in shelf.fits:
            if _layer_of(fit.name, pinned) == axes:
                cost = cost + shelf.goals[fit.name].weight * _on(axes, deviations(fit) ** 2)
                if set(fit.axes) - {"bore"}:  # what no part can change is told, and keeps no part out
                    allowed = allowed & _on(axes, fit.surely_within if whatever_the_doubt else fit.within)
        for name, off, home in (
            (LEVEL, off_level(shelf), BORE_LAYER),
            (EVEN, off_even(shelf), PIN_LAYER if pinned else BORE_LAYER),
        ):
            if off is not None and home == axes:
                goal = shelf.goals[name]
                cost = cost + goal.weight * _on(axes, (off / (goal.one or 1.0)) ** 2)
        found[axes] = Layer(axes, np.broadcast_to(cost, shape), np.broadcast_to(allowed, shape))
    return found


def _layer_of(name: str, pinned: bool) -> tuple[str, ...]:
    if name == "oil clearance":
        return SHELL_LAYER
    return PIN_LAYER if pinned and name in ("pin in piston", "pin in rod") else BORE_LAYER


def _on(axes: tuple[str, ...], values: Values) -> Values:
    """An array over ``AXES`` on the axes of a layer."""
    rest = tuple(place for place, kind in enumerate(AXES) if kind not in axes)
    return np.squeeze(values, axis=rest)  # type: ignore[return-value]
