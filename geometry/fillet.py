"""Chamfer against fillet: whether an edge that runs beside a crank cheek rides on the fillet of its journal.

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
    EdgeFit : least clearance of the edge to the fillet itself; a face that may touch the flat of the cheek
        does not count

    Source: inside the corner square [0, R]^2 the clearance is R less the distance from (R, R). That distance is
    convex, so along the straight sides of the edge it is greatest at their ends: at a corner of the chamfer or
    where a side leaves the square. What lies outside the square is nearest to one of the arc's ends.
    """
    radius = fillet_mm
    face, bore = (side_gap_mm, radial_gap_mm + chamfer_mm), (side_gap_mm + chamfer_mm, radial_gap_mm)
    slope = side_gap_mm + radial_gap_mm + chamfer_mm  # axial + radial along the chamfer
    points = [face, bore, (side_gap_mm, radius), (radius, radial_gap_mm)]
    points += [(slope - radius, radius), (radius, slope - radius)]
    on_edge = [True, True, face[1] <= radius, bore[0] <= radius]
    on_edge += [side_gap_mm <= slope - radius <= bore[0], radial_gap_mm <= slope - radius <= face[1]]
    found = [
        EdgeFit(radius - math.hypot(radius - x, radius - y), x, y)
        for (x, y), there in zip(points, on_edge, strict=True)
        if there and x <= radius and y <= radius
    ]
    far = 10.0 * (radius + side_gap_mm + radial_gap_mm + chamfer_mm + 1.0)
    sides = ((face, (side_gap_mm, far)), (face, bore), (bore, (far, radial_gap_mm)))
    for end in ((0.0, radius), (radius, 0.0)):
        for side in sides:
            x, y = _nearest_on(side[0], side[1], end)
            found.append(EdgeFit(math.hypot(x - end[0], y - end[1]), x, y))
    return min(found, key=lambda fit: fit.clearance_mm)


def _nearest_on(
    start: tuple[float, float], stop: tuple[float, float], point: tuple[float, float]
) -> tuple[float, float]:
    """The point of a straight side that is nearest to a point of the section."""
    dx, dy = stop[0] - start[0], stop[1] - start[1]
    square = dx * dx + dy * dy
    along = 0.0 if square == 0.0 else ((point[0] - start[0]) * dx + (point[1] - start[1]) * dy) / square
    along = min(max(along, 0.0), 1.0)
    return start[0] + along * dx, start[1] + along * dy


def chamfer_needed_mm(fillet_mm: float, side_gap_mm: float, radial_gap_mm: float) -> float:
    """Smallest 45 degree chamfer that clears the fillet at these gaps; 0 when a sharp edge clears.

    Source: both corners of the chamfer within the arc, c >= R - g - sqrt(2 R s - s^2) and the same with s and
    g exchanged. A leg of R always suffices.

    Parameters
    ----------
    fillet_mm, side_gap_mm, radial_gap_mm : R, s and g, as of ``edge_fit``; a gap below zero counts as none

    Examples
    --------
    With no gap at all only the whole radius will do; a gap of R at the side makes room for a sharp edge:

    >>> chamfer_needed_mm(3.0, 0.0, 0.0), chamfer_needed_mm(3.0, 3.0, 0.0)
    (3.0, 0.0)
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

    Parameters
    ----------
    fillet_mm, radial_gap_mm, chamfer_mm : R, g and c, as of ``edge_fit``; a gap below zero counts as none
    """
    radius, radial, leg = fillet_mm, max(radial_gap_mm, 0.0), chamfer_mm
    if radial >= radius:
        return 0.0
    inner = radius - leg - math.sqrt(2 * radius * radial - radial**2)
    rest = radius - radial - leg
    outer = radius - math.sqrt(radius**2 - rest**2) if rest > 0 else 0.0
    return float(np.clip(max(inner, outer), 0.0, radius))
