"""The places worth going to, written for the page."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from geometry.assembly import Assembly
from geometry.checks.clearances import judged
from geometry.checks.close_places import listed, with_curve
from geometry.checks.fault_spots import Waiting
from geometry.checks.trouble_spot import Point, TroubleSpot
from geometry.checks.troubles import troubles_of
from geometry.clearance.full_turn import FullTurn, turn_of
from geometry.units import System
from viewer.page.shape import PlaceData
from viewer.spot_words import limit_words, value_words, verdict_words

CURVES = 12
"""Places whose distance over the turn goes along."""


def spots_of(
    assembly: Assembly,
    readings: Iterable[TroubleSpot] = (),
    without: Waiting = (),
    turn: FullTurn | None = None,
) -> tuple[TroubleSpot, ...]:
    """Every place to go to, the worst first.

    Parameters
    ----------
    readings : what a build record says of its own readings
    without : sections, and (section, figure), that wait for values and are not told
    turn : its clearances, where they are certified already
    """
    found = () if "clearances" in without else judged(assembly, turn or turn_of(assembly)[0])
    return troubles_of(assembly, found, readings, without)


def places_of(
    assembly: Assembly,
    system: System,
    assumed: str,
    spots: Sequence[TroubleSpot],
    turn: FullTurn | None = None,
    curves: int = CURVES,
) -> list[PlaceData]:
    """The same written for the page; those that keep their limits come last.

    Parameters
    ----------
    turn : its clearances, where they are certified already
    curves : places whose distance over the turn goes along
    """
    clearances = judged(assembly, turn or turn_of(assembly)[0])
    closes = {frozenset(close.bodies): close for close in listed(clearances, None)}
    found: list[PlaceData] = []
    for number, spot in enumerate(spots):
        close = closes.get(frozenset(spot.bodies)) if spot.kind == "clearance" else None
        drawn = with_curve(close) if close is not None and number < curves else None
        curve = None if drawn is None or drawn.curve is None else drawn.curve
        found.append({
            "id": f"place-{number}", "kind": spot.kind, "group": spot.group, "severity": spot.severity,
            "words": spot.words, "value": value_words(spot, system), "limit": limit_words(spot, system),
            "source": spot.source, "verdict": verdict_words(spot, assumed), "bore": spot.bore,
            "crank_deg": spot.crank_deg, "bodies": list(spot.bodies), "a_mm": _plain(spot.a_mm),
            "b_mm": _plain(spot.b_mm), "look": "rings" if spot.kind == "ring" else "near",
            "curve_mm": None if curve is None else rounded(curve.distance_mm.tolist(), 4),
            "period_deg": 360.0 if close is None else close.pair.period_deg,
            "limit_mm": spot.limit if spot.dimension == "length" else None,
        })  # fmt: skip
    return found


def rounded(values: Sequence[float], digits: int) -> list[float]:
    """Fewer characters."""
    return [round(float(value), digits) for value in values]


def _plain(point: Point | None) -> list[float] | None:
    return None if point is None else rounded(point, 4)
