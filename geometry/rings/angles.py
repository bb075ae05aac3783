"""Angles on the ring clock: clockwise seen from above the crown, 0 at the front, 90 at +y of the bore."""

from __future__ import annotations

from dataclasses import dataclass
from math import degrees
from typing import Literal, TypeAlias

from geometry.errors import GeometryError
from geometry.rings.require import finite, not_negative, positive

Valve: TypeAlias = Literal["intake", "exhaust"]


def wrapped_deg(angle_deg: float) -> float:
    """Bring an angle into 0 (included) to 360 (excluded)."""
    turned = finite("angle", angle_deg) % 360.0
    return 0.0 if turned == 360.0 else turned  # a tiny negative angle rounds up to 360


def signed_deg(angle_deg: float) -> float:
    """Bring an angle into -180 (excluded) to 180 (included)."""
    turned = wrapped_deg(angle_deg)
    return turned - 360.0 if turned > 180.0 else turned


def separation_deg(a_deg: float, b_deg: float) -> float:
    """Measure the shorter way between two angles, 0 to 180."""
    around = wrapped_deg(abs(a_deg - b_deg))
    return min(around, 360.0 - around)


def hand(thrust_deg: float) -> int:
    """Tell which way round the clock the thrust side lies from the front: +1 clockwise, -1 the other way.

    Raises
    ------
    GeometryError : a thrust side that is not square to the pin axis
    """
    if thrust_deg not in (90.0, 270.0):
        raise GeometryError(
            "thrust_side", "thrust", f"the thrust side cannot be at {thrust_deg:g} deg", "90 or 270"
        )
    return 1 if thrust_deg == 90.0 else -1


def gap_deg(gap_mm: float, bore_mm: float) -> float:
    """Give the angle that a gap takes up on the wall of the bore, degrees."""
    return degrees(not_negative("gap", gap_mm) / (positive("bore", bore_mm) / 2))


def hour_text(ring_deg: float) -> str:
    """Tell a ring angle as the hour of a clock, 12 at the front: ``8 o'clock``, or ``1:30`` to five minutes."""
    minutes = round(wrapped_deg(ring_deg) * 2 / 5) * 5 % 720
    hour, rest = divmod(minutes, 60)
    return f"{hour or 12}:{rest:02d}" if rest else f"{hour or 12} o'clock"


@dataclass(frozen=True, slots=True)
class Arc:
    """A stretch of the clock: a pin boss, a valve pocket.

    Attributes
    ----------
    label : in words, ``front pin boss``, ``intake pocket``
    centre_deg : ring angle of its middle
    half_deg : half of its width, degrees
    valve : which valve a pocket is for; None for what is no pocket
    """

    label: str
    centre_deg: float
    half_deg: float
    valve: Valve | None = None

    def __post_init__(self) -> None:
        finite("arc.centre", self.centre_deg)
        if not 0 <= finite("arc.half", self.half_deg) <= 180:
            raise GeometryError(
                "arc_width", "arc.half", f"half a width of {self.half_deg:g} deg", "0 to 180 deg"
            )
