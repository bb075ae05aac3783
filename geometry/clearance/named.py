"""Pairs of places by what a person calls them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from geometry.clearance.pairs import Pair
from geometry.clearance.place import Place
from geometry.clearance.words import WORDS
from geometry.collision.distance_curve import distance_curve

COARSE_DEG = 15.0


def nearest_named(pairs: Sequence[Pair], first: str, second: str) -> Pair | None:
    """The pair of two places that comes nearest over a turn; None where no pair is called so.

    Parameters
    ----------
    first, second : a feature, and words of its place or body: ``rod_bolt 3``, ``pan_rail``
    """
    found = [
        pair
        for pair in pairs
        if (called(pair.a, first) and called(pair.b, second))
        or (called(pair.b, first) and called(pair.a, second))
    ]
    coarse = np.arange(0.0, 360.0, COARSE_DEG)
    return min(
        found, key=lambda p: float(np.min(distance_curve(p.a, p.b, coarse, 0.1).distance_mm)), default=None
    )


def called(place: Place, text: str) -> bool:
    """Whether a place is called so: its feature, and all further words those of its place or body."""
    words = text.lower().split()
    name, rest = words[0], words[1:]
    features = {place.feature, WORDS.get(place.feature, "").replace(" ", "_")}
    return name in features and all(
        word in f"{place.body.name} {place.place}".lower().replace(",", "").split() for word in rest
    )
