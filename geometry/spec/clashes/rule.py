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
