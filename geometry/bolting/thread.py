"""Screw threads: areas, and the length of engagement that decides what strips."""

from __future__ import annotations

import math
from typing import Final

USUAL_PITCH: Final = 1.0 / 8.0
"""Pitch of a usual fine thread by its diameter, where nothing is said; from memory, no source."""


def is_inch_thread(diameter_mm: float, pitch_mm: float | None) -> bool:
    """Whether a thread counts whole turns to the inch, which no metric pitch does.

    Without a pitch: whether the shank is in sixteenths of an inch.

    >>> is_inch_thread(9.525, 25.4 / 24), is_inch_thread(10.0, 1.25), is_inch_thread(11.1125, None)
    (True, False, True)
    """
    return _whole(25.4 / pitch_mm if pitch_mm is not None else diameter_mm / 25.4 * 16)


def _whole(number: float) -> bool:
    return abs(number - round(number)) < 1e-6


def pitch_or_usual_mm(diameter_mm: float, pitch_mm: float | None) -> float:
    """The pitch; where nobody says it, that of a usual fine thread, an eighth of the diameter."""
    return USUAL_PITCH * diameter_mm if pitch_mm is None else pitch_mm


def tensile_area_mm2(diameter_mm: float, pitch_mm: float | None) -> float:
    """Area in which a thread breaks. Without a pitch: a usual fine thread, pitch an eighth of the diameter.

    Source: ISO 898-1, ``pi/4 (d - 0.9382 P)^2``; ASME B1.1 for inch threads, ``pi/4 (d - 0.9743 / n)^2``, taken where
    the pitch is a whole number of threads per inch, which no metric pitch is.
    """
    pitch = pitch_or_usual_mm(diameter_mm, pitch_mm)
    factor = 0.9743 if _whole(25.4 / pitch) else 0.9382
    return circle_mm2(diameter_mm - factor * pitch)


def root_area_mm2(diameter_mm: float, pitch_mm: float | None) -> float:
    """Area at the root of the thread, ``pi/4 (d - 1.2269 P)^2`` (ISO 68-1, rounded root; from memory)."""
    return circle_mm2(diameter_mm - 1.22687 * pitch_or_usual_mm(diameter_mm, pitch_mm))


def circle_mm2(diameter_mm: float) -> float:
    """Area of a circle."""
    return math.pi / 4 * diameter_mm**2


def stripping_areas_mm2(diameter_mm: float, pitch_mm: float | None, engaged_mm: float) -> tuple[float, float]:
    """Areas in which threads shear off, those of the bolt and those of the hole or nut.

    The bolt's shear at the hole's inside diameter, the hole's at the bolt's outside; basic profile, no tolerance.

    Source: FED-STD-H28, ``pi n L K (1/(2 n) + (E - K)/sqrt 3)`` and ``pi n L D (1/(2 n) + (D - E)/sqrt 3)``, with
    the sizes of the basic profile for its limits: ``3/4 pi L K`` and ``7/8 pi L D``. From memory.

    Parameters
    ----------
    engaged_mm : how far the threads of both are in each other
    """
    pitch = pitch_or_usual_mm(diameter_mm, pitch_mm)
    inside, middle = diameter_mm - 1.082532 * pitch, diameter_mm - 0.649519 * pitch
    turns, lean = engaged_mm / pitch, 1.0 / math.sqrt(3.0)
    of_bolt = math.pi * turns * inside * (pitch / 2 + lean * (middle - inside))
    of_hole = math.pi * turns * diameter_mm * (pitch / 2 + lean * (diameter_mm - middle))
    return of_bolt, of_hole
