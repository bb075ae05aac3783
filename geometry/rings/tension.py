"""How hard a ring presses on the wall by its own spring, from the gap it has when free.

A ring that presses evenly all round carries the bending moment ``M = F R (1 + cos phi)``, with F the pull
along the ends that would hold it closed, R the radius of its middle line and phi counted from the place
opposite the gap. The work of that moment over the ring gives the free gap ``m = 3 pi F R^3 / (E I)``.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import Final

from geometry.bolting.stretch import STEEL_MPA
from geometry.errors import GeometryError
from geometry.rings.require import positive

MODULUS_MPA: Final[dict[str, float]] = {"cast_iron": 100_000.0, "ductile_iron": 150_000.0, "steel": STEEL_MPA}
"""Elastic modulus by ring material, from memory; a maker's figure goes first."""


@dataclass(frozen=True, slots=True)
class Tension:
    """The ring's own spring.

    Attributes
    ----------
    tangential_n : pull along the ends that holds the ring closed, N
    wall_mpa : pressure on the wall, without gas, MPa
    stress_mpa : greatest bending stress with the ring closed, opposite the gap, MPa
    """

    tangential_n: float
    wall_mpa: float
    stress_mpa: float


def tension(
    free_gap_mm: float,
    closed_gap_mm: float,
    bore_mm: float,
    height_mm: float,
    wall_mm: float,
    modulus_mpa: float,
) -> Tension:
    """Work out the spring of a ring of rectangular section.

    Parameters
    ----------
    free_gap_mm, closed_gap_mm : gap with the ring free and in the bore, mm
    bore_mm : bore diameter, mm
    height_mm, wall_mm : axial height and radial wall, mm
    modulus_mpa : elastic modulus, MPa

    Returns
    -------
    Force, pressure and stress.

    Raises
    ------
    GeometryError : a size that is not above zero, a wall that fills the bore, or a ring wider closed than
        free

    Source
    ------
    Thin curved beam, derived in the head of this file; with ``I = h a^3 / 12`` it becomes the usual
    ``F = E h a^3 m / (14.14 (d - a)^3)`` (ISO 6621-2 and ring makers' handbooks, from memory).
    """
    for key, value in (("bore", bore_mm), ("height", height_mm), ("wall", wall_mm), ("modulus", modulus_mpa)):
        positive(key, value)
    opened = free_gap_mm - closed_gap_mm
    if opened < 0:
        raise GeometryError(
            "free_gap", "free_gap", "the free gap is below the closed one", "a wider free gap"
        )
    radius = (bore_mm - wall_mm) / 2
    if radius <= wall_mm:
        raise GeometryError("wall_too_thick", "wall", "the wall is too thick for this bore", "a thinner wall")
    force = modulus_mpa * height_mm * wall_mm**3 / 12 * opened / (3 * pi * radius**3)
    moment = 2 * force * radius
    return Tension(force, 2 * force / (bore_mm * height_mm), 6 * moment / (height_mm * wall_mm**2))
