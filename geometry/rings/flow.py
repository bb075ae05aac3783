"""The area that ring gaps leave open, one by one and one after the other.

Gas that passes several openings in turn loses pressure at each. For equal discharge and little change of
density the flow through opening i is proportional to ``A_i sqrt(p_before - p_after)``; the same flow passes
all, so the drops are proportional to ``1 / A_i^2`` and add up, which leaves one opening of ``1 / sqrt(sum 1 /
A_i^2)``. Chamfers at the ring ends, leakage round the ring and the friction of the way from gap to gap are
left out: the figure compares gaps with each other; it does not foretell blow-by. Where the gaps stand does
not change it, only the length of the way between them.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import pi, sqrt

import numpy as np

from geometry.errors import GeometryError
from geometry.rings.angles import separation_deg
from geometry.rings.require import not_negative, positive


def gap_area_mm2(gap_mm: float, bore_mm: float, land_mm: float) -> float:
    """Find the area left open between the ring's ends, the bore and the land.

    Parameters
    ----------
    gap_mm : end gap, mm
    bore_mm, land_mm : diameters of the bore and of the land below the ring, mm

    Returns
    -------
    Gap times radial clearance, mm^2.
    """
    if positive("land", land_mm) > positive("bore", bore_mm):
        raise GeometryError(
            "land_above_bore", "land", "the land is larger than the bore", "a land below the bore"
        )
    return not_negative("gap", gap_mm) * (bore_mm - land_mm) / 2


def series_area_mm2(areas_mm2: Sequence[float]) -> float:
    """Find the one opening that passes as much as several in turn.

    Parameters
    ----------
    areas_mm2 : (n,) areas in the order in which the gas meets them, mm^2; the order makes no difference

    Returns
    -------
    Equivalent area, mm^2; zero as soon as one of them is closed.

    Raises
    ------
    GeometryError : no areas, or one below zero
    """
    if not areas_mm2:
        raise GeometryError("no_areas", "areas", "there is no gap to reckon with", "one area per ring")
    areas = np.array([not_negative("area", area) for area in areas_mm2], dtype=np.float64)
    return 0.0 if bool((areas == 0).any()) else float(1 / np.sqrt(np.sum(1 / areas**2)))


def hole_diameter_mm(area_mm2: float) -> float:
    """Give the diameter of a round hole of this area, as a picture for the mind."""
    return 2 * sqrt(not_negative("area", area_mm2) / pi)


def land_way_mm(upper_deg: float, lower_deg: float, land_mm: float) -> float:
    """Measure the shorter way round the land from one gap to the next, mm."""
    return separation_deg(upper_deg, lower_deg) / 360 * pi * positive("land", land_mm)
