"""What several rules need: the shares of a size that no engine comes near, and how many rods share a throw."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from geometry.spec.engine import Engine

MOST_CLEARANCE: Final = 0.02
"""Clearances of piston and bearing, and ovality, as a share of the diameter: twenty times the usual thousandth."""


def rods_per_throw(spec: Engine) -> int:
    """How many rods run on one throw: as written, or as the layout has it."""
    if spec.engine.layout == "inline":
        return 1
    return spec.crank.rods_per_throw or (2 if spec.engine.layout == "vee" else 1)


def away_mm(one_mm: float, other_mm: float) -> float:
    """How far off the axis something stands that lies so far along and so far across.

    Not by ``math.hypot``, which would lose what a traced number remembers.
    """
    squared = one_mm * one_mm + other_mm * other_mm
    away: float = squared**0.5
    return away


def pin_span_mm(spec: Engine, per_throw: int) -> float:
    """Length along the crank between the two cheeks of one throw."""
    width = spec.crank.pin.width_mm
    return 2 * width + spec.crank.split_web_mm if per_throw == 2 and spec.crank.split_deg else width


def rod_step_mm(spec: Engine) -> float:
    """From rod to rod of a throw that two share: rods centred, the side clearance shared in three."""
    width, rod = spec.crank.pin.width_mm, spec.rod.big_end.width_mm
    if spec.crank.split_deg:
        return width + spec.crank.split_web_mm
    return rod + (width - 2 * rod) / 3
