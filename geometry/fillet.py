"""Chamfer against fillet: does an edge that runs beside a crank cheek ride on the fillet of its journal?

Everything here is turned about the crankpin, so one section through the axis tells all. In that section the
cheek is the line axial = 0, the journal the line radial = 0, and a fillet of radius R fills the corner between
them outside the circle of radius R about (R, R). The edge that runs there, rod or bearing shell, has its face
at axial = s and its bore at radial = g, its corner cut by a 45 degree chamfer of leg c.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, slots=True)
class EdgeFit:
    """How an edge stands to the fillet.

    Attributes
    ----------
    clearance_mm : distance to the fillet along its normal, negative when the edge is in it
    axial_mm, radial_mm : the point of the edge that comes nearest, from the corner of cheek and journal
    """

    clearance_mm: float
    axial_mm: float
    radial_mm: float


def edge_fit(fillet_mm: float, side_gap_mm: float, radial_gap_mm: float, chamfer_mm: float) -> EdgeFit:
    """Stand of a chamfered edge to a tangent quarter-circle fillet.

    Parameters
    ----------
    fillet_mm : radius R of the fillet
    side_gap_mm : axial gap s from the cheek's face to the edge's face
    radial_gap_mm : radial gap g from the journal to the bore of the edge
    chamfer_mm : leg c of its 45 degree chamfer

    Returns
    -------
    EdgeFit : the least clearance over the edge: to the arc where both gaps are below R, else to the plane
        face or the journal

    Source: the distance from the arc's centre is convex, so over the edge's straight sides it is greatest at a
    corner of the chamfer; the edge clears when no corner lies farther than R from that centre.
    """
    corners = (
        (side_gap_mm, radial_gap_mm + chamfer_mm),
        (side_gap_mm + chamfer_mm, radial_gap_mm),
    )
    found = [EdgeFit(side_gap_mm, side_gap_mm, max(fillet_mm, radial_gap_mm + chamfer_mm))]
    found.append(EdgeFit(radial_gap_mm, max(fillet_mm, side_gap_mm + chamfer_mm), radial_gap_mm))
    for axial, radial in corners:
        if axial < fillet_mm and radial < fillet_mm:
            away = math.hypot(fillet_mm - axial, fillet_mm - radial)
            found.append(EdgeFit(fillet_mm - away, axial, radial))
    return min(found, key=lambda fit: fit.clearance_mm)


def chamfer_needed_mm(fillet_mm: float, side_gap_mm: float, radial_gap_mm: float) -> float:
    """Smallest 45 degree chamfer that clears the fillet at these gaps; 0 when a sharp edge clears.

    Source: both corners of the chamfer within the arc, c >= R - g - sqrt(2 R s - s^2) and the same with s and
    g exchanged. A leg of R always suffices.
    """
    if side_gap_mm >= fillet_mm or radial_gap_mm >= fillet_mm:
        return 0.0
    radius, side, radial = fillet_mm, max(side_gap_mm, 0.0), max(radial_gap_mm, 0.0)
    return max(
        radius - side - math.sqrt(2 * radius * radial - radial**2),
        radius - radial - math.sqrt(2 * radius * side - side**2),
        0.0,
    )


def side_gap_needed_mm(fillet_mm: float, radial_gap_mm: float, chamfer_mm: float) -> float:
    """Least axial gap at which the edge no longer rides on the fillet; 0 when it may touch the cheek.

    Source: the same two conditions solved for s. Each holds from some s upwards, so the larger counts.
    """
    radius, radial, leg = fillet_mm, max(radial_gap_mm, 0.0), chamfer_mm
    if radial >= radius:
        return 0.0
    inner = radius - leg - math.sqrt(2 * radius * radial - radial**2)
    rest = radius - radial - leg
    outer = radius - math.sqrt(radius**2 - rest**2) if rest > 0 else 0.0
    return float(np.clip(max(inner, outer), 0.0, radius))
