"""What is written of a place worth looking at: the number, its limit, the verdict."""

from __future__ import annotations

from geometry.checks.trouble_spot import TroubleSpot
from geometry.units import System, show
from viewer.verdicts import as_assumed


def value_words(spot: TroubleSpot, units: System) -> str:
    """What was found there with its unit; empty where it is no matter of a number."""
    return "" if spot.value is None else _shown(spot.value, spot, units)


def limit_words(spot: TroubleSpot, units: System) -> str:
    """The limit and what is left of it: ``least 0.0500 in, 0.0120 in over``; empty where there is none."""
    if spot.limit is None or spot.value is None:
        return ""
    side = "least" if spot.kind == "clearance" or spot.value < spot.limit else "most"
    held = spot.kind != "clearance"  # to a fit's last digit; room to move is asked for in what clay can tell
    said = f"{side} {show(spot.limit, spot.dimension, units, fine=held and spot.dimension == 'length')}"
    if spot.margin is None:
        return said
    kept = "left" if spot.margin >= 0.0 else "missing" if side == "least" else "too much"
    return f"{said}, {_shown(abs(spot.margin), spot, units)} {kept}"


def verdict_words(spot: TroubleSpot, assumed: str = "") -> str:
    """How bad it is, in a word or two; as assumed where values of the engine are, but for what is no number."""
    if spot.kind == "clearance":
        return as_assumed(spot.nearby, assumed)
    if spot.value is None:
        assumed = ""
    words = {"stop": "wrong" if spot.value is None else "outside", "look": "look", "note": "within"}
    return as_assumed(words[spot.severity], assumed)


def _shown(value: float, spot: TroubleSpot, units: System) -> str:
    return show(value, spot.dimension, units, fine=spot.dimension == "length")
