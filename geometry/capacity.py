"""Displacement, compression and mean piston speed: plain formulas on plain numbers.

Source: Heywood, *Internal Combustion Engine Fundamentals*, 1st ed., section 2.2 (from memory); the stack-up
of the deck is the machinist's own sum.
"""

from __future__ import annotations

import math


def cylinder_cm3(diameter_mm: float, length_mm: float) -> float:
    """Volume of a round cylinder, below zero for a length below zero."""
    return math.pi / 4.0 * diameter_mm**2 * length_mm / 1000.0


def displacement_cm3(bore_mm: float, stroke_mm: float, bores: int) -> float:
    """Swept volume of all bores together.

    >>> round(displacement_cm3(bore_mm=100.0, stroke_mm=80.0, bores=8), 3)  # 1600 pi
    5026.548
    """
    return bores * cylinder_cm3(bore_mm, stroke_mm)


def deck_clearance_mm(
    deck_height_mm: float,
    throw_mm: float,
    rod_mm: float,
    compression_height_mm: float,
    pin_offset_mm: float = 0.0,
) -> float:
    """Depth of the piston's rim under the deck at its true top dead centre; below zero when it stands proud.

    Parameters
    ----------
    deck_height_mm : crank axis to deck, along the bore
    compression_height_mm : piston pin axis to the rim of the crown
    pin_offset_mm : pin off the bore axis, either side; it lowers the top a little, since throw and rod in one
        line then lean

    Raises
    ------
    ValueError
        When the offset is longer than rod and throw together.
    """
    reach_mm = rod_mm + throw_mm
    if abs(pin_offset_mm) > reach_mm:
        raise ValueError(f"a pin offset of {pin_offset_mm:g} mm lies beyond rod and throw, {reach_mm:g} mm")
    top_mm = math.sqrt((reach_mm - pin_offset_mm) * (reach_mm + pin_offset_mm))
    return deck_height_mm - top_mm - compression_height_mm


def quench_mm(deck_clearance_mm: float, gasket_thickness_mm: float) -> float:
    """Gap between the flat of the crown and the flat of the head at top dead centre."""
    return deck_clearance_mm + gasket_thickness_mm


def clearance_volume_cm3(
    chamber_cm3: float,
    gasket_bore_mm: float,
    gasket_thickness_mm: float,
    deck_clearance_mm: float,
    bore_mm: float,
    crown_recess_cm3: float = 0.0,
) -> float:
    """Volume left above the piston at top dead centre.

    The crevice round the piston above the top ring is left out, as in the trade's own sums; it is of the
    order of one part in a hundred (from memory).

    Parameters
    ----------
    chamber_cm3 : in the head, as poured
    gasket_thickness_mm : as clamped
    deck_clearance_mm : as ``deck_clearance_mm`` gives it
    crown_recess_cm3 : dish and valve pockets; below zero for a dome
    """
    gasket_cm3 = cylinder_cm3(gasket_bore_mm, gasket_thickness_mm)
    return chamber_cm3 + gasket_cm3 + cylinder_cm3(bore_mm, deck_clearance_mm) + crown_recess_cm3


def compression_ratio(swept_cm3: float, clearance_cm3: float) -> float:
    """Volume above the piston at the bottom over that at the top, for one bore.

    Raises
    ------
    ValueError
        When no volume is left at the top: the dome or the piston fills the chamber.
    """
    if not clearance_cm3 > 0.0:
        raise ValueError(f"the piston leaves {clearance_cm3:g} cm3 at the top; it must leave more than zero")
    return (swept_cm3 + clearance_cm3) / clearance_cm3


def mean_piston_speed_m_s(stroke_mm: float, speed_rpm: float) -> float:
    """Two strokes per turn, averaged over the turn."""
    return 2.0 * stroke_mm / 1000.0 * speed_rpm / 60.0
