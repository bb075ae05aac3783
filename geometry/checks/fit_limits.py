"""What the fits are held to: the engine file's own least and most, else the trade's; None where nobody says."""

from __future__ import annotations

from typing import Final

from geometry.clearance.limits import limit_for
from geometry.rings.source import Source
from geometry.spec.engine import Engine
from geometry.trade import FitRange, end_play, oil_clearance, piston_to_wall

ABOVE_ZERO: Final = "by definition: the parts must go together"
GOES: Final = FitRange(0.0, None, Source(ABOVE_ZERO, "derived"))
FILLET: Final = FitRange(
    0.0, None, Source("by definition: below zero the shell rides on the fillet", "derived")
)
STAYS_OPEN: Final = FitRange(
    0.0, None, Source("by definition: above zero, at the temperatures of your engine file", "derived")
)
FILE: Final = "your engine file"


def rod_oil_fit(spec: Engine) -> FitRange | None:
    """Oil clearance that the big end should have."""
    own = spec.limits.rod_oil_mm, spec.limits.rod_oil_most_mm
    return _own(*own, oil_clearance(spec.crank.pin.diameter_mm))


def main_oil_fit(spec: Engine) -> FitRange | None:
    """Oil clearance that the mains should have."""
    own = spec.limits.main_oil_mm, spec.limits.main_oil_most_mm
    return _own(*own, oil_clearance(spec.crank.main.diameter_mm))


def wall_fit(spec: Engine) -> FitRange | None:
    """What the skirt should have to the wall."""
    own = spec.limits.piston_to_wall_mm, spec.limits.piston_to_wall_most_mm
    return _own(*own, piston_to_wall(spec.piston.material))


def end_play_fit(spec: Engine) -> FitRange | None:
    """End play that the crank should have."""
    return _own(spec.limits.end_play_mm, spec.limits.end_play_most_mm, end_play())


def pin_to_wall_fit(spec: Engine) -> FitRange:
    """Room that the end of the piston pin should have to the wall."""
    room = limit_for(spec, "piston_to_block")
    return FitRange(room.least_mm, None, Source(room.source, "practice"))


def pin_in_piston_fit(spec: Engine) -> FitRange | None:
    """What the piston pin should have in the piston."""
    return _own(spec.limits.pin_in_piston_mm, spec.limits.pin_in_piston_most_mm, None)


def pin_in_rod_fit(spec: Engine) -> FitRange | None:
    """What the piston pin should have in the rod: clearance, or interference of a pressed pin."""
    return _own(spec.limits.pin_in_rod_mm, spec.limits.pin_in_rod_most_mm, None)


def pin_float_fit(spec: Engine) -> FitRange | None:
    """End float that the piston pin should have between its clips."""
    return _own(spec.limits.pin_float_mm, spec.limits.pin_float_most_mm, None)


def _own(least_mm: float | None, most_mm: float | None, trade: FitRange | None) -> FitRange | None:
    """The builder's own least and most in place of the trade's; what of the trade's is at odds with them is dropped."""
    if least_mm is None and most_mm is None:
        return trade
    low = high = None
    if trade is not None and least_mm is not None and trade.most_mm is not None and trade.most_mm > least_mm:
        high = trade.most_mm
    if trade is not None and most_mm is not None and trade.least_mm is not None and trade.least_mm < most_mm:
        low = trade.least_mm
    words = FILE
    if trade is not None and most_mm is None and high is not None:
        words = f"least: {FILE}; most: {trade.source.text}"
    elif trade is not None and least_mm is None and low is not None:
        words = f"least: {trade.source.text}; most: {FILE}"
    return FitRange(
        low if least_mm is None else least_mm,
        high if most_mm is None else most_mm,
        Source(words, "stated"),
    )
