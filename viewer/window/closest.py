"""The close places of an engine as the window lists them: which two parts, how near, where, against which limit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from geometry.assembly import Assembly
from geometry.checks.limits import limit_for
from geometry.clearance.certify import Approach, certify_all
from geometry.clearance.curve import Curve, distance_curve
from geometry.clearance.pairs import Pair, Place, pairs_of
from geometry.parts.solids import Array
from geometry.units import System, show
from viewer.scene.groups import part_words
from viewer.scene.model import Callout, Verdict
from viewer.window.state import ViewState

TOUCH_MM = 0.01
"""Within what the search proves, nought is nought."""
SHOWN = 12
SAME_ANGLE_DEG = 0.05
CURVE_STEP_DEG = 2.0


@dataclass(frozen=True, slots=True, eq=False)
class Close:
    """One close place.

    Attributes
    ----------
    words : the two places as a builder names them
    bodies : names of the two bodies
    bore : the bore whose moving part it is, None where neither belongs to one
    min_mm, crank_deg, at_a_mm, at_b_mm : as certified over the turn; points in E
    limit_mm : least clearance it is held to
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
    pair: Pair
    curve: Curve | None = None

    @property
    def verdict(self) -> Verdict:
        """Of the whole turn."""
        return verdict_of(self.min_mm, self.limit_mm)


def verdict_of(distance_mm: float, limit_mm: float) -> Verdict:
    """In the words of ``check``: overlaps, touches, close (nearer than its limit), clear."""
    if distance_mm < -TOUCH_MM:
        return "overlaps"
    if distance_mm <= TOUCH_MM:
        return "touches"
    return "close" if distance_mm < limit_mm else "clear"


def close_places(assembly: Assembly) -> tuple[Close, ...]:
    """The places that come closest to their limits over the turn, the worst first."""
    pairs, _ = pairs_of(assembly)
    found = certify_all([(p.a.mover, p.b.mover) for p in pairs], [p.period_deg for p in pairs])
    return worst(assembly, pairs, found)


def worst(assembly: Assembly, pairs: Sequence[Pair], approaches: Sequence[Approach]) -> tuple[Close, ...]:
    """Sort certified approaches by what they leave of their limits; one line for each pair of bodies."""
    limits = {name: limit_for(assembly.spec, name).least_mm for name in {p.limit for p in pairs}}
    order = sorted(range(len(pairs)), key=lambda i: approaches[i].min_mm - limits[pairs[i].limit])
    seen: set[frozenset[str]] = set()
    found = []
    for index in order:
        pair, near = pairs[index], approaches[index]
        bodies = (pair.a.body.name, pair.b.body.name)
        if frozenset(bodies) in seen:
            continue
        seen.add(frozenset(bodies))
        bore = _moving_bore(pair)
        found.append(
            Close(
                (_words(pair.a), _words(pair.b)), bodies, bore, near.min_mm, near.crank_deg,
                near.at_a_mm, near.at_b_mm, limits[pair.limit], pair,
            )
        )  # fmt: skip
        if len(found) == SHOWN:
            break
    return tuple(found)


def _moving_bore(pair: Pair) -> int | None:
    for place in sorted((pair.a, pair.b), key=lambda p: p.body.frame[:1] != "R"):
        if place.body.bore is not None and place.body.frame != "E":
            return place.body.bore
    return pair.a.body.bore if pair.a.body.bore is not None else pair.b.body.bore


def _words(place: Place) -> str:
    bore = f" {place.body.bore}" if place.body.bore is not None else ""
    where = f" {place.place}" if place.place and place.place != str(place.body.bore) else ""
    return f"{part_words(place.feature)}{bore}{where}"


def with_curve(close: Close) -> Close:
    """The same place with its distance drawn over the turn."""
    if close.curve is not None:
        return close
    angles = np.arange(0.0, close.pair.period_deg + 1e-9, CURVE_STEP_DEG)
    return replace(close, curve=distance_curve(close.pair.a.mover, close.pair.b.mover, angles))


def callout_at(close: Close, crank_deg: float, units: System) -> Callout:
    """The distance of a place at any angle, ready to draw; where it is least, as it was certified."""
    period = close.pair.period_deg
    if abs((crank_deg - close.crank_deg + period / 2) % period - period / 2) < SAME_ANGLE_DEG:
        mm, a, b = close.min_mm, close.at_a_mm, close.at_b_mm
    else:
        now = distance_curve(close.pair.a.mover, close.pair.b.mover, [crank_deg])
        mm, a, b = float(now.distance_mm[0]), now.at_a_mm[0], now.at_b_mm[0]
    text = f"{close.words[0]} to {close.words[1]}: {show(mm, 'length', units, fine=True)}"
    return Callout(a, b, text, verdict_of(mm, close.limit_mm), close.bodies, mm, crank_deg)


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
