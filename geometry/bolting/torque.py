"""What a torque leaves in a bolt, by what is on its thread, and how far that may be out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

Lubricant: TypeAlias = Literal["black_dry", "zinc", "lubricated", "cadmium", "anti_seize"]
TORQUE_FACTOR: Final = 0.18
"""Lubricated bolts, Shigley table 8-15."""
TORQUE_SCATTER: Final = 0.20
"""How far the tension that a torque leaves may be out, either way: usual, from memory (VDI 2230: the highest is about
one and a half times the lowest). Ten lubricated bolts in Shigley's table 8-14 lie from 11 percent below their mean to
19 above it."""
DRY_SCATTER: Final = 0.30
"""The same of a thread that nobody lubricated; from memory, no source."""
STRETCH_SCATTER: Final = 0.05
"""The same of a bolt whose stretch is measured: 3 to 5 percent, from memory, no source."""
TURN_SCATTER: Final = 0.15
"""The same of a bolt turned by an angle from snug, below its yield; from memory, no source."""


@dataclass(frozen=True, slots=True)
class Friction:
    """What one state of the thread does.

    Attributes
    ----------
    factor : K in ``T = K F d``
    scatter : how far the tension may be out either way, as a share of it
    words : as it is called
    source : who says the factor
    """

    factor: float
    scatter: float
    words: str
    source: str = "Shigley 9th ed. table 8-15"


LUBRICANTS: Final[Mapping[Lubricant, Friction]] = {
    "black_dry": Friction(0.30, DRY_SCATTER, "black, dry"),
    "zinc": Friction(0.20, DRY_SCATTER, "zinc plated, dry"),
    "lubricated": Friction(TORQUE_FACTOR, TORQUE_SCATTER, "lubricated"),
    "cadmium": Friction(0.16, TORQUE_SCATTER, "cadmium plated"),
    "anti_seize": Friction(0.12, TORQUE_SCATTER, "anti-seize paste"),
}


@dataclass(frozen=True, slots=True)
class BoltTension:
    """Tension of one bolt, N: the least and the most that it may be, and what is counted with."""

    low_n: float
    middle_n: float
    high_n: float


def scattered(middle_n: float, scatter: float) -> BoltTension:
    """A tension that may be out by a share of itself either way."""
    return BoltTension(middle_n * (1.0 - scatter), middle_n, middle_n * (1.0 + scatter))


def preload_n(torque_nm: float, diameter_mm: float, factor: float = TORQUE_FACTOR) -> float:
    """Tension that a torque in N*m leaves in a bolt, ``T / (K d)`` (Shigley eq. 8-27). ``scattered`` says how nearly.

    >>> preload_n(60.0, diameter_mm=10.0, factor=0.2)
    30000.0
    """
    return torque_nm * 1000.0 / (factor * diameter_mm)


def torque_nm(preload: float, diameter_mm: float, factor: float = TORQUE_FACTOR) -> float:
    """Torque that leaves a tension in N in a bolt, ``K F d``."""
    return preload * factor * diameter_mm / 1000.0
