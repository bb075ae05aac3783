"""The gap that is left when ring and bore are hot, and the temperature at which the ends meet.

A ring grows along the wall by ``pi D alpha dT``; so does the bore's circumference. Small squares of the
growth are left out, as is the slight bending of the ring.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import Final

from geometry.rings.gap import RING_NAMES, RingName, duty_row
from geometry.rings.require import finite, not_negative, positive
from geometry.rings.source import Source

ROOM_C: Final = 20.0
"""Temperature at which gaps are measured, degrees Celsius."""


@dataclass(frozen=True, slots=True)
class Expansion:
    """Mean linear expansion of a material.

    Attributes
    ----------
    per_k : 1/K
    source : where it comes from
    """

    per_k: float
    source: Source


_HANDBOOK: Final = Source("W. D. Callister, Materials Science and Engineering, table B.6", "published")
EXPANSION: Final[dict[str, Expansion]] = {
    "cast_iron": Expansion(11.4e-6, _HANDBOOK),
    "ductile_iron": Expansion(11.2e-6, Source("ductile iron, about 11.2e-6 per K", "memory")),
    "steel": Expansion(12.3e-6, _HANDBOOK),
    "cast_aluminium": Expansion(21.5e-6, _HANDBOOK),
}
"""Of rings and of the metal round the bore, near room temperature."""


@dataclass(frozen=True, slots=True)
class RunningHeat:
    """How hot a ring and the wall beside it run, degrees Celsius."""

    ring_c: float
    bore_c: float
    source: Source


_ILLUSTRATIVE: Final = Source("illustrative, no source: measure, or write your own", "illustrative")


def _heat(top_c: float, second_c: float, oil_c: float, bore_c: float) -> dict[RingName, RunningHeat]:
    by_ring = (top_c, second_c, oil_c, oil_c)
    return {
        name: RunningHeat(ring_c, bore_c, _ILLUSTRATIVE)
        for name, ring_c in zip(RING_NAMES, by_ring, strict=True)
    }


DUTY_HEAT: Final[dict[str, dict[RingName, RunningHeat]]] = {
    "street": _heat(200, 160, 130, 120),
    "service_petrol": _heat(190, 155, 130, 120),
    "diesel": _heat(220, 175, 140, 130),
    "street_table_a": _heat(200, 160, 130, 120),
    "modified_table_a": _heat(220, 175, 140, 125),
    "race_table_a": _heat(240, 185, 145, 130),
    "boost_race_table_a": _heat(270, 200, 150, 140),
    "blower_race_table_a": _heat(300, 215, 155, 150),
    "street_table_b": _heat(210, 165, 135, 120),
    "mild_boost_table_b": _heat(230, 180, 140, 125),
    "race_table_b": _heat(240, 185, 145, 130),
    "boost_race_table_b": _heat(280, 205, 150, 140),
}
"""Assumed temperatures per duty and ring, to be edited: illustrative, no source."""


def thermal_closing_mm(
    bore_mm: float,
    ring_expansion_per_k: float,
    ring_rise_k: float,
    bore_expansion_per_k: float,
    bore_rise_k: float,
) -> float:
    """Work out by how much the gap closes from cold to hot.

    Parameters
    ----------
    bore_mm : bore diameter, mm
    ring_expansion_per_k, bore_expansion_per_k : mean linear expansions, 1/K
    ring_rise_k, bore_rise_k : rise above the temperature at which the gap was measured, K

    Returns
    -------
    Closing, mm; below zero where the bore outgrows the ring and the gap opens.

    Source
    ------
    Linear expansion of two lengths ``pi D``: ``pi D (alpha_ring dT_ring - alpha_bore dT_bore)``.
    """
    positive("bore", bore_mm)
    ring = not_negative("ring_expansion", ring_expansion_per_k) * finite("ring_rise", ring_rise_k)
    bore = not_negative("bore_expansion", bore_expansion_per_k) * finite("bore_rise", bore_rise_k)
    return pi * bore_mm * (ring - bore)


def butting_rise_k(
    gap_mm: float,
    bore_mm: float,
    ring_expansion_per_k: float,
    bore_expansion_per_k: float,
    bore_rise_k: float,
) -> float:
    """Find the rise of the ring's temperature at which its ends meet, the bore staying at ``bore_rise_k``.

    Parameters
    ----------
    gap_mm : cold gap, mm
    bore_mm : bore diameter, mm
    ring_expansion_per_k, bore_expansion_per_k : mean linear expansions, 1/K
    bore_rise_k : rise of the bore, K

    Returns
    -------
    Rise of the ring, K.

    Source
    ------
    The closing of ``thermal_closing_mm`` set equal to the gap.
    """
    positive("bore", bore_mm)
    positive("ring_expansion", ring_expansion_per_k)
    bore = not_negative("bore_expansion", bore_expansion_per_k) * finite("bore_rise", bore_rise_k)
    return (finite("gap", gap_mm) / (pi * bore_mm) + bore) / ring_expansion_per_k


@dataclass(frozen=True, slots=True)
class HotGap:
    """What becomes of a gap at running temperature.

    Attributes
    ----------
    hot_gap_mm : gap that is left; below zero the ends have met and the ring presses outward
    closing_mm : how much of the cold gap was used up
    butts_at_ring_c : temperature of the ring at which the ends meet, with the bore as assumed, Celsius
    survives : whether a gap is left
    heat : the temperatures assumed
    """

    hot_gap_mm: float
    closing_mm: float
    butts_at_ring_c: float
    survives: bool
    heat: RunningHeat


def hot_gap(
    gap_mm: float,
    bore_mm: float,
    ring_expansion_per_k: float,
    bore_expansion_per_k: float,
    heat: RunningHeat,
) -> HotGap:
    """Take a gap at room temperature to running temperature.

    Parameters
    ----------
    gap_mm : gap as measured, mm
    bore_mm : bore diameter, mm
    ring_expansion_per_k, bore_expansion_per_k : mean linear expansions, 1/K
    heat : temperatures of ring and bore
    """
    ring_rise, bore_rise = heat.ring_c - ROOM_C, heat.bore_c - ROOM_C
    closing = thermal_closing_mm(bore_mm, ring_expansion_per_k, ring_rise, bore_expansion_per_k, bore_rise)
    butts = ROOM_C + butting_rise_k(gap_mm, bore_mm, ring_expansion_per_k, bore_expansion_per_k, bore_rise)
    left = gap_mm - closing
    return HotGap(left, closing, butts, left > 0, heat)


def duty_heat(duty: str, ring: RingName) -> RunningHeat:
    """Give the temperatures assumed for a duty; they are illustrative and meant to be edited."""
    return DUTY_HEAT[duty_row(duty).key][ring]
