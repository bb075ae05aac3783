"""The close places of an engine as the window lists them: which two parts, how near, where, against which limit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.checks.clearances import Clearance, judged, verdict_of
from geometry.clearance.full_turn import full_turn
from geometry.clearance.pairs import Pair
from geometry.clearance.words import bore_of, ordered, place_words, short_words
from geometry.collision.distance_curve import DistanceCurve, distance_curve
from geometry.units import System, show
from viewer.scene.heads import head_circle
from viewer.scene.model import Callout, Verdict
from viewer.window.state import ViewState

SHOWN = 12
SAME_ANGLE_DEG = 0.05
CURVE_STEP_DEG = 2.0


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
    def verdict(self) -> Verdict:
        """Of the whole turn."""
        return self.verdict_at(self.min_mm)

    def verdict_at(self, distance_mm: float) -> Verdict:
        """Of a distance at one angle, in the words of ``check``."""
        word: Verdict = verdict_of(distance_mm, self.within_mm, self.limit_mm)  # type: ignore[assignment]
        return word


def close_places(assembly: Assembly) -> tuple[Close, ...]:
    """The places that leave least of their limits over the turn, the worst first; as ``check`` judges them."""
    return listed(judged(assembly, full_turn(assembly)))


def listed(clearances: Sequence[Clearance]) -> tuple[Close, ...]:
    """One line for each pair of bodies, so that one tight corner does not fill the list."""
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
        words = place_words(places[0]), place_words(places[1], places[0])
        found.append(
            Close(
                words, bodies, first if first is not None else second,
                near.min_mm, near.crank_deg, *ends, clearance.limit.least_mm, near.within_mm,
                replace(pair, a=places[0], b=places[1]),
            )
        )  # fmt: skip
        if len(found) == SHOWN:
            break
    return tuple(found)


def with_curve(close: Close) -> Close:
    """The same place with its distance drawn over the turn."""
    if close.curve is not None:
        return close
    angles = np.arange(0.0, close.pair.period_deg + 1e-9, CURVE_STEP_DEG)
    return replace(close, curve=distance_curve(close.pair.a, close.pair.b, angles))


def callout_at(close: Close, crank_deg: float, units: System) -> Callout:
    """The distance of a place at any angle, ready to draw; where it is least, as it was certified."""
    period = close.pair.period_deg
    if abs((crank_deg - close.crank_deg + period / 2) % period - period / 2) < SAME_ANGLE_DEG:
        mm, a, b = close.min_mm, close.at_a_mm, close.at_b_mm
    else:
        now = distance_curve(close.pair.a, close.pair.b, [crank_deg])
        mm, a, b = float(now.distance_mm[0]), now.at_a_mm[0], now.at_b_mm[0]
    first, second = short_words(close.pair.a), short_words(close.pair.b, close.pair.a)
    text = f"{first} to {second}: {show(mm, 'length', units, fine=True)}"
    poses = [(place.body, place.law.poses(np.asarray(crank_deg))) for place in (close.pair.a, close.pair.b)]
    found = [head_circle(body, X_EF, point) for body, X_EF in poses for point in (a, b)]
    circles = tuple(circle for circle in found if circle is not None)
    return Callout(a, b, text, close.verdict_at(mm), close.bodies, mm, crank_deg, circles)


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


def measured(state: ViewState, units: System) -> list[Callout]:
    """The distance between the two picked points, once there are two."""
    if len(state.points_mm) != 2:
        return []
    a, b = (np.array(point) for point in state.points_mm)
    length = float(np.linalg.norm(b - a))
    text = f"between the points: {show(length, 'length', units, fine=True)}"
    return [Callout(a, b, text, "clear", ("", ""), length, state.crank_deg)]
