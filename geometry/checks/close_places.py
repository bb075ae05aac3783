"""The close places of an engine, one line for two bodies: which two parts, how near, where, against which limit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.checks.clearances import Clearance, judged, verdict_of
from geometry.checks.section import Nearby
from geometry.clearance.full_turn import full_turn
from geometry.clearance.pairs import Pair
from geometry.clearance.words import bore_of, ordered, place_words
from geometry.collision.distance_curve import DistanceCurve, distance_curve

MOST: Final = 12
CURVE_STEP_DEG: Final = 2.0


@dataclass(frozen=True, slots=True, eq=False)
class Close:
    """One close place.

    Attributes
    ----------
    words : the two places as a builder names them; the place of ``pair.a`` first
    bodies : names of the two bodies, in the same order
    bore : the bore whose moving part it is, None where neither belongs to one
    min_mm, crank_deg, at_a_mm, at_b_mm : as certified over the turn; points in E, on the first and second body
    limit_mm : least clearance it is held to
    within_mm : certified half-width of ``min_mm``
    curve : distance over the turn, where it has been drawn
    """

    words: tuple[str, str]
    bodies: tuple[str, str]
    bore: int | None
    min_mm: float
    crank_deg: float
    at_a_mm: Array
    at_b_mm: Array
    limit_mm: float
    within_mm: float
    pair: Pair
    curve: DistanceCurve | None = None

    @property
    def verdict(self) -> Nearby:
        """Of the whole turn."""
        return self.verdict_at(self.min_mm)

    def verdict_at(self, distance_mm: float) -> Nearby:
        """Of a distance at one angle, in the words of ``check``."""
        return verdict_of(distance_mm, self.within_mm, self.limit_mm)


def close_places(assembly: Assembly, curves: int = 0) -> tuple[Close, ...]:
    """The places that leave least of their limits over the turn, the worst first; as ``check`` judges them.

    Parameters
    ----------
    curves : how many of the worst get their distance over the turn
    """
    found = listed(judged(assembly, full_turn(assembly)))
    return tuple(with_curve(close) if rank < curves else close for rank, close in enumerate(found))


def listed(clearances: Sequence[Clearance], most: int | None = MOST) -> tuple[Close, ...]:
    """One line for each pair of bodies, so that one tight corner does not fill the list; None lists all."""
    seen: set[frozenset[str]] = set()
    found = []
    for clearance in clearances:
        near, pair = clearance.near.approach, clearance.near.pair
        places = ordered(pair)
        ends = (near.at_a_mm, near.at_b_mm) if places[0] is pair.a else (near.at_b_mm, near.at_a_mm)
        bodies = (places[0].body.name, places[1].body.name)
        if frozenset(bodies) in seen:
            continue
        seen.add(frozenset(bodies))
        first, second = (bore_of(place) for place in places)
        words = place_words(places[0]), place_words(places[1])
        found.append(
            Close(
                words, bodies, first if first is not None else second,
                near.min_mm, near.crank_deg, *ends, clearance.limit.least_mm, near.within_mm,
                replace(pair, a=places[0], b=places[1]),
            )
        )  # fmt: skip
        if len(found) == most:
            break
    return tuple(found)


def with_curve(close: Close) -> Close:
    """The same place with its distance drawn over the turn."""
    if close.curve is not None:
        return close
    angles = np.arange(0.0, close.pair.period_deg + 1e-9, CURVE_STEP_DEG)
    return replace(close, curve=distance_curve(close.pair.a, close.pair.b, angles))


def closest_at(places: Sequence[Close], crank_deg: float) -> Close | None:
    """Which of the places is nearest to its limit at this angle, read from their curves."""
    best, least = None, np.inf
    for close in places:
        if close.curve is None:
            continue
        period = close.pair.period_deg
        left = float(np.interp(crank_deg % period, close.curve.crank_deg, close.curve.distance_mm))
        if left - close.limit_mm < least:
            best, least = close, left - close.limit_mm
    return best
